"""Ranges of numbers that came without one: by what they are and how they are known."""

from __future__ import annotations

from dataclasses import replace

from econ.evidence.default_ranges import default_range
from econ.inputs.records import Entry


def fill_ranges(entries: dict[str, Entry]) -> None:
    """Give every number that holds a value both ends; an end that was typed stays as typed.

    Whole numbers and choices in number's clothing are held. Zero stays zero where the range is a multiple.
    """
    choices = {key: entry.value for key, entry in entries.items() if isinstance(entry.value, str)}
    for key, entry in entries.items():
        if entry.row.is_number and entry.value is not None and (entry.low is None or entry.high is None):
            entries[key] = filled(entry, choices)


def filled(entry: Entry, choices: dict[str, str]) -> Entry:
    """The entry with both ends, within the bounds of its row."""
    value, row = entry.number, entry.row
    if row.fixed or row.kind == "whole":
        return replace(entry, low=value, high=value)
    found = default_range(row.key, entry.known, choices)
    low, high = found.ends(value)
    low, high = min(max(low, row.lowest), value), max(min(high, row.highest), value)
    if row.above_lowest and low <= row.lowest:
        low = value
    return replace(
        entry,
        low=low if entry.low is None else entry.low,
        high=high if entry.high is None else entry.high,
        range_by=found.label if low < high or found.measure == "held" else "",
    )
