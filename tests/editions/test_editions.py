"""Workbooks of earlier editions: read for ever, with the same answer or a caution of what changed and why."""

from __future__ import annotations

import csv
import json
import math
from functools import cache
from pathlib import Path

import pytest

from econ.answer.base_case import base_case
from econ.errors import InputFaults
from econ.inputs.examples import NAMES
from econ.inputs.records import Scenario
from econ.inputs.schema import EDITION, changes
from econ.model.ledger import line
from econ.workbook.read import read_scenario

HERE = Path(__file__).parent
FIRST = HERE / "1"
FILLED = ("example-metric", "example-us", "low-sedge", "thistle-flat")
SUBJECTS = {"matter": "matter", "kiln": "matter", "months": "matter", "carbon": "carbon", "money": "money",
            "lender": "money", "options": "money", "planting": "planting"}  # fmt: skip
"""The change that a figure may move by, from the page on which it stands."""

GONE = {
    "yearly_worth_step": "a step of the options, which are now reckoned year by year like the kiln",
    "grant_when_paid": "a grant requested is no longer part of the balance by month",
    "grant_wears_by": "a step of the late grant, which is now reckoned year by year",
}
"""Steps of a sum that is now made another way, by why."""


@cache
def scenario(name: str) -> Scenario:
    return read_scenario(FIRST / f"{name}.xlsx")


@cache
def names() -> dict[str, str]:
    with (HERE / "names_1_to_2.csv").open(encoding="utf-8") as handle:
        return {row["old"]: row["new"] for row in csv.DictReader(handle)}


def caution(name: str) -> str:
    (found,) = [one.text for one in scenario(name).warnings if one.id == "older-edition"]
    return found


def moved(name: str) -> dict[str, tuple[float, float]]:
    """Figures that are not what edition 1 found, by their name of today."""
    was = json.loads((FIRST / "figures.json").read_text(encoding="utf-8"))[name]
    now = base_case(scenario(name)).figures
    pairs = {names().get(key, key): (math.nan if value is None else value) for key, value in was.items()
             if key not in GONE}  # fmt: skip
    return {key: (value, now[key]) for key, value in pairs.items()
            if not math.isclose(value, now[key], rel_tol=1e-9, abs_tol=1e-9)
            and not (math.isnan(value) and math.isnan(now[key]))}  # fmt: skip


@pytest.mark.parametrize("name", FILLED)
def test_a_figure_is_as_it_was_or_the_caution_says_what_changed_and_why(name: str) -> None:
    said, why = caution(name), {subject: change for at, subject, change in changes() if at == EDITION}
    subjects = {key: SUBJECTS.get(line(key).page, line(key).page) for key in moved(name)}
    unsaid = {key: subject for key, subject in subjects.items() if why.get(subject, "\0") not in said}
    assert not unsaid


@pytest.mark.parametrize("name", FILLED)
def test_every_figure_of_the_first_edition_is_still_found(name: str) -> None:
    was = json.loads((FIRST / "figures.json").read_text(encoding="utf-8"))[name]
    assert {names().get(key, key) for key in was.keys() - GONE.keys()} <= base_case(scenario(name)).figures.keys()


@pytest.mark.parametrize("name", ["blank-metric", "blank-us"])
def test_a_blank_of_the_first_edition_lacks_only_what_a_person_must_fill(name: str) -> None:
    with pytest.raises(InputFaults) as refused:
        scenario(name)
    assert all(": blank. " in str(fault) for fault in refused.value.faults)
    assert "update kilncase" not in str(refused.value)


def test_every_change_of_an_edition_is_a_short_sentence() -> None:
    for _, _, words in changes():
        assert len(words.split()) <= 30
        assert ": " in words


@pytest.mark.parametrize("name", NAMES)
def test_a_workbook_of_this_edition_is_told_nothing_of_editions(name: str, root: Path) -> None:
    said = read_scenario(root / "scenarios" / f"{name}.xlsx").warnings
    assert not [one.text for one in said if "edition" in one.id or "edition" in one.text]
