"""Workbooks made to hang, exhaust or deceive a reader, and files that are no workbooks at all.

REFUSED: files no reader may open, each with a phrase of the sentence that refuses it.
WORST_ALLOWED: files as heavy as the limits allow, which a reader must get through within limits of its own.
"""

from __future__ import annotations

import zipfile
import zlib
from collections.abc import Callable
from typing import NamedTuple

import xlsxwriter
from handmade import (
    BOOK,
    HEAD,
    LINKS,
    REL,
    SHEET,
    STRINGS,
    STYLES,
    TYPES,
    Entry,
    book,
    changed,
    deflated,
    edited,
    endless,
    handmade,
    honest,
    packed,
    parts_in,
    sheet_xml,
    sound_entries,
    with_entry,
)

from econ.workbook.package_parts import MAX_GRID_ELEMENTS, MAX_OTHER_ELEMENTS, MAX_RUN_BYTES

OLE = bytes.fromhex("d0cf11e0a1b11ae1")
OUTSIDE = '<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]>'
LAUGHS = "".join(
    [
        '<!DOCTYPE x [<!ENTITY a "ha">',
        *(f'<!ENTITY {new} "{f"&{old};" * 10}">' for old, new in zip("abcdefgh", "bcdefghi", strict=True)),
        "]>",
    ]
)
LAUGHING = f"{HEAD}{LAUGHS}<x>&i;</x>"
REMARK = MAX_RUN_BYTES + 1_000


class Refused(NamedTuple):
    """A file no reader may open: what it is, how it is made, and a phrase of the sentence about it."""

    name: str
    build: Callable[[], bytes]
    says: str


def ole(stream: str) -> bytes:
    """The head of a compound file that holds a stream of this name."""
    return OLE + bytes(504) + stream.encode("utf-16-le") + bytes(2048)


def overwritten() -> bytes:
    data = bytearray(book())
    at = data.index(SHEET.encode()) + len(SHEET) + 20
    data[at : at + 8] = b"\xff" * 8
    return bytes(data)


def macro_type() -> bytes:
    plain = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
    return edited(TYPES, plain, "application/vnd.ms-excel.sheet.macroEnabled.main+xml")


def macro_part_of_another_name() -> bytes:
    kind = '<Override PartName="/xl/a.bin" ContentType="application/vnd.ms-office.vbaProject"/>'
    return edited(TYPES, "</Types>", f"{kind}</Types>", changed({"xl/a.bin": b"\0"}))


def lie(content: bytes, declared: int) -> bytes:
    """A sheet that declares another size than it has, with the checksum of what it declares."""
    return with_entry(Entry(SHEET.encode(), deflated(content), declared, zlib.crc32(content[:declared])))


def gigabyte(declared: int) -> bytes:
    return with_entry(Entry(SHEET.encode(), endless(b"a" * 2**20, 1024), declared))


def million_blank_rows() -> bytes:
    rows = (f'<row r="{number}" s="1" customFormat="1" spans="1:9"/>' for number in range(1, 1_048_577))
    return changed({SHEET: sheet_xml("".join(rows))})


def in_utf_16() -> bytes:
    return f'<?xml version="1.0" encoding="UTF-16"?>{OUTSIDE}<x>&a;</x>'.encode("utf-16")


def odd_alphabet() -> bytes:
    """A declaration that switches the parser to an alphabet in which "<" has another number."""
    return b'<?xml version="1.0" encoding="cp037"?>' + f"{LAUGHS}<x>&i;</x>".encode("cp037")


def same_link_often() -> bytes:
    sheets = "".join(f'<sheet name="s{n}" sheetId="{n + 2}" r:id="rId1"/>' for n in range(200))
    return edited(BOOK, "</sheets>", f"{sheets}</sheets>")


def same_part_often() -> bytes:
    sheets = "".join(f'<sheet name="s{n}" sheetId="{n + 2}" r:id="many{n}"/>' for n in range(200))
    start = f'<Relationship Type="{REL}/worksheet" Target="worksheets/sheet1.xml" Id='
    links = "".join(f'{start}"many{n}"/>' for n in range(200))
    base = edited(BOOK, "</sheets>", f"{sheets}</sheets>")
    return edited(LINKS, "</Relationships>", f"{links}</Relationships>", base)


def same_id_often() -> bytes:
    """Links of one id, of which a reader takes the first and a careless check the last."""
    start = f'<Relationship Type="{REL}/worksheet" Id="rId1" Target='
    return edited(LINKS, "</Relationships>", f'{start}"a.xml"/>{start}"b.xml"/></Relationships>')


def shared_formula(length: int, copies: int, remark: str = "") -> bytes:
    formula = "1" + "+1" * (length // 4) + remark + "+1" * (length // 4)
    first = f'<row r="1"><c r="A1"><f t="shared" si="0">{formula}</f></c></row>'
    rest = (f'<row r="{n}"><c r="A{n}"><f t="shared" si="0"/></c></row>' for n in range(2, copies + 2))
    return changed({SHEET: sheet_xml(first + "".join(rest))})


def number_format(length: int, uses: int) -> bytes:
    code = f'<numFmts count="1"><numFmt numFmtId="200" formatCode="{"[" * length}"/></numFmts><fonts'
    use = '<xf numFmtId="200" fontId="0" fillId="0" borderId="0" xfId="0"/>'
    return edited(STYLES, "</cellXfs>", f"{use * uses}</cellXfs>", edited(STYLES, "<fonts", code))


def print_titles(length: int) -> bytes:
    name = f'<definedName name="_xlnm.Print_Titles" localSheetId="0">{"a" * length}</definedName>'
    return edited(BOOK, "</sheets>", f"</sheets><definedNames>{name}</definedNames>")


def ranges(count: int) -> bytes:
    listed = " ".join(f"A{n}" for n in range(1, count + 1))
    return changed({SHEET: sheet_xml("", f'<conditionalFormatting sqref="{listed}"/>')})


def sheet_of(rows: str = "", after: str = "") -> Callable[[], bytes]:
    return lambda: changed({SHEET: sheet_xml(rows, after)})


def part(name: str, content: str | bytes | None) -> Callable[[], bytes]:
    return lambda: changed({name: content})


def chart_sheet(workbook: xlsxwriter.Workbook) -> None:
    chart = workbook.add_chart({"type": "line"})
    chart.add_series({"values": "=Bones!$B$2:$B$2"})
    workbook.add_chartsheet().set_chart(chart)


def workbook_elsewhere(kind: str = "sheet") -> bytes:
    base = edited(TYPES, "/xl/workbook.xml", "/xl/other.xml")
    base = edited(TYPES, "spreadsheetml.sheet.main", f"spreadsheetml.{kind}.main", base)
    return changed({"xl/other.xml": parts_in(base)[BOOK]}, base)


NO_WORKBOOK = [
    Refused("empty file", lambda: b"", "is empty"),
    Refused("csv renamed", lambda: b"key,value\nbones.1.mass,1200\n", "not an Excel workbook"),
    Refused("text in UTF-16", lambda: "key;value".encode("utf-16"), "not an Excel workbook"),
    Refused("protected by a password", lambda: ole("EncryptedPackage"), "it is protected by a password"),
    Refused("old xls", lambda: ole("Workbook"), "old .xls format"),
    Refused("cut in half", lambda: book()[: len(book()) // 2], "cut short"),
    Refused("cut by one byte", lambda: book()[:-1], "cut short"),
    Refused("four bytes of a zip", lambda: b"PK\x03\x04", "cut short"),
    Refused("bytes overwritten", overwritten, "damaged"),
    Refused("zip of something else", lambda: packed({"a/b.xml": b"<w/>"}), "without an Excel workbook"),
    Refused("empty zip", lambda: packed({}), "without an Excel workbook"),
    Refused("no list of types", part(TYPES, None), "without a workbook"),
    Refused("workbook part elsewhere", workbook_elsewhere, "not where other programs look"),
    Refused("template elsewhere", lambda: workbook_elsewhere("template"), "not where other programs look"),
    Refused("workbook part is text", part(BOOK, "sheets"), "without a workbook"),
    Refused("broken links", part(LINKS, "<Relationships"), "damaged"),
    Refused("macros by type", macro_type, "holds macros"),
    Refused("macros by type of a part", macro_part_of_another_name, "holds macros"),
    Refused("macros by part", part("xl/vbaProject.bin", b"\0"), "holds macros"),
    Refused("chart on its own sheet", lambda: book(chart_sheet), "chart on a sheet of its own"),
]

TOO_LARGE = [
    Refused("11 MB", lambda: book() + bytes(11 * 2**20), "larger than 10 MB"),
    Refused("1,001 parts", lambda: changed({f"a/{n}": "" for n in range(1_001)}), "more than 1,000 parts"),
    Refused("21 MB unpacked", part("a", bytes(21 * 2**20)), "unpacks to more than 20 MB"),
    Refused("thirty parts of 1 MB", lambda: changed({f"a/{n}": bytes(2**20) for n in range(30)}), "20 MB"),
    Refused("1 GB text", lambda: gigabyte(2**30), "unpacks to more than 20 MB"),
    Refused("1 GB that declares 100 bytes", lambda: gigabyte(100), "more than it declares"),
    Refused("one byte more than declared", lambda: lie(b"<worksheet/>  ", 13), "more than it declares"),
    Refused("one byte less than declared", lambda: lie(b"<worksheet/>  ", 15), "damaged"),
    Refused("wrong checksum", lambda: with_entry(Entry(SHEET.encode(), deflated(b"<x/>"), 4, 1)), "damaged"),
    Refused("1,048,576 blank rows", million_blank_rows, "unpacks to more than 20 MB"),
]

DECLARATIONS = [
    Refused("billion laughs", part(STRINGS, LAUGHING), "DOCTYPE"),
    Refused("laughs in the workbook part", part(BOOK, LAUGHING), "DOCTYPE"),
    Refused("laughs in the list of types", part(TYPES, LAUGHING), "DOCTYPE"),
    Refused("laughs in the links", part(LINKS, LAUGHING), "DOCTYPE"),
    Refused("outside entity", part(SHEET, f"{HEAD}{OUTSIDE}<x>&a;</x>"), "DOCTYPE"),
    Refused("bare DOCTYPE", part(SHEET, "<!DOCTYPE x><x/>"), "DOCTYPE"),
    Refused("UTF-16 with a mark", part(SHEET, in_utf_16()), "DOCTYPE"),
    Refused("UTF-16 without a mark", part(SHEET, f"{OUTSIDE}<x/>".encode("utf-16-be")), "DOCTYPE"),
    Refused("after a remark", part(SHEET, f"{HEAD}<!--{'x' * 100_000}-->{OUTSIDE}<x/>"), "DOCTYPE"),
    Refused("in a part named bin", part("xl/a.bin", f"\n {OUTSIDE}<x/>"), "DOCTYPE"),
    Refused("odd alphabet", part(STRINGS, odd_alphabet()), "encoding no workbook uses"),
]

DECEIT = [
    Refused("encrypted part", lambda: with_entry(honest(SHEET, b"<x/>", flags=1)), "encrypted"),
    Refused("same name twice", lambda: handmade([*sound_entries(), honest(SHEET, b"<x/>")]), "same name"),
    Refused("same name in capitals", part(SHEET.upper(), "<x/>"), "same name"),
    Refused("climbs out", lambda: with_entry(honest("xl/../../../etc/cron", b"x")), "outside"),
    Refused("climbs out backwards", lambda: with_entry(honest("..\\..\\start.bat", b"x")), "outside"),
    Refused("starts at the root", lambda: with_entry(honest("/etc/cron", b"x")), "outside"),
    Refused("names a drive", lambda: with_entry(honest("C:start.bat", b"x")), "outside"),
    Refused("zero byte in a name", lambda: with_entry(honest("xl/a.xml\0.bat", b"x")), "outside"),
    Refused("packed with bzip2", lambda: packed(parts_in(book()), zipfile.ZIP_BZIP2), "packed in a way"),
]

ENDLESS_WORK = [
    Refused("600,000 cells", sheet_of("<c r='A1'/>" * 600_000), "too many rows and cells"),
    Refused("450,000 rows and values", sheet_of("<row ><v>" * 225_000), "too many rows and cells"),
    Refused("150,000 merges", sheet_of("", "<mergeCell/>" * 150_000), "too many formats"),
    Refused("5 million marks", sheet_of("<" * 5_000_000), "too many rows, cells and formats"),
    Refused("5 million closings", sheet_of("</" * 5_000_000), "too many rows, cells and formats"),
    Refused("long attribute", sheet_of(f'<row a="{"x" * MAX_RUN_BYTES}"/>'), "longer than any cell"),
    Refused("long text", part(STRINGS, f"<t>{'x' * MAX_RUN_BYTES}</t>"), "longer than any cell"),
    Refused("long remark", sheet_of("", f"<!--{('x' * 99 + '<') * (REMARK // 100)}-->"), "a remark of"),
    Refused("long instruction", sheet_of("", f"<?x {('x' * 99 + '<') * (REMARK // 100)}?>"), "a remark of"),
    Refused("one link for 200 sheets", same_link_often, "same part"),
    Refused("one part for 200 sheets", same_part_often, "same part"),
    Refused("one id for three parts", same_id_often, "same part"),
    Refused("long shared formula", lambda: shared_formula(20_000, 2_000), "formulas that are far"),
    Refused("formula split by instructions", lambda: shared_formula(100, 2, "<?x?>"), "formulas that are far"),
    Refused("formula split by remarks", lambda: shared_formula(100, 2, "<!---->"), "formulas that are far"),
    Refused("long number format", lambda: number_format(20_000, 50), "number formats"),
    Refused("long print titles", lambda: print_titles(20_000), "far too long"),
    Refused("long list of ranges", lambda: ranges(10_000), "far too long"),
]

REFUSED = [*NO_WORKBOOK, *TOO_LARGE, *DECLARATIONS, *DECEIT, *ENDLESS_WORK]


def full_grid() -> bytes:
    cell = "<c r='A1' s='0'><v>1</v></c>"
    return changed({SHEET: sheet_xml(f'<row r="1">{cell * (MAX_GRID_ELEMENTS // 2 - 10)}</row>')})


def full_rules() -> bytes:
    rule = '<dataValidation type="list" sqref="A1:A9"><formula1>1</formula1></dataValidation>'
    rules = rule * (MAX_OTHER_ELEMENTS // 2 - 500)
    return changed({SHEET: sheet_xml("", f"<dataValidations>{rules}</dataValidations>")})


WORST_ALLOWED = {
    "as many cells as allowed, in one row": full_grid,
    "as many rules as allowed": full_rules,
    "as long number formats as allowed": lambda: number_format(1_300, 1_000),
    "as long print titles as allowed": lambda: print_titles(13_000),
    "as long formulas as allowed": lambda: shared_formula(8_000, 2_400),
    "as long a list of ranges as allowed": lambda: ranges(5_000),
    "as deep as allowed": sheet_of("", "<a>" * 99_000 + "</a>" * 99_000),
}
