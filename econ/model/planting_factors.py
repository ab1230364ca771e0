"""What own planting reads from the evidence: usual rates, soil-test edges, what a crop takes away."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from econ import evidence
from econ.model.ledger import Quantity
from econ.model.plan import Plan
from econ.units import unit

Values = Mapping[str, Quantity]


def planting(p: Values, plan: Plan, soil_factor: Callable[[Quantity], Quantity]) -> dict[str, Quantity]:
    """Coefficients of the filled blocks of planting; none where there are none. `soil_factor` is by soil pH."""
    if not plan.planting.grounds:
        return {}
    found: dict[str, Quantity] = {
        "soil_test_stop": edge("m3_env"),
        "soil_test_short": short_up_to(),
        "planting_hole_kg": evidence.factor("hole_char").value / 1000,
        "planting_row_kg_per_m2": unit("kg per ha").to_canonical(evidence.factor("row_rate").value),
        "planting_tea_l_per_kg": evidence.factor("tea_per_char").value,
        "planting_compost_volumes": evidence.factor("compost_per_char").value,
    }
    for ground in plan.planting.grounds:
        start = f"planting_{ground.number}"
        if ground.crop:
            found[f"{start}_crop_p_per_kg"] = evidence.crop_removal(ground.crop).p_kg_per_t / 1000
        if "soil_ph" in ground.rows:
            found[f"{start}_soil_factor"] = soil_factor(p[f"planting.{ground.number}.soil_ph"])
    return found


def edge(name: str) -> float:
    """A soil-test level of the evidence [mg/kg] as the fraction that the row holds."""
    return unit("mg/kg").to_canonical(evidence.factor(name).value)


def short_up_to() -> float:
    """The Mehlich-3 level [fraction] up to which phosphorus is short."""
    return unit("mg/kg").to_canonical(evidence.soil_readings("mehlich3")[0].up_to)
