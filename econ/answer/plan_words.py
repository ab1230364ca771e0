"""Other plans in words and in the JSON: the best beside the one typed, how flat the top is, how to start."""

from __future__ import annotations

from econ.answer.finding import chance, money
from econ.answer.results import Results
from econ.inputs.as_typed import plain_figure
from econ.inputs.schema import place_words
from econ.questions.found_plans import Plans, Tried
from econ.questions.pace import Sign
from econ.questions.plan_moves import SHARE, unit_of

WAYS = {"buy": "buying now", "pilot": "starting small", "wait": "waiting a year", "no": "not starting"}

NEXT = ("kiln.price", "kiln.installation", "kiln.batch_load", "fuel.1.per_batch", "labour.hours_per_batch")
"""Rows that a kiln of another size moves."""


LEAST_TOLD = 0.005
"""A difference of the share processed that is told."""


def moves_words(results: Results, one: Tried) -> str:
    """What a plan does otherwise than the one typed; the rows of a second quote go under its name."""
    if not one.moves:
        return "the plan typed"
    moves = dict(one.moves)
    is_moved = moves.pop(SHARE, None) is not None
    parts = [f"{one.share:.0%} of the bones"] if is_moved else []
    quote = [moves.pop(key) for key in NEXT if key in moves]
    count = moves.pop("kiln.number", 0.0)
    if count or quote:
        parts.append(f"{count:.0f} kilns" if count > 1 else "the second quote" if len(quote) > 2 else "one kiln")
    first = [key.split(".")[1] for key, value in moves.items() if key.endswith(".share") and value == 1]
    moves = {key: value for key, value in moves.items() if not (first and key.endswith(".share"))}
    parts += [f"all char offered to tier {n} first" for n in first]
    for key, value in moves.items():
        entry = results.scenario[key]
        unit = unit_of(results.scenario, key)
        shown = value if unit is None else unit.from_canonical(value)
        if key == "kiln.batches_per_week":
            parts.append(f"up to {plain_figure(shown)} batch{'' if shown == 1 else 'es'} a week")
        else:
            label = f"{entry.row.label[0].lower()}{entry.row.label[1:]}"
            parts.append(f"{label} {plain_figure(shown)} {unit.symbol if unit else ''}".rstrip())
    if not is_moved and abs(one.share - results.plans().typed.share) >= LEAST_TOLD:
        parts.append(f"that takes {one.share:.0%} of the bones")
    return "; ".join(parts)


def plans_sentence(results: Results) -> str:
    """The best plan beside the one typed."""
    found = results.plans()
    best, typed = found.best, found.typed
    if best is None:
        return f"No plan of the {found.tried} tried keeps within your limits (sheet Options)."
    tried = f"No plan of the {found.tried} tried"
    if not found.is_better:
        above = "" if best.mean >= 0 else f" {tried} has a mean NPV above zero."
        return f"{tried} does better on average than the plan typed.{above}"
    loss = chance(best.loss, found.samples)
    ends = f"P10 to P90: {money(results, best.p10)} to {money(results, best.p90)}"
    earns = f"{tried} has one above zero; this loses least" if best.mean < 0 else "This earns most"
    return (
        f"As typed the mean NPV is {money(results, typed.mean)}. {earns}: {moves_words(results, best)}. "
        f"Its mean NPV is {money(results, best.mean)} ({ends}), below zero in {loss} of {found.samples:,} fresh "
        f"runs. {flat_sentence(found)}"
    ).strip()


def flat_sentence(found: Plans) -> str:
    """How flat the top is."""
    low, high = found.flat
    if found.best is None or not low < high:
        return ""
    return f"From {low:.0%} to {high:.0%} of the bones the mean NPV is within 5 % of that."


def pace_sentence(results: Results) -> str:
    """Buy now, start small, or wait; empty where no pilot is priced."""
    pace = results.plans().pace
    if pace is None:
        return ""
    text = (
        f"Mean value of buying now {money(results, pace.buy)}; of a pilot year first "
        f"{money(results, pace.pilot)}; of waiting a year {money(results, pace.wait)}: {WAYS[pace.best]} is "
        f"best. No news could make it more than {money(results, pace.perfect)}."
    )
    asked = "; ".join(sign_words(results, one) for one in pace.signs)
    return f"{text} Go on after the pilot if, other things as expected: {asked}." if asked else text


def sign_words(results: Results, one: Sign) -> str:
    """What would have to be seen, in the units of its row."""
    bound = "at least" if one.at_least else "at most"
    if one.name not in results.scenario.entries:
        label, unit = {"yield": ("char yield", "%"), "hours": ("labour hours of a batch", "")}.get(
            one.name, (one.name.replace("_", " "), "")
        )
        return f"{label} is {bound} {one.bound * 100:.1f} %" if unit else f"{label} is {bound} {one.bound:,.3g}"
    entry = results.scenario[one.name]
    unit = entry.unit.symbol if entry.unit else ""
    return f"{place_words(one.name)} is {bound} {entry.shown(one.bound):,.3g} {unit}".rstrip()
