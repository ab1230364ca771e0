"""The record and what-ifs stay apart, and the scenario comes back out of a results workbook."""

from __future__ import annotations

import json
from pathlib import Path

import openpyxl
import pytest
from books import book, places, put_in
from typer.testing import CliRunner

from econ.answer.base_case import base_case
from econ.cli import app
from econ.workbook.read import read_scenario

runner = CliRunner()
pytestmark = pytest.mark.usefixtures("remembering")


def run(*words: object) -> tuple[int, str, str]:
    found = runner.invoke(app, [str(word) for word in words])
    return found.exit_code, found.stdout, found.stderr


def test_a_what_if_is_shown_and_never_takes_the_place_of_the_record(tmp_path: Path) -> None:
    path = book(tmp_path / "plant.xlsx", {})
    record = tmp_path / "plant.results.xlsx"
    assert run("run", path, "--quiet")[0] == 0
    before = record.read_bytes()
    code, shown, _ = run("run", path, "--set", "kiln.price=45000", "--overwrite")
    assert code == 0
    assert "not written, since --set was given" in shown
    assert record.read_bytes() == before
    assert sorted(item.name for item in tmp_path.iterdir()) == ["plant.results.xlsx", "plant.xlsx"]


def test_a_what_if_written_by_name_says_on_every_page_what_was_set(tmp_path: Path) -> None:
    path, to = book(tmp_path / "plant.xlsx", {}), tmp_path / "dear.xlsx"
    assert run("run", path, "--set", "kiln.price=45000 USD", "--to", to)[0] == 0
    found = openpyxl.load_workbook(to, read_only=True)
    said = "(set on the command line: Price of the kiln 45,000 USD)"
    assert all(said in str(sheet["A2"].value) for sheet in found.worksheets)
    assert said in str(found.properties.description)
    assert run("run", path, "--quiet")[0] == 0
    plain = openpyxl.load_workbook(tmp_path / "plant.results.xlsx", read_only=True)
    assert "set on" not in str(plain["Answer"]["A2"].value)


@pytest.mark.parametrize("name", ["thistle-flat", "low-sedge"])
def test_a_results_workbook_gives_its_scenario_back_with_what_was_changed_there(name: str, tmp_path: Path) -> None:
    path = book(tmp_path / "plant.xlsx", {}, name)
    assert run("run", path, "--quiet")[0] == 0
    results = tmp_path / "plant.results.xlsx"
    code, out, err = run("run", results)
    assert (code, out) == (2, "")
    assert "kilncase blank NEW.xlsx --from" in err
    back = tmp_path / "back.xlsx"
    assert run("blank", back, "--from", results)[0] == 0
    same = {key: pytest.approx(value, rel=1e-9, abs=1e-9, nan_ok=True)
            for key, value in base_case(read_scenario(path)).figures.items()}  # fmt: skip
    assert base_case(read_scenario(back)).figures == same

    data = results.read_bytes()
    typed = {"product.1.price": 0.4, "kiln.downtime_share": 7, "kiln.weeks_per_year": 47}
    results.write_bytes(put_in(data, {places(data)[key, "Value"]: value for key, value in typed.items()}))
    code, said, _ = run("blank", back, "--from", results, "--overwrite")
    assert code == 0
    assert "3 were changed there" in said
    sets = [f"{key}={value}" for key, value in typed.items()]
    asked, found = (base_case(read_scenario(one, more)) for one, more in ((path, sets), (back, ())))
    assert found.figures["npv"] == pytest.approx(asked.figures["npv"], rel=1e-9)
    assert found.figures["removal_kg_co2e"] == pytest.approx(asked.figures["removal_kg_co2e"], rel=1e-9)
    assert found.scenario["product.1.price"].remark == "changed in the results workbook"


def test_wrong_files_and_wrong_names_are_told_what_they_are(tmp_path: Path) -> None:
    path = book(tmp_path / "plant.xlsx", {})
    foreign = tmp_path / "ledger.xlsx"
    openpyxl.Workbook().save(foreign)
    code, _, err = run("run", foreign)
    assert code == 2
    assert "there are: 'Sheet'" in err
    code, _, err = run("blank", tmp_path / "b.xlsx", "--from", foreign)
    assert code == 2
    assert "no results workbook" in err
    for words in (("run", path, "--to", tmp_path / "out.pdf"), ("blank", tmp_path / "foo.xls")):
        code, _, err = run(*words)
        assert code == 2
        assert ".xlsx" in err
    assert sorted(item.name for item in tmp_path.iterdir()) == ["ledger.xlsx", "plant.xlsx"]


def test_json_is_printed_whether_a_file_is_written_or_not(tmp_path: Path) -> None:
    path = book(tmp_path / "plant.xlsx", {})
    code, out, _ = run("run", path, "--set", "kiln.price=45000", "--json")
    assert code == 0
    assert json.loads(out)["npv"] is not None
    assert not (tmp_path / "plant.results.xlsx").exists()
