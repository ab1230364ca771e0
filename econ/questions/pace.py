"""Buy now, start small, or wait: a decision in two stages over one set of samples.

A pilot kiln runs a year and weighs every batch; one season's sales are seen. Then the full plan is bought, a
year late, or the pilot kiln is sold and the bones go back to current practice. What the news is worth is fitted
over the samples as for any evidence (`value_of_information.py`), so it errs low. Batches are seen with the
scatter between them, sales as they truly are, which errs high. Bought a year late, the full plan is worth its
NPV, grown with prices and discounted by a year.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from econ.questions.value_of_information import by_number, of_everything, of_learning

Numbers = NDArray[np.float64]

SALES = r"product\.\d+\.(price|market_limit|customers|repeat_share)|market\.sales_share"
"""Inputs that a season's sales show, by pattern of their keys."""
DEGREE = 3
INSIDE = (5, 95)


@dataclass(frozen=True, slots=True)
class Sign:
    """What would have to be seen to go on: a figure or key, at least or at most, and the bound."""

    name: str
    at_least: bool
    bound: float


@dataclass(frozen=True, slots=True)
class Pace:
    """Mean present value of each way to start [currency]; `batches` weighed in the pilot's year.

    `perfect` is the mean with perfect news and free waiting, a bound on any pilot.
    """

    buy: float
    pilot: float
    wait: float
    perfect: float
    batches: float
    signs: tuple[Sign, ...]

    @property
    def best(self) -> str:
        """The way of the highest mean: buy, pilot, wait, or no where none is above zero."""
        ways = {"buy": self.buy, "pilot": self.pilot, "wait": self.wait}
        name = max(ways, key=lambda one: ways[one])
        return name if ways[name] > 0 else "no"


def two_stage(later: Numbers, stop: Numbers, learnt: Sequence[Numbers] | None = None) -> float:
    """Mean of the better of going on and stopping after the news [currency]; shape (samples,) each.

    `learnt`: what the news shows, one array each; None for perfect news. Without news the better mean.
    """
    values = np.array([later, stop])
    gain = of_everything(values) if learnt is None else of_learning(values, learnt)
    return float(np.max(np.mean(values, axis=1))) + gain.gain


def signs(later: Numbers, stop: Numbers, learnt: Mapping[str, Numbers]) -> tuple[Sign, ...]:
    """For each thing learnt alone: the bound at which going on is worth as much as stopping on average.

    A cubic fit of the difference; nothing where it crosses zero never or more than once from P5 to P95.
    """
    found = []
    for name, seen in learnt.items():
        low, high = np.percentile(seen, INSIDE)
        if not low < high:
            continue
        at = np.linspace(low, high, 201)
        fit = np.polynomial.Polynomial.fit(seen, later - stop, DEGREE)(at)
        turns = np.flatnonzero(np.diff(np.sign(fit)))
        if len(turns) == 1:
            i = int(turns[0])
            bound = at[i] - fit[i] * (at[i + 1] - at[i]) / (fit[i + 1] - fit[i])
            found.append(Sign(name, bool(fit[-1] > fit[0]), float(bound)))
    return tuple(found)


def paced(
    npv: Numbers,
    pilot_cash: Numbers,
    money: Mapping[str, float],
    shown: tuple[Mapping[str, Numbers], Mapping[str, float]],
    sold: Mapping[str, Numbers],
    seed: int,
) -> Pace:
    """The three ways to start.

    npv: of the full plan bought today; pilot_cash: operating cash of the pilot's year, at its end; money: `cost`
    and `resale` of the pilot, `rate` and `rise` a year, `batches` weighed; shown: what batches truly show and its
    spread from batch to batch; sold: what a season's sales show. Arrays of shape (samples,).
    """
    growth, year = (1 + money["rise"]) / (1 + money["rate"]), 1 / (1 + money["rate"])
    means = by_number(*shown, int(money["batches"]), seed)
    learnt = {**means, **sold}
    later, stop = npv * growth + money["resale"] * year, np.full_like(npv, money["resale"] * year)
    start = float(np.mean(pilot_cash)) * year - money["cost"]
    seen = signs(later, stop, learnt)
    return Pace(
        buy=float(np.mean(npv)),
        pilot=start + two_stage(later, stop, list(learnt.values())),
        wait=max(float(np.mean(npv)) * growth, 0.0),
        perfect=two_stage(npv, np.zeros_like(npv)),
        batches=money["batches"],
        signs=seen,
    )
