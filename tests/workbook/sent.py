"""Scenario workbooks as strangers send them: a shipped plant with cells and parts changed by hand.

REFUSED: each with words of the sentence that names file, sheet or cell. ACCEPTED: workbooks in order, however
strange, which give the answer of the shipped plant.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import NamedTuple
from xml.sax.saxutils import escape

import in_parts
import openpyxl
from conftest import ROOT
from handmade import BOOK, HEAD, LINKS, REL, STRINGS, TYPES, changed, edited, parts_in
from hostile import LAUGHING, OUTSIDE
from odd import external_link
from openpyxl.comments import Comment

from econ.inputs.schema import EDITION, rows, sheets

LETTERS = {"Value": "B", "Unit": "C", "Low": "D", "High": "E", "How known": "F", "Where from": "G", "Remark": "H",
           "Key": "J"}  # fmt: skip
FIRST = "xl/worksheets/sheet1.xml"
LONGEST = 32_767  # the most characters a cell may hold (limit of the .xlsx format, from memory)

Cells = Mapping[tuple[str, str], object]


class Raw(str):
    """Attributes and content of a cell as they stand in the file: `t="e"><v>#N/A</v>`."""


class Sent(NamedTuple):
    """A workbook: what it is, how it is made, and what the command must say of it."""

    name: str
    build: Callable[[], bytes]
    says: str | tuple[str, ...] = ""


@cache
def shipped_plant() -> bytes:
    return (ROOT / "scenarios" / "thistle-flat.xlsx").read_bytes()


@cache
def typed() -> dict[tuple[str, str], object]:
    """What stands in every cell of the shipped plant, by part and address."""
    with zipfile.ZipFile(io.BytesIO(shipped_plant())) as package:
        parts = in_parts.sheets(package)
    return {(parts[cell.sheet], cell.address): cell.value for cell in in_parts.read(shipped_plant())}


@cache
def places() -> dict[str, tuple[str, str]]:
    """Part and row of every key; sheets are numbered in their order."""
    return {
        value: (part, address[1:])
        for (part, address), value in typed().items()
        if re.fullmatch(r"J\d+", address) and isinstance(value, str) and "." in value
    }


def plant(cells: Cells, base: bytes | None = None) -> bytes:
    """The shipped plant with cells put in: text as text in the sheet itself, None as an empty cell."""
    base = base or shipped_plant()
    parts = {name: content.decode() for name, content in parts_in(base).items() if name.endswith("xml")}
    for (key, column), value in cells.items():
        part, row = places()[key]
        parts[part] = put(parts[part], f"{LETTERS[column]}{row}", value)
    return changed(dict(parts), base)


def put(sheet: str, address: str, value: object) -> str:
    """The XML of a sheet with one cell replaced; it keeps its style."""
    pattern = re.compile(rf'<c r="{address}"( s="\d+")?[^>]*?(?:/>|>.*?</c>)')
    assert len(pattern.findall(sheet)) == 1, address
    return pattern.sub(lambda old: f'<c r="{address}"{old[1] or ""}{content(value)}', sheet)


def content(value: object) -> str:
    if value is None:
        return "/>"
    if isinstance(value, Raw):
        return f" {value}</c>"
    if isinstance(value, str):
        return f' t="inlineStr"><is><t xml:space="preserve">{escape(value)}</t></is></c>'
    return f"><v>{value}</v></c>"


def at(key: str, column: str = "Value") -> str:
    """Sheet, address and row of a cell, as an error names it."""
    part, row = places()[key]
    titles = {f"xl/worksheets/sheet{n}.xml": plan.name for n, plan in enumerate(sheets(), start=1)}
    return f"{titles[part]} {LETTERS[column]}{row}, {rows()[key].label}"


def heading() -> str:
    """Address of the heading of the keys on the first sheet."""
    return next(address for (part, address), value in typed().items() if (part, value) == (FIRST, "Key"))


def merged(sheet: str, cells: str) -> str:
    """The XML of a sheet with cells merged."""
    if "<mergeCells" not in sheet:
        sheet = sheet.replace("</sheetData>", "</sheetData><mergeCells></mergeCells>")
    return re.sub(r"<mergeCells[^>]*>", f'<mergeCells><mergeCell ref="{cells}"/>', sheet)


def sized(cells: str) -> Callable[[], bytes]:
    """The first sheet with another size declared."""
    sheet = parts_in(shipped_plant())[FIRST].decode()
    assert len(re.findall('<dimension ref="[^"]*"/>', sheet)) == 1
    new = re.sub('<dimension ref="[^"]*"/>', f'<dimension ref="{cells}"/>', sheet)
    return lambda: changed({FIRST: new}, shipped_plant())


def one(key: str, value: object, column: str = "Value") -> Callable[[], bytes]:
    return lambda: plant({(key, column): value})


def rows_after(rows: str) -> Callable[[], bytes]:
    return lambda: edited(FIRST, "</sheetData>", f"{rows}</sheetData>", shipped_plant())


@cache
def numeric() -> list[str]:
    """Keys of the rows of the shipped plant that hold a number, in sheet order."""
    return [
        key for key, (part, row) in places().items() if isinstance(typed().get((part, f"B{row}")), int | float)
    ]


def in_many(values: Sequence[object]) -> bytes:
    """Each value in a cell of its own, down the rows of the plant that take a number."""
    return plant({(key, "Value"): value for key, value in zip(numeric(), values, strict=False)})


def found_in_many(words: Sequence[str]) -> tuple[str, ...]:
    """What is then said of each cell, with its address."""
    return tuple(f"{at(key)}: {word}" for key, word in zip(numeric(), words, strict=False))


def dated() -> bytes:
    """The price as a day: the same number in a date format."""
    style = re.search(r'<c r="A7" s="(\d+)"', parts_in(shipped_plant())["xl/worksheets/sheet9.xml"].decode())
    assert style is not None
    part, row = places()["kiln.price"]
    text = parts_in(shipped_plant())[part].decode()
    new = re.sub(rf'<c r="B{row}" s="\d+"', f'<c r="B{row}" s="{style[1]}"', text)
    return changed({part: new}, shipped_plant())


def merged_away() -> bytes:
    """Price and installation merged into one cell: the lower one is empty, as a merge leaves it."""
    part, row = places()["kiln.installation"]
    above = int(row) - 1
    base = plant({("kiln.installation", "Value"): None})
    return changed({part: merged(parts_in(base)[part].decode(), f"B{above}:B{row}")}, base)


def merged_beside() -> bytes:
    """Value and unit merged: the value stays, the unit is gone."""
    part, row = places()["kiln.peak_temperature"]
    base = plant({("kiln.peak_temperature", "Unit"): None})
    return changed({part: merged(parts_in(base)[part].decode(), f"B{row}:C{row}")}, base)


def hidden(state: str) -> bytes:
    """Every sheet but the first hidden, the row of the price too, and the first sheet read from right to left."""
    seen = re.compile(r'<sheet (name="(?!Start here)[^"]*" sheetId="\d+")(?! state)')
    book = seen.sub(rf'<sheet \1 state="{state}"', parts_in(shipped_plant())[BOOK].decode())
    assert book.count(f'state="{state}"') >= 10
    base = changed({BOOK: book}, shipped_plant())
    base = edited(FIRST, "<sheetView ", '<sheetView rightToLeft="1" ', base)
    row = places()["kiln.price"][1]
    return edited(FIRST, f'<row r="{row}"', f'<row hidden="1" r="{row}"', base)


def saved_elsewhere() -> bytes:
    """Saved by another library, with a note of 32,000 characters and a remark as long as a cell takes."""
    book = openpyxl.load_workbook(io.BytesIO(shipped_plant()))
    row = places()["kiln.price"][1]
    book["Start here"][f"B{row}"].comment = Comment("n" * 32_000, "a stranger")
    book["Start here"][f"H{row}"] = "n" * LONGEST
    target = io.BytesIO()
    book.save(target)
    return target.getvalue()


def macros() -> bytes:
    plain = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
    return edited(TYPES, plain, "application/vnd.ms-excel.sheet.macroEnabled.main+xml", shipped_plant())


def links_out() -> bytes:
    """The plant with a link to another workbook that is nowhere, as in odd.py."""
    odd = parts_in(external_link())
    links = {name: part for name, part in odd.items() if "externalLink" in name}
    link = f'<Relationship Id="out" Type="{REL}/externalLink" Target="externalLinks/externalLink1.xml"/>'
    named = '<externalReferences><externalReference r:id="out"/></externalReferences>'
    base = edited(BOOK, "</sheets>", f"</sheets>{named}", shipped_plant())
    base = edited(LINKS, "</Relationships>", f"{link}</Relationships>", base)
    formula = Raw('><f>[1]Prices!A1+WEBSERVICE("http://127.0.0.1:9/price")</f><v>38000</v>')
    return plant({("kiln.price", "Value"): formula}, changed(dict(links), base))


def edition(number: str) -> bytes:
    return edited(STRINGS, f"schema edition {EDITION}<", f"schema edition {number}<", shipped_plant())


def in_utf_16() -> bytes:
    text = parts_in(shipped_plant())[FIRST].decode().replace('encoding="UTF-8"', 'encoding="UTF-16"')
    return changed({FIRST: text.encode("utf-16")}, shipped_plant())


def renamed(old: str, new: str) -> Callable[[], bytes]:
    return lambda: edited(BOOK, f'name="{old}" sheetId', f'name="{new}" sheetId', shipped_plant())


def blank_rows(count: int, row: str) -> Callable[[], bytes]:
    return lambda: rows_after("".join(row.format(number) for number in range(100, count + 100)))()


PRICE = f"{at('kiln.price')}: "
TODAY = f"{at('current.option')}: "
ERRORS = ("#DIV/0!", "#N/A", "#REF!", "#VALUE!", "#NAME?", "#NUM!", "#NULL!")
NO_NUMBERS = ("1.200,5", "12.5 cubits", "١٢٠٠", "１２００", "NaN", "nan", "inf", "-Infinity", "0x10", "=1+1",
              "38,00", "1,2,3", "2/0")  # fmt: skip
"""Texts that say no number, or more than one: beside a decimal point, a decimal comma is a slip."""
BEHIND = {"12.5 cubits": "cubits", "0x10": "x10"}
"""What is found behind a number where a unit may stand."""
NUMBERS_AS_TEXT = {
    "kiln.price": "38,000", "kiln.installation": "9\u00a0500", "capital.other": "6 800",
    "kiln.batch_load": "1,000 lb", "kiln.batches_per_week": " 2 ", "labour.hours_per_batch": "about 5",
    "labour.wage": "$20", "running.insurance_per_year": "9e2", "running.permits_per_year": "650 USD per year",
    "money.discount_rate": "7%",
}  # fmt: skip
"""The numbers of the shipped plant as people write them."""

CELLS = [
    Sent("every error value", lambda: in_many([Raw(f't="e"><v>{e}</v>') for e in ERRORS]),
         found_in_many([f"the error value {e}" for e in ERRORS])),
    Sent("texts that are no numbers", lambda: in_many(NO_NUMBERS),
         found_in_many([f"the words {BEHIND[text]!r} behind a number. Enter" if text in BEHIND
                        else f"the text {text!r}. Enter" for text in NO_NUMBERS])),
    Sent("nothing but an empty text", one("kiln.price", ""), PRICE),
    Sent("a date", dated, f"{PRICE}the date or time 2004-01-14"),
    Sent("TRUE", one("kiln.price", Raw('t="b"><v>1</v>')), f"{PRICE}TRUE"),
    Sent("infinite", one("kiln.price", Raw("><v>1E999</v>")), f"{PRICE}no finite number"),
    Sent("less than infinite", one("kiln.price", Raw("><v>-1E999</v>")), f"{PRICE}no finite number"),
    Sent("400 digits", one("kiln.price", Raw(f"><v>{'1' * 400}</v>")), f"{PRICE}a number of 400 digits"),
    Sent("400 nines", one("kiln.price", Raw(f"><v>{'9' * 400}</v>")), f"{PRICE}a number of 400 digits"),
    Sent("5,000 digits", one("kiln.price", Raw(f"><v>{'9' * 5_000}</v>")), "'Start here' could not be read"),
    Sent("no number", one("kiln.price", Raw("><v>NaN</v>")), "'Start here' could not be read"),
    Sent("never calculated", one("kiln.price", Raw("><f>1+1</f>")), f"{PRICE}a formula that was never calculated"),
    Sent("only asks the network", one("kiln.price", Raw('><f>WEBSERVICE("http://127.0.0.1:9")</f>')), PRICE),
    Sent("emptied by a merge", merged_away, f"{at('kiln.installation')}: blank. Enter a number"),
    Sent("unit lost in a merge", merged_beside, ": no unit. Choose one of"),
    Sent("a unit of 32,767 letters", one("kiln.price", "n" * LONGEST, "Unit"),
         f"{at('kiln.price', 'Unit')}: the text"),
    Sent("a choice of 32,767 letters", one("current.option", "n" * LONGEST), f"{TODAY}the text"),
    Sent("a choice in other letters", one("current.option", "ه\u202eطذ🦴"), f"{TODAY}the text"),
    Sent("a number where a choice is due", one("current.option", 7), f"{TODAY}7. Choose"),
    Sent("a key twice", one("kiln.price", "bones.1.mass", "Key"), "the key 'bones.1.mass' a second time"),
    Sent("an edition of tomorrow", lambda: edition("999"), "edition 999"),
]  # fmt: skip

FILES = [
    Sent("laughs in a sheet", lambda: changed({FIRST: LAUGHING}, shipped_plant()), "DOCTYPE"),
    Sent("outside entity", lambda: changed({FIRST: f"{HEAD}{OUTSIDE}<x>&a;</x>"}, shipped_plant()), "DOCTYPE"),
    Sent("macros", macros, "holds macros"),
    Sent("a million blank rows", blank_rows(1_000_000, '<row r="{}"/>'), "too many rows"),
    Sent(
        "a value far below",
        rows_after('<row r="9000"><c r="A9000"><v>1</v></c></row>'),
        "'Start here' has a value",
    ),
    Sent(
        "a value far beside", rows_after('<row r="90"><c r="XFD90"><v>1</v></c></row>'), "'Start here' has a value"
    ),
    Sent("cut short", lambda: shipped_plant()[:-100], "cut short"),
    Sent("a sheet renamed", renamed("Bones", "Kochen"), "no sheet 'Bones'"),
    Sent("a sheet in other letters", renamed("Bones", "\u202eעצמות"), "no sheet 'Bones'"),
    Sent(
        "headings lost",
        lambda: changed({FIRST: put(parts_in(shipped_plant())[FIRST].decode(), heading(), None)}, shipped_plant()),
        "Start here: no headings",
    ),
]

REFUSED = [*CELLS, *FILES]

NAMES = ("Кости", "骨头", "عظام للفحم", "עצמות", "हड्डी", "🦴🔥 👩‍🌾", "é́̂" * 60, "n" * LONGEST,
         "_x001B_[31m", "]]><!--&", "\u202eback\u202c", "\x7f\x9b31m")  # fmt: skip

ACCEPTED = [
    Sent("size claims the whole sheet", sized("A1:XFD1048576")),
    Sent("size claims one cell", sized("A1")),
    Sent("200,000 blank rows", blank_rows(200_000, '<row r="{}" s="1" customFormat="1"/>')),
    Sent("hidden sheets and rows", lambda: hidden("hidden")),
    Sent("sheets hidden from the menu", lambda: hidden("veryHidden")),
    Sent("links to another workbook", links_out),
    Sent("in UTF-16", in_utf_16),
    Sent("saved by another program, notes of 32,767 characters", saved_elsewhere),
    Sent("a comma", one("kiln.price", "38,000"), "'38,000' was read as 38,000 (USD)."),
    Sent("numbers as text", lambda: plant({(key, "Value"): text for key, text in NUMBERS_AS_TEXT.items()}),
         ("'38,000' was read as 38,000 (USD).", "'9 500' was read as 9,500 (USD).",
          "'6 800' was read as 6,800 (USD).", "'1,000 lb' was read as 1,000 (pound (lb)).",
          "'2' was read as 2 (times a week).", "'about 5' was read as 5 (hour).",
          "'$20' was read as 20 (USD per hour).",
          "'9e2' was read as 900 (USD per year).", "'650 USD per year' was read as 650 (USD per year).",
          "'7%' was read as 7 (%).")),
    Sent("an edition that is no number", lambda: edition("²")),
    Sent("names and remarks in every alphabet", lambda: plant({
        ("plant.name", "Value"): " ".join(NAMES[:6]),
        **{(key, "Remark"): name for key, name in zip(numeric(), NAMES, strict=False)},
        **{(key, "Where from"): name for key, name in zip(numeric(), NAMES, strict=False)}})),
]  # fmt: skip
