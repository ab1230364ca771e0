"""Workbooks of plain tables: many plants, and scenarios side by side."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import xlsxwriter
from xlsxwriter.exceptions import FileCreateError

from econ.answer.comparison import Comparison
from econ.errors import FileRefused
from econ.workbook.safe_write import FINGERPRINT_BLANK, FINGERPRINT_PROPERTY, write_results_file
from econ.workbook.style import CLAY, FONT, INK, OCHRE, SLATE, Styles, lines_of, number_format, page
from econ.workbook.template import FIXED_TIME

LONGEST = 32_767
"""Characters that a cell of an .xlsx sheet may hold."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table: heading with its unit, and the number format of its cells."""

    heading: str
    number: str = "general"


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart of a table: column of the categories, columns of the series, the axis titles."""

    kind: str
    title: str
    categories: int
    series: tuple[int, ...]
    across: str
    up: str
    first: int | None = None
    """How many rows from the top are shown; all where None."""


@dataclass(frozen=True, slots=True)
class Table:
    """A heading, a remark in words, columns and rows; a chart beside it where there is one."""

    title: str
    columns: tuple[Column, ...]
    rows: Iterable[Sequence[Any]]
    remark: str = ""
    chart: Chart | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: name, title, column widths, tables from top to bottom."""

    name: str
    title: str
    widths: tuple[float, ...]
    tables: tuple[Table, ...]


def write_plain_book(path: Path, title: str, sheets: Sequence[Sheet]) -> None:
    """Write the sheets in order; rows are taken from their iterables one at a time."""
    options = {"constant_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    book = xlsxwriter.Workbook(str(path), options)
    book.set_properties({"title": title, "created": FIXED_TIME})
    styles = Styles(book)
    for at, plan in enumerate(sheets):
        sheet = book.add_worksheet(plan.name)
        sheet.set_tab_color(CLAY if at == 0 else SLATE)
        _write_sheet(book, styles, sheet, plan)
    try:
        book.close()
    except FileCreateError as odd:  # wraps what the system said
        raise odd.args[0] from odd


def _write_sheet(book: Any, styles: Styles, sheet: Any, plan: Sheet) -> None:
    for column, width in enumerate(plan.widths):
        sheet.set_column(column, column, width)
    page(sheet)
    sheet.set_row(0, 28)
    sheet.write_string(0, 0, plan.title, styles("title"))
    at = 2
    for table in plan.tables:
        at = _write_table(book, styles, sheet, plan, table, at) + 1
    if len(plan.tables) == 1:
        sheet.freeze_panes(5 if plan.tables[0].remark else 4, 1)


def _write_table(book: Any, styles: Styles, sheet: Any, plan: Sheet, table: Table, at: int) -> int:
    """Write a table from row `at`; returns the row after it and after its chart."""
    for column in range(len(table.columns)):
        sheet.write_string(at, column, table.title if column == 0 else "", styles("heading"))
    if table.remark:
        at += 1
        sheet.write_string(at, 0, table.remark, styles("faint"))
    at += 1
    deepest = max((_lines(c.heading, w) for c, w in zip(table.columns, plan.widths, strict=False)), default=1)
    sheet.set_row(at, 15 * deepest)
    for column, found in enumerate(table.columns):
        sheet.write_string(at, column, found.heading, styles(_heading_look(column, found)))
    top = last = at
    for last, row in enumerate(table.rows, start=at + 1):
        for column, value in enumerate(row):
            _write_cell(styles, sheet, last, column, value, table.columns[column].number)
    if table.chart is None or last == top:
        return last + 1
    bottom = last if table.chart.first is None else min(last, top + table.chart.first)
    height = _insert_chart(book, sheet, plan.name, table, (top, bottom))
    return max(last + 1, top + height)


def _heading_look(column: int, found: Column) -> str:
    if column == 0:
        return "column"
    return "column_word" if found.number == "text" else "column_right"


def _lines(text: str, width: float) -> int:
    return -(-len(text) * 12 // int(width * 10))


def _write_cell(styles: Styles, sheet: Any, row: int, column: int, value: Any, number: str) -> None:
    if isinstance(value, str):
        look = "plain" if column == 0 else "word" if number == "text" else "right"
        sheet.write_string(row, column, value[:LONGEST], styles(look))
    elif value is not None:
        sheet.write_number(row, column, value, styles("plain", number))


def _insert_chart(book: Any, sheet: Any, name: str, table: Table, span: tuple[int, int]) -> int:
    """Put the chart to the right of its table; returns the rows it takes."""
    plan = table.chart
    assert plan is not None
    top, bottom = span
    kind = {"type": plan.kind, "subtype": "stacked"} if len(plan.series) > 1 else {"type": plan.kind}
    chart = book.add_chart(kind)
    face = {"name": FONT, "color": INK, "bold": False}
    for at, column in enumerate(plan.series):
        chart.add_series({
            "name": [name, top, column],
            "categories": [name, top + 1, plan.categories, bottom, plan.categories],
            "values": [name, top + 1, column, bottom, column],
            "fill": {"color": (SLATE, OCHRE)[at % 2]},
            "gap": 30,
        })  # fmt: skip
    chart.set_title({"name": plan.title, "name_font": {**face, "size": 12}, "overlay": False})
    values: dict[str, Any] = {
        "name": plan.up,
        "name_font": face,
        "num_font": face,
        "major_gridlines": {"visible": False},
    }
    names: dict[str, Any] = {"name": plan.across, "name_font": face, "num_font": face, "label_position": "low"}
    if plan.kind == "line":  # numbers across as well as up
        for axis in (names, values):
            axis["num_format"] = "#,##0"
    if plan.kind == "bar":  # lies on its side: the categories stand upright, the first on top
        chart.set_y_axis({**names, "reverse": True, "crossing": "max"})
        chart.set_x_axis(values)
    else:
        chart.set_x_axis(names)
        chart.set_y_axis(values)
    chart.set_legend({"position": "bottom"} if len(plan.series) > 1 else {"none": True})
    rows = max(18, bottom - top + 2) if plan.kind == "bar" else 18
    chart.set_size({"width": 620, "height": 20 * rows})
    sheet.insert_chart(
        top, len(table.columns) + 1, chart, {"description": f"{plan.title}: {plan.up} by {plan.across}"}
    )
    return rows


LABEL, WIDE = 52, 30


def write_comparison(comparison: Comparison, path: Path, overwrite: bool = False) -> None:
    """Write the workbook, whole or not at all.

    Raises FileRefused for a name that is no .xlsx, or a file that is not exactly as kilncase wrote it
    unless `overwrite`.
    """
    if path.suffix.lower() != ".xlsx":
        raise FileRefused(f"{path} does not end in .xlsx: give --to a name that does")
    write_results_file(path, comparison_bytes(comparison), overwrite)


def comparison_bytes(comparison: Comparison) -> bytes:
    """The workbook as bytes."""
    target = io.BytesIO()
    book = xlsxwriter.Workbook(target, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties({"title": "kilncase: scenarios side by side", "created": FIXED_TIME})
    book.set_custom_property(FINGERPRINT_PROPERTY, FINGERPRINT_BLANK)
    styles = Styles(book)
    sheet = book.add_worksheet("Side by side")
    page(sheet)
    sheet.set_column(0, 0, LABEL)
    sheet.set_column(1, 2 * len(comparison.files), WIDE)
    sheet.write_string(0, 0, "Scenarios side by side", styles("title"))
    sheet.set_row(0, 28)
    at = _heads(sheet, styles, comparison, 2)
    at = _answers(sheet, styles, comparison, at + 1)
    _inputs(sheet, styles, comparison, at + 1)
    book.close()
    return target.getvalue()


def _heads(sheet: Any, styles: Styles, comparison: Comparison, at: int) -> int:
    for words, texts in (
        ("File", comparison.files), ("Plant", comparison.names), ("Version code of the inputs", comparison.codes),
    ):  # fmt: skip
        sheet.write_string(at, 0, words, styles("label"))
        sheet.set_row(at, 14 * max(lines_of(text, WIDE) for text in texts) + 2)
        for column, text in enumerate(texts, start=1):
            sheet.write_string(at, column, text, styles("bold_wrap"))
        at += 1
    return at


def _inputs(sheet: Any, styles: Styles, comparison: Comparison, at: int) -> None:
    sheet.write_string(at, 0, f"Inputs that differ: {len(comparison.inputs)}", styles("heading"))
    beside = len(comparison.files) + 1
    sheet.write_string(at, beside, "Alone, on the first NPV", styles("column_right"))
    for one in comparison.inputs:
        at += 1
        sheet.write_string(at, 0, one.label, styles("label"))
        sheet.set_row(at, 14 * max(lines_of(one.label, LABEL), *(lines_of(text, WIDE) for text in one.shown)) + 2)
        for column, text in enumerate(one.shown, start=1):
            sheet.write_string(at, column, text, styles("wrap"))
        if one.npv_change is not None:
            sheet.write_number(at, beside, one.npv_change, styles("plain", number_format(one.npv_change, "$")))


def _answers(sheet: Any, styles: Styles, comparison: Comparison, at: int) -> int:
    count = len(comparison.files)
    sheet.write_string(at, 0, "Answers", styles("heading"))
    for column, name in enumerate(comparison.files, start=1):
        sheet.write_string(at, column, Path(name).name, styles("column_right"))
        if column > 1:
            sheet.write_string(at, column + count - 1, f"{Path(name).name} less the first", styles("column_right"))
    sheet.set_row(at, 30)
    for answer in comparison.answers:
        at += 1
        sheet.write_string(at, 0, f"{answer.label} [{answer.unit}]", styles("label"))
        for column, value in enumerate((*answer.values, *answer.differences[1:]), start=1):
            if value is None:
                sheet.write_string(at, column, "none", styles("right"))
            else:
                sheet.write_number(at, column, value, styles("plain", number_format(value, answer.unit)))
    return at + 1
