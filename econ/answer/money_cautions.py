"""Cautions on debt, grant, sales and ranges, and why a single figure is missing."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from econ import evidence
from econ.answer.carbon_cautions import baseline_reason, persistence_reason, price_reason
from econ.errors import InputFault
from econ.inputs.ranges import drawable
from econ.inputs.records import Caution, Scenario
from econ.model.lender import SHARE_OF_CLASS, factors_of_class
from econ.model.plan import Plan
from econ.questions.draws import pair_faults
from econ.questions.edges import edges_inside

Figures = Mapping[str, float]

COVERAGE_ASKED = 1.25
"""Coverage that lenders commonly ask for (common practice, no source)."""
CENT = 0.01


def cautions(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """Cautions on what a lender or a grant office would ask first."""
    if plan.estimate_class in SHARE_OF_CLASS:
        accuracy = evidence.factor(factors_of_class(plan.estimate_class)[1])
        yield Caution(
            "capital-estimate",
            f"Capital estimated to {plan.estimate_class.replace('-', ' ')} may turn out {accuracy.low:+.0f} to "
            f"{accuracy.high:+.0f} % of what stands here (widest ends of the practice).",
            "capital.estimate_class",
        )
    lowest = figures.get("lowest_coverage")
    if lowest is not None and lowest < COVERAGE_ASKED:
        yield Caution(
            "coverage-low",
            f"The minimum debt service coverage ratio (DSCR) is {lowest:.2f}; "
            f"lenders commonly ask for {COVERAGE_ASKED}.",
            "loan.principal",
        )
    if figures["money_to_bridge"] > CENT:
        yield Caution(
            "till-below-nil",
            f"The cash balance falls {figures['money_to_bridge']:,.0f} {scenario.currency} below zero by month "
            f"{figures['lowest_balance_month']:.0f}: have at least that much more cash at the start.",
            "capital.working",
        )
    if scenario.has("grant.match_share"):
        asked = scenario["grant.match_share"].number * figures["capital_total_today"]
        if figures["own_money"] < asked - CENT:
            yield Caution(
                "match-not-at-hand",
                f"The grant asks for {asked:,.0f} {scenario.currency} of owner equity; the plan has "
                f"{figures['own_money']:,.0f}.",
                "grant.match_share",
            )


def market_cautions(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
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


def range_faults(scenario: Scenario) -> list[InputFault]:
    """Inputs that cannot move together as typed."""
    return pair_faults(scenario)


def range_cautions(scenario: Scenario, plan: Plan) -> Iterator[Caution]:
    """Cautions on ranges that reach across a class edge, or that are not used."""
    for entry in scenario.ranged():
        if not drawable(entry):
            yield Caution(
                "range-not-used", f"{entry.row.label} is a choice: its low and high are not used.", entry.where
            )
        elif edges := edges_inside(entry, plan):
            unit = entry.unit.name if entry.unit else ""
            shown = " and ".join(f"{entry.shown(edge):,.4g}" for edge in edges)
            yield Caution(
                "class-edge",
                f"The range of {entry.row.label.lower()} holds a class edge of the carbon method ({shown} "
                f"{unit}): the carbon figures jump there.",
                entry.where,
            )


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
        return "not reported: what this way of handling emits is not known; enter your own factor (sheet Options)"
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
    if name.startswith("removal_by_inventory"):
        return "inventory-class", None
    return ("hydrogen-ratio" if name.startswith(BY_RATIO) else ""), None
