"""What the kiln can take in a year or month, and the batches that the bones need."""

from __future__ import annotations

from functools import reduce

import numpy as np

from econ.inputs.rows import MONTHS
from econ.model.ledger import WHOLE, Book, Quantity, above, there, times, total
from econ.model.plan import Plan


def offered(b: Book, plan: Plan) -> tuple[dict[int, Quantity], dict[int, Quantity]]:
    """Bones received and kept out, by stream [kg a year]: by weight or heads, by share or age. Definition."""
    received: dict[int, Quantity] = {}
    excluded: dict[int, Quantity] = {}
    for n in plan.streams:
        if n in plan.matter.by_head:
            received[n] = b.line(f"bones_{n}_counted_kg", b[f"bones.{n}.heads"] * b[f"bones.{n}.bone_per_head"])
        else:
            received[n] = b[f"bones.{n}.mass"]
        share = b[f"bones.{n}.excluded_share"]
        if n in plan.matter.by_age:
            risk = b[f"bones.{n}.older_share"] * b["excluded.risk_part"]
            share = b.line(f"bones_{n}_kept_out", risk + (1 - risk) * b[f"bones.{n}.condemned_share"])
        excluded[n] = received[n] * share
    return received, excluded


def bones(b: Book, plan: Plan) -> dict[int, Quantity]:
    """Bones received, excluded, processed, passed on, and batches; returns kg a year by stream. Definition.

    Excluded bones leave before the kiln. It takes the share chosen of the others, as far as load and batches
    allow; the rest stays with current practice. Batches are whole: the most of those forced by mass, by volume and
    by the days that raw bones keep, never more than allowed; a part load is a batch like any other [kg a year].
    """
    received, excluded = offered(b, plan)
    all_received = b.line("bones_received_kg", total(received.values()))
    all_excluded = b.line("bones_excluded_kg", total(excluded.values()))
    eligible = b.line("bones_eligible_kg", all_received - all_excluded)
    wanted = times(b, eligible, "kiln.bones_share")
    fresh = _loads(b)
    most = _allowed(b, plan)
    capacity = b.line("kiln_capacity_kg", most * fresh)
    if plan.by_month:
        fired = _by_month(b, plan, most, fresh)
    else:  # bones processed and whole batches of an even year
        fired = b.line("bones_fired_kg", np.minimum(wanted, capacity))
        needed = reduce(np.maximum, _forced(b, fired))
        b.line("firings_per_year", np.minimum(needed * above(fired, 0), most))
    share = b.line("bones_fired_share", fired / np.maximum(eligible, WHOLE))
    b.line("bones_passed_on_kg", eligible - fired)
    firings = np.maximum(b["firings_per_year"], 1)
    b.line("load_per_firing_kg", fired / firings)
    b.line("days_between_firings", b["kiln.weeks_per_year"] * 7 / firings)
    if plan.larger:  # another size at a glance: its price, what it takes, what is left over
        b.line("larger_price", b["kiln.price"] * b["larger_price_ratio"])
        takes = b.line("larger_capacity_kg", most * times(b, b["kiln.larger_load"], "kiln.core_share"))
        b.line("larger_passed_on_kg", np.maximum(eligible - takes, 0))
    return {n: b.line(f"bones_{n}_fired_kg", (received[n] - excluded[n]) * share) for n in plan.streams}


def _loads(b: Book) -> Quantity:
    """Full load of a batch by weight and volume; returns its new bones [kg]: what was not cooked goes in again."""
    full = b["kiln.batch_load"]
    for volume in there(b, "kiln.volume"):
        full = np.minimum(full, b.line("load_by_volume_kg", volume * b["bones.bulk_density"]))
    return b.line("load_fresh_kg", times(b, b.line("load_full_kg", full), "kiln.core_share"))


def _allowed(b: Book, plan: Plan) -> Quantity:
    """Batches that crew, weeks, kilns and downtime allow [a year], whole."""
    weekly = b["kiln.batches_per_week"]
    if plan.shifts:
        weekly = b.line("firings_per_week", np.minimum(weekly, _by_shift(b)))
    most = times(b, weekly * b["kiln.weeks_per_year"], "kiln.number")
    for lost in there(b, "kiln.downtime_share"):
        most = most * (1 - lost)
    return b.line("firings_allowed", np.floor(most + WHOLE))


def _by_shift(b: Book) -> Quantity:
    """Batches a week that clock and crew allow for a kiln, whole; cooling runs alone, a long batch skips days."""
    attended = b["cycle.load_hours"] + b["cycle.fire_hours"] + b["cycle.empty_hours"]
    clock = b.line("clock_hours_per_firing", attended + b["cycle.cool_hours"])
    long = 1 / np.maximum(np.ceil(clock / 24 - WHOLE), 1)
    by_clock = b.line("firings_by_clock", np.maximum(np.floor(24 / np.maximum(clock, WHOLE) + WHOLE), long))
    by_crew = np.floor(b["shift.hours_per_day"] / np.maximum(attended, WHOLE) + WHOLE)
    daily = b.line("firings_per_day", np.minimum(by_clock, by_crew))
    return b.line("firings_by_shift", np.floor(daily * b["shift.days_per_week"] + WHOLE))


def _forced(b: Book, fired: Quantity, months: Quantity | None = None) -> list[Quantity]:
    """Whole batches forced by mass, by keeping and, where the room is known, by volume [a year]."""
    days = b["kiln.weeks_per_year"] * 7 / b["bones.storage_days"]
    if months is not None:
        days = days * months / 12
    found = [
        b.line("firings_by_mass", np.ceil(fired / times(b, b["kiln.batch_load"], "kiln.core_share") - WHOLE)),
        b.line("firings_by_keeping", np.ceil(days - WHOLE)),
    ]
    for full in there(b, "load_by_volume_kg"):
        found.append(b.line("firings_by_volume", np.ceil(fired / times(b, full, "kiln.core_share") - WHOLE)))
    return found


def _by_month(b: Book, plan: Plan, most: Quantity, fresh: Quantity) -> Quantity:
    """Bones processed [kg a year] and whole batches by month; above a twelfth of the capacity they are passed on.

    Batches are loads begun since January, rounded up, so that they are whole in every month and in the year. In
    step with an even year, a load may straddle two months, and twelve even months need the batches of the even
    year. After a month without bones nothing straddles: the load begun before it was processed as a part load.
    """
    shares = _shares(b, plan)
    begun, so_far, fired, supplied, weighed = 0.0, 0.0, [], [], []
    keeping = b.line("keeping_per_month", b["kiln.weeks_per_year"] * 7 / b["bones.storage_days"] / 12)
    for m, (month, share) in enumerate(zip(MONTHS, shares, strict=True), start=1):
        offered = b.line(f"month_{m}_offered_kg", b["bones_received_kg"] * share)
        out = b.line(f"month_{m}_excluded_kg", b["bones_excluded_kg"] * share)
        wanted = times(b, offered - out, "kiln.bones_share")
        burnt = b.line(f"month_{m}_fired_kg", np.minimum(wanted, b["kiln_capacity_kg"] / 12))
        b.line(f"month_{m}_passed_on_kg", offered - out - burnt)
        some = b.line(f"month_{m}_supplied", above(burnt, 0))
        loads = b.line(f"month_{m}_loads", np.minimum(np.maximum(burnt / fresh, keeping * some), most / 12))
        if m > 1:
            rest = np.maximum(np.ceil(so_far - WHOLE) - so_far, 0) * (1 - some)
            so_far = b.line(f"month_{m}_carried", so_far + rest)
        so_far = b.line(f"month_{m}_loads_so_far", so_far + loads)
        before = begun
        begun = b.line(f"month_{m}_begun", np.minimum(np.ceil(so_far - WHOLE), most))
        firings = b.line(f"month_{m}_firings", begun - before)
        weighed.append((month, firings))
        fired.append(burnt)
        supplied.append(some)
    b.line("firings_per_year", begun)
    if plan.weather:  # batches, each counted by the fuel factor of its month
        counted = (times(b, firings, f"weather.{month}_factor") for month, firings in weighed)
        each = [b.line(f"month_{m}_fuel_firings", one) for m, one in enumerate(counted, start=1)]
        _of_months(b, "firings_by_weather", each)
    all_fired = _of_months(b, "bones_fired_kg", fired)
    _forced(b, all_fired, _of_months(b, "months_supplied", supplied))
    return all_fired


def _shares(b: Book, plan: Plan) -> list[Quantity]:
    """The share of each month in the year's bones; typed shares are scaled to add up to 1."""
    if not plan.seasonal:
        return [1 / 12] * 12
    typed = [b[f"supply.{month}_share"] for month in MONTHS]
    whole = _of_months(b, "supply_total", typed)
    return [b.line(f"month_{m}_share", share / whole) for m, share in enumerate(typed, start=1)]


def _of_months(b: Book, name: str, months: list[Quantity]) -> Quantity:
    """The sum of twelve months, with a step at the end of June."""
    half = b.line(f"{name}_to_june", total(months[:6]))
    return b.line(name, half + total(months[6:]))
