"""Payback: first crossing, all crossings, never, and rounding that must not hide a repayment."""

from __future__ import annotations

import numpy as np
import pytest

from econ.finance.returns import discounted_payback_years, payback_crossings, payback_years


@pytest.mark.parametrize(
    ("flows", "years", "crossings"),
    [
        pytest.param([-100, 50, 50, 50], 2.0, [2.0], id="hand: at the end of year 2"),
        pytest.param([-100, 40, 40, 40], 2.5, [2.5], id="hand: half-way through year 3"),
        pytest.param([-100, 400], 0.25, [0.25], id="hand: a quarter of the first year"),
        pytest.param([-100, 30, 30, 30], np.nan, [], id="never"),
        pytest.param([-100], np.nan, [], id="never: nothing follows"),
        pytest.param([-100, 150, -100, 100], 2 / 3, [2 / 3, 2.5], id="paid, owed again, paid"),
        pytest.param([-100, 150, -100], 2 / 3, [2 / 3], id="paid, then owed to the end"),
        pytest.param([-100, 100, -50, 50], 1.0, [1.0, 3.0], id="touching zero counts as paid"),
        pytest.param([-100, 60, -60, 200], 2.5, [2.5], id="falls back before it is paid"),
        pytest.param([0, 10], 0.0, [], id="nothing ever owed"),
        pytest.param([100, -40, 10], 0.0, [], id="income first, never below zero"),
        pytest.param([0, -100, 50, 100], 2.5, [2.5], id="outlay a year from now"),
        pytest.param([10, -100, 45, 90], 2.5, [2.5], id="grant today, outlay later"),
        pytest.param([10, -100, 45], np.nan, [], id="grant today, never paid back"),
        pytest.param([-100, 0, 0, 100], 3.0, [3.0], id="years without flow"),
        pytest.param([0, 0, 0], 0.0, [], id="nothing paid, nothing owed"),
        pytest.param([-100, np.nan, 500], np.nan, [], id="unknown flow"),
        pytest.param([-100, 500, np.nan], np.nan, [], id="unknown flow after the crossing"),
    ],
)
def test_payback(flows: list[float], years: float, crossings: list[float]) -> None:
    assert payback_years(flows) == pytest.approx(years, abs=1e-12, nan_ok=True)
    assert payback_crossings(flows) == pytest.approx(crossings, abs=1e-12)
    assert np.array_equal(
        payback_years(np.column_stack([flows, flows])), [payback_years(flows)] * 2, equal_nan=True
    )


@pytest.mark.parametrize("outlay", [1.0, 1e6, 54_300.7, 1e-3])
@pytest.mark.parametrize("parts", [3, 7, 10, 11, 13, 20])
def test_rounding_does_not_turn_paid_back_into_never(parts: int, outlay: float) -> None:
    """1 repaid in ten tenths: the floating sum ends at -1.1e-16; the slack goes with the size of the money."""
    years = payback_years([-outlay, *[outlay / parts] * parts])
    assert years == pytest.approx(parts, abs=1e-9)
    assert years <= parts


def test_an_outlay_that_is_short_by_little_is_never_paid() -> None:
    assert np.isnan(payback_years([-1.0, 0.5, 0.5 - 1e-9]))


@pytest.mark.parametrize(
    ("rate", "flows", "years"),
    [
        # 110 and 121 are worth 100 each at 10 %.
        pytest.param(0.1, [-200, 110, 121], 2.0, id="hand: exactly at the end"),
        pytest.param(0.1, [-150, 110, 121], 1.5, id="hand: half of the second, discounted, year"),
        pytest.param(0.1, [-201, 110, 121], np.nan, id="never within the years"),
        pytest.param(0.0, [-100, 40, 40, 40], 2.5, id="rate 0: as the simple payback"),
        pytest.param(0.1, [5, 1], 0.0, id="nothing ever owed"),
    ],
)
def test_discounted_payback(rate: float, flows: list[float], years: float) -> None:
    assert discounted_payback_years(rate, flows) == pytest.approx(years, abs=1e-12, nan_ok=True)


def test_one_rate_in_a_list_is_a_case() -> None:
    found = discounted_payback_years([0.1], [-200, 110, 121])
    assert isinstance(found, np.ndarray)
    assert found.tolist() == [2.0]
    assert isinstance(discounted_payback_years(0.1, [-200, 110, 121]), float)


@pytest.mark.parametrize("outlay", [1.0, 1e6, 54_300.7])
@pytest.mark.parametrize("parts", [3, 7, 10, 11, 13, 20])
def test_what_rounding_leaves_is_not_owed_again(parts: int, outlay: float) -> None:
    """One crossing, at the end of the repayment, though the floating sum may stand a trace below nothing."""
    found = payback_crossings([-outlay, *[outlay / parts] * parts, outlay])
    assert found == pytest.approx([parts], abs=1e-9)
