"""The world of cells: the model run once more to print every figure as formula and value.

A `Cell` carries the text of a formula and its computed value through numpy's operators. A function that
the sheet cannot print raises, and a Python branch on a value raises, so nothing in the workbook can
drift from the model.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

import numpy as np

from econ.fields import record
from econ.model.ledger import Arrays, Quantity

SIGNS: dict[Any, str] = {
    np.add: "+",
    np.subtract: "-",
    np.multiply: "*",
    np.divide: "/",
    np.greater: ">",
    np.greater_equal: ">=",
}
IDLE: dict[Any, str] = {np.add: "0", np.subtract: "0", np.multiply: "1", np.divide: "1"}
"""What changes nothing on the right of a sign, and is not printed."""
COMPARISONS = {np.greater, np.greater_equal}
CALLS: dict[Any, str] = {np.maximum: "MAX({})", np.minimum: "MIN({})", np.floor: "INT({})"}
LONGEST = 200
"""No formula is longer than this: a person must be able to read it."""

NAME = re.compile(r"^[a-z][a-z0-9]*(_[a-z0-9]+)+$")
_BRACKETS = re.compile(r"[()]")


@cache
def defined_name(key: str) -> str:
    """The workbook name of an input, coefficient or figure: lower case words joined by underscores.

    The underscore keeps a name from being taken for a cell address (irr1) or a reserved letter (r, c).
    Raises ValueError for a key that makes no such name.
    """
    name = key.replace(".", "_").lower()
    if "_" not in name:
        name = f"the_{name}"
    if not NAME.match(name):
        raise ValueError(f"{key!r} makes no usable workbook name")
    return name


class Cell(np.lib.mixins.NDArrayOperatorsMixin):
    """A formula text and its value; arithmetic on it writes the longer formula and the new value."""

    def __init__(self, text: str, value: float) -> None:
        self.text, self.value = text, value

    def __array_ufunc__(self, ufunc: Any, method: str, *args: Any, **kwargs: Any) -> Cell:
        if method != "__call__" or kwargs:
            raise TypeError(f"the sheet cannot print {ufunc.__name__}.{method}")
        said = [_text(arg) for arg in args]
        value = float(ufunc(*[arg.value if isinstance(arg, Cell) else arg for arg in args]))
        if said[-1] == IDLE.get(ufunc):
            return Cell(said[0], value)
        if ufunc in {np.add, np.multiply} and said[0] == IDLE[ufunc]:
            return Cell(said[1], value)
        if ufunc in COMPARISONS:
            return Cell(f"IF({said[0]}{SIGNS[ufunc]}{said[1]},1,0)", value)
        if ufunc in SIGNS:
            return Cell(f"({said[0]}{SIGNS[ufunc]}{said[1]})", value)
        if ufunc is np.ceil:
            return Cell(f"(-INT(-({said[0]})))", value)
        if ufunc not in CALLS:
            raise TypeError(f"the sheet cannot print {ufunc.__name__}")
        return Cell(CALLS[ufunc].format(",".join(said)), value)

    def __bool__(self) -> bool:
        raise TypeError("a branch on a value would be frozen into the workbook")


def _text(item: Quantity) -> str:
    if isinstance(item, Cell):
        return item.text
    number = float(item)
    return str(int(number)) if number == int(number) and abs(number) < 1e15 else repr(number)


def bare(text: str) -> str:
    """A formula without the brackets that enclose all of it."""
    while text.startswith("(") and text.endswith(")") and _closes_at_end(text):
        text = text[1:-1]
    return text


def times(text: str, factor: float) -> str:
    """A formula times a number; 1 is not printed."""
    return text if factor == 1.0 else f"{text}*{factor!r}"


def _closes_at_end(text: str) -> bool:
    depth = 0
    for found in _BRACKETS.finditer(text):
        depth += 1 if found[0] == "(" else -1
        if depth == 0:
            return found.end() == len(text)
    return False


@record(frozen=True, slots=True)
class Printed:
    """One cell to be written: formula text without "=", or None for a bare value, and what it shows."""

    formula: str | None
    value: float | str


Place = Callable[[str, int | None], str]
"""From the name of a figure (and a year) to the text that refers to its cell."""


class Sheets(Arrays):
    """The ledger that prints: keeps `Printed` cells by name (and year), in the order written."""

    def __init__(self, place: Place) -> None:
        super().__init__()
        self.place = place

    def line(self, name: str, value: Quantity) -> Quantity:
        """Print a single figure and refer to it by name."""
        self.lines[name] = printed(name, value)
        return Cell(self.place(name, None), _value(value))

    def year(self, name: str, t: int, value: Quantity) -> Quantity:
        """Print the figure of year t and refer to it by address."""
        self.years.setdefault(name, {})[t] = printed(name, value)
        return Cell(self.place(name, t), _value(value))

    def month(self, name: str, m: int, value: Quantity) -> Quantity:
        """Print the figure of month m and refer to it by address."""
        self.months.setdefault(name, {})[m] = printed(name, value)
        return Cell(self.place(name, m), _value(value))

    def cells(self) -> Iterator[tuple[str, int | None, Printed]]:
        """Every printed cell: the name of its figure, its year or month, and what stands there."""
        yield from ((name, None, cell) for name, cell in self.lines.items())
        for rows in (self.years, self.months):
            yield from ((name, t, cell) for name, row in rows.items() for t, cell in row.items())

    def value_or_never(self, name: str, found: Quantity, value: Quantity) -> Quantity:
        """Print `value` where found, else the word never."""
        shown: float | str = _value(value) if _value(found) > 0 else "never"
        self.lines[name] = Printed(f'IF({_text(found)}=1,{_text(value)},"never")', shown)
        return value

    def value_or_withheld(self, name: str, allowed: Quantity, value: Quantity) -> Quantity:
        """Print `value` where allowed, else the word withheld.

        What rests on it reads `value` itself, not the word, so that a change in the file makes no error:
        let `value` be nil where it is not allowed.
        """
        number = _value(value) if _value(allowed) > 0 else math.nan
        if math.isnan(number):
            self.lines[name] = Printed(None, "not reported")
        else:
            self.lines[name] = Printed(f'IF({_text(allowed)}=1,{_text(value)},"not reported")', number)
        return Cell(_text(value), number)


def _value(item: Quantity) -> float:
    return float(item.value if isinstance(item, Cell) else item)


def printed(name: str, item: Quantity) -> Printed:
    """How a figure is written: a formula with its value, a bare number, or the word withheld."""
    number = _value(item)
    if math.isnan(number):
        return Printed(None, "not reported")
    if not isinstance(item, Cell):
        return Printed(None, number)
    formula = bare(item.text)
    if len(formula) >= LONGEST:
        raise ValueError(f"the formula of {name} is {len(formula)} characters long: name a step of it")
    return Printed(formula, number)
