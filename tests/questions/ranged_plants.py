"""Scenarios for the questions: the first invented plant with rows changed or ranges taken away."""

from __future__ import annotations

from dataclasses import replace

from conftest import built

from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.records import Scenario, Typed

PLANT = "thistle-flat"


def plant(changes: dict[str, Typed] | None = None, *, keep: tuple[str, ...] | None = None) -> Scenario:
    """The plant with rows typed over; with `keep` only these inputs keep their range."""
    shipped = example(PLANT)
    rows = dict(shipped.rows)
    if keep is not None:
        rows = {key: row if key in keep else held(row) for key, row in rows.items()} | without_default_ranges()
    rows = {key: row for key, row in rows.items() if keep is None or not key.startswith("together.")}
    return built({**rows, **(changes or {})}, shipped.system)


def held(row: Typed) -> Typed:
    """The row typed without width: low and high at the value."""
    return replace(row, low=row.value, high=row.value) if isinstance(row.value, int | float) else row


def without_default_ranges() -> dict[str, Typed]:
    """Rows whose default carries a range, typed at their value without width."""
    scenario = build(example(PLANT).rows, "us")
    found = {}
    for entry in scenario.ranged():
        if entry.is_default:
            is_share = entry.row.key.startswith("bones.")
            value = entry.number * 100 if is_share else entry.shown(entry.number)
            unit = "%" if is_share else entry.unit.short if entry.unit else None
            found[entry.row.key] = Typed(value, value, value, unit)
    return found


def pair(number: int, first: str, second: str, correlation: float) -> dict[str, Typed]:
    """The three rows of a pair that moves together."""
    return {
        f"together.{number}.first": Typed(first),
        f"together.{number}.second": Typed(second),
        f"together.{number}.correlation": Typed(correlation, unit="fraction"),
    }


def shaped(number: int, key: str, shape: str) -> dict[str, Typed]:
    """The two rows that give an input a shape of its own."""
    return {f"ranges.special.{number}.key": Typed(key), f"ranges.special.{number}.shape": Typed(shape)}
