"""Hours of people and hours by the clock, and what the people cost."""

from __future__ import annotations

from econ.model.ledger import Book, Quantity, summed
from econ.model.plan import Plan

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
        people = b.get(f"task.{n}.people", None)
        clock = b[f"task.{n}.hours"]
        hours.append(b.line(f"task_{n}_people_hours", clock * 1.0 if people is None else clock * people))
        if n in plan.watching:
            watching.append(hours[-1])
    per_firing = summed(b, "hours_per_firing", hours, TASKS)
    share = b.get("labour.watching_share", None)
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
    number = b.get("kiln.number", None)
    weeks = b["kiln.weeks_per_year"]
    b.line("kiln_busy_share", year / (weeks * 168 if number is None else weeks * 168 * number))
