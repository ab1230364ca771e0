"""Where the model writes its named quantities: the seam between the two worlds; the words and units of each."""

from __future__ import annotations

import math
import operator
import re
from collections.abc import Container, Iterable, Mapping, Sequence
from functools import cache, reduce
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from econ.errors import FactorError
from econ.fields import record, replace
from econ.shipped import listed

Quantity: TypeAlias = Any
"""A float, an array of shape (cases,), or a cell: anything with numpy operators."""
Values: TypeAlias = Mapping[str, Quantity]
WHOLE = 1e-9
"""Slack before a count of firings is rounded up or down, so that 52.0000000001 loads are 52."""
TINY = 1e-9
"""The smallest divisor: what is nothing is divided by this."""
FEW_PARTS = 3

np.empty(4_000_000)
"""Never used. glibc keeps freed memory up to twice the largest block ever given back (mallopt(3)); else each array
of samples is fetched anew from the system: a third of the time of all samples, two thirds of that of all plans."""


class Arrays:
    """The world of numbers, of which other ledgers are made: methods return what the model goes on to use."""

    def __init__(self) -> None:
        self.lines: dict[str, Quantity] = {}
        self.years: dict[str, dict[int, Quantity]] = {}
        self.months: dict[str, dict[int, Quantity]] = {}

    def line(self, name: str, value: Quantity) -> Quantity:
        """Keep a single figure."""
        self.lines[name] = value
        return value

    def year(self, name: str, t: int, value: Quantity) -> Quantity:
        """Keep the figure of year t."""
        self.years.setdefault(name, {})[t] = value
        return value

    def month(self, name: str, m: int, value: Quantity) -> Quantity:
        """Keep the figure of month m."""
        self.months.setdefault(name, {})[m] = value
        return value

    def value_or_withheld(self, name: str, allowed: Quantity, value: Quantity) -> Quantity:
        """Keep `value` where `allowed` is 1; nan (elsewhere a word) where it is withheld or never comes."""
        return self.line(name, np.where(np.greater(allowed, 0), value, np.nan))

    value_or_never = value_or_withheld

    def only(self, wanted: Container[str]) -> Arrays:
        """A ledger of the figures named."""
        found = Arrays()
        for name, kept in vars(self).items():
            setattr(found, name, {figure: value for figure, value in kept.items() if figure in wanted})
        return found


Column: TypeAlias = Sequence[float] | NDArray[np.float64]


def interp(xs: Column, ys: Column, x: Quantity) -> Quantity:
    """A table of ascending `xs` read at x, straight between rows, the end row outside. A cell brings its own."""
    own = getattr(x, "interp", None)
    return np.interp(np.asarray(x, float), xs, ys) if own is None else own(xs, ys)


def step(edges: Column, values: Column, x: Quantity) -> Quantity:
    """The class of x: values[i] for edges[i - 1] < x <= edges[i]; nan is above all. A cell brings its own."""
    if (own := getattr(x, "step", None)) is not None:
        return own(edges, values)
    return np.take(values, np.searchsorted(edges, np.asarray(x, float), side="left"))


def above(x: Quantity, y: Quantity) -> Quantity:
    """1 [flag] where x is greater than y, else 0."""
    return np.greater(x, y) * 1.0


def at_least(x: Quantity, y: Quantity) -> Quantity:
    """1 [flag] where x is y or more, else 0."""
    return np.greater_equal(x, y) * 1.0


_each_power: Any = np.vectorize(math.pow, otypes=[float])


def power(x: Quantity, exponent: float) -> Quantity:
    """An elementwise power; one case alone gives exactly what it gives among many."""
    own = getattr(x, "power", None)
    return _each_power(x, exponent) if own is None else own(exponent)


class Book:
    """The account of one evaluation: inputs and coefficients to read, figures to write as the ledger does.

    `reads` remembers every name asked for, so that a workbook can say which inputs are live in it.
    """

    def __init__(self, values: Mapping[str, Quantity], ledger: Arrays) -> None:
        self._values: dict[str, Quantity] = dict(values)
        self._ledger = ledger
        self.year, self.month = ledger.year, ledger.month
        self.value_or_never = ledger.value_or_never
        self.reads: set[str] = set()

    def __getitem__(self, name: str) -> Quantity:
        self.reads.add(name)
        return self._values[name]

    def optional(self, name: str) -> Quantity | None:
        """An input or figure, or None where this plant has no such part: a blank row, a line not written."""
        self.reads.add(name)
        return self._values.get(name)

    def line(self, name: str, value: Quantity) -> Quantity:
        """Write a single figure, readable under its name from here on."""
        self._values[name] = self._ledger.line(name, value)
        return self._values[name]

    def value_or_withheld(self, name: str, allowed: Quantity, value: Quantity) -> Quantity:
        """Write `value` where `allowed` is 1, withheld where it is 0; readable under its name."""
        self._values[name] = self._ledger.value_or_withheld(name, allowed, value)
        return self._values[name]


def given(b: Book, name: str, other: Quantity) -> Quantity:
    """The row `name`, or where it is blank what stands for it."""
    found = b.optional(name)
    return other if found is None else found


def there(b: Book, *names: str) -> list[Quantity]:
    """Those of these inputs and figures that this plant has; a blank row is a part that it lacks."""
    return [found for name in names if (found := b.optional(name)) is not None]


def product(b: Book, *names: str) -> list[Quantity]:
    """The product of these inputs and figures, or nothing where this plant lacks one of them."""
    found = there(b, *names)
    return [reduce(operator.mul, found)] if len(found) == len(names) else []


def times(b: Book, quantity: Quantity, key: str) -> Quantity:
    """`quantity` × the row `key`, or as it is where the row is blank."""
    factor = b.optional(key)
    return quantity if factor is None else quantity * factor


def hour_cost(b: Book) -> Quantity:
    """What an attended hour costs [currency/h]: the wage with what comes on top. Definition."""
    return b["labour.wage"] * (1 + b["labour.on_cost_share"])


def total(parts: Iterable[Quantity]) -> Quantity:
    """The sum of quantities, left to right; 0 where there are none."""
    terms = list(parts)
    return reduce(operator.add, terms) if terms else 0.0


def summed(b: Book, name: str, parts: Iterable[Quantity], most: int) -> Quantity:
    """Write `name`: a sum, left to right; each `most` terms stand as `name_first_4`, to keep formulas short."""
    terms = list(parts)
    found = total(terms[:most])
    for at in range(most, len(terms), most - 1):
        found = total([b.line(f"{name}_first_{at}", found), *terms[at : at + most - 1]])
    return b.line(name, found)


def of_parts(b: Book, name: str, found: Quantity, parts: int) -> Quantity:
    """A sum over so many streams, on a line of its own where their number would make long formulas of it."""
    return found if parts <= FEW_PARTS else b.line(f"{name}_of_streams", found)


SUBJECTS = ("bones", "char", "market", "running", "kiln", "carbon", "money", "lender", "cash", "options",
            "planting")  # fmt: skip
"""The tables of words/, in the order in which a page shows their lines."""


@record(frozen=True, slots=True)
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
        for row in listed(subject, "model/words"):
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
