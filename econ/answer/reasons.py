"""Why a figure is not reported: one sentence for each figure that does not exist."""

from __future__ import annotations

import math
from collections.abc import Mapping

from econ.evidence import curves, factor
from econ.inputs.records import Scenario
from econ.model.derived import NO_TURN, Returns
from econ.model.plan import Plan

Figures = Mapping[str, float]

NO_BASELINE = "not reported: burial and alternatives need your own emission factor (sheet Carbon)"
NO_PROTOCOL = "not reported: name the protocol under which it would be issued (sheet Carbon)"
NO_FACTOR = "not reported: what this way of handling emits is not known; enter your own factor (sheet Options)"
METHODS = (
    ("removal_by_hc_lab", "hydrogen-ratio", "lab"),
    ("hc_", "hydrogen-ratio", "corrected"),
    ("removal_by_hc_corrected", "hydrogen-ratio", "corrected"),
    ("removal_by_class", "temperature-class", ""),
    ("removal_by_inventory", "inventory-class", ""),
    ("removal_by_hc", "hydrogen-ratio", ""),
)
"""How the name of a figure begins, the method behind it, and which H/C_org it goes by if not the plan's own."""


def reasons_of(scenario: Scenario, plan: Plan, figures: Figures, found_returns: Returns) -> dict[str, str]:
    """Why each missing figure is missing, by its name in the JSON."""
    found: dict[str, str] = {}
    if not math.isfinite(figures["irr"]):
        found["irr"] = found_returns.irr_reason
    if not math.isfinite(figures["mirr"]):
        found["mirr"] = NO_TURN
    for name in ("payback_years", "discounted_payback_years"):
        good = name.replace("_years", "_for_good_years")
        if not math.isfinite(figures[name]):
            found[name] = f"never within {plan.years} years"
        if not math.isfinite(figures[good]):
            found[good] = f"never for good within {plan.years} years"
    if not scenario.has("current.fee") and not plan.by_contract:
        found["current_cost_per_t_bones"] = "the average cost of current practice is blank (sheet Money)"
    if not math.isfinite(figures["durable_c_kg"]):
        why = persistence_reason(scenario, plan, figures)
        for name in ("durable_c_t_per_year", "removal_t_co2e_per_year", "project_net_t_co2e_per_year"):
            found[name] = why
    found |= _carbon_reasons(scenario, plan, figures)
    missing = [name for name, value in figures.items() if not math.isfinite(value) and name not in found]
    return found | {f"figures.{name}": _reason(name, scenario, plan, figures) for name in missing}


def _carbon_reasons(scenario: Scenario, plan: Plan, figures: Figures) -> dict[str, str]:
    """Reasons of the carbon figures beside the headline, by their name in details.carbon."""
    found = {}
    for name, method in (
        ("class", "temperature-class"),
        ("inventory", "inventory-class"),
        ("hc", "hydrogen-ratio"),
    ):
        if not math.isfinite(figures[f"removal_by_{name}_kg_co2e"]):
            found[f"carbon.methods.{method}"] = persistence_reason(scenario, plan, figures, method)
    if not math.isfinite(figures["avoided_kg_co2e"]):
        found["carbon.blocks.avoided"] = NO_BASELINE
    if not math.isfinite(figures["difference_kg_co2e"]):
        lacks_removal = not math.isfinite(figures["removal_kg_co2e"])
        why = persistence_reason(scenario, plan, figures) if lacks_removal else NO_BASELINE
        found["carbon.difference_to_current_practice"] = why
    if plan.carbon_price and not plan.carbon_protocol:
        found["carbon.price_what_if"] = NO_PROTOCOL
    elif plan.carbon_price and not math.isfinite(figures["project_net_kg_co2e"]):
        found["carbon.price_what_if"] = persistence_reason(scenario, plan, figures)
    return found


def _reason(name: str, scenario: Scenario, plan: Plan, figures: Figures) -> str:
    if name == "price_what_if_income" and not plan.carbon_protocol:
        return NO_PROTOCOL
    if name.endswith("emissions_kg_co2e"):
        return NO_FACTOR
    has_removal = math.isfinite(figures["removal_kg_co2e"])
    if name.startswith(("own_way_kg_co2e", "avoided_")) or (name.startswith("difference") and has_removal):
        return NO_BASELINE
    method, by = next(((method, by) for start, method, by in METHODS if name.startswith(start)), ("", ""))
    ratio = figures["hc_less_mineral"] if by == "corrected" else None
    if by == "lab" and scenario.has("carbon.h_corg"):
        ratio = scenario["carbon.h_corg"].number
    return persistence_reason(scenario, plan, figures, method, ratio)


def persistence_reason(
    scenario: Scenario, plan: Plan, figures: Figures, method: str = "", ratio: float | None = None
) -> str:
    """Why a method (the plan's own where not named) gives no lasting share; for use where it gives none.

    `ratio` is the H/C_org [mol/mol] that the method goes by, the plan's own where not given.
    """
    soil = curves.persistence_by_hc().soil_c
    outside = f"not reported: soil temperature outside {soil[0]:.0f} to {soil[-1]:.0f} °C"
    if not plan.soil_is_mineral:
        return "not reported: the methods hold for mineral soil of field, grassland or orchard only"
    least = curves.persistence_classes().edges_c[0]
    named = method or plan.persistence
    if named != "hydrogen-ratio" and scenario["kiln.peak_temperature"].number <= least:
        return f"not reported: char of {least:.0f} °C or less is outside the method"
    if named == "temperature-class":
        return outside
    if not plan.has_hc:
        return "not reported: H/C_org is blank (sheet Carbon)"
    limit = factor("hc_lim").value
    if ratio is None:
        ratio = figures["hc_less_mineral"] if plan.corrects_hc else scenario["carbon.h_corg"].number
    if ratio > limit:
        hint = "" if plan.corrects_hc else "; hydrogen of the mineral may be in it (sheet Carbon corrects it)"
        return f"not reported: H/C_org is {ratio:.2f}, above {limit:g}, the limit of the method{hint}"
    return outside
