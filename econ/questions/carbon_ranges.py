"""Low, middle and high of the carbon figures: the ranges of all inputs at once, through the same model."""

from __future__ import annotations

import re
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from econ.inputs.records import Scenario
from econ.model.blanks import blanks
from econ.model.evaluate import evaluate
from econ.model.ledger import Quantity
from econ.model.plan import Plan
from econ.questions.found import CASES, Span

SEED = 7
ENDS = (5.0, 95.0)
"""Percentiles called low and high: nine cases in ten lie between."""

FIGURES = (
    "durable_c_kg", "removal_kg_co2e", "potential_removal_kg_co2e", "removal_by_class_kg_co2e",
    "removal_by_inventory_kg_co2e", "removal_outward_kg_co2e", "project_net_outward_kg_co2e",
    "removal_by_hc_kg_co2e", "removal_by_hc_lab_kg_co2e", "removal_by_hc_corrected_kg_co2e", "process_kg_co2e",
    "avoided_kg_co2e", "avoided_with_credits_kg_co2e", "credits_lost_kg_co2e", "project_net_kg_co2e",
    "difference_kg_co2e", "difference_with_credits_kg_co2e",
)  # fmt: skip

CAUSES = (
    (r"bones\.\d+\.mass", "how many bones come"),
    (r"bones\.\d+\.excluded_share", "what is excluded"),
    (r"bones\.\d+\.(water|fat|protein|ash)_share", r"the bones: \1"),
    (r"fuel\.\d+\.per_batch", "how wet the load is"),
    (r"handling\.compost_(ch4|n2o)", "how the pile is kept"),
    (r"handling\.lf_(doc|docf|rots|decay)", "how the landfill rots"),
    (r"handling\.(meal|tallow)_credit", "what feed and fat displace"),
    (r"(haul|handling\.haul)[._]distance", "roads"),
)
"""Rows that share a cause, by pattern: they take the same place in their ranges, low with low."""


def cause(row: str) -> str:
    """The cause that a row shares with others, or its own key."""
    for pattern, name in CAUSES:
        if found := re.fullmatch(pattern, row):
            return found.expand(name)
    return row


def spans(scenario: Scenario, plan: Plan, figures: Mapping[str, float]) -> dict[str, Span]:
    """Low, middle and high of every carbon figure.

    The middle is the figure itself; low and high are the 5th and 95th percentile of CASES samples, each
    input on a triangle between its low, value and high. Rows left blank take the range of their factor.
    Warming potentials are held: they are a convention, chosen once. Seeded, so the same every time.
    """
    drawn = samples(scenario, plan)
    base = {name: float(figures[name]) for name in FIGURES}
    if not drawn:
        return {name: Span(value, value, value) for name, value in base.items()}
    numbers: dict[str, Quantity] = {**scenario.numbers(), **drawn}
    with np.errstate(invalid="ignore"):
        found = evaluate(numbers, plan, frozenset(FIGURES)).lines
    return {name: _span(base[name], np.broadcast_to(found[name], (CASES,))) for name in FIGURES}


def samples(scenario: Scenario, plan: Plan) -> dict[str, NDArray[np.float64]]:
    """Numbers of shape (CASES,) for every input with a range; rows of one cause move together."""
    ranges = {entry.row.key: (entry.low, entry.number, entry.high) for entry in scenario.ranged()}
    for one in blanks(plan):
        low, value, high = one.ends()
        if one.row not in ranges and not scenario.has(one.row) and low < high:
            ranges[one.row] = (low, value, high)
    rng = np.random.default_rng(SEED)
    places: dict[str, NDArray[np.float64]] = {}
    found = {}
    for row in sorted(ranges):
        group = cause(row)
        if group not in places:
            places[group] = (rng.permutation(CASES) + rng.random(CASES)) / CASES
        low, value, high = (float(end) for end in ranges[row] if end is not None)
        found[row] = triangle(places[group], low, value, high)
    return found


def triangle(place: NDArray[np.float64], low: float, value: float, high: float) -> NDArray[np.float64]:
    """The number at `place` (0..1) of a triangular distribution with its peak at `value`."""
    width = high - low
    peak = (value - low) / width
    rising = low + np.sqrt(place * width * (value - low))
    falling = high - np.sqrt((1 - place) * width * (high - value))
    return np.where(place < peak, rising, falling)


def _span(middle: float, cases: NDArray[np.float64]) -> Span:
    known = cases[np.isfinite(cases)]
    withheld = 1 - len(known) / len(cases)
    if not np.isfinite(middle) or not len(known):
        return Span(np.nan, np.nan, np.nan, withheld)
    low, high = np.percentile(known, ENDS)
    return Span(float(min(low, middle)), middle, float(max(high, middle)), withheld)
