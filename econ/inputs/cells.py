"""What one typed cell means: numbers, choices, text and units, each refused with a sentence."""

from __future__ import annotations

import datetime as dt
import math
import sys

from econ.errors import InputFault
from econ.harmless import one_line
from econ.inputs.records import ErrorCell, Typed, Uncalculated, is_empty
from econ.inputs.rows import Row
from econ.units import Unit, match

MOST = sys.float_info.max
"""A whole number of a workbook may have hundreds of digits, more than a float can hold."""
LEAST = 1e-9
"""Of a row that must be above 0, the least value in canonical units: dividing by less leads nowhere."""


def say(item: object) -> str:
    """A cell's content as a fault names it."""
    if isinstance(item, Uncalculated):
        return "a formula that was never calculated"
    if isinstance(item, ErrorCell):
        return f"the error value {item}"
    if isinstance(item, bool):
        return str(item).upper()
    if isinstance(item, dt.datetime | dt.date | dt.time | dt.timedelta):
        return f"the date or time {item}"
    if isinstance(item, str):
        return f"the text {item.strip()[:60]!r}"
    if is_empty(item):
        return "an empty cell"
    if isinstance(item, int) and abs(item) > MOST:
        digits = math.floor(math.log10(abs(item))) + 1
        return f"a number of {digits - (10 ** (digits - 1) > abs(item))} digits"
    return f"{item:g}" if isinstance(item, int | float) else repr(item)


def _bounds(row: Row, unit: Unit | None) -> str:
    """The allowed range of a row in the unit typed, in words."""

    def shown(x: float) -> str:
        return f"{unit.from_canonical(x) if unit else x:.6g}"

    low, high = row.lowest, row.highest
    edge = "above" if row.above_lowest else "from"
    words = "a whole number" if row.kind == "whole" else "a number"
    if math.isfinite(low) and math.isfinite(high):
        words += f" {edge} {shown(low)} to {shown(high)}"
    return f"{words} {unit.name}" if unit else words


def number(row: Row, item: object, unit: Unit | None, where: str) -> float:
    """The canonical value of a number cell; raises InputFault for anything that is not a usable number."""
    expected = _bounds(row, unit)
    if isinstance(item, str) and not isinstance(item, ErrorCell):
        hint = " without thousands separators or units in the cell" if any(c.isdigit() for c in item) else ""
        raise InputFault(where, say(item), f"{expected}{hint}")
    if isinstance(item, bool) or not isinstance(item, int | float):
        raise InputFault(where, say(item), expected)
    if abs(item) > MOST or math.isnan(item):
        raise InputFault(where, say(item), expected)
    value = unit.to_canonical(float(item)) if unit else float(item)
    slack = 1e-12 * max(abs(value), 1.0)
    too_low = value < (row.lowest + LEAST if row.above_lowest else row.lowest - slack)
    if too_low or value > row.highest + slack:
        raise InputFault(where, say(item), f"{expected}{_share_hint(unit, item)}{_least_hint(row, unit, value)}")
    if row.kind == "whole" and value != int(value):
        raise InputFault(where, say(item), expected)
    return value


def _share_hint(unit: Unit | None, item: float) -> str:
    if unit is not None and unit.short == "fraction" and 1 < item <= 100:
        return f" (for {item:g} percent type {item / 100:g}, or choose the unit %)"
    return ""


def _least_hint(row: Row, unit: Unit | None, value: float) -> str:
    if row.above_lowest and row.lowest < value < row.lowest + LEAST:
        least = row.lowest + LEAST
        return f", no closer to it than {unit.from_canonical(least) if unit else least:.3g}"
    return ""


def row_unit(row: Row, typed: Typed, system: str, currency: str) -> Unit | None:
    """The unit of a row as typed, or raise InputFault.

    An empty unit cell is a fault for a temperature, whose meaning changes with it, and for any row that
    holds a value: the template always fills it in.
    """
    if not row.units:
        return None
    own = row.start_unit(system, currency)
    assert own is not None
    allowed = row.unit_choices(currency)
    where = typed.at("unit")
    names = "; ".join(choice.name for choice in allowed)
    if is_empty(typed.unit):
        if typed.is_blank or len(allowed) == 1:
            return own
        raise InputFault(where, "no unit", f"one of: {names}")
    found = match(str(typed.unit), own, allowed, currency) if isinstance(typed.unit, str) else None
    if found is None:
        raise InputFault(where, f"the unit {str(typed.unit)[:40]!r}", f"one of: {names}")
    return found


def choice(row: Row, item: object, where: str) -> str:
    """The slug of a choice cell, or InputFault naming the choices."""
    found = row.option(item) if isinstance(item, str) else None
    if found is None:
        raise InputFault(where, say(item), "one of: " + "; ".join(option.label for option in row.choices))
    return found.slug


def text(item: object) -> str:
    """A text cell as one harmless line of at most 200 characters."""
    return "" if item is None else one_line(item)
