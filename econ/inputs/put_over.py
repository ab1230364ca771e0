"""Values put over typed rows: KEY=VALUE UNIT of the command line, of Python, and of a table of plants.

Rows of a table of one pattern walk the code of one plant as columns (`lanes.py`); what a walk cannot do together,
a fault above all, is done plant by plant.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any

from econ.errors import InputFault, InputFaults
from econ.fields import field, record, replace
from econ.inputs.as_typed import LONGEST, Reading, is_plain, read_number
from econ.inputs.cells import READ_BACK, advice, carried, said_back, unit_behind, unit_beside
from econ.inputs.lanes import Lanes, World, each_way, either, is_below, is_column, plants_now
from econ.inputs.records import Caution, Typed, TypedTable, is_empty, is_number
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
            faults.append(InputFault(fault.where, fault.wrong, fault.do, fault.name or row.label))
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
        more = advice(replace(row, required=False), item)
        raise InputFault(where, f"{item[:60]!r}", f"Give a number, and its unit if it is another{more}", row.label)
    value = reading.value
    own = unit_beside(row, in_coin(old.unit, currency) if coin_of(row, old.unit) else old.unit, "metric", currency)
    unit = unit_behind(row, reading, own, currency, where) or own
    cautions += said_back(row, item, reading, unit, where)
    ends: list[Any] = list(reading.ends or (old.low, old.high))
    if not reading.ends and own != unit and own and unit:
        same = own.dimension == unit.dimension
        ends = [carried(end, own, unit) if same else None if is_number(end) else end for end in ends]
    room = _room(value, *ends)
    dropped = is_below(room, 0.0) if together else float(not room >= 0)
    if is_column(dropped):  # an end at the value itself holds its place until ranges are filled
        ends = [None if not is_number(end) else either(dropped, value, end) for end in ends]
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


def _room(value: float, low: Any, high: Any) -> float:
    """Below 0 where a value lies outside a typed range: one number, so that plants part into two, not three."""
    low, high = (end if is_number(end) else None for end in (low, high))
    if low is not None and high is not None and low > high:
        return -1.0
    slack = 1e-9 * (abs(value) + 1.0)
    room_below = slack if low is None else value - low + slack
    return room_below * (slack if high is None else high - value + slack)


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
        said.append(Caution(READ_BACK, text, chosen.at("value")))
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


Cells = Mapping[str, str]
Walk = Callable[[Cells, Mapping[str, Reading]], dict[str, Any]]
"""From texts by key, and those of their numbers that are columns, to what is found: a mapping of mappings."""


@record(slots=True)
class Pattern:
    """Rows whose cells say the same in the same way but for their numbers; `texts` are those of the first."""

    texts: Cells
    first: Mapping[str, Reading]
    members: list[int] = field(default_factory=list)
    values: dict[str, list[tuple[float, ...]]] = field(default_factory=dict)
    columns: dict[str, Any] = field(default_factory=dict)
    """The values as arrays (members, ends), made when first asked for."""

    def add(self, member: int, values: Mapping[str, tuple[float, ...]]) -> None:
        """Take in a row by its place in the table, with its numbers and their ends."""
        self.members.append(member)
        for key, one in values.items():
            self.values.setdefault(key, []).append(one)

    def readings(self, world: World) -> dict[str, Reading]:
        """Every number as a column over the plants of a world."""
        import numpy as np

        found: dict[str, Any] = {}
        for key, one in self.first.items():
            if key not in self.columns:
                self.columns[key] = np.array(self.values.pop(key))
            value, *ends = (Lanes(world, part) for part in self.columns[key][world.alive].T)
            found[key] = Reading(value, tuple(ends) or None, one.unit, one.sign, one.about)  # type: ignore[arg-type]
        return found


_PLAINLY = re.compile("([0-9]+(?:[.][0-9]+)?)((?:[eE][+-]?[0-9]{1,2})?)((?: [A-Za-z][^0-9]*)?)")
"""A number, its power and perhaps a unit: however large, it reads as any other with the same behind it."""


@lru_cache(maxsize=1_000)
def _sign(key: str, text: str) -> tuple[tuple[object, ...], Reading | None]:
    """What a cell says in which way but for its number, and its number; None where it says none."""
    row, reading = rows()[key], None
    if row.is_number and not (row.or_words and plain(text) == row.or_words):
        reading = read_number(text)
    if reading is None:
        return (key, text), None
    return (key, reading.unit, reading.sign, reading.about, reading.ends is None, is_plain(text)), reading


@lru_cache(maxsize=1_000)
def _plain_sign(key: str, power: str, words: str) -> tuple[tuple[object, ...], Reading] | None:
    """The sign of all numbers with the same power and words behind them; None where these are no unit."""
    sign, reading = _sign(key, f"7{power}{words}")
    return None if reading is None or reading.value != float(f"7{power}") else (sign, reading)


def patterns(table: Sequence[Cells]) -> list[Pattern]:
    """The rows of a table by their pattern, in the order of the first of each."""
    found: dict[Any, Pattern] = {}
    for member, cells in enumerate(table):
        signs, readings, values = [], {}, {}
        reading: Reading | None
        for key, text in cells.items():
            simple = _PLAINLY.fullmatch(text) if len(text) <= LONGEST else None
            if simple is not None and (plainly := _plain_sign(key, simple[2], simple[3])) is not None:
                sign, reading, numbers = *plainly, (float(simple[1] + simple[2]),)
            else:
                sign, reading = _sign(key, text)
                numbers = () if reading is None else (reading.value, *(reading.ends or ()))
            signs.append(sign)
            if reading is not None:
                readings[key], values[key] = reading, numbers
        if (pattern := tuple(signs)) not in found:
            found[pattern] = Pattern(cells, readings)
        found[pattern].add(member, values)
    return list(found.values())


def together(table: Sequence[Cells], walk: Walk) -> Iterator[tuple[list[int], Iterator[dict[str, Any]] | None]]:
    """Group by group: the places of its rows in the table, and what was found for each.

    None where they must go one by one.
    """
    import numpy as np

    for pattern in patterns(table):

        def walked(world: World, pattern: Pattern = pattern) -> dict[str, Any] | None:
            try:
                with np.errstate(all="ignore"):
                    return walk(pattern.texts, pattern.readings(world))
            except Exception:  # whatever it is, each plant meets it alone, and its own sentence says so
                return None

        for world, found in each_way(np.arange(len(pattern.members)), walked):
            places = [pattern.members[at] for at in world.alive]
            yield places, None if found is None else _by_row(found, len(places))


def by_plant(cautions: Sequence[Caution], say: Callable[[Sequence[Caution]], str]) -> str | list[str]:
    """What `say` makes of some cautions, plant by plant where many are worked out together."""
    alive = plants_now()
    if alive is None:
        return say(cautions)
    import numpy as np

    all_of_them = np.ones(len(alive), dtype=bool)
    is_of = [all_of_them if one.plants is None else np.isin(alive, one.plants) for one in cautions]
    said: dict[bytes, str] = {}
    found = []
    for marks in np.array(is_of).T:
        key = marks.tobytes()
        if key not in said:
            said[key] = say([one for one, mark in zip(cautions, marks, strict=True) if mark])
        found.append(said[key])
    return found


def _by_row(found: Mapping[str, Any], count: int) -> Iterator[dict[str, Any]]:
    """A mapping of mappings a row, made as asked for, of one whose numbers may be columns; None: no number."""
    import numpy as np

    def column(one: Any) -> list[Any]:
        if is_column(one):
            known = np.isfinite(values := one.now())
            shown: Any = values if known.all() else np.where(known, values.astype(object), None)
            return list(shown.tolist())
        return one if isinstance(one, list) else [one] * count

    def each(items: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
        if not items:
            return ({} for _ in range(count))
        return (dict(zip(items, row, strict=True)) for row in zip(*map(column, items.values()), strict=True))

    return (dict(zip(found, row, strict=True)) for row in zip(*map(each, found.values()), strict=True))
