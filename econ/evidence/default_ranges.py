"""The range of a number that came without one: by what it is and how it is known.

Multipliers of the value, or amounts on top of it, as P10 and P90: one time in ten the number is below the
low end, one time in ten above the high one. The first row of the table that fits is used.

And the ordinary spans of what people type: wide, so that outside them a slip is likelier than the truth. Money is
in US dollars; a span says nothing in a currency far from the dollar.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from econ.errors import FactorError
from econ.evidence.facts import Row, Sourced, Table, as_it_is, one_of

KNOWN = ("any", "measured", "quoted", "published", "guessed")


@dataclass(frozen=True, slots=True)
class DefaultRange(Sourced):
    """One row: `keys` is a pattern over row keys, `when` "other.key=choice" ("#" is the row's own number).

    `measure`: "times" multiplies the value, "plus" adds in the canonical unit, "held" says that the number
    does not vary by itself, and `note` why.
    """

    id: str
    label: str
    keys: str
    known: str
    when: str
    measure: str
    low: float
    high: float

    def ends(self, value: float) -> tuple[float, float]:
        """P10 and P90 about a value [its canonical unit]; the value itself twice where it is held."""
        if self.measure == "plus":
            return value + self.low, value + self.high
        if self.measure == "held":
            return value, value
        low, high = sorted((value + abs(value) * (self.low - 1), value + abs(value) * (self.high - 1)))
        return low, high


def _end(row: Row, column: str) -> float:
    return 1.0 if row.cells["measure"] == "held" else row.number(column)


def _holds_itself(row: Row, one: DefaultRange) -> DefaultRange:
    if not one.low <= (0.0 if one.measure == "plus" else 1.0) <= one.high:
        raise FactorError(f"{row.where}: {one.low:g} to {one.high:g} does not hold the value itself")
    return one


RANGES = Table("default_ranges.csv", DefaultRange, lambda one: one.id, "", {
    "id": Row.slug, "known": one_of(*KNOWN), "when": as_it_is, "measure": one_of("times", "plus", "held"),
    "low": _end, "high": _end,
}, _holds_itself)  # fmt: skip
"""In the order in which they are tried; ends of a held row are blank and read as 1."""


@cache
def _candidates(key: str, known: str) -> tuple[DefaultRange, ...]:
    return tuple(one for one in RANGES.all() if one.known in ("any", known) and re.fullmatch(one.keys, key))


def how_known(known: str) -> str:
    """One of KNOWN for what stands in that cell; what is not said counts as guessed."""
    first = known.split(",")[0].strip()
    return first if first in KNOWN[1:] else "guessed"


def default_range(key: str, known: str, choices: Mapping[str, str]) -> DefaultRange:
    """The range for a row by its key and how its value is known; `choices` of the plant by key."""
    number = re.search(r"\d+", key)
    for one in _candidates(key, how_known(known)):
        other, _, slug = one.when.partition("=")
        if not other or choices.get(other.replace("#", number[0] if number else "")) == slug:
            return one
    raise FactorError(f"no default range for {key!r}, {known!r}")


@dataclass(frozen=True)
class Span(Sourced):
    """What is ordinary for a row: low to high in `unit`, and the slip in words that leads below or above.

    `row` is a key, of a block by block and last word. `when` is empty, the kind of fuel, "per bones" (the figure
    over the mass of bones) or "per load" (the heat of a fuel over a full load).
    """

    row: str
    when: str
    low: float
    high: float
    unit: str
    slip_low: str
    slip_high: str


def _wide(row: Row, one: Span) -> Span:
    if one.low >= one.high:
        raise FactorError(f"{row.where}: low {one.low:g} is not below high {one.high:g}")
    return one


SPANS = Table("spans.csv", Span, lambda one: f"{one.row} {one.when}", "",
              dict.fromkeys(("when", "slip_low", "slip_high"), as_it_is), _wide)  # fmt: skip
