"""One plant through `folder` is the plant through `run`; the rows of a table are `run --set`."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from conftest import ROOT
from many_plants import BASE, HEADINGS, fill_folder, plant_rows, read_results, write_table
from typer.testing import CliRunner

from econ.cli import app
from econ.errors import FileRefused, InputFault, InputFaults
from econ.many.columns import FIGURES
from econ.many.folder import Task, run_folder

runner = CliRunner()
pytestmark = pytest.mark.usefixtures("reading_once")


def answer(path: Path, *sets: str) -> dict[str, object]:
    words = [word for text in sets for word in ("--set", text)]
    found = runner.invoke(app, ["run", str(path), "--json", "--samples", "100", *words])
    assert found.exit_code == 0, found.stderr
    return dict(json.loads(found.stdout))


def same(row: dict[str, str], json_answer: dict[str, object]) -> None:
    """Every figure of the contract, exactly; empty for None; the cautions by id, each once, in order."""
    contract = [name for name in json_answer if name not in {"details", "warnings"}]
    assert set(contract) <= set(FIGURES)
    for name in contract:
        value = json_answer[name]
        assert row[name] == ("" if value is None else str(value)), name
    assert row["warnings"].split() == [*{warning["id"]: 1 for warning in json_answer["warnings"]}]  # type: ignore[attr-defined]


def test_a_folder_of_the_shipped_plants_equals_run(tmp_path: Path) -> None:
    to = tmp_path / "all.csv"
    outcome = run_folder(Task(ROOT / "scenarios", to, workers=1, samples=0))
    rows = read_results(to)
    assert [row["plant"] for row in rows] == ["alder-ford", "low-sedge", "thistle-flat"]
    assert (outcome.summary.used, outcome.summary.pay) == (3, 2)
    for row in rows:
        found = answer(ROOT / "scenarios" / row["place"])
        same(row, found)
        figures = found["details"]["figures"]  # type: ignore[index]
        for block in ("process", "avoided", "credits_lost", "difference"):
            assert float(row[f"{block}_t_co2e_per_year"]) == figures[f"{block}_kg_co2e"] / 1000


def test_a_row_of_a_table_equals_run_with_the_same_values_set(tmp_path: Path) -> None:
    table = write_table(tmp_path / "plants.csv", plant_rows(2))
    run_folder(Task(table, base=BASE, workers=1, samples=0))
    for row, cells in zip(read_results(tmp_path / "plants.results.csv"), plant_rows(2), strict=True):
        sets = [f"{key}={cell}" for key, cell in zip(HEADINGS[1:], cells[1:], strict=True)]
        same(row, answer(BASE, *sets))


def test_inputs_that_differ_are_columns_in_metric_units(tmp_path: Path) -> None:
    """100 lb per week is 45.359237 kg per week (exact definition of the pound)."""
    table = write_table(tmp_path / "t.csv", [("400 lb per week",), ("181.436948 kg per week",)], ("bones.1.mass",))
    run_folder(Task(table, base=BASE, workers=1, samples=0))
    first, second = read_results(tmp_path / "t.results.csv")
    assert (first["plant"], second["plant"]) == ("row 2", "row 3")
    assert float(first["npv"]) == pytest.approx(float(second["npv"]), rel=1e-12)
    table = write_table(tmp_path / "u.csv", [("400 lb per week",), ("500 lb per week",)], ("bones.1.mass",))
    run_folder(Task(table, base=BASE, workers=1, samples=0))
    found = [float(row["bones.1.mass"]) for row in read_results(tmp_path / "u.results.csv")]
    assert found == pytest.approx([181.436948, 226.796185], rel=1e-12)


def test_an_empty_cell_keeps_the_value_of_the_base_and_set_stands_below_the_row(tmp_path: Path) -> None:
    table = write_table(tmp_path / "t.csv", [("30000", ""), ("", "21")], ("kiln.price", "labour.wage"))
    run_folder(Task(table, base=BASE, sets=("kiln.price=30000", "labour.wage=21"), workers=1, samples=0))
    first, second = read_results(tmp_path / "t.results.csv")
    assert first["npv"] == second["npv"]


def test_bad_files_and_rows_are_listed_and_the_others_run(tmp_path: Path) -> None:
    folder = fill_folder(tmp_path / "county", ["36000", "40000"])
    outcome = run_folder(Task(folder, workers=1, samples=0))
    (bad,) = outcome.summary.faults()
    assert (bad["plant"], bad["place"]) == ("broken", "broken.xlsx")
    assert "broken.xlsx" in bad["text"]
    assert [row["plant"] for row in read_results(outcome.target)] == ["broken", "plant-0", "plant-1"]
    rows = [("20000", "20 or so"), ("30000 cubits", "20"), ("-5", "20"), ("25000", "20")]
    table = write_table(tmp_path / "t.csv", rows, ("kiln.price", "labour.wage"))
    found = run_folder(Task(table, base=BASE, workers=1, samples=0))
    assert [fault["place"] for fault in found.summary.faults()] == ["row 2", "row 3", "row 4"]
    assert [re.split("[:,]", fault["text"])[0] for fault in found.summary.faults()] == [
        "column labour.wage", "column kiln.price", "column kiln.price",
    ]  # fmt: skip
    assert (found.summary.used, found.summary.not_used) == (1, 3)


def test_parquet_in_and_out_says_the_same_as_csv(tmp_path: Path) -> None:
    pyarrow = pytest.importorskip("pyarrow")
    parquet = pytest.importorskip("pyarrow.parquet")
    prices, masses = [20000.0, 31000.5, None], ["400 lb per week", None, "900 lb per week"]
    parquet.write_table(pyarrow.table({"kiln.price": prices, "bones.1.mass": masses}), tmp_path / "plants.parquet")
    rows = [("20000", "400 lb per week"), ("31000.5", ""), ("", "900 lb per week")]
    table = write_table(tmp_path / "plants.csv", rows, ("kiln.price", "bones.1.mass"))
    run_folder(Task(tmp_path / "plants.parquet", tmp_path / "a.csv", BASE, workers=1, samples=0))
    run_folder(Task(table, tmp_path / "b.csv", BASE, workers=1, samples=0))
    assert (tmp_path / "a.csv").read_bytes() == (tmp_path / "b.csv").read_bytes()
    run_folder(Task(table, tmp_path / "c.parquet", BASE, workers=1, samples=0))
    found = parquet.read_table(tmp_path / "c.parquet").to_pylist()
    for row, line in zip(found, read_results(tmp_path / "b.csv"), strict=True):
        assert {name: "" if value is None else str(value) for name, value in row.items()} == line


@pytest.mark.parametrize(
    ("headings", "found"),
    [
        pytest.param(("kiln.prize",), "kiln.price", id="a near miss is named"),
        pytest.param(("kiln.price", "kiln.price"), "a second time", id="a heading twice"),
        pytest.param(("county",), "'plant' or the key", id="no key at all"),
        pytest.param(("plant.currency",), "currency of the base", id="units of the base name its currency"),
    ],
)
def test_headings_that_are_no_keys_are_refused_before_the_first_row(
    tmp_path: Path, headings: tuple[str, ...], found: str
) -> None:
    table = write_table(tmp_path / "t.csv", [("1",) * len(headings)], headings)
    with pytest.raises(InputFaults, match=found):
        run_folder(Task(table, base=BASE, samples=0))
    assert [path.name for path in tmp_path.iterdir()] == ["t.csv"]


def test_a_table_without_a_base_and_a_place_without_plants_are_refused(tmp_path: Path) -> None:
    table = write_table(tmp_path / "t.csv", [("1",)], ("kiln.price",))
    with pytest.raises(InputFault, match="--base"):
        run_folder(Task(table, samples=0))
    with pytest.raises(FileRefused, match="holds no scenario"):
        run_folder(Task(tmp_path, workers=1, samples=0))
    with pytest.raises(FileRefused, match="the input itself"):
        run_folder(Task(table, table, BASE, samples=0))
    with pytest.raises(FileRefused, match=r"must end in \.csv"):
        run_folder(Task(table, tmp_path / "a.json", BASE, samples=0))


def test_semicolons_and_a_byte_order_mark_as_a_spreadsheet_saves_them(tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    path.write_bytes("\ufeffplant;kiln.price\r\nŽďár;25000 USD\r\n;\r\n".encode())
    (row,) = read_results(run_folder(Task(path, base=BASE, workers=1, samples=0)).target)
    assert row["plant"] == "Žďár"
    assert row["fault"] == ""


def test_a_name_that_looks_like_a_formula_is_quoted(tmp_path: Path) -> None:
    table = write_table(tmp_path / "t.csv", [("=1+1", "25000")], ("plant", "kiln.price"))
    (row,) = read_results(run_folder(Task(table, base=BASE, workers=1, samples=0)).target)
    assert row["plant"] == "'=1+1"


def test_a_table_as_a_county_sends_it(tmp_path: Path) -> None:
    """Headings in capitals, and blank ones where a spreadsheet saved empty columns: the same plants."""
    plain_, sent = tmp_path / "plain.csv", tmp_path / "sent.csv"
    plain_.write_text("plant,region,kiln.price\nA,north,30000\nB,south,40000\n")
    sent.write_text(
        "PLANT, Region ,Kiln.Price,,\nA,north,30000,,\nPlant,Region,KILN.PRICE,,\nB,south,40000,,\n,,,,\n"
    )
    found = {one: run_folder(Task(one, base=BASE, workers=1, samples=0)).summary for one in (plain_, sent)}
    assert found[sent].totals == found[plain_].totals
    assert [one["text"] for one in found[sent].faults()] == ["the headings a second time. Take the row out."]
    pyarrow, parquet = pytest.importorskip("pyarrow"), pytest.importorskip("pyarrow.parquet")
    table = {"Plant ": ["A", "B"], "Region": ["north", "south"], "KILN.price": [30000, 40000]}
    parquet.write_table(pyarrow.table(table), tmp_path / "sent.parquet")
    summary = run_folder(Task(tmp_path / "sent.parquet", base=BASE, workers=1, samples=0)).summary
    assert summary.totals == found[plain_].totals


def test_a_heading_that_is_the_label_of_a_row_is_told_its_key(tmp_path: Path) -> None:
    table = tmp_path / "t.csv"
    table.write_text("plant,Price of the kiln\nA,30000\n")
    with pytest.raises(InputFaults, match=r"the key of an input, such as kiln\.price"):
        run_folder(Task(table, base=BASE, workers=1, samples=0))


@pytest.mark.parametrize("cell", ['"A', 'A\n"B', '"A"B"'])
def test_a_quotation_mark_left_open_swallows_no_row(cell: str, tmp_path: Path) -> None:
    """The lenient reading of csv takes all rows behind it for one cell, and the base for their values."""
    table = tmp_path / "t.csv"
    table.write_text(f"plant,kiln.price\n{cell},30000\nC,40000\n")
    with pytest.raises(FileRefused, match="is a quotation mark open"):
        run_folder(Task(table, base=BASE, workers=1, samples=0))
