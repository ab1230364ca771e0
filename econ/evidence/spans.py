"""Ordinary spans of what people type: wide, so that outside them a slip is likelier than the truth.

A span belongs to a row of the inputs (a row of a block by block and last word), perhaps only to one kind of
fuel. Money is in US dollars; a span says nothing in a currency far from the dollar.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from econ.errors import FactorError
from econ.evidence.facts import FOLDER, ORIGIN, Origin, read_rows, shipped_sources


@dataclass(frozen=True, slots=True)
class Span:
    """What is ordinary for a row: low to high in `unit`, and the slip in words that leads below or above.

    `when` is empty, the kind of fuel, "per bones" (the figure over the mass of bones) or "per load" (the heat of
    a fuel over a full load).
    """

    row: str
    when: str
    low: float
    high: float
    unit: str
    slip_low: str
    slip_high: str
    origin: Origin


@cache
def spans() -> tuple[Span, ...]:
    """Every span, in file order; raises FactorError for a bad row."""
    columns = ("row", "when", "low", "high", "unit", "slip_low", "slip_high", *ORIGIN)
    found = []
    for row in read_rows(FOLDER / "spans.csv", columns):
        low, high = row.number("low"), row.number("high")
        if low >= high:
            raise FactorError(f"{row.where}: low {low:g} is not below high {high:g}")
        cells = row.cells
        found.append(
            Span(row.text("row"), cells["when"], low, high, row.text("unit"), cells["slip_low"],
                 cells["slip_high"], row.origin(shipped_sources()))
        )  # fmt: skip
    return tuple(found)
