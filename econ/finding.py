"""The finding in words: whether the kiln pays on these inputs, and how firm that is."""

from __future__ import annotations

from econ.results import Results

OPENING = "On these inputs the kiln"
PAYS, DOES_NOT_PAY = "pays", "does not pay"


def verdict(results: Results) -> str:
    """One sentence: pays or does not pay, against today's way, and over what."""
    does = PAYS if results.figures["npv"] >= 0 else DOES_NOT_PAY
    return f"{OPENING} {does} {terms(results)}."


def terms(results: Results) -> str:
    """Against what, over how many years, at what rate."""
    scenario, plan = results.scenario, results.plan
    entry = scenario["current.option"]
    option = entry.row.option(str(entry.value))
    rate = scenario["money.discount_rate"].number
    today = option.label if option else "today's way"
    return (
        f"against today's way ({today}) over {plan.years} years at {rate:.1%} "
        f"{'real' if plan.is_real else 'nominal'}"
    )


def turners(results: Results) -> list[str]:
    """Labels of the inputs whose own range moves the NPV across zero, the largest effect first."""
    return [
        effect.entry.row.label
        for effect in results.effects
        if min(effect.at_low["npv"], effect.at_high["npv"]) < 0 <= max(effect.at_low["npv"], effect.at_high["npv"])
    ]


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
