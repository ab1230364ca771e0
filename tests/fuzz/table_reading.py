"""Reads a table of plants of unknown make, and runs its first rows over a small base workbook."""

from __future__ import annotations

from pathlib import Path

from reading import is_sentence, is_usable, name_their_places, names_its_place
from small_books import small_books

from econ.errors import FileRefused, InputFault, InputFaults
from econ.many.plant_records import scenario_of
from econ.many.plants import Source

ROWS = 3
"""As many rows as are run: what a table can do shows in its first ones."""


def base_in(folder: Path) -> Path:
    """The least workbook that rows can be put over."""
    path = folder / "base.xlsx"
    path.write_bytes(dict(small_books())["bare"])
    return path


def outcome(path: Path, base: Path) -> str:
    """What reading the table comes to: refused, faults or rows, each checked; any other error passes through."""
    try:
        source = Source.of(path, base, (), "any version", path.with_suffix(".results.csv"))
        plants = list(source)
        assert len(source) == len(plants)
    except FileRefused as refusal:
        is_sentence(str(refusal))
        return "refused"
    except InputFault as fault:
        names_its_place(fault)
        return "faults"
    except InputFaults as several:
        name_their_places(several)
        return "faults"
    for plant in plants[:ROWS]:
        try:
            is_usable(scenario_of(plant, source.book, ()))
        except InputFaults as several:
            name_their_places(several)
    return f"rows: {len(plants)}"
