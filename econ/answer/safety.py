"""What holds whatever was filled: what to know before the first batch, and whom to ask for what by when.

Rules of the US stand as examples; the local ones go before them (9 CFR 310.22 and 7 CFR 205.203 from memory:
check with the office). Hazards: common practice of kilns and char, no single source.
"""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files
from typing import NamedTuple


class Advice(NamedTuple):
    """What it is about, or whom to ask; what to do or to ask; by when."""

    about: str
    text: str
    by: str


@cache
def advice(which: str) -> tuple[Advice, ...]:
    """The lines of the list "before" (the first batch) or "settle", in order."""
    lines = (files("econ.answer") / "safety.csv").read_text(encoding="utf-8").splitlines()
    return tuple(Advice(*line[1:]) for line in csv.reader(lines) if line[0] == which)
