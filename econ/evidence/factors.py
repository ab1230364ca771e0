"""Single figures, by id or by words."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from econ.errors import FactorError
from econ.evidence.facts import RUNGS, Row, Source, Sourced, Table, as_it_is, check_range

TABLES = {"retention": "assumed"}
"""Whole tables that a factor may be computed from, and the lowest rung in each."""
ENDS = {
    "": "",
    "extremes": "least and most read",
    "interval_90": "hold 90 % of the cases",
    "one_sd": "one standard deviation either way",
    "standard_error": "one standard error of the mean either way",
    "chosen": "chosen: one case in ten beyond each end",
}
"""What low and high of a factor are. Samples take them for P10 and P90 whichever they are."""


@dataclass(frozen=True)
class Factor(Sourced):
    """One figure [unit], its range if known, what the ends of the range are, and its origin."""

    id: str
    label: str
    value: float
    low: float | None
    high: float | None
    ends: str
    unit: str


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


CELLS = {"id": Row.slug, "ends": as_it_is}
FACTORS = Factors("factors.csv", Factor, lambda one: one.id, "factor", CELLS, _checked)

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


def factors(words: str = "") -> tuple[Factor, ...]:
    """Factors in which every one of `words` occurs, in file order; all of them for no words.

    Looks in id, label, unit, source and note, whatever the case.
    """
    wanted = words.lower().split()
    return tuple(one for one in FACTORS.all() if all(word in _haystack(one) for word in wanted))


def nearest(words: str) -> tuple[str, ...]:
    """Up to five words of the factors that are spelled nearly like one of `words`, the nearest first."""
    known = sorted({word.strip("(),;:") for one in FACTORS.all() for word in _haystack(one).split()})
    close = (difflib.get_close_matches(word, known, n=3, cutoff=0.7) for word in words.lower().split())
    return tuple(dict.fromkeys(word for found in close for word in found))[:5]


def _haystack(one: Factor) -> str:
    return " ".join((one.id, one.label, one.unit, one.source.text, one.note)).lower()
