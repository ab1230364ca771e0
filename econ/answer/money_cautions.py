"""Cautions on the till, the debt and the grant."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from econ import evidence
from econ.inputs.records import Caution, Scenario
from econ.model.lender import SHARE_OF_CLASS, factors_of_class
from econ.model.plan import Plan

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
            f"In its worst year the plant earns {lowest:.2f} times its debt service; lenders commonly ask for "
            f"{COVERAGE_ASKED}.",
            "loan.principal",
        )
    if figures["money_to_bridge"] > CENT:
        yield Caution(
            "till-below-nil",
            f"The till falls {figures['money_to_bridge']:,.0f} {scenario.currency} below nil by month "
            f"{figures['lowest_balance_month']:.0f}: that much more must be at hand on the first day.",
            "capital.working",
        )
    if scenario.has("grant.match_share"):
        asked = scenario["grant.match_share"].number * figures["capital_total_today"]
        if figures["own_money"] < asked - CENT:
            yield Caution(
                "match-not-at-hand",
                f"The grant asks for {asked:,.0f} {scenario.currency} of own money; the plan has "
                f"{figures['own_money']:,.0f}.",
                "grant.match_share",
            )
