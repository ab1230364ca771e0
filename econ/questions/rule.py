"""The rule behind the finding: buy, do not buy, or measure first.

What the kiln is measured against is the best other option of which the model knows (today's way, where no
other is filled in). The rule, in this order:

1. No ranges. One figure says nothing of its own risk. NPV below the least worth the trouble: do not buy.
   Otherwise: measure first.
2. Buy where the mean NPV is at least the least worth the trouble *and* the chance of losing money is at
   most the user's limit for buying.
3. Do not buy where the mean NPV is below the least worth the trouble *and* either the chance of losing
   money is at least the user's limit for refusing, or no input alone turns the NPV across nought within
   its own range: then no single measurement could change the answer.
4. Otherwise measure first, the inputs that turn it first, by the size of their effect.

The three limits are rows of the sheet Money. Mean, not middle, because losses and gains of many years add
up by their mean.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from econ.questions.chances import Chances
from econ.questions.effects import Effect
from econ.scenario.records import Scenario

Verdict = Literal["buy", "do not buy", "measure first"]


@dataclass(frozen=True, slots=True)
class Limits:
    """The user's limits: chance of loss up to which to buy, from which to refuse, and the least mean NPV."""

    buy_at: float
    refuse_at: float
    least_npv: float

    @classmethod
    def of(cls, scenario: Scenario) -> Limits:
        """The limits typed on the sheet Money, or their defaults."""
        return cls(
            scenario["rule.buy_at_loss_chance"].number,
            scenario["rule.refuse_at_loss_chance"].number,
            scenario["rule.least_mean_npv"].number,
        )


@dataclass(frozen=True, slots=True)
class Finding:
    """What the rule says, and what it leaned on; `turners` are keys, the largest effect first."""

    verdict: Verdict
    mean_npv: float
    loss: float
    turners: tuple[str, ...]
    has_ranges: bool
    limits: Limits


def finding(limits: Limits, effects: Sequence[Effect], found: Chances) -> Finding:
    """The finding of the rule above."""
    turners = tuple(effect.entry.row.key for effect in effects if effect.turns)
    verdict = decide(limits, found.decisive_mean, found.char_is_dearer, len(turners), bool(effects))
    return Finding(verdict, found.decisive_mean, found.char_is_dearer, turners, bool(effects), limits)


def decide(limits: Limits, mean_npv: float, loss: float, turners: int, has_ranges: bool) -> Verdict:
    """The rule alone: mean NPV [currency], chance of a loss 0 to 1, number of inputs that turn it."""
    is_worth_it = mean_npv >= limits.least_npv
    if not has_ranges:
        return "measure first" if is_worth_it else "do not buy"
    if is_worth_it and loss <= limits.buy_at:
        return "buy"
    if not is_worth_it and (loss >= limits.refuse_at or not turners):
        return "do not buy"
    return "measure first"
