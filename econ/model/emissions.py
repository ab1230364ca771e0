"""What a unit of each fuel emits, and the warming potentials in use."""

from __future__ import annotations

from collections.abc import Mapping

from econ import evidence
from econ.model.ledger import Quantity
from econ.model.plan import Plan
from econ.units import unit

Values = Mapping[str, Quantity]


FOSSIL = frozenset({"propane", "diesel", "natural_gas"})
VEHICLES = {"truck": "truck_tkm", "small-truck": "truck_rigid_tkm", "van": "truck_van_tkm"}
KG_M_PER_T_KM = 1e6


def climate(p: Values, plan: Plan) -> dict[str, Quantity]:
    """Warming potentials of the chosen set, and what a unit of each fuel emits (canonical measure)."""
    edition = evidence.gwp(plan.gwp_set)
    found: dict[str, Quantity] = {
        "gwp_ch4_biogenic": edition.ch4_biogenic.value,
        "gwp_n2o": edition.n2o.value,
        "propane_co2e_per_l": evidence.fuel("propane").co2e_kg_per_unit(edition),
        "diesel_co2e_per_l": evidence.fuel("diesel").co2e_kg_per_unit(edition),
        "freight_co2e_per_kg_m": evidence.factor(VEHICLES[plan.vehicle]).value / KG_M_PER_T_KM,
    }
    for n, kind in zip(plan.fuels, plan.fuel_kinds, strict=True):
        fuel = evidence.fuel(kind)
        per_canonical = _per_canonical(fuel.measure)
        emits: Quantity = fuel.co2e_kg_per_unit(edition)
        if kind == "electricity":
            emits = p["carbon.grid_factor"] * 3.6
        found[f"fuel_{n}_co2e_per_unit"] = emits * per_canonical
        found[f"fuel_{n}_biogenic_per_unit"] = fuel.biogenic_co2_kg_per_unit * per_canonical
    return found


def _per_canonical(measure: str) -> float:
    """Units of `measure` in one canonical unit: kWh per MJ, m3 per L, 1 for L and kg."""
    return 1.0 / unit(measure).factor
