"""The words and units of every figure the model writes."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

from econ.errors import FactorError

SUBJECTS = ("bones", "char", "market", "running", "kiln", "carbon", "money", "lender", "cash", "options",
            "planting")  # fmt: skip
"""The tables of words/, in the order in which a page shows their lines."""


@dataclass(frozen=True, slots=True)
class Line:
    """How a figure is shown: the page and section it stands in, its label and unit ("$" is the currency)."""

    name: str
    page: str
    section: str
    label: str
    unit: str
    order: int


@cache
def _table() -> dict[str, Line]:
    found: dict[str, Line] = {}
    for subject in SUBJECTS:
        with (files("econ.model") / "words" / f"{subject}.csv").open(encoding="utf-8") as handle:
            for row in csv.DictReader(handle):
                if row["name"] in found:
                    raise FactorError(f"two lines are called {row['name']!r}")
                found[row["name"]] = Line(**row, order=len(found))
    return found


_NUMBERED = re.compile(r"^(bones|tier|fuel|task|month|item|part|year|option|planting|stopped)_(\d+)_(.+)$")
_STEP = re.compile(r"^(.+)_(?:first_(\d+)|(of_streams))$")
"""A step of a long sum: `resale_today_first_4`, or a sum over many streams before it is corrected."""


@cache
def line(name: str) -> Line:
    """The line called `name`; raises FactorError for one that no table lists."""
    table = _table()
    if name in table:
        return table[name]
    if step := _STEP.match(name):
        whole = line(step[1])
        words = "sum over the streams" if step[3] else f"the first {step[2]} of the sum"
        return replace(whole, name=name, label=f"{whole.label}: {words}")
    parts = _NUMBERED.match(name)
    if parts and (pattern := f"{parts[1]}_{{n}}_{parts[3]}") in table:
        return replace(table[pattern], name=name, label=table[pattern].label.replace("{n}", parts[2]))
    raise FactorError(f"the figure {name!r} has no line in words/*.csv")
