"""Bad input: a sentence with cell, row, what is wrong and what to do; all at once; exit 2; nothing written."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from books import book
from typer.testing import CliRunner

from econ.cli import app

runner = CliRunner()
pytestmark = pytest.mark.usefixtures("remembering")

CELL = re.compile(r"[A-Z][\w ]+ [A-Z]+\d+, [A-Z][^:]+: .+[.?] .+[.?]")


def refused(path: Path, *words: str) -> str:
    """What a run says when it must refuse, after checking exit code, silence on stdout and no file."""
    found = runner.invoke(app, ["run", str(path), "--json", *words])
    assert found.exit_code == 2, found.stdout
    assert found.stdout == ""
    assert not path.with_name(f"{path.stem}.results.xlsx").exists()
    assert not list(path.parent.glob(".*tmp*")), "no temporary file is left"
    return found.stderr


FAULTS = [
    pytest.param("kiln.price", "Value", None, ": blank. Enter a number.", id="blank capital is never zero"),
    pytest.param("fuel.1.per_batch", "Value", None, "or for fuel 1 take it from the heat model", id="blank fuel"),
    pytest.param("labour.hours_per_batch", "Value", None, "or fill the tasks on the sheet", id="blank hours"),
    pytest.param("running.insurance_per_year", "Value", None, "or 0 if there is none", id="blank insurance"),
    pytest.param("running.permits_per_year", "Value", None, "or 0 if there is none", id="blank permits"),
    pytest.param("kiln.price", "Value", "forty", "the text 'forty'", id="text in a number"),
    pytest.param("kiln.price", "Value", "38,00,0", "the text '38,00,0'", id="commas that make no groups"),
    pytest.param("kiln.price", "Value", True, "TRUE", id="TRUE in a number"),
    pytest.param("kiln.price", "Value", dt.date(2026, 1, 2), "date", id="a date in a number"),
    pytest.param("kiln.price", "Value", "#DIV/0!", "#DIV/0!", id="an error cell"),
    pytest.param("kiln.price", "Value", "=B3+1", "never calculated", id="a formula never calculated"),
    pytest.param("bones.1.mass", "Value", -5, "-5", id="negative mass"),
    pytest.param("bones.1.mass", "Unit", "bushel per week", "bushel", id="unknown unit"),
    pytest.param("kiln.peak_temperature", "Unit", None, "no unit", id="a temperature without its unit"),
    pytest.param("kiln.price", "Low", 90000, "low 90,000", id="low above value"),
    pytest.param("kiln.price", "High", 100, "high 100", id="high below value"),
    pytest.param("kiln.price", "Low", "n/a", "or leave the cell blank", id="a low that nobody knows"),
    pytest.param("kiln.price", "Value", "(38,000)", "-38,000. Enter a number of at least 0", id="below zero"),
    pytest.param("bones.1.kind", "Value", "whale", "whale", id="unknown choice"),
    pytest.param("money.study_years", "Value", 7.5, "a whole number", id="half a year of study"),
    pytest.param("product.1.share", "Value", 95, "95", id="shares above 100 %"),
    pytest.param("product.2.share", "Value", 30, "100 %", id="shares that do not add up"),
    pytest.param("carbon.organic_share", "Value", 75, "Wood char", id="a wood-char carbon figure"),
    pytest.param("bones.1.water_share", "Value", 100, "others need room", id="an assay of water alone"),
    pytest.param("fuel.1.per_batch", "Unit", "kilogram (kg)", "volume", id="propane by mass"),
]


@pytest.mark.parametrize(("key", "column", "value", "says"), FAULTS)
def test_each_fault_is_a_sentence_with_its_cell(
    key: str, column: str, value: Any, says: str, tmp_path: Path
) -> None:
    said = refused(book(tmp_path / "p.xlsx", {(key, column): value}))
    assert says in said
    assert CELL.search(said), said


def test_12_where_a_fraction_is_asked_for(tmp_path: Path) -> None:
    path = book(
        tmp_path / "p.xlsx",
        {("money.discount_rate", "Unit"): "fraction (0 to 1)", ("money.discount_rate", "Value"): 12,
         ("money.discount_rate", "Low"): None, ("money.discount_rate", "High"): None},
    )  # fmt: skip
    assert "for 12 percent type 0.12, or choose the unit %" in refused(path)


def test_a_percentage_cell_means_what_it_shows(tmp_path: Path) -> None:
    """0.12 in a cell formatted as 0 % is shown as 12 %, and its unit column says %."""
    path = book(tmp_path / "p.xlsx", {("money.discount_rate", "Low"): None, ("money.discount_rate", "High"): None})
    found = openpyxl.load_workbook(path)
    sheet = found["Start here"]
    at = next(row[0].row for row in sheet.iter_rows() if row[9].value == "money.discount_rate")
    sheet.cell(at, 2).value = 0.12
    sheet.cell(at, 2).number_format = "0%"
    found.save(path)
    from econ import read_scenario

    assert read_scenario(path)["money.discount_rate"].number == pytest.approx(0.12)


def test_what_stands_where_nobody_reads_is_said(tmp_path: Path) -> None:
    """A sheet renamed or copied, and a cost in a row of one's own, would else be missed in silence."""
    from econ.workbook.read import read_typed

    path = book(tmp_path / "p.xlsx", {})
    assert {"sheet-not-read", "unknown-row"}.isdisjoint(one.id for one in read_typed(path).warnings)
    found = openpyxl.load_workbook(path)
    found["Kiln log"].title = "Kiln log 2026"
    sheet = found["Money"]
    sheet.cell(sheet.max_row + 2, 1).value = "Another cost"
    sheet.cell(sheet.max_row, 2).value = 5000
    found.save(path)
    said = {one.id: (one.text, one.where) for one in read_typed(path).warnings}
    assert "'Kiln log 2026'. Rename what holds inputs." in said["sheet-not-read"][0]
    assert "a row without a key was not read" in said["unknown-row"][0]
    assert said["unknown-row"][1] == f"Money!B{sheet.max_row}"


def test_all_faults_are_named_at_once(tmp_path: Path) -> None:
    changes = {("kiln.price", "Value"): None, ("bones.1.mass", "Value"): -1, ("labour.wage", "Value"): "a lot"}
    said = refused(book(tmp_path / "p.xlsx", changes))
    assert said.startswith("3 input errors. No file was written.")


def test_37_percent_phosphorus_is_refused_as_elemental(tmp_path: Path) -> None:
    """No calcium phosphate of bone holds 37 % P (hydroxyapatite 18.50 %, IUPAC): it is 37 % P2O5."""
    key = "product.available_p2o5_share"
    blank = {(key, "Low"): None, (key, "High"): None}
    said = refused(book(tmp_path / "p.xlsx", {(key, "Value"): 37, (key, "Unit"): "% P (elemental)", **blank}))
    assert "37 % as P2O5 (16.1 % P)" in said
    ok = book(tmp_path / "q.xlsx", {(key, "Value"): 16, (key, "Unit"): "% P2O5 (as on a label)", **blank})
    assert runner.invoke(app, ["run", str(ok), "--quiet"]).exit_code == 0


def test_a_label_of_0_16_0_is_asked_for_as_p2o5() -> None:
    from econ.inputs.schema import rows

    row = rows()["product.available_p2o5_share"]
    assert row.units[0] == "% P2O5"
    assert "0-12-0" in row.help


def test_more_char_than_dry_matter_is_refused(tmp_path: Path) -> None:
    said = refused(book(tmp_path / "p.xlsx", {}), "--set", "kiln.char_yield=80 %")
    assert "more char than these bones hold dry matter for" in said


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--set", "kiln.prize=3"], "kiln.price"),
        (["--set", "kiln.price"], "KEY=VALUE"),
        (["--set", "kiln.price=cheap"], "Give a number"),
        (["--set", "kiln.price=1e400"], "'1e400'"),
        (["--set", "kiln.price=nan"], "Give a number"),
        (["--set", "kiln.peak_temperature=900 K"], "K"),
        (["--set", "bones.1.mass=5 gal"], "gal"),
        (["--set", "kiln.price="], ": blank. Enter"),
    ],
)
def test_bad_settings(words: list[str], says: str, tmp_path: Path) -> None:
    assert says in refused(book(tmp_path / "p.xlsx", {}), *words)


def test_files_that_are_no_scenario(tmp_path: Path) -> None:
    assert "missing.xlsx" in refused(tmp_path / "missing.xlsx")
    text = tmp_path / "text.xlsx"
    text.write_text("bones,1000\n")
    assert "text.xlsx" in refused(text)
    other = tmp_path / "other.xlsx"
    openpyxl.Workbook().save(other)
    said = refused(other)
    assert "no sheet 'Start here'" in said
    assert "kilncase blank" in said


def test_results_never_replace_the_scenario(tmp_path: Path) -> None:
    path = book(tmp_path / "p.xlsx", {})
    before = path.read_bytes()
    assert "--to" in refused(path, "--to", str(path), "--overwrite")
    assert path.read_bytes() == before


def test_a_refused_run_leaves_the_old_results_whole(tmp_path: Path) -> None:
    path = book(tmp_path / "p.xlsx", {})
    assert runner.invoke(app, ["run", str(path), "--quiet"]).exit_code == 0
    results = tmp_path / "p.results.xlsx"
    before = results.read_bytes()
    assert runner.invoke(app, ["run", str(path), "--set", "kiln.price=-1"]).exit_code == 2
    assert results.read_bytes() == before


def test_unknown_rows_are_named_and_missing_rows_take_their_default(tmp_path: Path) -> None:
    path = book(tmp_path / "p.xlsx", {("kiln.life", "Key"): "kiln.lifetime"})
    found = runner.invoke(app, ["review", str(path)])
    assert found.exit_code == 0
    assert "'kiln.lifetime' is not known" in found.stdout
    assert "1 row is missing; defaults are used (Kiln and crew: " in found.stdout


@pytest.mark.parametrize("folder", [".", "/"])
@pytest.mark.parametrize(
    "words", ["run", "review", "print", "page", "carbon-note", "year --from 2026-01-01 --to 2026-02-01"]
)
def test_a_folder_without_a_name_of_its_own_is_refused(words: str, folder: str) -> None:
    """The path "." has an empty name, from which no name of results can be made."""
    command, *options = words.split()
    found = runner.invoke(app, [command, folder, *options])
    assert (found.exit_code, found.stderr) == (2, f"'{folder}': this is a folder; name the workbook inside it\n")
