"""One question, one answer in money: each figure against arithmetic made here, or numpy-financial.

The plant is the bare one of `plants.py`: 27.04 t of bones a year, 6.76 t of char, five years at 10 %.
House arithmetic of the rules as written unless another source is named.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import numpy_financial as npf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plants import BARE, CHAR_KG, plant

from econ.answer.base_case import BaseCase, base_case
from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.records import Scenario, Typed
from econ.model.evaluate import evaluate
from econ.model.ledger import Arrays
from econ.model.plan import Plan
from econ.questions.chances import chances
from econ.questions.effects import effects, stress
from econ.questions.latin import Sampling

Rows = dict[str, tuple[object, str | None]]
BONES_KG = 520 * 52
STILL: Rows = {"money.inflation": (0, "%"), "money.salvage_share": (0, "%"), "kiln.life": (40, "years")}


def walked(rows: Rows) -> Arrays:
    scenario = plant(rows)
    return evaluate(scenario.numbers(), Plan.of(scenario))


def figures(rows: Rows) -> dict[str, float]:
    return {name: float(value) for name, value in walked(rows).lines.items()}


def row(rows: Rows, name: str) -> list[float]:
    found = walked(rows).years[name]
    return [float(found[t]) for t in sorted(found)]


def ids_of(rows: Rows) -> set[str]:
    return {caution.id for caution in base_case(plant(rows)).cautions()}


def usd(amount: float, unit: str = "USD") -> tuple[float, str]:
    return (amount, unit)


def a_year(amount: float) -> tuple[float, str]:
    return (amount, "USD per year")


money = st.floats(0, 20_000).map(lambda x: round(x, 2))
random_plants = st.fixed_dictionaries(
    {
        "kiln.price": money.map(usd),
        "kiln.life": st.floats(0.8, 12).map(lambda x: (round(x, 3), "years")),
        "current.saving": st.floats(-3000, 9000).map(lambda x: a_year(round(x, 2))),
        "running.other_per_year": st.floats(0, 4000).map(lambda x: a_year(round(x, 2))),
        "product.1.price": st.floats(0, 2).map(lambda x: (round(x, 3), "USD per kg")),
        "money.inflation": st.floats(0, 0.08).map(lambda x: (round(x, 4), "fraction")),
        "money.basis": st.sampled_from(["nominal", "real"]).map(lambda x: (x, None)),
        "money.tax_rate": st.sampled_from([0, 0.3]).map(lambda x: (x, "fraction")),
        "costs.downtime_share": st.sampled_from([0, 0.1]).map(lambda x: (x, "fraction")),
        "current.price_rise": st.sampled_from([0, 250]).map(a_year),
        "growth.bill": st.floats(-0.02, 0.04).map(lambda x: (round(x, 4), "fraction")),
        "money.study_years": st.integers(1, 14).map(lambda x: (x, "years")),
    }
)


# -- 1: net cost and the bill saved, by one measure


def test_net_cost_and_bill_saved_are_shared_by_the_same_sum() -> None:
    """10,000 today and a bill of 3,000: both over the sum of (1.05/1.1)^t × bones, in today's prices."""
    found = figures(
        STILL | {"kiln.price": usd(10_000), "current.saving": a_year(3000), "money.inflation": (5, "%")}
    )
    tonnage = sum((1.05 / 1.1) ** t for t in range(1, 6)) * BONES_KG
    assert found["net_cost_per_kg_bones"] == pytest.approx(10_000 / tonnage, rel=1e-12)
    assert found["saved_bill_per_kg_bones"] == pytest.approx(3000 / BONES_KG, rel=1e-12)
    assert found["levelised_cost_per_kg_char"] == pytest.approx(10_000 / tonnage * BONES_KG / CHAR_KG, rel=1e-12)


@settings(max_examples=60)
@given(random_plants)
def test_npv_before_tax_is_bill_saved_less_net_cost_and_so_is_its_sign(rows: Rows) -> None:
    walk = walked(rows)
    lines = {name: float(value) for name, value in walk.lines.items()}
    years = int(rows["money.study_years"][0])  # type: ignore[call-overload]
    cash, tax = walk.years["net_cash"], walk.years["income_tax"]
    flows = [float(cash[0]), *(float(cash[t] + tax[t]) for t in range(1, years + 1))]
    before = float(npf.npv(0.1, flows))
    gross = math.fsum(abs(flow) for flow in flows) + lines["pv_saving"] + abs(lines["pv_cost"]) + 1
    assert lines["pv_saving"] - lines["pv_cost"] == pytest.approx(before, abs=1e-9 * gross)
    if abs(before) > 1e-9 * gross:
        gap = lines["saved_bill_per_kg_bones"] - lines["net_cost_per_kg_bones"]
        assert math.copysign(1, gap) == math.copysign(1, before)


def test_options_show_the_two_figures_of_the_first_page() -> None:
    found = figures({"kiln.price": usd(9000), "current.saving": a_year(2000), "bones.1.excluded_share": (10, "%")})
    assert found["char_cost_per_kg"] == found["net_cost_per_kg_bones"]
    assert found["today_cost_per_kg"] == found["saved_bill_per_kg_bones"]


# -- 2: every way like the kiln


@pytest.mark.parametrize("method", ["straight-line", "macrs-5"])
@pytest.mark.parametrize("losses", ["carried-forward", "other-income"])
@pytest.mark.parametrize("basis", ["nominal", "real"])
@pytest.mark.parametrize(("years", "life", "saving"), [(12, 5.5, 4000), (10, 10, 9000), (9, 2, -500)])
def test_a_twin_of_the_kiln_ties_to_the_cent(
    method: str, losses: str, basis: str, years: int, life: float, saving: float
) -> None:
    """Tax 30 %; every plant that an own way can express: see econ/model/options.py."""
    rows: Rows = {
        "kiln.price": usd(20_000), "kiln.installation": usd(4000), "kiln.life": (life, "years"),
        "kiln.depreciation": (method, None), "money.tax_losses": (losses, None), "money.basis": (basis, None),
        "money.inflation": (3, "%"), "money.tax_rate": (30, "%"), "money.study_years": (years, "years"),
        "running.other_per_year": a_year(1500), "product.1.price": (0.9, "USD per kg"),
        "current.saving": a_year(saving), "excluded.fee": (0.2, "USD per kg"),
        "bones.1.excluded_share": (10, "%"), "current.price_rise": a_year(100),
        "option.1.kind": ("own", None), "option.1.capital": usd(24_000), "option.1.life": (life, "years"),
        "option.1.yearly": a_year(1500 - CHAR_KG * 0.9 * 0.9),
    }  # fmt: skip
    found = figures(rows)
    assert found["option_1_npv"] == pytest.approx(found["npv"], abs=0.005)
    assert found["option_1_cost_per_kg"] == pytest.approx(found["net_cost_per_kg_bones"], rel=1e-9)
    assert found["npv_against_best"] == pytest.approx(min(0.0, found["npv"]), abs=0.005)


def test_a_mix_is_taxed_on_its_summed_flows() -> None:
    """Half loses 1,000 a year, half gains 3,000: together 1,000 is taxed, apart the loss would save nothing."""
    rows: Rows = STILL | {
        "current.saving": a_year(2000), "money.tax_rate": (30, "%"),
        "option.1.kind": ("own", None), "option.1.yearly": a_year(3000), "option.1.share_today": (50, "%"),
        "option.2.kind": ("own", None), "option.2.yearly": a_year(-1000), "option.2.share_today": (50, "%"),
    }  # fmt: skip
    found = figures(rows)
    annuity = -float(npf.pv(0.1, 5, 1))
    assert found["option_1_npv"] == pytest.approx(-1000 * annuity)
    assert found["option_2_npv"] == pytest.approx(3000 * 0.7 * annuity)
    assert found["mix_npv"] == pytest.approx(1000 * 0.7 * annuity)


def test_what_a_way_does_not_take_stays_on_the_bill() -> None:
    """A quarter sold: three quarters of a bill of 2,000 stay."""
    sold: Rows = {"option.1.kind": ("sell", None), "option.1.sold_share": (25, "%"),
                  "option.1.income": (0.1, "USD per kg")}  # fmt: skip
    found = figures(STILL | sold | {"current.saving": a_year(2000)})
    annuity = -float(npf.pv(0.1, 5, 1))
    assert found["option_1_npv"] == pytest.approx((500 + 0.25 * BONES_KG * 0.1) * annuity)


def test_phosphorus_in_rendered_meal_is_kept_in_feed_never_for_soil_and_excluded_bones_are_left_over() -> None:
    rows: Rows = {"option.1.kind": ("rendering", None), "bones.1.excluded_share": (10, "%")}
    found = figures(rows)
    assert found["option_1_p_kept_kg"] == 0
    assert found["option_1_p_in_feed_kg"] == found["today_p_in_feed_kg"] == found["p_bones_kg"]
    assert found["option_1_leftover_kg"] == pytest.approx(0.1 * BONES_KG)
    assert found["char_left_over_kg"] == pytest.approx(0.1 * BONES_KG)


# -- 3: two paybacks


def test_both_paybacks_where_a_renewal_lies_between() -> None:
    """12,000, 4,000 a year, a new kiln in year 4 of 8: back after 3, again owed, for good after 6."""
    rows = STILL | {
        "kiln.price": usd(12_000), "kiln.life": (4, "years"), "current.saving": a_year(4000),
        "money.study_years": (8, "years"),
    }  # fmt: skip
    found = figures(rows)
    assert (found["payback_years"], found["payback_for_good_years"]) == (pytest.approx(3), pytest.approx(6))
    assert "payback-twice" in ids_of(rows)
    assert "payback-twice" not in ids_of(rows | {"kiln.life": (40, "years")})


def test_simple_payback_leaves_the_end_of_the_study_out() -> None:
    """7,000 back of 10,000 in operation; working capital of 2,000 returned is no payback."""
    rows = STILL | {"kiln.price": usd(8000), "current.saving": a_year(1400), "capital.working": usd(2000)}
    found = figures(rows)
    assert math.isnan(found["payback_years"])
    assert found["no_end_cash_last_year"] == pytest.approx(1400)


@settings(max_examples=60)
@given(random_plants)
def test_discounted_payback_for_good_exists_exactly_where_npv_is_not_below_zero(rows: Rows) -> None:
    found = figures(rows)
    gross = abs(found["pv_saving"]) + abs(found["pv_cost"]) + 1
    if abs(found["npv"]) > 1e-9 * gross:
        assert math.isfinite(found["discounted_payback_for_good_years"]) == (found["npv"] > 0)


# -- 4 to 7: wear, bags, unsold, shut weeks


def test_linings_that_last_three_months_are_paid_four_times_a_year() -> None:
    """The one that would be due at the very end is not bought."""
    rows: Rows = {"wear.1.cost": usd(100), "wear.1.life": (0.25, "years"), "kiln.life": (40, "years")}
    assert row(rows, "parts_paid") == [400, 400, 400, 400, 300]


def test_only_what_is_sold_in_bags_bears_a_bag() -> None:
    rows: Rows = {
        "finish.bag_cost": (0.5, "USD per kg"), "own_use.mass": (1000, "kg per year"),
        "product.1.market_limit": (2000, "kg per year"), "product.1.share": (50, "%"),
        "product.2.price": (0.1, "USD per kg"), "product.2.packing": ("bulk", None),
        "product.2.market_limit": (500, "kg per year"), "market.rest": ("p-value", None),
        "market.first_year_share": (40, "%"),
    }  # fmt: skip
    found = figures(rows)
    assert found["bagged_kg"] == pytest.approx(2000)
    assert found["bag_cost_today"] == pytest.approx(1000)
    assert row(rows | {"money.inflation": (0, "%")}, "bag_cost")[0] == pytest.approx(400)
    assert found["char_sold_kg"] > 2500  # the rest in bulk, at its value as fertiliser


@pytest.mark.parametrize("name", ["removal_kg_co2e", "char_p_kept_kg", "bag_cost_today", "selling_cost_today"])
def test_char_lost_to_breakdowns_is_lost_everywhere(name: str) -> None:
    rows: Rows = {
        "product.1.price": (1, "USD per kg"), "finish.bag_cost": (0.2, "USD per kg"),
        "product.1.freight": (0.1, "USD per kg"), "current.saving": a_year(1000),
    }  # fmt: skip
    down: Rows = {"costs.downtime_share": (40, "%")}
    assert figures(rows | down)[name] == pytest.approx(0.6 * figures(rows)[name], rel=1e-12)
    assert row(rows | down | STILL, "bill_saved") == pytest.approx([600] * 5)


def test_removal_follows_sales_while_they_build_up() -> None:
    """First year 40 %, all from the second of 5 years: 4.4 full years of removal, and of P."""
    rows: Rows = {"market.first_year_share": (40, "%")}
    found = figures(rows)
    assert found["removal_study_kg_co2e"] == pytest.approx(4.4 * found["removal_kg_co2e"], rel=1e-12)
    assert found["p_used_study_kg"] == pytest.approx(4.4 * found["p_kg"], rel=1e-12)
    net = found["removal_study_kg_co2e"] - 5 * found["process_kg_co2e"]
    assert found["project_net_study_kg_co2e"] == pytest.approx(net, rel=1e-12, abs=1e-9)


def test_a_kiln_of_twelve_weeks_is_told_what_cannot_wait() -> None:
    """40 weeks shut, 7 days of keeping: 273 of 364 days, three quarters of the bones, 20.3 t."""
    rows: Rows = {"kiln.weeks_per_year": (12, "weeks"), "kiln.batches_per_week": (10, "a week")}
    said = {caution.id: caution.text for caution in base_case(plant(rows)).cautions()}
    assert "20.3 t" in said["shut-weeks"]
    assert "shut-weeks" not in ids_of({})


def test_the_two_rows_of_downtime_are_cautioned_together_only() -> None:
    one: Rows = {"costs.downtime_share": (5, "%")}
    other: Rows = {"kiln.downtime_share": (5, "%")}
    assert "downtime-twice" in ids_of(one | other)
    assert "downtime-twice" not in ids_of(one) | ids_of(other)


# -- 8, 9: grant and debt

LOSING: Rows = STILL | {
    "kiln.price": usd(20_000), "kiln.life": (5, "years"), "current.saving": a_year(2000),
    "money.tax_rate": (30, "%"), "money.grant": usd(9000), "grant.year": (2, "years"),
}  # fmt: skip


def test_npv_with_the_grant_is_the_owners_where_there_is_no_loan() -> None:
    """A loss of 2,000 lies before the grant of year 2: of its 7,000 of profit 5,000 is taxed."""
    found = figures(LOSING)
    assert found["npv_with_grant"] == pytest.approx(found["npv_owner"], rel=1e-12)
    profits = [-2000.0, 7000.0, -2000.0, -2000.0, -2000.0]
    carried, flows = 0.0, [-20_000.0]
    for t, profit in enumerate(profits, start=1):
        taxed = max(profit - carried, 0.0)
        carried = max(carried - profit, 0.0)
        flows.append(2000 + (9000 if t == 2 else 0) - 0.3 * taxed)
    assert found["npv_with_grant"] == pytest.approx(float(npf.npv(0.1, flows)), rel=1e-12)


def test_a_grant_requested_is_in_no_balance_until_it_is_awarded() -> None:
    late: Rows = LOSING | {"current.saving": a_year(-6000), "grant.year": (1, "years"), "money.tax_rate": (0, "%")}
    asked, awarded = figures(late), figures(late | {"grant.status": ("awarded", None)})
    assert asked["lowest_balance"] == pytest.approx(-12_000)
    assert asked["money_to_bridge"] == pytest.approx(12_000)
    assert awarded["lowest_balance"] == pytest.approx(asked["lowest_balance_awarded"])
    assert awarded["lowest_balance"] == pytest.approx(-5500)  # eleven months of 500 before the grant comes
    assert "lowest_balance_awarded" not in awarded


def test_with_the_grant_appears_only_where_there_is_one() -> None:
    assert "npv_with_grant" not in figures({})


def test_a_loan_is_no_match() -> None:
    match: Rows = {"kiln.price": usd(10_000), "grant.match_share": (25, "%"), "money.grant": usd(5000)}
    loan: Rows = {"loan.principal": usd(9000), "loan.rate": (5, "%"), "loan.years": (4, "years")}
    assert "match-not-at-hand" in ids_of(match | loan)
    assert "match-not-at-hand" not in ids_of(match)


DEBT: Rows = STILL | {
    "kiln.price": usd(10_000), "kiln.life": (3, "years"), "current.saving": a_year(6000),
    "loan.principal": usd(8000), "loan.rate": (6, "%"), "loan.years": (4, "years"),
}  # fmt: skip


def test_coverage_counts_the_renewal() -> None:
    """Level payments by numpy-financial; year 3 must also pay 10,000 for the next kiln."""
    service = -12 * float(npf.pmt(0.06 / 12, 48, 8000))
    expected = [6000 / service, 6000 / service, (6000 - 10_000) / service, 6000 / service]
    assert row(DEBT, "debt_coverage") == pytest.approx(expected, rel=1e-9)
    assert "loan-outlives-kiln" in ids_of(DEBT)


def test_the_samples_say_how_often_a_lender_is_disappointed() -> None:
    """The saving is uniform, four fifths of it from 0 to 12,000: coverage is 1 at one debt service of saving."""
    service = -12 * float(npf.pmt(0.06 / 12, 48, 8000))
    typed = {key: Typed(value=value, unit=unit, where=key, known="quoted") for key, (value, unit) in
             (BARE | DEBT | {"kiln.life": (40, "years"), "ranges.shape": ("uniform", None)}).items()}  # fmt: skip
    typed["current.saving"] = Typed(value=6000, low=0, high=12_000, unit="USD per year", where="s")
    scenario = held(build(typed), "current.saving")
    found = chances(scenario, Plan.of(scenario), Sampling(2000)).debt
    assert found.coverage_below_one == pytest.approx(0.1 + 0.8 * service / 12_000, abs=0.002)
    assert found.coverage_below_asked == pytest.approx(0.1 + 1.0 * service / 12_000, abs=0.002)
    assert math.isnan(found.balance_below_zero_with_award)


def held(scenario: Scenario, free: str) -> Scenario:
    """The scenario with every range but one taken away."""
    entries = {
        key: entry if key == free or not entry.row.is_number or entry.value is None
        else replace(entry, low=entry.value, high=entry.value)
        for key, entry in scenario.entries.items()
    }  # fmt: skip
    return replace(scenario, entries=entries)


# -- 10 to 12: lives, growth, US tax


def of_life(life: float, years: int) -> Rows:
    return {
        "kiln.price": usd(30_000), "kiln.life": (life, "years"), "current.saving": a_year(7000),
        "money.study_years": (years, "years"), "money.inflation": (0, "%"),
    }  # fmt: skip


@pytest.mark.parametrize(("life", "years"), [(10, 10), (10, 12), (11.9, 12), (12, 12), (6, 12), (5.999, 12)])
def test_unused_life_comes_back_straight_line(life: float, years: int) -> None:
    """Bought again at the end of the year in which a life ends, not in the last; there a part is charged."""
    flows = [-30_000.0, *[7000.0] * years]
    for t in range(1, years):
        flows[t] -= 30_000 * (math.floor(t / life) > math.floor((t - 1) / life))
    run = years / life - math.floor(years / life)
    ended = math.floor(years / life) > math.floor((years - 1) / life)
    flows[years] += -30_000 * run if ended else 30_000 * (1 - run)
    assert figures(of_life(life, years))["npv"] == pytest.approx(float(npf.npv(0.1, flows)), rel=1e-9)


def test_the_answer_does_not_jump_with_the_life_of_the_kiln() -> None:
    """Each hundredth of a year of life moves the NPV by less than a year's interest on a kiln at that date."""
    scenario = plant(of_life(10, 12))
    lives = np.arange(900, 1301) / 100
    at = evaluate({**scenario.numbers(), "kiln.life": lives}, Plan.of(scenario), frozenset({"npv"})).lines["npv"]
    assert np.shape(at) == np.shape(lives)
    assert max(np.abs(np.diff(at))) < 30_000 * 0.1 / 1.1**9


@pytest.mark.parametrize("name", ["thistle-flat", "low-sedge"])
def test_a_low_resale_makes_no_jump_with_the_life(name: str) -> None:
    """Lives of 5 to 15 years by twentieths; effects and samples read the same answer for a life.

    A step holds at most a year's interest on two kilns bought a year earlier, and their straight line.
    """
    start = example(name)
    scenario = build(start.rows, start.system)
    plan, numbers = Plan.of(scenario), scenario.numbers()
    lives = np.round(np.arange(5, 15.001, 0.05), 3)
    npv = evaluate({**numbers, "kiln.life": lives}, plan, frozenset({"npv"})).lines["npv"]
    cost = numbers["kiln.price"] + numbers["kiln.installation"]
    assert max(np.abs(np.diff(npv))) < 2 * cost * (numbers["money.discount_rate"] + 0.05 / 5)
    ranged = replace(scenario, entries={**scenario.entries, "kiln.life": replace(
        scenario["kiln.life"], low=8.0, value=10.0, high=11.9)})  # fmt: skip
    effect = next(one for one in effects(ranged, plan) if one.entry.row.key == "kiln.life")
    alone = [float(evaluate({**numbers, "kiln.life": at}, plan).lines["npv"]) for at in (8.0, 11.9)]
    assert [effect.at_low["npv"], effect.at_high["npv"]] == pytest.approx(alone, rel=1e-12)


def test_a_low_resale_bounds_the_first_kiln_and_no_replacement() -> None:
    """A life of 10: in year 9 a tenth is left, resale 5 %; in year 11 nine tenths of a second kiln are."""
    rows: Rows = {"kiln.price": usd(30_000), "kiln.life": (10, "years"), "money.salvage_share": (5, "%")}
    for years, expected in ((9, 1500), (10, 0), (11, 27_000), (12, 24_000)):
        found = figures(rows | {"money.study_years": (years, "years")})
        assert found["salvage_today"] == pytest.approx(expected), years


def test_the_lower_of_unused_life_and_resale_counts_and_zero_stands_beside() -> None:
    rows: Rows = {"kiln.price": usd(10_000), "kiln.life": (10, "years"), "money.inflation": (0, "%")}
    assert figures(rows)["salvage_today"] == pytest.approx(5000)
    low, high = (figures(rows | {"money.salvage_share": (share, "%")}) for share in (20, 80))
    assert (low["salvage_today"], high["salvage_today"]) == (pytest.approx(2000), pytest.approx(5000))
    assert low["npv"] - low["npv_no_end_value"] == pytest.approx(2000 / 1.1**5)


@pytest.mark.parametrize(
    ("key", "name", "case"),
    [
        ("growth.char_price", "sale_income", {"product.1.price": (1, "USD per kg")}),
        ("growth.bill", "disposal_saved", {"current.saving": (1000, "USD per year")}),
        ("growth.fuel", "fuel_cost", {"fuel.1.per_batch": (1, "L"), "fuel.1.price": (1, "USD per L")}),
        ("growth.wages", "labour_cost",
         {"labour.hours_per_batch": (1, "hours"), "labour.wage": (10, "USD per hour")}),
    ],
)  # fmt: skip
@pytest.mark.parametrize("basis", ["nominal", "real"])
def test_a_price_may_grow_at_a_real_rate_of_its_own(key: str, name: str, case: Rows, basis: str) -> None:
    rows: Rows = case | {key: (2, "%"), "money.inflation": (3, "%"), "money.basis": (basis, None)}
    found = row(rows, name)
    step = 1.02 * (1.03 if basis == "nominal" else 1.0)
    assert [b / a for a, b in pairwise(found)] == pytest.approx([step] * 4, rel=1e-12)


def test_high_inflation_with_a_fixed_nominal_rate_is_cautioned() -> None:
    assert "inflation-flatters" in ids_of({"money.inflation": (6, "%")})
    assert "inflation-flatters" not in ids_of({"money.inflation": (6, "%"), "money.basis": ("real", None)})
    assert "inflation-flatters" not in ids_of({"money.inflation": (2, "%")})


US: Rows = STILL | {
    "kiln.price": usd(10_000), "money.tax_rate": (20, "%"), "current.saving": a_year(4000),
    "kiln.depreciation": ("macrs-5", None),
}  # fmt: skip
MACRS_5 = (0.2, 0.32, 0.192, 0.1152, 0.1152)
"""IRS Publication 946, Table A-1, years 1 to 5."""


def test_expensing_and_bonus_write_off_their_share_in_year_one() -> None:
    """Half expensed, then 60 % of the rest at once: 20 % by the table (26 U.S.C. 179, 168(k); from memory)."""
    found = row(US | {"tax.expensed_share": (50, "%"), "tax.bonus_share": (60, "%")}, "depreciation_nominal")
    expected = [2000 * share for share in MACRS_5]
    expected[0] += 8000
    assert found == pytest.approx(expected, rel=1e-12)


def test_losses_carried_lower_only_a_share_of_profit() -> None:
    """80 % of 4,000 a year may be used of a loss of 6,000: 3,200 in year 2, 2,800 in year 3."""
    found = US | {"tax.expensed_share": (100, "%"), "tax.loss_limit_share": (80, "%")}
    assert row(found, "income_tax") == pytest.approx([0, 160, 240, 800, 800])


def test_the_tax_life_may_differ_from_the_service_life() -> None:
    rows = STILL | {"kiln.price": usd(10_000), "tax.life": (4, "years"), "money.tax_rate": (20, "%")}
    assert row(rows, "depreciation_nominal") == pytest.approx([2500, 2500, 2500, 2500, 0])


# -- 13 to 17: market, bill, contract, failure, stress


def test_a_market_that_fills_up_is_cautioned_with_the_number() -> None:
    """100 a year × 40 m² × 0.05 kg/m²: 200 kg a year, 500 customers by year 5."""
    rows: Rows = {
        "product.1.customers": (100, "each per year"), "product.1.area": (40, "m2"),
        "market.label_rate": (0.05, "kg per m2"),
    }  # fmt: skip
    said = {caution.id: caution.text for caution in base_case(plant(rows)).cautions()}
    assert "100 new customers a year" in said["market-fills-up"]
    assert "500 by year 5" in said["market-fills-up"]
    assert "market-fills-up" not in ids_of(rows | {"product.1.repeat_share": (10, "%")})


def test_a_repeat_share_fills_the_market_later() -> None:
    """Half of 100 customers a year, 100 kg; their ground takes 200 kg once: 100 kg too many in year 3, 300 by 5.

    Half of full sales in the first year: 50, 150, 250 kg, so 50 kg beyond in year 3.
    """
    rows: Rows = {
        "product.1.customers": (100, "each per year"), "product.1.area": (40, "m2"),
        "market.label_rate": (0.05, "kg per m2"), "product.1.repeat_share": (50, "%"),
    }  # fmt: skip
    said = {caution.id: caution.text for caution in base_case(plant(rows)).cautions()}["market-fills-up"]
    assert "in year 3: 100 kg beyond it then, 300 kg by year 5" in said
    slow = base_case(plant(rows | {"market.first_year_share": (50, "%")})).cautions()
    said = {caution.id: caution.text for caution in slow}["market-fills-up"]
    assert "in year 3: 50 kg beyond it then, 250 kg by year 5" in said


CONTRACT: Rows = {
    "contract.fixed": (100, "USD per month"), "contract.per_mass": (0.1, "USD per kg"),
    "contract.per_piece": usd(2), "contract.pieces": (520, "each per year"),
}  # fmt: skip


def contracted(rows: Rows) -> dict[str, float]:
    bare = {key: value for key, value in BARE.items() if key != "current.saving"}
    typed = {key: Typed(value=v, unit=u, where=key) for key, (v, u) in (bare | CONTRACT | rows).items()}
    scenario = build(typed)
    return {name: float(v) for name, v in evaluate(scenario.numbers(), Plan.of(scenario)).lines.items()}


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        ({}, 0.1 * BONES_KG + 2 * 520),
        ({"contract.falls_away": ("all", None)}, 0.1 * BONES_KG + 2 * 520 + 1200),
        ({"bones.1.excluded_share": (25, "%")}, 0.75 * (0.1 * BONES_KG + 2 * 520)),
        ({"kiln.batches_per_week": (1, "a week")}, 0.5 * (0.1 * BONES_KG + 2 * 520)),
    ],
)
def test_the_saving_is_computed_from_the_haulers_contract(rows: Rows, expected: float) -> None:
    found = contracted(rows)
    assert found["disposal_saved_today"] == pytest.approx(expected, rel=1e-12)
    assert found["invoice_per_kg_bones"] == pytest.approx((0.1 * BONES_KG + 1040 + 1200) / BONES_KG)


def test_by_contract_the_bill_follows_the_bones_and_a_typed_bill_says_that_it_does_not() -> None:
    more = contracted({"bones.1.mass": (572, "kg per week"), "kiln.batch_load": (300, "kg")})
    less = contracted({"kiln.batch_load": (300, "kg")})
    assert more["disposal_saved_today"] - less["disposal_saved_today"] == pytest.approx(0.1 * 0.1 * BONES_KG)
    start = example("thistle-flat")
    typed: BaseCase = base_case(build(start.rows, start.system))
    assert "bill-stays-put" in {caution.id for caution in typed.cautions()}


def test_a_typed_saving_with_part_of_the_bones_processed_is_cautioned() -> None:
    rows: Rows = {"kiln.batches_per_week": (1, "a week"), "current.saving": a_year(1000)}
    assert "saving-in-proportion" in ids_of(rows)
    assert figures(rows)["disposal_saved_today"] == pytest.approx(500)


def test_the_loss_if_the_plant_stops() -> None:
    """10,000, 20 % resale, 2,000 a year, a loan of 6,000: after two years the debt left by numpy-financial."""
    rows: Rows = STILL | {
        "kiln.price": usd(10_000), "money.salvage_share": (20, "%"), "current.saving": a_year(2000),
        "loan.principal": usd(6000), "loan.rate": (6, "%"), "loan.years": (4, "years"),
    }  # fmt: skip
    payment = -float(npf.pmt(0.06 / 12, 48, 6000))
    left = -float(npf.fv(0.06 / 12, 24, -payment, 6000))
    flows = [-4000, 2000 - 12 * payment, 2000 - 12 * payment + 2000 - left]
    found = figures(rows)
    assert found["npv_if_stopped_after_2"] == pytest.approx(float(npf.npv(0.1, flows)), rel=1e-9)
    assert "npv_if_stopped_after_3" in found


def test_a_sale_after_failure_is_taxed_on_what_it_leaves_of_the_book_value() -> None:
    """10,000 over four years, 80 % resale, tax 25 %, 4,000 a year: after year 1 of book 7,500 sold at 7,500.

    Straight line on what is left bounds the resale: 7,500, no gain. At 50 % a loss of 2,500 lowers the profit of
    1,500 to none: its tax of 375 is saved, the rest of the loss saves nothing. With other income it saves 625.
    """
    rows: Rows = STILL | {
        "kiln.price": usd(10_000), "kiln.life": (4, "years"), "current.saving": a_year(4000),
        "money.tax_rate": (25, "%"),
    }  # fmt: skip
    found = {share: figures(rows | {"money.salvage_share": (share, "%")}) for share in (80, 50)}
    assert [found[80][f"stopped_1_{word}"] for word in ("sold", "gain", "tax")] == pytest.approx([7500, 0, 0])
    assert [found[50][f"stopped_1_{word}"] for word in ("sold", "gain", "tax")] == pytest.approx(
        [5000, -2500, -375]
    )
    other = figures(rows | {"money.salvage_share": (50, "%"), "money.tax_losses": ("other-income", None)})
    assert other["stopped_1_tax"] == pytest.approx(-625)
    at_year_1 = float(npf.npv(0.1, [-10_000, 4000 - 375 + 5000 + 375]))
    assert found[50]["npv_if_stopped_after_1"] == pytest.approx(at_year_1)
    blank = {key: value for key, value in rows.items() if key != "money.salvage_share"}
    assert figures(blank)["stopped_1_sold"] == 0


def test_a_lender_tries_price_volume_cost_and_delay() -> None:
    """Sales of 6,760, a bill of 1,000, a kiln of 20,000; no loan, so no coverage."""
    rows: Rows = STILL | {
        "kiln.price": usd(20_000), "product.1.price": (1, "USD per kg"), "current.saving": a_year(1000),
    }  # fmt: skip
    scenario = plant(rows)
    found = {one.name: one for one in stress(scenario, Plan.of(scenario))}
    year = CHAR_KG + 1000

    def npv(first: float, cost: float = 20_000, each: float = year) -> float:
        return float(npf.npv(0.1, [-cost, first, *[each] * 4]))

    assert found["base"].npv == pytest.approx(npv(year))
    assert found["price"].npv == pytest.approx(npv(0.8 * CHAR_KG + 1000, each=0.8 * CHAR_KG + 1000))
    assert found["volume"].npv == pytest.approx(npv(0.7 * CHAR_KG + 1000, each=0.7 * CHAR_KG + 1000))
    assert found["capital"].npv == pytest.approx(npv(year, 24_000))
    assert found["late"].npv == pytest.approx(npv(year / 2))
    worst = 0.56 * CHAR_KG + 1000
    assert found["all"].npv == pytest.approx(npv(worst / 2, 24_000, worst))
    assert all(math.isnan(one.lowest_coverage) for one in found.values())
