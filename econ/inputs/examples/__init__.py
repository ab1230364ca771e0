"""Invented plants, each a reviewable text file; shipped scenarios and the example fill come from them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from econ.errors import FactorError
from econ.fields import record, replace
from econ.inputs.cells import carried
from econ.inputs.records import Typed, TypedLine, TypedTable, is_number
from econ.inputs.rows import Row
from econ.inputs.schema import rows, table_plans
from econ.shipped import described
from econ.units import match

NAMES = ("thistle-flat", "low-sedge", "alder-ford")
"""The shipped plants: one where the kiln pays, one where it does not."""


@record(frozen=True, slots=True)
class Example:
    """An invented plant: its title, unit system, currency, and rows and tables as a person would type them."""

    name: str
    title: str
    system: str
    currency: str
    rows: Mapping[str, Typed]
    tables: Mapping[str, TypedTable]


def example(name: str) -> Example:
    """The example called `name`; raises FactorError for one that is not shipped."""
    if name not in NAMES:
        raise FactorError(f"no example {name!r}; choose one of {', '.join(NAMES)}")
    read = described(name, "inputs/examples")
    typed = {
        key: Typed(**{"source" if word == "from" else word: item for word, item in row.items()}, where=key)
        for key, row in read["rows"].items()
    }
    if unknown := sorted(typed.keys() - rows().keys()):
        raise FactorError(f"{name}.toml names rows that the schema does not have: {', '.join(unknown)}")
    for word in ("title", "currency"):
        key = "plant.name" if word == "title" else "plant.currency"
        typed[key] = Typed(value=read[word], where=key)
    return Example(name, read["title"], read["system"], read["currency"], typed, tables_of(read.get("tables", {})))


def tables_of(read: Mapping[str, Any]) -> dict[str, TypedTable]:
    """Tables from their text: `columns` and `units` by last word of the key, `lines` as arrays, "" for empty.

    Raises FactorError for a table or column that the schema does not have.
    """
    found = {}
    for name, table in read.items():
        plan = table_plans().get(name)
        keys = [f"{name}.{word}" for word in table["columns"]]
        unknown = [key for key in keys if plan is None or key not in plan.by_key]
        if plan is None or unknown:
            raise FactorError(f"no table or column {', '.join(unknown) or name}")
        places = [dict.fromkeys(plan.by_key, f"{plan.sheet}, line {n + 1}") for n in range(len(table["lines"]))]
        lines = (dict(zip(keys, values, strict=True)) for values in table["lines"])
        units = {f"{name}.{word}": unit for word, unit in table["units"].items()}
        found[name] = TypedTable(units, tuple(map(TypedLine, lines, places)))
    return found


def in_units(plant: Example, system: str, currency: str, digits: int | None = 3) -> Example:
    """The same plant in another unit system and currency name.

    With `digits` numbers are rounded to so many figures, which makes a nearby plant with plain numbers;
    None keeps them exact. Amounts of money keep their number: a currency only names.
    """

    def way(row: Row, typed_unit: object) -> tuple[Any, Callable[[object], object]]:
        """The unit in the other system, and what carries a number to it."""
        allowed, new = row.unit_choices(currency), row.start_unit(system, currency)
        if new is None or not isinstance(typed_unit, str):
            return typed_unit, lambda item: item
        old = match(typed_unit.replace(plant.currency, currency), allowed[0], allowed, currency)
        assert old is not None, f"{row.key}: {typed_unit}"
        if new.dimension != old.dimension:
            new = next(choice for choice in allowed if choice.dimension == old.dimension)
        if system == plant.system or new.factor == old.factor:
            return old.short, lambda item: item

        def carry(item: object) -> object:
            value = carried(item, old, new)
            return float(f"{value:.{digits}g}") if digits is not None and is_number(value) else value

        return new.short, carry

    typed = {}
    for key, one in plant.rows.items():
        unit, carry = way(rows()[key], one.unit)
        typed[key] = replace(one, value=carry(one.value), low=carry(one.low), high=carry(one.high), unit=unit)
    typed["plant.currency"] = Typed(value=currency, where="plant.currency")
    tables = {}
    for name, table in plant.tables.items():
        columns = table_plans()[name].by_key
        ways = {key: way(columns[key], unit) for key, unit in table.units.items()}
        tables[name] = replace(
            table,
            units={key: unit for key, (unit, _) in ways.items()},
            lines=tuple(
                replace(line, cells={key: ways[key][1](item) if key in ways else item
                                     for key, item in line.cells.items()})
                for line in table.lines
            ),
        )  # fmt: skip
    return replace(plant, system=system, currency=currency, rows=typed, tables=tables)
