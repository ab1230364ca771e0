"""What a person would see of a sheet: how much room each text needs and how much it has.

Letters are measured in DejaVu Sans, which comes with matplotlib, taken at 0.88: that is how much narrower
the sans serif face of the workbooks runs. An approximation to a few per cent, enough to catch clipped text.
"""

from __future__ import annotations

import datetime as dt
import operator
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import matplotlib  # noqa: TID253
from openpyxl.cell.cell import MergedCell
from openpyxl.utils import get_column_letter, range_boundaries
from PIL import ImageFont

NARROWER = 0.88
DEFAULT_HEIGHT = 15.0
PADDING = 5.0


@cache
def face(bold: bool) -> ImageFont.FreeTypeFont:
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return ImageFont.truetype(str(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / name), 100)


@cache
def pixels(text: str, size: float, bold: bool) -> float:
    """Width on the screen at 96 dots an inch."""
    return face(bold).getlength(text) / 100 * size * 96 / 72 * NARROWER


def column_pixels(sheet: Any, column: int) -> float:
    """Width of a column at 100 %; columns may be written as groups that share one width."""
    for one in sheet.column_dimensions.values():
        if one.min and one.max and one.min <= column <= one.max and one.width:
            return 0.0 if one.hidden else 7.0 * one.width + 5.0 - 5.0
    return 64.0


def row_points(sheet: Any, row: int) -> float:
    return float(sheet.row_dimensions[row].height or DEFAULT_HEIGHT)


COMPARED = {">": operator.gt, ">=": operator.ge, "<": operator.lt, "<=": operator.le}


def shown(cell: Any) -> str:
    """The text that a cell shows: numbers by the formats in use here, near enough for their width."""
    value = cell.value
    if value is None or isinstance(value, str):
        return value or ""
    if isinstance(value, dt.datetime | dt.date):
        return "2000-01-01"
    form, literal = section(str(cell.number_format), value)
    if literal and not re.search("[0#]", form):
        return literal
    share = "%" in form
    form, number = form.rstrip(","), abs(value) * 100 if share else abs(value) / 1000 ** len(scaled(form))
    decimals = len(form.split(".")[1].rstrip(" %").replace("#", "0")) if "." in form else 0
    if form == "General":
        text = f"{number:.10g}"
    else:
        text = f"{number:,.{decimals}f}" if "," in form else f"{number:.{decimals}f}"
    return ("-" if value < 0 else "") + text + literal + (" %" if share else "")


def section(form: str, value: float) -> tuple[str, str]:
    """The part of a number format that holds for a value, without its sign and condition, and its words."""
    parts = form.split(";")
    tests = [re.match(r"\[([<>]=?)([^]]+)\]", part) for part in parts]
    if any(tests):
        found = next(part for part, test in zip(parts, tests, strict=True)
                     if test is None or COMPARED[test[1]](value, float(test[2])))  # fmt: skip
    else:
        found = parts[2] if value == 0 and len(parts) == 3 else parts[0]
    words = "".join(re.findall('"([^"]*)"', found))
    return re.sub(r'\[[^]]*\]|"[^"]*"', "", found).lstrip("-"), words


def scaled(form: str) -> str:
    """The commas behind the last digit of a number format: each divides by a thousand."""
    return form[len(form.rstrip(",")) :]


def lines(text: str, room: float, size: float, bold: bool) -> int:
    """Lines of a text wrapped between words."""
    count = 0
    for part in text.split("\n"):
        count, used = count + 1, 0.0
        for word in part.split(" "):
            need = pixels(word, size, bold)
            space = pixels(" ", size, bold) if used else 0.0
            if used and used + space + need > room:
                count, used, space = count + 1, 0.0, 0.0
            if need > room:
                count, need = count + int(need // room), need % room
            used += space + need
    return count


def merges(sheet: Any) -> dict[str, tuple[int, int, int, int]]:
    """The first cell of every merged range with its bounds (columns and rows, from 1)."""
    found = {}
    for one in sheet.merged_cells.ranges:
        left, top, right, bottom = range_boundaries(str(one))
        found[f"{get_column_letter(left)}{top}"] = (left, top, right, bottom)
    return found


@cache
def last_column(sheet: Any) -> int:
    """The last column that is printed."""
    if sheet.print_area:
        return int(range_boundaries(str(sheet.print_area).split("!")[-1].replace("$", ""))[2])
    return int(sheet.max_column)


def _room(sheet: Any, cell: Any, bounds: tuple[int, int, int, int] | None, wraps: bool, to_left: bool) -> float:
    """Pixels across which the text of a cell may stand."""
    if bounds:
        return sum(column_pixels(sheet, column) for column in range(bounds[0], bounds[2] + 1))
    width = column_pixels(sheet, cell.column)
    if wraps or not isinstance(cell.value, str):
        return width
    step = -1 if to_left else 1
    column = cell.column + step
    while 1 <= column <= last_column(sheet):
        beside = sheet.cell(cell.row, column)
        if isinstance(beside, MergedCell) or beside.value not in (None, ""):
            break
        width += column_pixels(sheet, column)
        column += step
    return width


def clipped(sheet: Any) -> Iterator[str]:
    """Every cell whose text is wider or higher than the room it has, in words."""
    joined = merges(sheet)
    for row in sheet.iter_rows():
        if sheet.row_dimensions[row[0].row].hidden:
            continue
        for cell in row:
            text = "" if isinstance(cell, MergedCell) else shown(cell)
            if not text.strip() or cell.column > last_column(sheet) or not column_pixels(sheet, cell.column):
                continue  # nothing there, not printed, or folded
            bounds = joined.get(cell.coordinate)
            wraps = bool(cell.alignment.wrap_text)
            to_left = cell.alignment.horizontal == "right"
            inner = PADDING + 9.0 * cell.alignment.indent
            room = _room(sheet, cell, bounds, wraps, to_left) - inner
            size, bold = float(cell.font.size), bool(cell.font.bold)
            where = f"{sheet.title}!{cell.coordinate} {text[:70]!r}"
            if not wraps or not isinstance(cell.value, str):
                if (need := pixels(text, size, bold)) > room:
                    yield f"{where}: {need:.0f} px in {room:.0f}"
                continue
            if sheet.row_dimensions[cell.row].height is None and not bounds:
                continue  # the program sets the height by itself
            first, last = (bounds[1], bounds[3]) if bounds else (cell.row, cell.row)
            high = sum(row_points(sheet, at) for at in range(first, last + 1))
            if (need := lines(text, room, size, bold) * size * 1.15) > high:
                yield f"{where}: {need:.0f} pt high in {high:.0f}"
