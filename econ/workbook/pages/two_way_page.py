"""The two-way table, and the page of break-even values: where the answer turns."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from econ.inputs.records import Entry
from econ.questions.found import STEPS, BreakEven, TwoWay
from econ.workbook.desk import BREAKEVEN, Desk
from econ.workbook.style import number_format

WIDTHS = (46, 14, 16, 16, 16, 20, 52)
TOP = 6


def write_breakeven(desk: Desk) -> None:
    """One row a lever: its value, where the NPV is zero, the range that was searched."""
    sheet = desk.sheet(BREAKEVEN, "Where does the answer turn?", WIDTHS)
    sheet.write_string(3, 0, "Each input is changed alone until the NPV is zero (break-even). Prices of several "
                       "tiers or fuels move in proportion.", desk.styles("plain"))  # fmt: skip
    sheet.write_string(
        4,
        0,
        "At zero the kiln equals current practice. These are values: edit the scenario and run again.",
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
    unit, factor = desk.shown_unit(found.unit)
    return lambda value: value * factor, unit


LINES = 2 * STEPS + 7
"""Rows that the table takes, its title and its notes counted in."""


def write_two_way(desk: Desk, sheet: Any, top: int) -> None:
    """The table from row `top` on: losses tinted, a thick edge where NPV changes sign."""
    table = desk.results.two_way
    sheet.write_string(top, 0, "Two inputs at once: NPV, and where it passes zero", desk.styles("heading"))
    across_last = len(table.across_steps) if table else 7
    for column in range(1, across_last + 1):
        sheet.write_string(top, column, "", desk.styles("heading"))
    if table is None:
        sheet.write_string(top + 1, 0, "It takes two inputs with a low and a high.", desk.styles("plain"))
        return
    _axes(desk, sheet, top, table)
    loss, gain = desk.styles("loss", "money0"), desk.styles("gain", "money0")
    for i in range(len(table.down_steps)):
        for j in range(len(table.across_steps)):
            value = float(table.npv[i, j])
            edges = _edges(table, i, j)
            shape = desk.styles.edged("loss" if value < 0 else "gain", "money0", edges)
            sheet.write_number(top + 3 + i, 1 + j, value, shape if edges else loss if value < 0 else gain)
    _zeros(desk, sheet, top + 3 + len(table.down_steps), table)


def _name(entry: Entry) -> str:
    return f"{entry.row.label} [{entry.unit.short}]" if entry.unit else entry.row.label


def _axes(desk: Desk, sheet: Any, top: int, table: TwoWay) -> None:
    sheet.write_string(top + 1, 0, "", desk.styles("column"))
    words = f"across: {_name(table.across)}"
    sheet.merge_range(top + 1, 1, top + 1, len(table.across_steps), words, desk.styles("column"))
    sheet.write_string(top + 2, 0, f"down: {_name(table.down)}", desk.styles("column"))
    for j, step in enumerate(table.across_steps):
        _step(desk, sheet, top + 2, 1 + j, table.across, float(step))
    for i, step in enumerate(table.down_steps):
        _step(desk, sheet, top + 3 + i, 0, table.down, float(step))


def _step(desk: Desk, sheet: Any, at: int, column: int, entry: Entry, step: float) -> None:
    shown = entry.shown(step)
    assert shown is not None
    sheet.write_number(at, column, shown, desk.styles("column_right", number_format(shown, "")))


def _edges(table: TwoWay, i: int, j: int) -> tuple[str, ...]:
    """The sides of cell (i, j) on which the zero line runs."""
    is_loss = table.npv < 0
    rows, columns = is_loss.shape
    found = []
    for side, k, m in (("top", i - 1, j), ("bottom", i + 1, j), ("left", i, j - 1), ("right", i, j + 1)):
        if 0 <= k < rows and 0 <= m < columns and is_loss[i, j] != is_loss[k, m]:
            found.append(side)
    return tuple(found)


def _zeros(desk: Desk, sheet: Any, at: int, table: TwoWay) -> None:
    """Under each column the value of the other input at which NPV is nought, if there is one."""
    sheet.write_string(at, 0, "NPV is zero at", desk.styles("total"))
    for j, zero in enumerate(table.zeros()):
        shown = None if math.isnan(zero) else table.down.shown(zero)
        if shown is None:
            sheet.write_string(at, 1 + j, "not in range", desk.styles("total_right"))
        else:
            sheet.write_number(at, 1 + j, shown, desk.styles("total_right", number_format(shown, "")))
    sheet.write_string(
        at + 1, 0, "Tinted: NPV below zero. Thick edges: NPV passes zero between these cells. "
        "The last line reads straight between two rows.", desk.styles("faint"),
    )  # fmt: skip
