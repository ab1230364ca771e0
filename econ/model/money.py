"""Cash by year: the project before finance, after tax, against current practice.

Year 0 is today and not discounted; flows of year t fall at its end. Received is positive, paid is
negative. In a nominal study every price grows with inflation and the rate is nominal; in a real study
prices stay and the rate is real, while depreciation and losses carried, which are nominal amounts, are
worn down by inflation.
"""

from __future__ import annotations

import numpy as np

from econ.model.ledger import Book, Quantity
from econ.model.plan import Plan

TINY = 1e-9
"""Smallest divisor of a yearly flow, in currency."""

YEARLY = (
    "sale_income",
    "disposal_saved",
    "excluded_cost",
    "fuel_cost",
    "labour_cost",
    "upkeep",
    "finish_cost",
)
"""The yearly flows, each `<name>_today` in today's prices."""


def cash(b: Book, plan: Plan) -> None:
    """Every row of the cash sheet and the figures under it; `p` holds the `<name>_today` amounts."""
    capital = b.line("capital_today", b["kiln.price"] + b["kiln.installation"] + b["capital.other"])
    renewal = b.line("renewal_today", b["kiln.price"] + b["kiln.installation"])
    salvage = b.line("salvage_today", b["kiln.price"] * b["money.salvage_share"])
    growth = b["money.inflation"] + 1
    has_side = plan.matter.fat_priced or plan.matter.fines_priced
    price = b.year("price_index", 0, 1.0)
    deflator = b.year("deflator", 0, 1.0)
    unit_cost = b.year("asset_cost", 0, capital * 1.0)
    book = b.year("book_value", 0, capital * 1.0)
    carried = b.year("loss_carried", 0, 0.0 * capital)
    flows = [b.year("net_cash", 0, 0 - capital)]
    costs = [b.year("cost_only_cash", 0, capital * 1.0)]
    for t in range(1, plan.years + 1):
        if plan.is_real:
            deflator = b.year("deflator", t, deflator * growth)
        else:
            price = b.year("price_index", t, price * growth)
        amounts = {name: b.year(name, t, b[f"{name}_today"] * price) for name in YEARLY}
        side = b.year("side_income", t, b["side_income_today"] * price) if has_side else 0.0
        running = b.year(
            "running_cost",
            t,
            amounts["fuel_cost"] + amounts["labour_cost"] + amounts["upkeep"] + amounts["finish_cost"],
        )
        operating = b.year(
            "operating_cash",
            t,
            amounts["sale_income"] + side + amounts["disposal_saved"] - running - amounts["excluded_cost"],
        )
        written = b.year("depreciation_nominal", t, np.minimum(book, unit_cost / b["kiln.life"]))
        due, replaced = _renewal(b, plan, t, renewal * price)
        book = b.year("book_value", t, book - written + replaced * deflator)
        unit_cost = b.year("asset_cost", t, unit_cost * (1 - due) + replaced * deflator)
        resale = 0.0
        gain = 0.0
        if t == plan.years:
            resale = b.year("resale", t, salvage * price)
            gain = b.year("gain_on_resale", t, resale - book / deflator)
        profit = b.year("taxable_profit", t, operating - written / deflator + gain)
        tax, carried = _tax(b, plan, t, profit, carried)
        flows.append(b.year("net_cash", t, operating - replaced + resale - tax))
        kiln_only = running + amounts["excluded_cost"] - amounts["sale_income"] - side
        costs.append(b.year("cost_only_cash", t, kiln_only + replaced - resale))
    figures(b, plan, flows, costs)


def _renewal(b: Book, plan: Plan, t: int, cost: Quantity) -> tuple[Quantity, Quantity]:
    """Whether the kiln falls due in year t, and what its renewal costs; never in the last year."""
    if t == plan.years:
        return 0.0, 0.0
    life = b["kiln.life"]
    due = b.year("renewal_due", t, np.greater(np.floor(t / life), np.floor((t - 1) / life)) * 1.0)
    return due, b.year("renewal", t, due * cost)


def _tax(b: Book, plan: Plan, t: int, profit: Quantity, carried: Quantity) -> tuple[Quantity, Quantity]:
    """Income tax of year t, and the loss carried on."""
    if plan.losses_offset:
        return b.year("income_tax", t, profit * b["money.tax_rate"]), carried
    worn = carried / (b["money.inflation"] + 1) if plan.is_real else carried
    taxed = b.year("taxed_profit", t, np.maximum(profit - worn, 0))
    carried = b.year("loss_carried", t, np.maximum(worn - profit, 0))
    return b.year("income_tax", t, taxed * b["money.tax_rate"]), carried


def figures(b: Book, plan: Plan, flows: list[Quantity], costs: list[Quantity]) -> None:
    """NPV, paybacks, annual equivalents, from yearly flows."""
    ratio = b["money.discount_rate"] + 1
    factor = b.year("discount_factor", 0, 1.0)
    worth = b.year("npv_so_far", 0, flows[0] * 1.0)
    cost_worth = b.year("cost_worth_so_far", 0, costs[0] * 1.0)
    present = [b.year("present_value", 0, flows[0] * 1.0)]
    annuity = 0.0
    for t in range(1, plan.years + 1):
        factor = b.year("discount_factor", t, factor / ratio)
        present.append(b.year("present_value", t, flows[t] * factor))
        worth = b.year("npv_so_far", t, worth + present[t])
        cost_worth = b.year("cost_worth_so_far", t, cost_worth + costs[t] * factor)
        annuity = b.year("annuity_factor", t, annuity + factor)
    npv = b.line("npv", worth * 1.0)
    b.line("npv_per_year", npv / annuity)
    cost = b.line("kiln_cost_per_year", cost_worth / annuity)
    b.line("net_cost_per_kg_bones", cost / b["bones_received_kg"])
    late = b["money.grant"] * (1 - b["money.tax_rate"]) / ratio
    b.line("npv_with_grant", npv + late)
    b.over_years("irr", "irr", flows)
    b.over_years("mirr", "mirr", flows)
    _payback(b, plan, "payback", flows)
    _payback(b, plan, "discounted_payback", present)


def _payback(b: Book, plan: Plan, name: str, flows: list[Quantity]) -> None:
    """First crossing of zero by the running sum of flows, fractional within the year; never is nan."""
    so_far = b.year(f"{name}_running_sum", 0, flows[0] * 1.0)
    found = b.year(f"{name}_reached", 0, np.greater_equal(so_far, 0) * 1.0)
    years = b.year(f"{name}_at", 0, 0.0 * so_far)
    for t in range(1, plan.years + 1):
        before, so_far = so_far, b.year(f"{name}_running_sum", t, so_far + flows[t])
        reached = np.greater_equal(so_far, 0) * 1.0
        first = b.year(f"{name}_first", t, reached * (1 - found))
        part = (0 - before) / np.maximum(flows[t], TINY)
        years = b.year(f"{name}_at", t, years + first * (part + (t - 1)))
        found = b.year(f"{name}_reached", t, np.maximum(found, first))
    b.pick(f"{name}_years", found, years)
