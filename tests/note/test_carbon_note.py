"""The carbon note: one set of numbers in four writers, the draft mark, and what a hostile reviewer asks."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path

import openpyxl
import pytest
from conftest import plant
from plants import plant as bare

from econ.answer.appraisal import appraise
from econ.answer.results import Results
from econ.answer.screen import screen
from econ.answer.weights import doubts
from econ.inputs.records import Scenario
from econ.model.derived import budget, grant
from econ.note.content import BANNER, BLOCKS, note
from econ.note.moving import moving
from econ.note.parts import Heading, Note, Picture, Table, Text, number
from econ.note.write import markdown, word, write_note
from econ.workbook.results_book import results_bytes

DATE = "2026-11-25"
PLANTS = ("thistle-flat", "low-sedge")


@pytest.fixture(scope="module")
def appraised() -> dict[str, Results]:
    return {name: appraise(plant(name)) for name in PLANTS}


@pytest.fixture(scope="module")
def notes(appraised: dict[str, Results]) -> dict[str, Note]:
    return {name: note(results, DATE) for name, results in appraised.items()}


def text_of(made: Note) -> str:
    return markdown(made, "chart.png")


def docx_text(made: Note) -> str:
    from docx import Document

    document = Document(io.BytesIO(word(made)))
    cells = [cell.text for table in document.tables for row in table.rows for cell in row.cells]
    return "\n".join([*(paragraph.text for paragraph in document.paragraphs), *cells])


def table(made: Note, start: str) -> Table:
    return next(part for part in made.parts if isinstance(part, Table) and part.caption.startswith(start))


def printed(text: str) -> tuple[float, int]:
    """A printed number and its decimals."""
    plain = text.replace("−", "-").replace(",", "")
    return float(plain), len(plain.partition(".")[2])


@pytest.mark.parametrize("name", PLANTS)
def test_four_writers_one_set_of_numbers(name: str, appraised: dict[str, Results], notes: dict[str, Note]) -> None:
    """JSON, results workbook, note (both kinds) and screen agree to the digit each of them shows."""
    results = appraised[name]
    contract = json.loads(json.dumps(results.to_json()))
    book = openpyxl.load_workbook(io.BytesIO(results_bytes(results)), data_only=True)
    values = {}
    for line in ("removal_kg_co2e", "process_kg_co2e", "avoided_kg_co2e", "credits_lost_kg_co2e",
                 "project_net_kg_co2e", "difference_kg_co2e", "difference_with_credits_kg_co2e"):  # fmt: skip
        sheet, address = next(iter(book.defined_names[line].destinations))
        values[line] = book[sheet][address.replace("$", "")].value / 1000
    carbon = contract["details"]["carbon"]
    difference = carbon["difference_to_current_practice"]
    found = [*(carbon["blocks"][block] for block in BLOCKS), carbon["project_net"], difference["without_credits"],
             difference["with_credits"]]  # fmt: skip
    rows = table(notes[name], "Greenhouse gases").rows
    assert len(rows) == len(found) == len(values)
    for row, one, cell in zip(rows, found, values.values(), strict=True):
        spans = one["t_co2e_per_year"]
        assert cell == pytest.approx(spans["typed"], rel=1e-12)
        per_bones = spans["middle"] * 1000 / contract["bones_t_per_year"]
        wanted = (spans["low"], spans["middle"], spans["high"], per_bones)
        for text, value in zip(row[1:], wanted, strict=True):
            shown, digits = printed(text)
            assert shown == pytest.approx(value, abs=0.5 * 10**-digits + 1e-12), (row[0], text)
    word_text, page = docx_text(notes[name]), text_of(notes[name])
    for row in rows:
        assert all(cell in word_text and cell in page for cell in row)
    on_screen = re.search(r"Removal less kiln emissions\s+([-\d.,]+) t CO2e", screen(results))
    assert on_screen
    shown, digits = printed(on_screen[1])
    assert shown == pytest.approx(contract["project_net_t_co2e_per_year"], abs=0.5 * 10**-digits + 1e-12)


@pytest.mark.parametrize("name", PLANTS)
def test_word_and_markdown_say_the_same(name: str, notes: dict[str, Note]) -> None:
    word_text, page = docx_text(notes[name]), text_of(notes[name])
    for part in notes[name].parts:
        if isinstance(part, Text | Heading):
            assert part.text in word_text
            assert part.text in page


def test_the_head_says_draft_and_names_what_nobody_read_with_its_share(
    appraised: dict[str, Results], notes: dict[str, Note]
) -> None:
    made = notes["thistle-flat"]
    assert made.parts[0] == Text(BANNER, "banner")
    why = made.parts[1]
    assert isinstance(why, Text)
    doubtful = doubts(appraised["thistle-flat"])
    assert doubtful
    for mover, share in doubtful:
        assert f"{mover.label} ({share:.0%} of the range)" in why.text
        assert not mover.is_read
        assert share > 0.1


def test_no_draft_where_what_moves_the_figures_was_measured() -> None:
    """A stack test of both gases and own bones: nothing assumed moves a quoted figure by a tenth of its range."""
    measured = plant(
        "thistle-flat", carbon__test_ch4="0.4 lb", carbon__test_n2o="0.02 lb", bones__1__water_share="35 %",
        bones__1__fat_share="15 %", bones__1__protein_share="20 %", bones__1__ash_share="30 %",
        kiln__residue_ratio="1 fraction",
    )  # fmt: skip
    made = note(appraise(measured), DATE)
    assert BANNER not in text_of(made)
    assert BANNER not in docx_text(made)


def moved(scenario: Scenario) -> set[str]:
    return {fact.label for fact in moving(appraise(scenario))}


def test_only_what_moves_a_figure_is_listed() -> None:
    """A plant on propane says nothing of wood, one that composts nothing of tallow."""
    rendered, composted = (
        moved(plant("thistle-flat", current__option=way)) for way in ("rendering", "composting")
    )
    assert "Propane, liquid: combustion" in rendered
    assert not any("Cordwood" in label for label in rendered)
    assert "Making of vegetable oil, which tallow stands in for" in rendered - composted
    assert "Share of the nitrogen of bones that compost keeps" in composted - rendered


def test_what_the_plant_types_is_no_factor_of_ours() -> None:
    """The components of the bones are the house's until they are typed."""
    label = "Mixed fresh beef bone (default): water"
    left_out: dict[str, tuple[object, str | None]] = {"kiln.char_yield": (None, None)}
    typed = left_out | {
        f"bones.1.{name}_share": (share, "%")
        for name, share in (("water", 35), ("fat", 15), ("protein", 20), ("ash", 30))
    }
    assert label in moved(bare(left_out))
    assert label not in moved(bare(typed))


def test_every_factor_stands_with_source_place_and_mark(
    appraised: dict[str, Results], notes: dict[str, Note]
) -> None:
    facts = moving(appraised["thistle-flat"])
    rows = table(notes["thistle-flat"], "Every factor").rows
    assert [row[0] for row in rows] == [fact.label for fact in facts]
    for row, fact in zip(rows, facts, strict=True):
        assert row[3] == fact.mark
        assert fact.source in row[4]
        assert fact.locator in row[4]


@pytest.mark.parametrize(
    "words",
    [
        "not a carbon credit",  # is this a credit?
        "published method has a row for bone",  # does the method cover bone?
        "outside their data",
        "by itself the kiln is a net source",  # does the kiln emit more than it stores?
        "with them the kiln raises emissions",  # what of the meal and tallow that go missing?
        "Nothing is counted twice",  # double counting?
        "biogenic CO2 of bone gas and wood",  # what was left out?
        "making the kiln and shed is not counted",
        "it pays without one",  # would it be built anyway?
        "the kiln does not exist",
        "100-year figure",  # are calendars mixed?
        "marked measured and",  # how much of it was measured?
        "low and high are P5 and P95",  # what are the ranges?
        "each lot of char",  # who checks afterwards?
        "chosen before the result",  # was the method picked for its answer?
        "inactivation of prions",
        "not defined: it is not a reduction",  # cost per tonne of nothing?
    ],
)
def test_what_a_hostile_reviewer_asks_is_answered(words: str, notes: dict[str, Note]) -> None:
    assert words in text_of(notes["thistle-flat"]).replace("\n", " ")


def test_the_budget_adds_up_and_the_match_is_the_rest(
    appraised: dict[str, Results], notes: dict[str, Note]
) -> None:
    found = budget(appraised["thistle-flat"].figures, appraised["thistle-flat"].scenario.numbers())
    assert sum(found.values()) - found["total"] == pytest.approx(found["total"], rel=1e-12)
    for row in table(notes["thistle-flat"], "Budget").rows:
        cost, grant, loan, own = (printed(text)[0] for text in row[1:])
        assert cost == pytest.approx(grant + loan + own, abs=2)


def test_grant_per_tonne_by_hand(appraised: dict[str, Results]) -> None:
    """House arithmetic: grant over undiscounted tonnes of the study; nothing where nothing is reduced."""
    results = appraised["thistle-flat"]
    contract = results.to_json()
    found = grant(results.figures, results.plan.years)
    assert found["grant_per_t_bones"] == pytest.approx(15000 / (contract["bones_t_per_year"] * 10), rel=1e-12)
    removal = contract["removal_t_co2e_per_year"] * 10
    assert found["grant_per_t_removal"] == pytest.approx(15000 / removal, rel=1e-12)
    assert contract["project_net_t_co2e_per_year"] < 0
    assert found["grant_per_t_net"] is None


def test_word_has_styles_captions_page_numbers_and_alternative_text(notes: dict[str, Note]) -> None:
    from docx import Document

    document = Document(io.BytesIO(word(notes["thistle-flat"])))
    styles = {paragraph.style.name for paragraph in document.paragraphs}
    assert styles >= {"Title", "Heading 2", "Caption", "List Bullet", "Intense Quote"}
    captions = [paragraph for paragraph in document.paragraphs if paragraph.style.name == "Caption"]
    assert len(captions) == 4
    assert all("SEQ" in paragraph._p.xml for paragraph in captions)
    assert "PAGE" in document.sections[0].footer._element.xml
    alt = document.inline_shapes[0]._inline.docPr.get("descr")
    picture = next(part for part in notes["thistle-flat"].parts if isinstance(part, Picture))
    assert alt == picture.alt
    assert "removal by durable carbon" in alt


def test_the_same_inputs_make_the_same_text_and_any_input_another_code(appraised: dict[str, Results]) -> None:
    def under(**sets: str) -> str:
        return note(appraise(plant("thistle-flat", **sets)), DATE).under

    assert under() == note(appraised["thistle-flat"], DATE).under
    assert under() != under(kiln__price="38001 USD")
    assert under().partition("Version")[0].endswith(f"Date {DATE}. ")


def test_a_withheld_removal_is_said_and_not_printed() -> None:
    """At 340 °C the inventory class does not apply (over 350 °C only)."""
    made = note(appraise(plant("thistle-flat", kiln__peak_temperature="340 degC")), DATE)
    assert "The removal is not reported" in text_of(made)
    assert "nan" not in text_of(made).split()


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [(None, None, "not reported"), (-1234.5, None, "−1,234"), (12.34, None, "12.3"), (-0.001, 2, "0.00"),
     (0.5, None, "0.50"), (0.0123, None, "0.012")],
)  # fmt: skip
def test_numbers_in_words(value: float | None, digits: int | None, text: str) -> None:
    assert number(value, digits) == text


def test_files_are_not_replaced_unasked(appraised: dict[str, Results], tmp_path: Path) -> None:
    from econ.errors import FileRefused

    results, target = appraised["thistle-flat"], tmp_path / "n.md"
    assert {path.name for path in write_note(results, target, DATE)} == {"n.md", "n.chart.png"}
    with pytest.raises(FileRefused, match="stands there already"):
        write_note(results, target, DATE)
    write_note(results, target, DATE, overwrite=True)
    with pytest.raises(FileRefused, match="must end in"):
        write_note(results, tmp_path / "n.pdf", DATE)
