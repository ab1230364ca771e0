"""The scenario taken back out of a results workbook, with what somebody changed there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from econ.errors import FileRefused
from econ.harmless import one_line
from econ.inputs.records import Typed, is_empty
from econ.inputs.rows import KNOWN
from econ.inputs.schema import rows
from econ.workbook.read import grids_of, rows_of
from econ.workbook.read_tables import Grid
from econ.workbook.template import INPUTS_PAGE, write_template

AS_RUN = ("value as run", "unit as run", "low as run", "high as run")
CHANGED = "changed in the results workbook"
SWITCHES = ("log.use_", "assay.use_", "trials.use_")
"""Rows that take a figure out of a table; the results hold the figure, and not the table."""


def scenario_bytes(path: Path) -> tuple[bytes, list[str]]:
    """A scenario workbook with the inputs of a results workbook, and the labels of what was changed in that file.

    A default that nobody changed stays blank, so that it goes on being one. Raises FileRefused where the file is
    no results workbook.
    """
    grids, _, names = grids_of(path, (INPUTS_PAGE,))
    if INPUTS_PAGE not in grids:
        there = ", ".join(repr(one_line(name)) for name in names)
        raise FileRefused(f"{path.name} is no results workbook of kilncase: it holds the sheets {there}")
    typed, changed = _typed(grids[INPUTS_PAGE])
    currency = str(typed.get("plant.currency", Typed()).value or "USD")
    title = one_line(str(typed.get("plant.name", Typed()).value or ""))
    content = write_template(_system(typed, currency), currency, typed, title)
    return content, [rows()[key].label for key in changed]


def _typed(grid: Grid) -> tuple[dict[str, Typed], list[str]]:
    """Every row that was typed, or changed in the results, and the keys of the latter."""
    found: dict[str, Typed] = {}
    changed = []
    for (key, typed), kept in zip(rows_of(INPUTS_PAGE, grid), _as_run(grid), strict=True):
        if key not in rows() or is_empty(typed.value) or key.startswith(SWITCHES):
            continue
        now = (typed.value, typed.unit, typed.low, typed.high)
        differs = rows()[key].kind != "text" and not _same(now, kept)
        if differs:
            changed.append(key)
        elif str(typed.known).startswith("default") or _is_default_choice(key, typed):
            continue
        found[key] = _tidy(typed, differs)
    return found, changed


def _is_default_choice(key: str, typed: Typed) -> bool:
    found = rows()[key].option(str(typed.value)) if rows()[key].kind == "choice" else None
    return found is not None and found.slug == rows()[key].default


def _tidy(typed: Typed, differs: bool) -> Typed:
    """How known only where it is one of the words of the scenario; a change says that it is one.

    A range that does not hold the changed value is left out, as with --set.
    """
    known = typed.known if typed.known in KNOWN and not differs else None
    found = replace(typed, known=known, remark=CHANGED if differs else None)
    ends = (typed.low, typed.value, typed.high)
    numbers = [end for end in ends if isinstance(end, int | float)]
    return replace(found, low=None, high=None) if differs and numbers != sorted(numbers) else found


def _as_run(grid: Grid) -> Iterator[tuple[Any, ...]]:
    """Value, unit, low and high of the run, row by row of those with a key."""
    columns: Mapping[str, int] = {}
    for row in grid:
        heads = {str(item).lower(): place for place, item in enumerate(row) if isinstance(item, str)}
        if {"key", *AS_RUN} <= heads.keys():
            columns = heads
        elif columns and _cell(row, columns["key"]) is not None:
            yield tuple(_cell(row, columns[name]) for name in AS_RUN)


def _cell(row: tuple[Any, ...], place: int) -> Any:
    return row[place] if place < len(row) and not is_empty(row[place]) else None


def _same(now: tuple[Any, ...], kept: tuple[Any, ...]) -> bool:
    return all((None if is_empty(one) else one) == other for one, other in zip(now, kept, strict=True))


def _system(typed: Mapping[str, Typed], currency: str) -> str:
    """US or metric, by the unit of the bones."""
    us = rows()["bones.1.mass"].start_unit("us", currency)
    return "us" if us is not None and typed.get("bones.1.mass", Typed()).unit == us.name else "metric"
