"""Many plants through code written for one: a number that stands for a column of numbers.

A `Lanes` is a column of numbers that passes for a float. Arithmetic goes elementwise. A question about it (is
it below 3?) must have one answer: where the plants differ, those with the commoner answer stay, the others are
put aside and walk the same code again later. So every plant goes the way it would have gone alone, with the
same operations on the same numbers, and its figures are the same to the last bit. What asks for a plain float,
such as a function of `math`, gets one: the plants with another value are put aside. That is right but slow, so
code on the way of many plants asks `exists` and `summed` instead.
"""

from __future__ import annotations

import math
import operator
import threading
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import partial
from typing import TYPE_CHECKING, Any, TypeGuard, TypeVar, cast

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Rows = NDArray[np.intp]
    Column = NDArray[np.float64]

Found = TypeVar("Found")


class World:
    """The plants that still go one way, by their numbers in ascending order, and those put aside."""

    def __init__(self, alive: Rows) -> None:
        self.alive = alive
        self.left: list[Rows] = []

    def agree(self, answers: NDArray[np.bool_]) -> bool:
        """The commoner of the answers; the plants with the other are put aside."""
        found = 2 * int(answers.sum()) >= len(answers)
        self.keep(answers == found)
        return found

    def keep(self, those: NDArray[np.bool_]) -> None:
        """Put aside all others."""
        if not those.all():
            self.left.append(self.alive[~those])
            self.alive = self.alive[those]

    def at_most(self, count: int) -> None:
        """Put aside all but the first `count` plants."""
        if len(self.alive) > count:
            self.left.append(self.alive[count:])
            self.alive = self.alive[:count]


class _Open(threading.local):
    """The world whose plants walk now, last; none where one plant goes alone. A worker of threads has one each."""

    def __init__(self) -> None:
        self.worlds: list[World] = []


_OPEN = _Open()


def each_way(rows: Rows, walk: Callable[[World], Found]) -> Iterator[tuple[World, Found]]:
    """Walk until every plant of `rows` has been through; gives each walk's world with what it returned."""
    waiting = [rows]
    while waiting:
        world = World(waiting.pop())
        _OPEN.worlds.append(world)
        try:
            found = walk(world)
        finally:
            _OPEN.worlds.pop()
        waiting += world.left
        yield world, found


def plants_now() -> Rows | None:
    """The numbers of the plants that walk together now; None where one goes alone."""
    return _OPEN.worlds[-1].alive if _OPEN.worlds else None


def _in_turn(
    world: World, waiting: list[Rows], ask: Callable[[], Iterable[Found]]
) -> Iterator[tuple[Rows, list[Found]]]:
    """What `ask` finds for each group of a world's plants, and for those that part from one; then all go on."""
    whole, left = world.alive, world.left
    try:
        while waiting:
            world.alive, world.left = waiting.pop(), []
            said = list(ask())
            yield world.alive, said
            waiting += world.left
    finally:
        world.alive, world.left = whole, left


def in_parts(count: int, ask: Callable[[], list[Found]]) -> list[Found]:
    """What `ask` finds for each plant that walks now, in order, asked of at most `count` plants at a time."""
    if not _OPEN.worlds:
        return ask()
    whole = _OPEN.worlds[-1].alive
    parts = [whole[at : at + count] for at in range(0, len(whole), count)]
    found: dict[int, Found] = {}
    for alive, said in _in_turn(_OPEN.worlds[-1], parts, ask):
        found.update(zip(alive.tolist(), said, strict=True))
    return [found[at] for at in whole.tolist()]


def asked(*asks: Callable[[], Iterable[Found]]) -> list[tuple[Found, Rows | None]]:
    """What each of some questions that do not touch each other finds, in order, and for which plants (None: all).

    Plants that answer one differently part for that question alone, and go on together.
    """
    if not _OPEN.worlds:
        return [(one, None) for ask in asks for one in ask()]
    whole = _OPEN.worlds[-1].alive
    return [
        (one, None if len(alive) == len(whole) else alive)
        for ask in asks
        for alive, said in _in_turn(_OPEN.worlds[-1], [whole], ask)
        for one in said
    ]


def _elementwise(ask: Callable[[Any, Any], Any], turned: bool = False, agreed: bool = False) -> Any:
    """An operation with a column, its sides `turned` or not; a question has one answer, on which plants agree."""

    def found(self: Lanes, other: Any) -> Any:
        if not isinstance(other, int | float):
            return NotImplemented
        if ask is operator.truediv and (self if turned else other) == 0:
            raise ZeroDivisionError("float division by zero")
        beside = other.now() if is_column(other) else other
        made = ask(beside, self.now()) if turned else ask(self.now(), beside)
        return self.world.agree(made) if agreed else Lanes(self.world, made)

    return found


_asked = partial(_elementwise, agreed=True)


def _alone(do: Any) -> Any:
    """An operation on a column by itself."""
    return lambda self: Lanes(self.world, do(self.now()))


def is_column(value: object) -> TypeGuard[Any]:
    """Whether a number stands for many."""
    return type(value) is Lanes


class Lanes:
    """A column of numbers, one for each plant of its world that is alive when it is made (or was: `alive`)."""

    __slots__ = ("_alive", "_last", "_now", "_values", "world")
    __array_ufunc__ = None
    """numpy's own numbers leave arithmetic with a column to it."""

    def __init__(self, world: World, values: Column, alive: Rows | None = None) -> None:
        self.world, self._values, self._now = world, values, values
        self._alive = self._last = world.alive if alive is None else alive

    @property  # type: ignore[misc]
    def __class__(self) -> Any:
        """What `isinstance` sees."""
        return float

    def now(self) -> Column:
        """The numbers of the plants that are alive now."""
        if self._last is not self.world.alive:
            self._now = self._values[self._alive.searchsorted(self.world.alive)]
            self._last = self.world.alive
        return self._now

    __add__, __radd__ = _elementwise(operator.add), _elementwise(operator.add, turned=True)
    __sub__, __rsub__ = _elementwise(operator.sub), _elementwise(operator.sub, turned=True)
    __mul__, __rmul__ = _elementwise(operator.mul), _elementwise(operator.mul, turned=True)
    __truediv__, __rtruediv__ = _elementwise(operator.truediv), _elementwise(operator.truediv, turned=True)
    __lt__, __le__, __gt__, __ge__ = map(_asked, (operator.lt, operator.le, operator.gt, operator.ge))
    __eq__, __ne__ = map(_asked, (operator.eq, operator.ne))
    __neg__, __abs__, __floor__ = map(_alone, (operator.neg, abs, lambda column: column // 1))
    __hash__ = None  # type: ignore[assignment]

    def __bool__(self) -> bool:
        return self.world.agree(self.now() != 0)

    def __float__(self) -> float:
        """The number of the first plant; those with another are put aside."""
        values = self.now()
        first = float(values[0])
        self.world.keep((values == first) | (values != values) & (first != first))
        return first

    def __int__(self) -> int:
        return int(float(self))

    def __round__(self, places: int | None = None) -> float:
        return round(float(self), places)

    def __format__(self, how: str) -> str:
        return "nan"  # a sentence is made again for the plant alone where anybody reads it

    __str__ = __repr__ = lambda self: "nan"


def exists(value: float) -> bool:
    """Whether a figure is a finite number."""
    if is_column(value):
        return bool(value.world.agree(value.now() - value.now() == 0))
    return math.isfinite(value)


def summed(values: Iterable[float]) -> float:
    """The sum, exact before its one rounding (`math.fsum`)."""
    terms = list(values)
    worlds = [one.world for one in terms if is_column(one)]
    if not worlds:
        return math.fsum(terms)
    import numpy as np

    columns = np.broadcast_arrays(*(one.now() if is_column(one) else one for one in terms))
    return cast("float", Lanes(worlds[0], np.array([math.fsum(row) for row in zip(*columns, strict=True)])))


def is_below(value: float, limit: float) -> float:
    """1 where a number is not at least `limit`, else 0: a column where the plants differ, who stay together."""
    if not is_column(value):
        return float(not value >= limit)
    marks = 1.0 - (value.now() >= limit)
    is_mixed = 0 < marks.sum() < len(marks)
    return cast("float", Lanes(value.world, marks)) if is_mixed else float(marks[0])


def either(which: float, first: float, second: float) -> float:
    """`first` where `which` is not 0, else `second`, plant by plant where `which` is a column."""
    if not is_column(which):
        return first if which else second
    import numpy as np

    marks, one, other = (item.now() if is_column(item) else item for item in (which, first, second))
    return cast("float", Lanes(which.world, np.where(marks != 0, one, other)))


def beside(value: float | None) -> Any:
    """A column as an array (plants, 1) that stands beside samples; a plain number as it is."""
    return value.now()[:, None] if is_column(value) else value


def unwrapped(numbers: Mapping[str, float], most: int) -> tuple[dict[str, Any], Callable[[Any], float]]:
    """Numbers as the model takes them, columns as arrays of at most `most` plants; and what wraps its figures."""
    world = next((one.world for one in numbers.values() if is_column(one)), None)
    if world is None:
        return dict(numbers), float
    world.at_most(most)
    held, alive = world, world.alive

    def wrapped(value: Any) -> Any:
        return Lanes(held, value, alive) if getattr(value, "ndim", 0) else float(value)

    return {key: one.now() if is_column(one) else one for key, one in numbers.items()}, wrapped
