"""One style sheet: widths measured by letter, formats, and what all charts share.

The colours of one chart differ in lightness as well as in hue, so that they stay apart in grey print and
for colour-blind eyes: dark INK, middling SLATE or CLAY (never both), light OCHRE or MIST (never both).
"""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Iterable
from functools import cache, lru_cache
from typing import Any, TypeAlias

import xlsxwriter

from econ.shipped import described

_KEPT = described("style", "workbook")
COLOURS: dict[str, str] = _KEPT["colours"]
INK, CLAY, OCHRE, SLATE, MIST, WHITE, *_ = COLOURS.values()
LOOKS: dict[str, dict[str, Any]] = {
    name: {word: COLOURS.get(value, value) for word, value in look.items()}
    for name, look in _KEPT["looks"].items()
}
NUMBERS: dict[str, str] = _KEPT["numbers"]
"""Colours, looks and number formats by their names."""
OTHER = 1000
"""Any other character: as wide as the size."""
ADVANCES: dict[str, int] = defaultdict(lambda: OTHER)
ADVANCES |= {letter: int(width) for width, letters in _KEPT["advances"].items() for letter in letters}
PIXELS_PER_POINT = 96 / 72
COLUMN_UNIT = 7
"""Pixels of one unit of column width."""
ROUNDING = 1.04
"""Screens round each letter to whole pixels, and a program may put another face in."""
BOLD = 1.07
"""How much wider bold runs: give the size times this."""
MARGIN, TOP_MARGIN, BOTTOM_MARGIN = 0.4, 0.4, 0.7
"""Inches around what is printed, left and right alike."""
ROW = 15.0
"""Points of a row that says nothing else."""
PAPER = {True: (8.5, 11.0), False: (8.27, 11.69)}
"""Inches of Letter and A4, by whether it is Letter."""
INDENT = 10
"""Pixels of one step of indent, and of the padding of a cell."""


@lru_cache(maxsize=16_384)
def pixels(text: str, size: float = 10) -> float:
    """Pixels that a text takes on one line at a size in points."""
    return math.fsum(map(ADVANCES.__getitem__, text)) / 1000 * size * PIXELS_PER_POINT * ROUNDING


def lines_of(text: str, width: float, size: float = 10) -> int:
    """Lines that a text takes, wrapped between words, in a column (or merged columns) of this width."""
    room = max(COLUMN_UNIT * width - INDENT, COLUMN_UNIT)
    if "\n" not in text:  # as most are
        return _wrapped(text, room, size)
    return sum(_wrapped(line, room, size) for line in text.split("\n"))


def one_line_width(text: str, size: float = 10) -> float:
    """The column width that shows a text on one line."""
    return (pixels(text, size) + INDENT) / COLUMN_UNIT


def _wrapped(line: str, room: float, size: float) -> int:
    widest = OTHER / 1000 * size * PIXELS_PER_POINT * ROUNDING
    if len(line) * widest <= room or pixels(line, size) <= room:
        return 1
    lines, used = 1, 0.0
    space = pixels(" ", size)
    for word in line.split(" "):
        need = pixels(word, size)
        if used and used + space + need > room:
            lines, used = lines + 1, 0.0
        if need > room:  # longer than a line: broken inside
            lines += int(need // room)
            need %= room
        used += need + (space if used else 0.0)
    return lines


def row_height(*texts: tuple[str, float], size: float = 10, least: float = 15) -> float:
    """Points of a row that shows each (text, column width) whole."""
    return height_of(max([lines_of(text, width, size) for text, width in texts], default=1), size, least)


def height_of(lines: int, size: float, least: float = 15) -> float:
    """Points of a row of so many lines."""
    return max(least, 1.2 * size * lines + 3)


@cache
def need_of(look: str) -> tuple[float, float, float]:
    """Points of a row that one line of a look needs, its size and indent; size 0 where text does not wrap."""
    found = LOOKS[look]
    size = found.get("font_size", 10) * (BOLD if found.get("bold") else 1)
    return 1.4 * size if size > 12 else 0.0, size if found.get("text_wrap") else 0.0, found.get("indent", 0)


Format: TypeAlias = Any
FONT = "Arial"
"""A face that every office program has or replaces with one of the same widths."""

BASE: dict[str, Any] = {"font_name": FONT, "font_size": 10, "font_color": INK, "valign": "vcenter"}

FIXED_TIME = dt.datetime(2000, 1, 1)
"""Written as the creation time of every workbook, so that equal contents make equal files."""

RIGHT = {"plain": "right", "bold": "bold_right", "total": "total_right"}
"""What a word looks like where a number would stand."""
NOISE = 1e-9
"""Anything smaller is a remainder of adding up, shown as a plain 0."""
THOUSAND, MILLION = 1000, 999_999.5
"""From where on a typed number has commas, and a narrow column millions."""


def new_book(target: Any, title: str, is_plain: bool = False, **properties: str) -> Any:
    """An xlsxwriter Workbook; its first format gives the unit of column widths, so it is the face in use.

    `target`: bytes in memory, or a file that is written row by row. The library keeps notes in the options it is
    given: each workbook gets its own, else the second of a process would not equal the first.
    """
    own = {} if is_plain else {"default_format_properties": {"font_name": FONT, "font_size": 10}}
    where = "constant_memory" if isinstance(target, str) else "in_memory"
    book = xlsxwriter.Workbook(
        target, {where: True, "strings_to_formulas": False, "strings_to_urls": False, **own}
    )
    book.set_properties({"title": title, **properties, "created": FIXED_TIME})
    return book


class Styles:
    """Formats made once a workbook and handed out by look and number format."""

    def __init__(self, book: Any) -> None:
        self._book = book
        self._made: dict[tuple[str, str, tuple[str, ...]], Format] = {}
        self._look: dict[int, str] = {}

    def __call__(self, look: str = "plain", number: str = "general", edges: tuple[str, ...] = ()) -> Format:
        """The format of a look ("label", ...) with a number format ("n0", ...), some sides with a thick edge."""
        key = (look, number, edges)
        if key not in self._made:
            thick = dict.fromkeys(edges, 5) | {f"{side}_color": INK for side in edges}
            shape = {**BASE, **LOOKS[look], "num_format": NUMBERS[number], **thick}
            self._made[key] = self._book.add_format(shape)
            self._look[id(self._made[key])] = look
        return self._made[key]

    def look_of(self, shape: Format) -> str:
        """The look that a format was made for; none for a format made elsewhere."""
        return self._look.get(id(shape), "")

    def laid_over(self, **shape: Any) -> Format:
        """A look laid over that of a cell by a condition."""
        key = (repr(shape), "", ())
        if key not in self._made:
            self._made[key] = self._book.add_format(shape)
        return self._made[key]


def number_format(value: float, unit: str, money: bool = False) -> str:
    """A number format that shows a value of this size with about three figures that matter."""
    if unit == "share":
        return "pct1"
    size = abs(value)
    if size >= 1000:
        return "money0" if money else "n0"
    if size >= 100:
        return "n0" if unit != "$" else "money0"
    if size >= 10:
        return "n1"
    if size < NOISE:
        return "n2"
    return "n2" if size >= 1 else "n3" if size >= 0.01 else "sig" if size >= 0.001 else "tiny"


def fitted(number: str, value: float) -> str:
    """The number format for a value, where it goes by size and LibreOffice would spoil a condition within it.

    It drops a minus in the last section of a format with conditions, and never shortens General in one.
    """
    if number == "tight":
        return "millions" if abs(value) >= MILLION else number
    return "general" if number == "typed" and abs(value) < THOUSAND else number


def page(
    sheet: Any, landscape: bool = True, repeat: int | None = None, is_letter: bool = False, said: str = "&F"
) -> None:
    """Print set-up: one page wide, page x of y, what is `said` and the sheet in the footer; A4 or letter."""
    if landscape:
        sheet.set_landscape()
    sheet.set_paper(1 if is_letter else 9)
    sheet.fit_to_pages(1, 0)
    sheet.set_margins(MARGIN, MARGIN, TOP_MARGIN, BOTTOM_MARGIN)
    sheet.set_footer(f"&L&10{said}: &A&R&10Page &P of &N")
    if repeat is not None:
        sheet.repeat_rows(repeat)
    sheet.hide_gridlines(2)
    sheet.set_zoom(100)


def room_of_page(widths: Iterable[float], landscape: bool, is_letter: bool) -> float:
    """Points of rows that one page takes when columns of these widths fill it, at most at their size."""
    across, down = sorted(PAPER[is_letter], reverse=landscape)
    need = math.fsum(COLUMN_UNIT * width + 5 for width in widths) / PIXELS_PER_POINT
    scale = min(1.0, (across - 2 * MARGIN) * 72 / need)
    return (down - TOP_MARGIN - BOTTOM_MARGIN) * 72 / scale


FACE = {"name": FONT, "color": INK}
LEGEND = {"position": "bottom", "font": {**FACE, "size": 10}}
NO_LEGEND = {"none": True}


def title(text: str) -> dict[str, Any]:
    """The title of a chart."""
    return {"name": text, "name_font": {**FACE, "size": 11, "bold": True}, "overlay": False}


def axis(name: str, has_grid: bool = False) -> dict[str, Any]:
    """An axis with its title, which names the unit."""
    return {
        "name": name,
        "name_font": {**FACE, "size": 10, "bold": False},
        "num_font": {**FACE, "size": 10},
        "major_gridlines": {"visible": has_grid, "line": {"color": COLOURS["grid"]}},
    }
