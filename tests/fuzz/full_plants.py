"""A plant in which as many rows of the schema as can stand together are filled, made from the schema alone."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from typed_rows import shown, units_of

from econ.errors import InputFaults
from econ.inputs.build import build
from econ.inputs.records import Typed
from econ.inputs.rows import Row
from econ.inputs.schema import sheets

ROUNDS = 6
NAMES_A_ROW = ("ranges", "together")
PARTS = {"supply.": 1 / 12, ".share_today": 1 / 8}
"""Shares that must add up to the whole: months, ways in the mix."""


@cache
def full_rows(base: tuple[tuple[str, Typed], ...]) -> dict[str, Typed]:
    """The rows of a plant, and those of every section that fit beside them."""
    rows = dict(base)
    for plan in sheets():
        for section in plan.sections:
            rows |= _fitting(rows, {row.key: _usual(row) for row in section.rows if row.key not in rows})
    return rows


def _fitting(rows: Mapping[str, Typed], more: dict[str, Typed]) -> dict[str, Typed]:
    """What of `more` makes no fault beside `rows`."""
    for _ in range(ROUNDS if more else 0):
        try:
            build({**rows, **more})
        except InputFaults as several:
            faulty = {fault.where for fault in several.faults}
            more = {key: typed for key, typed in more.items() if key not in faulty}
        else:
            return more
    return {}


def _usual(row: Row) -> Typed:
    """The default of a row, its first choice, or a modest value between its bounds."""
    if not row.is_number:
        word = row.default or (row.choices[0].slug if row.choices else "a name")
        return Typed(None if row.key.startswith(NAMES_A_ROW) and not row.choices else word, where=row.key)
    unit = units_of(row)[0]
    if isinstance(row.default, int | float):
        value: float = row.default
    else:
        modest = next((part for word, part in PARTS.items() if word in row.key), 0.1 if row.highest <= 1 else 1.0)
        value = shown(modest if row.lowest < modest <= row.highest else row.highest / 2, unit, row.kind == "whole")
    return Typed(value, unit=unit.short if unit else None, where=row.key)
