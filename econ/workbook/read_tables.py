"""Reading the data tables of a workbook."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from xlsxwriter.utility import xl_col_to_name

from econ.errors import InputFault, InputFaults
from econ.inputs.records import Caution, TypedLine, TypedTable, is_empty
from econ.inputs.rows import TablePlan
from econ.inputs.schema import table_plans


class Percent(float):
    """A number whose cell is formatted as a percentage."""


def as_shown(item: object, unit: object) -> object:
    """A cell's content; a percentage as a person sees it where the unit beside or above it is per cent."""
    if not isinstance(item, Percent):
        return item
    in_percent = isinstance(unit, str) and unit.strip().startswith("%")
    return float(item) * 100 if in_percent else float(item)


Grid = list[tuple[Any, ...]]

HEAD_ROWS = 30
"""The row of keys stands within so many rows from the top."""


def typed_tables(grids: Mapping[str, Grid]) -> tuple[dict[str, TypedTable], list[Caution]]:
    """Every table whose sheet is there; a workbook without the sheet has no such data.

    Raises InputFaults for a sheet without its row of keys.
    """
    found: dict[str, TypedTable] = {}
    cautions: list[Caution] = []
    for name, plan in table_plans().items():
        if plan.sheet in grids:
            found[name] = _table(plan, grids[plan.sheet], cautions)
    return found, cautions


def _table(plan: TablePlan, grid: Grid, cautions: list[Caution]) -> TypedTable:
    at, places = _keys(plan, grid, cautions)
    above = grid[at - 1] if at else ()
    units = {key: above[place] if place < len(above) else None for key, place in places.items()}
    lines = []
    for number in range(at + 1, len(grid)):
        row = grid[number]
        content = {
            key: as_shown(row[place], units[key]) if place < len(row) else None for key, place in places.items()
        }
        if any(not is_empty(item) for item in content.values()):
            where = {key: _address(plan, place, number) for key, place in places.items()}
            lines.append(TypedLine(content, where))
    return TypedTable(units, tuple(lines), {key: _address(plan, place, at - 1) for key, place in places.items()})


def _keys(plan: TablePlan, grid: Grid, cautions: list[Caution]) -> tuple[int, dict[str, int]]:
    """The row of keys and where each column stands; columns may be moved or left out."""
    for at, row in enumerate(grid[:HEAD_ROWS]):
        texts = {place: item.strip() for place, item in enumerate(row) if isinstance(item, str)}
        keys = [(key, place) for place, key in texts.items() if key in plan.by_key]
        if len(keys) < 2:
            continue
        twice = [key for key, _ in keys if [name for name, _ in keys].count(key) > 1]
        if twice:
            raise InputFaults([InputFault(plan.sheet, f"the column {twice[0]!r} twice", "Keep one of the two")])
        for place, text in texts.items():
            if text.startswith(f"{plan.name}.") and text not in plan.by_key:
                cautions.append(
                    Caution("unknown-column", f"The column {text[:60]!r} is not known and was not read.",
                            _address(plan, place, at))
                )  # fmt: skip
        return at, dict(keys)
    raise InputFaults([InputFault(plan.sheet, "no row of column keys", "Put back the headings of the blank")])


def _address(plan: TablePlan, place: int, row: int) -> str:
    return f"{plan.sheet}!{xl_col_to_name(place)}{row + 1}"
