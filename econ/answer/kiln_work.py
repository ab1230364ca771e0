"""The work at the kiln in words: the verdict on its fuel, names of tasks, measures of fuels."""

from __future__ import annotations

from collections.abc import Mapping

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


def task_name(scenario: Scenario, n: int) -> str:
    """The name of task n: typed, or that of the list."""
    return str(scenario[f"task.{n}.name"].value or blocks()["task"].names[n - 1])


def own_measure(kind: str) -> str:
    """The canonical unit in which the model counts a fuel: L, kg or MJ."""
    return canonical_measure(unit(evidence.fuel(kind).measure).dimension)
