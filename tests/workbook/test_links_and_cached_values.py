"""Links lead to cells that exist and say something; viewers that never calculate find a value in every formula."""

from __future__ import annotations

import io
import re
import sys
import zipfile
from pathlib import Path

import openpyxl
import pytest

sys.path.insert(0, str(Path(__file__).parent))

from written import RESULTS, SCENARIOS, content, live, shown

FORMULA = re.compile(rb"<c ([^>]*)><f>([^<]*)</f>(<v>([^<]*)</v>)?")


def links(name: str) -> list[tuple[str, str, str, str]]:
    """Sheet, cell, target sheet and target cell of every link."""
    found = []
    for sheet in live(name).worksheets:
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
    others = set(live(name).sheetnames) - {"Answer"}
    assert {to for sheet, _, to, _ in links(name) if sheet == "Answer"} >= others
    assert {sheet for sheet, _, to, _ in links(name) if to == "Answer"} == others


@pytest.mark.parametrize("name", RESULTS)
def test_a_big_figure_leads_to_the_cell_it_reads(name: str) -> None:
    book, values = live(name), shown(name)
    names = {key: str(one.attr_text).replace("$", "") for key, one in book.defined_names.items()}
    checked = 0
    for sheet, ref, to, cell in links(name):
        formula = str(book["Answer"][ref].value)
        if sheet == "Answer" and formula.startswith("="):
            read = re.match(r"=([a-z][a-z0-9_]*)", formula)
            assert read
            page, _, own = names[read[1]].partition("!")
            assert page == f"'{to}'"
            # in the unit of the plant the page shows the figure times a constant; its own cell stands aside
            shown_there = re.fullmatch(rf"={own}\*[0-9.]+", str(book[to][cell].value))
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
    book, values = live(name), shown(name)
    names = {key: str(one.attr_text).replace("$", "") for key, one in book.defined_names.items()}
    checked = 0
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                match = re.fullmatch(r"=([a-z][a-z0-9_]*)([*/]1000)?", str(cell.value))
                if cell.data_type != "f" or not match or match[1] not in names:
                    continue
                to, at = names[match[1]].replace("'", "").split("!")
                read = values[to][at].value
                factor = {None: 1.0, "*1000": 1000.0, "/1000": 0.001}[match[2]]
                expected = read if isinstance(read, str) else read * factor
                assert values[sheet.title][cell.coordinate].value == pytest.approx(expected, abs=1e-9)
                checked += 1
    assert checked > 40


def test_scenario_workbooks_hold_no_formula_but_the_units_that_follow_the_currency() -> None:
    """A person types values; whatever calculates stands in the results."""
    for name in SCENARIOS:
        book = openpyxl.load_workbook(io.BytesIO(content(name)))
        cached = openpyxl.load_workbook(io.BytesIO(content(name)), data_only=True)
        formulas = [(sheet.title, cell.coordinate) for sheet in book for row in sheet.iter_rows() for cell in row
                    if cell.data_type == "f"]  # fmt: skip
        assert {sheet for sheet, _ in formulas} <= {"Lists"}, name
        assert all(cached[sheet][cell].value for sheet, cell in formulas), name
