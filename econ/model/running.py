"""What a year of firings costs in today's prices: fuel, people, upkeep, fees; and hours by the clock."""

from __future__ import annotations

import numpy as np

from econ.model.ledger import Book, Quantity, summed, there, total
from econ.model.plan import Plan


def fuel(b: Book, plan: Plan, firings: Quantity) -> Quantity:
    """Fuel cost [currency a year]; a part load burns as much as a full one, so firings count, not kg.

    Cold or wet months count a firing by their factor, for all fuels but electricity. Fans and grinder draw
    on the first electricity among the fuels.
    """
    costs = []
    power = _power(b, firings)
    for n, kind in zip(plan.fuels, plan.fuel_kinds, strict=True):
        electric = kind == "electricity"
        counted = b["firings_by_weather"] if plan.weather and not electric else firings
        modelled = n == 1 and plan.fuel_modelled
        used = counted * (b["fuel_1_per_firing"] if modelled else b[f"fuel.{n}.per_batch"])
        if electric and power is not None:
            used, power = used + power, None
        used = b.line(f"fuel_{n}_used", used)
        costs.append(b.line(f"fuel_{n}_cost", used * b[f"fuel.{n}.price"]))
    return b.line("fuel_cost_today", total(costs))


def _power(b: Book, firings: Quantity) -> Quantity | None:
    """Electricity of fans and grinder [MJ a year], or None where neither was typed."""
    fan, grinder = b.optional("power.fan_per_firing"), b.optional("power.grinder_per_char")
    parts = []
    if fan is not None:
        parts.append(b.line("fan_mj", firings * fan))
    if grinder is not None:
        parts.append(b.line("grinder_mj", b["char_kg"] * grinder))
    return b.line("power_mj", total(parts)) if parts else None


def upkeep(b: Book) -> Quantity:
    """Repairs, wear, insurance, permits and other running costs [currency a year]."""
    parts = [b.line("repairs_today", b["kiln.price"] * b["running.maintenance_share"])]
    fees = b["running.insurance_per_year"] + b["running.permits_per_year"] + b["running.other_per_year"]
    parts.append(b.line("fees_today", fees))
    wear = b.optional("kiln.wear_per_firing")
    if wear is not None:
        parts.append(b.line("wear_today", b["firings_per_year"] * wear))
    return b.line("upkeep_today", total(parts))


def _by_contract(b: Book, plan: Plan) -> Quantity:
    """What would fall away of the hauler's bill without any bone that may be fired [currency a year].

    The amounts by weight, barrel and head go with the bones; the fixed amount only where it was chosen so.
    The whole bill is the invoice of all bones received.
    """
    share = b["bones_eligible_kg"] / np.maximum(b["bones_received_kg"], TINY)
    parts = [b["bones_received_kg"] * fee for fee in there(b, "contract.per_mass")]
    parts += [n * fee for n in there(b, "contract.pieces") for fee in there(b, "contract.per_piece")]
    moving = b.line("contract_moving_today", total(parts))
    fixed = b.line("contract_fixed_today", total(there(b, "contract.fixed")))
    b.line("invoice_per_kg_bones", (moving + fixed) / np.maximum(b["bones_received_kg"], TINY))
    falls = moving if plan.fixed_stays else moving + fixed
    return b.line("contract_saving_today", falls * share)


def disposal(b: Book, plan: Plan, share: Quantity, excluded_kg: Quantity) -> tuple[Quantity, Quantity]:
    """Today's bill saved, and the separate bill of the excluded bones [currency a year].

    The saving is that of all bones which may be fired, typed or by the hauler's contract; where the kiln
    cannot take all, the share fired saves its part.
    """
    saving = _by_contract(b, plan) if plan.by_contract else b["current.saving"]
    saved = b.line("disposal_saved_today", saving * share)
    rise = b.optional("current.price_rise")
    if rise is not None:
        b.line("price_rise_today", rise)
    excluded = b.line("excluded_cost_today", excluded_kg * b["excluded.fee"])
    return saved, excluded


TINY = 1e-9
TASKS = 8
"""Tasks in one formula."""


def labour(b: Book, plan: Plan, firings: Quantity) -> Quantity:
    """Cost of attended hours [currency a year]; a part load takes as many hours as a full one.

    The typed hours of a firing are the total. Without them the tasks add up: clock hours × people, idle
    watching at the full wage unless a smaller share was typed.
    """
    per_hour = b.line("cost_per_hour", b["labour.wage"] * (1 + b["labour.on_cost_share"]))
    if not plan.hours_by_task:
        hours = b.line("hours_per_year", firings * b["labour.hours_per_batch"])
        return b.line("labour_cost_today", hours * per_hour)
    per_firing, paid = _tasks(b, plan)
    b.line("hours_per_year", firings * per_firing)
    paid_hours = b.line("paid_hours_per_year", firings * paid)
    return b.line("labour_cost_today", paid_hours * per_hour)


def _tasks(b: Book, plan: Plan) -> tuple[Quantity, Quantity]:
    """Hours of people in one firing, and those paid, task by task."""
    watching = []
    hours = []
    for n in plan.tasks:
        people = b.optional(f"task.{n}.people")
        clock = b[f"task.{n}.hours"]
        hours.append(b.line(f"task_{n}_people_hours", clock if people is None else clock * people))
        if n in plan.watching:
            watching.append(hours[-1])
    per_firing = summed(b, "hours_per_firing", hours, TASKS)
    share = b.optional("labour.watching_share")
    idle = summed(b, "watching_per_firing", watching or [0.0], TASKS)
    if share is None or not watching:
        return per_firing, per_firing
    return per_firing, b.line("paid_hours_per_firing", per_firing - idle * (1 - share))


def clock(b: Book, plan: Plan, firings: Quantity) -> None:
    """Hours by the clock that a firing and a year of firings take, and how busy the kilns are."""
    if not plan.clock:
        return
    if not plan.shifts:
        attended = b["cycle.load_hours"] + b["cycle.fire_hours"] + b["cycle.empty_hours"]
        b.line("clock_hours_per_firing", attended + b["cycle.cool_hours"])
    year = b.line("clock_hours_per_year", firings * b["clock_hours_per_firing"])
    number = b.optional("kiln.number")
    weeks = b["kiln.weeks_per_year"]
    b.line("kiln_busy_share", year / (weeks * 168 if number is None else weeks * 168 * number))
