"""The ordinary workbook read in one pass: numbers, texts and dates as spreadsheet programs write them.

openpyxl needs ten times as long, half of it to load. It reads whatever is not ordinary (formulas, texts within
cells, odd formats, anything beyond the bounds, anything wrong): there `quick_grids` gives None. What it gives is
what openpyxl would (`tests/workbook/test_quick.py`).
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Collection, Mapping
from typing import Any
from xml.parsers import expat

from xlsxwriter.utility import xl_col_to_name

from econ.errors import FileRefused
from econ.inputs.records import ErrorCell
from econ.workbook.guards import MAX_COLS, MAX_ROWS
from econ.workbook.package_parts import STYLES_PART, WORKBOOK_PART, sheet_parts, tags
from econ.workbook.read_tables import Grid, Percent

STRINGS_PART = "xl/sharedStrings.xml"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
STATES = frozenset({"visible", "hidden", "veryHidden"})
PLAIN, SHARE, DATE = "", "%", "date"
BUILT_IN = dict.fromkeys((*range(5), 11, 12, 13, 37, 39, 48, 49), PLAIN) | {9: SHARE, 10: SHARE, 14: DATE}
"""What the number formats are that every program knows, of those that are no times or colours."""
WHOLE, NUMBER = re.compile(r"-?\d{1,15}"), re.compile(r"-?\d+(\.\d+)?([eE][-+]?\d+)?")
FIRST_DAY, SURE_DAYS = datetime.datetime(1899, 12, 30), (61, 2_958_466)  # before: a leap year too many
COLUMNS = {xl_col_to_name(place): place for place in range(MAX_COLS)}

Books = tuple[dict[str, Grid], list[str], list[str]]


class _Odd(Exception):
    """Something that is not ordinary."""


def quick_grids(parts: Mapping[str, bytes], wanted: Collection[str]) -> Books | None:
    """The wanted sheets as rows of cells, those hidden, all names; None where anything is not ordinary."""
    try:
        sheets, book = sheet_parts(parts), tags(parts, WORKBOOK_PART, ("sheet", "workbookPr"))
        states = {one["name"]: one.get("state", "visible") for tag, one in book if tag == "sheet"}
        if not list(states) == list(sheets) != [] or not STATES.issuperset(states.values()):
            raise _Odd
        dates = [one.get("date1904", "0") for tag, one in book if tag == "workbookPr"]
        if not parts.keys() >= set(sheets.values()) or not {"0", "false"}.issuperset(dates):
            raise _Odd
        strings, formats = _strings(parts), _formats(parts)
        ours = [name for name in sheets if name in wanted]
        grids = {name: _Sheet(strings, formats).read(parts[sheets[name]]) for name in ours}
    except (_Odd, FileRefused, expat.ExpatError, ValueError, LookupError):
        return None
    return grids, [name for name in ours if states[name] != "visible"], list(states)


def _formats(parts: Mapping[str, bytes]) -> list[str | None]:
    """What the number of each cell format is shown as; None where it takes more to tell."""
    found, kinds, is_cell = [], dict[int, str | None](BUILT_IN), False
    for tag, one in tags(parts, STYLES_PART, ("numFmt", "cellXfs", "cellStyles", "xf")):
        if tag == "numFmt":
            kinds[int(one["numFmtId"])] = _kind(one["formatCode"])
        elif tag == "xf" and is_cell:
            found.append(kinds.get(int(one.get("numFmtId", "0"))))
        else:
            is_cell = tag == "cellXfs"
    return found


def _kind(code: str) -> str | None:
    if code == "yyyy-mm-dd":
        return DATE
    return None if re.search("[dmhysDMHYS]", code) else SHARE if "%" in code else PLAIN


class _Part:
    """A part read by one pass of the parser; its handlers are `start`, `end`, and what gathers texts."""

    def __init__(self) -> None:
        self.parser, self.text = expat.ParserCreate(), ""
        self.parser.buffer_text = True
        self.parser.StartElementHandler, self.parser.EndElementHandler = self.start, self.end
        self.parser.CharacterDataHandler = self.more

    def more(self, text: str) -> None:
        self.text += text

    def start(self, tag: str, given: dict[str, str]) -> None:
        raise NotImplementedError

    def end(self, tag: str) -> None:
        raise NotImplementedError


class _Strings(_Part):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.runs: list[str] = []

    def start(self, tag: str, given: dict[str, str]) -> None:
        self.text = ""
        if tag == "si":
            self.runs = []
        elif tag == "rPh" or (tag == "sst" and given.get("xmlns") != MAIN):
            raise _Odd

    def end(self, tag: str) -> None:
        if tag == "t":
            self.runs.append(self.text)
        elif tag == "si":
            self.found.append("".join(self.runs))


def _strings(parts: Mapping[str, bytes]) -> list[str]:
    """The texts that cells name by their number."""
    if b"x005F_" in (raw := parts.get(STRINGS_PART, b"")):
        raise _Odd
    found = _Strings()
    if raw:
        found.parser.Parse(raw, True)
    return found.found


class _Sheet(_Part):
    def __init__(self, strings: list[str], formats: list[str | None]) -> None:
        super().__init__()
        self.strings, self.formats = strings, formats
        self.grid: Grid = []
        self.row: list[Any] = []
        self.digits, self.kind, self.style, self.is_inside = "", "n", 0, False

    def read(self, raw: bytes) -> Grid:
        """The rows from the first to the last that holds a value; a blank one is ()."""
        self.parser.Parse(raw, True)
        if self.is_inside or not self.digits:  # no rows found, or their end not
            raise _Odd
        while self.grid and not self.grid[-1]:
            self.grid.pop()
        return self.grid

    def start(self, tag: str, given: dict[str, str]) -> None:
        if tag == "c":
            place = COLUMNS[given["r"].removesuffix(self.digits)]
            if place < len(self.row) or len(given) > 3:
                raise _Odd
            self.row += [None] * (place + 1 - len(self.row))
            self.kind, self.style = given.get("t", "n"), int(given.get("s", "0"))
        elif tag == "v":
            self.text = ""
        elif tag == "row":
            self.digits, self.row = given["r"], []
            if not len(self.grid) < int(self.digits) <= MAX_ROWS or not self.is_inside:
                raise _Odd
            self.grid += [()] * (int(self.digits) - 1 - len(self.grid))
        elif self.is_inside or (tag == "worksheet" and given.get("xmlns") != MAIN):
            raise _Odd
        else:
            self.is_inside = tag == "sheetData"

    def end(self, tag: str) -> None:
        if tag == "v":
            self.row[-1] = self.value() if self.text else None
        elif tag == "row":
            is_blank = all(item is None or item == "" for item in self.row)
            self.grid.append(() if is_blank else tuple(self.row))
        elif tag == "sheetData":
            self.is_inside = False
            self.parser.StartElementHandler = self.parser.EndElementHandler = None
            self.parser.CharacterDataHandler = None

    def value(self) -> Any:
        """What the cell holds."""
        text = self.text
        if self.kind == "s" and text.isdecimal():
            return self.strings[int(text)]
        if self.kind == "n" and NUMBER.fullmatch(text):
            number, kind = int(text) if WHOLE.fullmatch(text) else float(text), self.formats[self.style]
            if kind == DATE and isinstance(number, int) and SURE_DAYS[0] <= number < SURE_DAYS[1]:
                return FIRST_DAY + datetime.timedelta(number)
            if kind in (PLAIN, SHARE):
                return Percent(number) if kind == SHARE else number
        if self.kind == "str":
            return text
        if self.kind == "b" and text in ("0", "1"):
            return text == "1"
        if self.kind == "e":
            return ErrorCell(text)
        raise _Odd
