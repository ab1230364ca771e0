"""The rule behind the finding: buy, do not buy, measure first, or no decision yet.

What the kiln is measured against is the best other option of which the model knows (current practice, where no
other is filled in). All inputs are sampled over their ranges. The rule, in this order:

1. Rough: no decision yet, where the amount sold or the price of the char was left blank.
2. Deciding facts (`deciding.py`) that are not settled and can turn what follows. While there are any, the
   finding is "do not buy" where the mean NPV stays below the least worth the trouble even with all of them
   together at their favourable ends (P5 or P95), else "measure first". It is never "buy". Where none of
   them turns a "do not buy", all open ones drawn together can, where they bring the mean there in 5 of 100 cases.
3. Buy where the mean NPV is at least the least worth the trouble *and* the probability that NPV is below zero
   is at most the user's limit.
4. Do not buy where the mean NPV is below the least worth the trouble.
5. Otherwise measure first: it pays on average, but the risk is above the limit.

For "buy" gains that only the longer arm of a lopsided range brings are left out: each input whose sampled mean
is better than its value is counted at its value (the sum of those gains is taken off every sample). So wider
ranges never make a "buy" out of anything else. With a deep run "buy" also asks that no evidence on the list may
bring, after its price, the user's share of the outlay.

All limits are rows of the sheet Money. Mean, not median, because gains and losses of many years add up by
their mean.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from econ.fields import fields, record
from econ.inputs.lanes import beside
from econ.inputs.records import Scenario
from econ.questions.found import Chances
from econ.questions.found_deep import TRIALS, Deep, asked

MIDDLE_HALF = (0.25, 0.75)

Verdict = Literal["buy", "do not buy", "measure first", "rough: no decision yet"]
WEEKS = 52
NONE_LEFT_KG = 1e-6
LIMITED = frozenset({
    "hours_per_year", "capital_total_today", "char_to_stock_kg", "bones_fired_kg", "bones_eligible_kg",
})  # fmt: skip
"""Figures of a plan that its limits and its share are read from."""


@record(frozen=True, slots=True)
class Limits:
    """The user's limits: probability of a negative NPV up to which to buy, and the least mean NPV."""

    buy_at: float
    least_npv: float

    @classmethod
    def of(cls, scenario: Scenario) -> Limits:
        """The limits typed on the sheet Money, or their defaults."""
        return cls(scenario["rule.buy_at_loss_chance"].number, scenario["rule.least_mean_npv"].number)


@record(frozen=True, slots=True)
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


def processed(at: Mapping[str, Any]) -> Any:
    """Share of the eligible bones that is processed, from the figures LIMITED."""
    return at["bones_fired_kg"] / np.maximum(at["bones_eligible_kg"], NONE_LEFT_KG)


@record(frozen=True, slots=True)
class Look:
    """Mean NPV [currency] and share below zero; `sober_`: without gains of lopsided ranges; or (plants,)."""

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


class Fact(NamedTuple):
    """A deciding fact: a name, what it is in words, how it is settled, patterns of the keys it covers."""

    slug: str
    label: str
    settle: str
    keys: tuple[str, ...]


FACTS = tuple(Fact(**{**one, "keys": tuple(one["keys"])}) for one in asked()["fact"])
"""The deciding facts, in the order in which an owner can settle them."""


class Standing(NamedTuple):
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


class Deciding(NamedTuple):
    """All deciding facts, the look at all inputs, the mean with what can turn at its best, `together` or not."""

    standings: tuple[Standing, ...]
    look: Look
    best_mean: float
    blank: tuple[str, ...]
    together: bool = False

    @property
    def missing(self) -> tuple[Standing, ...]:
        """The facts that can turn the verdict and are not settled, the largest effect on the NPV first."""
        found = (one for one in self.standings if one.can_turn or (self.together and one.swing))
        return tuple(sorted(found, key=lambda one: -one.swing))


@record(frozen=True, slots=True)
class Finding:
    """What the rule says of the NPV it weighs, and what it leaned on; `evidence`: worth having, best first."""

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


@record(frozen=True, slots=True)
class Headline:
    """NPV as typed [currency], P10, P50, P90, mean of the samples, the share below it, and what it hangs on.

    `causes`: by key the change from value to sampled mean; `wider_loss`: own ranges `wider` as wide, or None.
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


def ruled(limits: Limits, look: Look) -> Verdict:
    """Points 3 to 5 of the rule."""
    if look.sober_mean >= limits.least_npv and look.sober_loss <= limits.buy_at:
        return "buy"
    return "do not buy" if look.mean < limits.least_npv else "measure first"


def verdict(
    limits: Limits, look: Look, *, missing: int, best_mean: float, is_blank: bool = False,
    evidence: Sequence[str] = (),
) -> Verdict:  # fmt: skip
    """The whole rule; `missing`: open facts that can turn; `best_mean`: mean NPV with all of them favourable."""
    if is_blank:
        return "rough: no decision yet"
    if missing:
        return "do not buy" if best_mean < limits.least_npv else "measure first"
    found = ruled(limits, look)
    return "measure first" if found == "buy" and evidence else found


def finding(limits: Limits, drawn: Chances, facts: Deciding, deep: Deep | None = None) -> Finding:
    """The finding by the rule."""
    evidence = () if deep is None else worth_having(deep)
    found = verdict(limits, facts.look, missing=len(facts.missing), best_mean=facts.best_mean,
                    is_blank=bool(facts.blank), evidence=evidence)  # fmt: skip
    return Finding(found, drawn.spreads[drawn.decisive].mean, drawn.char_is_dearer, facts, limits, evidence)


def worth_having(deep: Deep) -> tuple[str, ...]:
    """Names of the evidence that may bring enough after its price, the best first."""
    nets = {offer.purchase.slug: offer.net for offer in deep.offers}
    nets |= {TRIALS: deep.best_count.net} if deep.best_count is not None else {}
    enough = [slug for slug, net in nets.items() if net > 0 and net >= deep.least_gain]
    return tuple(sorted(enough, key=lambda slug: -nets[slug]))
