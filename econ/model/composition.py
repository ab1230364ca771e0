"""What a kilogram of raw bones leaves behind at a given retention, component by component, and by stream."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from econ import evidence
from econ.evidence import curves, stoichiometry
from econ.model.ledger import Quantity, interp


@dataclass(frozen=True, slots=True)
class Retention:
    """What stays at one peak temperature, or at several [kg/kg].

    residue carbonised residue per kg protein; mineral_kept per kg ash; residue_c organic carbon per kg
    residue; carbonate_kept share of the CO2 bound in raw ash.
    """

    residue: Quantity
    mineral_kept: Quantity
    residue_c: Quantity
    carbonate_kept: Quantity


def retention_at(peak_c: Quantity, residue_ratio: Quantity = 1.0) -> Retention:
    """The house model at a peak temperature [°C], straight between its rows; outside 300 to 900 the end.

    `residue_ratio` moves the residue of protein against the model: 1 as tabled, never above all protein.
    """
    table = curves.retention()
    columns = (table.residue_frac, table.mineral_kept_frac, table.residue_c_frac, table.carbonate_kept_frac)
    residue, mineral, carbon, carbonate = (interp(table.peak_c, column, peak_c) for column in columns)
    return Retention(np.minimum(residue * residue_ratio, 1.0), mineral, carbon, carbonate)


def carried(
    part: Mapping[str, Quantity], kept: Retention, ash_co2: float, residue_n: float
) -> dict[str, Quantity]:
    """What 1 kg of raw bones of shares `part` (water, fat, protein, ash) turns into [kg/kg].

    char = ash × mineral kept + protein × residue; fat and water leave. Every stream that leaves is
    computed from its own component and never as the rest. `ash_co2` CO2 bound in raw ash [kg/kg],
    `residue_n` nitrogen of the residue [kg/kg].
    """
    mineral = part["ash"] * kept.mineral_kept
    residue = part["protein"] * kept.residue
    carbonate_c = part["ash"] * ash_co2 / stoichiometry.CO2_PER_C
    return {
        "char_frac": mineral + residue,
        "solids_frac": part["ash"] + part["protein"],
        "water_frac": part["water"],
        "fat_frac": part["fat"],
        "protein_frac": part["protein"],
        "ash_frac": part["ash"],
        "residue_frac": residue,
        "protein_gas_frac": part["protein"] * (1 - kept.residue),
        "mineral_lost_frac": part["ash"] * (1 - kept.mineral_kept),
        "n_char_frac": residue * residue_n,
        "organic_c_frac": residue * kept.residue_c,
        "carbonate_c_frac": carbonate_c * kept.carbonate_kept,
        "carbonate_c_raw_frac": carbonate_c,
    }


Values = Mapping[str, Quantity]


def fractions(p: Values, n: int) -> dict[str, Quantity]:
    """Water, fat, protein and ash of stream n [kg/kg], scaled to add up to 1.

    An assay that adds up to 98 to 102 %, or one component moved on its own, dilutes the others.
    """
    parts = {name: p[f"bones.{n}.{name}_share"] for name in ("water", "fat", "protein", "ash")}
    whole = parts["water"] + parts["fat"] + parts["protein"] + parts["ash"]
    return {name: part / whole for name, part in parts.items()}


def stream(p: Values, n: int) -> dict[str, Quantity]:
    """What 1 kg of raw bones of stream n turns into at the peak temperature [kg/kg].

    The house model, not a published table; see econ.model.composition. P and Ca stay entirely.
    """
    kept = retention_at(p["kiln.peak_temperature"], p["kiln.residue_ratio"])
    return carried(
        fractions(p, n),
        kept,
        ash_co2=evidence.factor("ash_co2").value / 100,
        residue_n=evidence.factor("residue_n").value / 100,
    )
