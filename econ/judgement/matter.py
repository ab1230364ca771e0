"""Faults and cautions on yield, composition and phosphate."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from econ.errors import InputFault
from econ.evidence import curves
from econ.model.plan import Plan
from econ.scenario.records import Caution, Scenario

Figures = Mapping[str, float]


def faults(scenario: Scenario, plan: Plan, figures: Figures) -> list[InputFault]:
    """Inputs that the model shows to contradict each other."""
    found = []
    solids = figures["solids_modelled_kg"] * figures["refit_of_solids"]
    fired = figures["bones_fired_kg"]
    if plan.measured_yield and solids > fired * (1 + 1e-9):
        entry = scenario["kiln.char_yield"]
        most = entry.number * fired / solids
        found.append(
            InputFault(
                entry.where,
                f"a yield of {entry.number:.1%}",
                f"at most {most:.1%}: more char than these bones hold dry matter for. Was the char wet, or "
                "the load weighed after draining?",
            )
        )
    return found


def cautions(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """Cautions on yield, phosphate and temperature."""
    if plan.measured_yield and abs(figures["refit_of_solids"] - 1) > 0.1:
        modelled = figures["char_modelled_kg"] / max(figures["bones_fired_kg"], 1e-9)
        yield Caution(
            "yield-differs",
            f"The weighed yield is {figures['refit_of_solids']:.0%} of the {modelled:.1%} that composition "
            "and temperature give; the scale is believed and water and fat are refitted.",
            "kiln.char_yield",
        )
    if figures["available_p2o5_kg"] > figures["p2o5_kg"] * (1 + 1e-9):
        yield Caution(
            "available-above-total",
            "More available P2O5 was typed than the bones hold P2O5: check the unit of the label.",
            "product.available_p2o5_share",
        )
    peak = scenario["kiln.peak_temperature"].number
    table = curves.retention()
    if not table.peak_c[0] <= peak <= table.peak_c[-1]:
        yield Caution(
            "temperature-outside-model",
            f"{peak:.0f} °C lies outside {table.peak_c[0]:.0f} to {table.peak_c[-1]:.0f} °C: the yield of "
            "the nearest end is used.",
            "kiln.peak_temperature",
        )
