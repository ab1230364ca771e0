"""What a scenario says of its ranges: shapes, pairs that move together, the table; and what contradicts itself."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from econ.errors import InputFault
from econ.fields import record
from econ.inputs.records import Caution, Entry
from econ.inputs.rows import plain

Entries = Mapping[str, Entry]
TABLE = ("ranges.table_first", "ranges.table_second")
SPECIAL = ("ranges.special", "key", "shape")
NAME_ROWS = (("together", ("first", "second")), ("ranges.special", ("key",)))
"""The blocks whose text rows name inputs, and the last words of those rows."""
EXPECTED = "Enter the name in the last column of a row that has a low and a high"


@record(frozen=True, slots=True)
class Pair:
    """Two inputs by key and their rank correlation, -1 to 1; `where` for a fault."""

    first: str
    second: str
    correlation: float
    where: str


def named(entries: Entries, text: object) -> Entry | None:
    """The number row that a person names by its key or by its label, or None."""
    wanted, numbers = plain(str(text or "")), (one for one in entries.values() if one.row.is_number)
    fits = (one for one in numbers if wanted in (plain(one.row.key), plain(one.row.label)))
    return next(fits, None) if wanted else None


def drawable(entry: Entry) -> bool:
    """Whether an input takes part in effects and chances: a range, on a row that is a quantity."""
    return entry.has_range and not entry.row.fixed


def _rows_of(entries: Entries, block: str, *words: str) -> Iterator[tuple[Entry, ...]]:
    """The entries with these last words, of every instance of a block."""
    for entry in entries.values():
        if entry.row.block == block and entry.row.key.endswith(f".{words[0]}"):
            start = entry.row.key.rpartition(".")[0]
            yield tuple(entries[f"{start}.{word}"] for word in words)


def special(entries: Entries) -> dict[str, Entry]:
    """The entries that choose a shape of its own, by the key of the input they speak of."""
    chosen = ((name, shape) for name, shape in _rows_of(entries, *SPECIAL) if shape.value is not None)
    return {one.row.key: shape for name, shape in chosen if (one := named(entries, name.value))}


def shapes(entries: Entries) -> dict[str, str]:
    """The shape of every input that takes part, by key, in sheet order.

    A lognormal that comes from the shape for all, on an input whose low is not above 0, is drawn as a triangle.
    """
    common = str(entries["ranges.shape"].value or "triangular") if "ranges.shape" in entries else "triangular"
    own = special(entries)

    def shape(entry: Entry) -> str:
        if entry.row.key in own:
            return str(own[entry.row.key].value)
        return "triangular" if common == "lognormal" and (entry.low or 0) <= 0 else common

    return {key: shape(entry) for key, entry in entries.items() if entry.row.is_number and drawable(entry)}


def pairs(entries: Entries) -> list[Pair]:
    """The pairs that move together; incomplete ones, which are faults, are left out."""
    rows = _rows_of(entries, "together", "first", "second", "correlation")
    filled = ((named(entries, one.value), named(entries, two.value), how) for one, two, how in rows)
    return [
        Pair(one.row.key, two.row.key, how.number, how.place)
        for one, two, how in filled
        if one is not None and two is not None and how.value is not None
    ]


def table_choice(entries: Entries) -> tuple[str | None, str | None]:
    """The keys of the two inputs chosen for the two-way table; None where the choice is left open."""
    found = (named(entries, entries[key].value) if key in entries else None for key in TABLE)
    first, second = (entry.row.key if entry else None for entry in found)
    return first, second


def faults(entries: Entries) -> Iterator[InputFault]:
    """Every contradiction in what is said of ranges."""
    names = [one for block, words in NAME_ROWS for some in _rows_of(entries, block, *words) for one in some]
    chosen = [entries[key] for key in TABLE]
    for entry in (*names, *chosen):
        found = named(entries, entry.value)
        if entry.value is not None and (found is None or found.row.fixed):
            yield InputFault(entry.place, f"the name {entry.value!r}", EXPECTED)
    yield from _specials(entries)
    seen: list[set[str]] = []
    for pair in pairs(entries):
        seen.append({pair.first, pair.second})
        if pair.first == pair.second:
            yield InputFault(pair.where, "an input paired with itself", "Name two different inputs")
        elif seen[-1] in seen[:-1]:
            yield InputFault(pair.where, "the same pair a second time", "Keep each pair once")
    asked = [named(entries, entry.value) for entry in chosen]
    for entry, one in zip(chosen, asked, strict=True):
        if one is not None and not one.row.fixed and not one.has_range:
            yield InputFault(entry.where, f"{one.row.label!r}, which has no low and high", EXPECTED)
    if asked[0] is not None and asked[0] is asked[1]:
        yield InputFault(chosen[1].where, f"{asked[0].row.label!r} twice", "Name two different inputs")


def _specials(entries: Entries) -> Iterator[InputFault]:
    seen: set[str] = set()
    for name, shape in _rows_of(entries, *SPECIAL):
        if (entry := named(entries, name.value)) is None:
            continue
        if entry.row.key in seen:
            yield InputFault(name.where, f"a second shape for {entry.row.label!r}", "Keep one shape for an input")
        seen.add(entry.row.key)
        if shape.value == "lognormal" and entry.has_range and (entry.low or 0) <= 0:
            found = f"lognormal for {entry.row.label!r}, whose low is not above 0"
            yield InputFault(shape.where, found, "Enter a low above 0, or choose another shape")


def warnings(entries: Entries) -> Iterator[Caution]:
    """Cautions on ranges that are not used as typed."""
    for pair in pairs(entries):
        still = [entries[key].row.label for key in (pair.first, pair.second) if not drawable(entries[key])]
        if still:
            text = f"{still[0]} is to move together with another input, but has no low and high."
            yield Caution("pair-without-range", text, pair.where)
    own, common = special(entries), entries["ranges.shape"]
    for key, shape in own.items():
        if not drawable(entries[key]) and shape.value != "fixed":
            text = f"{entries[key].row.label} has a shape but no low and high."
            yield Caution("shape-without-range", text, shape.where)
    left = [entries[at].row.label for at, one in shapes(entries).items() if one == "triangular" and at not in own]
    if common.value == "lognormal" and left:
        labels = "; ".join(left[:4]) + ("; ..." if len(left) > 4 else "")
        text = f"A lognormal needs a low above 0; drawn as a triangle instead: {labels}."
        yield Caution("no-lognormal", text, common.place)
