"""Reads a scenario workbook into typed rows; says what it found where, never guesses."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from xlsxwriter.utility import xl_col_to_name

from econ.errors import FileRefused, InputFault, InputFaults
from econ.harmless import one_line
from econ.inputs.build import build
from econ.inputs.put_over import put_over
from econ.inputs.records import Caution, ErrorCell, Scenario, Typed, TypedTable, Uncalculated
from econ.inputs.schema import (
    EDITION,
    RETIRED,
    older,
    place_words,
    rows,
    sheet_names,
    sheets,
    table_plans,
    table_sheets,
)
from econ.workbook.guards import bounded_rows, has_formulas, opening
from econ.workbook.package_parts import shown
from econ.workbook.read_tables import Grid, Percent, as_shown, tables_of_csv, typed_tables
from econ.workbook.template import EDITION_MARK, INPUTS_PAGE

COLUMN_OF = {
    "value": "value",
    "low": "low",
    "high": "high",
    "unit": "unit",
    "how known": "known",
    "where from": "source",
    "remark": "remark",
    "key": "key",
}
"""Headings of the input sheets, and what each column holds."""


@dataclass(frozen=True, slots=True)
class TypedBook:
    """All rows and tables of a scenario workbook as typed, and cautions of the reading."""

    rows: Mapping[str, Typed]
    warnings: tuple[Caution, ...] = ()
    tables: Mapping[str, TypedTable] = field(default_factory=dict)


def read_scenario(path: str | Path, sets: Iterable[str] = (), csv: Sequence[str] = ()) -> Scenario:
    """The scenario of a workbook, with `sets` such as "kiln.price=42000 USD" put over it.

    `csv` names files in place of sheets of tables, as "Kiln log=log.csv".

    Raises FileRefused for a file that is missing, unsafe or no workbook, InputFaults with every fault of
    its cells otherwise.
    """
    book = read_typed(Path(path))
    typed, cautions = put_over(book.rows, sets)
    tables, said = tables_of_csv(csv)
    scenario = build(typed, warnings=(*book.warnings, *cautions, *said), tables={**book.tables, **tables})
    return scenario if scenario.name else replace(scenario, name=one_line(Path(path).stem))


def read_typed(path: Path) -> TypedBook:
    """The typed rows of a workbook; raises FileRefused, or InputFaults where sheets are missing."""
    grids, hidden, all_names = grids_of(path, (*sheet_names(), *table_sheets()))
    late = {plan.name for plan in sheets() if plan.late and plan.name not in grids}
    here = [name for name in sheet_names() if name not in late]
    missing = [name for name in here if name not in grids]
    if missing and INPUTS_PAGE in all_names:
        raise FileRefused(
            f"{shown(path.name)} is a results workbook; take the scenario out of it first, with what was changed"
            f" there: kilncase blank NEW.xlsx --from {shown(path.name)}"
        )
    if missing:
        there = ", ".join(repr(one_line(name)[:40]) for name in all_names[:20]) or "no sheets"
        found = f"no sheet {', '.join(repr(name) for name in missing)} (there are: {there})"
        raise InputFaults([InputFault(path.name, found, "Give a scenario workbook made by 'kilncase blank'")])
    typed_rows: dict[str, Typed] = {}
    cautions = [*_edition(grids[sheet_names()[0]], path.name)]
    for name in here:
        for key, typed in rows_of(name, grids[name]):
            if key in RETIRED:
                continue
            if key not in rows():
                cautions.append(
                    Caution("unknown-row", f"The key {key[:60]!r} is not known and was not read.", typed.where)
                )
            elif key in typed_rows:
                raise InputFaults([InputFault(typed.where, f"the key {key!r} a second time", "Keep one")])
            else:
                typed_rows[key] = typed
    absent = [
        key for key, row in rows().items() if key not in typed_rows and not row.required and row.sheet not in late
    ]
    if absent:
        labels = "; ".join(place_words(key) for key in absent[:5]) + ("; ..." if len(absent) > 5 else "")
        rows_missing = "1 row is" if len(absent) == 1 else f"{len(absent)} rows are"
        cautions.append(Caution("missing-row", f"{rows_missing} missing; defaults are used ({labels})."))
    tables, odd = typed_tables(grids)
    for name in hidden:  # one that holds nothing is hidden as it came
        typed_there = [typed for typed in typed_rows.values() if typed.where.startswith(f"{name}!")]
        lines = [line for key, plan in table_plans().items() if plan.sheet == name for line in tables[key].lines]
        if lines or not all(typed.is_blank for typed in typed_there):
            said = f"The sheet {name!r} is hidden, and was read all the same: unhide it."
            cautions.append(Caution("hidden-sheet", said, name))
    return TypedBook(typed_rows, (*cautions, *odd), tables)


def grids_of(path: Path, wanted: Collection[str]) -> tuple[dict[str, Grid], list[str], list[str]]:
    """The wanted sheets as rows of cells, those hidden, all names; formulas never calculated are marked."""
    grids, hidden, names = _load(path, wanted, values=True)
    if has_formulas(path, wanted):
        formulas, *_ = _load(path, wanted, values=False)
        for name, grid in grids.items():
            _mark_uncalculated(grid, formulas.get(name, []))
    return grids, hidden, names


def _load(path: Path, wanted: Collection[str], values: bool) -> tuple[dict[str, Grid], list[str], list[str]]:
    with opening(path) as data, _choices_passed_over():
        import openpyxl

        book = openpyxl.load_workbook(data, read_only=True, data_only=values, keep_links=False)
        ours = [sheet for sheet in book.worksheets if sheet.title in wanted]
        grids = {
            sheet.title: [tuple(_content(cell, values) for cell in row) for row in bounded_rows(sheet)]
            for sheet in ours
        }
        return grids, [sheet.title for sheet in ours if sheet.sheet_state != "visible"], list(book.sheetnames)


@contextmanager
def _choices_passed_over() -> Iterator[None]:
    """No lists of choices are made of the sheets: there are 1,800 and nobody asks for them."""
    from openpyxl.worksheet import _reader

    kept = _reader.DataValidationList
    _reader.DataValidationList = SimpleNamespace(from_tree=lambda _: None)
    try:
        yield
    finally:
        _reader.DataValidationList = kept


def _content(cell: Any, values: bool) -> Any:
    """What a cell holds: errors marked, percentages as (shown number, "%") left to the row to read."""
    if cell.value is None:
        return None
    if cell.data_type == "e":
        return ErrorCell(cell.value)
    if not values:
        return Uncalculated() if cell.data_type == "f" else None
    if cell.data_type == "n" and "%" in str(cell.number_format or "") and isinstance(cell.value, int | float):
        return Percent(float(cell.value))
    return cell.value


def _mark_uncalculated(grid: Grid, formulas: Grid) -> None:
    for at, row in enumerate(formulas[: len(grid)]):
        marks = {column for column, item in enumerate(row) if isinstance(item, Uncalculated)}
        if marks:
            width = max(len(grid[at]), max(marks) + 1)
            cells = [*grid[at], *([None] * (width - len(grid[at])))]
            grid[at] = tuple(
                Uncalculated() if column in marks and item is None else item for column, item in enumerate(cells)
            )


def _edition(grid: Grid, name: str) -> Iterator[Caution]:
    for row in grid[:12]:
        for item in row:
            if isinstance(item, str) and item.startswith(EDITION_MARK):
                number = item.removeprefix(EDITION_MARK).strip()
                known = int(number) if re.fullmatch("[0-9]{1,6}", number) else EDITION
                if known > EDITION:
                    asked = f"Update kilncase: this one reads edition {EDITION} and older"
                    raise InputFaults([InputFault(name, f"schema edition {number}", asked)])
                if known < EDITION:
                    yield older(known)
                return
    yield Caution("no-edition", "The first sheet does not say which schema edition it was made for.")


def rows_of(sheet: str, grid: Grid) -> Iterator[tuple[str, Typed]]:
    """Key and typed row of every line of a sheet that has a key."""
    columns, first = _heading(sheet, grid)
    for at, row in enumerate(grid[first:], start=first + 1):
        cells = {name: row[place] for name, place in columns.items() if place < len(row)}
        key = cells.pop("key", None)
        if not isinstance(key, str) or not key.strip():
            continue
        addresses = {name: f"{sheet}!{xl_col_to_name(place)}{at}" for name, place in columns.items()}
        unit = cells.get("unit") if key.strip() in rows() else None  # a percentage as a person sees it
        cells |= {name: as_shown(cells.get(name), unit) for name in ("value", "low", "high")}
        yield key.strip(), Typed(**cells, where=addresses["value"], cells=addresses)


def _heading(sheet: str, grid: Grid) -> tuple[dict[str, int], int]:
    """Where each column stands, and the first row under the headings."""
    for at, row in enumerate(grid[:30]):
        names = {
            COLUMN_OF[item.strip().lower()]: place
            for place, item in enumerate(row)
            if isinstance(item, str) and item.strip().lower() in COLUMN_OF
        }
        if {"key", "value"} <= names.keys():
            return names, at + 1
    asked = "Put back the headings of the blank workbook"
    raise InputFaults([InputFault(sheet, "no headings 'Value' and 'Key'", asked)])
