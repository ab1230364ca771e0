"""The page of break-even values: where the answer turns."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import zip_longest
from typing import Any

from econ.questions.found import BreakEven
from econ.workbook.desk import Desk
from econ.workbook.page_plan import Found


def break_even(desk: Desk) -> Found:
    """One row a lever: its value, where the NPV is zero, the range that was searched."""
    return {"levers": [row for found in desk.results.breakeven for row in _rows(desk, found)]}


def _rows(desk: Desk, found: BreakEven) -> Iterator[tuple[Any, ...]]:
    """The lever on one row, and a row more for each further value."""
    shown, unit = _as_typed(desk, found)
    jumps = ["the answer jumps across here" if one and len(found.values) > 1 else "" for one in found.jumps]
    values: list[Any] = [shown(value) for value in found.values] or ["none in range"]
    first, *more = zip_longest(values, jumps, fillvalue="")
    ends = (shown(found.lowest), shown(found.highest))
    yield found.label, shown(found.value), first[0], *ends, unit, first[1] or found.words
    for value, words in more:
        yield None, None, value, None, None, None, words or None


def _as_typed(desk: Desk, found: BreakEven) -> tuple[Callable[[float], float], str]:
    """How to show a value, and its unit: a fuel's price in the measure that was typed, all else as it is."""
    entry = desk.results.scenario[f"fuel.{desk.results.plan.fuels[0]}.price"]
    if found.name == "fuel_price" and found.unit != "share" and entry.unit is not None:
        return entry.unit.from_canonical, entry.unit.symbol
    unit, factor = desk.shown_unit(found.unit)
    return lambda value: value * factor, unit
