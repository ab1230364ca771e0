"""Effects of the user's own ranges, one input at a time: a single call of the model."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from econ.inputs.ranges import drawable
from econ.inputs.records import Entry, Scenario
from econ.model.evaluate import evaluate
from econ.model.ledger import Quantity
from econ.model.plan import Plan
from econ.questions.edges import edges_inside
from econ.questions.shares import kept_whole

MEASURES = (
    "npv",
    "payback_years",
    "net_cost_per_kg_bones",
    "durable_c_kg",
    "project_net_kg_co2e",
    "char_kg",
)
"""The answers that effects are shown for."""
AGAINST_BEST = "npv_against_best"
"""The line for NPV against the best other option; where there is none, today's way is the only other."""
WHERE_MODELLED = ("difference_kg_co2e", AGAINST_BEST)
"""Further answers, shown where the model writes such a line; the first is that to current practice."""


@dataclass(frozen=True, slots=True)
class Effect:
    """One input moved to its low and its high: the answers there, by measure; nan where withheld.

    `edges` are the class edges inside the range, in the canonical unit of the input: the answer jumps
    there, so low and high do not say what lies between.
    """

    entry: Entry
    at_low: Mapping[str, float]
    at_high: Mapping[str, float]
    edges: tuple[float, ...] = ()

    def swing(self, measure: str) -> float:
        """How far the answer moves between low and high; 0 where either is withheld."""
        moved = abs(self.at_high[measure] - self.at_low[measure])
        return float(moved) if np.isfinite(moved) else 0.0

    @property
    def turns(self) -> bool:
        """Whether the kiln beats the best other option at one end of the range and not at the other."""
        measure = AGAINST_BEST if AGAINST_BEST in self.at_low else "npv"
        ends = self.at_low[measure], self.at_high[measure]
        return min(ends) < 0 <= max(ends)


def effects(scenario: Scenario, plan: Plan) -> tuple[Effect, ...]:
    """The effect of every input with a range, the largest on NPV first.

    Case 2i is input i at its low, case 2i + 1 the same at its high, all else at its value. Rows that are
    choices in number's clothing (years to look ahead, the limits of the rule) take no part.
    """
    ranged = [entry for entry in scenario.ranged() if drawable(entry)]
    if not ranged:
        return ()
    answers = table(scenario.numbers(), plan, ranged, (*MEASURES, *WHERE_MODELLED))
    found = [
        Effect(
            entry,
            {measure: float(cases[2 * i]) for measure, cases in answers.items()},
            {measure: float(cases[2 * i + 1]) for measure, cases in answers.items()},
            edges_inside(entry, plan),
        )
        for i, entry in enumerate(ranged)
    ]
    return tuple(sorted(found, key=lambda effect: -effect.swing("npv")))


def table(
    numbers: Mapping[str, float], plan: Plan, ranged: Sequence[Entry], measures: Sequence[str]
) -> dict[str, Quantity]:
    """Answers of shape (2 × inputs,) for each measure that the model writes, from one call of it."""
    cases = 2 * len(ranged)
    moved: dict[str, Quantity] = dict(numbers)
    for i, entry in enumerate(ranged):
        column = np.full(cases, entry.number)
        column[2 * i], column[2 * i + 1] = entry.low, entry.high
        moved[entry.row.key] = column
    found = evaluate(kept_whole(moved, plan), plan, frozenset(measures)).lines
    return {name: np.broadcast_to(found[name], (cases,)) for name in measures if name in found}
