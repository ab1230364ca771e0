"""The sheets of data tables and the lists of choices of a blank workbook."""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Collection
from typing import Any

from xlsxwriter.utility import xl_col_to_name

from econ.inputs.records import TypedTable
from econ.inputs.rows import Row, TablePlan, plain
from econ.shipped import described
from econ.units import match
from econ.workbook.marks import Sheet
from econ.workbook.style import OCHRE, Styles, fitted, page, row_height

WORDS = described("template", "workbook")
"""Words and widths of a blank workbook."""
LISTS = "Lists"
RULES: dict[str, dict[str, Any]] = WORDS["rules"]


def shorten(text: str, most: int) -> str:
    """The text, cut at a word where it is longer than a message may be."""
    if len(text) <= most:
        return text
    return text[: most - 3].rsplit(" ", 1)[0].rstrip(",;:") + "..."


def asked_for(words: Collection[str], *texts: str) -> bool:
    """Whether any of the words, or "all", stands in the name of a sheet or a heading."""
    return "all" in words or any(plain(word) in plain(" ".join(texts)) for word in words)


def unit_name_of(row: Row, system: str, currency: str, typed: object) -> str:
    """The unit that a row or a column starts with, or the one that is meant by what was typed for it."""
    own = row.start_unit(system, currency)
    if own is not None and isinstance(typed, str):
        own = match(typed, own, row.unit_choices(currency), currency) or own
    return own.name if own else ""


class Lists:
    """The hidden sheet of drop-down lists: names with commas do not fit into a validation itself.

    Units that begin with the currency follow the currency cell: they are formulas over it.
    """

    def __init__(self, book: Any, currency: str) -> None:
        self.sheet, self.currency = book.add_worksheet(LISTS, Sheet), currency
        self.sheet.hide()
        self.made: dict[tuple[str, ...], str] = {}
        self.chosen = f'"{currency}"'
        """The address of the currency cell, once it stands."""

    def validation(self, names: tuple[str, ...], strict: bool = True) -> dict[str, Any]:
        """A drop-down of names; not strict lets other words stand."""
        if names not in self.made:
            letter = xl_col_to_name(len(self.made) + 1)
            self.made[names] = f"=Lists!${letter}$1:${letter}${len(names)}"
        return RULES["list"] | {"source": self.made[names], "error_type": "stop" if strict else "information"}

    def write(self) -> None:
        """All lists, a column each, right of the currency code."""
        code = self.currency
        self.sheet.write_formula(0, 0, f'=IF({self.chosen}="","{code}",{self.chosen})', None, code)
        for column, names in enumerate(self.made, start=1):
            for at, name in enumerate(names):
                rest = name.removeprefix(f"{code} ")
                if rest == name:
                    self.sheet.write_string(at, column, name)
                else:
                    self.sheet.write_formula(at, column, f'=$A$1&" {rest}"', None, name)


def number_only(where: str) -> dict[str, Any]:
    """A validation that takes plain numbers; `where` says where their unit stands."""
    return RULES["number"] | {"error_message": RULES["number"]["error_message"].format(where)}


HEADINGS, UNITS, KEYS, FIRST = 3, 4, 5, 6
WIDE = 130
"""So many units of width are printed on one page; wider tables on several, side by side."""
DAY = re.compile(r"\d{4}-\d\d-\d\d")
ON_PAPER = 20
"""Lines that are printed, to be written by hand beside the kiln or in the field."""
WIDTH = {"date": 11, "text": 20, "choice": 13, "number": 11, "whole": 10}


def write_table(
    sheet: Any, lists: Lists, styles: Styles, plan: TablePlan, system: str, typed: TypedTable | None, is_on: bool
) -> None:
    """One table: filled with typed lines where there are any, blank lines ready below; hidden until needed."""
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
    last = FIRST + plan.most - 1
    filled = typed.lines if typed else ()
    unit_names = []
    for at, column in enumerate(plan.columns):
        sheet.set_column(at, at, WIDTH[column.kind])
        look = "column_right" if column.is_number else "column_word" if at else "column"
        sheet.write_string(HEADINGS, at, column.label, styles(look))
        name = unit_name_of(column, system, lists.currency, typed.units.get(column.key) if typed else None)
        unit_names.append((name, WIDTH[column.kind] - 2.0))
        sheet.write_string(UNITS, at, name, styles("input_text" if name else "plain"))
        choices = column.unit_choices(lists.currency) if name else ()
        if len(choices) > 1:
            sheet.data_validation(UNITS, at, UNITS, at, lists.validation(tuple(one.name for one in choices)))
        sheet.write_string(KEYS, at, column.key, styles("key"))
        _validate(sheet, lists, at, column, last)
        for number in range(max(plan.ready, len(filled))):
            item = filled[number].cells.get(column.key) if number < len(filled) else None
            _write(sheet, styles, FIRST + number, at, column, item)
    sheet.set_row(UNITS, row_height(*unit_names))
    sheet.set_row(KEYS, 14, None, {"hidden": True})
    sheet.freeze_panes(FIRST, 1)
    page(sheet, is_letter=system == "us")
    sheet.set_margins(0.3, 0.3, 0.3, 0.5)
    if sum(widths) > WIDE:
        sheet.fit_to_pages(math.ceil(sum(widths) / WIDE), 0)
    sheet.repeat_rows(HEADINGS, UNITS)
    if filled or is_on:
        sheet.print_area(0, 0, FIRST + max(ON_PAPER, len(filled)) - 1, len(plan.columns) - 1)
    else:
        sheet.hide()  # without a print area: LibreOffice prints a hidden sheet that has one


def _validate(sheet: Any, lists: Lists, at: int, column: Row, last: int) -> None:
    if column.kind == "choice":
        rule = lists.validation(tuple(option.label for option in column.choices))
    elif column.is_number or column.kind == "date":
        rule = number_only("above the column") if column.is_number else RULES["date"]
    else:
        return
    sheet.data_validation(FIRST, at, last, at, rule)


def _write(sheet: Any, styles: Styles, row: int, at: int, column: Row, item: object) -> None:
    if column.kind == "date" and isinstance(item, str) and DAY.fullmatch(item):
        item = dt.datetime.fromisoformat(item)
    if isinstance(item, dt.date):
        sheet.write_datetime(row, at, item, styles("input", "date"))
    elif isinstance(item, int | float):
        sheet.write_number(row, at, float(item), styles("input", fitted("typed", item)))
    elif item:
        sheet.write_string(row, at, str(item), styles("input_text"))
    else:
        number = "typed" if column.is_number else {"date": "date"}.get(column.kind, "general")
        sheet.write_blank(row, at, None, styles("input", number))
