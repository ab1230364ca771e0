"""What a garden trial lets one say to a customer, and how large a trial shows a difference."""

from __future__ import annotations

from econ.measured.garden_trials import SHOWN, Comparison, Germination, Means, TrialsReading, mean

LABELS = {
    "days_sprout": "days to the first sprout",
    "days_fruit": "days to the first fruit",
    "harvest": "yield of a bed",
}
TREATED = "with char"


def chance_words(p: float) -> str:
    """A chance p as a person reads it."""
    if p >= 0.995:
        return "in every such trial"
    return f"in {p * 100:.0f} of 100 such trials" if p >= 0.01 else f"in {p * 10_000:.2g} of 10,000 such trials"


def may_say(found: Germination | Means, detail: str, unit: str, scale: float = 1.0) -> str:
    """The sentence that may stand on a label or be told, numbers with it."""
    with_char = f"with char ({detail})" if detail else TREATED
    if isinstance(found, Germination):
        ours, theirs = found.with_char, found.without
        told = (
            f"In our own trial {ours.sprouted} of {ours.sown} seeds sprouted {with_char} and {theirs.sprouted} "
            f"of {theirs.sown} without."
        )
    else:
        told = (
            f"In our own trial: {LABELS[found.of]} {mean(found.with_char) * scale:.3g} {unit} {with_char} "
            f"({_beds(found.with_char)}) and {mean(found.without) * scale:.3g} {unit} without "
            f"({_beds(found.without)})."
        )
    if found.verdict == SHOWN:
        return f"May be said: '{told}'"
    return f"May be said, whole and unchanged: '{told} That is no difference shown.'"


def _beds(values: tuple[float, ...]) -> str:
    return "1 bed" if len(values) == 1 else f"{len(values)} beds"


def may_not_say(found: Germination | Means) -> str:
    """What the trial does not carry."""
    if found.verdict != SHOWN:
        return (
            f"May not be said: that char does better or worse. Chance alone does as much {chance_words(found.p)}. "
            "Nor is it shown that char makes no difference."
        )
    if not found.is_better:
        return "May not be said: that char helps. This trial shows that it did WORSE; find out why before selling."
    return (
        "May not be said: that it will be so in another soil, crop or year, or any figure as a promise. "
        f"Chance alone does as much {chance_words(found.p)}."
    )


def needed(found: Germination | Means, unit: str, scale: float = 1.0) -> str:
    """How large a trial shows the difference asked for."""
    if isinstance(found, Germination):
        size = "more than 1,000 seeds" if found.seeds is None else f"{found.seeds} seeds"
        return (
            f"A difference of {found.asked:.0%} of the seeds takes {size} a side to be shown four times in five."
        )
    asked = f"A difference of {found.asked * scale:.3g} {unit}"
    if found.scatter is None:
        return f"{asked}: with one bed a side nothing is known of how beds scatter. Start with 4 a side."
    size = "more than 1,000 beds" if found.beds is None else f"about {found.beds} beds"
    return f"{asked} takes {size} a side to be shown four times in five."


def doubts(found: Germination | Means) -> str:
    """What weakens the comparison, or nothing."""
    if isinstance(found, Germination):
        least = min(len(found.with_char.trays), len(found.without.trays))
        if least == 1:
            return "One tray on a side: its place or its water may be the cause. Use at least 4 trays a side."
        if found.tray_p is None:
            return "So few trays cannot vouch for themselves: seeds were counted as if each stood alone."
        return f"Trays as wholes: p = {found.tray_p:.2g}."
    if not found.can_show:
        return "So few beds can show nothing, however large the difference: at least 4 a side."
    return ""


def many(reading: TrialsReading) -> str:
    """A word on many comparisons, or nothing."""
    if reading.looks < 2:
        return ""
    return (
        f"{reading.looks} comparisons could show something: their p is corrected for it (Holm 1979). Decide "
        "beforehand which one counts, tell of all of them, and size the next trial for them (sheet Trial design)."
    )


def title(one: Comparison) -> str:
    """The name of a comparison."""
    return f"{one.trial or 'Trial without a name'}: {one.detail or TREATED} against without char"
