"""What the rule sees and says, as records: limits, looks at samples, deciding facts, the finding, the headline."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from econ.inputs.records import Scenario
from econ.questions.purchases import asked

MIDDLE_HALF = (0.25, 0.75)

Verdict = Literal["buy", "do not buy", "measure first", "rough: no decision yet"]


@dataclass(frozen=True, slots=True)
class Limits:
    """The user's limits: probability of a negative NPV up to which to buy, and the least mean NPV."""

    buy_at: float
    least_npv: float

    @classmethod
    def of(cls, scenario: Scenario) -> Limits:
        """The limits typed on the sheet Money, or their defaults."""
        return cls(scenario["rule.buy_at_loss_chance"].number, scenario["rule.least_mean_npv"].number)


@dataclass(frozen=True, slots=True)
class Look:
    """What the rule sees of a set of samples: mean NPV [currency] and share of samples below zero.

    `sober_mean` and `sober_loss` are the same with the gains of lopsided ranges left out. Each is an array
    (plants,) where many plants are looked at together.
    """

    mean: float
    loss: float
    sober_mean: float
    sober_loss: float

    @classmethod
    def of(cls, npv: NDArray[np.float64], unearned: Any) -> Look:
        """The look of samples of NPV on the last axis; `unearned`: what lopsided ranges add to the mean, >= 0."""
        mean, most = np.mean(npv, axis=-1), np.asarray(unearned)[..., None]
        found = mean, np.mean(npv < 0, axis=-1), mean - unearned, np.mean(npv < most, axis=-1)
        return cls(*(one if one.ndim else float(one) for one in map(np.asarray, found)))  # type: ignore[arg-type]

    def of_plant(self, at: int) -> Look:
        """The look of one of many plants."""
        return Look(*(float(np.atleast_1d(getattr(self, one.name))[at]) for one in fields(self)))


@dataclass(frozen=True, slots=True)
class Fact:
    """A deciding fact: a name, what it is in words, how it is settled, patterns of the keys it covers."""

    slug: str
    label: str
    settle: str
    keys: tuple[str, ...]


FACTS = tuple(Fact(**{**one, "keys": tuple(one["keys"])}) for one in asked()["fact"])
"""The deciding facts, in the order in which an owner can settle them."""


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a fact stands: the keys still open, and the look of the rule at its P5 and its P95."""

    fact: Fact
    open_keys: tuple[str, ...]
    at: tuple[Look, Look] | None = None
    can_turn: bool = False

    @property
    def is_settled(self) -> bool:
        """Whether nothing of it is open."""
        return not self.open_keys

    @property
    def swing(self) -> float:
        """What the fact can still do to the mean NPV, from P5 to P95 [currency]."""
        return abs(self.at[1].mean - self.at[0].mean) if self.at else 0.0


@dataclass(frozen=True, slots=True)
class Deciding:
    """All deciding facts, the look with every input sampled, and the mean with what can turn at its best."""

    standings: tuple[Standing, ...]
    look: Look
    best_mean: float
    blank: tuple[str, ...]

    @property
    def missing(self) -> tuple[Standing, ...]:
        """The facts that can turn the verdict and are not settled, the largest effect on the NPV first."""
        found = [one for one in self.standings if one.can_turn]
        return tuple(sorted(found, key=lambda one: -one.swing))


@dataclass(frozen=True, slots=True)
class Finding:
    """What the rule says, and what it leaned on.

    `mean_npv` and `loss` are those of the NPV that the rule weighs, over all samples of the run; `evidence`
    names what a deep run found worth having first, the best first.
    """

    verdict: Verdict
    mean_npv: float
    loss: float
    deciding: Deciding
    limits: Limits
    evidence: tuple[str, ...] = ()

    @property
    def missing(self) -> tuple[Standing, ...]:
        """The facts that are not settled and can turn the verdict, the largest effect first."""
        return self.deciding.missing


@dataclass(frozen=True, slots=True)
class Headline:
    """NPV as typed [currency], P10, P50, P90 and mean of the samples, and the share of samples below it.

    `causes`: inputs by key (the ash of a stream stands for its four shares), and the change of the NPV when
    each alone goes from its value to its sampled mean, the largest change toward the mean first.
    `wider_loss`: probability that NPV is below zero with the user's own ranges of estimates `wider` times as
    wide; None where there are no such ranges.
    """

    typed: float
    p10: float
    p50: float
    p90: float
    mean: float
    place: float
    causes: tuple[tuple[str, float], ...]
    wider: float
    wider_loss: float | None
    made_of: Mapping[str, tuple[float, float]]

    @property
    def is_outside(self) -> bool:
        """Whether the typed value lies outside the middle half of the samples."""
        return not MIDDLE_HALF[0] <= self.place <= MIDDLE_HALF[1]


COVERAGE_ASKED = 1.25
"""Debt service coverage that lenders commonly ask for (common practice, no source)."""
CENT = 0.01
"""A balance not below this much under zero is zero."""


@dataclass(frozen=True, slots=True)
class Stress:
    """One trial of a lender: NPV, lowest debt service coverage (nan without a loan), lowest monthly balance."""

    name: str
    label: str
    npv: float
    lowest_coverage: float
    lowest_balance: float


@dataclass(frozen=True, slots=True)
class DebtChances:
    """Shares of the samples in which a lender's figure is missed, and the P10 of the lowest monthly balance.

    Coverage is nan without a loan. The balance counts a grant only once it is awarded; `with_award` counts one
    that is only asked for, nan where there is none.
    """

    coverage_below_asked: float
    coverage_below_one: float
    balance_below_zero: float
    balance_below_zero_with_award: float
    lowest_balance_p10: float
