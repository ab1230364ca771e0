"""What one typed cell means, alone or in a table, and the sentence that refuses it."""

from __future__ import annotations

import datetime as dt
import math
import re
import sys
from collections.abc import Mapping

from econ.errors import InputFault
from econ.harmless import one_line
from econ.inputs.as_typed import column_number, how_to_write, plain_figure, which_ton
from econ.inputs.records import (
    Caution,
    ErrorCell,
    Line,
    TableData,
    Typed,
    TypedLine,
    TypedTable,
    Uncalculated,
    Value,
    is_empty,
)
from econ.inputs.rows import Row, TablePlan
from econ.inputs.schema import rows, table_plans
from econ.units import Unit, match

MOST = sys.float_info.max
"""A whole number of a workbook may have hundreds of digits, more than a float can hold."""
LEAST = 1e-9
"""Of a row that must be above 0, the least value in canonical units: dividing by less leads nowhere."""


def say(item: object) -> str:
    """A cell's content as an error names it."""
    if isinstance(item, Uncalculated):
        return "a formula that was never calculated"
    if isinstance(item, ErrorCell):
        return f"the error value {item}"
    if isinstance(item, bool):
        return str(item).upper()
    if isinstance(item, dt.datetime | dt.date | dt.time | dt.timedelta):
        return f"the date or time {item}"
    if isinstance(item, str):
        return f"the text {one_line(item)[:60]!r}"
    if is_empty(item):
        return "blank"
    if isinstance(item, int) and abs(item) > MOST:
        digits = math.floor(math.log10(abs(item))) + 1
        return f"a number of {digits - (10 ** (digits - 1) > abs(item))} digits"
    if isinstance(item, int | float):
        return plain_figure(item) if math.isfinite(item) else "no finite number"
    return f"something of the kind {type(item).__name__!r}"


def number(row: Row, item: object, unit: Unit | None, where: str) -> float:
    """The canonical value of a number cell; raises InputFault for anything that is not a usable number."""
    kind = "Enter a whole number" if row.kind == "whole" else "Enter a number"
    asked = f"{kind} ({unit.name})" if unit else kind
    if isinstance(item, dt.datetime | dt.date | dt.time | dt.timedelta):
        raise InputFault(where, say(item), f"{asked}; spreadsheet programs turn 2-3 and 1/2 into a date")
    if isinstance(item, bool) or not isinstance(item, int | float) or abs(item) > MOST or item != item:
        raise InputFault(where, say(item), f"{asked}{how_to_write(item)}")
    item = item if isinstance(item, float) else float(item)
    value = unit.to_canonical(item) if unit else item
    if row.kind != "whole" and row.lowest + LEAST * row.above_lowest <= value <= row.highest:
        return value
    slack = 1e-12 * max(abs(value), 1.0)
    too_low = value < (row.lowest + LEAST if row.above_lowest else row.lowest - slack)
    if too_low or value > row.highest + slack:
        hint = f"{_share_hint(unit, item)}{_least_hint(row, unit, value)}"
        raise InputFault(where, say(item), f"{kind} {_limit(row, unit, too_low)}{hint}")
    if row.kind == "whole" and value != int(value):
        raise InputFault(where, say(item), asked)
    return value


def _limit(row: Row, unit: Unit | None, too_low: bool) -> str:
    """The bound that a number went past, in the unit typed."""
    end = row.lowest if too_low else row.highest
    shown = f"{plain_figure(unit.from_canonical(end) if unit else end)}{f' {unit.name}' if unit else ''}"
    if too_low:
        return f"above {shown}" if row.above_lowest else f"of at least {shown}"
    return f"of at most {shown}"


def _share_hint(unit: Unit | None, item: float) -> str:
    if unit is not None and unit.short == "fraction" and 1 < item <= 100:
        return f" (for {item:g} percent type {item / 100:g}, or choose the unit %)"
    return ""


def _least_hint(row: Row, unit: Unit | None, value: float) -> str:
    if row.above_lowest and row.lowest < value < row.lowest + LEAST:
        least = row.lowest + LEAST
        return f", no closer to it than {plain_figure(unit.from_canonical(least) if unit else least)}"
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
        raise InputFault(where, "no unit", f"Choose one of: {names}")
    found = match(str(typed.unit), own, allowed, currency) if isinstance(typed.unit, str) else None
    if found is None:
        asked = f"{which_ton(str(typed.unit))}Choose one of: {names}"
        raise InputFault(where, f"{say(typed.unit)} as the unit", asked)
    return found


_COIN = re.compile(r"^\s*([A-Za-z]{3})\b")


def coin_of(row: Row | None, item: object) -> str:
    """The currency code with which the unit cell of a row of money begins; empty where there is none."""
    found = _COIN.match(item) if row is not None and row.is_money and isinstance(item, str) else None
    return found[1].upper() if found and rows()["plant.currency"].option(found[1]) else ""


def in_coin(item: object, currency: str) -> str:
    """A unit that begins with a currency code, with another code in its place."""
    return _COIN.sub(currency, str(item))


def choice(row: Row, item: object, where: str) -> str:
    """The slug of a choice cell, or InputFault naming the choices."""
    found = row.option(item) if isinstance(item, str) else None
    if found is None:
        raise InputFault(where, say(item), choose(row))
    return found.slug


def choose(row: Row) -> str:
    """What to do about a choice cell."""
    return "Choose one of: " + "; ".join(option.label for option in row.choices)


def text(item: object) -> str:
    """A text cell as one harmless line of at most 200 characters."""
    return "" if item is None else one_line(item)


FIRST_DATE, LAST_DATE = dt.date(1980, 1, 1), dt.date(2100, 12, 31)


def build_tables(
    typed: Mapping[str, TypedTable], system: str, currency: str, faults: list[InputFault], said: list[Caution]
) -> dict[str, TableData]:
    """The tables that hold at least one line, by name; errors found go to `faults`, what was read to `said`."""
    found = {}
    for name, plan in table_plans().items():
        if name in typed and typed[name].lines:
            found[name] = _table(plan, typed[name], system, currency, faults, said)
    return found


def _table(
    plan: TablePlan, typed: TypedTable, system: str, currency: str, faults: list[InputFault], said: list[Caution]
) -> TableData:
    if len(typed.lines) > plan.most:
        asked = f"Leave at most {plan.most} and sum up the rest"
        faults.append(InputFault(plan.sheet, f"{len(typed.lines)} filled lines", asked))
    units: dict[str, Unit | None] = {}
    for column in plan.columns:
        try:
            units[column.key] = _unit(column, typed, system, currency)
        except InputFault as fault:
            faults.append(fault)
    known = [column for column in plan.columns if column.key in units]
    lines = tuple(_line(known, units, line, faults, said) for line in typed.lines[: plan.most])
    return TableData(plan, units, lines)


def _unit(column: Row, typed: TypedTable, system: str, currency: str) -> Unit | None:
    """The unit above a column; it must be there where the column holds anything."""
    own = column.start_unit(system, currency)
    if own is None:
        return None
    item = typed.units.get(column.key)
    allowed = column.unit_choices(currency)
    is_used = any(not is_empty(line.cells.get(column.key)) for line in typed.lines)
    if is_empty(item) and (not is_used or len(allowed) == 1):
        return own
    found = match(item, own, allowed, currency) if isinstance(item, str) and not is_empty(item) else None
    if found is None:
        names = "; ".join(choice.name for choice in allowed)
        said = "no unit" if is_empty(item) else f"{say(item)} as the unit"
        where = typed.unit_where.get(column.key, column.label)
        raise InputFault(where, said, f"{which_ton(str(item))}Choose one of: {names}", column.label)
    return found


def _line(
    columns: list[Row], units: Mapping[str, Unit | None], typed: TypedLine, faults: list[InputFault],
    said: list[Caution],
) -> Line:  # fmt: skip
    values: dict[str, Value] = {}
    for column in columns:
        where = typed.where.get(column.key, column.key)
        try:
            values[column.key] = _value(column, typed.cells.get(column.key), units[column.key], where, said)
        except InputFault as fault:
            faults.append(fault)
            values[column.key] = None
    return Line(values, typed.where)


def _value(column: Row, item: object, unit: Unit | None, where: str, said: list[Caution]) -> Value:
    if is_empty(item):
        if column.required:
            raise InputFault(where, "blank", choose(column))
        return None
    if column.kind == "date":
        return _date(item, where)
    if column.kind == "choice":
        return choice(column, item, where)
    if column.kind == "text":
        return text(item)
    return number(column, column_number(column, item, unit, where, said), unit, where)


def _date(item: object, where: str) -> str:
    """A date cell, or a text such as 2026-03-14, as ISO text."""
    found: dt.date | None = None
    if isinstance(item, dt.datetime):
        found = item.date()
    elif isinstance(item, dt.date):
        found = item
    elif isinstance(item, str) and not isinstance(item, ErrorCell):
        try:
            found = dt.date.fromisoformat(item.strip())
        except ValueError:
            found = None
    if found is None or not FIRST_DATE <= found <= LAST_DATE:
        raise InputFault(where, say(item), f"Enter a date from {FIRST_DATE} to {LAST_DATE}, as 2026-03-14")
    return found.isoformat()
