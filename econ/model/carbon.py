"""Durable carbon and removal of a plant year, each step on its own line.

Carbon reporting uses 44/12, 16/12 and 44/28 (inventory convention). Removal is counted at application,
for the in-scope share of the char that is sold or used; carbonate carbon never counts. Avoided emissions
never enter here.

The four blocks apart, and the one line that sets the kiln against current practice.

Removal; process emissions; avoided emissions against the named baseline; credits lost. They meet only in
the difference to current practice, whose formula is spelled out, and never in a removal or project net.
"""

from __future__ import annotations

import numpy as np

from econ.model import handling
from econ.model.ledger import Book, Quantity
from econ.model.plan import Plan

METHODS = ("class", "inventory", "hc")
CHOSEN = {"temperature-class": "class", "inventory-class": "inventory", "hydrogen-ratio": "hc"}
"""The method behind each choice of the row."""


def uses(b: Book, plan: Plan, char_kg: Quantity, stock_kg: Quantity) -> Quantity:
    """Where the char goes [kg a year] by end use; returns the share of all char that is in scope.

    Where the in-scope share is blank it is whatever the other uses leave; where it is typed, the rest of
    the char is undocumented and counts nothing.
    """
    used_frac = b.line("char_used_share", (char_kg - stock_kg) / np.maximum(char_kg, 1e-9))
    elsewhere = b.line(
        "out_of_scope_share", b["carbon.beds_share"] + b["carbon.blends_share"] + b["carbon.other_share"]
    )
    scope = b["carbon.in_scope_share"]
    if plan.scope_is_rest:
        scope = scope * np.maximum(1 - elsewhere, 0)
    b.line("in_scope_share", scope)
    used_kg = b.line("char_used_kg", char_kg * used_frac)
    b.line("char_in_scope_kg", used_kg * scope)
    for name in ("beds", "blends", "other"):
        b.line(f"char_to_{name}_kg", used_kg * b[f"carbon.{name}_share"])
    b.line("char_undocumented_kg", used_kg * np.maximum(1 - scope - elsewhere, 0))
    return scope


def removal(b: Book, plan: Plan, organic_c_kg: Quantity, scope: Quantity) -> Quantity:
    """Removal [kg CO2e a year] = C_org applied in scope × share lasting 100 years × 44/12.

    The potential is that of all char made. Both methods are written beside the one chosen.
    """
    applied = b.line("organic_c_in_scope_kg", organic_c_kg * b["char_used_share"] * scope)
    used, low, high = _shares(b, plan, CHOSEN[plan.persistence])
    durable = b.line("durable_c_kg", applied * used)
    b.line("durable_c_low_kg", applied * low)
    b.line("durable_c_high_kg", applied * high)
    removed = b.line("removal_kg_co2e", durable * b["co2_per_c"])
    b.line("potential_removal_kg_co2e", organic_c_kg * used * b["co2_per_c"])
    for name in METHODS:
        ends = zip(("", "_low", "_high"), _shares(b, plan, name), strict=True)
        for end, share in ends:
            b.line(f"removal_by_{name}{end}_kg_co2e", applied * share * b["co2_per_c"])
    b.line("removal_outward_kg_co2e", applied * b["outward_share"] * b["co2_per_c"])
    b.line("removal_by_hc_lab_kg_co2e", applied * b["persist_by_hc_used_frac"] * b["co2_per_c"])
    b.line("removal_by_hc_corrected_kg_co2e", applied * b["hc_corrected_used_share"] * b["co2_per_c"])
    return removed


def _shares(b: Book, plan: Plan, method: str) -> tuple[Quantity, Quantity, Quantity]:
    """The share of a method as used, with its low and high end; lines where H/C_org is corrected here."""
    if method == "hc" and plan.corrects_hc:
        return tuple(b[f"hc_corrected_{end}_share"] for end in ("used", "low", "high"))
    return tuple(b[f"persist_by_{method}_{end}_frac"] for end in ("used", "low", "high"))


def net(b: Book, removed: Quantity, emitted: Quantity) -> Quantity:
    """Project net = removal less process emissions [kg CO2e a year]; negative is a net source.

    The outward one takes the lower of the class and H/C_org less the hydrogen of the mineral.
    """
    b.line("project_net_outward_kg_co2e", b["removal_outward_kg_co2e"] - emitted)
    return b.line("project_net_kg_co2e", removed - emitted)


def over_study(b: Book, plan: Plan) -> None:
    """Removal, project net and difference over the study [kg CO2e]: removal only of char sold or used by then."""
    used = b["char_used_study_share"] * plan.years
    removed = b.line("removal_study_kg_co2e", b["removal_kg_co2e"] * used)
    b.line("project_net_study_kg_co2e", removed - b["process_kg_co2e"] * plan.years)
    unused = b["removal_kg_co2e"] * plan.years - removed
    b.line("difference_study_kg_co2e", b["difference_kg_co2e"] * plan.years - unused)
    b.line("p_used_study_kg", b["p_kg"] * b["char_used_share"] * used)


def cancelling(b: Book, removed: Quantity, bones_kg: Quantity, char_kg: Quantity) -> None:
    """What would cancel the removal if it were the only emission: propane, N2O, methane."""
    per_kg = b.line("removal_per_kg_bones", removed / np.maximum(bones_kg, 1e-9))
    propane = b.line("cancel_propane_l_per_t", per_kg * 1000 / b["propane_co2e_per_l"])
    b.line("cancel_propane_gal_per_t", propane / 3.785411784)
    n2o = b["n2o_per_n"] * b["gwp_n2o"] * np.maximum(b["n_lost_kg"], 1e-9)
    b.line("cancel_n2o_share", removed / n2o)
    ch4_g = b.line("cancel_ch4_g", removed / b["gwp_ch4_biogenic"] * 1000)
    b.line("cancel_ch4_g_per_kg_char", ch4_g / np.maximum(char_kg, 1e-9))
    b.line("cancel_ch4_g_per_kg_volatiles", ch4_g / np.maximum(b["volatiles_kg"], 1e-9))


def price_what_if(b: Book, plan: Plan) -> None:
    """Income at a carbon price [currency a year], apart from all money; nothing for a net source.

    Written only where a price is typed, and withheld (nan) where no protocol is named.
    """
    if plan.carbon_price:
        tonnes = np.maximum(b["project_net_kg_co2e"], 0)
        b.line("price_what_if_income", tonnes * b["carbon.price"] * b["price_has_protocol"])


def against_current_practice(b: Book, plan: Plan) -> None:
    """Avoided emissions, credits lost and the difference [kg CO2e a year], with and without credits."""
    ways = {
        "composting": handling.composting(b, plan),
        "landfill": handling.landfill(b),
        "rendering": handling.rendering(b),
    }
    own = handling.own_way(b)
    chosen: Quantity = ways.get(plan.today, own)
    today = b.line("avoided_handling_kg_co2e", chosen)
    hauling = _hauling(b)
    _not_processed(b, today, hauling)
    avoided = b.line("avoided_kg_co2e", today + hauling)
    fertiliser = _fertiliser(b)
    lost = _credits_lost(b, plan)
    b.line("avoided_with_credits_kg_co2e", avoided + fertiliser)
    b.line("difference_kg_co2e", b["removal_kg_co2e"] - b["process_kg_co2e"] + avoided)
    b.line(
        "difference_with_credits_kg_co2e",
        b["removal_kg_co2e"] - b["process_kg_co2e"] + b["avoided_with_credits_kg_co2e"] - lost,
    )


def _not_processed(b: Book, today: Quantity, hauling: Quantity) -> None:
    """Both accounts whole: bones that may not be processed, or are passed on, go as they do today in either."""
    others = b["bones_excluded_kg"] + b["bones_passed_on_kg"]
    per_kg = today / np.maximum(b["bones_fired_kg"], 1e-9)
    same = b.line("not_processed_kg_co2e", others * per_kg)
    b.line("today_account_kg_co2e", today + hauling + same)
    b.line("kiln_account_kg_co2e", b["process_kg_co2e"] - b["removal_kg_co2e"] + same)


def _hauling(b: Book) -> Quantity:
    """Trips of today's way that end with the bones, by the share of the bones that is fired."""
    trips = b["handling.haul_trips"] * b["bones_fired_share"]
    diesel_l = b.line("avoided_diesel_l", trips * b["handling.haul_distance"] * b["haul.fuel_use"])
    upstream = 1 + b["diesel_upstream"]
    return b.line("avoided_haul_kg_co2e", diesel_l * b["diesel_co2e_per_l"] * upstream)


def _fertiliser(b: Book) -> Quantity:
    """Fertiliser displaced: available P2O5 that works, of char used where a soil test calls for it."""
    p2o5 = b.line("displaced_p2o5_kg", b["working_p2o5_kg"] * b["char_used_share"] * b["carbon.needs_p_share"])
    return b.line("displaced_kg_co2e", p2o5 * b["carbon.displaced_factor"])


def _credits_lost(b: Book, plan: Plan) -> Quantity:
    """What current practice gave and the kiln ends: nitrogen of compost, or meal and tallow."""
    kept = b["n_lost_kg"] * b["handling.compost_n_kept"]
    nitrogen = b.line("compost_nitrogen_kg_co2e", kept * b["handling.n_fertiliser"])
    lost = {"composting": nitrogen, "rendering": b["rendering_credits_kg_co2e"]}
    return b.line("credits_lost_kg_co2e", lost.get(plan.today, 0.0))
