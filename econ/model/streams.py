"""What a kilogram of raw bones of each stream turns into: composition and peak temperature."""

from __future__ import annotations

from collections.abc import Mapping

from econ import evidence
from econ.model.composition import carried, retention_at
from econ.model.ledger import Quantity

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
