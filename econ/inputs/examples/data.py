"""Kiln log and assays of the invented plants: from their text file, and in another unit system."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from econ.errors import FactorError
from econ.inputs.records import TypedLine, TypedTable
from econ.inputs.rows import Row
from econ.inputs.schema import table_plans
from econ.units import Unit, match


def tables_of(read: Mapping[str, Any]) -> dict[str, TypedTable]:
    """Tables from their text: `columns` and `units` by last word of the key, `lines` as arrays, "" for empty.

    Raises FactorError for a table or column that the schema does not have.
    """
    return {name: _table(name, table) for name, table in read.items()}


def _table(name: str, read: Mapping[str, Any]) -> TypedTable:
    plan = table_plans().get(name)
    keys = [f"{name}.{word}" for word in read["columns"]]
    unknown = [key for key in keys if plan is None or key not in plan.by_key]
    if plan is None or unknown:
        raise FactorError(f"no table or column {', '.join(unknown) or name}")
    lines = []
    for number, values in enumerate(read["lines"], start=1):
        where = dict.fromkeys(plan.by_key, f"{plan.sheet}, line {number}")
        lines.append(TypedLine(dict(zip(keys, values, strict=True)), where))
    return TypedTable({f"{name}.{word}": unit for word, unit in read["units"].items()}, tuple(lines))


def converted(
    tables: Mapping[str, TypedTable], system: str, currency: str, digits: int | None
) -> dict[str, TypedTable]:
    """The same tables in the units that a blank workbook of `system` starts with, to so many figures."""
    return {name: _converted(name, table, system, currency, digits) for name, table in tables.items()}


def _converted(name: str, table: TypedTable, system: str, currency: str, digits: int | None) -> TypedTable:
    columns = table_plans()[name].by_key
    pairs = {
        key: _pair(columns[key], unit, system, currency)
        for key, unit in table.units.items()
        if isinstance(unit, str)
    }

    def carry(key: str, item: object) -> object:
        if key not in pairs or isinstance(item, bool) or not isinstance(item, int | float):
            return item
        old, new = pairs[key]
        if old == new:
            return item
        value = new.from_canonical(old.to_canonical(float(item)))
        return value if digits is None else float(f"{value:.{digits}g}")

    lines = tuple(
        replace(line, cells={key: carry(key, item) for key, item in line.cells.items()}) for line in table.lines
    )
    return replace(table, lines=lines, units={key: new.short for key, (_, new) in pairs.items()})


def _pair(column: Row, typed: str, system: str, currency: str) -> tuple[Unit, Unit]:
    """The unit typed, and the one the other system starts with where it measures the same."""
    new = column.start_unit(system, currency)
    assert new is not None, column.key
    if column.is_money:  # a currency only names: the amount stays
        return new, new
    old = match(typed, new, column.unit_choices(currency), currency)
    assert old is not None, f"{column.key}: {typed}"
    if new.dimension != old.dimension:
        new = next(choice for choice in column.unit_choices(currency) if choice.dimension == old.dimension)
    return old, new
