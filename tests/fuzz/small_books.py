"""Scenario workbooks as small as a reader accepts: the filled rows of an invented plant and nothing else."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable
from dataclasses import replace

import xlsxwriter
from plants import BARE

from econ.inputs.examples import NAMES, Example, example
from econ.inputs.records import Typed
from econ.inputs.rows import Row
from econ.inputs.schema import EDITION, sheets, table_plans
from econ.workbook.template import EDITION_MARK

HEADINGS = ("Key", "Value", "Low", "High", "Unit", "How known")


def small_book(plant: Example, tables: bool = False, only: Callable[[Row], bool] | None = None) -> bytes:
    """The rows of a plant that are filled (and that `only` picks), under the shortest headings."""
    target = io.BytesIO()
    book = xlsxwriter.Workbook(target, {"in_memory": True, "strings_to_formulas": False})
    for number, plan in enumerate(sheets()):
        wanted = [row for section in plan.sections for row in section.rows if row.key in plant.rows]
        if plan.late and not wanted:
            continue
        sheet = book.add_worksheet(plan.name)
        if not number:
            sheet.write(0, 0, f"{EDITION_MARK} {EDITION}")
        sheet.write_row(1, 0, HEADINGS)
        for at, row in enumerate((row for row in wanted if only is None or only(row)), start=2):
            typed = plant.rows[row.key]
            sheet.write_row(at, 0, (row.key, typed.value, typed.low, typed.high, typed.unit, typed.known))
    if tables:
        _write_tables(book, plant)
    book.close()
    return target.getvalue()


def _write_tables(book: xlsxwriter.Workbook, plant: Example) -> None:
    """Every table of the plant: units, keys, and its first two lines."""
    for name, plan in table_plans().items():
        if name not in plant.tables:
            continue
        typed, sheet = plant.tables[name], book.add_worksheet(plan.sheet)
        keys = list(plan.by_key)
        sheet.write_row(0, 0, [str(typed.units.get(key) or "") for key in keys])
        sheet.write_row(1, 0, keys)
        for at, line in enumerate(typed.lines[:2], start=2):
            sheet.write_row(at, 0, [_plain(line.cells.get(key)) for key in keys])


def _plain(item: object) -> object:
    return item if item is None or isinstance(item, int | float | str) else str(item)


def small_books() -> Iterable[tuple[str, bytes]]:
    """Named small workbooks: the least a reader takes, a whole plant, one with tables, one without numbers."""
    rows = {key: Typed(value=value, unit=unit, where=key) for key, (value, unit) in BARE.items()}
    bare = replace(example(NAMES[0]), rows=rows)
    yield "bare", small_book(bare)
    yield "with-tables", small_book(bare, tables=True)
    yield "whole", small_book(example(NAMES[1]))
    yield "words-only", small_book(example(NAMES[1]), only=lambda row: not row.is_number)
