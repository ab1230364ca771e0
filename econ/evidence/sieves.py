"""Wire cloth sieves: the number that goes with an opening."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from econ.errors import FactorError
from econ.evidence.facts import FOLDER, ORIGIN, Marked, Source, keyed, read_rows, shipped_sources

COLUMNS = ("name", "opening_mm", *ORIGIN)


@dataclass(frozen=True)
class Sieve(Marked):
    """A sieve of ASTM E11: its number or size, and its opening [mm]."""

    name: str
    opening_mm: float
    source: Source
    locator: str
    rung: str
    read: str
    parts: tuple[str, ...]
    note: str


def load_sieves(path: Path, known: Mapping[str, Source]) -> dict[str, Sieve]:
    """Sieves by name from a table with COLUMNS; openings must fall from row to row."""
    found = keyed(
        (row, row.text("name"), Sieve(row.text("name"), row.number("opening_mm"), *row.origin(known)))
        for row in read_rows(path, COLUMNS)
    )
    openings = [sieve.opening_mm for sieve in found.values()]
    if openings != sorted(openings, reverse=True) or min(openings) <= 0:
        raise FactorError(f"{path.name}: opening_mm does not fall from row to row")
    return found


@cache
def _shipped() -> dict[str, Sieve]:
    return load_sieves(FOLDER / "sieves.csv", shipped_sources())


def sieves() -> tuple[Sieve, ...]:
    """Every sieve, the widest first."""
    return tuple(_shipped().values())


def sieve_for(size_mm: float) -> Sieve | None:
    """The narrowest sieve that grains of this size [mm] still pass; None above the widest."""
    return next((sieve for sieve in reversed(sieves()) if sieve.opening_mm >= size_mm * (1 - 1e-9)), None)
