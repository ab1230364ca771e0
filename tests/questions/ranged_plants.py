"""Scenarios for the questions: the first invented plant with rows changed or ranges taken away."""

from __future__ import annotations

from dataclasses import replace

from conftest import built

from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.records import Scenario, Typed

PLANT = "thistle-flat"
FIRST_SHEET = (
    "bones.1.mass", "bones.1.excluded_share", "current.option", "current.saving", "kiln.price",
    "kiln.installation", "capital.other", "kiln.batch_load", "kiln.batches_per_week", "labour.hours_per_batch",
    "labour.wage", "fuel.1.kind", "fuel.1.per_batch", "fuel.1.price", "running.insurance_per_year",
    "running.permits_per_year", "product.1.price", "money.study_years", "money.discount_rate",
)  # fmt: skip
"""The rows of the first sheet, but for how much sells."""


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


def first_sheet_guessed(price: float = 1.5) -> Scenario:
    """The first sheet alone, every number a guess without ends; at 1.50 USD a lb its NPV as typed is near zero."""
    rows = example(PLANT).rows
    needed = {key: replace(rows[key], low=None, high=None, known="guessed") for key in rows if key in FIRST_SHEET}
    sold = Typed(12_000, unit="lb per year", known="guessed")
    offered = Typed(price, unit="USD per lb", known="guessed")
    return built({**needed, "product.1.price": offered, "product.1.market_limit": sold}, "us")
