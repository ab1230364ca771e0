"""Yearly cash and its tax: what every view of the money shares."""

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
