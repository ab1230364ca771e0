"""From a typed table to data in canonical units: every faulty cell named by sheet and address."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from econ.errors import InputFault
from econ.inputs import cells
from econ.inputs.records import ErrorCell, Line, TableData, TypedLine, TypedTable, Value, is_empty
from econ.inputs.rows import Row, TablePlan
from econ.inputs.schema import table_plans
from econ.units import Unit, match

FIRST_DATE, LAST_DATE = dt.date(1980, 1, 1), dt.date(2100, 12, 31)


def build_tables(
    typed: Mapping[str, TypedTable], system: str, currency: str, faults: list[InputFault]
) -> dict[str, TableData]:
    """The tables that hold at least one line, by name; every fault found goes to `faults`."""
    found = {}
    for name, plan in table_plans().items():
        if name in typed and typed[name].lines:
            found[name] = _table(plan, typed[name], system, currency, faults)
    return found


def _table(plan: TablePlan, typed: TypedTable, system: str, currency: str, faults: list[InputFault]) -> TableData:
    if len(typed.lines) > plan.most:
        faults.append(InputFault(plan.sheet, f"{len(typed.lines)} filled lines", f"at most {plan.most}"))
    units: dict[str, Unit | None] = {}
    for column in plan.columns:
        try:
            units[column.key] = _unit(column, typed, system, currency)
        except InputFault as fault:
            faults.append(fault)
    known = [column for column in plan.columns if column.key in units]
    lines = tuple(_line(known, units, line, faults) for line in typed.lines[: plan.most])
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
        said = "no unit" if is_empty(item) else f"the unit {str(item)[:40]!r}"
        raise InputFault(
            typed.unit_where.get(column.key, column.key), f"{said} for {column.label!r}", f"one of: {names}"
        )
    return found


def _line(
    columns: list[Row], units: Mapping[str, Unit | None], typed: TypedLine, faults: list[InputFault]
) -> Line:
    values: dict[str, Value] = {}
    for column in columns:
        where = typed.where.get(column.key, column.key)
        try:
            values[column.key] = _value(column, typed.cells.get(column.key), units[column.key], where)
        except InputFault as fault:
            faults.append(fault)
            values[column.key] = None
    return Line(values, typed.where)


def _value(column: Row, item: object, unit: Unit | None, where: str) -> Value:
    if is_empty(item):
        if column.required:
            names = "; ".join(option.label for option in column.choices)
            raise InputFault(where, f"an empty cell for {column.label!r}", f"one of: {names}")
        return None
    if column.kind == "date":
        return _date(item, where)
    if column.kind == "choice":
        return cells.choice(column, item, where)
    if column.kind == "text":
        return cells.text(item)
    return cells.number(column, item, unit, where)


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
        raise InputFault(where, cells.say(item), f"a date from {FIRST_DATE} to {LAST_DATE}, as 2026-03-14")
    return found.isoformat()
