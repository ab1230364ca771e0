"""Cash by year: the project before finance, after tax, against current practice.

Year 0 is today and not discounted; flows of year t fall at its end. Received is positive, paid is
negative. In a nominal study every price grows with inflation and the rate is nominal; in a real study
prices stay and the rate is real, while depreciation, losses carried, loan, grant and working capital, which
are nominal amounts, are worn down by inflation. Char, the bill, fuel and wages may grow faster or slower than
other prices, by a real rate of their own. Loan and grant never enter here (see views).
"""

from __future__ import annotations

import numpy as np

from econ.model.assets import Equipment, capital
from econ.model.cashflow import TINY, Project, taxed
from econ.model.ledger import Book, Quantity, total
from econ.model.plan import Plan

GROWING = {
    "char_price": "growth.char_price",
    "bill_price": "growth.bill",
    "fuel_price": "growth.fuel",
    "wage_level": "growth.wages",
}
"""Price levels that go their own way, by the row of their real growth."""
LEVEL = {
    "sale_income": "char_price",
    "disposal_saved": "bill_price",
    "price_rise": "bill_price",
    "fuel_cost": "fuel_price",
    "labour_cost": "wage_level",
}
"""The price level of a flow; all others follow prices in general."""
YEARLY = (
    "sale_income", "disposal_saved", "price_rise", "excluded_cost", "fuel_cost", "labour_cost", "upkeep",
    "finish_cost", "bag_cost", "side_income", "selling_cost", "own_use_saved", "extra_cost",
)  # fmt: skip
"""The yearly flows, each `<name>_today` in today's prices where a plant has it."""
SOLD = frozenset({"sale_income", "selling_cost", "bag_cost"})
"""Flows that build up with sales."""
STANDING = frozenset({"upkeep", "extra_cost"})
"""Flows that do not wait for the first firing."""
STOPPED = (1, 2, 3)
"""Years after which the plant may be stopped."""
RUNNING = ("fuel_cost", "labour_cost", "upkeep", "finish_cost")
MOVING = ("fuel_cost", "labour_cost", "finish_cost", "bag_cost")
"""Costs that move with the bones processed."""


def cash(b: Book, plan: Plan) -> Project:
    """Every row of the cash sheet; the `<name>_today` amounts are in the book."""
    found = Project()
    bought = capital(b, plan)
    equipment = Equipment(b, plan)
    working = b.optional("capital.working")
    put_in = bought if working is None else bought + working
    found.before_tax[0] = 0 - put_in
    found.costs[0] = b.year("cost_only_cash", 0, put_in)
    levels = _prices(b, plan, found)
    end = equipment.end()
    for t in range(1, plan.years + 1):
        kiln_only = operating(b, plan, found, t, levels[t])
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
    price = found.price[0] = b.year("price_index", 0, 1.0)
    deflator = b.year("deflator", 0, 1.0)
    factor = found.factor[0] = b.year("discount_factor", 0, 1.0)
    own = {name: b.year(name, 0, 1.0) for name in GROWING}
    levels = {}
    for t in range(1, plan.years + 1):
        if plan.is_real:
            deflator = b.year("deflator", t, deflator * growth)
        else:
            price = b.year("price_index", t, price * growth)
        found.price[t], found.deflator[t] = price, deflator
        factor = found.factor[t] = b.year("discount_factor", t, factor / ratio)
        for name, key in GROWING.items():
            step = (b[key] + 1) if plan.is_real else (b[key] + 1) * growth
            own[name] = b.year(name, t, own[name] * step)
        levels[t] = dict(own)
        found.bill_price[t], found.wages[t] = own["bill_price"], own["wage_level"]
    return levels


def operating(b: Book, plan: Plan, found: Project, t: int, levels: dict[str, Quantity]) -> Quantity:
    """Operating cash of year t [currency]; returns the kiln's cost less product income, no saved bill."""
    amounts = _amounts(b, found, t, levels)
    running = b.year("running_cost", t, total(amounts[name] for name in RUNNING))
    saved = _saved(b, found, t, amounts)
    kiln_only = running + amounts["excluded_cost"] - amounts["sale_income"]
    for name in ("selling_cost", "bag_cost", "extra_cost"):
        kiln_only = kiln_only + amounts[name] if name in amounts else kiln_only
    for name in ("side_income", "own_use_saved"):
        kiln_only = kiln_only - amounts[name] if name in amounts else kiln_only
    kiln_only = b.year("operating_cost", t, kiln_only)
    found.sales[t] = amounts["sale_income"]
    found.selling[t] = total([amounts[name] for name in ("selling_cost", "bag_cost") if name in amounts] or [0.0])
    found.moving[t] = total(amounts[name] for name in MOVING) - amounts["sale_income"]
    found.excluded[t] = amounts["excluded_cost"]
    found.operating[t] = b.year("operating_cash", t, saved - kiln_only)
    return kiln_only


def _amounts(b: Book, found: Project, t: int, levels: dict[str, Quantity]) -> dict[str, Quantity]:
    """Every yearly flow of year t at its own price level, as far as sales have built up and the kiln has run."""
    ramp = sales_ramp(b, t)
    running = _year_running(b, t)
    amounts: dict[str, Quantity] = {}
    for name in YEARLY:
        amount = b.optional(f"{name}_today")
        if amount is None:
            continue
        amount = amount * levels.get(LEVEL.get(name, ""), found.price[t])
        amount = amount * ramp if ramp is not None and name in SOLD else amount
        amount = amount * running if running is not None and name not in STANDING else amount
        amounts[name] = b.year(name, t, amount)
    _char_used(b, found, t, ramp, running)
    return amounts


def _saved(b: Book, found: Project, t: int, amounts: dict[str, Quantity]) -> Quantity:
    """The bill saved in year t, less what the rest of it gets dearer and what breakdowns leave to the hauler."""
    rise, down = amounts.get("price_rise"), b.optional("costs.downtime_share")
    saved = amounts["disposal_saved"]
    full = b["disposal_saved_today"] * found.bill_price[t]
    if rise is not None:
        saved, full = saved - rise, full - b["price_rise_today"] * found.bill_price[t]
    if down is not None:
        saved = saved - b.year("breakdowns", t, amounts["disposal_saved"] * down)
    found.bill[t] = b.year("bill_of_same_bones", t, full)
    found.saved[t] = b.year("bill_saved", t, saved)
    return found.saved[t]


def sales_ramp(b: Book, t: int) -> Quantity | None:
    """Share of full sales reached in year t [0..1], or None where sales are full from the first year on.

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


def _year_running(b: Book, t: int) -> Quantity | None:
    """Share of the first year in which the kiln runs, or None: later years, and a kiln that starts at once."""
    late = b.optional("money.months_to_start")
    return None if late is None or t > 1 else b.year("first_year_running", t, 1 - late / 12)


def _char_used(b: Book, found: Project, t: int, ramp: Quantity | None, running: Quantity | None) -> None:
    """Char sold or used in year t [kg as sold], and the removal that goes with it."""
    sold = b["char_sold_kg"] if ramp is None else b["char_sold_kg"] * ramp
    own = b.optional("own_use_kg")
    used = sold if own is None else sold + own
    used = b.year("char_used", t, used if running is None else used * running)
    everything = b["char_sold_kg"] if own is None else b["char_sold_kg"] + own
    share = used / np.maximum(everything, TINY)
    found.char_used = b.year("char_used_so_far", t, found.char_used + share)


def _end(b: Book, plan: Plan, found: Project, equipment: Equipment, end: tuple[Quantity, Quantity]) -> None:
    """What the end adds to profit and to cash: end values, book value, part lives, clean-up, working capital."""
    t = plan.years
    price, deflator = found.price[t], found.deflator[t]
    fetched = b.year("resale", t, end[0] * price)
    charged = b.year("part_lives", t, end[1] * price)
    profit = b.year("gain_on_resale", t, fetched - equipment.book(t) / deflator) - charged
    flow = fetched - charged
    clean = b.optional("money.decommissioning")
    if clean is not None:
        paid = b.year("decommissioning", t, clean * price)
        profit, flow = profit - paid, flow - paid
    working = b.optional("capital.working")
    if working is not None:
        flow = flow + b.year("working_returned", t, working / deflator)
    found.end_resale, found.end_cash, found.end_profit = fetched, flow, profit
