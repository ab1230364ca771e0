"""What cannot follow an edit says so in place: marks beside every value of the run that is no live formula.

A page is written through `Page`, which notes the numbers and sentences that are written as they were found. When
all is written, `mark` gives each of them the look "stale" while any input differs from the run, and a sentence in
the heading above and on top of the page. A page written later is marked unasked.
"""

from __future__ import annotations

import re
from bisect import bisect
from collections import Counter
from collections.abc import Iterable
from itertools import chain
from typing import Any

from xlsxwriter import worksheet as library
from xlsxwriter.sharedstrings import SharedStrings
from xlsxwriter.utility import xl_range, xl_rowcol_to_cell, xl_rowcol_to_cell_fast

from econ.workbook.style import CLAY, ROW, Styles, pixels

CHANGED, FIXED_CHANGED, AS_RUN = "inputs_changed", "fixed_inputs_changed", "as_run"
"""Workbook names: how many inputs differ from the run, how many of them are fixed here, the words of a mark."""
MARK = (f'IF({CHANGED}=0," ","of the inputs as run; "&{CHANGED}&" changed since"'
        f'&IF({FIXED_CHANGED}>0," ("&{FIXED_CHANGED}&" fixed here)","")&": run again")')  # fmt: skip
"""The formula of those words."""
LIVE, FIXED, IDLE = "live", "fixed here", "no effect now"
"""What stands beside an input: formulas follow it, only a new run does, or they follow it at other values."""
SENTENCES = frozenset({"wrap", "wrapmid", "figure", "intro_wrap"})
"""Looks of text that is of the run where it holds a figure."""
FOUND = frozenset({"caution", "finding", "reason"})
"""Looks of text that is always of the run."""
DIGIT = re.compile(r"\d")
STRING, NUMBER, BLANK = PLAIN = library.CellStringTuple, library.CellNumberTuple, library.CellBlankTuple
FORMULA = library.CellFormulaTuple

Cells = set[tuple[int, int]]


class Sheet(library.Worksheet):  # type: ignore[misc]  # the library has no types
    """A worksheet in memory in less time, rows as the library writes them but for `spans`, which no program needs.

    None of our formulas holds the newer functions that the library searches each for, thirty times.
    """

    def _write_rows(self) -> None:
        sizes = self.row_info if hasattr(self, "row_info") else self.set_rows  # as versions before 3.3 call it
        for row in range(self.dim_rowmin, self.dim_rowmax + 1):
            cells, size = self.table.get(row), sizes.get(row)
            if cells:
                self._write_row(row, None, size)
                for column in sorted(cells):  # the library asks every column up to the last of the sheet
                    self._write_cell(row, column, cells[column])
                self._xml_end_tag("row")
            elif size or row in self.comments:
                self._write_empty_row(row, None, size)
        self.table.clear()

    def _write_cell(self, row: int, column: int, cell: Any) -> None:
        kind, shape, result = type(cell), cell.format, getattr(cell, "value", None)
        is_text = kind is FORMULA and isinstance(result, str) and result[:1] not in ("", "#")
        if shape is None or not (is_text or kind in PLAIN or (kind is FORMULA and type(result) is float)):
            super()._write_cell(row, column, cell)
            return
        start = f'<c r="{xl_rowcol_to_cell_fast(row, column)}" s="{shape._get_xf_index()}"'
        if kind is STRING:
            self.fh.write(f'{start} t="s"><v>{cell.string}</v></c>')
        elif kind is NUMBER:
            self.fh.write(f"{start}><v>{cell.number:.16G}</v></c>")
        elif kind is BLANK:
            self.fh.write(f"{start}/>")
        else:
            told, formula = ' t="str"' * is_text, self._escape_data(cell.formula)
            self.fh.write(f"{start}{told}><f>{formula}</f><v>{self._escape_data(result)}</v></c>")

    # rows and columns come as numbers here, never as "A1", which each of these would else ask first
    write_string, write_number = library.Worksheet._write_string, library.Worksheet._write_number
    write_blank = library.Worksheet._write_blank

    def write_formula(self, row: int, column: int, formula: str, shape: Any = None, value: Any = 0) -> None:
        """A formula and its value; none spills over other cells, which each is else searched for."""
        self._check_dimensions(row, column)
        self.table[row][column] = FORMULA(formula.removeprefix("="), shape, value)


class Texts(SharedStrings):  # type: ignore[misc]
    """The texts of a workbook: one of letters alone, as most are, holds nothing that has to be looked for."""

    def _write_si(self, string: str) -> None:
        if (
            string.isprintable()
            and string == string.strip()
            and "_x" not in string
            and not string.startswith("<r>")
        ):
            self.fh.write(f"<si><t>{self._escape_data(string)}</t></si>")
        else:
            super()._write_si(string)


class Page:
    """A worksheet that remembers where values of the run and headings stand; all else is passed on."""

    def __init__(self, sheet: Any, styles: Styles) -> None:
        self.sheet, self._styles = sheet, styles
        self.write_formula, self.write_blank = sheet.write_formula, sheet.write_blank  # the quick way to them
        self.numbers: Cells = set()
        self.sentences: Cells = set()
        self.headings: dict[int, dict[int, str]] = {}
        self.labels: dict[tuple[int, int], str] = {}
        self._widths: dict[int, float] = {}
        self.heights: dict[int, float] = {}
        """Points of the rows that are not as high as most; 0 where folded."""

    def __getattr__(self, name: str) -> Any:
        return getattr(self.sheet, name)

    def set_column(self, first: int, last: int, width: float | None, *more: Any) -> None:
        """A width, remembered."""
        self._widths |= dict.fromkeys(range(first, last + 1), width or 8.43)
        self.sheet.set_column(first, last, width, *more)

    def set_row(self, row: int, height: float | None, shape: Any = None, options: Any = None) -> None:
        """A height, remembered."""
        self.heights[row] = 0.0 if (options or {}).get("hidden") else height or ROW
        self.sheet.set_row(row, height, shape, options or {})

    def write_number(self, row: int, column: int, number: float, shape: Any = None) -> None:
        """A number as found by the run, unless it heads a row or a column."""
        if column and not self._styles.look_of(shape).startswith("column"):
            self.numbers.add((row, column))
        self.sheet.write_number(row, column, number, shape)

    def write_string(self, row: int, column: int, text: str, shape: Any = None) -> None:
        """A text; one that holds a figure, or a heading, is remembered."""
        self._note(row, column, text, self._styles.look_of(shape))
        self.sheet.write_string(row, column, text, shape)

    def merge_range(self, row: int, column: int, last_row: int, last: int, text: str, shape: Any) -> None:
        """A text over several cells."""
        self._note(row, column, text, self._styles.look_of(shape))
        self.sheet.merge_range(row, column, last_row, last, text, shape)

    def write_live(self, row: int, column: int, value: float | str, shape: Any) -> None:
        """A constant of the model itself, which no input moves."""
        self.sheet.write(row, column, value, shape)

    def _note(self, row: int, column: int, text: str, look: str) -> None:
        if look == "heading":
            self.headings.setdefault(row, {})[column] = text
        elif look == "figure_label":
            self.labels[row, column] = text
        elif text and (look in FOUND or (look in SENTENCES and DIGIT.search(text))):
            self.sentences.add((row, column))

    def mark(self, row: int, column: int) -> None:
        """Mark what the page holds of the run; `row`, `column`: where the words of the whole page stand."""
        found = self.numbers | self.sentences
        if not found:
            return
        shape = self._styles.laid_over(italic=True, font_color=CLAY)
        areas = list(_areas(found))
        self.sheet.conditional_format(
            areas[0], {"type": "formula", "criteria": f"={CHANGED}>0", "format": shape,
                       "multi_range": " ".join(areas)}
        )  # fmt: skip
        self.sheet.write_formula(row, column, f"={AS_RUN}", self._styles("as_run"), " ")
        for at in sorted(self.labels.keys() & {(line + 1, across) for line, across in found}):
            self._add(*at, self.labels[at], self._styles("figure_label"), f'"as run; "&{CHANGED}&" changed since"')
        headings = sorted(self.headings)
        for place in sorted({bisect(headings, line) for line, _ in found} - {0}):
            self._mark_heading(headings[place - 1])

    def _mark_heading(self, row: int) -> None:
        words, shape = self.headings[row], self._styles("heading")
        first, last = min(words), max(words)
        for column in range(first + 1, last + 1):
            self.sheet.write_blank(row, column, None, shape)
        room, at = 0.0, first
        while at < last and room < 1.3 * pixels(words[first]):  # bold, a size larger
            room += 7 * self._widths.get(at, 8.43)
            at += 1
        self.sheet.write_formula(row, at, f"={AS_RUN}", shape, " ")

    def _add(self, row: int, column: int, text: str, shape: Any, words: str) -> None:
        """The words of a mark at the end of a text of our own."""
        said = text.replace('"', '""')
        self.sheet.write_formula(row, column, f'="{said}"&IF({CHANGED}=0,"",": "&{words})', shape, text)


def count_strings(book: Any) -> None:
    """Set how many cells hold a text: the writer also counts each that a formula took the place of."""
    rows = (row.values() for sheet in book.worksheets() for row in sheet.table.values())
    kinds = Counter(map(type, chain.from_iterable(rows)))
    book.str_table.count = kinds[STRING] + kinds[library.CellRichStringTuple]


def _areas(cells: Iterable[tuple[int, int]]) -> Iterable[str]:
    """Cells as ranges: runs down a column, as few as that makes."""
    run: list[tuple[int, int]] = []
    for row, column in sorted(cells, key=lambda cell: (cell[1], cell[0])):
        if run and (row, column) != (run[-1][0] + 1, run[-1][1]):
            yield _area(run)
            run = []
        run.append((row, column))
    yield _area(run)


def _area(run: list[tuple[int, int]]) -> str:
    (first, column), (last, _) = run[0], run[-1]
    return str(xl_rowcol_to_cell(first, column) if first == last else xl_range(first, column, last, column))
