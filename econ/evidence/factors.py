"""Single figures, by id or by words."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from econ.errors import FactorError
from econ.evidence.facts import FOLDER, ORIGIN, Factor, Row, Source, keyed, pick, read_rows, shipped_sources

COLUMNS = ("id", "label", "value", "low", "high", "unit", *ORIGIN)


def load_factors(path: Path, known: Mapping[str, Source]) -> dict[str, Factor]:
    """Factors by id from a table with COLUMNS; FactorError names the line of a bad row."""
    rows = read_rows(path, COLUMNS)
    return keyed((row, row.cells["id"], _factor(row, known)) for row in rows)


def _factor(row: Row, known: Mapping[str, Source]) -> Factor:
    name = row.slug("id")
    if "_" not in name:
        raise FactorError(f"{row.where}: id {name!r} has no underscore")
    value, low, high = row.ranged("value", "low", "high")
    return Factor(name, row.text("label"), value, low, high, row.text("unit"), *row.origin(known))


@cache
def _shipped() -> dict[str, Factor]:
    return load_factors(FOLDER / "factors.csv", shipped_sources())


def factor(name: str) -> Factor:
    """Return the factor with this id; FactorError lists ids that come close."""
    return pick(_shipped(), name, "factor")


def factors(words: str = "") -> tuple[Factor, ...]:
    """Factors in which every one of `words` occurs, in file order; all of them for no words.

    Looks in id, label, unit, source and note, whatever the case.
    """
    wanted = words.lower().split()
    return tuple(one for one in _shipped().values() if all(word in _haystack(one) for word in wanted))


def nearest(words: str) -> tuple[str, ...]:
    """Up to five words of the factors that are spelled nearly like one of `words`, the nearest first."""
    known = sorted({word.strip("(),;:") for one in _shipped().values() for word in _haystack(one).split()})
    close = (difflib.get_close_matches(word, known, n=3, cutoff=0.7) for word in words.lower().split())
    return tuple(dict.fromkeys(word for found in close for word in found))[:5]


def _haystack(one: Factor) -> str:
    return " ".join((one.id, one.label, one.unit, one.source.text, one.note)).lower()
