"""Cautions on capacity, firings, fuel and hours; the work at the kiln put together."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

from econ import evidence
from econ.answer.own_units import said
from econ.inputs.records import Caution, Scenario
from econ.inputs.rows import MONTHS
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


def cautions(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """Cautions on what the kiln can take and what a firing burns."""
    yield from _capacity(scenario, plan, figures)
    yield from _keeping(scenario, figures)
    yield from _fuel(plan, figures, scenario.system)
    yield from _hours(scenario, plan)


def _capacity(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    if figures["bones_passed_on_kg"] > 1e-6:
        months = [
            name
            for m, name in enumerate(MONTHS.values(), start=1)
            if plan.by_month and figures[f"month_{m}_passed_on_kg"] > 1e-6
        ]
        when = f" ({', '.join(months)})" if 0 < len(months) < len(MONTHS) else ""
        yield Caution(
            "above-capacity",
            f"{said(figures['bones_passed_on_kg'] / 1000, 't', scenario.system, 1)} of bones a year are more than "
            f"the kiln can take and stay with current practice{when}.",
        )
    if figures["bones_fired_kg"] <= 0:
        yield Caution("nothing-fired", "No bones are processed: check mass, excluded share and batches.")
    weight = scenario["kiln.batch_load"].number
    if figures["load_full_kg"] < weight * (1 - 1e-9):
        yield Caution(
            "volume-limits",
            f"The room of the kiln takes {said(figures['load_full_kg'], 'kg', scenario.system)} of loose bones, "
            f"less than the {said(weight, 'kg', scenario.system)} typed as its load: the room decides.",
            scenario["kiln.volume"].where,
        )
    if plan.shifts and figures["firings_by_shift"] < scenario["kiln.batches_per_week"].number - 1e-9:
        yield Caution(
            "shift-limits",
            f"Clock and crew allow {figures['firings_by_shift']:.0f} batches a week, less than typed.",
            scenario["kiln.batches_per_week"].where,
        )


def _keeping(scenario: Scenario, figures: Figures) -> Iterator[Caution]:
    days = scenario["bones.storage_days"]
    uncooled = evidence.factor("keeping_uncooled").value
    if days.number > uncooled:
        yield Caution(
            "keep-cold",
            f"Raw bones are kept for up to {days.number:.0f} days: without a cold room they keep 1 to "
            f"{uncooled:.0f} days. Follow your inspector.",
            days.where,
        )
    if figures["bones_fired_kg"] > 0 and figures["days_between_firings"] > days.number + 1e-6:
        yield Caution(
            "bones-wait",
            f"With the batches allowed, {figures['days_between_firings']:.1f} days pass between two batches, "
            f"longer than the {days.number:.0f} days that bones are said to keep.",
            days.where,
        )


def _fuel(plan: Plan, figures: Figures, system: str) -> Iterator[Caution]:
    verdict = fuel_verdict(plan, figures)
    digits = 2 if system == "us" else 0
    model, typed = figures["model_fuel_mj"], figures.get("typed_fuel_mj", 0.0)
    if verdict == MODELLED:
        yield Caution(
            "fuel-modelled",
            f"The fuel of a batch is modelled ({said(model, 'MJ', system, digits)}, lower heating value), not "
            "measured; the efficiency behind it is assumed and may be out by a factor of two. Log one batch.",
            "fuel.1.per_batch",
        )
    elif verdict != PLAUSIBLE:
        why = (
            "more than half of its heat would have to reach the charge. Were the bones pre-dried or drained, or "
            "is a fuel missing?"
            if verdict == LOW
            else "less than a tenth of its heat would reach the charge. Check amount and unit."
        )
        yield Caution(
            f"fuel-{verdict}",
            f"The typed fuel of a batch ({said(typed, 'MJ', system, digits)}, lower heating value) looks "
            f"{verdict} beside the heat model: {why} The typed figure is used.",
            "fuel.1.per_batch",
        )
    if figures["gas_less_demand_mj"] < 0:
        yield Caution(
            "gas-falls-short",
            "After drying, the gas of a load falls short of the heat needed by "
            f"{said(-figures['gas_less_demand_mj'], 'MJ', system, digits)} a batch: fuel must help to the end.",
        )


def _hours(scenario: Scenario, plan: Plan) -> Iterator[Caution]:
    if plan.hours_by_task or not plan.tasks:
        return
    numbers = scenario.numbers()
    listed = math.fsum(numbers[f"task.{n}.hours"] * numbers.get(f"task.{n}.people", 1.0) for n in plan.tasks)
    typed = scenario["labour.hours_per_batch"]
    if abs(listed - typed.number) > 0.1 * max(typed.number, 1e-9):
        yield Caution(
            "tasks-differ",
            f"The tasks add up to {listed:.1f} labour hours in a batch, the typed total is "
            f"{typed.number:.1f}: the total is used.",
            typed.where,
        )


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
