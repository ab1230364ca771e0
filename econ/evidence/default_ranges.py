"""The range of a number that came without one: by what it is and how it is known.

Multipliers of the value, or amounts on top of it, as P10 and P90: one time in ten the number is below the
low end, one time in ten above the high one. The first row of the table that fits is used.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from econ.errors import FactorError
from econ.evidence.facts import FOLDER, ORIGIN, Marked, Row, Source, keyed, read_rows, shipped_sources

COLUMNS = ("id", "label", "keys", "known", "when", "measure", "low", "high", *ORIGIN)
KNOWN = ("any", "measured", "quoted", "published", "guessed")
MEASURES = ("times", "plus", "held")


@dataclass(frozen=True, slots=True)
class DefaultRange(Marked):
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
    source: Source
    locator: str
    rung: str
    read: str
    parts: tuple[str, ...]
    note: str

    def ends(self, value: float) -> tuple[float, float]:
        """P10 and P90 about a value [its canonical unit]; the value itself twice where it is held."""
        if self.measure == "plus":
            return value + self.low, value + self.high
        if self.measure == "held":
            return value, value
        low, high = sorted((value + abs(value) * (self.low - 1), value + abs(value) * (self.high - 1)))
        return low, high


def load_default_ranges(path: Path, known: Mapping[str, Source]) -> tuple[DefaultRange, ...]:
    """The rows of a table with COLUMNS, in file order."""
    rows = read_rows(path, COLUMNS)
    return tuple(keyed((row, row.slug("id"), _read(row, known)) for row in rows).values())


def _read(row: Row, known: Mapping[str, Source]) -> DefaultRange:
    measure = row.choice("measure", MEASURES)
    low, high = (row.number("low"), row.number("high")) if measure != "held" else (1.0, 1.0)
    middle = 0.0 if measure == "plus" else 1.0
    if not low <= middle <= high:
        raise FactorError(f"{row.where}: {low:g} to {high:g} does not hold the value itself")
    return DefaultRange(
        row.slug("id"),
        row.text("label"),
        row.text("keys"),
        row.choice("known", KNOWN),
        row.cells["when"],
        measure,
        low,
        high,
        *row.origin(known),
    )


@cache
def default_ranges() -> tuple[DefaultRange, ...]:
    """Every default range that ships with the program, in the order in which they are tried."""
    return load_default_ranges(FOLDER / "default_ranges.csv", shipped_sources())


@cache
def _candidates(key: str, known: str) -> tuple[DefaultRange, ...]:
    return tuple(one for one in default_ranges() if one.known in ("any", known) and re.fullmatch(one.keys, key))


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
