"""Cautions on debt, grant, sales and ranges, and why a single figure is missing."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from itertools import accumulate

from econ import evidence
from econ.answer.carbon_cautions import baseline_reason, persistence_reason, price_reason
from econ.answer.own_units import said
from econ.errors import InputFault
from econ.inputs.ranges import drawable
from econ.inputs.records import Caution, Scenario
from econ.model.derived import KG_PER_T
from econ.model.ledger import Arrays, Book
from econ.model.lender import SHARE_OF_CLASS, factors_of_class
from econ.model.market import TINY
from econ.model.money import sales_ramp
from econ.model.plan import Plan
from econ.questions.draws import pair_faults
from econ.questions.edges import edges_inside
from econ.questions.found_lender import CENT, COVERAGE_ASKED

Figures = Mapping[str, float]

FLATTERS = 0.5
"""Inflation above this share of a nominal rate leaves less than half of it as a real rate: cautioned."""
WEEKS = 52


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
        hoped = " The grant requested is not counted." if "lowest_balance_awarded" in figures else ""
        yield Caution(
            "till-below-nil",
            f"The cash balance falls {figures['money_to_bridge']:,.0f} {scenario.currency} below zero by month "
            f"{figures['lowest_balance_month']:.0f}: have at least that much more cash at the start.{hoped}",
            "capital.working",
        )
    if scenario.has("grant.match_share"):
        asked = scenario["grant.match_share"].number * figures["capital_total_today"]
        if figures["own_money"] < asked - CENT:
            yield Caution(
                "match-not-at-hand",
                f"The grant asks for {asked:,.0f} {scenario.currency} of owner equity; the plan has "
                f"{figures['own_money']:,.0f}. A loan is not owner equity.",
                "grant.match_share",
            )
    yield from _study_cautions(scenario, plan, figures)
    yield from _bill_cautions(scenario, plan, figures)


def _study_cautions(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """Lives, rates and weeks that flatter the answer or are counted twice."""
    numbers = scenario.numbers()
    life, rate, rise = numbers["kiln.life"], numbers["money.discount_rate"], numbers["money.inflation"]
    if plan.loan_term > life:
        yield Caution(
            "loan-outlives-kiln",
            f"The loan of {plan.loan_term} years outlives the kiln of {life:g}: the last payments fall when a new "
            "one must be paid too.",
            "loan.years",
        )
    if not plan.is_real and rise > 0 and rise > FLATTERS * rate:
        yield Caution(
            "inflation-flatters",
            f"Inflation of {rise:.1%} with a nominal rate of {rate:.1%} leaves a real rate of "
            f"{(1 + rate) / (1 + rise) - 1:.1%}: it flatters the answer. Raise the rate with inflation.",
            "money.inflation",
        )
    if scenario.has("costs.downtime_share") and scenario.has("kiln.downtime_share"):
        yield Caution(
            "downtime-twice",
            "Both rows of downtime are filled: batches never made, and sales lost of batches made. Count the same "
            "days in one of them only.",
            "costs.downtime_share",
        )
    shut = 7 * (WEEKS - numbers["kiln.weeks_per_year"])
    waits = max(shut - numbers["bones.storage_days"], 0.0) / (7 * WEEKS)
    if waits > SHUT_SHARE and not plan.seasonal:
        tonnes = figures["bones_received_kg"] * waits / KG_PER_T
        yield Caution(
            "shut-weeks",
            f"The kiln stands {shut / 7:.0f} weeks a year. Bones are taken to arrive while it runs; if "
            f"they arrive all year, {tonnes:,.1f} t of them keep too short a time: fill the months.",
            "kiln.weeks_per_year",
        )
    first, good = figures["payback_years"], figures["payback_for_good_years"]
    if math.isfinite(first) and first != good:
        after = "never for good" if math.isnan(good) else f"for good after {good:.1f} years"
        yield Caution(
            "payback-twice",
            f"The money is back after {first:.1f} years, but a later replacement takes it below zero "
            f"again: {after}.",
            "kiln.life",
        )


SHUT_SHARE = 0.05
"""Share of a year's bones that may have to wait too long before it is said."""


def _bill_cautions(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """A bill typed as one number when only part of the bones is processed, or when bones move alone."""
    if plan.by_contract:
        return
    if figures["bones_fired_share"] < 0.999 and scenario["current.saving"].number:
        yield Caution(
            "saving-in-proportion",
            f"The kiln takes {figures['bones_fired_share']:.0%} of the bones, and that share of the typed saving "
            "is counted. A fixed amount of the bill may stay: type the hauler's contract.",
            "current.saving",
        )
    masses = [entry for entry in scenario.ranged() if entry.row.key.startswith("bones.")]
    if any(entry.row.key.endswith((".mass", ".heads")) for entry in masses):
        yield Caution(
            "bill-stays-put",
            "When bones move alone, the avoided cost stays as typed. Type the hauler's contract: it follows.",
            "current.saving",
        )


def market_cautions(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """Cautions on stock and customers."""
    if figures["char_to_stock_kg"] > 1e-6:
        yield Caution(
            "char-in-stock",
            f"{said(figures['char_to_stock_kg'] / 1000, 't', scenario.system, 1)} of char a year find no buyer "
            "within the market limits, or are lost to breakdowns, and earn nothing.",
        )
    if figures["customers_per_year"] > 0:
        yield Caution(
            "customers-needed",
            f"At the label rate it takes about {figures['customers_per_year']:,.0f} customers a year to "
            "use the char sold, and a bed needs it once in years.",
        )
    yield from _filling_market(scenario, plan, figures)


def _filling_market(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """Tiers that sell more over the study than one application on the ground of all their customers takes."""
    b = Book(scenario.numbers(), Arrays())
    ramps = {t: float(1.0 if (ramp := sales_ramp(b, t)) is None else ramp) for t in range(1, plan.years + 1)}
    for n in plan.tiers:
        if (count := scenario[f"product.{n}.customers"]).value is None:
            continue
        again = scenario[f"product.{n}.repeat_share"].value
        names = (f"tier_{n}_{word}_kg" for word in ("delivered", "reached", "sold"))
        sold = next(figures[name] for name in names if name in figures)
        once = figures[f"tier_{n}_customers_take_kg"] / (1.0 if again is None else max(float(again), TINY))
        so_far = list(accumulate(sold * ramp for ramp in ramps.values()))
        full = next((t for t, kg in enumerate(so_far, start=1) if kg > once * (1 + TINY)), None)
        if full is None:
            continue
        needed = sold / once * count.number
        who = (
            f"That asks for {needed:,.0f} new customers a year, {needed * plan.years:,.0f} by year {plan.years}, "
            "unless they buy again: type that share."
            if again is None
            else "Each sale beyond it is a second application on the same ground: ask for a soil test first."
        )
        yield Caution(
            "market-fills-up",
            f"Tier {n} sells up to {sold:,.0f} kg a year; one application on the ground of its "
            f"{count.number:,.0f} customers takes {once:,.0f} kg. Sales pass that in year {full}: "
            f"{so_far[full - 1] - once:,.0f} kg beyond it then, {so_far[-1] - once:,.0f} kg by year {plan.years}. "
            f"{who}",
            count.where or f"product.{n}.customers",
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
