"""The work at the kiln put together: fuel and its verdict, tasks, hours, months."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from econ import evidence
from econ.inputs.records import Scenario
from econ.inputs.schema import blocks
from econ.model.derived import months
from econ.model.plan import Plan
from econ.units import canonical_measure, unit

Figures = Mapping[str, float]

PLAUSIBLE, LOW, HIGH, MODELLED = "plausible", "low", "high", "modelled"


def fuel_verdict(plan: Plan, figures: Figures) -> str:
    """What the heat model says of the typed fuel of a firing: plausible, low or high; or modelled.

    Plausible is fuel that brings its heat to the charge with an efficiency of 10 to 50 %.
    """
    if plan.fuel_modelled:
        return MODELLED
    usual = evidence.factor("eff_kiln")
    assert usual.low is not None
    assert usual.high is not None
    if figures["typed_efficiency"] > usual.high / 100:
        return LOW
    return HIGH if figures["typed_efficiency"] < usual.low / 100 else PLAUSIBLE


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


def as_json(scenario: Scenario, plan: Plan, figures: Figures) -> dict[str, Any]:
    """The sub-object `kiln` of the details: heats in MJ of one full load, lower heating value."""
    minutes, core = scenario["kiln.minutes_above"].value, scenario["kiln.core_share"].value
    return {
        "fuel_basis": "modelled" if plan.fuel_modelled else "typed",
        "fuel_verdict": fuel_verdict(plan, figures),
        "heat_basis": "lower heating value",
        "start_up_fuel_mj_per_firing": figures["start_up_fuel_mj"],
        "gas_mj_per_firing": figures["gas_mj"],
        "demand_after_drying_mj_per_firing": figures["after_demand_mj"],
        "gas_less_demand_mj_per_firing": figures["gas_less_demand_mj"],
        "peak_c": scenario["kiln.peak_temperature"].number,
        "minutes_above_peak": minutes,
        "share_that_reached_peak": 1.0 if core is None else core,
        "hours_per_firing": people_hours(plan, scenario, figures),
        "clock_hours_per_firing": figures.get("clock_hours_per_firing"),
        "tasks": tasks(scenario, plan, figures),
        "months": months(plan, figures),
    }


def people_hours(plan: Plan, scenario: Scenario, figures: Figures) -> float:
    """Hours of people in one firing, typed or the sum of the tasks."""
    return figures["hours_per_firing"] if plan.hours_by_task else scenario["labour.hours_per_batch"].number


def own_measure(kind: str) -> str:
    """The canonical unit in which the model counts a fuel: L, kg or MJ."""
    return canonical_measure(unit(evidence.fuel(kind).measure).dimension)
