"""What a scenario says of its ranges: shapes, pairs that move together, the table; and what contradicts itself."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from econ.errors import InputFault
from econ.inputs.records import Caution, Entry
from econ.inputs.rows import plain

Entries = Mapping[str, Entry]


@dataclass(frozen=True, slots=True)
class Pair:
    """Two inputs by key and their rank correlation, -1 to 1; `where` for a fault."""

    first: str
    second: str
    correlation: float
    where: str


def named(entries: Entries, text: object) -> Entry | None:
    """The number row that a person names by its key or by its label, or None."""
    wanted = plain(str(text or ""))
    fits = (
        entry
        for key, entry in entries.items()
        if entry.row.is_number and wanted in {plain(key), plain(entry.row.label)}
    )
    return next(fits, None) if wanted else None


def drawable(entry: Entry) -> bool:
    """Whether an input takes part in effects and chances: a range, on a row that is a quantity."""
    return entry.has_range and not entry.row.fixed


def _text(entries: Entries, key: str) -> str:
    return str(entries[key].value or "") if key in entries else ""


def _instances(entries: Entries, block: str, trigger: str) -> Iterator[str]:
    """The beginnings of the keys of every instance of a block that is filled at all."""
    for entry in entries.values():
        if entry.row.block == block and entry.row.key.endswith(f".{trigger}"):
            yield entry.row.key.removesuffix(f".{trigger}")


def special(entries: Entries) -> dict[str, Entry]:
    """The entries that choose a shape of its own, by the key of the input they speak of."""
    found = {}
    for start in _instances(entries, "ranges.special", "key"):
        entry = named(entries, entries[f"{start}.key"].value)
        if entry is not None and entries[f"{start}.shape"].value is not None:
            found[entry.row.key] = entries[f"{start}.shape"]
    return found


def shapes(entries: Entries) -> dict[str, str]:
    """The shape of every input that takes part, by key, in sheet order.

    A lognormal that comes from the shape for all, on an input whose low is not above 0, is drawn as a
    triangle.
    """
    common = _text(entries, "ranges.shape") or "triangular"
    own = special(entries)
    found = {}
    for key, entry in entries.items():
        if not entry.row.is_number or not drawable(entry):
            continue
        if key in own:
            found[key] = str(own[key].value)
        else:
            found[key] = "triangular" if common == "lognormal" and (entry.low or 0) <= 0 else common
    return found


def pairs(entries: Entries) -> list[Pair]:
    """The pairs that move together; incomplete ones, which are faults, are left out."""
    found = []
    for start in _instances(entries, "together", "first"):
        first, second = (named(entries, entries[f"{start}.{word}"].value) for word in ("first", "second"))
        correlation = entries[f"{start}.correlation"]
        if first is not None and second is not None and correlation.value is not None:
            where = correlation.place
            found.append(Pair(first.row.key, second.row.key, correlation.number, where))
    return found


def table_choice(entries: Entries) -> tuple[str | None, str | None]:
    """The keys of the two inputs chosen for the two-way table; None where the choice is left open."""
    found = [named(entries, _text(entries, f"ranges.table_{word}")) for word in ("first", "second")]
    first, second = (entry.row.key if entry else None for entry in found)
    return first, second


EXPECTED = "Enter the name in the last column of a row that has a low and a high"


def faults(entries: Entries) -> list[InputFault]:
    """Every contradiction in what is said of ranges."""
    return [*_names(entries), *_specials(entries), *_pairs(entries), *_table(entries)]


def warnings(entries: Entries) -> list[Caution]:
    """Cautions on ranges that are not used as typed."""
    return [*_unused(entries), *_no_logarithm(entries)]


def _named_rows(entries: Entries) -> Iterator[Entry]:
    """Every text row that should name an input and is filled."""
    for key, entry in entries.items():
        parts = key.split(".")
        names = (parts[0] == "together" and parts[-1] in {"first", "second"}) or (
            parts[0] == "ranges" and (parts[-1] == "key" or parts[-1].startswith("table_"))
        )
        if names and entry.value is not None:
            yield entry


def _names(entries: Entries) -> Iterator[InputFault]:
    for entry in _named_rows(entries):
        found = named(entries, entry.value)
        if found is None or found.row.fixed:
            yield InputFault(entry.place, f"the name {entry.value!r}", EXPECTED)


def _specials(entries: Entries) -> Iterator[InputFault]:
    seen: set[str] = set()
    for start in _instances(entries, "ranges.special", "key"):
        entry = named(entries, entries[f"{start}.key"].value)
        if entry is None:
            continue
        where = entries[f"{start}.key"].where
        if entry.row.key in seen:
            yield InputFault(where, f"a second shape for {entry.row.label!r}", "Keep one shape for an input")
        seen.add(entry.row.key)
    for key, shape in special(entries).items():
        if shape.value == "lognormal" and entries[key].has_range and (entries[key].low or 0) <= 0:
            found = f"lognormal for {entries[key].row.label!r}, whose low is not above 0"
            yield InputFault(shape.where, found, "Enter a low above 0, or choose another shape")


def _pairs(entries: Entries) -> Iterator[InputFault]:
    seen: set[frozenset[str]] = set()
    for pair in pairs(entries):
        both = frozenset((pair.first, pair.second))
        if len(both) == 1:
            yield InputFault(pair.where, "an input paired with itself", "Name two different inputs")
        elif both in seen:
            yield InputFault(pair.where, "the same pair a second time", "Keep each pair once")
        seen.add(both)


def _table(entries: Entries) -> Iterator[InputFault]:
    chosen = [entries[key] for key in ("ranges.table_first", "ranges.table_second")]
    found = [named(entries, entry.value) for entry in chosen]
    for entry, one in zip(chosen, found, strict=True):
        if one is not None and not one.row.fixed and not one.has_range:
            yield InputFault(entry.where, f"{one.row.label!r}, which has no low and high", EXPECTED)
    if found[0] is not None and found[0] is found[1]:
        yield InputFault(chosen[1].where, f"{found[0].row.label!r} twice", "Name two different inputs")


def _unused(entries: Entries) -> Iterator[Caution]:
    for pair in pairs(entries):
        still = [key for key in (pair.first, pair.second) if not drawable(entries[key])]
        if still:
            yield Caution(
                "pair-without-range",
                f"{entries[still[0]].row.label} is to move together with another input, but has no low and high.",
                pair.where,
            )
    for key, shape in special(entries).items():
        if not drawable(entries[key]) and shape.value != "fixed":
            yield Caution(
                "shape-without-range", f"{entries[key].row.label} has a shape but no low and high.", shape.where
            )


def _no_logarithm(entries: Entries) -> Iterator[Caution]:
    if entries["ranges.shape"].value != "lognormal":
        return
    drawn = shapes(entries)
    own = special(entries)
    left = [key for key, shape in drawn.items() if shape == "triangular" and key not in own]
    labels = [entries[key].row.label for key in left]
    if left:
        yield Caution(
            "no-lognormal",
            f"A lognormal needs a low above 0; drawn as a triangle instead: {'; '.join(labels[:4])}"
            f"{'; ...' if len(left) > 4 else ''}.",
            entries["ranges.shape"].place,
        )
