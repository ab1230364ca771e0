"""From what was typed to a scenario: every fault at once, defaults filled in and marked."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from functools import partial
from typing import TypeVar

from econ.errors import InputFault, InputFaults
from econ.fields import replace
from econ.inputs import cells, checks
from econ.inputs.as_typed import decimal_commas
from econ.inputs.cells import Manner, as_number
from econ.inputs.defaults import fill_ranges, keep_in_proportion, resolve_defaults
from econ.inputs.put_over import currency_of, in_plant_currency
from econ.inputs.records import Caution, Entry, Line, Scenario, TableData, Typed, TypedTable, Value, is_empty
from econ.inputs.rows import Row, TablePlan, plain
from econ.inputs.schema import blocks, placed, rows, table_plans
from econ.units import Unit

Found = TypeVar("Found")
TypedRows = Mapping[str, Typed]
Faults = list[InputFault]
Said = list[Caution]


def build(
    typed: TypedRows, system: str = "metric", warnings: Iterable[Caution] = (),
    tables: Mapping[str, TypedTable] | None = None,
) -> Scenario:  # fmt: skip
    """The scenario that the typed rows and tables mean.

    Texts that are numbers are read, and said in a caution. Raises InputFaults with every fault found. Rows
    that are not in `typed` count as empty.
    """
    faults: list[InputFault] = []
    said: list[Caution] = []
    currency = currency_of(typed)
    typed, tables = in_plant_currency(typed, tables or {}, currency, said)
    chosen = rows()["plant.units"].option(str(typed.get("plant.units", Typed()).value or ""))
    manner = Manner(False, chosen.slug if chosen else system, currency, chosen is not None)
    entries = dict(_entries(typed, manner, faults, said))
    resolve_defaults(entries)
    keep_in_proportion(entries)
    fill_ranges(entries)
    data = {
        name: _table(plan, tables[name], manner, faults, said)
        for name, plan in table_plans().items()
        if name in tables and tables[name].lines
    }
    seen = {fault.where for fault in faults}
    faults += [fault for fault in checks.faults(entries, data) if fault.where not in seen]
    if faults:
        raise InputFaults(_named(faults, typed, tables), [placed(one) for one in (*warnings, *said)])
    found = (*warnings, *said, *checks.warnings(entries))
    return Scenario(entries, found, str(entries["plant.name"].value or ""), data)


def _named(faults: Faults, typed: TypedRows, tables: Mapping[str, TypedTable]) -> Faults:
    """The same errors, each with the name of the row or column that its address belongs to."""
    names = {
        at: rows()[key].label
        for key, given in typed.items()
        if key in rows()
        for at in (given.where, *(given.cells or {}).values())
    }
    for plan in table_plans().values():
        for line in tables[plan.name].lines if plan.name in tables else ():
            names |= {at: plan.by_key[key].label for key, at in line.where.items() if key in plan.by_key}
    return [InputFault(one.where, one.wrong, one.do, one.name or names.get(one.where, "")) for one in faults]


def _entries(typed: TypedRows, manner: Manner, faults: Faults, said: Said) -> Iterator[tuple[str, Entry]]:
    """Every row and its entry; of a block its first instance and those of which anything is typed."""
    given = [(rows()[key], one) for key, one in typed.items() if key in rows()]
    active = {(row.block, row.number) for row, one in given if not one.is_blank}
    cells_of: dict[str, list[object]] = {row.sheet: [] for row in rows().values()}
    for row, one in given:
        if row.is_number:
            cells_of[row.sheet] += (one.value, one.low, one.high)
    manners = {sheet: replace(manner, comma=decimal_commas(found)) for sheet, found in cells_of.items()}
    excused = checks.excused(typed)
    for key, row in rows().items():
        if row.number > 1 and (row.block, row.number) not in active:
            continue
        own, manner = typed.get(key, Typed(where=f"{row.sheet}, {row.label}")), manners[row.sheet]
        if row.unless and not typed.get(f"{key.rpartition('.')[0]}.{row.unless}", Typed()).is_blank:
            row = replace(row, required=False, spare=True)
        elif key in excused:
            row = replace(row, required=False)
        try:
            yield key, _entry(row, as_number(row, own, manner, said) if row.is_number else own, manner, faults)
        except InputFault as fault:
            faults.append(fault)
            yield key, Entry(row, row.default if row.kind == "choice" else None, where=fault.where)


def _entry(row: Row, typed: Typed, manner: Manner, faults: Faults) -> Entry:
    """The entry of a row. Raises InputFault where there is none; a faulty range only adds to `faults`."""
    known, source, remark = map(cells.text, (typed.known, typed.source, typed.remark))
    made = partial(Entry, row, known=known, source=source, remark=remark, where=typed.at("value"))
    if row.is_number:
        return _number_entry(made, row, typed, manner, faults)
    if is_empty(typed.value):
        if row.required:
            raise InputFault(typed.at("value"), "blank", _must(row))
        return made(row.default, is_default=True)
    if row.kind == "choice":
        return made(cells.choice(row, typed.value, typed.at("value")))
    return made(cells.text(typed.value))


def _must(row: Row) -> str:
    if row.kind == "choice":
        return cells.choose(row)
    may_be_nothing = row.lowest <= 0 and not row.above_lowest and not row.zero_misleads
    told = "Enter a number, or 0 if there is none" if may_be_nothing else "Enter a number"
    return f"{told}, {row.instead}" if row.instead else told


def _number_entry(made: Callable[..., Entry], row: Row, typed: Typed, manner: Manner, faults: Faults) -> Entry:
    if row.or_words and isinstance(typed.value, str) and plain(typed.value) == row.or_words:
        return made(None, unit=row.start_unit(manner.system, manner.currency), said=row.or_words)
    own, one_unit = row.start_unit(manner.system, manner.currency), len(row.units) == 1
    unit = cells.unit_of(row, typed.unit, own, manner.currency, typed.is_blank or one_unit, typed.at("unit"))
    if is_empty(typed.value):
        has_range = not (is_empty(typed.low) and is_empty(typed.high))
        is_trigger = row.number > 1 and not row.spare and row.key.endswith(f".{blocks()[row.block].trigger}")
        if row.required or has_range or is_trigger:
            raise InputFault(typed.at("value"), "blank", _must(row))
        return made(None, unit=own if manner.is_chosen else unit, is_default=True)
    wrong: list[InputFault] = []
    try:
        value = cells.number(row, typed.value, unit, typed.at("value"))
    finally:
        ends = {column: item for column in ("low", "high") if not is_empty(item := getattr(typed, column))}
        free = replace(row, required=False)
        read = {end: _kept(wrong, partial(cells.number, free, ends[end], unit, typed.at(end))) for end in ends}
        faults += wrong
    low, high = read.get("low"), read.get("high")
    if not wrong and (odd := _odd_range(typed, value, low, high)):
        wrong = [odd]
        faults.append(odd)
    if wrong:  # what was found at fault is no end, also not until all faults are told
        low = high = None
    return made(value, low=low, high=high, unit=unit, dropped=typed.dropped)


def _odd_range(typed: Typed, value: float, low: float | None, high: float | None) -> InputFault | None:
    """The fault of a range the wrong way round, or of one that leaves its own value out."""
    if low is not None and high is not None and low > high:
        found = f"low {cells.say(typed.low)} is above high {cells.say(typed.high)}"
        return InputFault(typed.at("low"), found, "Enter the lower of the two as low")
    for column, is_out in (("low", low is not None and low > value), ("high", high is not None and high < value)):
        if is_out:
            found = f"{column} {cells.say(getattr(typed, column))} with the value {cells.say(typed.value)}"
            return InputFault(typed.at(column), found, "Enter a low and a high with the value between them")
    return None


FIRST_DATE, LAST_DATE = dt.date(1980, 1, 1), dt.date(2100, 12, 31)


def _table(plan: TablePlan, typed: TypedTable, manner: Manner, faults: Faults, said: Said) -> TableData:
    if len(typed.lines) > plan.most:
        asked = f"Leave at most {plan.most} and sum up the rest"
        faults.append(InputFault(plan.sheet, f"{len(typed.lines)} filled lines", asked))
    units, currency = dict[str, Unit | None](), manner.currency
    numbers = [column.key for column in plan.columns if column.is_number]
    has_commas = decimal_commas(line.cells.get(key) for line in typed.lines for key in numbers)
    ask = partial(_value, said=said, manner=replace(manner, comma=has_commas))
    for column in plan.columns:
        try:
            unused = all(is_empty(line.cells.get(column.key)) for line in typed.lines)
            own, where = column.start_unit(manner.system, currency), typed.unit_where.get(column.key, column.label)
            may_be_empty, item = unused or len(column.units) == 1, typed.units.get(column.key)
            units[column.key] = cells.unit_of(column, item, own, currency, may_be_empty, where, column.label)
        except InputFault as fault:
            faults.append(fault)
    lines = []
    for line in typed.lines[: plan.most]:
        found = {
            key: _kept(faults, partial(ask, plan.by_key[key], line.cells.get(key), unit, line.where.get(key, key)))
            for key, unit in units.items()
        }
        lines.append(Line(found, line.where))
    return TableData(plan, units, tuple(lines))


def _kept(faults: list[InputFault], ask: Callable[[], Found]) -> Found | None:
    """What is found; None where that is a fault, which is kept."""
    try:
        return ask()
    except InputFault as fault:
        faults.append(fault)
        return None


def _value(column: Row, item: object, unit: Unit | None, where: str, said: list[Caution], manner: Manner) -> Value:
    if is_empty(item):
        if column.required:
            raise InputFault(where, "blank", cells.choose(column))
        return None
    if column.kind == "date":
        return _date(item, where)
    if column.kind == "choice":
        return cells.choice(column, item, where)
    if column.kind == "text":
        return cells.text(item)
    reading = cells.one_reading(item, manner, where)
    if reading is not None and not reading.ends:
        own = cells.unit_behind(column, reading, unit, manner.currency, where)
        said += cells.said_back(column, str(item), reading, own or unit, where)
        item = cells.carried(reading.value, own, unit)
    return cells.number(column, item, unit, where)


def _date(item: object, where: str) -> str:
    """A date cell, or a text such as 2026-03-14, as ISO text."""
    found = item.date() if isinstance(item, dt.datetime) else item
    with suppress(ValueError):
        found = dt.date.fromisoformat(item.strip()) if isinstance(item, str) else found
    if not isinstance(found, dt.date) or not FIRST_DATE <= found <= LAST_DATE:
        raise InputFault(where, cells.say(item), f"Enter a date from {FIRST_DATE} to {LAST_DATE}, as 2026-03-14")
    return found.isoformat()
