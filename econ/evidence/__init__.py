"""What is known: every figure with its range, unit, source, the place in the source, and how surely.

Facts stand in the csv files of this folder, one row a fact, and load at first use. A rung is one of primary
(read in the source or in its authors' or agency's own data), copy (read in a copy made by others), memory
(recalled) or assumed (chosen here). A row with parts is computed from them and stands on the lowest of their
rungs. A curve is one fact.

The tables over temperature, soil and H/C_org need numpy and stand in `econ.evidence.curves`.
"""

from __future__ import annotations

from econ.evidence.agronomy import (
    CropRemoval,
    Limit,
    Sieve,
    SoilReading,
    Tolerance,
    allowance,
    crop_removal,
    crop_removals,
    limits,
    sieve_for,
    sieves,
    soil_reading,
    soil_readings,
    tolerances,
)
from econ.evidence.factors import factor, factors, nearest
from econ.evidence.facts import Factor, Source, sources
from econ.evidence.substances import (
    Composition,
    Fuel,
    Gwp,
    Share,
    composition,
    compositions,
    fuel,
    fuels,
    gwp,
    gwps,
)

__all__ = [
    "Composition",
    "CropRemoval",
    "Factor",
    "Fuel",
    "Gwp",
    "Limit",
    "Share",
    "Sieve",
    "SoilReading",
    "Source",
    "Tolerance",
    "allowance",
    "composition",
    "compositions",
    "crop_removal",
    "crop_removals",
    "factor",
    "factors",
    "fuel",
    "fuels",
    "gwp",
    "gwps",
    "limits",
    "nearest",
    "sieve_for",
    "sieves",
    "soil_reading",
    "soil_readings",
    "sources",
    "tolerances",
]
