"""From bones processed to char, by component and as elements (P, Ca, N, C), and from dry char to what is sold.

All in kilograms of a plant year. Finishing is grinding, charging with compost tea or compost, weight and analysis.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from econ.model.ledger import WHOLE, Book, Quantity, hour_cost, of_parts, there, total
from econ.model.plan import Plan

SumOf = Callable[..., Quantity]
"""A coefficient per kg of bones, times the bones fired, over all streams; then the figure it is a step of."""


def char(b: Book, plan: Plan, fired: Mapping[int, Quantity]) -> None:
    """Dry char, and what left as vapour, gas and drippings [kg a year], each computed. Source: mass balance.

    A weighed yield is believed. With an assay of the same load the residue of the protein is refitted, for the
    mineral is known; otherwise dry matter that stays against water and fat, which vary most from load to load: the
    make-up of the char is then unchanged.
    """

    def sum_of(coefficient: str, step: str = "") -> Quantity:
        found = total(fired[n] * b[f"bones_{n}_{coefficient}"] for n in plan.streams)
        return of_parts(b, step, found, len(plan.streams)) if step else found

    bones_fired = of_parts(b, "bones_fired_kg", total(fired.values()), len(plan.streams))
    all_water = sum_of("water_frac", "water_kg")
    modelled = b.line("char_modelled_kg", sum_of("char_frac"))
    solids = b.line("solids_modelled_kg", sum_of("solids_frac"))
    residue = b.line("residue_modelled_kg", sum_of("residue_frac"))
    b.line("dry_matter_modelled_kg", bones_fired - all_water)
    refit, of_residue = _refits(b, plan, bones_fired)
    left = (bones_fired - solids * refit) / np.maximum(bones_fired - solids, WHOLE)
    wet = b.line("refit_of_water_and_fat", left)
    residue_kg = b.line("residue_kg", residue * of_residue)
    char_kg = b.line("char_kg", modelled * refit + (residue_kg - residue * refit))
    water = b.line("water_kg", all_water * wet)
    fat_kg = b.line("fat_kg", sum_of("fat_frac") * wet)
    b.line("protein_kg", sum_of("protein_frac") * refit)
    b.line("mineral_kg", sum_of("ash_frac") * refit)
    vapour = b.line("vapour_kg", water)
    drip = b.line("fat_drip_kg", fat_kg * b["kiln.fat_drip_share"])
    fat = b.line("fat_gas_kg", fat_kg - drip)
    gas = sum_of("protein_gas_frac", "protein_gas_kg")
    protein = b.line("protein_gas_kg", gas * refit + (residue * refit - residue_kg))
    mineral = b.line("mineral_gas_kg", sum_of("mineral_lost_frac", "mineral_gas_kg") * refit)
    b.line("volatiles_kg", fat + protein)
    leaves = b.line("leaves_kg", vapour + fat + protein + mineral + drip)
    b.line("mass_residual_kg", bones_fired - char_kg - leaves)
    _elements(b, plan, sum_of, refit, of_residue)


def _refits(b: Book, plan: Plan, bones_fired: Quantity) -> tuple[Quantity, Quantity]:
    """Corrections by the weighed yield: of protein and mineral, and of the carbonised residue."""
    if not plan.measured_yield:
        return b.line("refit_of_solids", 1.0), b.line("refit_of_residue", 1.0)
    weighed = b.line("char_weighed_kg", bones_fired * b["kiln.char_yield"])
    modelled, residue = b["char_modelled_kg"], b["residue_modelled_kg"]
    if plan.matter.same_lot:
        refit = b.line("refit_of_solids", 1.0)
        return refit, b.line("refit_of_residue", (weighed - (modelled - residue)) / np.maximum(residue, WHOLE))
    refit = b.line("refit_of_solids", weighed / np.maximum(modelled, WHOLE))
    return refit, b.line("refit_of_residue", refit)


def _elements(b: Book, plan: Plan, sum_of: SumOf, refit: Quantity, of_residue: Quantity) -> None:
    """P, Ca, N, C in bones, char and gone [kg a year]; all P and Ca stay, unless an assay says otherwise."""
    char_kg, assay = b["char_kg"], plan.matter
    p_bones = b.line("p_bones_kg", b["mineral_kg"] * b["bones.ash_p_share"])
    ca_bones = b.line("ca_bones_kg", b["mineral_kg"] * b["bones.ash_ca_share"])
    p_char = char_kg * b["product.total_p2o5_share"] / b["p2o5_per_p"] if assay.measured_phosphate else p_bones
    p_kg = b.line("p_kg", p_char)
    ca_kg = b.line("ca_kg", char_kg * b["product.ca_share"] if assay.measured_calcium else ca_bones)
    b.line("p_residual_kg", p_bones - p_kg)
    b.line("ca_residual_kg", ca_bones - ca_kg)
    b.line("p2o5_kg", p_kg * b["p2o5_per_p"])
    n_bones = b.line("n_bones_kg", b["protein_kg"] * b["protein_n"])
    n_char = b.line("n_char_kg", sum_of("n_char_frac") * of_residue)
    b.line("n_lost_kg", n_bones - n_char)
    c_bones = b.line("organic_c_bones_kg", b["protein_kg"] * b["protein_c"] + b["fat_kg"] * b["fat_c"])
    organic = b.line("organic_c_modelled_kg", sum_of("organic_c_frac") * of_residue)
    organic = b.line("organic_c_kg", char_kg * b["carbon.organic_share"] if plan.measured_carbon else organic)
    dripped = b.line("organic_c_drip_kg", b["fat_drip_kg"] * b["fat_c"])
    b.line("organic_c_gas_kg", c_bones - organic - dripped)
    kept = b.line("carbonate_c_kg", sum_of("carbonate_c_frac") * refit)
    b.line("carbonate_c_lost_kg", sum_of("carbonate_c_raw_frac", "carbonate_c_lost_kg") * refit - kept)


def phosphate(b: Book, plan: Plan) -> None:
    """What of the P2O5 is available, and what the char is worth as plain fertiliser [kg, currency a year].

    One chain only: available P2O5 × soil factor × price; total P never meets a price. An assay of available P2O5,
    which may be on the weight as sold, comes first, then the soluble share of the total.
    """
    char_kg = b["char_kg"]
    if not plan.measured_available:
        available = b["p2o5_kg"] * b["product.soluble_share"]
    else:
        weight = char_kg * b["as_sold_per_kg"] if plan.matter.available_as_sold else char_kg
        available = weight * b["product.available_p2o5_share"]
    available = b.line("available_p2o5_kg", available)
    factor = b["soil_factor_by_ph"] if plan.matter.soil_by_ph else b["fertiliser.soil_factor"]
    working = b.line("working_p2o5_kg", available * b.line("soil_factor_used", factor))
    worth = b.line("fertiliser_value", working * b["fertiliser.p2o5_price"])
    per_kg = b.line("fertiliser_value_per_kg", worth / np.maximum(char_kg, WHOLE))
    b.line("fertiliser_value_per_kg_sold", per_kg / b["as_sold_per_kg"])


def finish(b: Book, plan: Plan) -> Quantity:
    """Weight of product for sale [kg a year as sold]; balances before it are on dry char. Definition.

    Grinding loses dust and sieves fines out. What is left may be charged with compost tea or mixed with compost,
    and is sold as wet as it then is, or at the water content typed. Prices, limits, net weights and analysis are
    on this weight.
    """
    char_kg = b["char_kg"]
    dust = b.line("dust_kg", char_kg * b["finish.dust_share"])
    fines = b.line("fines_kg", char_kg * b["finish.fines_share"])
    finished = b.line("char_finished_kg", char_kg - dust - fines)
    dry: Quantity = 0.0
    water: Quantity = b["finish.added_water"] if plan.matter.watered else 0.0
    if plan.matter.charged != "none":
        dry = b["finish.charge_ratio"] * (1 - b["finish.charge_water_share"])
        water = water + b["finish.charge_ratio"] * b["finish.charge_water_share"]
    dry, water = b.line("added_solids_per_kg", dry), b.line("added_water_per_kg", water)
    solids = b.line("sold_solids_per_kg", 1 + dry)
    if plan.matter.moisture_typed:
        per_kg = b.line("as_sold_per_kg", solids / (1 - b["finish.sold_moisture"]))
        in_it = b.line("sold_water_per_kg", per_kg - solids)
        b.line("water_dried_off_kg", finished * (water - in_it))
    else:
        per_kg = b.line("as_sold_per_kg", solids + water)
        in_it = b.line("sold_water_per_kg", water)
    b.line("sold_moisture", in_it / per_kg)
    if plan.matter.charged != "none":
        _charge(b, plan, b.line("charge_kg", finished * b["finish.charge_ratio"]))
    return b.line("product_kg", finished * per_kg)


def _charge(b: Book, plan: Plan, charge: Quantity) -> None:
    """Volume, tank loads and hours of a year's charging; a litre of tea is taken as a kilogram."""
    if plan.matter.charged == "compost":
        b.line("charge_m3", charge / b["compost_kg_per_m3"])
    else:
        litres = b.line("charge_l", charge)
        if "tank" in plan.planting.injector:
            b.line("charge_loads", np.ceil(litres / b["injector.tank"] - WHOLE))
    for hours in there(b, "finish.charge_hours"):
        b.line("charge_hours", b["char_finished_kg"] * hours)


def analysis(b: Book, plan: Plan) -> None:
    """What a bag holds, as sold and on the dry char [kg/kg]; nothing is claimed for what was mixed in."""
    char_kg = np.maximum(b["char_kg"], WHOLE)
    per_kg = b["as_sold_per_kg"]
    for name in ("p", "p2o5", "ca", "n_char", "organic_c"):
        dry = b.line(f"char_{name}_share", b[f"{name}_kg"] / char_kg)
        if name != "n_char":
            b.line(f"sold_{name}_share", dry / per_kg)
    available = b.line("char_available_share", b["available_p2o5_kg"] / char_kg)
    b.line("sold_available_share", available / per_kg)
    loose = b["char_finished_kg"] / b["char_kg_per_m3"]
    if plan.matter.charged == "compost":
        loose = loose + b["char_finished_kg"] * b["finish.charge_ratio"] / b["compost_kg_per_m3"]
    b.line("product_m3", loose)


def unused(b: Book) -> Quantity:
    """Dry char that reaches no soil in the year [kg]: dust, fines, and what found no buyer. Definition."""
    stock = b.line("stock_dry_kg", b["char_to_stock_kg"] / b["as_sold_per_kg"])
    return b.line("char_unused_kg", stock + b["dust_kg"] + b["fines_kg"])


def costs(b: Book, plan: Plan) -> None:
    """Grinding of all char, charging of what is left, and bags of what is sold in bags [currency of today a year].

    Bags are counted by weight as sold; own use, loose char and stock bear none. Then the income of fat that
    dripped out and of fines, or the bill for carting them off.
    """
    grind = b["char_kg"] * b["finish.grind_cost"]
    hour = [hours * hour_cost(b) for hours in there(b, "charge_hours")]
    tea = total([b["char_finished_kg"] * b["finish.tea_cost"], *hour])
    if plan.matter.charged != "none":
        b.line("charge_cost_today", tea)
    if plan.matter.bagged_by_weight:
        b.line("bags_per_year", b["bagged_kg"] / b["finish.bag_weight"])
    cost = b.line("finish_cost_today", grind + tea)
    bags = b.line("bag_cost_today", b["bagged_kg"] * b["finish.bag_cost"])
    b.line("finish_cost_per_kg", (cost + bags) / np.maximum(b["char_kg"], WHOLE))
    income = []
    if plan.matter.fat_priced:
        income.append(b.line("fat_income_today", b["fat_drip_kg"] * b["fat.price"]))
    if plan.matter.fines_priced:
        income.append(b.line("fines_income_today", b["fines_kg"] * b["finish.fines_price"]))
    if income:
        b.line("side_income_today", total(income))
