"""Cautions on selling the char."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from econ.inputs.records import Caution, Scenario
from econ.model.plan import Plan

Figures = Mapping[str, float]


def cautions(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """Cautions on stock and customers."""
    if figures["char_to_stock_kg"] > 1e-6:
        yield Caution(
            "char-in-stock",
            f"{figures['char_to_stock_kg'] / 1000:,.1f} t of char a year find no buyer within the market "
            "limits and earn nothing.",
        )
    if figures["customers_per_year"] > 0:
        yield Caution(
            "customers-needed",
            f"At the label rate it takes about {figures['customers_per_year']:,.0f} customers a year to "
            "use the char sold, and a bed needs it once in years.",
        )
