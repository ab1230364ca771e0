"""What must hold for any plant."""

from __future__ import annotations

import numpy as np
import pytest
from conftest import plant
from hypothesis import given, settings
from hypothesis import strategies as st

from econ.finance import present_value, returns
from econ.inputs.records import Scenario
from econ.model.coefficients import coefficients
from econ.model.evaluate import evaluate
from econ.model.ledger import Arrays
from econ.model.plan import Plan

BASE, WEIGHED = plant(), plant(kiln__char_yield="30 %")
ASKED = {id(one): (one.numbers(), Plan.of(one)) for one in (BASE, WEIGHED)}


def answers(scenario: Scenario = BASE, **moved: object) -> Arrays:
    """The model with some numbers replaced: `bones__1__mass=...` in canonical units."""
    numbers, plan = ASKED.get(id(scenario)) or (scenario.numbers(), Plan.of(scenario))
    return evaluate(numbers | {key.replace("__", "."): value for key, value in moved.items()}, plan)


MODELLED = answers().lines
shares = st.floats(0.02, 1.0)


@given(water=shares, fat=shares, protein=shares, ash=shares, peak=st.floats(250, 1000), mass=st.floats(1e3, 1e5))
def test_mass_closes_and_p_and_ca_are_conserved(
    water: float, fat: float, protein: float, ash: float, peak: float, mass: float
) -> None:
    found = answers(
        bones__1__water_share=water, bones__1__fat_share=fat, bones__1__protein_share=protein,
        bones__1__ash_share=ash, kiln__peak_temperature=peak, bones__1__mass=mass,
    ).lines  # fmt: skip
    assert found["mass_residual_kg"] == pytest.approx(0, abs=1e-9 * mass)
    ash_kg = found["bones_fired_kg"] * ash / (water + fat + protein + ash)
    assert found["p_kg"] == pytest.approx(ash_kg * 0.175)
    assert found["ca_kg"] == pytest.approx(ash_kg * 0.37)
    streams = ("char_kg", "vapour_kg", "fat_gas_kg", "protein_gas_kg", "mineral_gas_kg", "n_lost_kg")
    assert all(found[name] >= -1e-9 for name in streams)


@given(measured=st.floats(0.15, 0.5))
def test_a_weighed_yield_keeps_the_balance_closed(measured: float) -> None:
    found = answers(WEIGHED, kiln__char_yield=measured).lines
    assert found["char_kg"] == pytest.approx(found["bones_fired_kg"] * measured)
    assert found["mass_residual_kg"] == pytest.approx(0, abs=1e-6)
    assert found["p_kg"] / found["char_kg"] == pytest.approx(MODELLED["p_kg"] / MODELLED["char_kg"])


@given(mass=st.floats(1_000, 20_000))
def test_twice_the_feed_below_capacity_gives_twice_the_char(mass: float) -> None:
    one, two = answers(bones__1__mass=mass).lines, answers(bones__1__mass=2 * mass).lines
    assert two["char_kg"] == pytest.approx(2 * one["char_kg"])
    assert two["bones_passed_on_kg"] == pytest.approx(0, abs=1e-6)


def test_half_loads_do_not_halve_fuel_or_hours() -> None:
    scenario = plant(bones__1__mass="1000 lb per week", bones__1__excluded_share="0 %")
    full, half = answers(scenario).lines, answers(scenario, bones__1__mass=500 * 0.45359237 * 52).lines
    assert full["firings_per_year"] == 52
    assert half["char_kg"] == pytest.approx(full["char_kg"] / 2)
    assert half["firings_per_year"] == 50  # once in each of the 50 weeks: bones keep seven days
    assert half["fuel_1_used"] / full["fuel_1_used"] > 0.9
    assert half["hours_per_year"] / full["hours_per_year"] > 0.9


def test_a_load_just_over_a_whole_batch_costs_one_more_firing() -> None:
    load = BASE["kiln.batch_load"].number
    at = answers(bones__1__mass=load * 70, bones__1__excluded_share=0.0).lines
    over = answers(bones__1__mass=load * 70 + 0.01, bones__1__excluded_share=0.0).lines
    assert (at["firings_per_year"], over["firings_per_year"]) == (70, 71)


@given(mass=st.floats(1e3, 3e5), excluded=st.floats(0, 1))
def test_fired_passed_on_and_excluded_make_what_was_received(mass: float, excluded: float) -> None:
    found = answers(bones__1__mass=mass, bones__1__excluded_share=excluded).lines
    parts = found["bones_fired_kg"] + found["bones_passed_on_kg"] + found["bones_excluded_kg"]
    assert parts == pytest.approx(mass)
    assert found["bones_fired_kg"] <= found["kiln_capacity_kg"] * (1 + 1e-12)


@given(low=st.floats(0, 3), step=st.floats(0.01, 2))
def test_npv_is_linear_in_price_without_tax(low: float, step: float) -> None:
    prices = np.array([low, low + step, low + 2 * step])
    worth = answers(product__2__price=prices).lines["npv"]
    assert worth[2] - worth[1] == pytest.approx(worth[1] - worth[0], rel=1e-6, abs=1e-4)


@given(rate=st.floats(0.0, 0.3), step=st.floats(0.001, 0.2))
def test_npv_falls_as_the_rate_rises_for_an_ordinary_investment(rate: float, step: float) -> None:
    scenario = plant(money__salvage_share="0 %")
    found = answers(scenario, money__discount_rate=np.array([rate, rate + step])).lines["npv"]
    assert found[1] < found[0]


@given(k=st.floats(0.1, 50))
def test_all_money_inputs_times_k_give_all_money_outputs_times_k(k: float) -> None:
    scenario = plant(money__tax_rate="25 %", money__basis="nominal")
    numbers = scenario.numbers()
    scaled = {key: value * k if scenario[key].row.is_money else value for key, value in numbers.items()}
    one, many = (evaluate(n, Plan.of(scenario)).lines for n in (numbers, scaled))
    for name in ("npv", "kiln_cost_per_year", "net_cost_per_kg_bones", "npv_with_grant", "fertiliser_value"):
        assert many[name] == pytest.approx(one[name] * k)
    for name in ("char_kg", "payback_years", "removal_kg_co2e"):
        assert many[name] == pytest.approx(one[name])


def test_a_case_alone_equals_the_same_case_inside_an_array_exactly() -> None:
    scenario = plant(money__tax_rate="25 %")
    plan, numbers = Plan.of(scenario), scenario.numbers()
    ranged = scenario.ranged()
    rng = np.random.default_rng(7)
    drawn = {e.row.key: rng.uniform(e.low, e.high, 37) for e in ranged}
    together = evaluate(numbers | drawn, plan)
    for case in (0, 1, 17, 36):
        alone = evaluate(numbers | {key: float(column[case]) for key, column in drawn.items()}, plan)
        for name, value in alone.lines.items():
            inside = np.broadcast_to(together.lines[name], (37,))[case]
            assert np.array_equal(inside, value, equal_nan=True), name


@settings(max_examples=30)
@given(basis=st.sampled_from(["real", "nominal"]), losses=st.sampled_from(["other-income", "carried-forward"]))
def test_npv_is_that_of_the_yearly_flows(basis: str, losses: str) -> None:
    scenario = plant(money__basis=basis, money__tax_losses=losses, money__tax_rate="30 %", kiln__life="4 years")
    found = answers(scenario)
    flows = [float(found.years["net_cash"][t]) for t in range(Plan.of(scenario).years + 1)]
    rate = scenario["money.discount_rate"].number
    assert float(found.lines["npv"]) == pytest.approx(present_value.npv(rate, flows), rel=1e-12)
    simple = returns.payback_years([*flows[:-1], float(found.lines["no_end_cash_last_year"])])
    assert np.array_equal(float(found.lines["payback_years"]), simple, equal_nan=True) or float(
        found.lines["payback_years"]
    ) == pytest.approx(simple)


def test_real_and_nominal_agree_without_tax() -> None:
    nominal = plant(money__basis="nominal", money__inflation="3 %", money__discount_rate="8 %")
    real_rate = (1.08 / 1.03 - 1) * 100
    real = plant(money__basis="real", money__inflation="3 %", money__discount_rate=f"{real_rate!r} %")
    assert answers(nominal).lines["npv"] == pytest.approx(answers(real).lines["npv"], rel=1e-9)


def test_real_and_nominal_agree_with_tax_and_losses_carried() -> None:
    sets = {"money__tax_rate": "30 %", "money__inflation": "3 %", "kiln__life": "4.5 years"}
    nominal = plant(money__basis="nominal", money__discount_rate="8 %", **sets)
    real = plant(money__basis="real", money__discount_rate=f"{(1.08 / 1.03 - 1) * 100!r} %", **sets)
    assert answers(nominal).lines["npv"] == pytest.approx(answers(real).lines["npv"], rel=1e-9)


def test_above_the_market_limit_char_goes_to_the_last_tier_or_to_stock() -> None:
    one = plant(product__1__market_limit="1000 lb per year", product__3__market_limit="500 lb per year")
    found = answers(one).lines
    assert found["tier_1_sold_kg"] == pytest.approx(1000 * 0.45359237)
    assert found["tier_3_sold_kg"] == pytest.approx(500 * 0.45359237)
    sold = sum(found[f"tier_{n}_sold_kg"] for n in (1, 2, 3))
    assert found["char_to_stock_kg"] == pytest.approx(found["char_kg"] - sold - found["own_use_kg"])
    dear = answers(one, product__1__price=100.0).lines["tier_1_income"]
    assert dear == pytest.approx(100.0 * 1000 * 0.45359237)


def test_carbonate_carbon_moves_no_carbon_figure() -> None:
    numbers = BASE.numbers()
    found = coefficients(numbers, Plan.of(BASE))
    assert found["bones_1_carbonate_c_frac"] > 0
    plan = Plan.of(plant(carbon__organic_share=""))
    base = evaluate(numbers, plan).lines
    assert base["organic_c_kg"] == pytest.approx(base["organic_c_modelled_kg"])
    assert base["removal_kg_co2e"] < base["organic_c_kg"] * 44 / 12
