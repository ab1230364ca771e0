"""Present value, paybacks, ratios and unit costs from yearly flows.

A cost per tonne of bones is a present value before tax ÷ (the sum of price index × discount factor × tonnes
received): a level amount in today's prices. That of the kiln leaves the saved bill out; that bill stands by the
same measure beside it. So NPV before tax = present value of the bill saved - that of the net cost.
"""

from __future__ import annotations

import numpy as np

from econ.model.cashflow import TINY, Project, tax_of
from econ.model.ledger import Book, Quantity, at_least
from econ.model.plan import Plan

RATIOS = frozenset({"benefit_cost_ratio", "savings_investment_ratio", "levelised_cost_per_kg_char"})
WITHOUT_END = frozenset({"payback_years", "payback_for_good_years", "npv_no_end_value"})


def profitability(b: Book, plan: Plan, found: Project) -> None:
    """Present values before tax, unit costs, annual equivalents, paybacks."""
    flows, npv = found.view.cash, b["npv"]
    cost = b.year("pv_cost_so_far", 0, found.costs[0])
    saved: Quantity = 0.0
    annuity: Quantity = 0.0
    today: Quantity = 0.0
    present = [b.year("present_value", 0, flows[0])]
    for t in range(1, plan.years + 1):
        factor = found.factor[t]
        present.append(b.year("present_value", t, flows[t] * factor))
        cost = b.year("pv_cost_so_far", t, cost + found.costs[t] * factor)
        saved = b.year("pv_saving_so_far", t, saved + found.saved[t] * factor)
        annuity = b.year("annuity_factor", t, annuity + factor)
        today = b.year("annuity_today_so_far", t, today + found.price[t] * factor)
    b.line("npv_per_year", npv / annuity)
    b.line("annuity_today", today)
    b.line("pv_cost", cost)
    b.line("pv_saving", saved)
    b.line("npv_before_tax", saved - cost)
    b.line("kiln_cost_per_year", cost / today)
    if (own := b.optional("owner_time_today")) is not None:
        b.line("pv_owner_time", own * today)
    tonnage = b.line("annuity_bones_kg", today * np.maximum(b["bones_received_kg"], TINY))
    b.line("net_cost_per_kg_bones", cost / tonnage)
    b.line("saved_bill_per_kg_bones", saved / tonnage)
    if b.wants(WITHOUT_END):
        _without_end(b, plan, found)
    _payback(b, plan, "discounted_payback", present)
    if b.wants(RATIOS):
        _ratios(b, found, today)


def _without_end(b: Book, plan: Plan, found: Project) -> None:
    """The last year with nothing that its end brings: the simple paybacks, and NPV at an end value of zero."""
    last = plan.years
    flows = [found.view.cash[t] for t in range(last)]
    for name, cash, profit in (
        ("no_end", found.end_cash, found.end_profit),
        ("no_end_value", found.end_resale, found.end_resale),
    ):
        taxable = b.line(f"{name}_profit_last_year", found.profit[last] - profit)
        tax = b.line(f"{name}_tax_last_year", tax_of(b, plan, taxable, found.view.carried[last - 1]))
        flow = b.line(f"{name}_cash_last_year", found.before_tax[last] - cash - tax)
        if name == "no_end":
            _payback(b, plan, "payback", [*flows, flow])
        else:
            b.line("npv_no_end_value", b["npv"] + (flow - found.view.cash[last]) * found.factor[last])


def _ratios(b: Book, found: Project, today: Quantity) -> None:
    """Ratios before tax, each with what stands above and below its line, and the unit cost of char.

    Benefit-cost: present value of sales and of the bill saved ÷ that of everything paid less resale and
    working capital back. Savings-investment: present value of operating cash ÷ that of what is bought, parts
    included, less what the end brings. Levelised: present value of everything paid, saving left out, ÷ char
    of every year by the same sum as the cost of bones.
    """
    earned: Quantity = 0.0
    income: Quantity = 0.0
    for t in range(1, len(found.view.cash)):
        factor = found.factor[t]
        earned = b.year("pv_operating_so_far", t, earned + found.operating[t] * factor)
        income = b.year("pv_income_so_far", t, income + found.sales[t] * factor)
    net, saved = b["pv_cost"], b["pv_saving"]
    paid = b.line("pv_paid", net + income)
    b.line("benefit_cost_ratio", (income + saved) / np.maximum(paid, TINY))
    invested = b.line("pv_invested", net + earned - saved)
    b.line("savings_investment_ratio", earned / np.maximum(invested, TINY))
    b.line("levelised_cost_per_kg_char", paid / today / np.maximum(b["char_kg"], TINY))


def _payback(b: Book, plan: Plan, name: str, flows: list[Quantity]) -> None:
    """Crossings of zero by the running sum of flows, fractional within the year; never is nan.

    `<name>_years` is the first crossing, `<name>_for_good_years` the one after which the sum stays at zero or
    above to the end; 0 where it never was below.
    """
    so_far = b.year(f"{name}_running_sum", 0, flows[0])
    above = found = b.year(f"{name}_reached", 0, at_least(so_far, 0))
    years = b.year(f"{name}_at", 0, 0.0)
    for_good = b.year(f"{name}_last_at", 0, 0.0)
    for t in range(1, plan.years + 1):
        before, so_far = so_far, b.year(f"{name}_running_sum", t, so_far + flows[t])
        was_above, above = above, b.year(f"{name}_above", t, at_least(so_far, 0))
        crosses = b.year(f"{name}_crosses", t, above * (1 - was_above))
        part = b.year(f"{name}_crossing", t, crosses * ((0 - before) / np.maximum(flows[t], TINY) + (t - 1)))
        years = b.year(f"{name}_at", t, years + (1 - found) * part)
        for_good = b.year(f"{name}_last_at", t, for_good * (1 - crosses) + part)
        found = b.year(f"{name}_reached", t, np.maximum(found, above))
    b.value_or_never(f"{name}_years", found, years)
    b.value_or_never(f"{name}_for_good_years", above, for_good)
