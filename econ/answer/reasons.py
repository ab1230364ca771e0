"""Why a figure is not reported: one sentence for each figure that does not exist.

`reasons.csv` has the reasons of the JSON by their names there; other figures take theirs by how their name begins.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import partial
from pathlib import Path

from econ.answer.sentences import Speech, rows_by_id
from econ.evidence import curves
from econ.inputs.lanes import exists
from econ.inputs.records import Scenario
from econ.model.derived import NO_TURN, Returns
from econ.model.plan import Plan

Figures = Mapping[str, float]

TABLE = Path(__file__).parent / "reasons.csv"
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
    speech = Speech(scenario.entries, figures, {
        "plan": plan, "returns": found_returns, "no_turn": NO_TURN, "exists": exists,
        "general": Speech({}, {}, {}).say, "why": partial(persistence_reason, scenario, plan, figures),
    }, TABLE)  # fmt: skip
    found = {name: text for name in rows_by_id(TABLE) if (text := speech.say(name))}
    missing = [name for name, value in figures.items() if not math.isfinite(value) and name not in found]
    return found | {f"figures.{name}": _reason(name, scenario, plan, figures) for name in missing}


def _reason(name: str, scenario: Scenario, plan: Plan, figures: Figures) -> str:
    general = Speech({}, {}, {}).say
    if name == "price_what_if_income" and not plan.carbon_protocol:
        return general("no-protocol")
    if name.endswith("emissions_kg_co2e"):
        return general("no-factor")
    has_removal = math.isfinite(figures["removal_kg_co2e"])
    if name.startswith(("own_way_kg_co2e", "avoided_")) or (name.startswith("difference") and has_removal):
        return general("no-baseline")
    method, by = next(((method, by) for start, method, by in METHODS if name.startswith(start)), ("", ""))
    ratio = figures["hc_less_mineral"] if by == "corrected" else None
    if by == "lab":
        ratio = scenario.number_or("carbon.h_corg", ratio)
    return persistence_reason(scenario, plan, figures, method, ratio)


def persistence_reason(
    scenario: Scenario, plan: Plan, figures: Figures, method: str = "", ratio: float | None = None
) -> str:
    """Why a method (the plan's own where not named) gives no lasting share; for use where it gives none.

    `ratio` is the H/C_org [mol/mol] that the method goes by, the plan's own where not given.
    """
    if ratio is None:
        ratio = figures["hc_less_mineral"] if plan.corrects_hc else scenario.number_or("carbon.h_corg", None)
    soil = curves.persistence_by_hc().soil_c
    return Speech(scenario.entries, figures, {
        "plan": plan, "method": method or plan.persistence, "ratio": ratio, "soil_from_c": soil[0],
        "soil_to_c": soil[-1], "least_c": curves.persistence_classes().edges_c[0],
    }).say("persistence")  # fmt: skip
