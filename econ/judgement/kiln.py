"""Cautions on capacity and firings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from econ.model.plan import Plan
from econ.scenario.records import Caution, Scenario

Figures = Mapping[str, float]


def cautions(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """Cautions on what the kiln can take."""
    if figures["bones_passed_on_kg"] > 1e-6:
        yield Caution(
            "above-capacity",
            f"{figures['bones_passed_on_kg'] / 1000:,.1f} t of bones a year are more than the kiln can take "
            "and stay with today's way.",
        )
    if figures["bones_fired_kg"] <= 0:
        yield Caution("nothing-fired", "No bones are fired: check mass, excluded share and firings.")
