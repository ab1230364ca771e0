"""The command as a person and a machine meet it: JSON, screen and workbook say the same."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from pathlib import Path

import pytest
from books import book, put_in
from conftest import ROOT, plant
from office import cells, same_cells
from remembered import appraise
from typer.testing import CliRunner

import econ
from econ.answer.base_case import base_case
from econ.cli import app
from econ.inputs.build import build
from econ.inputs.examples import NAMES, example, in_units
from econ.inputs.put_over import put_over
from econ.inputs.records import Scenario
from econ.questions.latin import Sampling
from econ.units import said, shown_unit

KEYS = [
    "currency", "npv", "irr", "mirr", "payback_years", "discounted_payback_years", "net_cost_per_t_bones",
    "current_cost_per_t_bones", "bones_t_per_year", "char_t_per_year", "p_t_per_year", "p2o5_t_per_year",
    "ca_t_per_year", "durable_c_t_per_year", "removal_t_co2e_per_year", "project_net_t_co2e_per_year",
    "warnings", "details",
]  # fmt: skip
"""The contract: these keys in this order, for ever."""

runner = CliRunner()
pytestmark = pytest.mark.usefixtures("remembering")


def run(*words: str) -> tuple[int, str, str]:
    found = runner.invoke(app, list(words))
    return found.exit_code, found.stdout, found.stderr


def answer(path: Path, *words: str) -> dict[str, object]:
    code, out, err = run("run", str(path), "--json", "--overwrite", *words)
    assert code == 0, err
    return dict(json.loads(out))


@pytest.fixture
def here(tmp_path: Path) -> Path:
    return book(tmp_path / "my-plant.xlsx", {})


def test_json_has_the_keys_of_the_contract_and_nothing_else(here: Path) -> None:
    found = answer(here)
    assert list(found) == KEYS
    assert all({"id", "text", "where"} == warning.keys() for warning in found["warnings"])  # type: ignore[attr-defined]


def test_json_alone_writes_no_workbook(here: Path) -> None:
    answer(here)
    assert [path.name for path in here.parent.iterdir()] == [here.name]


def test_json_holds_no_nan_no_time_and_no_path(here: Path) -> None:
    code, out, _ = run("run", str(here), "--json")
    assert code == 0
    assert "NaN" not in out
    assert "Infinity" not in out
    assert str(here.parent) not in out
    assert "my-plant" not in out
    json.loads(out, parse_constant=lambda word: pytest.fail(word))


def test_json_is_the_same_on_every_run_and_in_every_place(here: Path, tmp_path: Path) -> None:
    other = tmp_path / "elsewhere"
    other.mkdir()
    copy = book(other / "another-name.xlsx", {})
    program = [str(Path(sys.executable).with_name("kilncase")), "run", str(copy), "--json"]
    env = {**os.environ, "TZ": "Asia/Kathmandu", "LC_ALL": "C", "LANG": "C"}
    there = subprocess.run(program, capture_output=True, check=True, env=env).stdout
    assert json.loads(there) == answer(here)


@pytest.mark.parametrize("name", NAMES)
def test_the_same_plant_in_us_and_in_metric_units(name: str) -> None:
    start = example(name)
    answers = []
    for system in ("us", "metric"):
        typed = in_units(start, system, start.currency, digits=None)
        found = econ.appraise(build(typed.rows, system), Sampling(500)).to_json()
        answers.append(found)
    assert_close(*answers, rel=1e-12)


def assert_close(one: object, other: object, rel: float) -> None:
    first, second = _numbers(one), _numbers(other)
    assert first.keys() == second.keys()
    wrong = [f"{key}: {value} | {second[key]}" for key, value in first.items()
             if not math.isclose(value, second[key], rel_tol=rel, abs_tol=1e-9)]  # fmt: skip
    assert not wrong, "\n".join(wrong[:20])


def _numbers(found: object, at: str = "") -> dict[str, float]:
    if isinstance(found, dict):
        return {k: v for key, item in found.items() for k, v in _numbers(item, f"{at}.{key}").items()}
    if isinstance(found, list):
        return {k: v for i, item in enumerate(found) for k, v in _numbers(item, f"{at}[{i}]").items()}
    return {at: found} if isinstance(found, float | int) and not isinstance(found, bool) else {}


def test_python_and_command_take_the_same_three_steps(here: Path) -> None:
    results = econ.appraise(econ.read_scenario(here))
    assert json.loads(json.dumps(results.to_json())) == answer(here)
    target = here.with_name("by-python.xlsx")
    econ.write_results(results, target)
    assert run("run", str(here), "--quiet")[0] == 0
    assert same_cells(target, here.with_name("my-plant.results.xlsx"))


@pytest.mark.parametrize("name", NAMES)
def test_json_workbook_and_screen_agree(name: str, tmp_path: Path) -> None:
    here = book(tmp_path / "p.xlsx", {}, name)
    found = answer(here)
    code, shown, _ = run("run", str(here))
    assert code == 0
    sheet = cells(tmp_path / "p.results.xlsx")
    by_label = {value: sheet.get(at.replace("!A", "!B")) for at, value in sheet.items() if "!A" in at}
    money = {
        value: sheet.get(at.replace("!A", "!C")) for at, value in sheet.items() if at.startswith("Cash by year!A")
    }
    assert money["Net present value (NPV)"] == found["npv"]
    assert money["Payback"] == ("never" if found["payback_years"] is None else found["payback_years"])
    units = econ.read_scenario(here).system
    assert by_label["Dry char made"] == pytest.approx(found["char_t_per_year"] * 1000 * shown_unit("kg", units)[1])  # type: ignore[operator]
    removal = found["removal_t_co2e_per_year"] * 1000 * shown_unit("kg CO2e", units)[1]  # type: ignore[operator]
    assert by_label["CO2 removal (100-year)"] == pytest.approx(removal)
    assert f"{found['npv']:,.0f} {found['currency']}" in shown
    assert f"Dry char per year {said(found['char_t_per_year'], 't', units, 2)}" in " ".join(shown.split())
    assert f"{found['removal_t_co2e_per_year']:,.2f} t CO2e" in shown


def test_the_screen_fits_80_columns_and_holds_no_escape_codes(here: Path) -> None:
    code, shown, _ = run("run", str(here), "--to", str(here.with_name("r.xlsx")))
    assert code == 0
    assert "\x1b" not in shown
    screen = shown.split("\nResults workbook")[0]
    assert max(map(len, screen.splitlines())) <= 80


def test_one_shipped_plant_pays_and_one_does_not_and_both_may_speak_of_carbon() -> None:
    pays, does_not = (appraise(plant(name)) for name in NAMES[:2])
    assert pays.figures["npv"] > 0 > does_not.figures["npv"]
    for results in (pays, does_not):
        assert results.figure("durable_c_kg") is not None
        assert not math.isnan(results.coefficients["persist_by_hc_frac"])
        assert "invented" in results.scenario.name


def test_quiet_says_nothing(here: Path) -> None:
    assert run("run", str(here), "--quiet") == (0, "", "")


def test_set_puts_a_value_over_the_workbook(here: Path) -> None:
    same, cheap = (answer(here, "--set", f"kiln.price={price}")["npv"] for price in ("38000 USD", "30000"))
    start, by_hand = (npv(plant(**sets)) for sets in ({}, {"kiln__price": "30000"}))
    assert (same, cheap) == (start, by_hand)
    assert cheap > same  # type: ignore[operator]


def npv(scenario: Scenario) -> float:
    return base_case(scenario).figures["npv"]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("kiln.price=38000", "kiln.price=38000 USD"),
        ("bones.1.mass=1900", "bones.1.mass=1900 lb per week"),
        ("bones.1.mass=500 kg", "bones.1.mass=0.5 tonne per week"),
        ("bones.1.mass=12 short_ton per year", "bones.1.mass=24000 lb per year"),
        ("kiln.peak_temperature=932", "kiln.peak_temperature=500 degC"),
        ("fuel.1.per_batch=10", "fuel.1.per_batch=37.85411784 L"),
        ("money.discount_rate=8 %", "money.discount_rate=0.08 fraction"),
        ("current.saving=100 per month", "current.saving=1200 per year"),
        ("product.2.price=0.5 per lb", "product.2.price=1000 USD per short_ton"),
        ("product.available_p2o5_share=16", f"product.available_p2o5_share={16 * 61.94752 / 141.94252!r} % P"),
    ],
)
def test_bare_values_short_forms_and_conversions(one: str, other: str) -> None:
    """What the model is given; that `--set` of the command puts the same stands in the test above."""
    start = example(NAMES[0])
    found = [build(put_over(start.rows, [item])[0], start.system) for item in (one, other)]
    assert_close(*({**scenario.numbers(), **ends(scenario)} for scenario in found), rel=1e-6)


def ends(scenario: Scenario) -> dict[str, float]:
    """Low and high of every row that has a range."""
    ranged = {key: entry for key, entry in scenario.entries.items() if entry.has_range}
    return {f"{key} {end}": getattr(entry, end) for key, entry in ranged.items() for end in ("low", "high")}


def test_blank_then_example_then_run(tmp_path: Path) -> None:
    target = tmp_path / "new.xlsx"
    for words in (["--units", "metric", "--currency", "EUR"], ["--units", "us"]):
        code, _, err = run("blank", str(target), "--example", "--overwrite", *words)
        assert code == 0, err
        found = answer(target)
        assert found["npv"] is not None
    assert run("blank", str(target))[0] == 2, "a person's work is never replaced unasked"
    assert run("blank", str(target), "--overwrite")[0] == 0
    code, _, err = run("run", str(target), "--to", str(tmp_path / "none.xlsx"))
    assert code == 2
    assert not (tmp_path / "none.xlsx").exists()
    assert "Start here " in err


def test_the_first_sheet_alone_gives_a_rough_answer(tmp_path: Path) -> None:
    from econ.inputs.schema import sheets

    first = {row.key for section in sheets()[0].sections for row in section.rows}
    start = example(NAMES[0])
    only = {key: typed for key, typed in start.rows.items() if key in first}
    results = econ.appraise(build(only, start.system))
    assert results.figure("npv") is not None
    assert any(caution.id == "rough-answer" for caution in results.cautions)


def test_results_are_replaced_only_while_exactly_as_written(here: Path) -> None:
    target = here.with_name("my-plant.results.xlsx")
    assert run("run", str(here), "--quiet")[0] == 0
    assert run("run", str(here), "--quiet")[0] == 0, "an untouched results file is ours to replace"
    target.write_bytes(put_in(target.read_bytes(), {("Answer", "A2"): "my notes"}))
    before = target.read_bytes()
    code, _, err = run("run", str(here), "--quiet")
    assert code == 2
    assert "--overwrite" in err
    assert target.read_bytes() == before
    assert run("run", str(here), "--quiet", "--overwrite")[0] == 0


def test_review_and_factors(here: Path) -> None:
    code, out, _ = run("review", str(here))
    assert code == 0
    assert "caution" in out
    code, out, _ = run("factors", "propane")
    assert code == 0
    assert "read in a copy" in out
    code, out, _ = run("factors", "--json")
    facts = json.loads(out)
    assert len(facts) > 100
    assert all({"value", "unit", "source", "locator", "mark"} <= fact.keys() for fact in facts)
    program = [sys.executable, "-m", "econ.cli"]
    assert subprocess.run(program, cwd=ROOT, check=False).returncode in {0, 2}
