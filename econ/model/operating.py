"""What a year brings and costs in today's prices: char sold, fuel, people, upkeep, fees; and hours by the clock.

Char goes to own use, to tiers with a limit each, the rest to the last tier, then in bulk or to stock.
"""

from __future__ import annotations

import numpy as np

from econ.model.ledger import TINY, Book, Quantity, given, hour_cost, product, summed, there, times, total
from econ.model.plan import Plan

EVEN_SPRING = 0.25
"""Share of a year's sales that three months take when sales are even."""
TASKS = 8
"""Tasks in one formula."""


def sales(b: Book, plan: Plan, char_kg: Quantity) -> None:
    """Income from char in today's prices [currency a year], tier by tier. Definition.

    Own use leaves first. A tier sells the smaller of the char offered there and its limit; what earlier tiers
    leave goes to the last one at its price; what that cannot take goes in bulk at its worth as fertiliser where
    chosen, else it is stock and earns nothing. Sales come true as far as typed, and breakdowns take their share:
    char that is not there bears no bag, no freight, and stores nothing.
    """
    offered_kg = own_use(b, plan, char_kg)
    typed = [b[f"product.{n}.share"] for n in plan.tiers if n != plan.rest_tier]
    rest = b.line("share_of_rest", np.maximum(1 - total(typed), 0) if typed else 1.0)
    sold: dict[int, Quantity] = {}
    for n in plan.tiers:
        share = rest if n == plan.rest_tier else b[f"product.{n}.share"]
        limit = _tier_limit(b, n)
        is_last = n == plan.tiers[-1]
        offered = offered_kg - total(sold.values()) if is_last and sold else offered_kg
        offered = b.line(f"tier_{n}_offered_kg", offered if is_last else offered * share)
        sold[n] = b.line(f"tier_{n}_sold_kg", offered if limit is None else np.minimum(offered, limit))
    for come_true in there(b, "market.sales_share"):
        sold = {n: b.line(f"tier_{n}_reached_kg", kg * come_true) for n, kg in sold.items()}
    left = np.maximum(offered_kg - total(sold.values()), 0)
    for down in there(b, "costs.downtime_share"):
        sold = {n: b.line(f"tier_{n}_delivered_kg", kg * (1 - down)) for n, kg in sold.items()}
        left = left * (1 - down)
    income = {n: b.line(f"tier_{n}_income", kg * b[f"product.{n}.price"]) for n, kg in sold.items()}
    for n in plan.tiers:  # the shop's share
        for discount in there(b, f"product.{n}.channel_discount"):
            income[n] = b.line(f"tier_{n}_net_income", income[n] * (1 - discount))
    b.line("bagged_kg", total(kg for n, kg in sold.items() if n not in plan.matter.bulk))
    all_sold, all_income = [*sold.values()], [*income.values()]
    if plan.rest_at_p_value:
        all_sold.append(b.line("bulk_sold_kg", left))
        all_income.append(b.line("bulk_income", left * _worth_as_sold(b)))
    sold_kg = b.line("char_sold_kg", total(all_sold))
    b.line("char_to_stock_kg", offered_kg - sold_kg)
    rate = b["label_allowed_kg_per_m2"]
    area = b["market.area_per_customer"]
    area = given(b, f"product.{plan.tiers[0]}.area", area) if len(plan.tiers) == 1 else area
    per_customer = b.line("char_per_customer_kg", area * rate)
    customers = b.line("customers_per_year", sold_kg / per_customer)
    b.line("ground_covered_m2", sold_kg / rate)
    b.line("customers_in_all", customers * b["label_interval_years"])
    for spring in there(b, "market.spring_share"):
        b.line("spring_stock_kg", sold_kg * np.maximum(spring - EVEN_SPRING, 0))
    _selling_cost(b, sold, sold_kg)
    b.line("sale_income_today", total(all_income))


def own_use(b: Book, plan: Plan, char_kg: Quantity) -> Quantity:
    """Char left to sell [kg a year] after own ground, and what that saves. Common practice, no source.

    Worth nothing unless a soil test is below optimum and a purchase avoided: then the purchase, up to the char's
    worth as plain fertiliser.
    """
    wanted = b.optional("own_use.mass")
    if plan.planting.leaves_sales:
        wanted = b["planting_char_kg"] * b["as_sold_per_kg"]
    if wanted is None:
        return char_kg
    used = b.line("own_use_kg", np.minimum(wanted, char_kg))
    avoided = there(b, "own_use.purchase_avoided")
    saved = [np.minimum(bill, used * _worth_as_sold(b)) for bill in avoided if plan.own_use_counts]
    b.line("own_use_saved_today", total(saved))
    return b.line("char_for_sale_kg", char_kg - used)


def _worth_as_sold(b: Book) -> Quantity:
    """Worth as plain fertiliser of a kilogram as sold [currency/kg]: what was put to the char is worth nothing."""
    return b.line("fertiliser_value_as_sold", b["fertiliser_value_per_kg"] / b["as_sold_per_kg"])


def _tier_limit(b: Book, n: int) -> Quantity | None:
    """Most that tier `n` sells in a year [kg]: the limit typed, that of its customers, or the smaller."""
    typed, customers = b.optional(f"product.{n}.market_limit"), b.optional(f"product.{n}.customers")
    if customers is None:
        return typed
    treated = given(b, f"product.{n}.area", b["market.area_per_customer"])
    bought = customers * treated * b["label_allowed_kg_per_m2"]
    computed = b.line(f"tier_{n}_customers_take_kg", times(b, bought, f"product.{n}.repeat_share"))
    return computed if typed is None else np.minimum(typed, computed)


def _selling_cost(b: Book, sold: dict[int, Quantity], sold_kg: Quantity) -> None:
    """Freight, packaging, selling hours and tonnage fees [currency a year], where any are given."""
    costs = []
    for n, kg in sold.items():
        given = there(b, f"product.{n}.freight", f"product.{n}.packaging")
        for hours in there(b, f"product.{n}.selling_hours"):
            given.append(b.line(f"tier_{n}_selling_per_kg", hours * hour_cost(b)))
        if given:
            costs.append(b.line(f"tier_{n}_selling_cost", kg * total(given)))
    costs += [b.line("tonnage_fees_today", sold_kg * fee) for fee in there(b, "costs.tonnage_fee")]
    if costs:
        b.line("selling_cost_today", total(costs))


def extra_costs(b: Book) -> None:
    """The costs that a sketch forgets [currency a year], where any are given."""
    names = ("costs.assays", "costs.registration", "costs.grease")
    costs = [b.line(f"{name.partition('.')[2]}_today", cost) for name in names for cost in there(b, name)]
    costs += [b.line("owner_time_today", time) for time in product(b, "owner.hours", "owner.hour_worth")]
    if costs:
        b.line("extra_cost_today", total(costs))


def fuel(b: Book, plan: Plan, firings: Quantity) -> None:
    """Fuel cost [currency a year] by batches, not kg: a part load burns as much as a full one.

    Weather factors count for all fuels but electricity; fans and grinder draw on the first electricity.
    """
    costs = []
    parts = [b.line("fan_mj", firings * fan) for fan in there(b, "power.fan_per_firing")]
    parts += [b.line("grinder_mj", b["char_kg"] * grinder) for grinder in there(b, "power.grinder_per_char")]
    power = [b.line("power_mj", total(parts))] if parts else []
    for n, kind in zip(plan.fuels, plan.fuel_kinds, strict=True):
        electric = kind == "electricity"
        counted = b["firings_by_weather"] if plan.weather and not electric else firings
        modelled = n == 1 and plan.fuel_modelled
        used = counted * (b["fuel_1_per_firing"] if modelled else b[f"fuel.{n}.per_batch"])
        if electric:
            used, power = total([used, *power]), []
        used = b.line(f"fuel_{n}_used", used)
        costs.append(b.line(f"fuel_{n}_cost", used * b[f"fuel.{n}.price"]))
    b.line("fuel_cost_today", total(costs))


def labour(b: Book, plan: Plan, firings: Quantity) -> None:
    """Cost of attended hours [currency a year]; a part load takes as many hours as a full one. Definition.

    Without typed hours of a batch the tasks add up: clock hours × people, idle watching at the full wage unless a
    smaller share was typed. Then hours by the clock of a year, and how busy the kilns are.
    """
    per_hour = b.line("cost_per_hour", hour_cost(b))
    if plan.hours_by_task:
        per_firing, paid = _tasks(b, plan)
        b.line("hours_per_year", firings * per_firing)
        hours = b.line("paid_hours_per_year", firings * paid)
    else:
        hours = b.line("hours_per_year", firings * b["labour.hours_per_batch"])
    b.line("labour_cost_today", hours * per_hour)
    if not plan.clock:
        return
    if not plan.shifts:
        attended = b["cycle.load_hours"] + b["cycle.fire_hours"] + b["cycle.empty_hours"]
        b.line("clock_hours_per_firing", attended + b["cycle.cool_hours"])
    year = b.line("clock_hours_per_year", firings * b["clock_hours_per_firing"])
    b.line("kiln_busy_share", year / times(b, b["kiln.weeks_per_year"] * 168, "kiln.number"))


def _tasks(b: Book, plan: Plan) -> tuple[Quantity, Quantity]:
    """Hours of people in one batch, and those paid, task by task."""
    hours = {
        n: b.line(f"task_{n}_people_hours", times(b, b[f"task.{n}.hours"], f"task.{n}.people")) for n in plan.tasks
    }
    per_firing = summed(b, "hours_per_firing", hours.values(), TASKS)
    share = b.optional("labour.watching_share")
    idle = summed(b, "watching_per_firing", [hours[n] for n in plan.watching] or [0.0], TASKS)
    if share is None or not plan.watching:
        return per_firing, per_firing
    return per_firing, b.line("paid_hours_per_firing", per_firing - idle * (1 - share))


def upkeep(b: Book) -> None:
    """Repairs, wear, insurance, permits and other running costs [currency a year]."""
    parts = [b.line("repairs_today", b["kiln.price"] * b["running.maintenance_share"])]
    fees = b["running.insurance_per_year"] + b["running.permits_per_year"] + b["running.other_per_year"]
    parts.append(b.line("fees_today", fees))
    parts += [b.line("wear_today", b["firings_per_year"] * wear) for wear in there(b, "kiln.wear_per_firing")]
    b.line("upkeep_today", total(parts))


def disposal(b: Book, plan: Plan, share: Quantity, excluded_kg: Quantity) -> None:
    """Today's bill saved by the share processed, and the bill of the excluded bones [currency a year]."""
    saving = _by_contract(b, plan) if plan.by_contract else b["current.saving"]
    b.line("disposal_saved_today", saving * share)
    for rise in there(b, "current.price_rise"):
        b.line("price_rise_today", rise)
    b.line("excluded_cost_today", excluded_kg * b["excluded.fee"])


def _by_contract(b: Book, plan: Plan) -> Quantity:
    """Hauler's bill that ends without bones to process [currency a year]; its fixed amount if chosen so."""
    share = b["bones_eligible_kg"] / np.maximum(b["bones_received_kg"], TINY)
    parts = [b["bones_received_kg"] * fee for fee in there(b, "contract.per_mass")]
    parts += product(b, "contract.per_piece", "contract.pieces")
    moving = b.line("contract_moving_today", total(parts))
    fixed = b.line("contract_fixed_today", total(there(b, "contract.fixed")))
    b.line("invoice_per_kg_bones", (moving + fixed) / np.maximum(b["bones_received_kg"], TINY))
    return b.line("contract_saving_today", (moving if plan.fixed_stays else moving + fixed) * share)
