"""Coefficients per kilogram and per unit: what the workbook carries as marked values.

They come from composition, peak temperature, warming potentials and fuels. Everything here is arithmetic
on quantities, `ledger.interp` and `ledger.step`, so it broadcasts over arrays and can be printed; the live
workbook shows the results as values, since tables and class edges do not make readable formulas.
"""

from __future__ import annotations

from collections.abc import Mapping

from econ import evidence
from econ.evidence import curves, stoichiometry
from econ.model import capacity, heat
from econ.model.composition import stream
from econ.model.handling import handling
from econ.model.ledger import Quantity, step
from econ.model.lender import contingency, repayment
from econ.model.persistence import persistence
from econ.model.plan import Plan
from econ.model.process import climate
from econ.units import unit

Values = Mapping[str, Quantity]


def coefficients(p: Values, plan: Plan) -> dict[str, Quantity]:
    """Every coefficient of a plan by name [units: workbook/coefficients.csv]; `p` may be arrays (cases,)."""
    found: dict[str, Quantity] = {
        "p2o5_per_p": stoichiometry.P2O5_PER_P,
        "co2_per_c": stoichiometry.CO2_PER_C_REPORTING,
        "n2o_per_n": stoichiometry.N2O_PER_N_REPORTING,
        "protein_n": evidence.factor("coll_n").value / 100,
        "protein_c": evidence.factor("prot_c").value / 100,
        "fat_c": evidence.factor("fat_c").value / 100,
        "char_kg_per_m3": evidence.factor("rho_char").value,
        "compost_kg_per_m3": evidence.factor("rho_compost").value,
    }
    if plan.matter.soil_by_ph:
        found["soil_factor_by_ph"] = soil_factor(p["fertiliser.soil_ph"])
    for n in plan.streams:
        found |= {f"bones_{n}_{name}": value for name, value in stream(p, n).items()}
    found |= capacity.coefficients(p, plan) | heat.coefficients(p, plan)
    found |= contingency(plan) | repayment(p, plan) | planting(p, plan)
    return found | persistence(p, plan) | climate(p, plan) | handling(p, plan)


def soil_factor(soil_ph: Quantity) -> Quantity:
    """Share of the available P2O5 that works in a soil of this pH [kg/kg]: 0 above 6.1 (table soil_factor.csv)."""
    table = curves.soil_factors()
    return step(table.edges_ph, table.soil_factor, soil_ph)


def planting(p: Values, plan: Plan) -> dict[str, Quantity]:
    """Coefficients of the filled blocks of planting [kg, L, m² as named]; none where there are none."""
    if not plan.planting.grounds:
        return {}
    found: dict[str, Quantity] = {
        "soil_test_none": factor("m3_opt"),
        "soil_test_short": evidence.soil_readings("mehlich3")[0].up_to,
        "soil_build_years": factor("build_years"),
        "soil_slice_kg_per_m2": unit("lb per acre").to_canonical(factor("soil_slice")),
        "garden_removal_kg_per_ha": factor("rem_garden"),
        "orchard_removal_kg_per_ha": factor("rem_orchard"),
        "planting_tree_m2": factor("tree_ground"),
        "planting_row_m": factor("row_ground"),
        "planting_compost_p2o5_kg_per_m3": factor("rho_compost")
        * (1 - factor("compost_water") / 100)
        * factor("compost_p2o5")
        / 100,
        "planting_hole_kg": factor("hole_char") / 1000,
        "planting_row_kg_per_m2": unit("kg per ha").to_canonical(factor("row_rate")),
        "planting_tea_l_per_kg": factor("tea_per_char"),
        "planting_compost_volumes": factor("compost_per_char"),
    }
    for ground in plan.planting.grounds:
        start = f"planting_{ground.number}"
        if ground.crop:
            found[f"{start}_crop_p_per_kg"] = evidence.crop_removal(ground.crop).p_kg_per_t / 1000
        if "soil_ph" in ground.rows:
            found[f"{start}_soil_factor"] = soil_factor(p[f"planting.{ground.number}.soil_ph"])
    return found


def factor(name: str) -> float:
    """The value of a factor of the evidence, in its own unit."""
    return evidence.factor(name).value
