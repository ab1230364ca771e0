"""The first sheet: what it asks, in which order, on one page; and what every plant is told before a batch."""

from __future__ import annotations

from dataclasses import replace

import pytest
from conftest import plant
from office import convert
from printed import Page, pages_of
from written import shown

from econ.answer.base_case import base_case
from econ.answer.practice import advice
from econ.inputs.examples import example, in_units
from econ.inputs.records import Typed
from econ.inputs.schema import rows, sheets
from econ.workbook.blank import SYSTEMS, blank_bytes
from econ.workbook.template import write_template

FIRST = sheets()[0]


def test_at_most_25_cells_must_be_filled_and_all_stand_here() -> None:
    needed = [row.key for row in rows().values() if row.required]
    assert len(needed) <= 25
    assert set(needed) <= {row.key for section in FIRST.sections for row in section.rows}


def test_what_must_be_filled_comes_before_what_may_be() -> None:
    """An owner answers from top to bottom, and may stop after the last red cell."""
    required = [any(row.required for row in section.rows) for section in FIRST.sections]
    assert required[0]
    assert required == sorted(required, reverse=True)


def test_after_each_section_it_says_what_one_has() -> None:
    assert all(section.stop for section in FIRST.sections)


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[Page]]:
    """The blanks, and the same filled at length, as LibreOffice prints them, in one conversion."""
    work = tmp_path_factory.mktemp("first")
    made = {system: blank_bytes(system, "USD") for system in SYSTEMS}
    made |= {f"{system} filled": filled_at_length(system) for system in SYSTEMS}
    for name, content in made.items():
        (work / f"{name}.xlsx").write_bytes(content)
    printed = convert([work / f"{name}.xlsx" for name in made], "pdf", work)
    return dict(zip(made, map(pages_of, printed), strict=True))


def filled_at_length(system: str) -> bytes:
    """Every cell of the first sheet with a source of two lines and a remark; a name as long as two lines."""
    start = in_units(example("thistle-flat"), system, "USD")
    said = {"source": "Quote of the maker of 3 March 2026, page 2, line 14, delivered and set up; " * 2,
            "remark": "as agreed on the telephone, to be checked once more in spring"}  # fmt: skip
    asked = [row.key for section in FIRST.sections for row in section.rows]
    rows = {key: replace(start.rows.get(key, Typed()), **said) for key in asked}
    return write_template(system, "USD", {**start.rows, **rows}, f"{start.title}, with bags for sale, as of 2026")


@pytest.mark.office
@pytest.mark.parametrize("filled", ["", " filled"])
@pytest.mark.parametrize("system", SYSTEMS)
def test_it_prints_on_one_page_with_nothing_under_9_points(
    system: str, filled: str, papers: dict[str, list[Page]]
) -> None:
    """Measured in the PDF that LibreOffice makes of it."""
    (page,) = (page for page in papers[system + filled] if FIRST.name in foot(page))
    assert min(piece.size for piece in page.pieces) >= 8.99
    for section in FIRST.sections:
        assert section.heading in page.text
    assert "Before the first batch" in page.text


def foot(page: Page) -> str:
    """The lowest line of a page."""
    lowest = min(piece.box[1] for piece in page.pieces)
    return " ".join(piece.text for piece in page.pieces if piece.box[1] < lowest + 6)


@pytest.mark.office
@pytest.mark.parametrize("system", SYSTEMS)
def test_a_blank_prints_what_one_would_fill_by_hand(system: str, papers: dict[str, list[Page]]) -> None:
    """The sheets with open sections, nothing under nine points; it was 23 and 25 pages with all the others."""
    assert len(papers[system]) <= 7
    assert min(piece.size for page in papers[system] for piece in page.pieces) >= 8.99


@pytest.mark.parametrize("name", ["thistle-flat", "low-sedge"])
def test_the_first_pages_of_the_results_carry_the_safety_list(name: str) -> None:
    """Whatever was filled."""
    book = shown(name)
    assert {"Before the first batch", "To settle"} <= set(book.sheetnames[:9])
    said = " ".join(str(cell.value) for row in book["Before the first batch"].iter_rows() for cell in row)
    for words in ("SRM", "What is not SRM", "CO", "hydrogen cyanide", "ammonia", "Fire marshal", "Air permit",
                  "Hot char", "Dust", "tea"):  # fmt: skip
        assert words in said
    asked = [[cell.value for cell in row] for row in book["To settle"].iter_rows(min_row=5)]
    assert [row[1:4] for row in asked] == settled(name)
    assert {row[0] for row in asked} == {"☐"}
    who = " ".join(about for about, *_ in settled(name))
    for office in ("Air permit", "Insurer", "inspector", "Lab", "Hauler", "Fire marshal", "Fertiliser"):
        assert office in who
    assert ("Lender" in who) == (name == "thistle-flat"), "the one plant of these with a loan"


def settled(name: str = "thistle-flat", **changes: str) -> list[list[str]]:
    """Whom a plant must ask, with these cells in place of its own."""
    found = base_case(plant(name, **changes))
    return advice("settle", found.scenario, found.figures)


NO_BILL = dict.fromkeys(("contract__fixed", "contract__per_mass", "current__saving"), "0")


@pytest.mark.parametrize(
    ("changes", "asks"),
    [
        ({}, {"Hauler or renderer", "Lender"}),
        ({"loan__principal": "0"}, {"Hauler or renderer"}),
        (NO_BILL, {"Hauler or renderer", "Lender"}),
        ({**NO_BILL, "current__option": "composting"}, {"Lender"}),
        ({**NO_BILL, "current__option": "burial", "loan__principal": "0"}, set()),
        ({"current__option": "composting"}, {"Lender"}),  # what is saved is its own work
        (
            {"current__option": "composting", "contract__fixed": "80 USD per month"},
            {"Hauler or renderer", "Lender"},
        ),
    ],
)
def test_nobody_is_to_be_asked_who_has_no_part_in_the_plant(changes: dict[str, str], asks: set[str]) -> None:
    who = {about for about, *_ in settled(**changes)}
    assert who & {"Hauler or renderer", "Lender"} == asks
    assert {"Air permit office", "Insurer", "Kiln maker", "Meat inspector"} <= who
