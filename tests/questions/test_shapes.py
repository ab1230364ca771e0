"""Inverse distributions against scipy 1.17 as an independent oracle."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats  # noqa: TID253 (the oracle of this file)

from econ.inputs.records import Entry
from econ.inputs.rows import Row
from econ.questions import latin
from econ.questions.samples import SHAPES, drawn, triangle_ends

SHARES = np.concatenate((np.logspace(-9, -2, 400), np.linspace(0.01, 0.99, 4001), 1 - np.logspace(-2, -9, 400)))


def oracle(shape: str, value: float, start: float, end: float) -> stats.rv_frozen:
    """The same by scipy between ends; PERT as Beta(1 + 4 (m-a)/(b-a), 1 + 4 (b-m)/(b-a)), from memory."""
    span = end - start
    if shape == "triangular":
        return stats.triang((value - start) / span, loc=start, scale=span)
    if shape == "pert":
        return stats.beta(1 + 4 * (value - start) / span, 1 + 4 * (end - value) / span, loc=start, scale=span)
    return stats.uniform(start, span)


# shape, tolerance as a part of the range: closed forms to rounding, PERT to its table and the search for its ends
TOLERANCES = (("triangular", 1e-12), ("uniform", 1e-12), ("pert", 2e-5))
RANGES = (
    (0.25, 0.45, 0.7),  # an ordinary price
    (2.0, 2.0, 5.0),  # the value is the low
    (2.0, 5.0, 5.0),  # the value is the high
    (1.0, 1.001, 9.0),  # nearly so
    (-40.0, -10.0, 3.0),  # below zero
    (34_000.0, 38_000.0, 52_000.0),
)
CASES = [(shape, tolerance, *ends) for shape, tolerance in TOLERANCES for ends in RANGES]


@pytest.mark.parametrize(("shape", "tolerance", "low", "value", "high"), CASES)
def test_inverse_equals_scipy(shape: str, tolerance: float, low: float, value: float, high: float) -> None:
    found = SHAPES[shape](low, value, high)
    start, end = found(np.array([0.0, 1.0]))
    expected = oracle(shape, value, start, end).ppf(SHARES)
    assert np.max(np.abs(found(SHARES) - expected) / (high - low)) < tolerance


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize(("low", "value", "high"), RANGES)
def test_low_is_p10_and_high_is_p90(shape: str, low: float, value: float, high: float) -> None:
    """One number in ten lies below low and one in ten above high, in every shape."""
    if shape == "lognormal" and low <= 0:
        pytest.skip("a logarithm needs a low above 0: such a row is a fault")
    found = SHAPES[shape](low, value, high)(np.array([0.1, 0.9]))
    assert found == pytest.approx([low, high], abs=(high - low) * (1e-12 if shape != "pert" else 2e-5))


@given(st.floats(0, 1e3), st.floats(0, 1e3))
def test_ends_of_a_triangle_by_scipy(below: float, above: float) -> None:
    if below + above < 1e-6:
        return
    start, end = triangle_ends(-below, 0.0, above)
    even = stats.triang(-start / (end - start), loc=start, scale=end - start)
    assert even.ppf([0.1, 0.9]) == pytest.approx([-below, above], abs=1e-9 * (below + above))


def test_two_sided_lognormal_by_scipy() -> None:
    """The value is the median; where value² = low × high it is one lognormal."""
    found = SHAPES["lognormal"](50.0, 100.0, 200.0)(SHARES)
    sigma = np.log(2) / stats.norm.ppf(0.9)
    assert found == pytest.approx(stats.lognorm(sigma, scale=100).ppf(SHARES), rel=1e-12)
    assert SHAPES["lognormal"](80.0, 100.0, 300.0)(np.array([0.5]))[0] == pytest.approx(100.0)


def test_normal_inverse_equals_scipy_over_the_whole_range() -> None:
    shares = np.concatenate(
        (np.logspace(-300, -2, 3000), np.linspace(0.01, 0.99, 9001), 1 - np.logspace(-2, -15, 99))
    )
    expected = stats.norm.ppf(shares)
    assert np.max(np.abs(latin.inverse(shares) - expected) / np.maximum(np.abs(expected), 1)) < 1e-14
    assert latin.inverse(np.array([0.0, 1.0])).tolist() == [-np.inf, np.inf]


def test_normal_distribution_function_equals_scipy() -> None:
    deviates = np.linspace(-30, 12, 20001)
    assert np.max(np.abs(latin.share_below(deviates) - stats.norm.cdf(deviates))) < 1e-14


@given(
    st.sampled_from(("triangular", "pert", "uniform")), st.floats(-1e6, 1e6), st.floats(1e-3, 1e6), st.floats(0, 1)
)
@settings(max_examples=40)
def test_samples_rise_with_the_share_and_four_in_five_lie_between_low_and_high(
    shape: str, low: float, span: float, place: float
) -> None:
    high = low + span
    value = min(low + place * span, high)
    found = SHAPES[shape](low, value, high)(SHARES)
    assert np.all(np.diff(found) >= -1e-9 * (abs(low) + span))
    even = SHAPES[shape](low, value, high)((np.arange(1000) + 0.5) / 1000)
    slack = 2e-5 * span + 1e-9 * abs(low)
    assert np.count_nonzero((even >= low - slack) & (even <= high + slack)) >= 800


def entry(low: float, value: float, high: float, **row: object) -> Entry:
    return Entry(Row(key="a.b", label="a row", **row), value, low, high)  # type: ignore[arg-type]


@pytest.mark.parametrize("shape", SHAPES)
def test_a_range_without_width_gives_the_value(shape: str) -> None:
    one = drawn(entry(3.5, 3.5, 3.5), shape)
    assert one.shape == "fixed"
    assert set(one.inverse(SHARES)) == {3.5}


def test_an_input_held_fixed_gives_its_value_whatever_its_range() -> None:
    assert set(drawn(entry(1.0, 2.0, 9.0), "fixed").inverse(SHARES)) == {2.0}


def test_a_lognormal_stays_within_the_bounds_of_the_row() -> None:
    found = drawn(entry(0.3, 0.6, 0.9, lowest=0.0, highest=1.0), "lognormal").inverse(SHARES)
    assert found.max() == 1.0
    assert found.min() > 0.0


def test_a_whole_number_row_is_drawn_whole() -> None:
    found = drawn(entry(1.0, 3.0, 6.0, kind="whole", lowest=1, highest=40), "triangular").inverse(SHARES)
    assert set(found) >= {1.0, 2.0, 3.0, 4.0, 5.0, 6.0}
    assert found.min() >= 1


def test_mean_of_a_pert_is_a_sixth_of_ends_and_four_values() -> None:
    """Mean (a + 4 m + b)/6: the defining property of PERT, from memory."""
    even = (np.arange(200_000) + 0.5) / 200_000
    found = SHAPES["pert"](2.0, 3.0, 9.0)
    start, end = found(np.array([0.0, 1.0]))
    assert found(even).mean() == pytest.approx((start + 4 * 3 + end) / 6, rel=2e-5)
