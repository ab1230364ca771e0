"""The page of sources: every factor and table in use, with range, place in the source and mark."""

from __future__ import annotations

from typing import Any

from econ.evidence.used import Used, used
from econ.model.lender import factors_of_class
from econ.workbook.desk import SOURCES, Desk
from econ.workbook.style import number_format, row_height

COLUMNS = ("What", "Value", "Low", "High", "Unit", "Mark", "Source", "Place in the source", "Remark")
WIDTHS = (46, 10, 9, 9, 17, 26, 48, 34, 48)
TOP = 5


def facts_of(desk: Desk) -> tuple[Used, ...]:
    """Every fact in use, in the order of the page."""
    plan = desk.results.plan
    more = (*plan.matter.factors, *plan.planting.factors, *factors_of_class(plan.estimate_class))
    return used(plan.kinds, plan.fuel_kinds, plan.gwp_set, more)


def row_of_fact(desk: Desk) -> dict[str, int]:
    """The row on which a fact stands, by its label."""
    return {fact.label: at for at, fact in enumerate(facts_of(desk), start=TOP + 1)}


def write_sources(desk: Desk) -> None:
    """One row a fact; unverified ones are named as such."""
    facts = facts_of(desk)
    sheet = desk.sheet(SOURCES, "Where do the factors come from?", WIDTHS)
    doubtful = sum(not fact.is_verified for fact in facts)
    sheet.write_string(3, 0, f"{len(facts)} factors are in use; {doubtful} of them are unverified: from memory, "
                       "derived or assumed here. Check those before you cite a figure.",
                       desk.styles("plain"))  # fmt: skip
    for column, name in enumerate(COLUMNS):
        sheet.write_string(TOP, column, name, desk.styles(_look(column)))
    for at, fact in enumerate(facts, start=TOP + 1):
        _row(desk, sheet, at, fact)
    sheet.freeze_panes(TOP + 1, 1)
    sheet.repeat_rows(TOP)
    sheet.autofilter(TOP, 0, TOP + len(facts), len(COLUMNS) - 1)


def _look(column: int) -> str:
    return "column" if column == 0 else "column_right" if column <= 3 else "column_word"


def _row(desk: Desk, sheet: Any, at: int, fact: Used) -> None:
    styles = desk.styles
    sheet.write_string(at, 0, fact.label, styles("wrap"))
    for column, number in ((1, fact.value), (2, fact.low), (3, fact.high)):
        if number is not None:
            sheet.write_number(at, column, number, styles("wrap", number_format(number, "")))
    unit = "" if fact.unit == "-" else fact.unit.replace("m3", "m³")
    words = (unit, fact.mark, fact.source, fact.locator, fact.note)
    small = row_height(*((text, WIDTHS[column]) for column, text in enumerate(words, start=4)), size=9)
    sheet.set_row(at, max(small, row_height((fact.label, WIDTHS[0]), (fact.mark, WIDTHS[5]))))
    for column, text in enumerate(words, start=4):
        bold = column == 5 and not fact.is_verified
        sheet.write_string(at, column, text, styles("mark" if bold else "faint_wrap"))
