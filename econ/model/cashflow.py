"""Yearly cash and its tax that every view shares, and what the flows are worth."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from econ.model.ledger import Book, Quantity
from econ.model.plan import Plan

TINY = 1e-9
"""Smallest divisor, in currency or years."""


@dataclass
class Project:
    """The yearly flows that every view starts from, by year; in the money of the study.

    `wear` is what parts cost, `bought` what is renewed or bought later, `book_deflator` and the rest as
    their names say.
    """

    deflator: dict[int, Quantity] = field(default_factory=dict)
    sales: dict[int, Quantity] = field(default_factory=dict)
    selling: dict[int, Quantity] = field(default_factory=dict)
    operating: dict[int, Quantity] = field(default_factory=dict)
    parts: dict[int, Quantity] = field(default_factory=dict)
    profit: dict[int, Quantity] = field(default_factory=dict)
    tax: dict[int, Quantity] = field(default_factory=dict)
    cash: dict[int, Quantity] = field(default_factory=dict)
    costs: dict[int, Quantity] = field(default_factory=dict)
    benefits: dict[int, Quantity] = field(default_factory=dict)


@dataclass
class Added:
    """What a view adds to the project, by year: to cash and to taxed profit."""

    cash: dict[int, Quantity] = field(default_factory=dict)
    profit: dict[int, Quantity] = field(default_factory=dict)

    def put(self, t: int, cash: Quantity | None, profit: Quantity | None) -> None:
        """Add to year t; None adds nothing."""
        for held, amount in ((self.cash, cash), (self.profit, profit)):
            if amount is not None:
                held[t] = held[t] + amount if t in held else amount


@dataclass
class View:
    """Cash and tax of a view by year, and its NPV."""

    cash: dict[int, Quantity]
    tax: dict[int, Quantity]
    npv: Quantity


@dataclass
class Financed:
    """The owner's cash and tax after finance, and the debt service, by year."""

    cash: dict[int, Quantity]
    tax: dict[int, Quantity]
    service: dict[int, Quantity]


def income_tax(
    b: Book, plan: Plan, t: int, profit: Quantity, carried: Quantity, view: str = ""
) -> tuple[Quantity, Quantity]:
    """Tax of year t on `profit`, and the loss carried on; a loss carried is nominal and worn in a real study.

    Where losses are set against other income a loss earns its tax at once. `view` names the rows of a view
    beside the headline ("owner").
    """
    prefix = f"{view}_" if view else ""
    rate = b["money.tax_rate"]
    if plan.losses_offset:
        return b.year(f"{prefix}income_tax", t, profit * rate), carried
    worn = carried / (b["money.inflation"] + 1) if plan.is_real else carried
    taxed = b.year(f"{prefix}taxed_profit", t, np.maximum(profit - worn, 0))
    carried = b.year(f"{prefix}loss_carried", t, np.maximum(worn - profit, 0))
    return b.year(f"{prefix}income_tax", t, taxed * rate), carried


def view(b: Book, plan: Plan, found: Project, name: str, added: Added) -> View:
    """The yearly rows of a view: profit, tax, cash, worth so far."""
    ratio = b["money.discount_rate"] + 1
    cash = {0: b.year(f"{name}_cash", 0, found.cash[0] + added.cash.get(0, 0.0))}
    tax: dict[int, Quantity] = {}
    carried = 0.0 * found.cash[0]
    worth = b.year(f"{name}_npv_so_far", 0, cash[0])
    factor: Quantity = 1.0
    for t in range(1, plan.years + 1):
        profit = b.year(f"{name}_profit", t, found.profit[t] + added.profit.get(t, 0.0))
        tax[t], carried = income_tax(b, plan, t, profit, carried, name)
        before = found.cash[t] + found.tax[t] + added.cash.get(t, 0.0)
        cash[t] = b.year(f"{name}_cash", t, before - tax[t])
        factor = b.year(f"{name}_discount_factor", t, factor / ratio)
        worth = b.year(f"{name}_npv_so_far", t, worth + cash[t] * factor)
    return View(cash, tax, worth)


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
