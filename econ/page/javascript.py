"""The world of JavaScript: the model run once more to print a function that a page can call.

A `Js` stands for a number that the page knows only when it runs. Numpy's operators on it take a note each;
whatever hangs on none of them is computed here and printed as a number. Only operations that give the same
last bit in both languages are used: + - * /, comparison, largest and smallest, rounding up and down, square
root; `exp`, `expm1` and powers, which some coefficients of carbon need, may differ in the last bit.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np

from econ.model.ledger import Arrays, Column, Quantity

SIGNS: dict[Any, str] = {
    np.add: "({}+{})", np.subtract: "({}-{})", np.multiply: "({}*{})", np.divide: "({}/{})",
    np.greater: "({}>{}?1:0)", np.greater_equal: "({}>={}?1:0)", np.less: "({}<{}?1:0)",
    np.maximum: "max({},{})", np.minimum: "min({},{})", np.floor: "floor({})", np.ceil: "ceil({})",
    np.negative: "(-{})", np.sqrt: "sqrt({})", np.expm1: "expm1({})", np.exp: "exp({})",
}  # fmt: skip
LONGEST = 400
"""An expression longer than this gets a name, so that no line of the page is endless."""
HEAD = "const {max,min,floor,ceil,sqrt,exp,expm1,pow}=Math;"


class Tape:
    """The notes of one printing: what is computed from what, each once."""

    def __init__(self) -> None:
        self.notes: list[tuple[str, tuple[int | str, ...]]] = []
        self.tables: dict[str, str] = {}
        self._seen: dict[tuple[str, tuple[int | str, ...]], int] = {}

    def note(self, form: str, *args: Quantity) -> Js:
        """The quantity that `form` makes of its arguments, texts or quantities."""
        said = tuple(
            one.at if isinstance(one, Js) else one if isinstance(one, str) else number(one) for one in args
        )
        key = (form, said)
        if key not in self._seen:
            self._seen[key] = len(self.notes)
            self.notes.append(key)
        return Js(self, self._seen[key])

    def table(self, column: Column) -> str:
        """The name of a column of numbers in the page."""
        text = "[" + ",".join(map(number, column)) + "]"
        return self.tables.setdefault(text, f"t{len(self.tables)}")

    def function(self, name: str, found: Sequence[Quantity]) -> str:
        """A function from the inputs x to `found` in y, and the tables that it reads."""
        used = self._used(one for one in found if isinstance(one, Js))
        texts: dict[int, str] = {}
        lines = [f"const {short}={text};" for text, short in self.tables.items()]
        lines.append(f"function {name}(x,y){{")
        for at, (form, args) in enumerate(self.notes):
            if at not in used:
                continue
            text = form.format(*[texts[arg] if isinstance(arg, int) else arg for arg in args])
            if args and (used[at] > 1 or len(text) > LONGEST):
                lines.append(f"const a{at}={text};")
                text = f"a{at}"
            texts[at] = text
        results = (texts[one.at] if isinstance(one, Js) else number(one) for one in found)
        lines += [f"y[{i}]={text};" for i, text in enumerate(results)]
        return "\n".join([*lines, "}"])

    def _used(self, found: Iterable[Js]) -> dict[int, int]:
        """How often each note is read, for those that `found` hang on."""
        used: dict[int, int] = {}
        for one in found:
            used[one.at] = used.get(one.at, 0) + 1
        for at in reversed(range(len(self.notes))):
            for arg in self.notes[at][1] if at in used else ():
                if isinstance(arg, int):
                    used[arg] = used.get(arg, 0) + 1
        return used


class Js(np.lib.mixins.NDArrayOperatorsMixin):
    """A number of the page: the place of its note on the tape."""

    ndim = 1  # many cases, as far as the model is concerned

    def __init__(self, tape: Tape, at: int) -> None:
        self.tape, self.at = tape, at

    def __array_ufunc__(self, ufunc: Any, method: str, *args: Any, **kwargs: Any) -> Js:
        if method != "__call__" or kwargs or ufunc not in SIGNS:
            raise TypeError(f"the page cannot print {ufunc.__name__}.{method}")
        return self.tape.note(SIGNS[ufunc], *args)

    def __bool__(self) -> bool:
        raise TypeError("a branch on a value would be frozen into the page")

    def interp(self, xs: Column, ys: Column) -> Js:
        """A table read at this number."""
        return self.tape.note("interp({},{},{})", self.tape.table(xs), self.tape.table(ys), self)

    def step(self, edges: Column, values: Column) -> Js:
        """The value of the class of this number."""
        return self.tape.note("step({},{},{})", self.tape.table(edges), self.tape.table(values), self)

    def power(self, exponent: float) -> Js:
        """The number to an exponent."""
        return self.tape.note("pow({},{})", self, exponent)


class Pages(Arrays):
    """The ledger of the page: keeps quantities by name as that of numbers does."""

    def value_or_withheld(self, name: str, allowed: Quantity, value: Quantity) -> Quantity:
        """Keep `value`, or nan where it is never reached or not reported."""
        return self.line(name, where(allowed, value))

    value_or_never = value_or_withheld


def where(found: Quantity, value: Quantity) -> Quantity:
    """`value` where `found` is above 0, else nan."""
    if isinstance(found, Js):
        return found.tape.note("({}>0?{}:NaN)", found, value)
    return value if found > 0 else math.nan


def number(value: Any) -> str:
    """A number as JavaScript writes it, to the last bit."""
    found = float(value)
    if math.isnan(found):
        return "NaN"
    if math.isinf(found):
        return "Infinity" if found > 0 else "(-Infinity)"
    text = repr(int(found)) if found == int(found) and abs(found) < 1e15 else repr(found)
    return f"({text})" if found < 0 else text


def inputs(numbers: Mapping[str, float], moving: Sequence[str], tape: Tape) -> dict[str, Quantity]:
    """The numbers of a scenario, those that move as x[0], x[1], ... in the order of `moving`."""
    return {**numbers, **{key: tape.note(f"x[{i}]") for i, key in enumerate(moving)}}
