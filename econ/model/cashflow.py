"""Yearly cash and its tax: one function for the project, for every view beside it and for every other way."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from econ.model.ledger import Book, Quantity
from econ.model.plan import Plan

TINY = 1e-9
"""Smallest divisor, in currency or years."""

Yearly = dict[int, Quantity]

PROJECT = ("taxable_profit", "net_cash", "npv_so_far")
"""Rows of the project itself; those of a view are `<view>_profit`, `<view>_cash`, `<view>_npv_so_far`."""


@dataclass
class View:
    """Cash, tax and taxable profit of a view or way by year, losses carried at its end, and its NPV."""

    cash: Yearly
    tax: Yearly
    so_far: Yearly
    profit: Yearly
    carried: Yearly

    @property
    def npv(self) -> Quantity:
        """The NPV [currency]: what the last year has come to."""
        return self.so_far[max(self.so_far)]


@dataclass
class Project:
    """The yearly flows that every view starts from, by year; in the money of the study.

    `price`, `bill`, `wages` and `char_price` are price levels against today; `factor` is the discount factor.
    `sales` to `finishing` are single flows, `operating` their balance, `parts` what parts cost, `bought` what
    is bought later, `costs` all that is paid less product income, the saved bill left out, `saved` that bill
    as the kiln saves it and `bill` as any way would that takes all the same bones; `before_tax` and `profit`
    are what tax is reckoned on, `view` what comes of it. `book` is nominal.
    """

    price: Yearly = field(default_factory=dict)
    bill_price: Yearly = field(default_factory=dict)
    wages: Yearly = field(default_factory=dict)
    deflator: Yearly = field(default_factory=dict)
    factor: Yearly = field(default_factory=dict)
    sales: Yearly = field(default_factory=dict)
    selling: Yearly = field(default_factory=dict)
    moving: Yearly = field(default_factory=dict)
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
    view: View = field(default_factory=lambda: View({}, {}, {}, {}, {}))
    char_used: Quantity = 0.0
    end_resale: Quantity = 0.0
    end_cash: Quantity = 0.0
    end_profit: Quantity = 0.0


@dataclass
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


@dataclass
class Financed:
    """The owner after finance: with all that is typed, without a grant only asked for, and the debt service."""

    owner: View
    sure: View
    service: Yearly


def tax_of(b: Book, plan: Plan, profit: Quantity, carried: Quantity) -> Quantity:
    """Tax [currency] on a profit after a loss `carried` from the year before: what a year would bear otherwise."""
    if plan.losses_offset:
        return profit * b["money.tax_rate"]
    worn = _worn(b, plan, carried)
    limit = b.optional("tax.loss_limit_share")
    if limit is None:
        return np.maximum(profit - worn, 0) * b["money.tax_rate"]
    gain = np.maximum(profit, 0)
    return (gain - np.minimum(worn, gain * limit)) * b["money.tax_rate"]


def _worn(b: Book, plan: Plan, carried: Quantity) -> Quantity:
    """A loss carried, in the money of the next year."""
    return carried / (b["money.inflation"] + 1) if plan.is_real else carried


def income_tax(
    b: Book, plan: Plan, t: int, profit: Quantity, carried: Quantity, view: str = ""
) -> tuple[Quantity, Quantity]:
    """Tax of year t on `profit`, and the loss carried on [currency]; a loss carried is nominal.

    Where losses are set against other income a loss earns its tax at once. A loss carried may be limited to
    a share of the profit of a year. `view` names the rows of a view beside the headline ("owner").
    """
    prefix = f"{view}_" if view else ""
    rate = b["money.tax_rate"]
    if plan.losses_offset:
        return b.year(f"{prefix}income_tax", t, profit * rate), carried
    worn = _worn(b, plan, carried)
    limit = b.optional("tax.loss_limit_share")
    if limit is None:
        taxed = b.year(f"{prefix}taxed_profit", t, np.maximum(profit - worn, 0))
        carried = b.year(f"{prefix}loss_carried", t, np.maximum(worn - profit, 0))
    else:
        used = b.year(f"{prefix}loss_used", t, np.minimum(worn, np.maximum(profit, 0) * limit))
        taxed = b.year(f"{prefix}taxed_profit", t, np.maximum(profit, 0) - used)
        carried = b.year(f"{prefix}loss_carried", t, worn - used + np.maximum(0 - profit, 0))
    return b.year(f"{prefix}income_tax", t, taxed * rate), carried


def taxed(b: Book, plan: Plan, name: str, before_tax: Yearly, profit: Yearly, factor: Yearly) -> View:
    """The yearly rows of flows `before_tax` with taxable `profit`: tax, cash, NPV so far.

    `name` is "" for the project, that of a view ("owner") or of another way ("option_2").
    """
    profit_row, cash_row, npv_row = (
        PROJECT if not name else (f"{name}_profit", f"{name}_cash", f"{name}_npv_so_far")
    )
    cash = {0: b.year(cash_row, 0, before_tax[0])}
    tax: Yearly = {}
    carried = {0: b.year(f"{name}_loss_carried" if name else "loss_carried", 0, 0.0)}
    taxable: Yearly = {}
    so_far = {0: b.year(npv_row, 0, cash[0])}
    for t in range(1, plan.years + 1):
        taxable[t] = b.year(profit_row, t, profit[t])
        tax[t], carried[t] = income_tax(b, plan, t, taxable[t], carried[t - 1], name)
        cash[t] = b.year(cash_row, t, before_tax[t] - tax[t])
        so_far[t] = b.year(npv_row, t, so_far[t - 1] + cash[t] * factor[t])
    return View(cash, tax, so_far, taxable, carried)


def view(b: Book, plan: Plan, found: Project, name: str, added: Added) -> View:
    """The project with what a view adds, taxed anew."""
    years = range(1, plan.years + 1)
    before = {t: found.before_tax[t] + added.cash.get(t, 0.0) for t in (0, *years)}
    profit = {t: found.profit[t] + added.profit.get(t, 0.0) for t in years}
    return taxed(b, plan, name, before, profit, found.factor)
