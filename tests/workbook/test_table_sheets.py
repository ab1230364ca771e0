"""The sheets of kiln log and lab assay: written, filled by a person, read with every fault by its cell."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import in_parts
import openpyxl
import pytest
from books import filled as plant_book
from books import put_in
from conftest import plant
from remembered import appraise, results_bytes
from typer.testing import CliRunner

from econ.answer.base_case import base_case
from econ.cli import app
from econ.errors import InputFaults
from econ.inputs.examples import example, in_units
from econ.inputs.records import Scenario
from econ.inputs.schema import table_plans
from econ.workbook.blank import blank_bytes
from econ.workbook.desk import ASSAY, LOG, TRIALS
from econ.workbook.read import read_scenario, read_typed

pytestmark = pytest.mark.usefixtures("remembering")
FIRST = 7
"""The first line of a table, under title, sentence, headings, units and keys."""


def filled(
    path: Path, *changes: tuple[str, str, Any], name: str = "thistle-flat", sets: tuple[str, ...] = ()
) -> Scenario:
    """The plant read back from its workbook with cells changed: (sheet, address, value)."""
    path.write_bytes(put_in(plant_book(name), {(sheet, address): value for sheet, address, value in changes}))
    return read_scenario(path, sets)


def faults(path: Path, *changes: tuple[str, str, Any], sets: tuple[str, ...] = ()) -> str:
    with pytest.raises(InputFaults) as refused:
        filled(path, *changes, sets=sets)
    return str(refused.value)


def column(sheet: str, key: str) -> str:
    """The letter of a column of the blank workbook."""
    plan = next(plan for plan in table_plans().values() if plan.sheet == sheet)
    return openpyxl.utils.get_column_letter([c.key for c in plan.columns].index(key) + 1)


def test_what_was_typed_comes_back(tmp_path: Path) -> None:
    scenario = filled(tmp_path / "p.xlsx")
    typed = example("thistle-flat").tables
    for name, data in scenario.tables.items():
        assert len(data.lines) == len(typed[name].lines)
        for line, written in zip(data.lines, typed[name].lines, strict=True):
            for key, item in written.cells.items():
                kind = data.plan.by_key[key].kind
                if item == "":
                    assert line.values[key] is None
                elif kind == "number":
                    value = line.number(key)
                    assert value is not None
                    assert data.shown(key, value) == pytest.approx(item)
                elif kind in {"date", "text"}:
                    assert line.text(key) == item


def test_a_log_line_by_hand(tmp_path: Path) -> None:
    """1 lb is 0.45359237 kg, 1 US gal 3.785411784 L, 932 °F is 500 °C (definitions)."""
    row = FIRST + 12
    line = {
        "log.date": dt.date(2026, 5, 4), "log.bones_in": 1000, "log.fuel_1": 10, "log.peak": 932,
        "log.char_out": 350,
    }  # fmt: skip
    changes = [(LOG, f"{column(LOG, key)}{row}", value) for key, value in line.items()]
    last = filled(tmp_path / "p.xlsx", *changes).tables["log"].lines[-1]
    assert last.text("log.date") == "2026-05-04"
    assert last.number("log.bones_in") == pytest.approx(453.59237)
    assert last.number("log.fuel_1") == pytest.approx(37.85411784)
    assert last.number("log.peak") == pytest.approx(500)
    assert last.where["log.char_out"] == f"{LOG}!{column(LOG, 'log.char_out')}{row}"


@pytest.mark.parametrize(
    ("sheet", "key", "value", "said"),
    [
        (LOG, "log.bones_in", "1,000 stone", "the words 'stone' behind a number"),
        (LOG, "log.bones_in", -4, "a number above 0"),
        (LOG, "log.bones_in", 0, "a number above 0"),
        (LOG, "log.bones_in", True, "TRUE"),
        (LOG, "log.bones_in", dt.datetime(2026, 3, 1), "date or time"),
        (LOG, "log.hours", "#DIV/0!", "error value"),
        (LOG, "log.hours", "=1+1", "never calculated"),
        (LOG, "log.peak", 9000, "degrees Fahrenheit"),
        (LOG, "log.date", "next Tuesday", "a date from"),
        (LOG, "log.date", 1, "a date from"),
        (LOG, "log.char_out", 999999, "more char out than bones in"),
        (ASSAY, "assay.basis", "wet-ish", "as received; dry"),
        (ASSAY, "assay.cd", "< 0.1", "a number"),
        (ASSAY, "assay.p2o5", 60, "Was P2O5 entered as P"),
    ],
)
def test_each_faulty_cell_is_named(sheet: str, key: str, value: Any, said: str, tmp_path: Path) -> None:
    address = f"{column(sheet, key)}{FIRST}"
    found = faults(tmp_path / "p.xlsx", (sheet, address, value))
    assert f"{sheet} {address}, " in found
    assert said in found


@pytest.mark.parametrize("value", ["furlong", None, "kWh"])
def test_the_unit_above_a_column_must_be_one_of_its_own(value: Any, tmp_path: Path) -> None:
    address = f"{column(LOG, 'log.bones_in')}{FIRST - 2}"
    found = faults(tmp_path / "p.xlsx", (LOG, address, value))
    assert f"{LOG} {address}, " in found
    assert "pound (lb)" in found


def test_all_faults_come_at_once(tmp_path: Path) -> None:
    bad = [(LOG, f"B{FIRST}", "x"), (LOG, f"B{FIRST + 3}", "y"), (ASSAY, f"E{FIRST}", "z")]
    found = faults(tmp_path / "p.xlsx", *bad)
    assert all(f"{sheet} {address}, " in found for sheet, address, _ in bad)


def test_more_lines_than_are_read_is_a_fault(tmp_path: Path) -> None:
    most = table_plans()["trials"].most
    place = column(TRIALS, "trials.sown")
    changes = [(TRIALS, f"{place}{FIRST + at}", 5) for at in range(most + 1)]
    assert f"{most + 1} filled lines" in faults(tmp_path / "p.xlsx", *changes)


def test_a_workbook_without_the_sheets_has_no_data(tmp_path: Path) -> None:
    path = tmp_path / "older.xlsx"
    path.write_bytes(plant_book("thistle-flat"))
    found = openpyxl.load_workbook(path)
    for plan in table_plans().values():
        del found[plan.sheet]
    found.save(path)
    scenario = read_scenario(path)
    assert scenario.tables == {}
    assert base_case(scenario).figures["npv"] == base_case(plant()).figures["npv"]


def test_columns_may_be_moved_or_left_out(tmp_path: Path) -> None:
    path = tmp_path / "p.xlsx"
    before = filled(path).tables["log"]
    found = openpyxl.load_workbook(path)
    sheet = found[LOG]
    sheet.delete_cols([c.key for c in table_plans()["log"].columns].index("log.fuel_2") + 1)
    sheet.insert_cols(1)
    sheet["A6"] = "log.weather"
    found.save(path)
    after = read_scenario(path)
    for line, same in zip(after.tables["log"].lines, before.lines, strict=True):
        assert line.number("log.char_out") == same.number("log.char_out")
    assert "unknown-column" in {caution.id for caution in after.warnings}


def test_blank_lines_between_do_not_matter(tmp_path: Path) -> None:
    scenario = filled(tmp_path / "p.xlsx", (LOG, f"{column(LOG, 'log.hours')}{FIRST + 40}", 5))
    assert len(scenario.tables["log"].lines) == 13


def test_a_sheet_without_keys_is_a_fault(tmp_path: Path) -> None:
    path = tmp_path / "p.xlsx"
    path.write_bytes(plant_book("thistle-flat"))
    found = openpyxl.load_workbook(path)
    found[LOG].delete_rows(6)
    found.save(path)
    with pytest.raises(InputFaults, match="no row of column keys"):
        read_scenario(path)


@pytest.mark.parametrize("system", ["us", "metric"])
def test_a_blank_workbook_holds_ready_lines_and_no_data(system: str, tmp_path: Path) -> None:
    path = tmp_path / "blank.xlsx"
    path.write_bytes(blank_bytes(system, "EUR"))
    tables = read_typed(path).tables
    assert {name: table.lines for name, table in tables.items()} == dict.fromkeys(table_plans(), ())


def test_the_example_in_other_units_measures_the_same() -> None:
    from econ.inputs.build import build

    start = example("thistle-flat")
    metric = in_units(start, "metric", start.currency, digits=None)
    ours, theirs = (
        appraise(build(one.rows, one.system, tables=one.tables)).measured.readings for one in (start, metric)
    )
    assert theirs.log is not None
    assert ours.log is not None
    assert theirs.log.data.units["log.bones_in"] != ours.log.data.units["log.bones_in"]
    for name, found in ours.log.samples.items():
        assert theirs.log.samples[name].mean == pytest.approx(found.mean, rel=1e-9), name


def test_results_hold_a_page_only_where_there_is_data(tmp_path: Path) -> None:
    pages = {}
    for name in ("thistle-flat", "low-sedge"):
        path = tmp_path / f"{name}.xlsx"
        results = appraise(filled(path, name=name))
        pages[name] = list(in_parts.read(results_bytes(results)))
    assert {LOG, ASSAY} <= {cell.sheet for cell in pages["thistle-flat"]}
    assert not {LOG, ASSAY} & {cell.sheet for cell in pages["low-sedge"]}
    words = [str(cell.value) for cell in pages["thistle-flat"] if cell.sheet == LOG]
    assert "Batches in the log: 12" in words
    assert any("gusty" in word for word in words)
    words = [str(cell.value) for cell in pages["thistle-flat"] if cell.sheet == ASSAY]
    assert any("ask your state" in word for word in words)
    assert any("recalled" in word and "not checked" in word for word in words)


def test_the_switch_by_command(tmp_path: Path) -> None:
    path = tmp_path / "p.xlsx"
    filled(path)
    shown = CliRunner().invoke(app, ["run", str(path), "--samples", "500", "--set", "log.use_hours=yes"])
    assert shown.exit_code == 0
    assert "Measured: Labour hours for one batch (n = 12)." in " ".join(shown.stdout.split())
    assert read_scenario(path, ["log.use_hours=yes"])["log.use_hours"].value == "yes"
