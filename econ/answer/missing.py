"""Why a single figure of details.figures is missing, so that none is null without a word."""

from __future__ import annotations

import math
from collections.abc import Mapping

from econ.answer.carbon_cautions import baseline_reason, persistence_reason, price_reason
from econ.inputs.records import Scenario
from econ.model.plan import Plan

Figures = Mapping[str, float]

BASELINE = ("own_way_kg_co2e", "avoided_")
OTHER_WAY = "emissions_kg_co2e"
"""Emissions of another way of handling, of its share of the mix, and of the mix."""
BY_LAB = ("removal_by_hc_lab",)
CORRECTED = ("hc_", "removal_by_hc_corrected")
BY_CLASS = ("removal_by_class",)
BY_RATIO = ("removal_by_hc",)


def figure_reasons(scenario: Scenario, plan: Plan, figures: Figures, known: Mapping[str, str]) -> dict[str, str]:
    """Reasons by `figures.NAME` for every figure that is missing and not in `known`."""
    missing = (name for name, value in figures.items() if not math.isfinite(value) and name not in known)
    return {f"figures.{name}": _reason(name, scenario, plan, figures) for name in missing}


def _reason(name: str, scenario: Scenario, plan: Plan, figures: Figures) -> str:
    if name == "price_what_if_income" and not plan.carbon_protocol:
        return price_reason()
    if name.endswith(OTHER_WAY):
        return "withheld: what this way of handling emits is not known; type your own factor (option.1.ghg)"
    if name.startswith(BASELINE) or (name.startswith("difference") and math.isfinite(figures["removal_kg_co2e"])):
        return baseline_reason()
    method, ratio = _method(name, scenario, figures)
    return persistence_reason(scenario, plan, figures, method, ratio)


def _method(name: str, scenario: Scenario, figures: Figures) -> tuple[str, float | None]:
    """The method behind a figure of removal, and the H/C_org it goes by where that is not the plan's own."""
    if name.startswith(BY_LAB):
        return "hydrogen-ratio", scenario["carbon.h_corg"].number if scenario.has("carbon.h_corg") else None
    if name.startswith(CORRECTED):
        return "hydrogen-ratio", figures["hc_less_mineral"]
    if name.startswith(BY_CLASS):
        return "temperature-class", None
    return ("hydrogen-ratio" if name.startswith(BY_RATIO) else ""), None
