"""Effects of the user's own ranges, one input at a time: a single call of the model."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from econ.evidence import curves, factor
from econ.inputs.ranges import drawable
from econ.inputs.records import Entry, Scenario
from econ.model.evaluate import evaluate
from econ.model.ledger import Quantity, total
from econ.model.plan import Plan


def edges_inside(entry: Entry, plan: Plan) -> tuple[float, ...]:
    """The class edges between low and high of an input, in its canonical unit; empty where there are none.

    Peak temperature: the edges of the classes of lasting carbon, where that method is chosen. H/C_org and
    soil temperature: the limits beyond which the other method gives no figure. A class holds its upper
    edge, so an edge counts from low (included) to high (left out).
    """
    if entry.low is None or entry.high is None:
        return ()
    return tuple(edge for edge in _edges(entry.row.key, plan) if entry.low <= edge < entry.high)


def _edges(key: str, plan: Plan) -> tuple[float, ...]:
    if key == "kiln.peak_temperature" and plan.persistence == "temperature-class":
        return tuple(float(edge) for edge in curves.persistence_classes().edges_c)
    if plan.persistence != "hydrogen-ratio":
        return ()
    if key == "carbon.h_corg":
        return (factor("hc_lim").value,)
    if key == "carbon.soil_temperature":
        soil_c = curves.persistence_by_hc().soil_c
        return float(soil_c[0]), float(soil_c[-1])
    return ()


END_USES = ("carbon.in_scope_share", "carbon.beds_share", "carbon.blends_share", "carbon.other_share")
"""Where the char ends up; what they leave of the whole is not said."""


def kept_whole(numbers: Mapping[str, Quantity], plan: Plan) -> dict[str, Quantity]:
    """The numbers with shares scaled down wherever those of one whole together pass 100 %.

    Two wholes: the product tiers other than the one that takes the rest, and the end uses of the char.
    Shares that add up to no more than 1 are returned as they were, to the last digit. Composition needs
    no such care: the model scales water, fat, protein and ash itself.
    """
    found = dict(numbers)
    for group in _groups(numbers, plan):
        if any(np.ndim(numbers[key]) for key in group):
            over = np.maximum(total(numbers[key] for key in group), 1.0)
            found |= {key: numbers[key] / over for key in group}
    return found


def _groups(numbers: Mapping[str, Quantity], plan: Plan) -> Iterator[list[str]]:
    """The typed shares of each whole."""
    yield [key for n in plan.tiers if n != plan.rest_tier and (key := f"product.{n}.share") in numbers]
    yield [key for key in END_USES if key in numbers]


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
