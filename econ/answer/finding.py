"""The finding in words: one box, read alike by the screen, the JSON, the workbook and the note.

Decision first, then the one reason that weighs most, then what would change it; under it the headline.
"""

from __future__ import annotations

import re

from econ.answer.must_be_true import few, nearest
from econ.answer.results import Results
from econ.model.plan_parts import CHAR, TODAY
from econ.questions.found_deep import Deep
from econ.questions.found_rule import FACTS, Standing
from econ.questions.purchases import TRIALS

NAMED = 3
"""Facts named in one sentence."""
SHORT = {
    r"bones\.\d+\.ash_share": "bone make-up",
    r"bones\.\d+\.(mass|heads)": "amount of bones",
    r"kiln\.batch_load": "batch load",
    r"kiln\.price": "kiln price",
    r"kiln\.(char_yield|residue_ratio)": "char yield",
    r"product\.\d+\.price": "char price",
    r"product\.\d+\.(market_limit|customers|repeat_share)|market\.sales_share": "amount sold",
    r"current\.saving": "avoided disposal cost",
    r"labour\.hours_per_batch|task\.\d+\.hours": "labour hours",
    r"labour\.wage": "wage",
    r"fuel\.\d+\.per_batch": "fuel use",
    r"fuel\.\d+\.price": "fuel price",
}
"""Short names of inputs that often matter, by pattern of their keys."""
FACT_WORDS = {fact.slug: fact for fact in FACTS}


def terms(results: Results) -> str:
    """Against what, over how many years, at what rate."""
    plan = results.plan
    today = f" ({results.scenario['current.option'].words})"
    basis = "real" if plan.is_real else "nominal"
    rate = round(results.scenario["money.discount_rate"].number * 100, 2)
    return f"against current practice{today} over {plan.years} years at {rate:g} % {basis}"


def money(results: Results, value: float) -> str:
    """Money with three figures that matter, and the currency."""
    size = abs(value)
    step = 10.0 ** max(len(f"{size:.0f}") - 3, 0)
    return f"{round(value / step) * step:,.0f} {results.scenario.currency}"


def finding_sentence(results: Results) -> str:
    """The box: verdict, the one reason that weighs most, what would change it."""
    said = results.finding.verdict.replace(":", ",")
    return f"Finding: {said}. {reason(results)} {change(results)}".strip()


def reason(results: Results) -> str:
    """The one reason that weighs most."""
    found = results.finding
    if found.verdict.startswith("rough"):
        named = " and ".join(FACT_WORDS[slug].label for slug in found.deciding.blank)
        return f"Not said: {named}. Less knowledge cannot give a firmer answer."
    mean = f"Mean NPV is {money(results, found.mean_npv)}{_rival(results)}"
    if found.verdict == "measure first" and found.missing:
        first, at = found.missing[0], found.missing[0].at
        assert at is not None
        low, high = sorted((at[0].mean, at[1].mean))
        listed = "; ".join(one.fact.label for one in found.missing)
        return (
            f"Not settled, the most important first: {listed}. {_upper(first.fact.label)} alone moves the "
            "mean NPV "
            f"from {money(results, low)} to {money(results, high)}."
        )
    if found.verdict == "do not buy" and found.missing:
        best = money(results, found.deciding.best_mean)
        return f"{mean}, and {best} with every fact that is still open at its best."
    return f"{mean}, and NPV is below zero in {loss_words(results)} of {_runs(results)}."


def change(results: Results) -> str:
    """What would change the finding."""
    found = results.finding
    if found.verdict.startswith("rough"):
        return _enter(found.deciding.blank)
    if found.verdict == "measure first" and found.missing:
        return f"Settle first: {_settle(found.missing)}."
    if found.verdict == "measure first" and found.evidence and results.deep:
        return f"Worth having before signing: {'; '.join(worth_having(results, results.deep))}."
    if found.verdict == "measure first":
        limit = f"{found.limits.buy_at:.0%}"
        return f"The risk is above your limit of {limit}; it falls as the ranges of the inputs narrow."
    near = nearest(results)
    if near is None:
        return "No single value on the list of break-evens would change it."
    assert near.change is not None
    way = "lower" if near.change < 0 else "higher"
    return f"The nearest break-even: {near.label.lower()} {abs(near.change):.0%} {way}, all else as typed."


def _enter(blank: tuple[str, ...]) -> str:
    asked = {
        "amount": 'Enter on "Start here" how much sells at this price, or type "all of it"',
        "price": 'Enter on "Start here" the price that buyers have offered or paid',
    }
    return ". ".join(asked[slug] for slug in blank) + "."


def _settle(missing: tuple[Standing, ...]) -> str:
    ways = dict.fromkeys(one.fact.settle for one in missing)
    return "; ".join(list(ways)[:NAMED])


def _upper(text: str) -> str:
    return text[0].upper() + text[1:]


def _rival(results: Results) -> str:
    return "" if results.chances.decisive == "npv" else " against the best alternative"


def _runs(results: Results) -> str:
    return f"{results.chances.sampling.samples:,} simulation runs"


def loss_words(results: Results) -> str:
    """The probability that the NPV which the rule weighs is below zero."""
    return chance(results.finding.loss, results.chances.sampling.samples)


def headline_sentence(results: Results) -> str:
    """The NPV as typed, its place among the samples, and P10 to P90; what flatters it comes first."""
    found = results.headline
    place = f"NPV at your values is {money(results, found.typed)}, {place_words(found.place)}"
    ends = (
        f"P10 to P90: {money(results, found.p10)} to {money(results, found.p90)}; mean "
        f"{money(results, found.mean)}."
    )
    if not found.is_outside:
        return f"{place}. {ends}"
    names = " and ".join(short_name(results, key) for key, _ in found.causes)
    side = "favourable" if found.place > 0.5 else "unfavourable"
    why = f", mostly through {side} values of {names}" if names else ""
    return f"{place}{why}. {ends}"


def short_name(results: Results, key: str) -> str:
    """An input in one to four words."""
    named = next((name for pattern, name in SHORT.items() if re.fullmatch(pattern, key)), "")
    label = results.scenario[key].row.label.partition(" (")[0]
    return named or " ".join(label.split()[:4]).lower()


def place_words(place: float) -> str:
    """The place of a value among samples: "better than 94 of 100 cases"."""
    better = min(int(place * 100), 99)
    if better:
        return f"better than {better} of 100 cases"
    return "worse than 99 of 100 cases"


def wider_sentence(results: Results) -> str:
    """The probability of a negative NPV with the user's own ranges of estimates wider; empty without any."""
    found = results.headline
    if found.wider_loss is None:
        return ""
    said = chance(found.wider_loss, results.chances.sampling.samples)
    return (
        f"People's own ranges hold about half as often as they say: with your ranges of estimates {found.wider:g} "
        f"times as wide the probability that NPV is below zero is {said}."
    )


def carbon_finding(results: Results) -> str:
    """One sentence where the kiln is a net source of greenhouse gas; empty where it is none or not reported."""
    spread = results.chances.spreads["project_net_kg_co2e"]
    middle = spread.percentiles[50]
    if not middle < 0:
        return ""
    return (
        f"In carbon the kiln is a net source: the median is {few(-middle / 1000)} t CO2e a year more than the "
        "char "
        "stores."
    )


def best_rival(results: Results, deep: Deep) -> str:
    """The way that does best on average beside the kiln."""
    others = {name: mean for name, mean in deep.means.items() if name != CHAR}
    return way_label(results, max(others, key=lambda name: others[name]))


def way_label(results: Results, name: str) -> str:
    """A way of handling the bones in words: the kiln, current practice, or a priced option by its name."""
    if name in {CHAR, TODAY}:
        return {CHAR: "the kiln", TODAY: "current practice"}[name]
    typed = results.scenario[f"option.{name.split('_')[1]}.name"].value
    return str(typed or f"option {name.split('_')[1]}")


def deep_sentence(results: Results) -> str:
    """After a deep run: how far the kiln is ahead, and what knowing everything would be worth."""
    deep = results.deep
    if deep is None:
        return ""
    lead = deep.ahead + results.finding.limits.least_npv
    ahead = f"{money(results, abs(lead))} {'ahead of' if lead >= 0 else 'behind'}"
    text = (
        f"Over {deep.sampling.samples:,} simulation runs the kiln is on average {ahead} "
        f"{best_rival(results, deep)} "
        f"and falls behind it in {chance(deep.behind, deep.sampling.samples)} of them. Perfect information "
        "would be "
        f"worth {money(results, deep.total.gain)}."
    )
    if not results.finding.evidence:
        return (
            f"{text} Nothing on the list of evidence could bring {money(results, deep.least_gain)} "
            "after its price."
        )
    text += f" Worth having before signing: {'; '.join(worth_having(results, deep))}."
    return f"{text} {_log_first(results)}".rstrip()


def _log_first(results: Results) -> str:
    """Says that weighed batches are at hand and do not count yet, where more of them are advised."""
    idle = [one for one in results.measured.readings.standings if one.target.table == "log" and not one.is_used]
    if TRIALS not in results.finding.evidence or not idle:
        return ""
    firings = max(one.sample.n for one in idle)
    return f"The kiln log holds {firings} batches that do not count yet: switch them on before paying for more."


def worth_having(results: Results, deep: Deep) -> list[str]:
    """Each piece of evidence that the rule names, with its worth and, where known, its price."""
    currency = results.scenario.currency
    offers = {offer.purchase.slug: offer for offer in deep.offers}
    found = []
    for slug in results.finding.evidence:
        offer, best = offers[slug], deep.best_count
        if slug == TRIALS and best is not None:
            words, price = f"{best.firings} of them: {best.worth.gain:,.0f} {currency}", best.price
        else:
            words, price = f"at most {offer.limit.gain:,.0f} {currency}", offer.price
        cost = "price not given" if price is None else f"price {price:,.0f}"
        found.append(f"{offer.purchase.label} ({words}, {cost})")
    return found


def chance(share: float, samples: int) -> str:
    """A probability in words: whole per cent, and no certainty that so many samples cannot give.

    None out of n samples means less than 3/n with 95 % confidence (rule of three).
    """
    least = 3 / samples
    if share <= 0:
        return f"under {least:.2%}" if least < 0.01 else f"under {least:.0%}"
    if share >= 1:
        return f"over {1 - least:.2%}" if least < 0.01 else f"over {1 - least:.0%}"
    if share < 0.0005 or share > 0.9995:
        return f"{share:.2%}"
    return f"{share:.1%}" if share < 0.1 or share > 0.9 else f"{share:.0%}"
