"""What raw bones are made of, by kind; warming potentials; what burning a unit of fuel gives in heat and gases."""

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
    Ranged,
    Row,
    Source,
    Sourced,
    check_range,
    columns_of,
    keyed,
    one_of,
    pick,
    read_rows,
    read_table,
    shipped_sources,
)  # fmt: skip

CONSTITUENTS = ("water", "fat", "protein", "ash")
BONE_COLUMNS = (
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
class Composition(Sourced):
    """Water, fat, protein and ash of raw bones as received [kg/kg]; the four add up to exactly 1."""

    kind: str
    label: str
    water: Share
    fat: Share
    protein: Share
    ash: Share

    def components(self) -> dict[str, Share]:
        """Return the four shares by name, in the order in which they add up to 1."""
        return {"water": self.water, "fat": self.fat, "protein": self.protein, "ash": self.ash}

    @property
    def is_normalised(self) -> bool:
        """Whether the printed shares had to be scaled to add up to 1."""
        return any(abs(share.value - share.raw) > 1e-9 for share in self.components().values())


def load_compositions(path: Path, known: Mapping[str, Source]) -> dict[str, Composition]:
    """Compositions by kind from a table with BONE_COLUMNS; printed shares are scaled to add up to 1."""
    rows = read_rows(path, BONE_COLUMNS)
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
    return Composition(row.slug("kind"), row.text("label"), water, fat, protein, ash,
                       **row.origin(known)._asdict())  # fmt: skip


@cache
def _bones() -> dict[str, Composition]:
    return load_compositions(FOLDER / "composition.csv", shipped_sources())


def composition(kind: str) -> Composition:
    """Return what a kind of bone is made of, such as "beef_mixed" or "beef-mixed"; FactorError if unknown."""
    return pick(_bones(), kind, "kind of bone")


def compositions() -> tuple[Composition, ...]:
    """Every kind of bone, in file order; the first is the default."""
    return tuple(_bones().values())


@dataclass(frozen=True)
class Gwp(Sourced):
    """One edition of warming potentials over 100 years [kg CO2e/kg]."""

    set: str
    ch4_biogenic: Ranged
    ch4_fossil: Ranged
    n2o: Ranged


@dataclass(frozen=True)
class Fuel(Sourced):
    """A fuel per unit of its measure (L, m3, kg or kWh): heat [MJ], CO2 [kg], CH4 and N2O [g].

    Burning only; `upstream_frac` of the fossil CO2e comes on top of it, from the well to the tank. A fuel with
    water is per unit as fired at `water_frac`. The CO2 of electricity is that of the grid.
    """

    kind: str
    label: str
    unit: str
    lhv_mj_per_unit: float
    hhv_mj_per_unit: float
    fossil_co2_kg_per_unit: float
    biogenic_co2_kg_per_unit: float
    ch4_g_per_unit: float
    n2o_g_per_unit: float
    upstream_frac: float
    water_frac: float

    @property
    def measure(self) -> str:
        """The unit that it is bought and burnt by: L, m3, kg or kWh."""
        return self.unit

    @property
    def is_fossil(self) -> bool:
        """Whether burning it releases fossil carbon; the CO2 of electricity is that of a station elsewhere."""
        return self.fossil_co2_kg_per_unit > 0 and self.kind != "electricity"

    def co2e_kg_per_unit(self, edition: Gwp) -> float:
        """Fossil CO2, CH4 and N2O of one unit [kg CO2e]; biogenic CO2 is a memo line and left out.

        Methane of combustion takes the figure without its own CO2, fossil fuel or not: the table counts all
        carbon of the fuel as CO2 (GHG Protocol, Global Warming Potential Values, August 2024).
        """
        ch4 = edition.ch4_biogenic
        other_g = self.ch4_g_per_unit * ch4.value + self.n2o_g_per_unit * edition.n2o.value
        return self.fossil_co2_kg_per_unit + other_g / 1000


GWP_COLUMNS, FUEL_COLUMNS = columns_of(Gwp), columns_of(Fuel)


def load_gwps(path: Path, known: Mapping[str, Source]) -> dict[str, Gwp]:
    """Editions by name from a table with GWP_COLUMNS."""
    return keyed((row, one.set, one) for row, one in read_table(path, Gwp, known, {"set": Row.slug}))


def load_fuels(path: Path, known: Mapping[str, Source]) -> dict[str, Fuel]:
    """Fuels by kind from a table with FUEL_COLUMNS."""
    cells = {"kind": Row.slug, "unit": one_of("L", "m3", "kg", "kWh")}
    read = list(read_table(path, Fuel, known, cells))
    for row, one in read:
        gases = (one.fossil_co2_kg_per_unit, one.biogenic_co2_kg_per_unit, one.ch4_g_per_unit, one.n2o_g_per_unit)
        if (
            min(*gases, one.upstream_frac, one.water_frac) < 0
            or not 0 < one.lhv_mj_per_unit <= one.hhv_mj_per_unit
        ):
            raise FactorError(f"{row.where}: a negative figure, or a lower heat above the higher heat")
    return keyed((row, one.kind, one) for row, one in read)


@cache
def _shipped_gwps() -> dict[str, Gwp]:
    return load_gwps(FOLDER / "gwp.csv", shipped_sources())


@cache
def _shipped_fuels() -> dict[str, Fuel]:
    return load_fuels(FOLDER / "fuels.csv", shipped_sources())


def gwp(edition: str) -> Gwp:
    """Warming potentials of "ar4", "ar5" or "ar6"; FactorError for another name."""
    return pick(_shipped_gwps(), edition, "set of warming potentials")


def gwps() -> tuple[Gwp, ...]:
    """Every edition of warming potentials, oldest first."""
    return tuple(_shipped_gwps().values())


def fuel(kind: str) -> Fuel:
    """Return a fuel by kind, such as "natural_gas" or "natural-gas"; FactorError if unknown."""
    return pick(_shipped_fuels(), kind, "fuel")


def fuels() -> tuple[Fuel, ...]:
    """Every fuel, in file order."""
    return tuple(_shipped_fuels().values())
