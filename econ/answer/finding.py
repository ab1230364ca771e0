"""The finding in words: whether the kiln pays on these inputs, and how firm that is."""

from __future__ import annotations

from econ.answer.carbon_cautions import few
from econ.answer.results import Results
from econ.model.plan_parts import CHAR, TODAY
from econ.questions.found_deep import Deep
from econ.questions.purchases import TRIALS

OPENING = "On these inputs the kiln"
PAYS, DOES_NOT_PAY = "pays", "does not pay"


def verdict(results: Results) -> str:
    """One sentence: pays or does not pay, against today's way, and over what."""
    does = PAYS if results.figures["npv"] >= 0 else DOES_NOT_PAY
    before, after = terms(results)
    return f"{OPENING} {does} {before} {rate_percent(results):g} {after}"


def terms(results: Results) -> tuple[str, str]:
    """Against what and over how many years, before and after the rate in per cent."""
    plan = results.plan
    entry = results.scenario["current.option"]
    option = entry.row.option(str(entry.value))
    today = option.label if option else "current practice"
    before = f"against current practice ({today}) over {plan.years} years at"
    return before, f"% {'real' if plan.is_real else 'nominal'}."


def rate_percent(results: Results) -> float:
    """The discount rate in per cent, to two decimals."""
    return round(results.scenario["money.discount_rate"].number * 100, 2)


def turners(results: Results) -> list[str]:
    """Labels of the inputs whose own range turns the answer round, the largest effect first."""
    return [results.scenario[key].row.label for key in results.finding.turners]


def firmness(results: Results) -> str:
    """How firm the verdict is: which single ranges would turn it round."""
    found = turners(results)
    if not results.effects:
        return "No ranges were given, so nothing can be said on how firm this is."
    if not found:
        return "No single input turns this round within its own range."
    names = "; ".join(found[:3])
    more = f" and {len(found) - 3} more" if len(found) > 3 else ""
    return f"Each of these alone would turn it round within its own range: {names}{more}."


def carbon_finding(results: Results) -> str:
    """One sentence where the kiln is a net source of greenhouse gas; empty where it is none or withheld."""
    net = results.figures["project_net_kg_co2e"]
    if not net < 0:
        return ""
    return (
        f"In carbon the kiln is a net source: it emits {few(-net / 1000)} t CO2e a year more than the char stores."
    )


def ruling(results: Results) -> str:
    """What the rule of `econ.questions.rule` finds, and what it leaned on."""
    found, money = results.finding, results.scenario.currency
    opening = f"Finding: {found.verdict}."
    if results.deep is not None and found.has_ranges:
        return f"{opening} {_ruling_deep(results, results.deep)}"
    if not found.has_ranges:
        return f"{opening} One figure without ranges says nothing of its risk: give low and high."
    samples = results.chances.sampling.samples
    against = "" if results.chances.decisive == "npv" else " against the best alternative"
    text = (
        f"{opening} With all ranges moving at once ({samples:,} samples) the mean NPV{against} is "
        f"{found.mean_npv:,.0f} {money} and the probability that NPV is below zero {chance(found.loss, samples)}."
    )
    base = results.figures[results.chances.decisive]
    if (base >= 0) != (found.mean_npv >= 0):
        side = "good" if base >= 0 else "bad"
        text += f" The values typed lie on the {side} side of their own ranges."
    if found.verdict == "measure first" and found.turners:
        text += f" Measure before all: {'; '.join(turners(results)[:3])}."
    if found.verdict == "measure first":
        text += " A run with --deep says what each measurement could be worth."
    return text


def _ruling_deep(results: Results, deep: Deep) -> str:
    """How far the kiln is ahead, and what is worth having before signing."""
    found, money, samples = results.finding, results.scenario.currency, deep.sampling.samples
    lead = f"{abs(found.mean_npv):,.0f} {money} {'ahead of' if found.mean_npv >= 0 else 'behind'}"
    text = (
        f"Over {samples:,} samples the kiln is on average {lead} {best_rival(results, deep)} and falls behind it "
        f"in {chance(deep.behind, samples)} of them. Perfect information would be worth "
        f"{deep.total.gain:,.0f} {money}."
    )
    if found.evidence:
        text += f" Worth having before signing: {'; '.join(worth_having(results, deep))}."
        return f"{text} {_log_first(results)}".rstrip()
    text += f" Nothing on the list of evidence could bring {deep.least_gain:,.0f} {money} after its price."
    if found.verdict == "do not buy" and deep.ahead >= 0:
        text += " The risk is above your limit, and no measurement on the list would take it away."
    return text


def _log_first(results: Results) -> str:
    """Says that weighed firings are at hand and do not count yet, where more of them are advised."""
    idle = [one for one in results.measured.readings.standings if one.target.table == "log" and not one.is_used]
    if TRIALS not in results.finding.evidence or not idle:
        return ""
    firings = max(one.sample.n for one in idle)
    return f"The kiln log holds {firings} batches that do not count yet: switch them on before paying for more."


def best_rival(results: Results, deep: Deep) -> str:
    """The way that does best on average beside the kiln."""
    others = {name: mean for name, mean in deep.means.items() if name != CHAR}
    return way_label(results, max(others, key=lambda name: others[name]))


def way_label(results: Results, name: str) -> str:
    """A way of handling the bones in words: the kiln, today's way, or a priced option by its name."""
    if name in {CHAR, TODAY}:
        return {CHAR: "the kiln", TODAY: "current practice"}[name]
    typed = results.scenario[f"option.{name.split('_')[1]}.name"].value
    return str(typed or f"option {name.split('_')[1]}")


def worth_having(results: Results, deep: Deep) -> list[str]:
    """Each piece of evidence that the rule names, with its worth and, where known, its price."""
    money = results.scenario.currency
    offers = {offer.purchase.slug: offer for offer in deep.offers}
    found = []
    for slug in results.finding.evidence:
        offer, best = offers[slug], deep.best_count
        if slug == TRIALS and best is not None:
            words, price = f"{best.firings} of them: {best.worth.gain:,.0f} {money}", best.price
        else:
            words, price = f"at most {offer.limit.gain:,.0f} {money}", offer.price
        cost = "price not given" if price is None else f"price {price:,.0f}"
        found.append(f"{offer.purchase.label} ({words}, {cost})")
    return found


def chance(share: float, samples: int) -> str:
    """A chance in words: whole per cent, and no certainty that so many samples cannot give.

    None out of n samples means less than 3/n with 95 % confidence (rule of three).
    """
    least = 3 / samples
    if share <= 0:
        return f"under {least:.2%}" if least < 0.01 else f"under {least:.0%}"
    if share >= 1:
        return f"over {1 - least:.2%}" if least < 0.01 else f"over {1 - least:.0%}"
    return f"{share:.1%}" if share < 0.1 or share > 0.9 else f"{share:.0%}"
