"""Durable carbon and removal of a plant year, and the one line that sets the kiln against current practice.

Carbon reporting uses 44/12, 16/12 and 44/28 (inventory convention). Removal is counted at application, for the
in-scope share of the char sold or used; carbonate carbon never counts. Four blocks stand apart: removal; process
emissions; avoided emissions against the named baseline; credits lost. They meet only in the difference to current
practice, never in a removal or project net. What the same bones would emit by each other way is computed beside
it, so that two baselines can be compared; it is never part of a removal.
"""

from __future__ import annotations

import numpy as np

from econ.evidence import factors, substances
from econ.model.ledger import TINY, Book, Quantity, Values, given
from econ.model.plan import Plan

METHODS = ("class", "inventory", "hc")
CHOSEN = {"temperature-class": "class", "inventory-class": "inventory", "hydrogen-ratio": "hc"}
"""The method behind each choice of the row."""


def uses(b: Book, plan: Plan, char_kg: Quantity, stock_kg: Quantity) -> Quantity:
    """Char by end use [kg a year]; returns the share in scope [kg/kg], blank: what others leave. Definition."""
    used_frac = b.line("char_used_share", (char_kg - stock_kg) / np.maximum(char_kg, TINY))
    elsewhere = b["carbon.beds_share"] + b["carbon.blends_share"] + b["carbon.other_share"]
    elsewhere = b.line("out_of_scope_share", elsewhere)
    scope = b["carbon.in_scope_share"]
    scope = scope * np.maximum(1 - elsewhere, 0) if plan.scope_is_rest else scope
    b.line("in_scope_share", scope)
    used_kg = b.line("char_used_kg", char_kg * used_frac)
    b.line("char_in_scope_kg", used_kg * scope)
    for name in ("beds", "blends", "other"):
        b.line(f"char_to_{name}_kg", used_kg * b[f"carbon.{name}_share"])
    b.line("char_undocumented_kg", used_kg * np.maximum(1 - scope - elsewhere, 0))
    return scope


def removal(b: Book, plan: Plan, organic_c_kg: Quantity, scope: Quantity) -> Quantity:
    """Removal [kg CO2e a year] = C_org applied in scope × share lasting 100 years × 44/12.

    The potential is that of all char made. The other methods are written beside the one chosen. Source: IPCC 2019
    Refinement, volume 4, appendix 4 to chapter 2 (method for biochar in mineral soil).
    """
    applied = b.line("organic_c_in_scope_kg", organic_c_kg * b["char_used_share"] * scope)
    used, low, high = _shares(b, plan, CHOSEN[plan.persistence])
    durable = b.line("durable_c_kg", applied * used)
    b.line("durable_c_low_kg", applied * low)
    b.line("durable_c_high_kg", applied * high)
    removed = b.line("removal_kg_co2e", durable * b["co2_per_c"])
    b.line("potential_removal_kg_co2e", organic_c_kg * used * b["co2_per_c"])
    for name in METHODS:
        for end, share in zip(("", "_low", "_high"), _shares(b, plan, name), strict=True):
            b.line(f"removal_by_{name}{end}_kg_co2e", applied * share * b["co2_per_c"])
    b.line("removal_outward_kg_co2e", applied * b["outward_share"] * b["co2_per_c"])
    b.line("removal_by_hc_lab_kg_co2e", applied * b["persist_by_hc_used_frac"] * b["co2_per_c"])
    b.line("removal_by_hc_corrected_kg_co2e", applied * b["hc_corrected_used_share"] * b["co2_per_c"])
    return removed


def _shares(b: Book, plan: Plan, method: str) -> tuple[Quantity, ...]:
    """The share of a method as used, with its low and high end; lines where H/C_org is corrected here."""
    name = "hc_corrected_{}_share" if method == "hc" and plan.corrects_hc else f"persist_by_{method}_{{}}_frac"
    return tuple(b[name.format(end)] for end in ("used", "low", "high"))


def net(b: Book, removed: Quantity, emitted: Quantity) -> Quantity:
    """Project net = removal less process emissions [kg CO2e a year]; negative is a net source. Definition.

    The outward one takes the lower of class and H/C_org less the mineral's hydrogen. Then what would cancel the
    removal if it were the only emission: propane, N2O, methane.
    """
    b.line("project_net_outward_kg_co2e", b["removal_outward_kg_co2e"] - emitted)
    b.line("project_net_kg_co2e", removed - emitted)
    per_kg = b.line("removal_per_kg_bones", removed / np.maximum(b["bones_fired_kg"], TINY))
    propane = b.line("cancel_propane_l_per_t", per_kg * 1000 / b["propane_co2e_per_l"])
    b.line("cancel_propane_gal_per_t", propane / 3.785411784)
    b.line("cancel_n2o_share", removed / (b["n2o_per_n"] * b["gwp_n2o"] * np.maximum(b["n_lost_kg"], TINY)))
    ch4_g = b.line("cancel_ch4_g", removed / b["gwp_ch4_biogenic"] * 1000)
    b.line("cancel_ch4_g_per_kg_char", ch4_g / np.maximum(b["char_kg"], TINY))
    b.line("cancel_ch4_g_per_kg_volatiles", ch4_g / np.maximum(b["volatiles_kg"], TINY))
    return b["project_net_kg_co2e"]


def over_study(b: Book, plan: Plan) -> None:
    """Removal, project net and difference over the study [kg CO2e]: removal only of char sold or used by then."""
    used = b["char_used_study_share"] * plan.years
    removed = b.line("removal_study_kg_co2e", b["removal_kg_co2e"] * used)
    b.line("project_net_study_kg_co2e", removed - b["process_kg_co2e"] * plan.years)
    unused = b["removal_kg_co2e"] * plan.years - removed
    b.line("difference_study_kg_co2e", b["difference_kg_co2e"] * plan.years - unused)
    b.line("p_used_study_kg", b["p_kg"] * b["char_used_share"] * used)


def against_current_practice(b: Book, plan: Plan) -> None:
    """Avoided emissions, credits lost and the difference [kg CO2e a year], with and without credits. Definition.

    Both accounts are whole: bones not processed go as they do today in either, and trips of current practice end
    with the share processed. Fertiliser is displaced by available P2O5 that works, of char used where a soil test
    calls for it. Credits lost are what current practice gave: nitrogen of compost, or meal and tallow. The income
    at a carbon price stands apart from all money: nothing for a net source, not reported (nan) without a protocol.
    """
    ways = {"composting": _composting(b, plan), "landfill": _landfill(b), "rendering": _rendering(b)}
    own = b.line("own_way_kg_co2e", b["bones_fired_kg"] * given(b, "handling.own_factor", b["own_way_if_blank"]))
    today = b.line("avoided_handling_kg_co2e", ways.get(plan.today, own))
    trips = b["handling.haul_trips"] * b["bones_fired_share"]
    diesel_l = b.line("avoided_diesel_l", trips * b["handling.haul_distance"] * b["haul.fuel_use"])
    hauling = b.line("avoided_haul_kg_co2e", diesel_l * b["diesel_co2e_per_l"] * (1 + b["diesel_upstream"]))
    others = b["bones_excluded_kg"] + b["bones_passed_on_kg"]
    same = b.line("not_processed_kg_co2e", others * (today / np.maximum(b["bones_fired_kg"], TINY)))
    b.line("today_account_kg_co2e", today + hauling + same)
    b.line("kiln_account_kg_co2e", b["process_kg_co2e"] - b["removal_kg_co2e"] + same)
    avoided = b.line("avoided_kg_co2e", today + hauling)
    p2o5 = b.line("displaced_p2o5_kg", b["working_p2o5_kg"] * b["char_used_share"] * b["carbon.needs_p_share"])
    fertiliser = b.line("displaced_kg_co2e", p2o5 * b["carbon.displaced_factor"])
    kept = b["n_lost_kg"] * b["handling.compost_n_kept"]
    nitrogen = b.line("compost_nitrogen_kg_co2e", kept * b["handling.n_fertiliser"])
    credits = {"composting": nitrogen, "rendering": b["rendering_credits_kg_co2e"]}
    lost = b.line("credits_lost_kg_co2e", credits.get(plan.today, 0.0))
    b.line("avoided_with_credits_kg_co2e", avoided + fertiliser)
    kiln = b["removal_kg_co2e"] - b["process_kg_co2e"]
    b.line("difference_kg_co2e", kiln + avoided)
    b.line("difference_with_credits_kg_co2e", kiln + b["avoided_with_credits_kg_co2e"] - lost)
    if plan.carbon_price:
        tonnes = np.maximum(b["project_net_kg_co2e"], 0)
        b.line("price_what_if_income", tonnes * b["carbon.price"] * b["price_has_protocol"])


def out_share(decay_per_year: Quantity, years: Quantity) -> Quantity:
    """Share [kg/kg] of the methane of steady deposits over `years` out at their end: 1 - (1 - exp(-k T)) / (k T).

    k and T above 0. Source: first-order decay of the IPCC guidelines (2006, 2019), volume 5, chapter 3,
    continuous.
    """
    span = decay_per_year * years
    return 1 + np.expm1(-span) / span


def handling(p: Values, plan: Plan) -> dict[str, Quantity]:
    """What tables and exponentials give [1, kg/kg]; nan where the plant has to say it. Source: factors.csv."""
    return {
        "landfill_out_share": out_share(p["handling.lf_decay"], p["money.study_years"]),
        "own_way_if_blank": np.nan,
        "price_has_protocol": 1.0 if plan.carbon_protocol else np.nan,
        "chips_ch4_per_kg": (factors.factor("cmp_ch4").low or 0.0) / 1000,
        "chips_n2o_per_kg": (factors.factor("cmp_n2o").low or 0.0) / 1000,
        "ch4_per_c": substances.CH4_PER_C_REPORTING,
        **factors.as_they_are("handling"),
    }


def _composting(b: Book, plan: Plan) -> Quantity:
    """Composting by the basis chosen, N2O by the nitrogen, lost ammonia (IPCC EF4), chips low [kg CO2e a year]."""
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
    per_kg = b["chips_ch4_per_kg"] * b["gwp_ch4_biogenic"] + b["chips_n2o_per_kg"] * b["gwp_n2o"]
    return b.line("compost_kg_co2e", bones + chips_kg * b.line("chips_co2e_per_kg", per_kg))


def _landfill(b: Book) -> Quantity:
    """All methane that a landfill lets out from a year of bones [kg CO2e a year]; carbon that stays apart."""
    degradable_c = b.line("landfill_degradable_c_kg", b["bones_fired_kg"] * b["handling.lf_doc"])
    decayed_c = b.line("landfill_decayed_c_kg", degradable_c * b["handling.lf_docf"] * b["handling.lf_rots"])
    methane = b.line("landfill_methane_per_c", b["handling.lf_gas"] * b["ch4_per_c"])
    made = b.line("landfill_ch4_made_kg", decayed_c * b["handling.lf_mcf"] * methane)
    out = b.line("landfill_ch4_out_kg", made * (1 - b["handling.lf_capture"]) * (1 - b["handling.lf_ox"]))
    b.line("landfill_c_stays_kg", degradable_c - decayed_c)
    emitted = b.line("landfill_kg_co2e", out * b["gwp_ch4_biogenic"])
    b.line("landfill_out_by_study_end_share", b["landfill_out_share"])
    b.line("landfill_study_kg_co2e", emitted * b["money.study_years"] * b["landfill_out_share"])
    pit = b.line("pit_ch4_kg", decayed_c * b["pit_methane_correction"] * methane)
    b.line("pit_kg_co2e", pit * b["gwp_ch4_biogenic"])
    return emitted


def _rendering(b: Book) -> Quantity:
    """Rendering before product credits [kg CO2e a year]; the credits of meal, and of tallow stand apart."""
    emitted = b.line("rendering_kg_co2e", b["bones_fired_kg"] * b["handling.rendering"])
    meal = b.line("rendering_meal_kg", (b["protein_kg"] + b["mineral_kg"]) / (1 - b["meal_fat"] - b["meal_water"]))
    tallow = b.line("rendering_tallow_kg", np.maximum(b["fat_kg"] - meal * b["meal_fat"], 0))
    soy = b.line("soy_meal_replaced_kg", b["protein_kg"] / b["soy_protein"])
    credits = soy * b["handling.meal_credit"] + tallow * b["handling.tallow_credit"]
    b.line("rendering_with_credits_kg_co2e", emitted - b.line("rendering_credits_kg_co2e", credits))
    return emitted
