"""Links lead to cells that exist and say something; viewers that never calculate find a value in every formula."""

from __future__ import annotations

import io
import re
import sys
import zipfile
from pathlib import Path

import in_parts
import pytest

sys.path.insert(0, str(Path(__file__).parent))

from written import RESULTS, SCENARIOS, content, shown

FORMULA = re.compile(rb"<c ([^>]*)><f>([^<]*)</f>(<v>([^<]*)</v>)?")


def links(name: str) -> list[tuple[str, str, str, str]]:
    """Sheet, cell, target sheet and target cell of every link."""
    found = []
    for sheet in shown(name).worksheets:
        linked = (cell for row in sheet.iter_rows() for cell in row if getattr(cell, "hyperlink", None))
        for one in (cell.hyperlink for cell in linked):
            target = re.fullmatch(r"'?([^'!]+)'?!\$?([A-Z]+)\$?(\d+)", str(one.location))
            assert target, f"{sheet.title}!{one.ref} leads to {one.location!r}"
            found.append((sheet.title, one.ref, target[1], target[2] + target[3]))
    return found


@pytest.mark.parametrize("name", RESULTS)
def test_every_link_leads_to_a_cell_that_holds_something(name: str) -> None:
    book = shown(name)
    dead = [(sheet, ref, to, cell) for sheet, ref, to, cell in links(name)
            if to not in book.sheetnames or book[to][cell].value is None]  # fmt: skip
    assert not dead
    assert len(links(name)) > 150


@pytest.mark.parametrize("name", RESULTS)
def test_the_first_sheet_leads_to_every_other_and_every_other_back(name: str) -> None:
    others = set(shown(name).sheetnames) - {"Answer"}
    assert {to for sheet, _, to, _ in links(name) if sheet == "Answer"} >= others
    assert {sheet for sheet, _, to, _ in links(name) if to == "Answer"} == others


@pytest.mark.parametrize("name", RESULTS)
def test_a_big_figure_leads_to_the_cell_it_reads(name: str) -> None:
    values, formulas = shown(name), in_parts.formulas(content(name))
    names = {key: str(one.attr_text).replace("$", "") for key, one in values.defined_names.items()}
    checked = 0
    for sheet, ref, to, cell in links(name):
        formula = formulas.get(f"Answer!{ref}", "")
        if sheet == "Answer" and formula:
            read = re.match(r"=([a-z][a-z0-9_]*)", formula)
            assert read
            page, _, own = names[read[1]].partition("!")
            assert page == f"'{to}'"
            # in the unit of the plant the page shows the figure times a constant; its own cell stands aside
            shown_there = re.fullmatch(rf"={own}\*[0-9.]+", formulas.get(f"{to}!{cell}", ""))
            assert own == cell or (shown_there and re.sub("[A-Z]", "", own) == re.sub("[A-Z]", "", cell))
            assert values[to][cell].value is not None
            checked += 1
    assert checked >= 10


@pytest.mark.parametrize("name", RESULTS)
def test_figures_lead_on_to_inputs_and_inputs_to_sources(name: str) -> None:
    found = {(sheet, to) for sheet, _, to, _ in links(name)}
    for sheet in ("What comes out", "Carbon figures", "Cash by year", "Kiln and hours"):
        assert (sheet, "Inputs used") in found, sheet
    assert ("Inputs used", "Sources") in found


@pytest.mark.parametrize("name", RESULTS)
def test_every_formula_cell_holds_a_value(name: str) -> None:
    """XlsxWriter writes 0 where no value is given: so a nought must be one by Python too (see below)."""
    with zipfile.ZipFile(io.BytesIO(content(name))) as package:
        for part in package.namelist():
            if re.fullmatch(r"xl/worksheets/sheet\d+\.xml", part):
                for attributes, formula, has, value in FORMULA.findall(package.read(part)):
                    assert has, f"{part} {attributes!r} ={formula!r}"
                    assert value, f"{part} {attributes!r} ={formula!r}"


@pytest.mark.parametrize("name", RESULTS)
def test_plain_references_show_what_they_refer_to(name: str) -> None:
    """A formula that is a name alone, or a name by 1,000, is worked out here from the cached value it reads."""
    values, formulas = in_parts.values(content(name)), in_parts.formulas(content(name))
    names = {key: str(one.attr_text).replace("$", "") for key, one in shown(name).defined_names.items()}
    checked = 0
    for at, formula in formulas.items():
        match = re.fullmatch(r"=([a-z][a-z0-9_]*)([*/]1000)?", formula)
        if not match or match[1] not in names:
            continue
        read = values[names[match[1]].replace("'", "")]
        factor = {None: 1.0, "*1000": 1000.0, "/1000": 0.001}[match[2]]
        assert values[at] == pytest.approx(read if isinstance(read, str) else read * factor, abs=1e-9)
        checked += 1
    assert checked > 40


def test_scenario_workbooks_hold_no_formula_but_the_units_that_follow_the_currency() -> None:
    """A person types values; whatever calculates stands in the results."""
    for name in SCENARIOS:
        formulas, values = in_parts.formulas(content(name)), in_parts.values(content(name))
        assert {at.split("!")[0] for at in formulas} <= {"Lists"}, name
        assert all(values.get(at) for at in formulas), name
