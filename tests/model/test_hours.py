"""Hours of people by task, hours by the clock, electricity."""

from __future__ import annotations

from typing import Any

import pytest
from conftest import plant
from remembered import appraise

from econ.answer.base_case import base_case
from econ.answer.report import FUNCTIONS, NAMES
from econ.answer.results import Results
from econ.answer.sentences import filled
from econ.inputs.records import Scenario

TASKS = {
    "task__1__name": "collect and load", "task__1__hours": "1 hour", "task__1__people": "2",
    "task__2__name": "watch the drying", "task__2__hours": "3 hour", "task__2__watching": "yes",
    "task__3__name": "grind, charge with tea, bag", "task__3__hours": "1.5 hour",
}  # fmt: skip


def by_task(**more: str) -> Scenario:
    return plant(labour__hours_per_batch="", **{**TASKS, **more})


def test_tasks_add_up_to_hours_of_people() -> None:
    found = base_case(by_task()).figures
    assert found["hours_per_firing"] == 2 * 1 + 3 + 1.5
    assert found["hours_per_year"] == found["firings_per_year"] * 6.5


def test_watching_is_paid_in_full_unless_said_otherwise() -> None:
    full, half = base_case(by_task()).figures, base_case(by_task(labour__watching_share="50 %")).figures
    assert full["labour_cost_today"] == pytest.approx(full["hours_per_year"] * full["cost_per_hour"])
    assert half["paid_hours_per_firing"] == 5.0
    assert half["labour_cost_today"] / full["labour_cost_today"] == pytest.approx(5.0 / 6.5)
    assert half["hours_per_year"] == full["hours_per_year"]


def tasks(results: Results) -> list[dict[str, Any]]:
    """As they stand in the JSON."""
    return list(filled(NAMES["kiln"], results, FUNCTIONS)["tasks"])


def test_the_typed_total_counts_and_a_different_list_is_said() -> None:
    with_list, without = base_case(plant(**TASKS)), base_case(plant())
    assert dict(with_list.figures) == pytest.approx(dict(without.figures), rel=0, abs=0, nan_ok=True)
    assert "tasks-differ" in {caution.id for caution in with_list.cautions()}


def test_tasks_that_add_up_to_the_typed_total_give_the_same_answer() -> None:
    typed = base_case(plant(labour__hours_per_batch="6.5 hours"))
    assert base_case(by_task()).figures["npv"] == pytest.approx(typed.figures["npv"])
    assert [task["name"] for task in tasks(appraise(by_task()))] == [
        "collect and load", "watch the drying", "grind, charge with tea, bag",
    ]  # fmt: skip


def test_fire_watch_counts_as_watching_unless_said_otherwise() -> None:
    found = appraise(by_task(task__14__hours="2 hour"))
    assert found.figures["watching_per_firing"] == 3 + 2
    assert tasks(found)[-1]["name"] == "fire-watch"
    idle = by_task(task__14__hours="2 hour", task__14__watching="no")
    assert base_case(idle).figures["watching_per_firing"] == 3


def test_clock_hours_are_not_hours_of_people() -> None:
    cycle = {"cycle__load_hours": "1 hour", "cycle__fire_hours": "7 hour", "cycle__cool_hours": "15 hour",
             "cycle__empty_hours": "1 hour"}  # fmt: skip
    found = base_case(plant(**cycle)).figures
    assert found["clock_hours_per_firing"] == 24
    assert found["hours_per_year"] == base_case(plant()).figures["hours_per_year"]
    # firings × 24 hours over 50 weeks × 168 hours
    assert found["kiln_busy_share"] == pytest.approx(found["firings_per_year"] * 24 / (50 * 168))


def test_fan_and_grinder_draw_on_the_electricity_among_the_fuels() -> None:
    grid = {"fuel__2__kind": "electricity", "fuel__2__per_batch": "0 kWh", "fuel__2__price": "0.2 USD per kWh"}
    found = base_case(
        plant(**grid, power__fan_per_firing="6 kWh", power__grinder_per_char="5 kWh per tonne")
    ).figures
    kwh = 6 * found["firings_per_year"] + 5 * found["char_kg"] / 1000
    assert found["fuel_2_used"] == pytest.approx(kwh * 3.6)
    assert found["fuel_2_cost"] == pytest.approx(kwh * 0.2)
    assert found["fuel_2_kg_co2e"] > 0


@pytest.mark.parametrize("hours", ["0 hour", "2 hour"])
def test_a_task_alone_stands_in_for_the_total(hours: str) -> None:
    found = base_case(plant(labour__hours_per_batch="", task__1__hours=hours)).figures
    assert found["hours_per_firing"] == float(hours.split()[0])
