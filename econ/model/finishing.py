"""From dry char to what is sold: grinding, charging with compost tea or compost, weight and analysis."""

from __future__ import annotations

import numpy as np

from econ.model.ledger import WHOLE, Book, Quantity, total
from econ.model.plan import Plan


def finish(b: Book, plan: Plan) -> Quantity:
    """Weight of product for sale [kg a year as sold]; the balances before it stay on dry char.

    Grinding loses dust and sieves fines out. What is left may be charged with compost tea or mixed with
    compost, and is sold as wet as it then is, or at the water content typed. Prices, market limits, net
    weights and the label's analysis are all on this weight.
    """
    char_kg = b["char_kg"]
    dust = b.line("dust_kg", char_kg * b["finish.dust_share"])
    fines = b.line("fines_kg", char_kg * b["finish.fines_share"])
    finished = b.line("char_finished_kg", char_kg - dust - fines)
    dry, water = _added(b, plan)
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
    hours = b.optional("finish.charge_hours")
    if hours is not None:
        b.line("charge_hours", b["char_finished_kg"] * hours)


def _added(b: Book, plan: Plan) -> tuple[Quantity, Quantity]:
    """Dry matter and water put to a kilogram of dry char [kg/kg]."""
    dry: Quantity = 0.0
    water: Quantity = b["finish.added_water"] if plan.matter.watered else 0.0
    if plan.matter.charged != "none":
        dry = b["finish.charge_ratio"] * (1 - b["finish.charge_water_share"])
        water = water + b["finish.charge_ratio"] * b["finish.charge_water_share"]
    return b.line("added_solids_per_kg", dry), b.line("added_water_per_kg", water)


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
    """Dry char that reaches no soil in the year [kg]: dust, fines, and what found no buyer."""
    stock = b.line("stock_dry_kg", b["char_to_stock_kg"] / b["as_sold_per_kg"])
    return b.line("char_unused_kg", stock + b["dust_kg"] + b["fines_kg"])


def costs(b: Book, plan: Plan) -> Quantity:
    """Grinding of all char, charging of what is left, and apart the bags of what is sold in bags [currency/year].

    In today's prices. Bags are counted by weight as sold, since that is what a bag holds; own use, loose
    char and stock bear none.
    """
    grind = b["char_kg"] * b["finish.grind_cost"]
    tea = b["char_finished_kg"] * b["finish.tea_cost"]
    hours = b.optional("charge_hours")
    if hours is not None:
        tea = tea + hours * b["labour.wage"] * (1 + b["labour.on_cost_share"])
    if plan.matter.charged != "none":
        b.line("charge_cost_today", tea)
    if plan.matter.bagged_by_weight:
        b.line("bags_per_year", b["bagged_kg"] / b["finish.bag_weight"])
    cost = b.line("finish_cost_today", grind + tea)
    bags = b.line("bag_cost_today", b["bagged_kg"] * b["finish.bag_cost"])
    b.line("finish_cost_per_kg", (cost + bags) / np.maximum(b["char_kg"], WHOLE))
    return cost


def side_income(b: Book, plan: Plan) -> Quantity | None:
    """Income of fat that dripped out and of fines [currency/year], or the bill for carting them off."""
    parts: list[Quantity] = []
    if plan.matter.fat_priced:
        parts.append(b.line("fat_income_today", b["fat_drip_kg"] * b["fat.price"]))
    if plan.matter.fines_priced:
        parts.append(b.line("fines_income_today", b["fines_kg"] * b["finish.fines_price"]))
    return b.line("side_income_today", total(parts)) if parts else None
