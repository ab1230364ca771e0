"""Reads a scenario workbook into typed rows; says what it found where, never guesses."""

from __future__ import annotations

import csv as csv_files
import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from xlsxwriter.utility import xl_col_to_name

from econ.errors import FileRefused, InputFault, InputFaults
from econ.fields import field, record, replace
from econ.harmless import one_line
from econ.inputs.build import build
from econ.inputs.put_over import put_over
from econ.inputs.records import Caution, ErrorCell, Scenario, Typed, TypedLine, TypedTable, Uncalculated, is_empty
from econ.inputs.rows import TablePlan, plain
from econ.inputs.schema import EDITION, RETIRED, older, place_words, rows, sheets, table_plans
from econ.workbook.guards import bounded_rows, content_of, has_formulas, opening
from econ.workbook.package_parts import shown
from econ.workbook.template import EDITION_MARK, INPUTS_PAGE
from econ.workbook.template_tables import LISTS

COLUMN_OF = {name: name for name in ("value", "low", "high", "unit", "remark", "key")}
COLUMN_OF |= {"how known": "known", "where from": "source"}
"""Headings of the input sheets, and what each column holds."""
Grid = list[tuple[Any, ...]]
KEYLESS = "A number in a row without a key was not read: use a row of the blank workbook."
HEAD_ROWS = 30
"""The row of headings, or of keys, stands within so many rows from the top."""


class Percent(float):
    """A number whose cell is formatted as a percentage."""


def as_shown(item: object, unit: object) -> object:
    """A cell's content; a percentage as a person sees it where the unit beside or above it is per cent."""
    in_percent = isinstance(unit, str) and unit.strip().startswith("%")
    return item if not isinstance(item, Percent) else float(item) * (100 if in_percent else 1)


@record(frozen=True, slots=True)
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
    names = [plan.name for plan in sheets()]
    grids, hidden, all_names = grids_of(path, (*names, *(plan.sheet for plan in table_plans().values())))
    late = {plan.name for plan in sheets() if plan.late and plan.name not in grids}
    here = [name for name in names if name not in late]
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
    cautions = [*_edition(grids[names[0]], path.name)]
    for name in here:
        for key, typed in rows_of(name, grids[name]):
            if key in RETIRED:
                continue
            if key not in rows():
                said = f"The key {key[:60]!r} is not known and was not read." if key else KEYLESS
                cautions.append(Caution("unknown-row", said, typed.where))
            elif key in typed_rows:
                raise InputFaults([InputFault(typed.where, f"the key {key!r} a second time", "Keep one")])
            else:
                typed_rows[key] = typed
    optional = (key for key, row in rows().items() if not row.required and row.sheet not in late)
    absent = [key for key in optional if key not in typed_rows]
    if absent:
        labels = "; ".join(place_words(key) for key in absent[:5]) + ("; ..." if len(absent) > 5 else "")
        rows_missing = "1 row is" if len(absent) == 1 else f"{len(absent)} rows are"
        cautions.append(Caution("missing-row", f"{rows_missing} missing; defaults are used ({labels})."))
    odd: list[Caution] = []
    plans = {name: plan for name, plan in table_plans().items() if plan.sheet in grids}
    tables = {name: _table(plan, grids[plan.sheet], odd) for name, plan in plans.items()}
    if others := [repr(one_line(name)) for name in all_names if name not in (*grids, LISTS)]:
        there = ", ".join(others[:5])
        said = f"Not read, for no sheet of the blank workbook has that name: {there}. Rename what holds inputs."
        cautions.append(Caution("sheet-not-read", said))
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
    with opening(path) as data:
        import openpyxl

        book = openpyxl.load_workbook(data, read_only=True, data_only=values, keep_links=False)
        ours = [sheet for sheet in book.worksheets if sheet.title in wanted]
        grids = {
            sheet.title: [tuple(_content(cell, values) for cell in row) for row in bounded_rows(sheet)]
            for sheet in ours
        }
        return grids, [sheet.title for sheet in ours if sheet.sheet_state != "visible"], list(book.sheetnames)


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
        marks = {column: mark for column, mark in enumerate(row) if isinstance(mark, Uncalculated)}
        if marks:
            cells = [*grid[at], *[None] * (max(marks) + 1 - len(grid[at]))]
            grid[at] = tuple(marks.get(at) if item is None else item for at, item in enumerate(cells))


def _edition(grid: Grid, name: str) -> Iterator[Caution]:
    texts = [item for row in grid[:12] for item in row if isinstance(item, str)]
    number = next(
        (item.removeprefix(EDITION_MARK).strip() for item in texts if item.startswith(EDITION_MARK)), None
    )
    if number is None:
        yield Caution("no-edition", "The first sheet does not say which schema edition it was made for.")
        return
    known = int(number) if re.fullmatch("[0-9]{1,6}", number) else EDITION
    if known > EDITION:
        asked = f"Update kilncase: this one reads edition {EDITION} and older"
        raise InputFaults([InputFault(name, f"schema edition {number}", asked)])
    if known < EDITION:
        yield older(known)


def rows_of(sheet: str, grid: Grid) -> Iterator[tuple[str, Typed]]:
    """Key and typed row of every line of a sheet that has a key, or a number without one."""
    columns, first = _heading(sheet, grid)
    starts = {name: f"{sheet}!{xl_col_to_name(place)}" for name, place in columns.items()}
    for at, row in enumerate(grid[first:], start=first + 1):
        cells = {name: row[place] for name, place in columns.items() if place < len(row)}
        key = cells.pop("key", None)
        if not isinstance(key, str) or not key.strip():
            if not isinstance(cells.get("value"), int | float):
                continue
            key = ""
        addresses = {name: f"{start}{at}" for name, start in starts.items()}
        unit = cells.get("unit") if key.strip() in rows() else None  # a percentage as a person sees it
        cells |= {name: as_shown(cells.get(name), unit) for name in ("value", "low", "high")}
        yield key.strip(), Typed(**cells, where=addresses["value"], cells=addresses)


def _heading(sheet: str, grid: Grid) -> tuple[dict[str, int], int]:
    """Where each column stands, and the first row under the headings."""
    for at, row in enumerate(grid[:HEAD_ROWS]):
        texts = {item.strip().lower(): place for place, item in enumerate(row) if isinstance(item, str)}
        names = {COLUMN_OF[text]: place for text, place in texts.items() if text in COLUMN_OF}
        if {"key", "value"} <= names.keys():
            return names, at + 1
    raise InputFaults(
        [InputFault(sheet, "no headings 'Value' and 'Key'", "Put back the headings of the blank workbook")]
    )


def _table(plan: TablePlan, grid: Grid, cautions: list[Caution], added: int = 0) -> TypedTable:
    """A table of a sheet; raises InputFaults for one without its row of keys.

    `added` rows of the grid are none of the file: a place is named as the file counts.
    """
    at, places = _keys(plan, grid, cautions)
    above = grid[at - 1] if at else ()
    units = {key: above[place] if place < len(above) else None for key, place in places.items()}
    lines = []
    for number, row in enumerate(grid[at + 1 :], start=at + 1):
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
                said = f"The column {text[:60]!r} is not known and was not read."
                cautions.append(Caution("unknown-column", said, _address(plan, place, at)))
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
        cut = list(csv_files.reader(lines, delimiter=max(marks, key=lambda mark: marks[mark]), strict=True))
    except (UnicodeDecodeError, csv_files.Error):
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
