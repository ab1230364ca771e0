"""Warming potentials, and what burning a unit of fuel gives in heat and gases."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from econ.errors import FactorError
from econ.evidence.facts import FOLDER, ORIGIN, Marked, Row, Source, keyed, pick, read_rows, shipped_sources

GASES = ("ch4_biogenic", "ch4_fossil", "n2o")
GWP_COLUMNS = ("set", *(f"{gas}{end}" for gas in GASES for end in ("", "_low", "_high")), *ORIGIN)
FUEL_COLUMNS = (
    "kind",
    "label",
    "unit",
    "lhv_mj_per_unit",
    "hhv_mj_per_unit",
    "fossil_co2_kg_per_unit",
    "biogenic_co2_kg_per_unit",
    "ch4_g_per_unit",
    "n2o_g_per_unit",
    "upstream_frac",
    "water_frac",
    *ORIGIN,
)


@dataclass(frozen=True, slots=True)
class Warming:
    """Warming potential of a gas over 100 years [kg CO2e/kg] and its range if known."""

    value: float
    low: float | None
    high: float | None


@dataclass(frozen=True)
class Gwp(Marked):
    """One edition of warming potentials over 100 years [kg CO2e/kg]."""

    edition: str
    ch4_biogenic: Warming
    ch4_fossil: Warming
    n2o: Warming
    source: Source
    locator: str
    rung: str
    read: str
    parts: tuple[str, ...]
    note: str


@dataclass(frozen=True)
class Fuel(Marked):
    """A fuel per unit of its measure (L, m3, kg or kWh): heat [MJ], CO2 [kg], CH4 and N2O [g].

    Burning only; `upstream_frac` of the fossil CO2e comes on top of it, from the well to the tank. A fuel with
    water is per unit as fired at `water_frac`. The CO2 of electricity is that of the grid.
    """

    kind: str
    label: str
    measure: str
    lhv_mj_per_unit: float
    hhv_mj_per_unit: float
    fossil_co2_kg_per_unit: float
    biogenic_co2_kg_per_unit: float
    ch4_g_per_unit: float
    n2o_g_per_unit: float
    upstream_frac: float
    water_frac: float
    source: Source
    locator: str
    rung: str
    read: str
    parts: tuple[str, ...]
    note: str

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


def load_gwps(path: Path, known: Mapping[str, Source]) -> dict[str, Gwp]:
    """Editions by name from a table with GWP_COLUMNS."""
    return keyed((row, row.cells["set"], _gwp(row, known)) for row in read_rows(path, GWP_COLUMNS))


def _gwp(row: Row, known: Mapping[str, Source]) -> Gwp:
    biogenic, fossil, n2o = (Warming(*row.ranged(gas, f"{gas}_low", f"{gas}_high")) for gas in GASES)
    return Gwp(row.slug("set"), biogenic, fossil, n2o, *row.origin(known))


def load_fuels(path: Path, known: Mapping[str, Source]) -> dict[str, Fuel]:
    """Fuels by kind from a table with FUEL_COLUMNS."""
    return keyed((row, row.cells["kind"], _fuel(row, known)) for row in read_rows(path, FUEL_COLUMNS))


def _fuel(row: Row, known: Mapping[str, Source]) -> Fuel:
    lhv, hhv, fossil, biogenic, ch4, n2o, upstream, water = (row.number(column) for column in FUEL_COLUMNS[3:11])
    if min(fossil, biogenic, ch4, n2o, upstream, water) < 0 or not 0 < lhv <= hhv:
        raise FactorError(f"{row.where}: a negative figure, or a lower heat above the higher heat")
    return Fuel(
        row.slug("kind"),
        row.text("label"),
        row.choice("unit", ("L", "m3", "kg", "kWh")),
        lhv,
        hhv,
        fossil,
        biogenic,
        ch4,
        n2o,
        upstream,
        water,
        *row.origin(known),
    )


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
