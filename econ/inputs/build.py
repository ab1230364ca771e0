"""From what was typed to a scenario: every fault at once, defaults filled in and marked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from econ.errors import InputFault, InputFaults
from econ.inputs import cells, checks
from econ.inputs.as_typed import Manner, as_number, decimal_commas
from econ.inputs.bone_shares import keep_in_proportion
from econ.inputs.cells import build_tables
from econ.inputs.defaults import fill_ranges, resolve_defaults
from econ.inputs.records import Caution, Entry, Scenario, Typed, TypedTable, is_empty
from econ.inputs.rows import Row, plain
from econ.inputs.schema import blocks, rows, table_plans


def build(
    typed: Mapping[str, Typed],
    system: str = "metric",
    warnings: Iterable[Caution] = (),
    tables: Mapping[str, TypedTable] | None = None,
) -> Scenario:
    """The scenario that the typed rows and tables mean.

    Texts that are numbers are read, and said in a caution. Raises InputFaults with every fault found. Rows
    that are not in `typed` count as empty.
    """
    faults: list[InputFault] = []
    currency = _currency(typed, faults)
    said: list[Caution] = []
    typed, tables = _in_plant_currency(typed, tables or {}, currency, said)
    entries: dict[str, Entry] = {}
    active = _active_instances(typed)
    manners = _manners(typed, system, currency)
    excused = checks.excused(typed)
    for key, row in rows().items():
        if row.block and (row.block, row.number) not in active:
            continue
        row = _excused(row, typed)
        asked = replace(row, required=False) if key in excused else row
        try:
            entries[key] = _entry(
                asked, _numbers(row, typed, manners[row.sheet], said), manners[row.sheet], faults
            )
        except InputFault as fault:
            faults.append(fault)
            entries[key] = Entry(row, row.default if row.kind == "choice" else None, where=fault.where)
    resolve_defaults(entries)
    keep_in_proportion(entries)
    fill_ranges(entries)
    data = build_tables(tables, system, currency, faults, said)
    seen = {fault.where for fault in faults}
    faults += [fault for fault in checks.faults(entries, data) if fault.where not in seen]
    if faults:
        raise InputFaults(_named(faults, typed, tables), [caution.text for caution in (*warnings, *said)])
    found = (*warnings, *said, *checks.warnings(entries))
    return Scenario(entries, found, str(entries["plant.name"].value or ""), data)


def _named(
    faults: Iterable[InputFault], typed: Mapping[str, Typed], tables: Mapping[str, TypedTable]
) -> list[InputFault]:
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


def _currency(typed: Mapping[str, Typed], faults: list[InputFault]) -> str:
    row = rows()["plant.currency"]
    given = typed.get(row.key, Typed())
    if is_empty(given.value):
        return str(row.default)
    try:
        return cells.choice(row, given.value, given.at("value"))
    except InputFault:
        return str(row.default)  # the fault is reported with its row


def _in_plant_currency(
    typed: Mapping[str, Typed], tables: Mapping[str, TypedTable], currency: str, said: list[Caution]
) -> tuple[Mapping[str, Typed], Mapping[str, TypedTable]]:
    """Rows and tables whose units name the plant's currency, where they named the one the workbook was made with.

    That one stands in the units of rows that nobody filled. Any other currency stays, and is a fault.
    """
    chosen = typed.get("plant.currency", Typed())
    if is_empty(chosen.value):
        return typed, tables
    coins = {key: coin for key, given in typed.items() if (coin := cells.coin_of(rows().get(key), given.unit))}
    made = {coin for key, coin in coins.items() if typed[key].is_blank} - {currency}
    old = {key: coin for key, coin in coins.items() if coin in made}
    if filled := sorted({coin for key, coin in old.items() if not typed[key].is_blank}):
        text = f"Units that say {', '.join(filled)} were read as {currency}: nothing is converted."
        said.append(Caution("currency-read", text, chosen.at("value")))
    again = {key: replace(typed[key], unit=cells.in_coin(typed[key].unit, currency)) for key in old}
    plans = table_plans()
    units = {
        name: {
            key: cells.in_coin(item, currency)
            if cells.coin_of(plans[name].by_key.get(key), item) in made
            else item
            for key, item in table.units.items()
        }
        for name, table in tables.items()
        if name in plans
    }
    return {**typed, **again}, {**tables, **{name: replace(tables[name], units=units[name]) for name in units}}


def _manners(typed: Mapping[str, Typed], system: str, currency: str) -> dict[str, Manner]:
    """How the numbers of each sheet are written."""
    items: dict[str, list[object]] = {row.sheet: [] for row in rows().values()}
    for key, given in typed.items():
        if key in rows() and rows()[key].is_number:
            items[rows()[key].sheet] += (given.value, given.low, given.high)
    return {sheet: Manner(decimal_commas(found), system, currency) for sheet, found in items.items()}


def _numbers(row: Row, typed: Mapping[str, Typed], manner: Manner, said: list[Caution]) -> Typed:
    """What was typed in a row, with texts that are numbers as numbers; where nothing was, its place in words."""
    given = typed.get(row.key)
    if given is None:
        return Typed(where=f"{row.sheet}, {row.label}")
    return as_number(row, given, manner, said) if row.is_number else given


def _active_instances(typed: Mapping[str, Typed]) -> set[tuple[str, int]]:
    """Instances of blocks with anything typed, and the first of each, which is always asked for."""
    found = {(name, 1) for name in blocks()}
    for key, row in rows().items():
        if row.block and key in typed and not typed[key].is_blank:
            found.add((row.block, row.number))
    return found


def _excused(row: Row, typed: Mapping[str, Typed]) -> Row:
    """The row, not required where another row of its block stands in for it."""
    if not row.unless:
        return row
    other = f"{row.key.rpartition('.')[0]}.{row.unless}"
    if other not in typed or typed[other].is_blank:
        return row
    return replace(row, required=False, spare=True)


def _entry(row: Row, typed: Typed, manner: Manner, faults: list[InputFault]) -> Entry:
    """The entry of a row. Raises InputFault where there is none; a faulty range only adds to `faults`."""
    blank = Entry(
        row,
        None,
        known=cells.text(typed.known),
        source=cells.text(typed.source),
        remark=cells.text(typed.remark),
        where=typed.at("value"),
    )
    if row.is_number:
        return _number_entry(blank, typed, manner, faults)
    if is_empty(typed.value):
        if row.required:
            raise InputFault(typed.at("value"), "blank", _must(row))
        return replace(blank, value=row.default, is_default=True)
    if row.kind == "choice":
        return replace(blank, value=cells.choice(row, typed.value, typed.at("value")))
    return replace(blank, value=cells.text(typed.value))


def _must(row: Row) -> str:
    if row.kind == "choice":
        return cells.choose(row)
    may_be_nothing = row.lowest <= 0 and not row.above_lowest and not row.zero_misleads
    return "Enter a number, or 0 if there is none" if may_be_nothing else "Enter a number"


def _number_entry(blank: Entry, typed: Typed, manner: Manner, faults: list[InputFault]) -> Entry:
    row = blank.row
    if row.or_words and isinstance(typed.value, str) and plain(typed.value) == row.or_words:
        return replace(blank, unit=row.start_unit(manner.system, manner.currency), said=row.or_words)
    unit = cells.row_unit(row, typed, manner.system, manner.currency)
    if is_empty(typed.value):
        if row.required or _needs_value(row, typed):
            raise InputFault(typed.at("value"), "blank", _must(row))
        return replace(blank, unit=unit, is_default=True)
    ends: dict[str, float | None] = dict.fromkeys(("low", "high"))
    wrong = []
    try:
        value = cells.number(row, typed.value, unit, typed.at("value"))
    finally:
        for column in ends:
            item = getattr(typed, column)
            try:
                ends[column] = None if is_empty(item) else cells.number(row, item, unit, typed.at(column))
            except InputFault as fault:
                wrong.append(fault)
        faults += wrong
    low, high = ends.values()
    if not wrong and (odd := _odd_range(typed, value, low, high)):
        faults.append(odd)
    return replace(blank, value=value, low=low, high=high, unit=unit)


def _odd_range(typed: Typed, value: float, low: float | None, high: float | None) -> InputFault | None:
    """The fault of a range the wrong way round, or of one that leaves its own value out."""
    if low is not None and high is not None and low > high:
        return InputFault(
            typed.at("low"),
            f"low {cells.say(typed.low)} is above high {cells.say(typed.high)}",
            "Enter the lower of the two as low",
        )
    for column, is_out in (("low", low is not None and low > value), ("high", high is not None and high < value)):
        if is_out:
            found = f"{column} {cells.say(getattr(typed, column))} with the value {cells.say(typed.value)}"
            return InputFault(typed.at(column), found, "Enter a low and a high with the value between them")
    return None


def _needs_value(row: Row, typed: Typed) -> bool:
    """A row with a range but no value, or the trigger of a spare block of which other rows are filled."""
    if not (is_empty(typed.low) and is_empty(typed.high)):
        return True
    return (
        bool(row.block)
        and row.number > 1
        and not row.spare
        and row.key.endswith(f".{blocks()[row.block].trigger}")
    )
