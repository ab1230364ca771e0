"""Scenarios side by side as a workbook: the inputs that differ first, then the answers."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import xlsxwriter

from econ.answer.comparison import Comparison
from econ.errors import FileRefused
from econ.workbook.safe_write import FINGERPRINT_BLANK, FINGERPRINT_PROPERTY, write_results_file
from econ.workbook.style import Styles, lines_of, number_format, page
from econ.workbook.template import FIXED_TIME

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
    at = _inputs(sheet, styles, comparison, at + 1)
    _answers(sheet, styles, comparison, at + 1)
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


def _inputs(sheet: Any, styles: Styles, comparison: Comparison, at: int) -> int:
    sheet.write_string(at, 0, f"{len(comparison.inputs)} input(s) differ", styles("heading"))
    for one in comparison.inputs:
        at += 1
        sheet.write_string(at, 0, one.label, styles("label"))
        sheet.set_row(at, 14 * max(lines_of(one.label, LABEL), *(lines_of(text, WIDE) for text in one.shown)) + 2)
        for column, text in enumerate(one.shown, start=1):
            sheet.write_string(at, column, text, styles("wrap"))
    return at + 1


def _answers(sheet: Any, styles: Styles, comparison: Comparison, at: int) -> None:
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
