"""What the same bones would emit by each other way [kg CO2e a year]; never part of a removal.

Every way is computed for the bones fired, so that at least two baselines can stand side by side.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from econ import evidence
from econ.evidence import stoichiometry
from econ.model.ledger import Book, Quantity
from econ.model.plan import Plan


def out_share(decay_per_year: Quantity, years: Quantity) -> Quantity:
    """Share [0..1] of the methane of steady deposits over `years` that has come out at their end.

    For deposits spread evenly over the years and decay at rate k, out = 1 - (1 - exp(-k T)) / (k T).
    Broadcasts; k and T above 0. First-order decay as in the inventory guidance of 2006 and 2019, volume 5,
    chapter 3, in continuous time.
    """
    span = decay_per_year * years
    return 1 + np.expm1(-span) / span


def out_of_one_share(decay_per_year: Quantity, years: Quantity) -> Quantity:
    """Share [0..1] of the methane of a single deposit that has come out `years` after it: 1 - exp(-k t)."""
    return -np.expm1(-np.asarray(decay_per_year, float) * np.asarray(years, float))


Values = Mapping[str, Quantity]
G_PER_KG = 1000.0


def handling(p: Values, plan: Plan) -> dict[str, Quantity]:
    """What tables and exponentials give, per unit; nan where the plant has to say it.

    `landfill_out_share` is the share of the methane of the study's deposits that is out at its end.
    """
    return {
        "landfill_out_share": out_share(p["handling.lf_decay"], p["money.study_years"]),
        "own_way_if_blank": np.nan,
        "price_has_protocol": 1.0 if plan.carbon_protocol else np.nan,
        "pit_methane_correction": evidence.factor("lf_mcf_pit").value,
        "chips_ch4_per_kg": (evidence.factor("cmp_ch4").low or 0.0) / G_PER_KG,
        "chips_n2o_per_kg": (evidence.factor("cmp_n2o").low or 0.0) / G_PER_KG,
        "ch4_per_c": stoichiometry.CH4_PER_C_REPORTING,
        "meal_fat": evidence.factor("rend_meal_fat").value / 100,
        "meal_water": evidence.factor("rend_meal_water").value / 100,
        "soy_protein": evidence.factor("soy_protein").value / 100,
        "ammonia_n2o_n": evidence.factor("ef4_n2o").value,
    }


def composting(b: Book, plan: Plan) -> Quantity:
    """Methane of a pile on the basis chosen, N2O by the nitrogen of the bones, chips low [kg CO2e/year].

    A typed factor of N2O counts on the basis chosen. Where the share of nitrogen kept is typed, the rest is lost
    as ammonia, of which a part becomes N2O elsewhere (IPCC EF4).
    """
    acting: Quantity = {
        "degradable": b["fat_kg"] + b["protein_kg"],
        "dry": b["bones_fired_kg"] - b["water_kg"],
        "wet": b["bones_fired_kg"],
    }[plan.compost_basis]
    acting = b.line("compost_basis_kg", acting)
    ch4_kg = b.line("compost_ch4_kg", acting * b["handling.compost_ch4"])
    n2o_of = b["n_bones_kg"] if plan.compost_n2o_by_n else acting
    n2o_kg = b.line("compost_n2o_kg", n2o_of * b["handling.compost_n2o"])
    kept = b["handling.compost_n_kept"] if plan.compost_n_typed else 1.0
    ammonia_n = b.line("compost_ammonia_n_kg", b["n_bones_kg"] * (1 - kept))
    indirect = b.line("compost_indirect_n2o_kg", ammonia_n * b["ammonia_n2o_n"] * b["n2o_per_n"])
    chips_kg = b.line("compost_chips_kg", b["bones_fired_kg"] * b["handling.chips"])
    bones = b.line("compost_bones_kg_co2e", ch4_kg * b["gwp_ch4_biogenic"] + (n2o_kg + indirect) * b["gwp_n2o"])
    per_kg = b.line(
        "chips_co2e_per_kg",
        b["chips_ch4_per_kg"] * b["gwp_ch4_biogenic"] + b["chips_n2o_per_kg"] * b["gwp_n2o"],
    )
    return b.line("compost_kg_co2e", bones + chips_kg * per_kg)


def landfill(b: Book) -> Quantity:
    """All methane that a landfill lets out from a year of bones [kg CO2e/year]; carbon that stays apart."""
    rots = b["handling.lf_rots"]
    degradable_c = b.line("landfill_degradable_c_kg", b["bones_fired_kg"] * b["handling.lf_doc"])
    decayed_c = b.line("landfill_decayed_c_kg", degradable_c * b["handling.lf_docf"] * rots)
    methane = b.line("landfill_methane_per_c", b["handling.lf_gas"] * b["ch4_per_c"])
    made = b.line("landfill_ch4_made_kg", decayed_c * b["handling.lf_mcf"] * methane)
    out = b.line(
        "landfill_ch4_out_kg",
        made * (1 - b["handling.lf_capture"]) * (1 - b["handling.lf_ox"]),
    )
    b.line("landfill_c_stays_kg", degradable_c - decayed_c)
    emitted = b.line("landfill_kg_co2e", out * b["gwp_ch4_biogenic"])
    b.line("landfill_out_by_study_end_share", b["landfill_out_share"])
    b.line("landfill_study_kg_co2e", emitted * b["money.study_years"] * b["landfill_out_share"])
    pit = b.line("pit_ch4_kg", decayed_c * b["pit_methane_correction"] * methane)
    b.line("pit_kg_co2e", pit * b["gwp_ch4_biogenic"])
    return emitted


def rendering(b: Book) -> Quantity:
    """Rendering before product credits [kg CO2e/year]; the credits of meal, and of tallow stand apart."""
    emitted = b.line("rendering_kg_co2e", b["bones_fired_kg"] * b["handling.rendering"])
    meal = b.line("rendering_meal_kg", (b["protein_kg"] + b["mineral_kg"]) / (1 - b["meal_fat"] - b["meal_water"]))
    tallow = b.line("rendering_tallow_kg", np.maximum(b["fat_kg"] - meal * b["meal_fat"], 0))
    soy = b.line("soy_meal_replaced_kg", b["protein_kg"] / b["soy_protein"])
    credits = b.line(
        "rendering_credits_kg_co2e",
        soy * b["handling.meal_credit"] + tallow * b["handling.tallow_credit"],
    )
    b.line("rendering_with_credits_kg_co2e", emitted - credits)
    return emitted


def own_way(b: Book) -> Quantity:
    """By the user's own factor for burial, stockpile or another way [kg CO2e a year]; nan where it is blank."""
    typed = b.optional("handling.own_factor")
    factor = b["own_way_if_blank"] if typed is None else typed
    return b.line("own_way_kg_co2e", b["bones_fired_kg"] * factor)
