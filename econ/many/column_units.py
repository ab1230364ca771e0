"""Units of the columns of the results table: figures by name, inputs by key in their first metric unit."""

from __future__ import annotations

from functools import cache

from econ.inputs.schema import rows
from econ.many.summary import SPREADS, TOTALS
from econ.units import Unit

OTHERS = {
    "irr": "fraction", "mirr": "fraction", "payback_years": "years", "discounted_payback_years": "years",
}  # fmt: skip


def unit_of(name: str) -> str:
    """The unit of a column, with "currency" for the plant's own; empty where it has none."""
    if name in OTHERS:
        return OTHERS[name]
    named = {**SPREADS, **TOTALS}
    if name in named:
        return named[name][1].replace("$", "currency")
    unit = metric(name)
    return unit.short if unit is not None else ""


@cache
def metric(key: str) -> Unit | None:
    """The first metric unit of an input; None for words and bare numbers."""
    row = rows().get(key)
    return row.unit_choices("currency")[0] if row is not None and row.units else None


def in_metric(key: str, value: float | str | None) -> float | str | None:
    """A canonical number in the first metric unit of its row; words as they are."""
    unit = metric(key)
    return unit.from_canonical(value) if unit is not None and isinstance(value, int | float) else value
