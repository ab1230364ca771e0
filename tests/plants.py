"""Small plants for the tests of the money: rows in canonical units over a plain base of nothing but a kiln."""

from __future__ import annotations

from collections.abc import Mapping

from conftest import built

from econ.fields import replace
from econ.inputs.examples import example
from econ.inputs.records import Scenario, Typed

BARE: dict[str, tuple[object, str | None]] = {
    "bones.1.mass": (520, "kg per week"),
    "bones.1.excluded_share": (0, "fraction"),
    "kiln.char_yield": (0.25, "fraction"),
    "current.saving": (0, "USD per year"),
    "kiln.price": (0, "USD"),
    "kiln.installation": (0, "USD"),
    "capital.other": (0, "USD"),
    "kiln.batch_load": (260, "kg"),
    "kiln.batches_per_week": (2, "a week"),
    "kiln.weeks_per_year": (52, "weeks"),
    "running.maintenance_share": (0, "fraction"),
    "running.insurance_per_year": (0, "USD per year"),
    "running.permits_per_year": (0, "USD per year"),
    "labour.hours_per_batch": (0, "hours"),
    "labour.wage": (0, "USD per hour"),
    "fuel.1.kind": ("propane", None),
    "fuel.1.per_batch": (0, "L"),
    "fuel.1.price": (0, "USD per L"),
    "product.1.price": (0, "USD per kg"),
    "money.study_years": (5, "years"),
    "money.discount_rate": (0.1, "fraction"),
}
"""A kiln that costs and earns nothing: 27.04 t of bones a year, 6.76 t of char, 104 firings."""

CHAR_KG = 520 * 52 * 0.25


def plant(rows: Mapping[str, tuple[object, str | None]] | None = None) -> Scenario:
    """The bare plant with `rows` (value, unit) put over it."""
    typed = {
        key: Typed(value=value, unit=unit, where=key) for key, (value, unit) in {**BARE, **(rows or {})}.items()
    }
    return built(typed)


FIRST_SHEET = (
    "bones.1.mass", "bones.1.excluded_share", "current.option", "current.saving", "kiln.price",
    "kiln.installation", "capital.other", "kiln.batch_load", "kiln.batches_per_week", "labour.hours_per_batch",
    "labour.wage", "fuel.1.kind", "fuel.1.per_batch", "fuel.1.price", "running.insurance_per_year",
    "running.permits_per_year", "product.1.price", "money.study_years", "money.discount_rate",
)  # fmt: skip
"""The rows of the first sheet, but for how much sells."""


def first_sheet_guessed(price: float = 1.5) -> Scenario:
    """The first sheet alone, every number a guess without ends; at 1.50 USD a lb its NPV as typed is near zero."""
    rows = example("thistle-flat").rows
    needed = {key: replace(rows[key], low=None, high=None, known="guessed") for key in rows if key in FIRST_SHEET}
    sold = Typed(12_000, unit="lb per year", known="guessed")
    offered = Typed(price, unit="USD per lb", known="guessed")
    return built({**needed, "product.1.price": offered, "product.1.market_limit": sold}, "us")
