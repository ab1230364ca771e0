"""Rows of a table worked out together: those of one pattern walk the code of one plant as columns.

See `inputs/lanes.py`. What a walk cannot do together, a fault above all, is done plant by plant.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import numpy as np

from econ.inputs.as_typed import LONGEST, Reading, is_plain, read_number
from econ.inputs.lanes import Lanes, World, each_way, is_column, plants_now
from econ.inputs.records import Caution
from econ.inputs.rows import plain
from econ.inputs.schema import rows

Cells = Mapping[str, str]
Walk = Callable[[Cells, Mapping[str, Reading]], dict[str, Any]]
"""From texts by key, and those of their numbers that are columns, to what is found: a mapping of mappings."""


@dataclass(slots=True)
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
        found: dict[str, Any] = {}
        for key, one in self.first.items():
            if key not in self.columns:
                self.columns[key] = np.array(self.values.pop(key))
            value, *ends = (Lanes(world, part) for part in self.columns[key][world.alive].T)
            found[key] = Reading(value, tuple(ends) or None, one.unit, one.sign, one.about)  # type: ignore[arg-type]
        return found


_PLAINLY = re.compile("([0-9]+(?:[.][0-9]+)?)((?: [A-Za-z][^0-9]*)?)")
"""A number, and perhaps a unit: however large, it reads as any other with the same words behind it."""


@lru_cache(maxsize=1_000)
def _sign(key: str, text: str) -> tuple[tuple[object, ...], Reading | None]:
    """What a cell says in which way but for its number, and its number; None where it says none."""
    row, reading = rows()[key], None
    if row.is_number and not (row.or_words and plain(text) == row.or_words):
        reading = read_number(text)
    if reading is None:
        return (key, text), None
    return (key, reading.unit, reading.sign, reading.about, reading.ends is None, is_plain(text)), reading


def patterns(table: Sequence[Cells]) -> list[Pattern]:
    """The rows of a table by their pattern, in the order of the first of each."""
    found: dict[Any, Pattern] = {}
    for member, cells in enumerate(table):
        signs, readings, values = [], {}, {}
        for key, text in cells.items():
            simple = _PLAINLY.fullmatch(text) if len(text) <= LONGEST else None
            sign, reading = _sign(key, f"7{simple[2]}") if simple is not None else (None, None)
            if simple is not None and reading is not None and reading.value == 7:  # no thousands behind it
                values[key] = (float(simple[1]),)
            else:
                sign, reading = _sign(key, text)
                if reading is not None:
                    values[key] = (reading.value, *(reading.ends or ()))
            if reading is not None:
                readings[key] = reading
            signs.append(sign)
        found.setdefault(tuple(signs), Pattern(cells, readings)).add(member, values)
    return list(found.values())


def together(table: Sequence[Cells], walk: Walk) -> Iterator[tuple[list[int], list[dict[str, Any]] | None]]:
    """Group by group: the places of its rows in the table, and what was found for each.

    None where they must go one by one.
    """
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


def _by_row(found: Mapping[str, Any], count: int) -> list[dict[str, Any]]:
    """One mapping of mappings a row out of one whose numbers may be columns; None for what does not exist."""

    def column(one: Any) -> list[Any]:
        if is_column(one):
            return [value if math.isfinite(value) else None for value in one.now().tolist()]
        return one if isinstance(one, list) else [one] * count

    columns = {part: {name: column(one) for name, one in items.items()} for part, items in found.items()}
    return [
        {part: {name: column[at] for name, column in items.items()} for part, items in columns.items()}
        for at in range(count)
    ]
