"""What raw bones are made of, by kind; warming potentials; what burning a unit of fuel gives in heat and gases."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from econ.errors import FactorError
from econ.evidence.facts import Ranged, Row, Share, Sourced, Table, check_range, one_of

SUM_SLACK_FRAC = 0.03
"""How far printed shares may miss a sum of 1 [kg/kg] before the row is refused."""


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


def _normalised(row: Row, one: Composition) -> Composition:
    """The composition, its printed shares scaled to add up to 1."""
    printed = one.components()
    whole = math.fsum(share.raw for share in printed.values())
    if any(share.raw < 0 for share in printed.values()):
        raise FactorError(f"{row.where}: a share is negative")
    if abs(whole - 1) > SUM_SLACK_FRAC:
        raise FactorError(f"{row.where}: the shares add up to {whole:g}, not to 1")
    value = {name: share.raw / whole for name, share in printed.items() if name != "ash"}
    value["ash"] = 1 - math.fsum(value.values())
    for name, share in printed.items():
        check_range(f"{row.where}: {name} scaled to a sum of 1", round(value[name], 12), share.low, share.high)
    changed: dict[str, Any] = {name: replace(share, value=value[name]) for name, share in printed.items()}
    return replace(one, **changed)


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
    measure: str
    lhv_mj_per_unit: float
    hhv_mj_per_unit: float
    fossil_co2_kg_per_unit: float
    biogenic_co2_kg_per_unit: float
    ch4_g_per_unit: float
    n2o_g_per_unit: float
    upstream_frac: float
    water_frac: float

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


def _burnable(row: Row, one: Fuel) -> Fuel:
    gases = (one.fossil_co2_kg_per_unit, one.biogenic_co2_kg_per_unit, one.ch4_g_per_unit, one.n2o_g_per_unit)
    are_heats = 0 < one.lhv_mj_per_unit <= one.hhv_mj_per_unit
    if min(*gases, one.upstream_frac, one.water_frac) < 0 or not are_heats:
        raise FactorError(f"{row.where}: a negative figure, or a lower heat above the higher heat")
    return one


KIND = {"kind": Row.slug}
BONES = Table("composition.csv", Composition, lambda one: one.kind, "kind of bone", KIND, _normalised)
GWPS = Table("gwp.csv", Gwp, lambda one: one.set, "set of warming potentials", {"set": Row.slug})
MEASURE = {"measure": one_of("L", "m3", "kg", "kWh")}
FUELS = Table("fuels.csv", Fuel, lambda one: one.kind, "fuel", KIND | MEASURE, _burnable)


def composition(kind: str) -> Composition:
    """Return what a kind of bone is made of, such as "beef_mixed" or "beef-mixed"; FactorError if unknown."""
    return BONES.pick(kind)


def gwp(edition: str) -> Gwp:
    """Warming potentials of "ar4", "ar5" or "ar6"; FactorError for another name."""
    return GWPS.pick(edition)


def fuel(kind: str) -> Fuel:
    """Return a fuel by kind, such as "natural_gas" or "natural-gas"; FactorError if unknown."""
    return FUELS.pick(kind)
