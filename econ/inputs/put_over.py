"""Values put over typed rows: KEY=VALUE UNIT of the command line, of a table of plants, and of Python."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from econ.errors import InputFault, InputFaults
from econ.inputs.as_typed import Reading, read_number
from econ.inputs.cells import carried, said_back, unit_behind, unit_beside
from econ.inputs.lanes import either, is_below, is_column
from econ.inputs.records import Caution, Typed, TypedTable, is_empty
from econ.inputs.rows import Row, plain
from econ.inputs.schema import rows, table_plans

_COIN = re.compile(r"^\s*([A-Za-z]{3})\b")


def put_over(
    typed: Mapping[str, Typed],
    sets: Iterable[str],
    readings: Mapping[str, Reading] | None = None,
    together: bool = False,
) -> tuple[dict[str, Typed], list[Caution]]:
    """Typed rows with `KEY=VALUE UNIT` put over them; a bare VALUE keeps the row's own unit.

    VALUE may bring its range: "12 (8-15)", or "8-15" for the middle of it.
    A typed range is kept where the new value lies inside it, and dropped with a caution where not. `readings`
    are those of numbers read before, by key. Plants that keep a range and those that drop it part, unless they are
    to go on `together`. Raises InputFaults naming every text that is not understood.
    """
    found = dict(typed)
    faults: list[InputFault] = []
    cautions: list[Caution] = []
    for text in sets:
        key, equals, item = text.partition("=")
        row = rows().get(key.strip())
        if row is None or not equals:
            near = difflib.get_close_matches(key.strip(), rows(), n=3)
            hint = f"Give KEY=VALUE, such as {' or '.join(near) or 'kiln.price'}"
            faults.append(InputFault("--set", f"{text[:60]!r}", hint))
            continue
        try:
            reading = None if readings is None else readings.get(row.key)
            old, currency = found.get(row.key, Typed()), currency_of(found)
            found[row.key] = _set_row(row, old, item.strip(), currency, cautions, reading, together)
        except InputFault as fault:
            faults.append(fault)
    if faults:
        raise InputFaults(faults)
    return found, cautions


def _set_row(
    row: Row, old: Typed, item: str, currency: str, cautions: list[Caution], reading: Reading | None,
    together: bool,
) -> Typed:  # fmt: skip
    where = f"--set {row.key}"
    if not row.is_number or not item or (row.or_words and plain(item) == row.or_words):
        return replace(old, value=item or None, low=None, high=None, where=where, cells=None)
    reading = reading or read_number(item)
    if reading is None:
        raise InputFault(where, f"{item[:60]!r}", "Give a number, and its unit if it is another", row.label)
    value = reading.value
    own = unit_beside(row, in_coin(old.unit, currency) if coin_of(row, old.unit) else old.unit, "metric", currency)
    unit = unit_behind(row, reading, own, currency, where) or own
    cautions += said_back(row, item, reading, unit, where)
    ends: list[Any] = list(reading.ends or (old.low, old.high))
    if not reading.ends and own != unit and own and unit:
        same = own.dimension == unit.dimension
        ends = [carried(end, own, unit) if same else None if _is_number(end) else end for end in ends]
    room = _room(value, *ends)
    dropped = is_below(room, 0.0) if together else float(not room >= 0)
    if is_column(dropped):  # an end at the value itself holds its place until ranges are filled
        ends = [None if not _is_number(end) else either(dropped, value, end) for end in ends]
    elif dropped:
        ends = [None, None]
    if is_column(dropped) or dropped:
        plants = dropped.world.alive[dropped.now() != 0] if is_column(dropped) else None
        text = f"{row.key} was set outside its range; the range is not used."
        cautions.append(Caution("range-dropped", text, where, plants))
    known = f"{old.known or ''}, set on the command line".lstrip(", ")  # a what-if keeps how it was known
    return replace(
        old, value=value, low=ends[0], high=ends[1], unit=unit.short if unit else None, known=known, source="",
        where=where, cells=None, dropped=dropped,
    )  # fmt: skip


def _is_number(item: object) -> bool:
    return isinstance(item, int | float) and not isinstance(item, bool)


def _room(value: float, low: Any, high: Any) -> float:
    """Below 0 where a value lies outside a typed range: one number, so that plants part into two, not three."""
    low, high = (end if _is_number(end) else None for end in (low, high))
    if low is not None and high is not None and low > high:
        return -1.0
    slack = 1e-9 * (abs(value) + 1.0)
    room_below = slack if low is None else value - low + slack
    room_above = slack if high is None else high - value + slack
    return room_below * room_above


def coin_of(row: Row | None, item: object) -> str:
    """The currency code with which the unit cell of a row of money begins; empty where there is none."""
    found = _COIN.match(item) if row is not None and row.is_money and isinstance(item, str) else None
    return found[1].upper() if found and rows()["plant.currency"].option(found[1]) else ""


def in_coin(item: object, currency: str) -> str:
    """A unit that begins with a currency code, with another code in its place."""
    return _COIN.sub(currency, str(item))


def currency_of(typed: Mapping[str, Typed]) -> str:
    """The plant's currency as typed; that of the row's default where it is none, which is a fault of its row."""
    row, given = rows()["plant.currency"], typed.get("plant.currency", Typed())
    found = row.option(given.value) if isinstance(given.value, str) else None
    return found.slug if found else str(row.default)


def in_plant_currency(
    typed: Mapping[str, Typed], tables: Mapping[str, TypedTable], currency: str, said: list[Caution]
) -> tuple[Mapping[str, Typed], Mapping[str, TypedTable]]:
    """Rows and tables whose units name the plant's currency, where they named the one the workbook was made with.

    That one stands in the units of rows that nobody filled. Any other currency stays, and is a fault.
    """
    chosen = typed.get("plant.currency", Typed())
    if is_empty(chosen.value):
        return typed, tables
    coins = {key: coin for key, given in typed.items() if (coin := coin_of(rows().get(key), given.unit))}
    made = {coin for key, coin in coins.items() if typed[key].is_blank} - {currency}
    old = {key: coin for key, coin in coins.items() if coin in made}
    if filled := sorted({coin for key, coin in old.items() if not typed[key].is_blank}):
        text = f"Units that say {', '.join(filled)} were read as {currency}: nothing is converted."
        said.append(Caution("currency-read", text, chosen.at("value")))
    again = {key: replace(typed[key], unit=in_coin(typed[key].unit, currency)) for key in old}
    plans = table_plans()
    units = {
        name: {
            key: in_coin(item, currency) if coin_of(plans[name].by_key.get(key), item) in made else item
            for key, item in table.units.items()
        }
        for name, table in tables.items()
        if name in plans
    }
    return {**typed, **again}, {**tables, **{name: replace(tables[name], units=units[name]) for name in units}}
