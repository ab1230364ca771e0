"""Small plants for the tests of the money: rows in canonical units over a plain base of nothing but a kiln."""

from __future__ import annotations

from collections.abc import Mapping

from conftest import built

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
