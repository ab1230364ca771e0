"""The page of break-even values: where one input turns the answer, all else at its value."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from econ.questions.breakeven import BreakEven
from econ.workbook.desk import BREAKEVEN, Desk
from econ.workbook.style import number_format

WIDTHS = (46, 14, 16, 16, 16, 20, 52)
TOP = 6


def write_breakeven(desk: Desk) -> None:
    """One row a lever: its value, where the NPV is zero, the range that was searched."""
    sheet = desk.sheet(BREAKEVEN, "Where does the answer turn?", WIDTHS)
    sheet.write_string(3, 0, "One input at a time is moved over its range until the NPV is nil; prices of several "
                       "tiers or fuels move in proportion.", desk.styles("plain"))  # fmt: skip
    sheet.write_string(
        4,
        0,
        "Nil: the kiln is then worth as much as today's way. These are values: change the scenario and run again.",
        desk.styles("plain"),
    )
    heads = ("Input", "Value", "Breaks even at", "Searched from", "Searched to", "Unit", "In words")
    for column, name in enumerate(heads):
        sheet.write_string(TOP - 1, column, name, desk.styles(_look(column)))
    at = TOP
    for found in desk.results.breakeven:
        at = _row(desk, sheet, at, found)
    sheet.freeze_panes(TOP, 1)


def _look(column: int) -> str:
    return "column" if column == 0 else "column_right" if column <= 4 else "column_word"


def _row(desk: Desk, sheet: Any, at: int, found: BreakEven) -> int:
    """The lever on one row, and a row more for each further value."""
    sheet.write_string(at, 0, found.label, desk.styles("label"))
    shown, unit = _as_typed(desk, found)
    for column, number in ((1, shown(found.value)), (3, shown(found.lowest)), (4, shown(found.highest))):
        sheet.write_number(at, column, number, desk.styles("plain", number_format(number, "")))
    sheet.write_string(at, 5, unit, desk.styles("faint"))
    sheet.write_string(at, 6, found.words, desk.styles("faint"))
    if not found.values:
        sheet.write_string(at, 2, "none in range", desk.styles("bold_right"))
        return at + 1
    for step, (value, jumps) in enumerate(zip(found.values, found.jumps, strict=True)):
        number = shown(value)
        sheet.write_number(at + step, 2, number, desk.styles("bold", number_format(number, "")))
        if jumps and len(found.values) > 1:
            sheet.write_string(at + step, 6, "the answer jumps across here", desk.styles("faint"))
    return at + len(found.values)


def _as_typed(desk: Desk, found: BreakEven) -> tuple[Callable[[float], float], str]:
    """How to show a value, and its unit: a fuel's price in the measure that was typed, all else as it is."""
    entry = desk.results.scenario[f"fuel.{desk.results.plan.fuels[0]}.price"]
    if found.name == "fuel_price" and found.unit != "share" and entry.unit is not None:
        return entry.unit.from_canonical, entry.unit.short
    return lambda value: value, found.unit.replace("$", desk.currency)
