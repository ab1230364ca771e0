"""Single figures, by id or by words."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from econ.errors import FactorError
from econ.evidence.facts import (
    ENDS,
    FOLDER,
    Factor,
    Row,
    Source,
    check_range,
    columns_of,
    keyed,
    lowest,
    pick,
    read_table,
    shipped_sources,
)  # fmt: skip

COLUMNS = columns_of(Factor)
TABLES = {"retention": "assumed"}
"""Whole tables that a factor may be computed from, and the lowest rung in each."""


def load_factors(path: Path, known: Mapping[str, Source]) -> dict[str, Factor]:
    """Factors by id from a table with COLUMNS; FactorError names the line of a bad row."""
    cells = {"id": Row.slug, "ends": lambda row, column: row.cells[column]}
    read = [(_checked(row, one), one.id, one) for row, one in read_table(path, Factor, known, cells)]
    found = keyed(read)
    for row, _, _ in read:
        _check_parts(row, found)
    return found


def _check_parts(row: Row, known: Mapping[str, Factor]) -> None:
    """Refuse a computed row whose parts are unknown, or that stands higher than the lowest of them."""
    one = known[row.cells["id"]]
    parts = [name for name in one.parts if name not in TABLES]
    if unknown := [name for name in parts if name not in known or name == one.id]:
        raise FactorError(f"{row.where}: parts {', '.join(unknown)} are not other factors")
    rungs = [*(known[name].rung for name in parts), *(TABLES[name] for name in one.parts if name in TABLES)]
    if one.parts and one.rung != lowest(rungs):
        raise FactorError(f"{row.where}: rung {one.rung}, the lowest of its parts is {lowest(rungs)}")


def _checked(row: Row, one: Factor) -> Row:
    """The row, whose id has an underscore and whose ends fit its range."""
    if "_" not in one.id:
        raise FactorError(f"{row.where}: id {one.id!r} has no underscore")
    check_range(row.where, one.value, one.low, one.high)
    if one.ends not in ENDS or bool(one.ends) != (one.low is not None or one.high is not None):
        raise FactorError(f"{row.where}: ends {one.ends!r} for the range {one.low} to {one.high}")
    return row


@cache
def _shipped() -> dict[str, Factor]:
    return load_factors(FOLDER / "factors.csv", shipped_sources())


_held: dict[str, Factor] = {}


def factor(name: str) -> Factor:
    """Return the factor with this id; FactorError lists ids that come close."""
    return _held.get(name) or pick(_shipped(), name, "factor")


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
    return tuple(one for one in _shipped().values() if all(word in _haystack(one) for word in wanted))


def nearest(words: str) -> tuple[str, ...]:
    """Up to five words of the factors that are spelled nearly like one of `words`, the nearest first."""
    known = sorted({word.strip("(),;:") for one in _shipped().values() for word in _haystack(one).split()})
    close = (difflib.get_close_matches(word, known, n=3, cutoff=0.7) for word in words.lower().split())
    return tuple(dict.fromkeys(word for found in close for word in found))[:5]


def _haystack(one: Factor) -> str:
    return " ".join((one.id, one.label, one.unit, one.source.text, one.note)).lower()
