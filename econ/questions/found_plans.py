"""What the search over plans finds, as records: limits, plans tried, ways beside them, the best plan."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from econ.inputs.lanes import beside
from econ.inputs.records import Scenario

Moves = Mapping[str, float]
"""Values of inputs by key, in canonical units, put over those typed."""

P10_TO_P90 = 2.5631
"""Standard deviations of a normal curve from its P10 to its P90."""
WEEKS = 52
NONE_LEFT_KG = 1e-6


@dataclass(frozen=True, slots=True)
class Bounds:
    """The user's limits: hours in a week of operation, money at the start, unsold char [kg], probability."""

    hours_per_week: float = math.inf
    capital: float = math.inf
    unsold_kg: float = math.inf
    loss: float = 1.0

    @classmethod
    def of(cls, scenario: Scenario) -> Bounds:
        """The limits typed on the sheet Options."""
        return cls(
            scenario.number_or("plans.hours_per_week", math.inf) / WEEKS,
            scenario.number_or("plans.capital", math.inf),
            NONE_LEFT_KG if scenario.choice("plans.unsold") == "none" else math.inf,
            scenario.number_or("plans.loss_chance", 1.0),
        )

    def kept(self, at: Mapping[str, Any], weeks: Any) -> Any:
        """Whether plans keep the limits of hours, capital and stock, from the figures LIMITED [bool array]."""
        hours, capital = beside(self.hours_per_week), beside(self.capital)
        kept = at["hours_per_year"] / weeks <= hours * (1 + 1e-9)
        return kept & (at["capital_total_today"] <= capital) & (at["char_to_stock_kg"] <= self.unsold_kg)


LIMITED = frozenset({
    "hours_per_year", "capital_total_today", "char_to_stock_kg", "bones_fired_kg", "bones_eligible_kg",
})  # fmt: skip
"""Figures of a plan that its limits and its share are read from."""


def processed(at: Mapping[str, Any]) -> Any:
    """Share of the eligible bones that is processed, from the figures LIMITED."""
    return at["bones_fired_kg"] / np.maximum(at["bones_eligible_kg"], NONE_LEFT_KG)


@dataclass(frozen=True, slots=True)
class Tried:
    """One plan: its moves, figures at the typed values, and NPV over the samples [currency]; masses in kg a year.

    `net_kg_co2e` is nan where not reported; `is_allowed` says that the user's limits are kept.
    """

    moves: Moves
    npv: float
    mean: float
    p10: float
    p90: float
    loss: float
    hours_per_week: float
    unsold_kg: float
    sold_kg: float
    net_kg_co2e: float
    capital: float
    bones_kg: float
    share: float
    batches: float
    is_allowed: bool


@dataclass(frozen=True, slots=True)
class Beside:
    """A way that stands beside the plan typed, over the same samples: composting first, bones of others."""

    number: int
    kind: str
    mean: float
    p10: float
    loss: float
    taken_kg: float


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


@dataclass(frozen=True, slots=True)
class Plans:
    """What was found: the plan typed, the coarse table, the best plan and its figures from a fresh seed.

    `best` is None where no plan keeps the limits. `curve` holds the best plan (the typed one without a best) at
    every share processed; `flat` the shares whose mean NPV is as good as the best. `sets` are the moves of the
    best as options of the command; `seed` and `samples` those of its own figures.
    """

    typed: Tried
    coarse: tuple[Tried, ...]
    best: Tried | None
    curve: tuple[Tried, ...]
    flat: tuple[float, float]
    beside: tuple[Beside, ...]
    bounds: Bounds
    tried: int
    pace: Pace | None = None
    sets: tuple[str, ...] = ()
    seed: int = 0
    samples: int = 0

    @property
    def is_better(self) -> bool:
        """Whether another plan than the typed one has the higher mean NPV, beyond what chance may do.

        Two standard errors of the difference of two means; the deviation from P10 to P90 as of a normal curve.
        """
        if self.best is None or not self.best.moves:
            return False
        wide = math.hypot(*(one.p90 - one.p10 for one in (self.best, self.typed))) / P10_TO_P90
        return self.best.mean - self.typed.mean > 2 * wide / math.sqrt(self.samples)
