"""Effects of the user's own ranges, one input at a time: a single call of the model."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from econ.model.evaluate import evaluate
from econ.model.ledger import Quantity
from econ.model.plan import Plan
from econ.scenario.records import Entry, Scenario

MEASURES = (
    "npv",
    "payback_years",
    "net_cost_per_kg_bones",
    "durable_c_kg",
    "project_net_kg_co2e",
    "char_kg",
)
"""The answers that effects are shown for."""


@dataclass(frozen=True, slots=True)
class Effect:
    """One input moved to its low and its high: the answers there, by measure; nan where withheld."""

    entry: Entry
    at_low: Mapping[str, float]
    at_high: Mapping[str, float]

    def swing(self, measure: str) -> float:
        """How far the answer moves between low and high; 0 where either is withheld."""
        moved = abs(self.at_high[measure] - self.at_low[measure])
        return float(moved) if np.isfinite(moved) else 0.0


def effects(scenario: Scenario, plan: Plan) -> tuple[Effect, ...]:
    """The effect of every input with a range, the largest on NPV first.

    Case 2i is input i at its low, case 2i + 1 the same at its high, all else at its value.
    """
    ranged = scenario.ranged()
    if not ranged:
        return ()
    answers = table(scenario.numbers(), plan, ranged, MEASURES)
    found = [
        Effect(
            entry,
            {measure: float(answers[measure][2 * i]) for measure in MEASURES},
            {measure: float(answers[measure][2 * i + 1]) for measure in MEASURES},
        )
        for i, entry in enumerate(ranged)
    ]
    return tuple(sorted(found, key=lambda effect: -effect.swing("npv")))


def table(
    numbers: Mapping[str, float], plan: Plan, ranged: Sequence[Entry], measures: Sequence[str]
) -> dict[str, Quantity]:
    """Answers of shape (2 × inputs,) for each measure, from one call of the model."""
    cases = 2 * len(ranged)
    moved: dict[str, Quantity] = dict(numbers)
    for i, entry in enumerate(ranged):
        column = np.full(cases, entry.number)
        column[2 * i], column[2 * i + 1] = entry.low, entry.high
        moved[entry.row.key] = column
    found = evaluate(moved, plan, frozenset(measures))
    return {measure: np.broadcast_to(found.lines[measure], (cases,)) for measure in measures}
