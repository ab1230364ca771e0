"""What raw bones are made of, by kind of bone."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from econ.errors import FactorError
from econ.evidence.facts import (
    FOLDER,
    ORIGIN,
    Marked,
    Row,
    Source,
    check_range,
    keyed,
    pick,
    read_rows,
    shipped_sources,
)

CONSTITUENTS = ("water", "fat", "protein", "ash")
COLUMNS = (
    "kind",
    "label",
    *(f"{name}_{end}" for name in CONSTITUENTS for end in ("frac", "low", "high")),
    *ORIGIN,
)
SUM_SLACK_FRAC = 0.03
"""How far printed shares may miss a sum of 1 [kg/kg] before the row is refused."""


@dataclass(frozen=True, slots=True)
class Share:
    """A share of fresh mass [kg/kg]: normalised value, range if known, and the figure as printed."""

    value: float
    low: float | None
    high: float | None
    raw: float


@dataclass(frozen=True)
class Composition(Marked):
    """Water, fat, protein and ash of raw bones as received [kg/kg]; the four add up to exactly 1."""

    kind: str
    label: str
    water: Share
    fat: Share
    protein: Share
    ash: Share
    source: Source
    locator: str
    rung: str
    read: str
    parts: tuple[str, ...]
    note: str

    def components(self) -> dict[str, Share]:
        """Return the four shares by name, in the order in which they add up to 1."""
        return {"water": self.water, "fat": self.fat, "protein": self.protein, "ash": self.ash}

    @property
    def is_normalised(self) -> bool:
        """Whether the printed shares had to be scaled to add up to 1."""
        return any(abs(share.value - share.raw) > 1e-9 for share in self.components().values())


def load_compositions(path: Path, known: Mapping[str, Source]) -> dict[str, Composition]:
    """Compositions by kind from a table with COLUMNS; printed shares are scaled to add up to 1."""
    rows = read_rows(path, COLUMNS)
    return keyed((row, row.cells["kind"], _composition(row, known)) for row in rows)


def _composition(row: Row, known: Mapping[str, Source]) -> Composition:
    printed = {name: row.ranged(f"{name}_frac", f"{name}_low", f"{name}_high") for name in CONSTITUENTS}
    whole = math.fsum(raw for raw, _, _ in printed.values())
    if any(raw < 0 for raw, _, _ in printed.values()):
        raise FactorError(f"{row.where}: a share is negative")
    if abs(whole - 1) > SUM_SLACK_FRAC:
        raise FactorError(f"{row.where}: the shares add up to {whole:g}, not to 1")
    value = {name: printed[name][0] / whole for name in CONSTITUENTS[:-1]}
    value["ash"] = 1 - math.fsum(value.values())
    shares = []
    for name in CONSTITUENTS:
        raw, low, high = printed[name]
        check_range(f"{row.where}: {name} scaled to a sum of 1", round(value[name], 12), low, high)
        shares.append(Share(value[name], low, high, raw))
    water, fat, protein, ash = shares
    return Composition(row.slug("kind"), row.text("label"), water, fat, protein, ash, *row.origin(known))


@cache
def _shipped() -> dict[str, Composition]:
    return load_compositions(FOLDER / "composition.csv", shipped_sources())


def composition(kind: str) -> Composition:
    """Return what a kind of bone is made of, such as "beef_mixed" or "beef-mixed"; FactorError if unknown."""
    return pick(_shipped(), kind, "kind of bone")


def compositions() -> tuple[Composition, ...]:
    """Every kind of bone, in file order; the first is the default."""
    return tuple(_shipped().values())
