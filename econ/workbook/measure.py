"""How much room a text takes in a cell, so that columns and rows are as large as what stands in them."""

from __future__ import annotations

from functools import cache, lru_cache

WIDTHS = {
    191: "'",
    222: "ijl",
    260: "|",
    278: " !,./:;I[\\]ft·",
    333: "()-`r²³{}",
    389: '*°"',
    469: "^",
    500: "Jcksvxyz",
    556: "#$0123456789?L_abdeghnopqu€–",
    584: "+<=>~÷×±√",
    611: "FTZ",
    667: "&ABEKPSVXY",
    722: "CDHNRUw",
    778: "GOQ",
    833: "Mm½",
    889: "%",
    944: "W",
}
"""Advance widths in thousandths of the size, of the sans serif face in use (from a free face of its widths)."""
OTHER = 1000
"""Any other character: as wide as the size."""
PIXELS_PER_POINT = 96 / 72
COLUMN_UNIT = 7
"""Pixels of one unit of column width."""
ROUNDING = 1.04
"""Screens round each letter to whole pixels, and a program may put another face in."""
BOLD = 1.07
"""How much wider bold runs: give the size times this."""
INDENT = 10
"""Pixels of one step of indent, and of the padding of a cell."""


@cache
def _advances() -> dict[str, int]:
    return {letter: width for width, letters in WIDTHS.items() for letter in letters}


@lru_cache(maxsize=16_384)
def pixels(text: str, size: float = 10) -> float:
    """Pixels that a text takes on one line at a size in points."""
    found = _advances()
    return sum([found.get(letter, OTHER) for letter in text]) / 1000 * size * PIXELS_PER_POINT * ROUNDING


@cache
def _widest(size: float) -> float:
    """Pixels of the widest letter there is at a size."""
    return OTHER / 1000 * size * PIXELS_PER_POINT * ROUNDING


def lines_of(text: str, width: float, size: float = 10) -> int:
    """Lines that a text takes, wrapped between words, in a column (or merged columns) of this width."""
    room = max(COLUMN_UNIT * width - INDENT, COLUMN_UNIT)
    return sum(_wrapped(line, room, size) for line in text.split("\n"))


def _wrapped(line: str, room: float, size: float) -> int:
    if len(line) * _widest(size) <= room or pixels(line, size) <= room:
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
    lines = max((lines_of(text, width, size) for text, width in texts), default=1)
    return max(least, 1.2 * size * lines + 3)
