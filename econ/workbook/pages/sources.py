"""The page of sources: every factor and table in use, with range, place in the source and mark."""

from __future__ import annotations

from typing import Any

from econ.evidence.used import Used, used
from econ.workbook.desk import SOURCES, Desk

COLUMNS = ("What", "Value", "Low", "High", "Unit", "Mark", "Source", "Place in the source", "Remark")
WIDTHS = (54, 12, 11, 11, 18, 24, 60, 44, 60)
TOP = 5


def write_sources(desk: Desk) -> None:
    """One row a fact; unverified ones are named as such."""
    facts = used(desk.results.plan.kinds, desk.results.plan.fuel_kinds, desk.results.plan.gwp_set)
    sheet = desk.sheet(SOURCES, "Where do the factors come from?", WIDTHS)
    doubtful = sum(not fact.is_verified for fact in facts)
    sheet.write_string(3, 0, f"{len(facts)} factors are in use; {doubtful} of them are unverified: from memory, "
                       "derived or assumed here. Check those before you cite a figure.",
                       desk.styles("plain"))  # fmt: skip
    for column, name in enumerate(COLUMNS):
        sheet.write_string(TOP, column, name, desk.styles("column_right" if column in {1, 2, 3} else "column"))
    for at, fact in enumerate(facts, start=TOP + 1):
        _row(desk, sheet, at, fact)
    sheet.freeze_panes(TOP + 1, 1)
    sheet.repeat_rows(TOP)
    sheet.autofilter(TOP, 0, TOP + len(facts), len(COLUMNS) - 1)


def _row(desk: Desk, sheet: Any, at: int, fact: Used) -> None:
    styles = desk.styles
    sheet.write_string(at, 0, fact.label, styles("wrap"))
    for column, number in ((1, fact.value), (2, fact.low), (3, fact.high)):
        if number is not None:
            sheet.write_number(at, column, number, styles("wrap"))
    words = (fact.unit, fact.mark, fact.source, fact.locator, fact.note)
    for column, text in enumerate(words, start=4):
        bold = column == 5 and not fact.is_verified
        sheet.write_string(at, column, text, styles("bold" if bold else "faint_wrap"))
