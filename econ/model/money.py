"""Cash by year: the project before finance, after tax, against current practice.

Year 0 is today and not discounted; flows of year t fall at its end; paid is negative. In a nominal study every
price grows with inflation and the rate is nominal; in a real study prices stay and the rate is real, while nominal
amounts (depreciation, losses carried, loan, grant, working capital) are worn down by inflation. Char, bill, fuel
and wages may grow by a real rate of their own. Loan and grant never enter here (see views).
"""

from __future__ import annotations

import operator
from functools import reduce
from typing import Any

import numpy as np

from econ.model.assets import Equipment, capital
from econ.model.cashflow import MOVING, Project, taxed
from econ.model.ledger import TINY, Book, Quantity, there, total
from econ.model.plan import Plan
from econ.shipped import described

GROWING: dict[str, str] = described("flows", "model")["growing"]
"""Price levels that go their own way, by the row of their real growth."""
YEARLY: dict[str, dict[str, Any]] = described("flows", "model")["yearly"]
"""The yearly flows, each `<name>_today` in today's prices where a plant has it."""
LEVEL = {name: flow["price"] for name, flow in YEARLY.items() if "price" in flow}
"""The price level of a flow; all others follow prices in general."""
SOLD, STANDING = ({name for name, flow in YEARLY.items() if mark in flow} for mark in ("sold", "standing"))
"""Flows that build up with sales, and those that do not wait for the first firing."""
STOPPED = (1, 2, 3)
"""Years after which the plant may be stopped."""
RUNNING = ("fuel_cost", "labour_cost", "upkeep", "finish_cost")


def cash(b: Book, plan: Plan) -> Project:
    """Every row of the cash sheet; the `<name>_today` amounts are in the book."""
    found = Project()
    capital(b, plan)
    equipment = Equipment(b, plan)
    put_in = total(there(b, "capital_total_today", "capital.working"))
    found.before_tax[0] = 0 - put_in
    found.costs[0] = b.year("cost_only_cash", 0, put_in)
    levels = _prices(b, plan, found)
    end = equipment.end()
    for t in range(1, plan.years + 1):
        kiln_only = _operating(b, found, t, levels[t])
        written, renewed, parts = equipment.year(t, found.price[t], found.deflator[t])
        profit = found.operating[t] - written / found.deflator[t]
        flow = found.operating[t]
        if plan.wear:
            profit, flow, kiln_only = profit - parts, flow - parts, kiln_only + parts
        found.parts[t], found.bought[t] = parts, renewed
        if t in STOPPED and t < plan.years:
            found.book[t] = equipment.book(t)
        flow, kiln_only = flow - renewed, kiln_only + renewed
        if t == plan.years:
            _end(b, plan, found, equipment, end)
            profit, flow = profit + found.end_profit, flow + found.end_cash
            kiln_only = kiln_only - found.end_cash
        found.profit[t], found.before_tax[t] = profit, flow
        found.costs[t] = b.year("cost_only_cash", t, kiln_only)
    b.line("char_used_study_share", found.char_used / plan.years)
    found.view = taxed(b, plan, "", found.before_tax, found.profit, found.factor)
    b.line("npv", found.view.npv)
    return found


def _prices(b: Book, plan: Plan, found: Project) -> dict[int, dict[str, Quantity]]:
    """Price levels and discount factors of every year; returns the levels that go their own way."""
    growth, ratio = b["money.inflation"] + 1, b["money.discount_rate"] + 1
    price = b.year("price_index", 0, 1.0)
    deflator = b.year("deflator", 0, 1.0)
    factor = b.year("discount_factor", 0, 1.0)
    own = {name: b.year(name, 0, 1.0) for name in GROWING}
    rises = {name: (b[key] + 1) if plan.is_real else (b[key] + 1) * growth for name, key in GROWING.items()}
    levels = {}
    for t in range(1, plan.years + 1):
        if plan.is_real:
            deflator = b.year("deflator", t, deflator * growth)
        else:
            price = b.year("price_index", t, price * growth)
        found.price[t], found.deflator[t] = price, deflator
        factor = found.factor[t] = b.year("discount_factor", t, factor / ratio)
        own = {name: b.year(name, t, level * rises[name]) for name, level in own.items()}
        levels[t] = own
        found.bill_price[t], found.wages[t] = own["bill_price"], own["wage_level"]
    return levels


def _operating(b: Book, found: Project, t: int, levels: dict[str, Quantity]) -> Quantity:
    """Operating cash of year t [currency]; returns the kiln's cost less product income, no saved bill."""
    amounts = _amounts(b, found, t, levels)
    selling = [amounts[name] for name in ("selling_cost", "bag_cost") if name in amounts]
    more = [amounts["extra_cost"]] if "extra_cost" in amounts else []
    running = b.year("running_cost", t, total(amounts[name] for name in RUNNING))
    saved = _saved(b, found, t, amounts)
    kiln_only = total([running + amounts["excluded_cost"] - amounts["sale_income"], *selling, *more])
    for name in ("side_income", "own_use_saved"):
        kiln_only = kiln_only - amounts[name] if name in amounts else kiln_only
    kiln_only = b.year("operating_cost", t, kiln_only)
    found.sales[t], found.selling[t] = amounts["sale_income"], total(selling)
    found.standing[t] = total(amount for name, amount in amounts.items() if name in STANDING)
    found.moving[t] = total(amounts[name] for name in MOVING) - amounts["sale_income"]
    found.excluded[t] = amounts["excluded_cost"]
    found.operating[t] = b.year("operating_cash", t, saved - kiln_only)
    return kiln_only


def _amounts(b: Book, found: Project, t: int, levels: dict[str, Quantity]) -> dict[str, Quantity]:
    """Flows of year t at their price levels, sales and kiln as far as built up; char sold or used [kg]."""
    ramp, late = sales_ramp(b, t), there(b, "money.months_to_start") if t == 1 else []
    running = [b.year("first_year_running", t, 1 - waiting) for waiting in late]
    amounts: dict[str, Quantity] = {}
    for name in YEARLY:
        for amount in there(b, f"{name}_today"):
            shares = [levels.get(LEVEL.get(name, ""), found.price[t])]
            shares += [ramp] if ramp is not None and name in SOLD else []
            shares += running if name not in STANDING else []
            amounts[name] = b.year(name, t, reduce(operator.mul, [amount, *shares]))
    sold = b["char_sold_kg"] if ramp is None else b["char_sold_kg"] * ramp
    own = there(b, "own_use_kg")
    used = b.year("char_used", t, reduce(operator.mul, [total([sold, *own]), *running]))
    share = used / np.maximum(total([b["char_sold_kg"], *own]), TINY)
    found.char_used = b.year("char_used_so_far", t, found.char_used + share)
    return amounts


def _saved(b: Book, found: Project, t: int, amounts: dict[str, Quantity]) -> Quantity:
    """The bill saved in year t, less what the rest of it gets dearer and what breakdowns leave to the hauler."""
    saved = amounts["disposal_saved"]
    full = b["disposal_saved_today"] * found.bill_price[t]
    if "price_rise" in amounts:
        saved, full = saved - amounts["price_rise"], full - b["price_rise_today"] * found.bill_price[t]
    for down in there(b, "costs.downtime_share"):
        saved = saved - b.year("breakdowns", t, amounts["disposal_saved"] * down)
    found.bill[t] = b.year("bill_of_same_bones", t, full)
    found.saved[t] = b.year("bill_saved", t, saved)
    return found.saved[t]


def sales_ramp(b: Book, t: int) -> Quantity | None:
    """Share of full sales in year t [1], a line from the first year's (else 1 / years); None: full. No source."""
    years, first = b.optional("market.years_to_full"), b.optional("market.first_year_share")
    if years is None:
        return None if first is None else b.year("sales_ramp", t, first if t == 1 else 1.0)
    first = 1 / years if first is None else first
    return b.year("sales_ramp", t, np.minimum(first + (1 - first) / np.maximum(years - 1, TINY) * (t - 1), 1))


def _end(b: Book, plan: Plan, found: Project, equipment: Equipment, end: tuple[Quantity, Quantity]) -> None:
    """What the end adds to profit and to cash: end values, book value, part lives, clean-up, working capital."""
    t = plan.years
    price, deflator = found.price[t], found.deflator[t]
    fetched = b.year("resale", t, end[0] * price)
    charged = b.year("part_lives", t, end[1] * price)
    profit = b.year("gain_on_resale", t, fetched - equipment.book(t) / deflator) - charged
    flow = fetched - charged
    for clean in there(b, "money.decommissioning"):
        paid = b.year("decommissioning", t, clean * price)
        profit, flow = profit - paid, flow - paid
    for working in there(b, "capital.working"):
        flow = flow + b.year("working_returned", t, working / deflator)
    found.end_resale, found.end_cash, found.end_profit = fetched, flow, profit
