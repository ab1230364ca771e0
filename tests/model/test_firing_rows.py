"""Every row about a firing, moved alone in a plant that fills them all, changes something."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache

import pytest
from conftest import plant
from firings import FULL

from econ.answer.appraisal import appraise
from econ.answer.base_case import base_case
from econ.answer.report import FUNCTIONS, NAMES
from econ.answer.sentences import filled
from econ.questions.latin import LEAST, Sampling

MOVES = {
    "kiln.number": "3", "kiln.downtime_share": "40 %", "kiln.volume": "30 ft3",
    "bones.bulk_density": "20 lb per ft3",
    "kiln.core_share": "70 %", "kiln.minutes_above": "30", "kiln.wear_per_firing": "9 USD",
    "kiln.larger_load": "3000 lb", "kiln.efficiency": "35 %", "kiln.steel_mass": "900 lb",
    "fuel.1.per_batch": "25 gal",
    "kiln.fat_drip_share": "5 %", "power.fan_per_firing": "8 kWh",
    "power.grinder_per_char": "20 kWh per tonne", "cycle.load_hours": "2 hour", "cycle.fire_hours": "6 hour",
    "cycle.cool_hours": "30 hour", "cycle.empty_hours": "0.5 hour", "shift.days_per_week": "2",
    "labour.watching_share": "80 %", "task.1.name": "load", "task.1.hours": "2 hour", "task.1.people": "1",
    "task.2.watching": "no", "supply.oct_share": "19 %", "weather.jan_factor": "1.1",
}  # fmt: skip


def answer(sets: dict[str, str]) -> str:
    """Every figure and month of a plant, nan as a word."""
    found = base_case(plant(**sets))
    return repr((sorted(found.figures.items()), sorted(found.months.items())))


def in_words(sets: dict[str, str]) -> str:
    found = appraise(plant(**sets), Sampling(samples=LEAST))
    return json.dumps(filled(NAMES["kiln"], found, FUNCTIONS), sort_keys=True)


@cache
def start(of: Callable[[dict[str, str]], str]) -> str:
    return of(FULL)


@pytest.mark.parametrize("key", MOVES)
def test_a_row_about_a_firing_acts(key: str) -> None:
    moved = {**FULL, key.replace(".", "__"): MOVES[key]}
    assert answer(moved) != start(answer) or in_words(moved) != start(in_words)


def test_firewood_moisture_and_hours_of_a_crew_act() -> None:
    wood = {**FULL, "fuel__1__kind": "cordwood", "fuel__1__price": "0.1 USD per kg"}
    assert answer(wood) != answer({**wood, "fuel__1__moisture": "40 %"})
    short = {
        **FULL,
        "cycle__fire_hours": "3 hour",
        "cycle__cool_hours": "1 hour",
        "kiln__batches_per_week": "9 a week",
    }
    assert answer(short) != answer({**short, "shift__hours_per_day": "5 hour"})
