"""What the carbon figures mean and what they do not claim, in words for the carbon page."""

from __future__ import annotations

from econ.answer.carbon_account import HORIZON_YEARS
from econ.questions.found import CASES
from econ.workbook.desk import Desk

BASIS_WORDS = {
    "degradable": "the fat and protein of the bones (their degradable dry matter)",
    "dry": "all dry matter of the bones (dry basis of the inventory table)",
    "wet": "the wet weight of the bones (wet basis of the inventory table, made for 60 % moisture)",
}


def notes(desk: Desk) -> list[str]:
    """How each block is counted, its horizon, and the limits of the claim."""
    plan, figures = desk.results.plan, desk.results.figures
    return [
        f"Removal = organic carbon of the char on mineral field, grassland or orchard soil × share lasting "
        f"{HORIZON_YEARS} years × 44/12, counted when it is applied. Beds, pots, blends without documents, other "
        "uses, unsold and stored char count nothing. Fire, erosion, burning or feeding the char undo it.",
        "The inventory table has no row for bone: both methods are used outside the chars they were fitted to. "
        "Apatite holds 0.2 % hydrogen, which a lab reads as part of H/C_org: on this char it adds "
        f"{figures['hc_of_mineral']:.2f}. Both figures are shown; the lab's is used unless "
        "you choose otherwise.",
        f"Carbonate carbon ({figures['carbonate_c_kg'] / 1000:,.3f} t a year) was in the bone before and is never "
        "counted. CO2 of wood and bone gas is biogenic and stands apart; their methane and N2O count in full.",
        "Process emissions: fuel, stack, hauling, grinding and bags. Nothing avoided elsewhere is in them or in "
        "project net. Avoided emissions hang on what would have happened instead: they are reported beside a "
        "removal, never added to it, and belong to whoever handles the bones or buys the fertiliser.",
        f"Composting acts on {BASIS_WORDS[plan.compost_basis]}. Landfill: first-order decay; the "
        f"{figures['landfill_c_stays_kg'] / 1000:,.2f} t of carbon a year that would stay buried can exceed that "
        "of the char: the difference to a landfill is methane, not storage.",
        "Rendering makes meal and tallow; their credits are weak figures and stand on both sides or on none. "
        "Fertiliser is displaced by available P2O5 only, and only where a soil test calls for it.",
        f"Low and high: nine in ten of {CASES} seeded samples of all ranges through this model, causes shared "
        "by several inputs moved together; middle: the figure itself. They are values of the scenario as run.",
        f"Warming potentials: {plan.gwp_set}, {HORIZON_YEARS} years. Estimated, not verified; not a credit; "
        "no claim of carbon neutrality is made. Bones carry no upstream burden as long as they are waste without "
        "a price.",
    ]
