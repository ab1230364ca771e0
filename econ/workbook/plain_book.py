"""Workbooks of plain tables: many plants, and scenarios side by side."""

from __future__ import annotations

import io
from collections.abc import Iterable, Mapping, Sequence
from itertools import cycle
from pathlib import Path
from typing import Any, NamedTuple

from xlsxwriter.exceptions import FileCreateError

from econ.answer.comparison import Comparison
from econ.errors import FileRefused
from econ.workbook.page_plan import Slot, chart_of
from econ.workbook.safe_write import FINGERPRINT_BLANK, FINGERPRINT_PROPERTY, write_results_file
from econ.workbook.style import CLAY, SLATE, Styles, new_book, number_format, page, row_height

ROWS_OF_A_PAGE = 80
"""A sheet of so many rows or fewer is printed on one page: no chart breaks over two."""
LONGEST = 32_767
"""Characters that a cell of an .xlsx sheet may hold."""


class Column(NamedTuple):
    """One column of a table: heading with its unit, and the number format of its cells."""

    heading: str
    number: str = "general"


class Chart(NamedTuple):
    """A chart of a table: column of the categories, columns of the series, the axis titles."""

    kind: str
    title: str
    categories: int
    series: tuple[int, ...]
    across: str
    up: str
    first: int | None = None
    """How many rows from the top are shown; all where None."""


class Table(NamedTuple):
    """A heading, a remark in words, columns and rows; a chart beside it where there is one."""

    title: str
    columns: tuple[Column, ...]
    rows: Iterable[Sequence[Any]]
    remark: str = ""
    chart: Chart | None = None


class Sheet(NamedTuple):
    """One sheet: name, title, column widths, tables from top to bottom."""

    name: str
    title: str
    widths: tuple[float, ...]
    tables: tuple[Table, ...]


def write_plain_book(path: Path, title: str, sheets: Sequence[Sheet]) -> None:
    """Write the sheets in order; rows are taken from their iterables one at a time."""
    book = new_book(str(path), title, is_plain=True)
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
    if plan.tables and plan.tables[-1].chart is not None:
        sheet.write_string(at, 0, " ", styles("plain"))  # what is printed reaches below the chart
    if at <= ROWS_OF_A_PAGE:
        sheet.fit_to_pages(1, 1)
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
    headed = zip(table.columns, plan.widths, strict=False)
    sheet.set_row(at, 15 * max((-(-len(one.heading) * 12 // int(width * 10)) for one, width in headed), default=1))
    for column, found in enumerate(table.columns):
        look = "column" if column == 0 else "column_word" if found.number in {"text", "wrap"} else "column_right"
        sheet.write_string(at, column, found.heading, styles(look))
    top = last = at
    wraps = [i for i, found in enumerate(table.columns) if found.number == "wrap"]
    for last, row in enumerate(table.rows, start=at + 1):
        if (high := row_height(*((str(row[i]), plan.widths[i]) for i in wraps if i < len(row)))) > 15:
            sheet.set_row(last, high)
        _write_row(styles, sheet, last, table, row)
    if table.chart is None or last == top:
        return last + 1
    bottom = last if table.chart.first is None else min(last, top + table.chart.first)
    height = _insert_chart(book, sheet, plan.name, table, (top, bottom))
    return max(last + 1, top + height)


def _write_row(styles: Styles, sheet: Any, at: int, table: Table, row: Sequence[Any]) -> None:
    """One row of a table."""
    for column, (value, found) in enumerate(zip(row, table.columns, strict=False)):
        if isinstance(value, str):
            words = {"text": "word", "wrap": "word_wrap" if column else "wrap"}
            look = "plain" if column == 0 and found.number != "wrap" else words.get(found.number, "right")
            sheet.write_string(at, column, value[:LONGEST], styles(look))
        elif isinstance(value, Slot):
            sheet.write_number(at, column, value.content, styles("plain", value.look))
        elif value is not None:
            number = "n2" if found.number == "wrap" else found.number
            sheet.write_number(at, column, value, styles("plain", number))


def _insert_chart(book: Any, sheet: Any, name: str, table: Table, span: tuple[int, int]) -> int:
    """Put the chart to the right of its table; returns the rows it takes."""
    plan, (top, bottom) = table.chart, span
    assert plan is not None
    is_bar, number = plan.kind == "bar", {"num_format": "#,##0"} if plan.kind == "scatter straight" else {}
    # a bar lies on its side: the categories stand upright, the first on top
    upright = {"reverse": True, "crossing": "max"} if is_bar else {}
    names, values = (
        {"name": plan.across, "label_position": "low", **number, **upright},
        {"name": plan.up, **number},
    )
    rows = max(18, bottom - top + 2) if is_bar else 18
    series = [{"name": table.columns[column].heading, "at": column, "colour": colour, "gap": 30}
              for column, colour in zip(plan.series, cycle(("slate", "ochre")))]  # fmt: skip
    described = {
        "type": f"{plan.kind} stacked" if len(series) > 1 else plan.kind, "title": plan.title, "series": series,
        "x": values if is_bar else names, "y": names if is_bar else values,
        "legend": len(series) > 1, "size": (620, 20 * rows),
    }  # fmt: skip

    def area(one: Mapping[str, Any], cells: str) -> list[Any]:
        column = plan.categories if cells == "category" else one["at"]
        return [name, top + 1, column, bottom, column]

    said = {"description": f"{plan.title}: {plan.up} by {plan.across}"}
    sheet.insert_chart(top, len(table.columns) + 1, chart_of(book, described, area, str), said)
    return rows


def write_comparison(comparison: Comparison, path: Path, overwrite: bool = False) -> None:
    """Write the workbook, whole or not at all.

    Raises FileRefused for a name that is no .xlsx, or a file that is not exactly as kilncase wrote it
    unless `overwrite`.
    """
    if path.suffix.lower() != ".xlsx":
        raise FileRefused(f"{path} does not end in .xlsx: give --to a name that does")
    write_results_file(path, comparison_bytes(comparison), overwrite)


def comparison_bytes(comparison: Comparison) -> bytes:
    """The workbook as bytes: the scenarios, their answers, and the inputs that differ."""
    target = io.BytesIO()
    book = new_book(target, "kilncase: scenarios side by side", is_plain=True)
    book.set_custom_property(FINGERPRINT_PROPERTY, FINGERPRINT_BLANK)
    scenarios = comparison.sides
    files, count = [Path(one.file).name for one in scenarios], len(scenarios)
    answers = [
        (one.heading, *(_amount(value, one.unit, one.missing) for value in one.values),
         *(_amount(value, one.unit) for value in one.differences[1:]))
        for one in comparison.shown
    ]  # fmt: skip
    inputs = [
        (one.label, *one.shown, _amount(one.npv_change, "$", f"not reported: {one.reason}"),
         *([files[one.whose] if one.npv_change else ""] if count > 2 else []))
        for one in comparison.inputs
    ]  # fmt: skip
    sides = tuple(Column(name, "wrap") for name in files)
    tables = (
        Table("Scenarios", (Column("File"), *(Column(one.file, "wrap") for one in scenarios)),
              (("Plant", *(one.name for one in scenarios)), ("Finding", *(one.verdict for one in scenarios)),
               ("Version code of the inputs", *(one.inputs_code for one in scenarios)))),
        Table("Answers", (Column("Answer"), *(Column(name) for name in files),
                          *(Column(f"{name} less the first") for name in files[1:])), answers),
        Table(f"Inputs that differ: {len(inputs)}",
              (Column("Input"), *sides, Column("Alone, on the first NPV", "money0"),
               *([Column("by the value of", "wrap")] if count > 2 else [])), inputs),
    )  # fmt: skip
    widths = (52.0, *[30.0] * max(2 * count - 1, count + 2))
    _write_sheet(book, Styles(book), book.add_worksheet("Side by side"), Sheet(
        "Side by side", "Scenarios side by side", widths, tables))  # fmt: skip
    book.close()
    return target.getvalue()


def _amount(value: float | None, unit: str, missing: str = "not reported") -> Any:
    return missing if value is None else Slot(value, number_format(value, unit))
