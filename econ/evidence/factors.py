"""Single figures, by id or by words; the range of a number that came without one; and what is ordinary to type.

Default ranges are multipliers of a number, or amounts on top of it, as P10 and P90, by what it is and how it is
known: the first row that fits. Spans of what people type are wide: outside them a slip is likelier than the truth.
Money is in US dollars; a span says nothing in a currency far from the dollar.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any

from econ.errors import FactorError
from econ.evidence.facts import RUNGS, WORDS, Row, Source, Sourced, Table, check_range, one_of
from econ.fields import record, replace
from econ.shipped import described

TABLES = {"retention": "assumed"}
"""Whole tables that a factor may be computed from, and the lowest rung in each."""
ENDS = WORDS["ends"]
"""What low and high of a factor are. Samples take them for P10 and P90 whichever they are."""


@record(frozen=True)
class Used(Sourced):
    """One fact [unit]: its range if known, what the ends of the range are, and its origin; a curve has no value.

    `id` is that of the factor, or of a table and what stands in it.
    """

    id: str
    label: str
    value: float | None
    low: float | None
    high: float | None
    ends: str
    unit: str


@record(frozen=True)
class Factor(Used):
    """A fact that is one figure."""

    value: float


def lowest(rungs: list[str]) -> str:
    """The lowest of some rungs of the ladder; of none the best."""
    return max(rungs, key=list(RUNGS).index, default="primary")


def _checked(row: Row, one: Factor) -> Factor:
    """The factor, whose id has an underscore and whose ends fit its range."""
    if "_" not in one.id:
        raise FactorError(f"{row.where}: id {one.id!r} has no underscore")
    check_range(row.where, one.value, one.low, one.high)
    if one.ends not in ENDS or bool(one.ends) != (one.low is not None or one.high is not None):
        raise FactorError(f"{row.where}: ends {one.ends!r} for the range {one.low} to {one.high}")
    return one


class Factors(Table[Factor]):
    """The table of factors, whose computed rows stand on others."""

    def load(self, path: Path, known: Mapping[str, Source]) -> dict[str, Factor]:
        """Factors by id; refuses a computed row whose parts are unknown, or that stands higher than they do."""
        found = super().load(path, known)
        for line, one in enumerate(found.values(), start=2):
            parts = [name for name in one.parts if name not in TABLES]
            if unknown := [name for name in parts if name not in found or name == one.id]:
                raise FactorError(f"{path.name} line {line}: parts {', '.join(unknown)} are not other factors")
            least = lowest([TABLES.get(name) or found[name].rung for name in one.parts])
            if one.parts and one.rung != least:
                raise FactorError(f"{path.name} line {line}: rung {one.rung}, the lowest of its parts is {least}")
        return found


FACTORS = Factors("factors.csv", Factor, lambda one: one.id, "factor", {"id": Row.slug, "ends": Row.any}, _checked)

_held: dict[str, Factor] = {}


def factor(name: str) -> Factor:
    """Return the factor with this id; FactorError lists ids that come close."""
    return _held.get(name) or FACTORS.pick(name)


@contextmanager
def held(values: Mapping[str, Any]) -> Iterator[None]:
    """Within it these factors have other values, numbers or arrays of shape (cases,): questions move them."""
    _held.update({name: replace(factor(name), value=value) for name, value in values.items()})
    try:
        yield
    finally:
        _held.clear()


def as_they_are(part: str) -> dict[str, Any]:
    """Coefficients that are a factor over a plain number, by name: one part of coefficients.toml [their units]."""
    rows = described("coefficients", "evidence")[part]
    return {name: factor(of).value / over for name, (of, over) in rows.items()}


def any_held() -> bool:
    """Whether any factor has another value now than its own."""
    return bool(_held)


def factors(words: str = "") -> tuple[Factor, ...]:
    """Factors in which every one of `words` occurs, whatever the case, in file order; all of them for no words."""
    wanted = words.lower().split()
    return tuple(one for one in FACTORS.all() if all(word in _haystack(one) for word in wanted))


def nearest(words: str) -> tuple[str, ...]:
    """Up to five words of the factors that are spelled nearly like one of `words`, the nearest first."""
    known = sorted({word.strip("(),;:") for one in FACTORS.all() for word in _haystack(one).split()})
    close = (difflib.get_close_matches(word, known, n=3, cutoff=0.7) for word in words.lower().split())
    return tuple(dict.fromkeys(word for found in close for word in found))[:5]


def _haystack(one: Factor) -> str:
    return " ".join((one.id, one.label, one.unit, one.source.text, one.note)).lower()


KNOWN = ("any", "measured", "quoted", "published", "guessed")


@record(frozen=True, slots=True)
class DefaultRange(Sourced):
    """One row: `keys` is a pattern over row keys, `when` "other.key=choice" ("#" is the row's own number).

    `measure`: "times" multiplies; so does "fact", and reaches as far as that of a blank row; "plus" adds in the
    canonical unit; "held" does not vary by itself (`note`: why).
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
    "id": Row.slug, "known": one_of(*KNOWN), "when": Row.any, "measure": one_of("times", "plus", "fact", "held"),
    "low": _end, "high": _end,
}, _holds_itself)  # fmt: skip
"""In the order in which they are tried; ends of a held row are blank and read as 1."""


@cache
def _candidates(key: str, known: str) -> tuple[DefaultRange, ...]:
    word = key.partition(".")[0]  # it stands in what fits; the others need no pattern made
    near = (one for one in RANGES.all() if one.known in ("any", known) and (word in one.keys or one.keys == ".*"))
    return tuple(one for one in near if re.fullmatch(one.keys, key))


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


@record(frozen=True)
class Span(Sourced):
    """What is ordinary for a row: low to high in `unit`, and the slip in words that leads below or above.

    `row` is a key, of a block by block and last word. `when`: empty, a kind of fuel, "per bones" or "per load"
    (heat).
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
              dict.fromkeys(("when", "slip_low", "slip_high"), Row.any), _wide)  # fmt: skip
