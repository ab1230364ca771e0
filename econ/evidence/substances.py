"""Substances: atomic weights and ratios, raw bones, gases, fuels, limits, crops, soil tests, labels and sieves.

Weights are the abridged IUPAC standard values [g/mol], recalled from the table of the Commission on Isotopic
Abundances and Atomic Weights and tested against an independent package. Carbon reporting uses whole-number ratios
instead; those names end in REPORTING.
"""

from __future__ import annotations

import math
from typing import Any

from econ.errors import FactorError
from econ.evidence.facts import Ranged, Row, Share, Sourced, Table, check_range, one_of, pick
from econ.fields import record, replace

H_G_PER_MOL = 1.008
C_G_PER_MOL = 12.011
N_G_PER_MOL = 14.007
O_G_PER_MOL = 15.999
P_G_PER_MOL = 30.97376
CA_G_PER_MOL = 40.078

P2O5_G_PER_MOL = 2 * P_G_PER_MOL + 5 * O_G_PER_MOL
CO2_G_PER_MOL = C_G_PER_MOL + 2 * O_G_PER_MOL
PHOSPHATE_G_PER_MOL = P_G_PER_MOL + 4 * O_G_PER_MOL
HYDROXYAPATITE_G_PER_MOL = 10 * CA_G_PER_MOL + 6 * PHOSPHATE_G_PER_MOL + 2 * (O_G_PER_MOL + H_G_PER_MOL)
"""Ca10(PO4)6(OH)2."""
TRICALCIUM_PHOSPHATE_G_PER_MOL = 3 * CA_G_PER_MOL + 2 * PHOSPHATE_G_PER_MOL
"""Ca3(PO4)2."""

P_PER_P2O5 = 2 * P_G_PER_MOL / P2O5_G_PER_MOL
P2O5_PER_P = 1 / P_PER_P2O5
CAO_PER_CA = (CA_G_PER_MOL + O_G_PER_MOL) / CA_G_PER_MOL
CO2_PER_C = CO2_G_PER_MOL / C_G_PER_MOL

P_IN_HYDROXYAPATITE = 6 * P_G_PER_MOL / HYDROXYAPATITE_G_PER_MOL
"""No bone mineral holds more phosphorus [kg/kg]: a higher entry is P2O5."""
P2O5_IN_HYDROXYAPATITE = P_IN_HYDROXYAPATITE * P2O5_PER_P
CA_IN_HYDROXYAPATITE = 10 * CA_G_PER_MOL / HYDROXYAPATITE_G_PER_MOL
H_IN_HYDROXYAPATITE = 2 * H_G_PER_MOL / HYDROXYAPATITE_G_PER_MOL
P_IN_TRICALCIUM_PHOSPHATE = 2 * P_G_PER_MOL / TRICALCIUM_PHOSPHATE_G_PER_MOL
P2O5_IN_TRICALCIUM_PHOSPHATE = P_IN_TRICALCIUM_PHOSPHATE * P2O5_PER_P

CO2_PER_C_REPORTING = 44 / 12
CH4_PER_C_REPORTING = 16 / 12
N2O_PER_N_REPORTING = 44 / 28
C_PER_CACO3_REPORTING = 12 / 100

SUM_SLACK_FRAC = 0.03
"""How far printed shares may miss a sum of 1 [kg/kg] before the row is refused."""


@record(frozen=True)
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


@record(frozen=True)
class Gwp(Sourced):
    """One edition of warming potentials over 100 years [kg CO2e/kg]."""

    set: str
    ch4_biogenic: Ranged
    ch4_fossil: Ranged
    n2o: Ranged


@record(frozen=True)
class Fuel(Sourced):
    """A fuel per unit of its measure (L, m3, kg or kWh): heat [MJ], CO2 [kg], CH4 and N2O [g] of burning.

    `upstream_frac` of the fossil CO2e comes on top; a wet fuel is per unit at `water_frac`; CO2 of electricity:
    the grid's.
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

        Methane takes the figure without its own CO2: the table counts all carbon of the fuel as CO2 (GHG Protocol,
        Global Warming Potential Values, August 2024).
        """
        other_g = self.ch4_g_per_unit * edition.ch4_biogenic.value + self.n2o_g_per_unit * edition.n2o.value
        return self.fossil_co2_kg_per_unit + other_g / 1000


def _burnable(row: Row, one: Fuel) -> Fuel:
    gases = (one.fossil_co2_kg_per_unit, one.biogenic_co2_kg_per_unit, one.ch4_g_per_unit, one.n2o_g_per_unit)
    are_heats = 0 < one.lhv_mj_per_unit <= one.hhv_mj_per_unit
    if min(*gases, one.upstream_frac, one.water_frac) < 0 or not are_heats:
        raise FactorError(f"{row.where}: a negative figure, or a lower heat above the higher heat")
    return one


@record(frozen=True)
class Limit(Sourced):
    """Most of a substance that a rule allows.

    `basis`: per kg of product, each per cent of its P2O5 (at least `min_p2o5_pct` of them), or a kg of P2O5.
    """

    regime: str
    substance: str
    value: float
    unit: str
    basis: str
    min_p2o5_pct: float

    def mg_per_kg(self, p2o5_pct: float) -> float:
        """Return the limit [mg/kg product] for a product of this P2O5 content [%], on the rule's basis."""
        if not 0 <= p2o5_pct <= 100:
            raise FactorError(f"{self.regime} {self.substance}: P2O5 of {p2o5_pct:g} % is no percentage")
        if self.basis == "p2o5_pct":
            return self.value * max(p2o5_pct, self.min_p2o5_pct)
        return self.value * p2o5_pct / 100 if self.basis == "p2o5_kg" else self.value


@record(frozen=True)
class CropRemoval(Sourced):
    """Phosphorus in a harvested crop [lb P/short ton of fruit] and its range if known."""

    crop: str
    label: str
    p_lb_per_short_ton: float
    low: float | None
    high: float | None

    @property
    def p_kg_per_t(self) -> float:
        """The same in metric measure [kg P/t of fruit]: a pound a short ton is 1/2000."""
        return self.p_lb_per_short_ton / 2


@record(frozen=True)
class SoilReading(Sourced):
    """What a soil test means between two edges [unit]; the upper edge belongs to the class."""

    test: str
    above: float
    up_to: float
    unit: str
    reading: str


@record(frozen=True)
class Tolerance(Sourced):
    """How far an analysis may fall short of a guarantee before an inspector calls it deficient [% of product]."""

    nutrient: str
    guarantee_pct: float
    allowance_pct: float


@record(frozen=True)
class Sieve(Sourced):
    """A sieve of ASTM E11: its number or size, and its opening [mm]."""

    name: str
    opening_mm: float


BONES = Table("composition.csv", Composition, lambda it: it.kind, "kind of bone", {"kind": Row.slug}, _normalised)
GWPS = Table("gwp.csv", Gwp, lambda one: one.set, "set of warming potentials", {"set": Row.slug})
FUELS = Table("fuels.csv", Fuel, lambda one: one.kind, "fuel", {
    "kind": Row.slug, "measure": one_of("L", "m3", "kg", "kWh"),
}, _burnable)  # fmt: skip
LIMITS = Table("limits.csv", Limit, lambda one: f"{one.regime} {one.substance}", cells={
    "regime": Row.slug, "basis": one_of("product", "p2o5_pct", "p2o5_kg"),
    "min_p2o5_pct": lambda row, column: row.optional(column) or 0.0,
})  # fmt: skip
CROPS = Table("crop_removal.csv", CropRemoval, lambda one: one.crop, "crop", {
    "crop": Row.slug, "p_lb_per_short_ton": lambda row, column: row.ranged("", column, "low", "high")[0],
})  # fmt: skip
SOIL = Table("soil_test.csv", SoilReading, lambda one: f"{one.test} {one.reading}", cells={
    "test": Row.slug, "above": lambda row, _: row.between("above", "up_to")[0],
    "up_to": lambda row, _: row.between("above", "up_to")[1],
})  # fmt: skip
TOLERANCES = Table("tolerances.csv", Tolerance, lambda one: f"{one.nutrient} {one.guarantee_pct}",
                   cells={"nutrient": Row.slug})  # fmt: skip
SIEVES = Table("sieves.csv", Sieve, lambda one: one.name)

composition, gwp, fuel, crop_removal = BONES.pick, GWPS.pick, FUELS.pick, CROPS.pick
"""A kind of bone, warming potentials ("ar6"), a fuel, a crop by name; FactorError if unknown."""
crop_removals, limits = CROPS.all, LIMITS.all
"""Every crop, and every limit, in file order."""


def soil_readings(test: str = "") -> tuple[SoilReading, ...]:
    """Return the classes of one soil test, such as "mehlich3", or of all; a blank edge is infinite."""
    named = test and pick({one.test: one.test for one in SOIL.all()}, test, "soil test")
    return tuple(one for one in SOIL.all() if named in ("", one.test))


def soil_reading(test: str, value: float) -> SoilReading | None:
    """Return the class that a soil test value [unit of the test] falls in, or None between classes."""
    return next((one for one in soil_readings(test) if one.above < value <= one.up_to), None)


def allowance(nutrient: str, guarantee: float) -> float:
    """The tolerance of a guarantee [kg/kg of product], read straight between its rows, flat beyond them."""
    rows = [one for one in TOLERANCES.all() if one.nutrient == nutrient]
    below = max((one for one in rows if one.guarantee_pct <= guarantee * 100), default=rows[0],
                key=lambda one: one.guarantee_pct)  # fmt: skip
    above = next((one for one in rows if one.guarantee_pct > below.guarantee_pct), below)
    span = above.guarantee_pct - below.guarantee_pct
    part = max(guarantee * 100 - below.guarantee_pct, 0) / span if span else 0.0
    return (below.allowance_pct + part * (above.allowance_pct - below.allowance_pct)) / 100


def sieve_for(size_mm: float) -> Sieve | None:
    """The narrowest sieve that grains of this size [mm] still pass; None above the widest."""
    passed = (sieve for sieve in SIEVES.all() if sieve.opening_mm >= size_mm * (1 - 1e-9))
    return min(passed, key=lambda sieve: sieve.opening_mm, default=None)
