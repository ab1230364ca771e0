"""Reading the data tables of a workbook, or of a csv file named in place of a sheet."""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from xlsxwriter.utility import xl_col_to_name

from econ.errors import FileRefused, InputFault, InputFaults
from econ.inputs.records import Caution, TypedLine, TypedTable, is_empty
from econ.inputs.rows import TablePlan, plain
from econ.inputs.schema import table_plans
from econ.workbook.guards import content_of


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


def _table(plan: TablePlan, grid: Grid, cautions: list[Caution], added: int = 0) -> TypedTable:
    """`added` rows of the grid are none of the file: a place is named as the file counts."""
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
            where = {key: _address(plan, place, number - added) for key, place in places.items()}
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


def tables_of_csv(named: Sequence[str]) -> tuple[dict[str, TypedTable], list[Caution]]:
    """Tables from csv files named "Sheet=file.csv": the sheet saved as csv, or headings over lines.

    A heading is the label of a column, its key or the last word of it, with its unit in brackets, as in
    "Char delivered [lb]". UTF-8, commas, semicolons or tabs. Raises FileRefused or InputFaults.
    """
    found: dict[str, TypedTable] = {}
    cautions: list[Caution] = []
    for item in named:
        sheet, _, name = item.partition("=")
        plan = next((one for one in table_plans().values() if plain(one.sheet) == plain(sheet)), None)
        if plan is None or not name:
            names = ", ".join(one.sheet for one in table_plans().values())
            raise InputFaults([InputFault("--csv", repr(item[:60]), f"Give SHEET=FILE.csv with one of: {names}")])
        grid, added = _csv_grid(Path(name), plan)
        found[plan.name] = _table(replace(plan, sheet=Path(name).name), grid, cautions, added)
    return found, cautions


def _csv_grid(path: Path, plan: TablePlan) -> tuple[Grid, int]:
    """The rows of a csv file; headings in words become a row of units and a row of keys, so one more than it has.

    Parted by what its first line that is parted at all has most of: numbers and words may hold commas.
    """
    try:
        lines = content_of(path).decode("utf-8-sig").splitlines()
        counts = ({mark: line.count(mark) for mark in ",;\t"} for line in lines[:HEAD_ROWS])
        marks = next(filter(lambda found: any(found.values()), counts), {",": 0})
        cut = list(csv.reader(lines, delimiter=max(marks, key=lambda mark: marks[mark]), strict=True))
    except (UnicodeDecodeError, csv.Error):
        raise FileRefused(f"{path.name} is no csv table in UTF-8; save it as one") from None
    if not cut or any(len(plan.by_key.keys() & set(row)) > 1 for row in cut[1:HEAD_ROWS]):
        return [tuple(row) for row in cut], 0
    names = {plain(text): key for key, row in plan.by_key.items()
             for text in (key, key.rpartition(".")[2], row.label)}  # fmt: skip
    heads = [cell.strip().removesuffix("]").partition(" [") for cell in cut[0]]
    return [
        tuple(unit for _, _, unit in heads),
        tuple(names.get(plain(name), f"{plan.name}.{name}") for name, _, _ in heads),
        *(tuple(row) for row in cut[1:]),
    ], 1
