"""Faults and cautions on ranges that only their use shows."""

from __future__ import annotations

from collections.abc import Iterator

from econ.errors import InputFault
from econ.inputs.ranges import drawable
from econ.inputs.records import Caution, Scenario
from econ.model.plan import Plan
from econ.questions.draws import pair_faults
from econ.questions.edges import edges_inside


def faults(scenario: Scenario) -> list[InputFault]:
    """Inputs that cannot move together as typed."""
    return pair_faults(scenario)


def cautions(scenario: Scenario, plan: Plan) -> Iterator[Caution]:
    """Cautions on ranges that reach across a class edge, or that are not used."""
    for entry in scenario.ranged():
        if not drawable(entry):
            yield Caution(
                "range-not-used", f"{entry.row.label} is a choice: its low and high are not used.", entry.where
            )
        elif edges := edges_inside(entry, plan):
            unit = entry.unit.name if entry.unit else ""
            shown = " and ".join(f"{entry.shown(edge):,.4g}" for edge in edges)
            yield Caution(
                "class-edge",
                f"The range of {entry.row.label.lower()} holds a class edge of the carbon method ({shown} "
                f"{unit}): the carbon figures jump there.",
                entry.where,
            )
