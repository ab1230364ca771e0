"""Where the char goes: own use, tiers with a limit each, the rest to the last tier, then bulk or stock."""

from __future__ import annotations

import numpy as np

from econ.model.ledger import Book, Quantity, total
from econ.model.plan import Plan

TINY = 1e-9
EVEN_SPRING = 0.25
"""Share of a year's sales that three months take when sales are even."""


def sales(b: Book, plan: Plan, char_kg: Quantity) -> Quantity:
    """Income from char in today's prices [currency a year], tier by tier.

    What is used on own ground leaves first. A tier sells the smaller of the char offered there and its
    limit. What the earlier tiers do not sell goes to the last tier at the last tier's price; what that
    cannot take goes in bulk at its worth as fertiliser where that was chosen, else it is stock and earns
    nothing.
    """
    offered_kg = own_use(b, plan, char_kg)
    typed = [b[f"product.{n}.share"] for n in plan.tiers if n != plan.rest_tier]
    rest = b.line("share_of_rest", np.maximum(1 - total(typed), 0) if typed else 1.0)
    sold: list[Quantity] = []
    income: list[Quantity] = []
    for n in plan.tiers:
        share = rest if n == plan.rest_tier else b[f"product.{n}.share"]
        limit = tier_limit(b, n)
        if n == plan.tiers[-1]:
            offered = b.line(f"tier_{n}_offered_kg", offered_kg - total(sold) if sold else offered_kg)
        else:
            offered = b.line(f"tier_{n}_offered_kg", offered_kg * share)
        sells = offered if limit is None else np.minimum(offered, limit)
        sold.append(b.line(f"tier_{n}_sold_kg", sells))
    _come_true(b, plan, sold)
    left = np.maximum(offered_kg - total(sold), 0)
    _not_lost(b, plan, sold)
    for place, n in enumerate(plan.tiers):
        income.append(b.line(f"tier_{n}_income", sold[place] * b[f"product.{n}.price"]))
    _discounts(b, plan, income)
    b.line("bagged_kg", total([0.0, *_bagged(plan, sold)]))
    _bulk(b, plan, left, sold, income)
    sold_kg = b.line("char_sold_kg", total(sold))
    b.line("char_to_stock_kg", offered_kg - sold_kg)
    rate = b["label_allowed_kg_per_m2"]
    per_customer = b.line("char_per_customer_kg", b["market.area_per_customer"] * rate)
    customers = b.line("customers_per_year", sold_kg / per_customer)
    b.line("ground_covered_m2", sold_kg / rate)
    b.line("customers_in_all", customers * b["label_interval_years"])
    spring = b.optional("market.spring_share")
    if spring is not None:
        b.line("spring_stock_kg", sold_kg * np.maximum(spring - EVEN_SPRING, 0))
    selling_cost(b, plan, dict(zip(plan.tiers, sold, strict=False)), sold_kg)
    return b.line("sale_income_today", total(income))


def _come_true(b: Book, plan: Plan, sold: list[Quantity]) -> None:
    """Sales as far as the plan comes true, where such a share was typed."""
    come_true = b.optional("market.sales_share")
    if come_true is not None:
        for place, n in enumerate(plan.tiers):
            sold[place] = b.line(f"tier_{n}_reached_kg", sold[place] * come_true)


def _not_lost(b: Book, plan: Plan, sold: list[Quantity]) -> None:
    """Sales less what breakdowns take: char that is not there bears no bag, no freight, and stores nothing."""
    down = b.optional("costs.downtime_share")
    if down is not None:
        for place, n in enumerate(plan.tiers):
            sold[place] = b.line(f"tier_{n}_delivered_kg", sold[place] * (1 - down))


def _bagged(plan: Plan, sold: list[Quantity]) -> list[Quantity]:
    """What is sold by the tiers that sell in bags."""
    return [kg for n, kg in zip(plan.tiers, sold, strict=True) if n not in plan.matter.bulk]


def own_use(b: Book, plan: Plan, char_kg: Quantity) -> Quantity:
    """Char left to sell [kg a year] after what is spread on own ground, and what that saves.

    Own use is worth nothing unless a soil test is below optimum and a purchase is avoided; then it is
    worth the purchase, up to the worth of the char as plain fertiliser.
    """
    wanted = b.optional("own_use.mass")
    if plan.planting.leaves_sales:
        wanted = b["planting_char_kg"] * b["as_sold_per_kg"]
    if wanted is None:
        return char_kg
    used = b.line("own_use_kg", np.minimum(wanted, char_kg))
    avoided = b.optional("own_use.purchase_avoided")
    worth: Quantity = 0.0
    if plan.own_use_counts and avoided is not None:
        worth = np.minimum(avoided, used * worth_as_sold(b))
    b.line("own_use_saved_today", worth)
    return b.line("char_for_sale_kg", char_kg - used)


def worth_as_sold(b: Book) -> Quantity:
    """Worth as plain fertiliser of a kilogram as sold [currency/kg]: what was put to the char is worth nothing."""
    return b.line("fertiliser_value_as_sold", b["fertiliser_value_per_kg"] / b["as_sold_per_kg"])


def tier_limit(b: Book, n: int) -> Quantity | None:
    """Most that tier `n` sells in a year [kg]: the limit typed, that of its customers, or the smaller."""
    typed = b.optional(f"product.{n}.market_limit")
    customers = b.optional(f"product.{n}.customers")
    if customers is None:
        return typed
    area = b.optional(f"product.{n}.area")
    treated = b["market.area_per_customer"] if area is None else area
    bought = customers * treated * b["label_allowed_kg_per_m2"]
    share = b.optional(f"product.{n}.repeat_share")
    computed = b.line(f"tier_{n}_customers_take_kg", bought if share is None else bought * share)
    return computed if typed is None else np.minimum(typed, computed)


def _discounts(b: Book, plan: Plan, income: list[Quantity]) -> None:
    """Take the shop's share off the income of the tiers that have one."""
    for place, n in enumerate(plan.tiers):
        discount = b.optional(f"product.{n}.channel_discount")
        if discount is not None:
            income[place] = b.line(f"tier_{n}_net_income", income[place] * (1 - discount))


def _bulk(b: Book, plan: Plan, left: Quantity, sold: list[Quantity], income: list[Quantity]) -> None:
    """Sell what no tier takes at its worth as plain fertiliser, where that was chosen."""
    if plan.rest_at_p_value:
        down = b.optional("costs.downtime_share")
        left = b.line("bulk_sold_kg", left if down is None else left * (1 - down))
        sold.append(left)
        income.append(b.line("bulk_income", left * worth_as_sold(b)))


def selling_cost(b: Book, plan: Plan, sold: dict[int, Quantity], sold_kg: Quantity) -> None:
    """Freight, packaging, selling hours and tonnage fees [currency a year], where any are given."""
    costs = []
    for n in plan.tiers:
        per_kg = [b.optional(f"product.{n}.{word}") for word in ("freight", "packaging")]
        given = [cost for cost in per_kg if cost is not None]
        hours = b.optional(f"product.{n}.selling_hours")
        if hours is not None:
            hour = b["labour.wage"] * (1 + b["labour.on_cost_share"])
            given.append(b.line(f"tier_{n}_selling_per_kg", hours * hour))
        if given:
            costs.append(b.line(f"tier_{n}_selling_cost", sold[n] * total(given)))
    fee = b.optional("costs.tonnage_fee")
    if fee is not None:
        costs.append(b.line("tonnage_fees_today", sold_kg * fee))
    if costs:
        b.line("selling_cost_today", total(costs))


def extra_costs(b: Book) -> None:
    """The costs that a sketch forgets [currency a year], where any are given."""
    costs = []
    names = ("costs.assays", "costs.registration", "costs.grease")
    for name in names:
        cost = b.optional(name)
        if cost is not None:
            costs.append(b.line(f"{name.partition('.')[2]}_today", cost))
    hours, worth = b.optional("owner.hours"), b.optional("owner.hour_worth")
    if hours is not None and worth is not None:
        costs.append(b.line("owner_time_today", hours * worth))
    if costs:
        b.line("extra_cost_today", total(costs))
