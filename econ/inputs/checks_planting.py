"""Faults of own planting and garden trials: char that cannot be counted, counts that contradict each other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from econ.errors import InputFault
from econ.inputs.records import Entry, Line, TableData, instances

Entries = Mapping[str, Entry]

RATES = ("char_per_tree", "char_per_length", "char_per_area")


def faults(entries: Entries) -> Iterator[InputFault]:
    """Blocks of planting whose char is counted twice or cannot be counted."""
    for n in instances(entries, "planting", "count"):
        typed = [word for word in RATES if _filled(entries, n, word)]
        if len(typed) > 1:
            yield InputFault(
                entries[f"planting.{n}.{typed[1]}"].where,
                f"char counted {len(typed)} ways in planting {n}",
                "one of: for one tree, for a length of row, for an area",
            )
            continue
        yield from _uncountable(entries, n, typed[0] if typed else "")
    if entries["planting.1.count"].value is None:
        yield from _orphans(entries)


def _filled(entries: Entries, n: int, word: str) -> bool:
    return entries[f"planting.{n}.{word}"].value is not None


def _orphans(entries: Entries) -> Iterator[InputFault]:
    """The first block is always there: rows of it without the number of trees, rows or beds."""
    words = [key for key, entry in entries.items() if key.startswith("planting.1.") and entry.value is not None]
    if words:
        yield InputFault(entries["planting.1.count"].where, "planting 1 without its number", "how many there are")


def _uncountable(entries: Entries, n: int, rate: str) -> Iterator[InputFault]:
    kind = entries[f"planting.{n}.kind"].value or "trees"
    way = entries[f"planting.{n}.way"].value or {"trees": "hole", "rows": "row"}.get(str(kind), "broadcast")
    per = rate or ("char_per_tree" if way == "hole" else "char_per_area")
    length = "spacing" if kind == "trees" else "length"
    if per == "char_per_tree" and kind != "trees":
        yield InputFault(
            entries[f"planting.{n}.kind"].where, f"{kind} with char by the tree",
            "trees, or another way to count the char",
        )  # fmt: skip
    missing = {
        "char_per_tree": (),
        "char_per_length": (length,),
        "char_per_area": () if _filled(entries, n, "area") else (length, "width"),
    }[per]
    for word in missing:
        if not _filled(entries, n, word):
            entry = entries[f"planting.{n}.{word}"]
            yield InputFault(entry.where, f"an empty cell for {entry.row.label!r}", "a number: the char is by it")


def trial_faults(tables: Mapping[str, TableData]) -> Iterator[InputFault]:
    """Lines of the garden trials that cannot be."""
    for line in tables["trials"].lines if "trials" in tables else ():
        yield from _line(line)


def _line(line: Line) -> Iterator[InputFault]:
    sown, sprouted = line.number("trials.sown"), line.number("trials.sprouted")
    if sprouted is not None and sown is None:
        yield InputFault(line.at("trials.sown"), "seeds that sprouted, and none sown", "how many were sown")
    if sown is not None and sprouted is not None and sprouted > sown:
        yield InputFault(
            line.at("trials.sprouted"), f"{sprouted:.0f} sprouted of {sown:.0f} sown", "no more than were sown"
        )
