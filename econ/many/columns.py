"""The records of many plants turned into columns: numbers as arrays, so that ten thousand stay small."""

from __future__ import annotations

import math
from array import array
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from econ.inputs.schema import rows
from econ.many.journal import FIGURES, WORDS, Journal, Listed, Record
from econ.many.table_rows import CARRIED, PLACES

if TYPE_CHECKING:
    import pandas

OPENING = ("plant", "place", "fault")


@dataclass(slots=True)
class Columns:
    """Figures, inputs and places of the plants that could be used, in listed order; faults of the others."""

    count: int = 0
    parts: dict[str, Any] = field(default_factory=dict)
    inputs: set[str] = field(default_factory=set)
    faults: list[tuple[str, str, str]] = field(default_factory=list)

    def add(self, listed: Listed, record: Record) -> None:
        """Take in one plant."""
        if record["fault"]:
            self.faults.append((listed.name, listed.place, listed.fault(record["fault"])))
            return
        self.inputs |= record["inputs"].keys()
        values = {**record["figures"], **record["inputs"], **dict(listed.carried), "plant": listed.name}
        for name, value in values.items():
            blank: Any = "" if is_word(name) else math.nan
            column = self.parts.setdefault(name, [] if is_word(name) else array("d"))
            column.extend([blank] * (self.count - len(column)))
            column.append(blank if value is None else value)
        self.count += 1

    def frame(self) -> pandas.DataFrame:
        """One row a plant that could be used; nan and empty words for what is missing."""
        import numpy as np
        import pandas

        for name, column in self.parts.items():
            column.extend(["" if is_word(name) else math.nan] * (self.count - len(column)))
        empty: dict[str, Any] = {
            name: pandas.Series(dtype=object if is_word(name) else float)
            for name in ("plant", *FIGURES)
            if name not in self.parts
        }
        return pandas.DataFrame(empty | {
            name: np.frombuffer(column) if isinstance(column, array) else column
            for name, column in self.parts.items()
        })  # fmt: skip

    def varying(self) -> list[str]:
        """Keys of the inputs that differ between plants, in the order of the sheets."""
        frame = self.frame()
        return [key for key in rows() if key in self.inputs and frame[key].nunique(dropna=False) > 1]

    def carried(self) -> list[str]:
        """The places that some plant has, such as its region."""
        return [name for name in CARRIED if name in self.parts]


def gather(listed: Iterable[Listed], journal: Journal) -> Columns:
    """All records of a run as columns; one record at a time is in memory."""
    found = Columns()
    for plant in listed:
        found.add(plant, journal[plant.key])
    return found


def is_word(name: str) -> bool:
    """Whether a column of the results table holds words."""
    named = {*OPENING, *WORDS, *CARRIED} - {*PLACES}
    return name in named or (name in rows() and not rows()[name].is_number)
