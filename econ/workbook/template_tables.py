"""The sheets of data tables and the lists of choices of a blank workbook."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

from xlsxwriter.utility import xl_col_to_name

from econ.inputs.records import TypedTable
from econ.inputs.rows import Row, TablePlan
from econ.units import match
from econ.workbook.style import OCHRE, Styles, page, row_height


def shorten(text: str, most: int) -> str:
    """The text, cut at a word where it is longer than a message may be."""
    if len(text) <= most:
        return text
    return text[: most - 3].rsplit(" ", 1)[0].rstrip(",;:") + "..."


class Lists:
    """The hidden sheet of drop-down lists: names with commas do not fit into a validation itself."""

    def __init__(self, book: Any) -> None:
        self.sheet = book.add_worksheet("Lists")
        self.sheet.hide()
        self.made: dict[tuple[str, ...], str] = {}

    def validation(self, names: tuple[str, ...], strict: bool = True) -> dict[str, Any]:
        """A drop-down of names; not strict lets other words stand."""
        if names not in self.made:
            column = len(self.made)
            for at, name in enumerate(names):
                self.sheet.write_string(at, column, name)
            letter = xl_col_to_name(column)
            self.made[names] = f"=Lists!${letter}$1:${letter}${len(names)}"
        return {
            "validate": "list",
            "source": self.made[names],
            "error_type": "stop" if strict else "information",
            "error_title": "Choose from the list",
            "error_message": "Pick one of the choices of the drop-down.",
        }


HEADINGS, UNITS, KEYS, FIRST = 3, 4, 5, 6
WIDE = 110
"""So many units of width are printed on one page; wider tables on several, side by side."""
ON_PAPER = 20
"""Lines that are printed, to be written by hand beside the kiln or in the field."""
WIDTH = {"date": 12, "text": 26, "choice": 14, "number": 14, "whole": 12}


def write_table(
    sheet: Any, lists: Any, styles: Styles, plan: TablePlan, system: str, currency: str, typed: TypedTable | None
) -> None:
    """One table: filled with typed lines where there are any, and blank lines ready below them."""
    sheet.set_tab_color(OCHRE)
    sheet.write_string(0, 0, plan.sheet, styles("title"))
    sheet.set_row(0, 28)
    widths = [WIDTH[column.kind] for column in plan.columns]
    shown = max(at for at in range(len(widths)) if sum(widths[: at + 1]) <= WIDE)
    sheet.merge_range(1, 0, 1, shown, plan.intro, styles("intro_wrap"))
    sheet.set_row(1, row_height((plan.intro, sum(widths[: shown + 1])), size=11))
    sheet.set_row(
        HEADINGS, row_height(*((column.label, WIDTH[column.kind]) for column in plan.columns), size=10.8)
    )
    sheet.set_row(UNITS, 40)
    last = FIRST + plan.most - 1
    filled = typed.lines if typed else ()
    for at, column in enumerate(plan.columns):
        sheet.set_column(at, at, WIDTH[column.kind])
        look = "column_right" if column.is_number else "column_word" if at else "column"
        sheet.write_string(HEADINGS, at, column.label, styles(look))
        _unit(sheet, lists, styles, at, column, system, currency, typed)
        sheet.write_string(KEYS, at, column.key, styles("key"))
        _validate(sheet, lists, at, column, last)
        for number in range(max(plan.ready, len(filled))):
            item = filled[number].cells.get(column.key) if number < len(filled) else None
            _write(sheet, styles, FIRST + number, at, column, item)
    sheet.set_row(KEYS, 14, None, {"hidden": True})
    sheet.freeze_panes(FIRST, 1)
    page(sheet, is_letter=system == "us")
    sheet.set_margins(0.3, 0.3, 0.3, 0.5)
    if sum(widths) > WIDE:
        sheet.fit_to_pages(math.ceil(sum(widths) / WIDE), 0)
    sheet.repeat_rows(HEADINGS, UNITS)
    sheet.print_area(0, 0, FIRST + max(ON_PAPER, len(filled)) - 1, len(plan.columns) - 1)


def _unit(
    sheet: Any,
    lists: Any,
    styles: Styles,
    at: int,
    column: Row,
    system: str,
    currency: str,
    typed: TypedTable | None,
) -> None:
    own = column.start_unit(system, currency)
    if own is None:
        sheet.write_string(UNITS, at, "", styles("plain"))
        return
    item = typed.units.get(column.key) if typed else None
    if isinstance(item, str):
        own = match(item, own, column.unit_choices(currency), currency) or own
    sheet.write_string(UNITS, at, own.name, styles("input_text"))
    names = tuple(choice.name for choice in column.unit_choices(currency))
    if len(names) > 1:
        sheet.data_validation(UNITS, at, UNITS, at, lists.validation(names))


def _validate(sheet: Any, lists: Any, at: int, column: Row, last: int) -> None:
    if column.kind == "choice":
        names = tuple(option.label for option in column.choices)
        sheet.data_validation(FIRST, at, last, at, lists.validation(names))
    elif column.is_number:
        sheet.data_validation(
            FIRST, at, last, at,
            {
                "validate": "decimal", "criteria": "between", "minimum": -1e12, "maximum": 1e12,
                "error_title": "A number, please",
                "error_message": "Type a plain number; the unit stands above the column.",
            },
        )  # fmt: skip
    elif column.kind == "date":
        sheet.data_validation(
            FIRST, at, last, at,
            {
                "validate": "date", "criteria": "between", "minimum": dt.date(1980, 1, 1),
                "maximum": dt.date(2100, 12, 31), "error_title": "A date, please",
                "error_message": "Type a date, as 2026-03-14.",
            },
        )  # fmt: skip


def _write(sheet: Any, styles: Styles, row: int, at: int, column: Row, item: object) -> None:
    if column.kind == "date":
        shape = styles("input", "date")
        if isinstance(item, str) and item:
            sheet.write_datetime(row, at, dt.datetime.fromisoformat(item), shape)
        else:
            sheet.write_blank(row, at, None, shape)
    elif isinstance(item, int | float):
        sheet.write_number(row, at, float(item), styles("input", "typed"))
    elif item:
        sheet.write_string(row, at, str(item), styles("input_text"))
    else:
        sheet.write_blank(row, at, None, styles("input", "typed" if column.is_number else "general"))
