"""What a kilogram of raw bones turns into: composition and peak temperature."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from econ import evidence
from econ.evidence import curves, stoichiometry
from econ.model.ledger import Quantity

Values = Mapping[str, Quantity]


def _factor(name: str, scale: float = 1.0) -> float:
    return evidence.factor(name).value * scale


def fractions(p: Values, n: int) -> dict[str, Quantity]:
    """Water, fat, protein and ash of stream n [kg/kg], scaled to add up to 1.

    An assay that adds up to 98 to 102 %, or one component moved on its own, dilutes the others.
    """
    parts = {name: p[f"bones.{n}.{name}_share"] for name in ("water", "fat", "protein", "ash")}
    whole = parts["water"] + parts["fat"] + parts["protein"] + parts["ash"]
    return {name: part / whole for name, part in parts.items()}


def stream(p: Values, n: int) -> dict[str, Quantity]:
    """What 1 kg of raw bones of stream n turns into at the peak temperature [kg/kg].

    Model, not a published table: char = ash × mineral kept + protein × residue; fat and water leave.
    Peak temperatures outside 300 to 900 °C take the nearest end. P and Ca stay entirely.
    """
    at = np.asarray(p["kiln.peak_temperature"], dtype=float)
    table = curves.retention()

    def read(column: curves.Numbers) -> Any:
        return np.interp(at, table.peak_c, column)

    part = fractions(p, n)
    mineral_kept, residue = read(table.mineral_kept_frac), read(table.residue_frac)
    residue_kg = part["protein"] * residue
    carbonate_c = part["ash"] * _factor("ash_co2", 0.01) / stoichiometry.CO2_PER_C
    return {
        "char_frac": part["ash"] * mineral_kept + residue_kg,
        "solids_frac": part["ash"] + part["protein"],
        "water_frac": part["water"],
        "fat_frac": part["fat"],
        "protein_gas_frac": part["protein"] * (1 - residue),
        "mineral_lost_frac": part["ash"] * (1 - mineral_kept),
        "p_frac": part["ash"] * _factor("ash_p", 0.01),
        "ca_frac": part["ash"] * _factor("ash_ca", 0.01),
        "n_frac": part["protein"] * _factor("coll_n", 0.01),
        "n_char_frac": residue_kg * _factor("residue_n", 0.01),
        "organic_c_frac": residue_kg * read(table.residue_c_frac),
        "carbonate_c_frac": carbonate_c * read(table.carbonate_kept_frac),
    }
