"""The work at the kiln put together: fuel and its verdict, tasks, hours, months."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from econ import evidence
from econ.inputs.records import Scenario
from econ.inputs.schema import blocks
from econ.model.plan import Plan
from econ.units import canonical_measure, unit

Figures = Mapping[str, float]

PLAUSIBLE, LOW, HIGH, MODELLED = "plausible", "low", "high", "modelled"


def fuel_verdict(plan: Plan, figures: Figures) -> str:
    """What the heat model says of the typed fuel of a firing: plausible, low or high; or modelled.

    Plausible is fuel that brings its heat to the load with an efficiency of 10 to 50 %, electricity 40 to 85 %.
    """
    if plan.fuel_modelled:
        return MODELLED
    low, high = usual_efficiency(plan)
    if figures["typed_efficiency"] > high:
        return LOW
    return HIGH if figures["typed_efficiency"] < low else PLAUSIBLE


def usual_efficiency(plan: Plan) -> tuple[float, float]:
    """Low and high of the share of a fuel's heat that reaches the load, of a flame or of electricity."""
    usual = evidence.factor(f"eff_kiln{'_electric' if plan.fuel_kinds[:1] == ('electricity',) else ''}")
    assert usual.low is not None
    assert usual.high is not None
    return usual.low / 100, usual.high / 100


def tasks(scenario: Scenario, plan: Plan, figures: Figures) -> list[dict[str, Any]]:
    """Each task: its name, hours of people in one firing, whether it is idle watching."""
    return [
        {
            "name": task_name(scenario, n),
            "hours_per_firing": figures[f"task_{n}_people_hours"],
            "is_watching": n in plan.watching,
        }
        for n in (plan.tasks if plan.hours_by_task else ())
    ]


def task_name(scenario: Scenario, n: int) -> str:
    """The name of task n: typed, or that of the list."""
    return str(scenario[f"task.{n}.name"].value or blocks()["task"].names[n - 1])


def people_hours(plan: Plan, scenario: Scenario, figures: Figures) -> float:
    """Hours of people in one firing, typed or the sum of the tasks."""
    return figures["hours_per_firing"] if plan.hours_by_task else scenario["labour.hours_per_batch"].number


def own_measure(kind: str) -> str:
    """The canonical unit in which the model counts a fuel: L, kg or MJ."""
    return canonical_measure(unit(evidence.fuel(kind).measure).dimension)
