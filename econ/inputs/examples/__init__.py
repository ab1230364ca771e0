"""Invented plants, each a reviewable text file; shipped scenarios and the example fill come from them."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from importlib.resources import files

from econ.errors import FactorError
from econ.inputs.examples.data import converted, tables_of
from econ.inputs.records import Typed, TypedTable
from econ.inputs.schema import rows
from econ.units import match

NAMES = ("thistle-flat", "low-sedge", "alder-ford")
"""The shipped plants: one where the kiln pays, one where it does not."""


@dataclass(frozen=True, slots=True)
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
    text = (files("econ.inputs.examples") / f"{name}.toml").read_text(encoding="utf-8")
    read = tomllib.loads(text)
    typed = {
        key: Typed(
            value=row.get("value"),
            low=row.get("low"),
            high=row.get("high"),
            unit=row.get("unit"),
            known=row.get("known"),
            source=row.get("from"),
            where=key,
        )
        for key, row in read["rows"].items()
    }
    unknown = sorted(typed.keys() - rows().keys())
    if unknown:
        raise FactorError(f"{name}.toml names rows that the schema does not have: {', '.join(unknown)}")
    typed["plant.name"] = Typed(value=read["title"], where="plant.name")
    typed["plant.currency"] = Typed(value=read["currency"], where="plant.currency")
    return Example(name, read["title"], read["system"], read["currency"], typed, tables_of(read.get("tables", {})))


def in_units(plant: Example, system: str, currency: str, digits: int | None = 3) -> Example:
    """The same plant in another unit system and currency name.

    With `digits` numbers are rounded to so many figures, which makes a nearby plant with plain numbers;
    None keeps them exact. Amounts of money keep their number: a currency only names.
    """
    typed = {key: _converted(row, key, plant, system, currency, digits) for key, row in plant.rows.items()}
    typed["plant.currency"] = Typed(value=currency, where="plant.currency")
    return replace(
        plant,
        system=system,
        currency=currency,
        rows=typed,
        tables=converted(plant.tables, system, currency, digits),
    )


def _converted(typed: Typed, key: str, plant: Example, system: str, currency: str, digits: int | None) -> Typed:
    row = rows()[key]
    if not row.units or not isinstance(typed.unit, str):
        return typed
    old = match(typed.unit, row.unit_choices(plant.currency)[0], row.unit_choices(plant.currency), plant.currency)
    assert old is not None, f"{key}: {typed.unit}"
    new = row.start_unit(system, currency)
    assert new is not None
    if new.dimension != old.dimension:
        new = next(choice for choice in row.unit_choices(currency) if choice.dimension == old.dimension)
    if system == plant.system or new.factor == old.factor:
        new = match(typed.unit.replace(plant.currency, currency), new, row.unit_choices(currency), currency)
        assert new is not None
        return replace(typed, unit=new.short)

    def carry(item: object) -> object:
        if not isinstance(item, int | float):
            return item
        value = new.from_canonical(old.to_canonical(item))
        return value if digits is None else float(f"{value:.{digits}g}")

    return replace(typed, value=carry(typed.value), low=carry(typed.low), high=carry(typed.high), unit=new.short)
