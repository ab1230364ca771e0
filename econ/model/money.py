"""Cash by year: the project before finance, after tax, against current practice.

Year 0 is today and not discounted; flows of year t fall at its end. Received is positive, paid is
negative. In a nominal study every price grows with inflation and the rate is nominal; in a real study
prices stay and the rate is real, while depreciation, losses carried, loan, grant and working capital, which
are nominal amounts, are worn down by inflation. Loan and grant never enter here (see views).
"""

from __future__ import annotations

import numpy as np

from econ.model.assets import Equipment, capital
from econ.model.cashflow import TINY, Project, income_tax
from econ.model.ledger import Book, Quantity
from econ.model.plan import Plan

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

SOLD = frozenset({"sale_income", "selling_cost"})
"""Flows that build up with sales."""


def cash(b: Book, plan: Plan) -> Project:
    """Every row of the cash sheet; the `<name>_today` amounts are in the book."""
    bought = capital(b, plan)
    working = b.optional("capital.working")
    equipment = Equipment(b, plan)
    resale = equipment.resale_today()
    growth = b["money.inflation"] + 1
    price = b.year("price_index", 0, 1.0)
    deflator = b.year("deflator", 0, 1.0)
    carried = b.year("loss_carried", 0, 0.0 * bought)
    put_in = bought if working is None else bought + working
    found = Project()
    found.cash[0] = b.year("net_cash", 0, 0 - put_in)
    found.costs[0] = b.year("cost_only_cash", 0, put_in)
    for t in range(1, plan.years + 1):
        if plan.is_real:
            deflator = b.year("deflator", t, deflator * growth)
        else:
            price = b.year("price_index", t, price * growth)
        found.deflator[t] = deflator
        kiln_only = operating(b, found, t, price)
        written, renewed, parts = equipment.year(t, price, deflator)
        found.parts[t] = parts
        profit = found.operating[t] - written / deflator
        profit, flow, kiln_only = _parts(plan, b, parts, profit, found.operating[t], kiln_only)
        flow, kiln_only = flow - renewed, kiln_only + renewed
        if t == plan.years:
            end = _end(b, plan, equipment, (resale * price, price, deflator))
            profit, flow, kiln_only = profit + end[0], flow + end[1], kiln_only - end[1]
        found.profit[t] = b.year("taxable_profit", t, profit)
        found.tax[t], carried = income_tax(b, plan, t, found.profit[t], carried)
        found.cash[t] = b.year("net_cash", t, flow - found.tax[t])
        found.costs[t] = b.year("cost_only_cash", t, kiln_only)
    return found


def operating(b: Book, found: Project, t: int, price: Quantity) -> Quantity:
    """Operating cash of year t; returns the cost of the kiln less product income, saving left out."""
    ramp = sales_ramp(b, t)
    amounts: dict[str, Quantity] = {}
    for name in (*YEARLY, "side_income", "selling_cost", "own_use_saved", "extra_cost"):
        today = b.optional(f"{name}_today")
        if today is not None:
            amount = today * price
            amounts[name] = b.year(name, t, amount if ramp is None or name not in SOLD else amount * ramp)
    running = b.year(
        "running_cost",
        t,
        amounts["fuel_cost"] + amounts["labour_cost"] + amounts["upkeep"] + amounts["finish_cost"],
    )
    made = amounts["sale_income"] + amounts["disposal_saved"] - running - amounts["excluded_cost"]
    kiln_only = running + amounts["excluded_cost"] - amounts["sale_income"]
    downtime = b.optional("costs.downtime_share")
    if downtime is not None:
        lost = (amounts["sale_income"] + amounts["disposal_saved"]) * downtime
        amounts["breakdowns"] = b.year("breakdowns", t, lost)
    for name in ("selling_cost", "extra_cost", "breakdowns"):
        if name in amounts:
            made, kiln_only = made - amounts[name], kiln_only + amounts[name]
    for name in ("side_income", "own_use_saved"):
        if name in amounts:
            made, kiln_only = made + amounts[name], kiln_only - amounts[name]
    found.sales[t] = amounts["sale_income"]
    found.selling[t] = amounts.get("selling_cost")
    found.benefits[t] = amounts["sale_income"] + amounts["disposal_saved"]
    found.operating[t] = b.year("operating_cash", t, made)
    return kiln_only


def sales_ramp(b: Book, t: int) -> Quantity | None:
    """Share of full sales reached in year t, or None where sales are full from the first year on.

    A straight line from the first year's share to 1 in the year of full sales; without a first year's
    share it starts at 1 / years.
    """
    years, first = b.optional("market.years_to_full"), b.optional("market.first_year_share")
    if years is None and first is None:
        return None
    if years is None:
        return b.year("sales_ramp", t, first if t == 1 else 1.0)
    if first is None:
        first = 1 / years
    step = (1 - first) / np.maximum(years - 1, TINY)
    return b.year("sales_ramp", t, np.minimum(first + step * (t - 1), 1))


def _parts(
    plan: Plan, b: Book, parts: Quantity, profit: Quantity, flow: Quantity, kiln_only: Quantity
) -> tuple[Quantity, Quantity, Quantity]:
    """Parts that wear, taken off profit and cash; untouched where none are listed."""
    if not plan.wear:
        return profit, flow, kiln_only
    return profit - parts, flow - parts, kiln_only + parts


def _end(
    b: Book, plan: Plan, equipment: Equipment, last: tuple[Quantity, Quantity, Quantity]
) -> tuple[Quantity, Quantity]:
    """What the end of the study adds to profit and to cash: resale, book value, clean-up, working capital."""
    t = plan.years
    resale, price, deflator = last
    fetched = b.year("resale", t, resale)
    profit = b.year("gain_on_resale", t, fetched - equipment.book(t) / deflator)
    flow = fetched
    clean = b.optional("money.decommissioning")
    if clean is not None:
        paid = b.year("decommissioning", t, clean * price)
        profit, flow = profit - paid, flow - paid
    working = b.optional("capital.working")
    if working is not None:
        flow = flow + b.year("working_returned", t, working / deflator)
    return profit, flow
