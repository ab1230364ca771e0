"""Workbooks in order, however strange, each with the values a reader must find on its first sheet."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import NamedTuple

import xlsxwriter
from handmade import BOOK, LINKS, MAIN, PACKAGE, REL, SHEET, book, changed, edited, sheet_xml

Rows = list[tuple[object, ...]]

INPUT: Rows = [("Key", "Value"), ("bones.1.mass", 1200)]  # what the sound workbook holds
ALPHABETS = ("Кости", "骨头", "عظام", "עצמות", "हड्डी", "🦴🔥", "\u202eback", "e\u0301", "<b>&amp;</b>")
LONGEST = "n" * 32_767  # the most characters a cell may hold (limit of the .xlsx format)
ALL_SIGNS = "<" * 32_767


class Odd(NamedTuple):
    """A file in order: what it is, how it is made, and the values of its first sheet from row 1."""

    name: str
    build: Callable[[], bytes]
    rows: Rows


def row_3(*values: object) -> Callable[[], bytes]:
    """The sound workbook with a third row; text stays text."""

    def fill(workbook: xlsxwriter.Workbook) -> None:
        sheet = workbook.worksheets()[0]
        for column, value in enumerate(values):
            put = sheet.write_string if isinstance(value, str) else sheet.write
            put(2, column, value)

    return lambda: book(fill)


def raw_row_3(cell: str) -> Callable[[], bytes]:
    return lambda: edited(SHEET, "</sheetData>", f'<row r="3">{cell}</row></sheetData>')


def inline_row_3(*texts: str) -> Callable[[], bytes]:
    """Texts that stand in the sheet itself, as some programs write them."""
    return raw_row_3("".join(f'<c t="inlineStr"><is><t>{text}</t></is></c>' for text in texts))


def sized(claim: str) -> Callable[[], bytes]:
    return lambda: edited(SHEET, '<dimension ref="A1:B2"/>', claim)


def hidden(workbook: xlsxwriter.Workbook) -> None:
    workbook.add_worksheet("Seen").activate()
    workbook.worksheets()[0].hide()


def merged(workbook: xlsxwriter.Workbook) -> None:
    workbook.worksheets()[0].merge_range("A3:B4", "one value", workbook.add_format({"bold": True}))


def date(workbook: xlsxwriter.Workbook) -> None:
    workbook.worksheets()[0].write_number("A3", 45292, workbook.add_format({"num_format": "yyyy-mm-dd"}))


def commented(workbook: xlsxwriter.Workbook) -> None:
    workbook.worksheets()[0].write_comment("A1", "c" * 30_000)


def blank_rows(count: int) -> bytes:
    rows = "".join(f'<row r="{number}" s="1" customFormat="1"/>' for number in range(3, count + 3))
    return edited(SHEET, "</sheetData>", f"{rows}</sheetData>")


def external_link() -> bytes:
    """A link to a book on this machine's discard port, where nothing answers."""
    outside = f'<externalBook xmlns:r="{REL}" r:id="rId1"/>'
    target = 'Target="http://127.0.0.1:9/prices.xlsx" TargetMode="External"'
    link = f'<Relationship Id="rId1" Type="{REL}/externalLinkPath" {target}/>'
    links = f'<Relationships xmlns="{PACKAGE}">{link}</Relationships>'
    to_link = f'<Relationship Id="out" Type="{REL}/externalLink" Target="externalLinks/externalLink1.xml"/>'
    named = '<externalReferences><externalReference r:id="out"/></externalReferences>'
    base = edited(BOOK, "</sheets>", f"</sheets>{named}")
    base = edited(LINKS, "</Relationships>", f"{to_link}</Relationships>", base)
    return changed(
        {
            "xl/externalLinks/externalLink1.xml": f'<externalLink xmlns="{MAIN}">{outside}</externalLink>',
            "xl/externalLinks/_rels/externalLink1.xml.rels": links,
        },
        base,
    )


def in_utf_16() -> bytes:
    sheet = sheet_xml('<row><c r="A1"><v>7</v></c></row>').replace("UTF-8", "UTF-16")
    return changed({SHEET: sheet.encode("utf-16")})


def rows_2_and_5() -> bytes:
    rows = '<row r="2"><c r="A2"><v>1</v></c></row><row r="5"><c r="B5"><v>2</v></c></row>'
    return changed({SHEET: sheet_xml(rows)})


ODD = [
    Odd("sound", book, INPUT),
    Odd("size claims the whole sheet", sized('<dimension ref="A1:XFD1048576"/>'), INPUT),
    Odd("size claims one cell", sized('<dimension ref="A1"/>'), INPUT),
    Odd("size missing", sized(""), INPUT),
    Odd("200,000 blank rows", lambda: blank_rows(200_000), INPUT),
    Odd("hidden sheet", lambda: book(hidden), INPUT),
    Odd("merged cells", lambda: book(merged), [*INPUT, ("one value", None)]),
    Odd("error value", raw_row_3('<c r="A3" t="e"><v>#DIV/0!</v></c>'), [*INPUT, ("#DIV/0!",)]),
    Odd("infinity", raw_row_3('<c r="A3"><v>1E999</v></c>'), [*INPUT, (float("inf"),)]),
    Odd("date for a number", lambda: book(date), [*INPUT, (datetime(2024, 1, 1),)]),
    Odd("TRUE for a number", row_3(True), [*INPUT, (True,)]),
    Odd("numbers as text", row_3("1,200", "1.200,5", " 12 "), [*INPUT, ("1,200", "1.200,5", " 12 ")]),
    Odd("formulas as text", row_3("=1+1", "{=1}"), [*INPUT, ("=1+1", "{=1}")]),
    Odd("other alphabets", row_3(*ALPHABETS), [*INPUT, ALPHABETS]),
    Odd("longest text", row_3(LONGEST), [*INPUT, (LONGEST,)]),
    Odd("longest text of signs", row_3(ALL_SIGNS), [*INPUT, (ALL_SIGNS,)]),
    Odd("longest texts in the sheet itself", inline_row_3(*(LONGEST,) * 9), [*INPUT, (LONGEST,) * 9]),
    Odd("empty text", inline_row_3(""), INPUT),
    Odd("long comment", lambda: book(commented), INPUT),
    Odd("link to another book", external_link, INPUT),
    Odd("sheet in UTF-16", in_utf_16, [(7,)]),
    Odd("blank rows between", rows_2_and_5, [(), (1,), (), (), (None, 2)]),
]
