"""Cells written in our own way are to the byte those of the library; so is the count of texts that stand."""

from __future__ import annotations

import io
import math
import re
import zipfile
from typing import Any

import openpyxl
import pytest
import xlsxwriter
from xlsxwriter.sharedstrings import SharedStrings
from xlsxwriter.worksheet import Worksheet

from econ.workbook.marks import Sheet, Texts, count_strings

TEXTS = (
    "plain",
    "",
    " led by a space",
    "a < b & c > d",
    '"quoted"',
    "two\nlines",
    "\x01 odd",
    "Ω 𝛼",
    "#N/A",
    "<r>x</r>",
)
NUMBERS = (0.0, -0.0, 1, 1.5, 1e300, -2.5e-7, 123456789.123456789, True)
RESULTS = (1.25, 0, "", "told", "#DIV/0!", "#1 of all", "<&>", True, 1e-12)


def written(kind: type[Any], texts: type[Any] = SharedStrings) -> dict[str, bytes]:
    """The parts of a workbook with every sort of cell, by the sheets of this class."""
    target = io.BytesIO()
    book = xlsxwriter.Workbook(target, {"in_memory": True})
    shape, other = book.add_format({"bold": True}), book.add_format({"num_format": "0.0"})
    for name in ("first", "second"):
        sheet = book.add_worksheet(name, kind)
        for i, text in enumerate(TEXTS):
            sheet.write_string(2 * i, 1, text, shape if i % 2 else None)
        for i, number in enumerate(NUMBERS):
            sheet.write_number(i, 3, number, other if i % 3 else None)
        for i, result in enumerate(RESULTS):
            sheet.write_formula(i, 70, '=IF(A1<2,"a & b",B2)', shape if i % 4 else None, result)
        sheet.write_string(0, 5, "over this stands a formula", shape)
        sheet.write_formula(0, 5, "=1+1", shape, 2.0)
        sheet.write_blank(1, 5, None, other)
        sheet.write_rich_string(3, 5, "partly ", shape, "bold", shape)
        sheet.write_url(4, 5, "internal:'second'!A1", shape, "there")
        sheet.merge_range(6, 5, 6, 8, "over four", shape)
        sheet.set_row(40, 30)
        sheet.set_row(41, None, other, {"hidden": True})
        sheet.set_column(0, 2, 20, other)
    count_strings(book)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("xlsxwriter.packager.SharedStrings", texts)
        book.close()
    with zipfile.ZipFile(target) as parts:
        return {name: parts.read(name) for name in parts.namelist()}


def test_every_part_is_that_of_the_library_but_for_the_spans_of_rows() -> None:
    ours, theirs = written(Sheet, Texts), written(Worksheet)
    assert ours.keys() == theirs.keys()
    for name, part in theirs.items():
        assert ours[name] == re.sub(rb' spans="[0-9:]+"', b"", part), name


def test_the_count_of_texts_is_that_of_cells_that_hold_one() -> None:
    parts = written(Sheet)
    told = re.search(rb'<sst [^>]*count="(\d+)"', parts["xl/sharedStrings.xml"])
    assert told is not None
    cells = sum(parts[f"xl/worksheets/sheet{n}.xml"].count(b't="s"') for n in (1, 2))
    assert int(told[1]) == cells


@pytest.mark.parametrize("number", [math.nan, math.inf])
def test_what_is_no_number_is_still_refused(number: float) -> None:
    with xlsxwriter.Workbook(io.BytesIO(), {"in_memory": True}) as book:
        sheet = book.add_worksheet("a", Sheet)
        with pytest.raises(TypeError):
            sheet.write_number(0, 0, number)


def test_another_reader_finds_the_cells() -> None:
    target = io.BytesIO()
    book = xlsxwriter.Workbook(target, {"in_memory": True})
    sheet, shape = book.add_worksheet("a", Sheet), book.add_format()
    for row, value in enumerate(("text & <more>", 2.5)):
        (sheet.write_string if isinstance(value, str) else sheet.write_number)(row, 9, value, shape)
    sheet.write_formula(2, 9, "=J2*2", shape, 5.0)
    book.close()
    read = openpyxl.load_workbook(target)["a"]
    assert [read.cell(row, 10).value for row in (1, 2, 3)] == ["text & <more>", 2.5, "=J2*2"]
