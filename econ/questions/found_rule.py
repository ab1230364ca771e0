"""What the rule sees and says, as records: limits, looks at samples, deciding facts, the finding, the headline."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from econ.inputs.records import Scenario

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


FACTS = (
    Fact("amount", "how much sells", "orders, letters of intent, or a year's own sales",
         (r"product\.\d+\.(market_limit|customers|repeat_share)", r"market\.sales_share")),
    Fact("price", "the price of the char", "sales, or written offers", (r"product\.\d+\.price",)),
    Fact("quote", "the price of the kiln", "a written quote", (r"kiln\.price",)),
    Fact("hauler", "what the hauler's bill falls by", "the hauler's word in writing", (r"current\.saving",)),
    Fact("yield", "the char yield", "a weighed batch, yours or at a seller's kiln",
         (r"kiln\.char_yield", r"kiln\.residue_ratio", r"bones\.\d+\.(water|fat|ash)_share")),
    Fact("load", "the load of a batch", "a weighed batch, or the maker in writing", (r"kiln\.batch_load",)),
    Fact("fuel", "the fuel of a batch", "a metered batch, or the maker in writing", (r"fuel\.\d+\.per_batch",)),
    Fact("hours", "the labour hours of a batch", "a timed batch",
         (r"labour\.hours_per_batch", r"task\.\d+\.hours")),
    Fact("permit", "the cost of permits", "the permit office asked", (r"running\.permits_per_year",)),
    Fact("insurance", "the cost of insurance", "the insurer asked", (r"running\.insurance_per_year",)),
)  # fmt: skip
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

    @property
    def is_decided(self) -> bool:
        """Whether the verdict is to buy or not to buy."""
        return self.verdict in ("buy", "do not buy")


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
