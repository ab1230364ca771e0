"""Worth, paybacks, ratios and unit costs from yearly flows."""

from __future__ import annotations

import numpy as np

from econ.model.cashflow import TINY, Project
from econ.model.ledger import Book, Quantity
from econ.model.plan import Plan

RATIOS = frozenset({"benefit_cost_ratio", "savings_investment_ratio", "levelised_cost_per_kg_char"})


def profitability(b: Book, plan: Plan, found: Project) -> None:
    """NPV, paybacks, annual equivalents, from yearly flows."""
    flows, costs = found.cash, found.costs
    ratio = b["money.discount_rate"] + 1
    factor = b.year("discount_factor", 0, 1.0)
    worth = b.year("npv_so_far", 0, flows[0])
    cost_worth = b.year("pv_cost_so_far", 0, costs[0])
    present = [b.year("present_value", 0, flows[0])]
    annuity = 0.0
    factors = {}
    for t in range(1, plan.years + 1):
        factor = factors[t] = b.year("discount_factor", t, factor / ratio)
        present.append(b.year("present_value", t, flows[t] * factor))
        worth = b.year("npv_so_far", t, worth + present[t])
        cost_worth = b.year("pv_cost_so_far", t, cost_worth + costs[t] * factor)
        annuity = b.year("annuity_factor", t, annuity + factor)
    npv = b.line("npv", worth)
    b.line("npv_per_year", npv / annuity)
    b.line("pv_cost", cost_worth)
    cost = b.line("kiln_cost_per_year", cost_worth / annuity)
    b.line("net_cost_per_kg_bones", cost / np.maximum(b["bones_received_kg"], 1e-9))
    ordered = [flows[t] for t in range(plan.years + 1)]
    _payback(b, plan, "payback", ordered)
    _payback(b, plan, "discounted_payback", present)
    if b.wants(RATIOS):
        _ratios(b, found, factors, annuity)


def _ratios(b: Book, found: Project, factors: dict[int, Quantity], annuity: Quantity) -> None:
    """Ratios before tax, each with what stands above and below its line, and the unit cost of char.

    Benefit-cost: worth of sales and saving ÷ worth of everything paid less resale and working capital back.
    Savings-investment: worth of operating cash ÷ worth of what is bought, parts included, less what the end
    brings. Levelised: worth of everything paid, saving left out, ÷ char of every year discounted.
    """
    benefit: Quantity = 0.0
    earned: Quantity = 0.0
    income: Quantity = 0.0
    for t, factor in factors.items():
        benefit = b.year("pv_benefit_so_far", t, benefit + found.benefits[t] * factor)
        earned = b.year("pv_operating_so_far", t, earned + found.operating[t] * factor)
        income = b.year("pv_income_so_far", t, income + found.sales[t] * factor)
    net = b["pv_cost"]
    paid = b.line("pv_paid", net + income)
    b.line("benefit_cost_ratio", benefit / np.maximum(paid, TINY))
    saved = b.line("pv_saving", benefit - income)
    invested = b.line("pv_invested", net + earned - saved)
    b.line("savings_investment_ratio", earned / np.maximum(invested, TINY))
    b.line("levelised_cost_per_kg_char", paid / annuity / np.maximum(b["char_kg"], TINY))


def _payback(b: Book, plan: Plan, name: str, flows: list[Quantity]) -> None:
    """First crossing of zero by the running sum of flows, fractional within the year; never is nan."""
    so_far = b.year(f"{name}_running_sum", 0, flows[0])
    found = b.year(f"{name}_reached", 0, np.greater_equal(so_far, 0) * 1.0)
    years = b.year(f"{name}_at", 0, 0.0 * so_far)
    for t in range(1, plan.years + 1):
        before, so_far = so_far, b.year(f"{name}_running_sum", t, so_far + flows[t])
        reached = np.greater_equal(so_far, 0) * 1.0
        first = b.year(f"{name}_first", t, reached * (1 - found))
        part = (0 - before) / np.maximum(flows[t], TINY)
        years = b.year(f"{name}_at", t, years + first * (part + (t - 1)))
        found = b.year(f"{name}_reached", t, np.maximum(found, first))
    b.value_or_never(f"{name}_years", found, years)
