"""What the kiln can take in a year, and the firings that the bones need."""

from __future__ import annotations

import numpy as np

from econ.model.ledger import Book, Quantity, total
from econ.model.plan import Plan

WHOLE = 1e-9
"""Slack before a count of firings is rounded up or down, so that 52.0000000001 loads are 52."""


def bones(b: Book, plan: Plan) -> dict[int, Quantity]:
    """Bones received, excluded, fired and passed on, and the firings they need [kg a year].

    Excluded bones leave before the kiln. The kiln fires what its load and the firings allowed can take;
    the rest stays with current practice. Firings are whole: the most of those forced by mass and by the
    days that raw bones keep, never more than allowed. A part load is a firing like any other.

    Returns the mass fired of each stream.
    """
    received = {n: b[f"bones.{n}.mass"] for n in plan.streams}
    excluded = {n: received[n] * b[f"bones.{n}.excluded_share"] for n in plan.streams}
    all_received = b.line("bones_received_kg", total(received.values()))
    all_excluded = b.line("bones_excluded_kg", total(excluded.values()))
    eligible = b.line("bones_eligible_kg", all_received - all_excluded)
    most = b.line("firings_allowed", np.floor(b["kiln.batches_per_week"] * b["kiln.weeks_per_year"] + WHOLE))
    capacity = b.line("kiln_capacity_kg", most * b["kiln.batch_load"])
    fired = b.line("bones_fired_kg", np.minimum(eligible, capacity))
    share = b.line("bones_fired_share", fired / np.maximum(eligible, WHOLE))
    b.line("bones_passed_on_kg", eligible - fired)
    by_mass = b.line("firings_by_mass", np.ceil(fired / b["kiln.batch_load"] - WHOLE))
    by_keeping = b.line(
        "firings_by_keeping", np.ceil(b["kiln.weeks_per_year"] * 7 / b["bones.storage_days"] - WHOLE)
    )
    some = np.greater(fired, 0)
    needed = np.maximum(by_mass, by_keeping) * some
    firings = b.line("firings_per_year", np.minimum(needed, most))
    b.line("load_per_firing_kg", fired / np.maximum(firings, 1))
    return {n: b.line(f"bones_{n}_fired_kg", (received[n] - excluded[n]) * share) for n in plan.streams}
