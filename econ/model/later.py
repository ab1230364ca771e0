"""Only what is asked for: the model walked over quantities that come later, then worked out as often as asked.

A question wants a few of two thousand figures, over many cases, several times. So the walk takes a note of each
operation on an array, and of the notes only those are done that the answers hang on, a third or less: the same
operations on the same numbers, so every case to the bit as if all had been done.
"""

from __future__ import annotations

import operator
from collections.abc import Container, Iterable, Mapping
from itertools import count
from typing import Any

import numpy as np

from econ.model.ledger import Arrays, Column, Quantity, interp, power, step

_COUNT = count()


def _noted(do: Any) -> tuple[Any, Any]:
    """An operation of what comes later with another quantity, and the same turned."""
    return lambda self, other: Later(do, self, other), lambda self, other: Later(do, other, self)


class Later(np.lib.mixins.NDArrayOperatorsMixin):
    """A quantity of many cases not worked out yet: what is to be done, and to what."""

    __slots__ = ("args", "at", "do")

    def __init__(self, do: Any = None, *args: Quantity) -> None:
        self.do, self.args, self.at = do, args, next(_COUNT)  # each after what it is made of

    def __array_ufunc__(self, ufunc: Any, method: str, *args: Quantity) -> Later:
        return Later(getattr(ufunc, method), *args)

    def __array_function__(self, function: Any, types: Any, args: tuple[Quantity, ...], words: Any) -> Later:
        if words:
            raise TypeError(f"{function.__name__} of what comes later takes no words")
        return Later(function, *args)

    # these four are most of all; the others go by numpy's longer way
    __add__, __radd__ = _noted(operator.add)
    __sub__, __rsub__ = _noted(operator.sub)
    __mul__, __rmul__ = _noted(operator.mul)
    __truediv__, __rtruediv__ = _noted(operator.truediv)

    def __bool__(self) -> bool:
        raise TypeError("a branch on a value would hold for one case alone")

    def interp(self, xs: Column, ys: Column) -> Later:
        """A table read at this quantity, in the unit of `ys` [any]."""
        return Later(interp, xs, ys, self)

    def step(self, edges: Column, values: Column) -> Later:
        """The value of the class of this quantity, in the unit of `values` [any]."""
        return Later(step, edges, values, self)

    def power(self, exponent: float) -> Later:
        """A power of this quantity [1]: for ratios."""
        return Later(power, self, exponent)


Step = tuple[Any, list[int], int, list[int]]
"""What is done, the slots it reads, the slot of its result, and the slots that nobody reads afterwards."""
State = tuple[list[Quantity], list[Quantity], list[Step]]
"""The inputs that are single numbers, all slots with what hangs on these alone, and the steps that are left."""


class Program:
    """What the `wanted` figures of a walk hang on, step by step; `inputs` are the quantities that come later.

    `hangs_on`: the names of those inputs that the figures hang on.
    """

    def __init__(self, inputs: Mapping[str, Later], kept: Arrays, wanted: frozenset[str]) -> None:
        self._inputs = tuple(inputs)
        self._places = {one.at: place for place, one in enumerate(inputs.values())}
        self._slots: list[Quantity] = [None] * len(inputs)
        kept = kept.only(wanted)
        rows = (kept.years, kept.months)
        figures = [
            *kept.lines.values(),
            *(one for table in rows for row in table.values() for one in row.values()),
        ]
        places, place = self._places, self._place
        steps = [
            (one.do, [places[arg.at] if type(arg) is Later else place(arg) for arg in one.args], place(one))
            for one in _behind(figures, places)
        ]
        needed, self._steps = {*map(self._place, figures)}, list[Step]()
        for do, args, out in reversed(steps):  # an array goes after its last use
            last = [at for at in args if at not in needed]
            self._steps.append((do, args, out, last))
            needed.update(last)
        self._steps.reverse()
        self.hangs_on = frozenset(name for at, name in enumerate(inputs) if at in needed)
        self._state: State = ([], [], [])
        self._lines = {name: self._place(one) for name, one in kept.lines.items()}
        self._rows = [{name: {t: self._place(one) for t, one in row.items()} for name, row in table.items()}
                      for table in rows]  # fmt: skip

    def _place(self, one: Quantity) -> int:
        """The slot of a quantity; what is new gets one, in which a number stands from the start."""
        is_later = type(one) is Later
        if is_later and (place := self._places.get(one.at)) is not None:
            return place
        self._slots.append(None if is_later else one)
        if is_later:
            self._places[one.at] = len(self._slots) - 1
        return len(self._slots) - 1

    def run(self, numbers: Mapping[str, Quantity]) -> Arrays:
        """The figures, each in its own unit [words/*.csv], over the inputs among `numbers`."""
        given = [numbers[name] for name in self._inputs]
        fixed = [None if isinstance(one, np.ndarray) else one for one in given]
        state = self._state
        if state[0] != fixed:
            state = self._fixed(fixed)
        slots = [*given, *state[1][len(given) :]]
        for do, args, out, last in state[2]:
            if len(args) == 2:  # most are, and go in a third of the time
                slots[out] = do(slots[args[0]], slots[args[1]])
            else:
                slots[out] = do(*[slots[at] for at in args])
            for at in last:
                slots[at] = None
        found = Arrays()
        found.lines = {name: slots[at] for name, at in self._lines.items()}
        found.years, found.months = (
            {name: {t: slots[at] for t, at in row.items()} for name, row in table.items()} for table in self._rows
        )
        return found

    def _fixed(self, fixed: list[Quantity]) -> State:
        """What hangs on single numbers alone, done once: the next cases are likely to have the same."""
        slots, steps = [*fixed, *self._slots[len(fixed) :]], list[Step]()
        moving = {at for at, one in enumerate(fixed) if one is None}
        for step_of in self._steps:
            do, args, out, _ = step_of
            if moving.isdisjoint(args):
                slots[out] = do(*[slots[at] for at in args])
            else:
                moving.add(out)
                steps.append(step_of)
        self._state = state = (fixed, slots, steps)
        return state


def _behind(figures: Iterable[Quantity], known: Container[int]) -> list[Later]:
    """The quantities that figures hang on, in the order in which they were noted; without those known."""
    found: dict[int, Later] = {}
    waiting = [one for one in figures if type(one) is Later]
    while waiting:
        one = waiting.pop()
        if one.at not in found and one.at not in known:
            found[one.at] = one
            waiting += [arg for arg in one.args if type(arg) is Later]
    return [found[at] for at in sorted(found)]
