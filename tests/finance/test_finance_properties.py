"""What must hold for any flows, rates and lives."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from loans import loan_schedule

from econ.finance.present_value import annual_equivalent, npv, real_rate
from econ.finance.returns import (
    depreciation,
    discounted_payback_years,
    irr,
    irr_roots,
    mirr,
    payback_crossings,
    payback_years,
)

money = st.floats(-1e6, 1e6).map(lambda x: round(x, 2))
income = st.floats(1.0, 1e6)
any_flows = st.lists(money, min_size=1, max_size=25)
invest_then_earn = st.builds(lambda out, later: [-out, *later], income, st.lists(income, min_size=1, max_size=25))
rates = st.floats(0.0, 1.0)
scales = st.floats(1e-3, 1e3)


def gross(rate: float, flows: list[float]) -> float:
    """What the worth is small against: the sum of absolute present values."""
    return npv(rate, np.abs(flows))


@settings(deadline=None)
@given(income, rates, st.integers(1, 30), st.sampled_from([1, 4, 12]), st.integers(0, 11))
def test_a_loan_at_its_own_rate_is_worth_nothing(
    principal: float, rate: float, years: int, per_year: int, grace: int
) -> None:
    assume(grace < years * per_year)
    loan = loan_schedule(principal, rate, years, per_year, grace)
    assert npv(rate / per_year, [-principal, *loan.payment]) == pytest.approx(0.0, abs=1e-11 * principal)
    assert loan.principal.sum() == pytest.approx(principal, rel=1e-11)
    assert np.all(np.diff(loan.balance) <= 1e-12 * principal)


@settings(deadline=None)
@given(
    st.sampled_from(["straight-line", "declining-balance", "sum-of-years"]),
    income,
    st.floats(0.0, 1.0),
    st.integers(1, 40),
    st.floats(0.1, 4.0),
)
def test_depreciation_sums_to_cost_less_salvage(
    method: str, cost: float, share: float, life: int, factor: float
) -> None:
    salvage = cost * share
    amounts = depreciation(method, cost, salvage, life, factor=factor)
    assert amounts.sum() == pytest.approx(cost - salvage, abs=1e-9 * cost)
    assert amounts.min() >= 0.0


@settings(deadline=None)
@given(income, st.floats(0.1, 40.0))
def test_straight_line_over_a_fractional_life_sums_to_cost(cost: float, life: float) -> None:
    amounts = depreciation("straight-line", cost, 0.0, life)
    assert amounts.size == math.ceil(life)
    assert amounts.sum() == pytest.approx(cost, rel=1e-9)


@settings(deadline=None)
@given(income, st.sampled_from([3, 5, 7, 10, 15]))
def test_macrs_sums_to_cost(cost: float, life: int) -> None:
    assert depreciation("macrs", cost, 0.0, life).sum() == pytest.approx(cost, rel=1e-12)


@settings(deadline=None)
@given(income, st.floats(0.0, 1.0), st.integers(1, 40), st.floats(0.1, 4.0))
def test_without_switch_never_below_salvage(cost: float, share: float, life: int, factor: float) -> None:
    amounts = depreciation("declining-balance", cost, cost * share, life, factor=factor, switch=False)
    assert amounts.sum() <= cost * (1 - share) + 1e-9 * cost


@settings(deadline=None)
@given(rates, invest_then_earn)
def test_discounted_payback_is_never_before_the_simple_one(rate: float, flows: list[float]) -> None:
    simple, discounted = payback_years(flows), discounted_payback_years(rate, flows)
    if math.isnan(simple):
        assert math.isnan(discounted)
    else:
        assert math.isnan(discounted) or discounted >= simple - 1e-9


@settings(deadline=None)
@given(rates, st.floats(-0.1, 0.3), any_flows)
def test_inflating_flows_and_rate_together_changes_nothing(
    real: float, inflation: float, flows: list[float]
) -> None:
    nominal = (1 + real) * (1 + inflation) - 1
    inflated = [flow * (1 + inflation) ** year for year, flow in enumerate(flows)]
    assert npv(nominal, inflated) == pytest.approx(npv(real, flows), abs=1e-10 * gross(real, flows))
    assert real_rate(nominal, inflation) == pytest.approx(real, abs=1e-12)


@settings(deadline=None, max_examples=200)
@given(any_flows)
def test_worth_at_every_reported_root_is_nothing(flows: list[float]) -> None:
    found = irr_roots(flows)
    assert list(found) == sorted(set(found))
    for rate in found:
        assert rate > -1
        if rate > -0.99:  # further down, a rate in double precision no longer holds 1 + rate well enough
            assert npv(rate, flows) == pytest.approx(0.0, abs=1e-9 * gross(rate, flows))


@settings(deadline=None)
@given(any_flows)
def test_the_record_agrees_with_itself(flows: list[float]) -> None:
    found = irr(flows)
    assert found.roots == irr_roots(flows)
    assert math.isnan(found.value) == (len(found.roots) != 1)
    assert found.reason.startswith("unique") == (len(found.roots) == 1)
    if len(found.roots) == 1:
        assert found.value == found.roots[0]


@settings(deadline=None)
@given(rates, any_flows, scales)
def test_scaling_flows_scales_their_worth(rate: float, flows: list[float], scale: float) -> None:
    scaled = [scale * flow for flow in flows]
    near = 1e-10 * scale * gross(rate, flows)
    assert npv(rate, scaled) == pytest.approx(scale * npv(rate, flows), abs=near)
    if len(flows) > 1:
        expected = scale * annual_equivalent(rate, flows)
        assert annual_equivalent(rate, scaled) == pytest.approx(expected, abs=near * 2)


@settings(deadline=None)
@given(rates, invest_then_earn, scales)
def test_scaling_flows_leaves_rates_and_paybacks_alone(rate: float, flows: list[float], scale: float) -> None:
    scaled = [scale * flow for flow in flows]
    assert 1 + irr(scaled).value == pytest.approx(1 + irr(flows).value, rel=1e-9)
    assert mirr(scaled, rate, rate) == pytest.approx(mirr(flows, rate, rate), abs=1e-9)
    # Doubling is exact, so not even a payback at the last instant may tip over.
    doubled = [2 * flow for flow in flows]
    assert np.array_equal(payback_years(doubled), payback_years(flows), equal_nan=True)
    assert np.array_equal(
        discounted_payback_years(rate, doubled), discounted_payback_years(rate, flows), equal_nan=True
    )


@settings(deadline=None)
@given(any_flows)
def test_rates_of_the_other_side_of_the_bargain_are_the_same(flows: list[float]) -> None:
    assert irr_roots([-flow for flow in flows]) == irr_roots(flows)


@settings(deadline=None)
@given(any_flows)
def test_payback_is_the_first_crossing(flows: list[float]) -> None:
    crossings, years = payback_crossings(flows), payback_years(flows)
    assert crossings == sorted(crossings)
    if crossings:
        assert years == crossings[0]
    else:
        assert math.isnan(years) or years == 0.0


@settings(deadline=None)
@given(rates, any_flows)
def test_a_later_zero_year_changes_no_worth(rate: float, flows: list[float]) -> None:
    assert npv(rate, [*flows, 0.0]) == npv(rate, flows)
    assert irr_roots([*flows, 0.0]) == pytest.approx(irr_roots(flows), rel=1e-9, abs=1e-12)
