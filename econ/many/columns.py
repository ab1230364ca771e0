"""The records of many plants turned into columns: numbers as arrays, so that ten thousand stay small."""

from __future__ import annotations

import math
from array import array
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from econ.inputs.schema import rows
from econ.many.journal import FIGURES, WORDS, Journal, Listed, Record

OPENING = ("plant", "place", "fault")


@dataclass(slots=True)
class Columns:
    """Figures and inputs of the plants that could be used, nan for what is missing, in listed order."""

    count: int = 0
    currency: list[str] = field(default_factory=list)
    figures: dict[str, array[float]] = field(default_factory=dict)
    numbers: dict[str, array[float]] = field(default_factory=dict)
    choices: dict[str, list[str]] = field(default_factory=dict)
    faults: list[tuple[str, str, str]] = field(default_factory=list)

    def add(self, listed: Listed, record: Record) -> None:
        """Take in one plant."""
        if record["fault"]:
            self.faults.append((listed.name, listed.place, record["fault"]))
            return
        figures = record["figures"]
        self.currency.append(figures["currency"])
        for name in FIGURES:
            if name not in WORDS:
                _put(self.figures, name, figures[name], self.count)
        for key, value in record["inputs"].items():
            if isinstance(value, str):
                column = self.choices.setdefault(key, [])
                column += [""] * (self.count - len(column)) + [value]
            else:
                _put(self.numbers, key, value, self.count)
        self.count += 1

    def whole(self) -> Columns:
        """The same with every column as long as there are plants."""
        for column in (*self.figures.values(), *self.numbers.values()):
            column.extend([math.nan] * (self.count - len(column)))
        for words in self.choices.values():
            words += [""] * (self.count - len(words))
        return self

    def varying(self) -> list[str]:
        """Keys of the inputs that differ between plants, in the order of the sheets."""
        unlike = {key for key, column in self.numbers.items() if len({x for x in column if x == x}) > 1}
        unlike |= {key for key, column in self.numbers.items() if 0 < sum(x == x for x in column) < self.count}
        unlike |= {key for key, column in self.choices.items() if len(set(column)) > 1}
        return [key for key in rows() if key in unlike]


def _put(columns: dict[str, array[float]], name: str, value: Any, at: int) -> None:
    column = columns.setdefault(name, array("d"))
    column.extend([math.nan] * (at - len(column)))
    column.append(math.nan if value is None else float(value))


def gather(listed: Iterable[Listed], journal: Journal) -> Columns:
    """All records of a run as columns; one record at a time is in memory."""
    found = Columns()
    for plant in listed:
        found.add(plant, journal[plant.key])
    return found.whole()


def is_word(name: str) -> bool:
    """Whether a column of the results table holds words."""
    return name in OPENING or name in WORDS or (name in rows() and not rows()[name].is_number)
