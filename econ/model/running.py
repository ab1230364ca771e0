"""What a year of firings costs in today's prices: fuel, people, upkeep, fees."""

from __future__ import annotations

from econ.model.ledger import Book, Quantity, total
from econ.model.plan import Plan


def fuel(b: Book, plan: Plan, firings: Quantity) -> Quantity:
    """Fuel cost [currency a year]; a part load burns as much as a full one, so firings count, not kg."""
    costs = []
    for n in plan.fuels:
        used = b.line(f"fuel_{n}_used", firings * b[f"fuel.{n}.per_batch"])
        costs.append(b.line(f"fuel_{n}_cost", used * b[f"fuel.{n}.price"]))
    return b.line("fuel_cost_today", total(costs))


def labour(b: Book, firings: Quantity) -> Quantity:
    """Cost of attended hours [currency a year]."""
    hours = b.line("hours_per_year", firings * b["labour.hours_per_batch"])
    per_hour = b.line("cost_per_hour", b["labour.wage"] * (1 + b["labour.on_cost_share"]))
    return b.line("labour_cost_today", hours * per_hour)


def upkeep(b: Book) -> Quantity:
    """Repairs, insurance, permits and other running costs [currency a year]."""
    repairs = b.line("repairs_today", b["kiln.price"] * b["running.maintenance_share"])
    fees = b.line(
        "fees_today",
        b["running.insurance_per_year"] + b["running.permits_per_year"] + b["running.other_per_year"],
    )
    return b.line("upkeep_today", repairs + fees)


def disposal(b: Book, share: Quantity, excluded_kg: Quantity) -> tuple[Quantity, Quantity]:
    """Today's bill saved, and the separate bill of the excluded bones [currency a year].

    The saving typed is that of all bones which may be fired; where the kiln cannot take all, the share
    fired saves its part.
    """
    saved = b.line("disposal_saved_today", b["current.saving"] * share)
    excluded = b.line("excluded_cost_today", excluded_kg * b["excluded.fee"])
    return saved, excluded
