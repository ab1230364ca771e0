"""Inverse distributions against scipy 1.17 as an independent oracle."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats  # noqa: TID253 (the oracle of this file)

from econ.inputs.records import Entry
from econ.inputs.rows import Row
from econ.questions import latin
from econ.questions.samples import SHAPES, drawn

SHARES = np.concatenate((np.logspace(-9, -2, 400), np.linspace(0.01, 0.99, 4001), 1 - np.logspace(-2, -9, 400)))


def oracle(shape: str, low: float, value: float, high: float) -> stats.rv_frozen:
    """The same distribution made by scipy; PERT as Beta(1 + 4 (m-a)/(b-a), 1 + 4 (b-m)/(b-a)), from memory."""
    span = high - low
    if shape == "triangular":
        return stats.triang((value - low) / span, loc=low, scale=span)
    if shape == "pert":
        return stats.beta(1 + 4 * (value - low) / span, 1 + 4 * (high - value) / span, loc=low, scale=span)
    if shape == "uniform":
        return stats.uniform(low, span)
    sigma = np.log(high / low) / (stats.norm.ppf(0.95) - stats.norm.ppf(0.05))
    return stats.lognorm(sigma, scale=value)


# shape, tolerance as a part of the range: closed forms to rounding, PERT to its table
TOLERANCES = (("triangular", 1e-12), ("uniform", 1e-12), ("lognormal", 1e-12), ("pert", 1e-6))
RANGES = (
    (0.25, 0.45, 0.7),  # an ordinary price
    (2.0, 2.0, 5.0),  # the value is the low
    (2.0, 5.0, 5.0),  # the value is the high
    (1.0, 1.001, 9.0),  # nearly so
    (-40.0, -10.0, 3.0),  # below nought
    (34_000.0, 38_000.0, 52_000.0),
)


CASES = [
    (shape, tolerance, *ends)
    for shape, tolerance in TOLERANCES
    for ends in RANGES
    if shape != "lognormal" or ends[0] > 0  # a logarithm needs a low above 0: such a row is a fault
]


@pytest.mark.parametrize(("shape", "tolerance", "low", "value", "high"), CASES)
def test_inverse_equals_scipy(shape: str, tolerance: float, low: float, value: float, high: float) -> None:
    expected = oracle(shape, low, value, high).ppf(SHARES)
    scale = high - low if shape != "lognormal" else np.maximum(np.abs(expected), high - low)
    assert np.max(np.abs(SHAPES[shape](low, value, high)(SHARES) - expected) / scale) < tolerance


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
def test_samples_never_leave_the_range_and_rise_with_the_share(
    shape: str, low: float, span: float, place: float
) -> None:
    high = low + span
    value = min(low + place * span, high)
    found = SHAPES[shape](low, value, high)(SHARES)
    slack = 1e-9 * (abs(low) + span)
    assert low - slack <= found.min() <= found.max() <= high + slack
    assert np.all(np.diff(found) >= -slack)


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
    assert set(found) == {1.0, 2.0, 3.0, 4.0, 5.0, 6.0}


def test_mean_of_a_pert_is_a_sixth_of_ends_and_four_values() -> None:
    """Mean (a + 4 m + b)/6: the defining property of PERT, from memory."""
    even = (np.arange(200_000) + 0.5) / 200_000
    assert SHAPES["pert"](2.0, 3.0, 9.0)(even).mean() == pytest.approx((2 + 4 * 3 + 9) / 6, rel=1e-6)
