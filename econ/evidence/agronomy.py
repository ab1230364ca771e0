"""Contaminant limits, what crops take away, soil tests, tolerances of labels, and sieves."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from econ.errors import FactorError
from econ.evidence.facts import Row, Sourced, Table, check_range, one_of, pick


@dataclass(frozen=True)
class Limit(Sourced):
    """Most of a substance that a rule allows.

    `basis` says what `value` is counted on: the product, each per cent of its P2O5, or a kg of P2O5.
    Below `min_p2o5_pct` a rule per per cent counts that many per cent.
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


@dataclass(frozen=True)
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


@dataclass(frozen=True)
class SoilReading(Sourced):
    """What a soil test means between two edges [unit]; the upper edge belongs to the class."""

    test: str
    above: float
    up_to: float
    unit: str
    reading: str


@dataclass(frozen=True)
class Tolerance(Sourced):
    """How far an analysis may fall short of a guarantee before an inspector calls it deficient [% of product]."""

    nutrient: str
    guarantee_pct: float
    allowance_pct: float


@dataclass(frozen=True)
class Sieve(Sourced):
    """A sieve of ASTM E11: its number or size, and its opening [mm]."""

    name: str
    opening_mm: float


def _in_range(row: Row, one: CropRemoval) -> CropRemoval:
    check_range(row.where, one.p_lb_per_short_ton, one.low, one.high)
    return one


LIMITS = Table("limits.csv", Limit, lambda one: f"{one.regime} {one.substance}", cells={
    "regime": Row.slug, "basis": one_of("product", "p2o5_pct", "p2o5_kg"),
    "min_p2o5_pct": lambda row, column: row.optional(column) or 0.0,
})  # fmt: skip
CROPS = Table("crop_removal.csv", CropRemoval, lambda one: one.crop, "crop", {"crop": Row.slug}, _in_range)
SOIL = Table("soil_test.csv", SoilReading, lambda one: f"{one.test} {one.reading}", cells={
    "test": Row.slug, "above": lambda row, _: row.between("above", "up_to")[0],
    "up_to": lambda row, _: row.between("above", "up_to")[1],
})  # fmt: skip
TOLERANCES = Table("tolerances.csv", Tolerance, lambda one: f"{one.nutrient} {one.guarantee_pct}",
                   cells={"nutrient": Row.slug})  # fmt: skip
SIEVES = Table("sieves.csv", Sieve, lambda one: one.name)


def limits(regime: str = "") -> tuple[Limit, ...]:
    """Return the limits of one set of rules, such as "aapfco_suip25", or all; FactorError if unknown."""
    named = regime and pick({one.regime: one.regime for one in LIMITS.all()}, regime, "set of limits")
    return tuple(one for one in LIMITS.all() if named in ("", one.regime))


def crop_removal(crop: str) -> CropRemoval:
    """Return what a crop takes away, such as "apple"; FactorError if unknown."""
    return CROPS.pick(crop)


def crop_removals() -> tuple[CropRemoval, ...]:
    """Every crop, in file order."""
    return CROPS.all()


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


@cache
def sieves() -> tuple[Sieve, ...]:
    """Every sieve, the widest first."""
    openings = [sieve.opening_mm for sieve in SIEVES.all()]
    if openings != sorted(openings, reverse=True) or min(openings) <= 0:
        raise FactorError("sieves.csv: opening_mm does not fall from row to row")
    return SIEVES.all()


def sieve_for(size_mm: float) -> Sieve | None:
    """The narrowest sieve that grains of this size [mm] still pass; None above the widest."""
    return next((sieve for sieve in reversed(sieves()) if sieve.opening_mm >= size_mm * (1 - 1e-9)), None)
