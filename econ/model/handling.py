"""What the same bones would emit by each other way [kg CO2e a year]; never part of a removal.

Every way is computed for the bones fired, so that at least two baselines can stand side by side.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from econ.model.blanks import given
from econ.model.ledger import Book, Quantity

if TYPE_CHECKING:
    from econ.model.plan import Plan

MEAL_DRY_SHARE = 0.85
"""Of rendered meal: 5 % water and 10 % fat (house balance)."""
MEAL_FAT_SHARE = 0.10


def composting(b: Book, plan: Plan) -> Quantity:
    """Methane and N2O of a pile, on the basis chosen; new chips at the low end of the table."""
    acting: Quantity = {
        "degradable": b["fat_kg"] + b["protein_kg"],
        "dry": b["bones_fired_kg"] - b["water_kg"],
        "wet": b["bones_fired_kg"] * 1.0,
    }[plan.compost_basis]
    acting = b.line("compost_basis_kg", acting)
    ch4_kg = b.line("compost_ch4_kg", acting * given(b, "handling.compost_ch4"))
    n2o_kg = b.line("compost_n2o_kg", acting * given(b, "handling.compost_n2o"))
    chips_kg = b.line("compost_chips_kg", b["bones_fired_kg"] * b["handling.chips"])
    bones = b.line("compost_bones_kg_co2e", ch4_kg * b["gwp_ch4_biogenic"] + n2o_kg * b["gwp_n2o"])
    per_kg = b.line(
        "chips_co2e_per_kg",
        b["chips_ch4_per_kg"] * b["gwp_ch4_biogenic"] + b["chips_n2o_per_kg"] * b["gwp_n2o"],
    )
    return b.line("compost_kg_co2e", bones + chips_kg * per_kg)


def landfill(b: Book) -> Quantity:
    """All methane that a landfill lets out from a year of bones, however late, and the carbon that stays."""
    rots = given(b, "handling.lf_rots", "landfill_rots_if_blank")
    degradable_c = b.line("landfill_degradable_c_kg", b["bones_fired_kg"] * given(b, "handling.lf_doc"))
    decayed_c = b.line("landfill_decayed_c_kg", degradable_c * given(b, "handling.lf_docf") * rots)
    methane = b.line("landfill_methane_per_c", given(b, "handling.lf_gas") * b["ch4_per_c"])
    made = b.line("landfill_ch4_made_kg", decayed_c * given(b, "handling.lf_mcf") * methane)
    out = b.line(
        "landfill_ch4_out_kg",
        made * (1 - given(b, "handling.lf_capture")) * (1 - given(b, "handling.lf_ox")),
    )
    b.line("landfill_c_stays_kg", degradable_c - decayed_c)
    emitted = b.line("landfill_kg_co2e", out * b["gwp_ch4_biogenic"])
    b.line("landfill_out_by_study_end_share", b["landfill_out_share"] * 1.0)
    b.line("landfill_study_kg_co2e", emitted * b["money.study_years"] * b["landfill_out_share"])
    pit = b.line("pit_ch4_kg", decayed_c * b["pit_methane_correction"] * methane)
    b.line("pit_kg_co2e", pit * b["gwp_ch4_biogenic"])
    return emitted


def rendering(b: Book) -> Quantity:
    """Rendering before product credits; the credits of meal and tallow stand apart."""
    emitted = b.line("rendering_kg_co2e", b["bones_fired_kg"] * given(b, "handling.rendering"))
    meal = b.line("rendering_meal_kg", (b["protein_kg"] + b["mineral_kg"]) / MEAL_DRY_SHARE)
    tallow = b.line("rendering_tallow_kg", np.maximum(b["fat_kg"] - meal * MEAL_FAT_SHARE, 0))
    credits = b.line(
        "rendering_credits_kg_co2e",
        meal * given(b, "handling.meal_credit") + tallow * given(b, "handling.tallow_credit"),
    )
    b.line("rendering_with_credits_kg_co2e", emitted - credits)
    return emitted


def own_way(b: Book) -> Quantity:
    """The user's own factor for burial, stockpile or another way; nan where it is blank."""
    return b.line("own_way_kg_co2e", b["bones_fired_kg"] * given(b, "handling.own_factor", "own_way_if_blank"))
