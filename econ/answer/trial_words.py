"""What a garden trial lets one say, and how large a trial shows a difference; see `sentences.csv`."""

from __future__ import annotations

from functools import partial
from typing import Any

from econ.answer.sentences import Speech
from econ.measured.garden_trials import Comparison, Germination, Means, TrialsReading, mean

LABELS = {
    "days_sprout": "days to the first sprout",
    "days_fruit": "days to the first fruit",
    "harvest": "yield of a bed",
}
TREATED = "with char"


def _said(found: Germination | Means, detail: str = "", unit: str = "", scale: float = 1.0, *, name: str) -> str:
    """A sentence on one comparison: "may" be said, "may-not", trial "needed", "doubts"; empty if there is none."""
    own: dict[str, Any] = {}
    if isinstance(found, Germination):
        own["trays"] = min(len(found.with_char.trays), len(found.without.trays))
    else:
        ours, theirs = found.with_char, found.without
        own = {
            "label": LABELS[found.of], "ours": mean(ours) * scale, "theirs": mean(theirs) * scale,
            "our_beds": _beds(ours), "their_beds": _beds(theirs), "scattered": found.scatter is not None,
        }  # fmt: skip
    return Speech({}, {}, {
        "found": found, "verdict": found.verdict, "unit": unit, "scale": scale, "is_seeds": "trays" in own, **own,
        "with_char": f"with char ({detail})" if detail else TREATED,
    }).say(f"trial-{name}")  # fmt: skip


may_say = partial(_said, name="may")
"""The sentence that may stand on a label or be told, numbers with it."""
may_not_say = partial(_said, name="may-not")
"""What the trial does not carry."""
needed = partial(_said, name="needed")
"""How large a trial shows the difference asked for."""
doubts = partial(_said, name="doubts")
"""What weakens the comparison, or nothing."""


def _beds(values: tuple[float, ...]) -> str:
    return "1 bed" if len(values) == 1 else f"{len(values)} beds"


def many(reading: TrialsReading) -> str:
    """A word on many comparisons, or nothing."""
    return Speech({}, {}, {"looks": reading.looks}).say("trial-many")


def title(one: Comparison) -> str:
    """The name of a comparison."""
    return f"{one.trial or 'Trial without a name'}: {one.detail or TREATED} against without char"
