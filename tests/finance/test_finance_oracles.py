"""Two libraries as witnesses where conventions agree, and the differences that made us write our own."""

from __future__ import annotations

import numpy as np
import numpy_financial as npf
import pytest
import pyxirr
from hypothesis import given, settings
from hypothesis import strategies as st
from loans import loan_schedule

from econ.finance.present_value import npv
from econ.finance.returns import irr, irr_roots, mirr

money = st.floats(1.0, 1e5)
rates = st.floats(0.001, 0.5)
# One outlay and later income only: one sign change, so every library means the same rate.
usual_flows = st.builds(lambda out, income: [-out, *income], money, st.lists(money, min_size=1, max_size=25))


@settings(deadline=None)
@given(rates, usual_flows)
def test_npv(rate: float, flows: list[float]) -> None:
    gross = sum(map(abs, flows))
    assert npv(rate, flows) == pytest.approx(npf.npv(rate, flows), abs=1e-11 * gross)
    assert npv(rate, flows) == pytest.approx(pyxirr.npv(rate, flows), abs=1e-11 * gross)


@settings(deadline=None)
@given(usual_flows)
def test_irr(flows: list[float]) -> None:
    """Agreement in growth 1 + rate; numpy-financial takes eigenvalues, hence its looser tolerance."""
    found = irr(flows)
    assert found.reason == "unique"
    assert 1 + found.value == pytest.approx(1 + npf.irr(flows), rel=1e-8)
    assert 1 + found.value == pytest.approx(1 + pyxirr.irr(flows), rel=1e-8)


@settings(deadline=None)
@given(usual_flows, rates, rates)
def test_mirr(flows: list[float], finance_rate: float, reinvest_rate: float) -> None:
    ours = mirr(flows, finance_rate, reinvest_rate)
    assert 1 + ours == pytest.approx(1 + npf.mirr(flows, finance_rate, reinvest_rate), rel=1e-11)
    assert 1 + ours == pytest.approx(1 + pyxirr.mirr(flows, finance_rate, reinvest_rate), rel=1e-11)


@settings(deadline=None)
@given(money, st.floats(0.001, 0.2), st.integers(1, 20), st.sampled_from([1, 2, 4, 12]))
def test_loans(principal: float, rate: float, years: int, per_year: int) -> None:
    loan, periods, each = loan_schedule(principal, rate, years, per_year), years * per_year, rate / per_year
    number = np.arange(1, periods + 1)
    close = {"rtol": 1e-9, "atol": 1e-9 * principal}
    np.testing.assert_allclose(loan.payment, -npf.pmt(each, periods, principal), **close)
    np.testing.assert_allclose(loan.interest, -npf.ipmt(each, number, periods, principal), **close)
    np.testing.assert_allclose(loan.principal, -npf.ppmt(each, number, periods, principal), **close)
    assert loan.payment[0] == pytest.approx(-pyxirr.pmt(each, periods, principal), rel=1e-9)
    middle = (periods + 1) // 2
    assert loan.interest[middle - 1] == pytest.approx(
        -pyxirr.ipmt(each, middle, periods, principal),
        **{
            "rel": 1e-9,
            "abs": 1e-9 * principal,
        },
    )


# Below: numpy-financial 1.0.0 and pyxirr 0.10 as run here, beside ours.


@pytest.mark.parametrize(
    ("flows", "numpy_financial_says", "pyxirr_says"),
    [
        pytest.param([-50, -100, 600, 300, -100], -0.7689, 1.8544, id="numpy-financial issue 28"),
        pytest.param([-1600, 10000, -10000], 0.25, 4.0, id="oil pump"),
    ],
)
def test_each_library_picks_another_of_several_roots_in_silence(
    flows: list[float], numpy_financial_says: float, pyxirr_says: float
) -> None:
    assert npf.irr(flows) == pytest.approx(numpy_financial_says, abs=5e-5)
    assert pyxirr.irr(flows) == pytest.approx(pyxirr_says, abs=5e-5)

    ours = irr(flows)
    assert np.isnan(ours.value)
    assert ours.roots == pytest.approx((numpy_financial_says, pyxirr_says), abs=5e-5)
    assert ours.reason.startswith("several roots")


def test_nan_without_a_word() -> None:
    assert np.isnan(npf.irr([100, 100, 100]))
    assert np.isnan(npf.irr([1000, -1500, 1000]))
    assert irr([100, 100, 100]).reason == "no sign change: all costs or all benefits"
    assert irr([1000, -1500, 1000]).reason == "no real root above -100 %"


def test_a_double_root_is_lost_among_complex_eigenvalues() -> None:
    """(10 y - 11)**2: 10 % by arithmetic; eigenvalues come out as a complex pair."""
    assert np.isnan(npf.irr([100, -220, 121]))
    assert irr_roots([100, -220, 121]) == pytest.approx((0.1,), abs=1e-12)


def test_no_vectorising() -> None:
    flows = np.array([[-100.0, -200.0], [60.0, 110.0], [60.0, 120.0]])
    with pytest.raises(ValueError, match="broadcast"):
        npf.npv(0.1, flows)
    with pytest.raises(ValueError, match="rank-1"):
        npf.irr(flows)
    for case in range(2):
        assert npv(0.1, flows)[case] == pytest.approx(npf.npv(0.1, flows[:, case]))
        assert irr(flows).value[case] == pytest.approx(npf.irr(flows[:, case]))
