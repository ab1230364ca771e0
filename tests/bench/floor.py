"""The least that a run could cost: load the libraries, read the file, write as many cells of each kind.

`cells(book)` counts what a results workbook holds; `program` is the process that writes the like: the same
sheets with the same numbers of formulas (each with its value), numbers and texts, formulas and texts of the
usual length. It reads without asking what a cell means, has no model, no samples, no charts and one format.
"""

from __future__ import annotations

import statistics
from collections import Counter
from pathlib import Path

import openpyxl

PROGRAM = """
import io
import numpy
import openpyxl
import xlsxwriter

read = openpyxl.load_workbook({scenario!r}, read_only=True, data_only=True)
for sheet in read.worksheets:
    for row in sheet.iter_rows(values_only=True):
        pass
book = xlsxwriter.Workbook({target!r}, {{"in_memory": True}})
shape = book.add_format({{"num_format": "#,##0.0", "font_size": 10}})
for formulas, numbers, texts in {sheets!r}:
    sheet = book.add_worksheet()
    at = 0
    for _ in range(formulas):
        sheet.write_formula(at // 12, at % 12, {formula!r}, shape, 1234.5 + at)
        at += 1
    for _ in range(numbers):
        sheet.write_number(at // 12, at % 12, 1234.5 + at, shape)
        at += 1
    for _ in range(texts):
        sheet.write_string(at // 12, at % 12, f"{{at:{length}}}", shape)
        at += 1
book.close()
"""


def cells(path: Path) -> tuple[list[tuple[int, int, int]], str, int]:
    """Formulas, numbers and texts by sheet of a workbook, a formula of the usual length, and that of texts."""
    book = openpyxl.load_workbook(path)
    sheets, formulas, texts = [], [], []
    for sheet in book.worksheets:
        found: Counter[str] = Counter()
        for row in sheet.iter_rows():
            for cell in row:
                if cell.value is None:
                    continue
                kind = cell.data_type if cell.data_type in "fs" else "n"
                found[kind] += 1
                if kind == "f":
                    formulas.append(str(cell.value))
                elif kind == "s":
                    texts.append(str(cell.value))
        sheets.append((found["f"], found["n"], found["s"]))
    usual = sorted(formulas, key=len)[len(formulas) // 2]
    return sheets, usual, int(statistics.median(map(len, texts)))


def program(scenario: Path, results: Path, target: Path) -> tuple[str, str]:
    """The program of the floor, and in words what it writes."""
    sheets, formula, length = cells(results)
    counts = [sum(column) for column in zip(*sheets, strict=True)]
    words = "{} formulas, {} numbers, {} texts on {} sheets".format(*(f"{n:,}" for n in counts), len(sheets))
    text = PROGRAM.format(
        scenario=str(scenario), target=str(target), sheets=sheets, formula=formula, length=length
    )
    return text, words
