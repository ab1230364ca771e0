"""kilncase compare and kilncase carbon-note, as a person types them."""

from __future__ import annotations

import json
from pathlib import Path

import openpyxl
import pytest
from books import book
from typer.testing import CliRunner

from econ.cli import app

RUN = CliRunner()
pytestmark = pytest.mark.usefixtures("remembering")


@pytest.fixture(scope="module")
def two(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    work = tmp_path_factory.mktemp("two")
    return book(work / "a.xlsx", {}), book(work / "b.xlsx", {("kiln.price", "Value"): 42000})


def found(*args: object) -> dict[str, list[dict[str, object]]]:
    answer = RUN.invoke(app, ["compare", *map(str, args), "--json"])
    assert answer.exit_code == 0, answer.output
    return dict(json.loads(answer.stdout))


def test_a_scenario_against_itself_is_nil_everywhere(two: tuple[Path, Path]) -> None:
    same = found(two[0], two[0])
    assert same["inputs_that_differ"] == []
    assert same["figures"]
    assert all(set(one["less_the_first"]) <= {0.0, None} for one in same["figures"])  # type: ignore[call-overload]
    assert len({one["inputs_code"] for one in same["scenarios"]}) == 1


def test_only_what_differs_is_listed_and_the_answers_follow(two: tuple[Path, Path]) -> None:
    both = found(*two)
    assert [one["key"] for one in both["inputs_that_differ"]] == ["kiln.price"]
    moved = both["inputs_that_differ"][0]["npv_change"]
    assert moved == pytest.approx(next(o for o in both["figures"] if o["name"] == "npv")["less_the_first"][1])  # type: ignore[index]
    assert both["inputs_that_differ"][0]["values"] == [38000, 42000]
    by_name = {one["name"]: one for one in both["figures"]}
    assert by_name["capital_total_today"]["less_the_first"] == [0, 4000]
    assert by_name["char_kg"]["less_the_first"] == [0, 0]
    assert by_name["npv"]["less_the_first"][1] < 0  # type: ignore[index]


def test_the_json_holds_what_run_says(two: tuple[Path, Path], tmp_path: Path) -> None:
    alone = RUN.invoke(app, ["run", str(two[1]), "--json", "--to", str(tmp_path / "r.xlsx")])
    said = json.loads(alone.stdout)
    by_name = {one["name"]: one["values"][1] for one in found(*two)["figures"]}  # type: ignore[index]
    assert by_name["npv"] == said["npv"]
    assert by_name["removal_kg_co2e"] == pytest.approx(said["removal_t_co2e_per_year"], rel=1e-12)
    headline = said["details"]["headline"]  # the NPV as typed never stands without its runs and its finding
    assert [by_name[f"headline.{name}"] for name in ("mean", "p10", "p90")] == [
        headline[name] for name in ("mean", "p10", "p90")
    ]
    assert by_name["finding.loss"] == said["details"]["finding"]["chance_of_loss"]
    assert found(*two)["scenarios"][1]["finding"] == said["details"]["finding"]["verdict"]


def test_the_screen_puts_the_answers_first(two: tuple[Path, Path], tmp_path: Path) -> None:
    answer = RUN.invoke(app, ["compare", *map(str, two), "--to", str(tmp_path / "c.xlsx")])
    assert answer.exit_code == 0
    assert 0 < answer.stdout.index("NPV against") < answer.stdout.index("1 input differs; what each alone does")
    assert "Price of the kiln: -" in answer.stdout
    assert answer.stdout.count("): measure first") == 2
    assert "Probability that NPV is below zero" in answer.stdout
    shown = [cell.value for row in openpyxl.load_workbook(tmp_path / "c.xlsx").active.iter_rows() for cell in row]
    assert shown.index("Answers") < shown.index("Inputs that differ: 1")
    assert 4000 in shown


def test_plants_in_us_units_are_compared_in_them_and_json_stays_metric(
    two: tuple[Path, Path], tmp_path: Path
) -> None:
    """1 short ton = 907.18474 kg (NIST Handbook 44, Appendix C); a pair of two systems is shown in metric."""
    said = RUN.invoke(app, ["compare", *map(str, two)]).stdout
    tonnes = next(one["values"][0] for one in found(*two)["figures"] if one["name"] == "char_kg")  # type: ignore[index]
    line = next(line for line in said.splitlines() if "Char, dry" in line)
    assert "[ton/year]" in line
    assert f"{tonnes / 0.90718474:,.3f}" in line
    assert "tonne" not in said
    other = book(tmp_path / "metric.xlsx", {("plant.units", "Value"): "metric"})
    assert "Char, dry [t/year]" in RUN.invoke(app, ["compare", str(two[0]), str(other)]).stdout


@pytest.mark.parametrize(
    ("args", "words"),
    [(["{a}"], "two or more"), (["{a}", "{b}", "--to", "{a}"], "one of the scenarios"),
     (["{a}", "{b}", "--to", "x.txt"], ".xlsx")],
)  # fmt: skip
def test_what_cannot_be_compared(args: list[str], words: str, two: tuple[Path, Path]) -> None:
    answer = RUN.invoke(app, ["compare", *(arg.format(a=two[0], b=two[1]) for arg in args)])
    assert answer.exit_code == 2
    assert words in answer.output


def test_a_carbon_note_stands_beside_its_scenario(two: tuple[Path, Path]) -> None:
    answer = RUN.invoke(app, ["carbon-note", str(two[0]), "--date", "2026-11-25"])
    assert answer.exit_code == 0, answer.output
    assert two[0].with_name("a.carbon-note.docx").read_bytes()[:2] == b"PK"


def test_a_date_that_is_none_is_refused(two: tuple[Path, Path], tmp_path: Path) -> None:
    answer = RUN.invoke(app, ["carbon-note", str(two[0]), "--date", "25 November", "--to", str(tmp_path / "n.md")])
    assert answer.exit_code == 2
    assert "YYYY-MM-DD" in answer.output
    assert not (tmp_path / "n.md").exists()


def test_an_amount_of_another_fuel_is_never_read_as_this_ones(two: tuple[Path, Path], tmp_path: Path) -> None:
    """97.5 kWh are no litres; of three files it is told whose value moves the first, and a payback is never."""
    electric = book(tmp_path / "e.xlsx", {
        ("fuel.1.kind", "Value"): "electricity", ("fuel.1.per_batch", "Value"): 97.5,
        ("fuel.1.per_batch", "Low"): 85, ("fuel.1.per_batch", "High"): 110,
        ("fuel.1.per_batch", "Unit"): "kilowatt-hour (kWh)", ("fuel.1.price", "Value"): 0.2,
        ("fuel.1.price", "Low"): 0.1, ("fuel.1.price", "High"): 0.3, ("fuel.1.price", "Unit"): "USD per kWh",
        ("kiln.price", "Value"): 900000, ("kiln.price", "High"): 900000,
    })  # fmt: skip
    moved = {one["key"]: one["npv_change"] for one in found(two[0], electric)["inputs_that_differ"]}
    assert [moved[f"fuel.1.{word}"] for word in ("kind", "per_batch", "price")] == [None] * 3
    screen = RUN.invoke(app, ["compare", *map(str, (*two, electric))]).stdout
    assert "Fuel for one batch (fuel 1): not reported: the fuels differ" in screen
    assert " by the value of C" in next(row for row in screen.splitlines() if "Price of the kiln" in row)
    assert "never" in next(row for row in screen.splitlines() if "Payback" in row)
    assert "%" in next(row for row in screen.splitlines() if "Internal rate" in row)
    assert "not told" not in screen
