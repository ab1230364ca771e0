"""What must be true for the NPV to reach zero: break-even values and how far off they are, in the user's units."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from econ.questions.found import BreakEven

if TYPE_CHECKING:
    from econ.answer.results import Results

ROWS = {
    "char_price": "product.1.price",
    "tonnes_sold": "product.1.market_limit",
    "bones_per_week": "bones.1.mass",
    "hauler_bill": "current.saving",
    "hours_per_firing": "labour.hours_per_batch",
}
"""The row whose unit a lever is shown in."""
LABELS = {
    "char_price": "Char price, average",
    "tonnes_sold": "Amount of char sold",
    "customers": "Customers",
    "hauler_bill": "Avoided disposal cost",
    "kiln_price": "Price of the kiln",
    "hours_per_firing": "Labour hours of a batch",
    "bones_per_week": "Bones",
}
"""Levers of the first page, in order; all else stays as typed."""
CANONICAL = {"t/year": 1000.0, "t/week": 52_000.0}
"""From the unit of a lever to the canonical unit of its row, kg a year."""
BETTER_UP = frozenset({"char_price", "tonnes_sold", "customers", "hauler_bill", "bones_per_week"})


@dataclass(frozen=True, slots=True)
class Must:
    """One lever: its value as typed and where NPV is zero, in `unit`; `change` is the way there as a share.

    `even` and `change` are None where the NPV does not turn within the range that was searched.
    """

    name: str
    label: str
    unit: str
    typed: float
    even: float | None
    change: float | None
    words: str
    lever: BreakEven

    def to_json(self) -> dict[str, object]:
        """The same in the units of the break-evens, whatever the user typed."""
        turns = _nearest_first(self.lever)
        return {
            "name": self.name,
            "unit": self.lever.unit,
            "value": self.lever.value,
            "npv_is_zero_at": turns[0] if turns else None,
            "change": self.change,
        }


def _nearest_first(found: BreakEven) -> list[float]:
    return sorted(found.values, key=lambda value: abs(value - found.value))


def must_be_true(results: Results) -> tuple[Must, ...]:
    """The levers of the first page that this plant has, in the order of LABELS."""
    found = {one.name: one for one in _musts(results)}
    return tuple(found[name] for name in LABELS if name in found)


def nearest(results: Results) -> Must | None:
    """The lever whose break-even is the fewest per cent away; None where nothing turns the answer alone."""
    turning = [one for one in must_be_true(results) if one.change is not None]
    return min(turning, key=lambda one: abs(one.change or 0.0), default=None)


def _musts(results: Results) -> Iterator[Must]:
    for found in results.breakeven:
        if found.name not in LABELS:
            continue
        shown, unit = _unit(results, found)
        yield _must(results, found, found.name, shown, unit)
        per_customer = results.figures.get("char_per_customer_kg", 0.0)
        if found.name == "tonnes_sold" and per_customer > 0:
            yield _must(results, found, "customers", _customers(per_customer), "a year")


def _customers(kg_each: float) -> Callable[[float], float]:
    return lambda tonnes: tonnes * 1000 / kg_each


def _must(results: Results, found: BreakEven, name: str, shown: Callable[[float], float], unit: str) -> Must:
    typed, turns = shown(found.value), _nearest_first(found)
    even = shown(turns[0]) if turns else None
    change = None if even is None or not typed else even / typed - 1
    pays = results.figures["npv"] >= 0
    return Must(name, LABELS[name], unit, typed, even, change, _words(name, unit, even, change, pays), found)


def _words(name: str, unit: str, even: float | None, change: float | None, pays: bool) -> str:
    if even is None:
        return "NPV stays above zero over the range searched" if pays else "no value alone brings NPV to zero"
    value = f"{amount(even)} {unit}"
    if change is None:
        return f"NPV is zero at {value}"
    up = change > 0
    verb = "rise" if up else "fall"
    if up == (name in BETTER_UP):
        return f"must {verb} {abs(change):.0%}, to {value}"
    return f"may {verb} {abs(change):.0%}, to {value}"


def few(value: float) -> str:
    """A positive number in words: one decimal, or two figures that matter below 1."""
    return f"{value:,.1f}" if value >= 1 else f"{value:.2g}"


def amount(value: float) -> str:
    """A number with about three figures."""
    size = abs(value)
    digits = 0 if size >= 100 else 1 if size >= 10 else 2
    return f"{value:,.{digits}f}"


def _unit(results: Results, found: BreakEven) -> tuple[Callable[[float], float], str]:
    """From the unit of a break-even to that of the row as typed, and its short form."""
    scenario = results.scenario
    entry = scenario.entries.get(ROWS.get(found.name, ""))
    unit = None
    if entry is not None:
        is_typed = entry.value is not None
        unit = entry.unit if is_typed else entry.row.start_unit(scenario.system, scenario.currency)
    if unit is None:
        return lambda value: value, found.unit.replace("$", scenario.currency)
    scale = CANONICAL.get(found.unit, 1.0)
    return lambda value: unit.from_canonical(value * scale), unit.short
