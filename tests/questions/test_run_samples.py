"""`kilncase run` with samples and seed: the same numbers, nothing of time or place."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from conftest import ROOT
from typer.testing import CliRunner

from econ.cli import app

pytestmark = pytest.mark.usefixtures("reading_once")


@pytest.fixture
def scenario(tmp_path: Path) -> Path:
    path = tmp_path / "plant.xlsx"
    path.write_bytes((ROOT / "scenarios" / "thistle-flat.xlsx").read_bytes())
    return path


def ran(scenario: Path, *options: str) -> str:
    found = CliRunner().invoke(app, ["run", str(scenario), "--json", *options])
    assert found.exit_code == 0, found.output
    return found.stdout


def test_the_same_seed_gives_the_same_output_to_the_letter(scenario: Path) -> None:
    first, again = (ran(scenario, "--samples", "500", "--seed", "7") for _ in range(2))
    assert first == again
    assert str(scenario.parent) not in first
    chances = json.loads(first)["details"]["chances"]
    assert (chances["samples"], chances["seed"]) == (500, 7)


def test_another_seed_moves_only_what_is_drawn(scenario: Path) -> None:
    first, other = (json.loads(ran(scenario, "--samples", "500", "--seed", seed)) for seed in ("1", "2"))
    assert first["details"]["chances"]["figures"] != other["details"]["chances"]["figures"]
    for found in (first, other):
        for part in ("chances", "finding", "headline", "carbon", "plans"):
            del found["details"][part]
        del found["details"]["evidence"]["movers"]
    assert first == other


def test_sobol_on_request(scenario: Path) -> None:
    chances = json.loads(ran(scenario, "--samples", "512", "--sobol"))["details"]["chances"]
    assert chances["stream"] == "sobol"


@pytest.mark.parametrize("options", [("--samples", "3"), ("--samples", "99000000"), ("--seed", "-1")])
def test_numbers_that_make_no_sample_exit_2_and_write_nothing(scenario: Path, options: tuple[str, str]) -> None:
    found = CliRunner().invoke(app, ["run", str(scenario), *options])
    assert found.exit_code == 2
    assert options[0] in found.output
    assert not scenario.with_name("plant.results.xlsx").exists()


def test_the_screen_has_the_chance_of_a_loss_and_the_finding(scenario: Path) -> None:
    found = CliRunner().invoke(app, ["run", str(scenario), "--samples", "500"])
    assert "Probability that NPV is below zero" in found.stdout
    assert "Finding: " in found.stdout
    assert max(len(line) for line in found.stdout.splitlines() if "workbook" not in line) <= 80
