"""Yearly cash and its tax, one function for the project, every view and every other way; and what is made of it.

A cost per tonne of bones is a present value before tax ÷ (the sum of price index × discount factor × tonnes
received): a level amount in today's prices. The saved bill stands by the same measure beside the kiln's: NPV
before tax = present value of the bill saved - that of the net cost.
"""

from __future__ import annotations

import numpy as np

from econ.fields import field, record
from econ.model.ledger import TINY, Book, Quantity, at_least, there
from econ.model.plan import Plan

Yearly = dict[int, Quantity]

MOVING = ("fuel_cost", "labour_cost", "finish_cost", "bag_cost")
"""Flows that move with the bones processed."""
PROJECT = ("taxable_profit", "net_cash", "npv_so_far")
VIEW = ("profit", "cash", "npv_so_far")
"""Rows of the project itself, and those of a view: `<view>_profit`."""


@record
class View:
    """Cash, tax and taxable profit of a view or way by year, losses carried at its end, and its NPV."""

    cash: Yearly = field(default_factory=dict)
    tax: Yearly = field(default_factory=dict)
    so_far: Yearly = field(default_factory=dict)
    profit: Yearly = field(default_factory=dict)
    carried: Yearly = field(default_factory=dict)

    @property
    def npv(self) -> Quantity:
        """The NPV [currency]: what the last year has come to. Source: as `finance.npv`."""
        return self.so_far[max(self.so_far)]


@record
class Project:
    """The yearly flows that every view starts from, by year; in the money of the study, `book` nominal.

    `price`, `bill_price` and `wages` are price levels against today, `factor` the discount factor. `operating` is
    the balance of the single flows, `costs` all that is paid less product income without the saved bill; `saved`
    is that bill as the kiln saves it, `bill` as any way would that takes all the same bones; tax is reckoned on
    `profit`.
    """

    price: Yearly = field(default_factory=dict)
    bill_price: Yearly = field(default_factory=dict)
    wages: Yearly = field(default_factory=dict)
    deflator: Yearly = field(default_factory=dict)
    factor: Yearly = field(default_factory=dict)
    sales: Yearly = field(default_factory=dict)
    selling: Yearly = field(default_factory=dict)
    moving: Yearly = field(default_factory=dict)
    standing: Yearly = field(default_factory=dict)
    excluded: Yearly = field(default_factory=dict)
    saved: Yearly = field(default_factory=dict)
    bill: Yearly = field(default_factory=dict)
    operating: Yearly = field(default_factory=dict)
    parts: Yearly = field(default_factory=dict)
    bought: Yearly = field(default_factory=dict)
    costs: Yearly = field(default_factory=dict)
    before_tax: Yearly = field(default_factory=dict)
    profit: Yearly = field(default_factory=dict)
    book: Yearly = field(default_factory=dict)
    view: View = field(default_factory=View)
    char_used: Quantity = 0.0
    end_resale: Quantity = 0.0
    end_cash: Quantity = 0.0
    end_profit: Quantity = 0.0


@record
class Added:
    """What a view adds to the project, by year: to cash before tax and to taxed profit."""

    cash: Yearly = field(default_factory=dict)
    profit: Yearly = field(default_factory=dict)

    def with_all(self, other: Added) -> Added:
        """Both together."""
        both = Added(dict(self.cash), dict(self.profit))
        for t in {*other.cash, *other.profit}:
            both.put(t, other.cash.get(t), other.profit.get(t))
        return both

    def put(self, t: int, cash: Quantity | None, profit: Quantity | None) -> None:
        """Add to year t; None adds nothing."""
        for held, amount in ((self.cash, cash), (self.profit, profit)):
            if amount is not None:
                held[t] = held[t] + amount if t in held else amount


def income_tax(
    b: Book, plan: Plan, profit: Quantity, carried: Quantity, start: str = "", t: int | None = None
) -> tuple[Quantity, Quantity]:
    """Tax of a year on `profit`, and the (nominal) loss carried on [currency]. Source: definition; rules chosen.

    Where losses are set against other income a loss earns its tax at once; a loss carried may be limited to a
    share of the profit of a year (US: IRC section 172). With a year t the steps are rows that begin with `start`.
    """

    def keep(word: str, value: Quantity) -> Quantity:
        return value if t is None else b.year(f"{start}{word}", t, value)

    rate = b["money.tax_rate"]
    if plan.losses_offset:
        return keep("income_tax", profit * rate), carried
    limit = b.optional("tax.loss_limit_share")
    worn = carried / (b["money.inflation"] + 1) if plan.is_real else carried  # in the money of this year
    if limit is None:
        taxed = keep("taxed_profit", np.maximum(profit - worn, 0))
        carried = keep("loss_carried", np.maximum(worn - profit, 0))
    else:
        used = keep("loss_used", np.minimum(worn, np.maximum(profit, 0) * limit))
        taxed = keep("taxed_profit", np.maximum(profit, 0) - used)
        carried = keep("loss_carried", worn - used + np.maximum(0 - profit, 0))
    return keep("income_tax", taxed * rate), carried


def taxed(b: Book, plan: Plan, name: str, before_tax: Yearly, profit: Yearly, factor: Yearly) -> View:
    """Yearly rows of flows, named by a view or way ("" the project): tax, cash, NPV so far [currency]."""
    start = f"{name}_" if name else ""
    profit_row, cash_row, npv_row = (f"{start}{row}" for row in (VIEW if name else PROJECT))
    found = View({0: b.year(cash_row, 0, before_tax[0])})
    found.carried[0] = b.year(f"{start}loss_carried", 0, 0.0)
    found.so_far[0] = b.year(npv_row, 0, found.cash[0])
    for t in range(1, plan.years + 1):
        taxable = found.profit[t] = b.year(profit_row, t, profit[t])
        found.tax[t], found.carried[t] = income_tax(b, plan, taxable, found.carried[t - 1], start, t)
        found.cash[t] = b.year(cash_row, t, before_tax[t] - found.tax[t])
        found.so_far[t] = b.year(npv_row, t, found.so_far[t - 1] + found.cash[t] * factor[t])
    return found


def view(b: Book, plan: Plan, found: Project, name: str, added: Added) -> View:
    """The project with what a view adds, taxed anew."""
    years = range(1, plan.years + 1)
    before = {t: found.before_tax[t] + added.cash.get(t, 0.0) for t in (0, *years)}
    profit = {t: found.profit[t] + added.profit.get(t, 0.0) for t in years}
    return taxed(b, plan, name, before, profit, found.factor)


def present_value(b: Book, name: str, flows: Yearly, factor: Yearly) -> Quantity:
    """Present value of yearly flows [currency], from year 0 if they have it; summed in row `name`. Definition."""
    so_far = b.year(name, 0, flows[0]) if 0 in flows else 0.0
    for t in range(1, max(flows) + 1):
        so_far = b.year(name, t, so_far + flows[t] * factor[t])
    return so_far


def profitability(b: Book, plan: Plan, found: Project) -> None:
    """Present values before tax, unit costs, annual equivalents, paybacks."""
    years, factor = range(1, plan.years + 1), found.factor
    cost = present_value(b, "pv_cost_so_far", found.costs, factor)
    cash = found.view.cash.items()
    present = [b.year("present_value", t, flow if t == 0 else flow * factor[t]) for t, flow in cash]
    saved = present_value(b, "pv_saving_so_far", found.saved, factor)
    annuity = present_value(b, "annuity_factor", dict.fromkeys(years, 1.0), factor)
    today = present_value(b, "annuity_today_so_far", {t: found.price[t] for t in years}, factor)
    b.line("npv_per_year", b["npv"] / annuity)
    b.line("annuity_today", today)
    b.line("pv_cost", cost)
    b.line("pv_saving", saved)
    b.line("npv_before_tax", saved - cost)
    b.line("kiln_cost_per_year", cost / today)
    for own in there(b, "owner_time_today"):
        b.line("pv_owner_time", own * today)
    tonnage = b.line("annuity_bones_kg", today * np.maximum(b["bones_received_kg"], TINY))
    b.line("net_cost_per_kg_bones", cost / tonnage)
    b.line("saved_bill_per_kg_bones", saved / tonnage)
    _without_end(b, plan, found)
    _payback(b, plan, "discounted_payback", present)
    _ratios(b, found, today)


def _without_end(b: Book, plan: Plan, found: Project) -> None:
    """The last year with nothing that its end brings: the simple paybacks, and NPV at an end value of zero."""
    last = plan.years
    ends = {"no_end": (found.end_cash, found.end_profit), "no_end_value": (found.end_resale, found.end_resale)}
    for name, (cash, profit) in ends.items():
        taxable = b.line(f"{name}_profit_last_year", found.profit[last] - profit)
        tax, _ = income_tax(b, plan, taxable, found.view.carried[last - 1])
        tax = b.line(f"{name}_tax_last_year", tax)
        flow = b.line(f"{name}_cash_last_year", found.before_tax[last] - cash - tax)
        if name == "no_end":
            _payback(b, plan, "payback", [*(found.view.cash[t] for t in range(last)), flow])
        else:
            b.line("npv_no_end_value", b["npv"] + (flow - found.view.cash[last]) * found.factor[last])


def _ratios(b: Book, found: Project, today: Quantity) -> None:
    """Ratios before tax [1], each with what stands above and below its line. Source: ASTM E964.

    Benefit-cost: sales and bill saved ÷ everything paid less resale and working capital back. Savings-investment:
    operating cash ÷ what is bought, parts included, less what the end brings. Levelised: everything paid, saving
    left out, ÷ char of every year by the same sum as the cost of bones. All as present values.
    """
    earned = present_value(b, "pv_operating_so_far", found.operating, found.factor)
    income = present_value(b, "pv_income_so_far", found.sales, found.factor)
    net, saved = b["pv_cost"], b["pv_saving"]
    paid = b.line("pv_paid", net + income)
    b.line("benefit_cost_ratio", (income + saved) / np.maximum(paid, TINY))
    invested = b.line("pv_invested", net + earned - saved)
    b.line("savings_investment_ratio", earned / np.maximum(invested, TINY))
    b.line("levelised_cost_per_kg_char", paid / today / np.maximum(b["char_kg"], TINY))


def _payback(b: Book, plan: Plan, name: str, flows: list[Quantity]) -> None:
    """Crossings of zero by the running sum [years], first and for good; never is nan. Source: `payback_years`."""
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
