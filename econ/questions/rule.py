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

With a deep run the worth of measuring decides between measuring and choosing, in this order:

1. No ranges: as above.
2. Measure first where some evidence that can be bought may bring, after its price, at least the user's share
   of the outlay: for trial firings the worth of the best number of them, for all else the most it could be
   worth. A price not filled in counts as nothing.
3. Buy where the kiln is on average ahead of the best other way by the least worth the trouble, *and* falls
   behind it in no more of the samples than the user's limit for buying.
4. Otherwise do not buy: either it does not pay on average, or the risk is above the limit and nothing on the
   list would take it away.

All limits are rows of the sheet Money. Mean, not middle, because losses and gains of many years add
up by their mean.
"""

from __future__ import annotations

from collections.abc import Sequence

from econ.questions.found import Chances, Effect
from econ.questions.found_deep import Deep, Finding, Limits, Verdict
from econ.questions.purchases import TRIALS


def finding(limits: Limits, effects: Sequence[Effect], found: Chances, deep: Deep | None = None) -> Finding:
    """The finding of the rule above; with `deep`, of its second part."""
    turners = tuple(effect.entry.row.key for effect in effects if effect.turns)
    if deep is not None and effects:
        evidence = worth_having(deep)
        verdict = decide_deep(limits, deep.ahead, deep.behind, bool(evidence))
        lead = deep.ahead + limits.least_npv
        return Finding(verdict, lead, deep.behind, turners, True, limits, evidence)
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


def decide_deep(limits: Limits, ahead: float, behind: float, is_evidence_worth_it: bool) -> Verdict:
    """The second part of the rule: mean lead less the least worth the trouble, share of samples behind."""
    if is_evidence_worth_it:
        return "measure first"
    return "buy" if ahead >= 0 and behind <= limits.buy_at else "do not buy"


def worth_having(deep: Deep) -> tuple[str, ...]:
    """Names of the evidence that may bring enough after its price, the best first."""
    nets = {offer.purchase.slug: offer.net for offer in deep.offers}
    if deep.best_count is not None:
        nets[TRIALS] = deep.best_count.net
    enough = [slug for slug, net in nets.items() if net > 0 and net >= deep.least_gain]
    return tuple(sorted(enough, key=lambda slug: -nets[slug]))
