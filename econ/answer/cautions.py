"""What a trade expert says of the figures: contradictions, cautions, and why a figure is missing."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from econ.answer import carbon_cautions as carbon
from econ.answer import kiln_work as kiln
from econ.answer import label_statement as label
from econ.answer import matter_cautions as matter
from econ.answer import money_cautions as money
from econ.answer import option_table as options
from econ.answer import planting_cautions as planting
from econ.answer.money_cautions import figure_reasons, market_cautions, range_cautions, range_faults
from econ.errors import InputFault
from econ.evidence.edition import edition, in_words, shipped_edition
from econ.inputs import checks
from econ.inputs.records import Caution, Scenario
from econ.model.derived import NO_TURN, Returns
from econ.model.plan import Plan

Figures = Mapping[str, float]


def faults_of(scenario: Scenario, plan: Plan, figures: Figures) -> list[InputFault]:
    """Inputs that the model shows to contradict each other."""
    return [*matter.faults(scenario, plan, figures), *range_faults(scenario)]


def cautions_of(scenario: Scenario, plan: Plan, figures: Figures) -> list[Caution]:
    """Cautions that hang on the figures, most pressing first."""
    asked = (
        *(market_cautions, money.cautions, kiln.cautions, matter.cautions, options.cautions),
        *(carbon.cautions, label.cautions, planting.cautions),
    )
    found = [caution for ask in asked for caution in ask(scenario, plan, figures)]
    return [*found, *range_cautions(scenario, plan), *_edited_tables()]


def in_order(found: Iterable[Caution], scenario: Scenario, plan: Plan, figures: Figures) -> tuple[Caution, ...]:
    """The cautions with those about carbon after all about money, otherwise as they came."""
    late = checks.ids_about("carbon")
    late |= {one.id for one in carbon.cautions(scenario, plan, figures)}
    return tuple(sorted(found, key=lambda one: one.id in late))


def _edited_tables() -> list[Caution]:
    if edition() == shipped_edition():
        return []
    text = (
        f"A data table of this copy of kilncase was edited: edition {in_words()}. Figures may differ from others'."
    )
    return [Caution("data-edited", text, "")]


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
        why = carbon.persistence_reason(scenario, plan, figures)
        for name in ("durable_c_t_per_year", "removal_t_co2e_per_year", "project_net_t_co2e_per_year"):
            found[name] = why
    found |= _carbon_reasons(scenario, plan, figures)
    return found | figure_reasons(scenario, plan, figures, found)


def _carbon_reasons(scenario: Scenario, plan: Plan, figures: Figures) -> dict[str, str]:
    """Reasons of the carbon figures beside the headline, by their name in details.carbon."""
    found = {}
    for name, method in (
        ("class", "temperature-class"),
        ("inventory", "inventory-class"),
        ("hc", "hydrogen-ratio"),
    ):
        if not math.isfinite(figures[f"removal_by_{name}_kg_co2e"]):
            found[f"carbon.methods.{method}"] = carbon.persistence_reason(scenario, plan, figures, method)
    if not math.isfinite(figures["avoided_kg_co2e"]):
        found["carbon.blocks.avoided"] = carbon.baseline_reason()
    if not math.isfinite(figures["difference_kg_co2e"]):
        lacks_removal = not math.isfinite(figures["removal_kg_co2e"])
        why = carbon.persistence_reason(scenario, plan, figures) if lacks_removal else carbon.baseline_reason()
        found["carbon.difference_to_current_practice"] = why
    if plan.carbon_price and not plan.carbon_protocol:
        found["carbon.price_what_if"] = carbon.price_reason()
    elif plan.carbon_price and not math.isfinite(figures["project_net_kg_co2e"]):
        found["carbon.price_what_if"] = carbon.persistence_reason(scenario, plan, figures)
    return found
