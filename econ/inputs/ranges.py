"""What a scenario says of its ranges: the shape of each input, the pairs that move together, the table."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from econ.inputs.records import Entry
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
