"""Faults and cautions on fuel, hours, clock and months: rows that must fit each other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from econ import evidence
from econ.errors import InputFault
from econ.inputs.records import Caution, Entry, Typed, instances
from econ.inputs.rows import MONTHS
from econ.inputs.schema import rows
from econ.units import unit

Entries = Mapping[str, Entry]

CYCLE = tuple(f"cycle.{part}_hours" for part in ("load", "fire", "cool", "empty"))
CREW = ("shift.days_per_week", "shift.hours_per_day")


def excused(typed: Mapping[str, Typed]) -> frozenset[str]:
    """Required rows that may stay empty because others stand in for them.

    The fuel of a batch where the modelled fuel is asked for; the hours of a batch where tasks are given; the
    hauler's contract where the saving is typed, its amount by weight where one by barrel or head is.
    """
    found = set()
    basis = typed.get("fuel.basis", Typed()).value
    option = rows()["fuel.basis"].option(basis) if isinstance(basis, str) else None
    if option is not None and option.slug == "modelled":
        found.add("fuel.1.per_batch")
    if any(key.startswith("task.") and key.endswith(".hours") and not row.is_blank for key, row in typed.items()):
        found.add("labour.hours_per_batch")
    filled = {key for key in (*CONTRACT, "current.saving") if key in typed and not typed[key].is_blank}
    if "current.saving" in filled:
        found |= {"contract.fixed", "contract.per_mass"}
    if "contract.per_piece" in filled:
        found.add("contract.per_mass")
    return frozenset(found)


CONTRACT = ("contract.fixed", "contract.per_mass", "contract.per_piece")
"""The amounts of a hauler's contract: with any of them the saving is computed where none is typed."""


def faults(entries: Entries) -> Iterator[InputFault]:
    """Every contradiction between the rows of a firing."""
    yield from _fuel_faults(entries)
    yield from _power_faults(entries)
    yield from _month_faults(entries)
    yield from _clock_faults(entries)
    yield from _task_faults(entries)


def warnings(entries: Entries) -> Iterator[Caution]:
    """Cautions that the typed rows of a firing alone call for."""
    number = entries["kiln.number"]
    if (number.value or 1) != 1:
        yield Caution(
            "several-kilns",
            f"{number.number:.0f} kilns: load and batches a week are taken as those of each, price, "
            "installation and life as those of all of them together.",
            number.where,
        )
    core = entries["kiln.core_share"]
    if core.value is not None and core.number < 1:
        yield Caution(
            "core-unfinished",
            f"{1 - core.number:.0%} of a charge does not reach the peak temperature: it is counted as fired "
            "again, which takes room, fuel and hours. Keep it out of what is sold.",
            core.where,
        )


def measures(entry: Entry, kind: str, place: int) -> Iterator[InputFault]:
    """A fault where a fuel is counted or priced in a measure that is not its own."""
    if entry.unit is None:
        return
    measure = unit(evidence.fuel(kind).measure)
    part = entry.unit.short.split(" per ")[place]
    alien = (part == "cord" and kind != "cordwood") or (part == "therm gas" and kind != "natural-gas")
    if entry.unit.dimension.split("/")[place] != measure.dimension or alien:
        yield InputFault(
            entry.where,
            f"{kind} in {entry.unit.name}",
            f"a measure of {measure.dimension}, as {measure.name}",
        )


def _fuel_faults(entries: Entries) -> Iterator[InputFault]:
    """Each fuel needs kind and price, in a measure of its own; the first may be left to the model."""
    for n in sorted({1, *instances(entries, "fuel", "per_batch")}):
        kind, per_batch, price = (entries[f"fuel.{n}.{word}"] for word in ("kind", "per_batch", "price"))
        missing = [entry for entry in (kind, price) if entry.value is None]
        for entry in missing:
            yield InputFault(entry.place, f"an empty cell for {entry.row.label!r}", "a value")
        if missing:
            continue
        if per_batch.value is not None:
            yield from measures(per_batch, str(kind.value), 0)
        yield from measures(price, str(kind.value), 1)


def _power_faults(entries: Entries) -> Iterator[InputFault]:
    kinds = {entries[f"fuel.{n}.kind"].value for n in instances(entries, "fuel", "price")}
    for key in ("power.fan_per_firing", "power.grinder_per_char"):
        entry = entries[key]
        if entry.value and "electricity" not in kinds:
            yield InputFault(
                entry.where,
                f"{entry.row.label!r} and no electricity among the fuels",
                "electricity as fuel 2 or 3 with its price; type 0 for its fuel of one batch",
            )


def _month_faults(entries: Entries) -> Iterator[InputFault]:
    typed = [entry for month in MONTHS if (entry := entries[f"supply.{month}_share"]).value is not None]
    total = math.fsum(entry.number for entry in typed)
    if typed and len(typed) < len(MONTHS):
        yield InputFault(typed[0].where, f"shares of {len(typed)} months of 12", "all twelve months, or none")
    elif typed and not math.isclose(total, 1.0, abs_tol=0.02):
        yield InputFault(typed[0].where, f"shares of the months that add up to {total:.1%}", "98 to 102 %")


def _clock_faults(entries: Entries) -> Iterator[InputFault]:
    for keys, words in ((CYCLE, "all four clock hours"), (CREW, "days and hours of a crew")):
        group = [entries[key] for key in keys]
        typed = [entry for entry in group if entry.value is not None]
        if typed and len(typed) < len(group):
            yield InputFault(typed[0].where, f"{len(typed)} of {len(group)} rows", f"{words}, or none")
    clock = [entries[key] for key in CYCLE]
    shift = entries["shift.hours_per_day"]
    if all(entry.value is not None for entry in clock):
        load, fire, cool, empty = (entry.number for entry in clock)
        if load + fire + cool + empty <= 0:
            yield InputFault(clock[0].where, "a batch of 0 hours", "the hours that it takes by the clock")
        if shift.value is not None and load + fire + empty > shift.number + 1e-9:
            yield InputFault(
                shift.where,
                f"{load + fire + empty:g} attended hours of a batch and {shift.number:g} hours with a crew",
                "a crew for as long as loading, fire and emptying last; cooling may run unattended",
            )
    elif shift.value is not None:
        yield InputFault(shift.where, "hours of a crew without the hours of a batch", "the four clock hours too")


def _task_faults(entries: Entries) -> Iterator[InputFault]:
    first = entries["task.1.hours"]
    others = (entries["task.1.name"], entries["task.1.people"])
    if first.value is None and any(entry.value is not None for entry in others):
        yield InputFault(first.where, f"an empty cell for {first.row.label!r}", "a number")
