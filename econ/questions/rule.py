"""The rule behind the finding: buy, do not buy, measure first, or no decision yet.

What the kiln is measured against is the best other option of which the model knows (current practice, where no
other is filled in). All inputs are sampled over their ranges. The rule, in this order:

1. Rough: no decision yet, where the amount sold or the price of the char was left blank.
2. Deciding facts (`deciding.py`) that are not settled and can turn what follows. While there are any, the
   finding is "do not buy" where the mean NPV stays below the least worth the trouble even with all of them
   together at their favourable ends (P5 or P95), else "measure first". It is never "buy".
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

from collections.abc import Sequence

from econ.questions.found import Chances
from econ.questions.found_deep import Deep
from econ.questions.found_rule import Deciding, Finding, Limits, Look, Verdict
from econ.questions.purchases import TRIALS


def ruled(limits: Limits, look: Look) -> Verdict:
    """Points 3 to 5 of the rule."""
    if look.sober_mean >= limits.least_npv and look.sober_loss <= limits.buy_at:
        return "buy"
    return "do not buy" if look.mean < limits.least_npv else "measure first"


def verdict(
    limits: Limits,
    look: Look,
    *,
    missing: int,
    best_mean: float,
    is_blank: bool = False,
    evidence: Sequence[str] = (),
) -> Verdict:
    """The whole rule.

    `missing`: deciding facts that are not settled and can turn; `best_mean`: the mean NPV with all of them at
    their favourable ends; `evidence`: what a deep run says is worth having first.
    """
    if is_blank:
        return "rough: no decision yet"
    if missing:
        return "do not buy" if best_mean < limits.least_npv else "measure first"
    found = ruled(limits, look)
    return "measure first" if found == "buy" and evidence else found


def finding(limits: Limits, drawn: Chances, facts: Deciding, deep: Deep | None = None) -> Finding:
    """The finding by the rule (`rule.py`)."""
    evidence = () if deep is None else worth_having(deep)
    found = verdict(
        limits,
        facts.look,
        missing=len(facts.missing),
        best_mean=facts.best_mean,
        is_blank=bool(facts.blank),
        evidence=evidence,
    )
    return Finding(found, drawn.decisive_mean, drawn.char_is_dearer, facts, limits, evidence)


def worth_having(deep: Deep) -> tuple[str, ...]:
    """Names of the evidence that may bring enough after its price, the best first."""
    nets = {offer.purchase.slug: offer.net for offer in deep.offers}
    if deep.best_count is not None:
        nets[TRIALS] = deep.best_count.net
    enough = [slug for slug, net in nets.items() if net > 0 and net >= deep.least_gain]
    return tuple(sorted(enough, key=lambda slug: -nets[slug]))
