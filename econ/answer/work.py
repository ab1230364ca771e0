"""The work at the kiln put together: the two figures of heat, hours by task, and the twelve months."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from econ import evidence
from econ.answer.kiln_cautions import fuel_verdict
from econ.inputs.records import Scenario
from econ.inputs.rows import MONTHS
from econ.inputs.schema import blocks
from econ.model.plan import Plan
from econ.units import canonical_measure, unit

Figures = Mapping[str, float]

MONTHLY = ("offered_kg", "excluded_kg", "fired_kg", "passed_on_kg")
OF_YEAR = ("bones_received_kg", "bones_excluded_kg", "bones_fired_kg", "bones_passed_on_kg")
"""The figures of a year that even months share, in the order of MONTHLY."""


def months(plan: Plan, figures: Figures) -> list[dict[str, Any]]:
    """Twelve months: bones received, excluded, fired, passed on [kg], and whole firings.

    Where the months are alike each has a twelfth of the bones; its firings are the loads begun by its
    end, rounded up, less those of the months before.
    """
    found = []
    for m, name in enumerate(MONTHS, start=1):
        if plan.by_month:
            row = {key: figures[f"month_{m}_{key}"] for key in MONTHLY}
            row["firings"] = figures[f"month_{m}_firings"]
        else:
            row = {key: figures[whole] / 12 for key, whole in zip(MONTHLY, OF_YEAR, strict=True)}
            row["firings"] = _begun(figures["firings_per_year"], m) - _begun(figures["firings_per_year"], m - 1)
        found.append({"month": name, **row})
    return found


def _begun(firings: float, month: int) -> float:
    return float(math.ceil(firings * month / 12 - 1e-9))


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
