"""Pages that list figures with their formulas: what comes out, and carbon."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from econ.model.lines import line
from econ.workbook.desk import MATTER, Desk, figure_format

WIDTHS = (52, 16, 15, 74)
HEADS = ("Figure", "Value", "Unit", "How it is computed")
TOP = 4
ONE_PAGE = 64
"""So many rows still print readably on one page."""


def write_matter(desk: Desk) -> None:
    """Bones, firings, char, gases, nutrients, sales and running costs of a full year."""
    sheet = desk.sheet(MATTER, "What comes out, and what does a year at the kiln take?", WIDTHS)
    listing(desk, sheet, MATTER, ("matter",), TOP)


def listing(
    desk: Desk,
    sheet: Any,
    name: str,
    pages: tuple[str, ...],
    top: int,
    labels: Mapping[str, str] | None = None,
    freezes: bool = True,
    widths: Sequence[float] = WIDTHS,
) -> int:
    """All figures of the given pages, by section; names each value cell. Returns the next free row.

    `labels` replaces the label of a figure. On a page of more columns the formulas take all from the fourth on.
    """
    styles = desk.styles
    for column, head in enumerate(HEADS):
        look = styles("column" if column == 0 else "column_right" if column == 1 else "column_word")
        if column == 3 and len(widths) > len(HEADS):
            sheet.merge_range(top, 3, top, len(widths) - 1, head, look)
        else:
            sheet.write_string(top, column, head, look)
    if freezes:
        sheet.freeze_panes(top + 1, 1)
    sheet.repeat_rows(top)
    room = sum(widths[3:])
    at = top + 1
    section = ""
    for key in sorted((key for key in desk.sheets.lines if line(key).page in pages), key=_order):
        found, printed = line(key), desk.sheets.lines[key]
        if found.section != section:
            section = found.section
            for column in range(len(widths)):
                sheet.write_string(at, column, section if column == 0 else "", styles("heading"))
            at += 1
        if len(widths) > len(HEADS):
            sheet.merge_range(at, 3, at, len(widths) - 1, "", styles("faint_wrap"))
        desk.write(sheet, at, 1, printed, "plain", figure_format(found, printed.value))
        sheet.write_string(at, 2, desk.unit(found), styles("faint"))
        label = (labels or {}).get(key, found.label)
        desk.explain(sheet, at, label, printed.formula, (widths[0], room))
        desk.define(key, name, at, 1)
        at += 1
    return at


def _order(key: str) -> tuple[int, str]:
    return line(key).order, key
