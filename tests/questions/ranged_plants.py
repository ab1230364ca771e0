"""Scenarios for the questions: the first invented plant with rows changed or ranges taken away."""

from __future__ import annotations

from dataclasses import replace

from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.records import Scenario, Typed

PLANT = "thistle-flat"


def plant(changes: dict[str, Typed] | None = None, *, keep: tuple[str, ...] | None = None) -> Scenario:
    """The plant with rows typed over; with `keep` only these inputs keep their range."""
    shipped = example(PLANT)
    rows = dict(shipped.rows)
    if keep is not None:
        rows = {key: row if key in keep else replace(row, low=None, high=None) for key, row in rows.items()}
        rows |= without_default_ranges()
    rows = {key: row for key, row in rows.items() if keep is None or not key.startswith("together.")}
    return build({**rows, **(changes or {})}, shipped.system)


def without_default_ranges() -> dict[str, Typed]:
    """Rows whose default carries a range, typed at their value without one."""
    scenario = build(example(PLANT).rows, "us")
    return {
        entry.row.key: Typed(entry.shown(entry.number), unit=entry.unit.short if entry.unit else None)
        for entry in scenario.ranged()
        if entry.is_default
    } | {
        entry.row.key: Typed(entry.number * 100, unit="%")
        for entry in scenario.ranged()
        if entry.is_default and entry.row.key.startswith("bones.")
    }


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
