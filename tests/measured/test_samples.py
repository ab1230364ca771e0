"""Means, ranges, outliers and trends, against scipy and against what must always hold."""

from __future__ import annotations

import importlib
import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from measured_plants import log, with_data

from econ.measured.sample import LEAST_ALONE, LEAST_FOR_OUTLIER, Trend, sample, trends
from econ.questions.effects import worth_of_knowing
from econ.workbook.pages.char_pages import trend_sentence

stats = importlib.import_module("scipy.stats")

VALUES = st.lists(st.floats(0.1, 0.9), min_size=2, max_size=40)
LOADS = (380.0, 410.0, 450.0, 395.0, 430.0, 470.0, 405.0, 440.0, 390.0)
PEAKS = (480.0, 510.0, 470.0, 505.0, 520.0, 500.0, 465.0, 490.0, 515.0)


@given(values=VALUES)
def test_the_range_of_the_mean_against_scipy(values: list[float]) -> None:
    found = sample(values)
    assert found.se is not None
    assert found.se == pytest.approx(stats.sem(values), rel=1e-9, abs=1e-12)
    assume(found.se > 1e-9)
    low, high = stats.t.interval(0.95, len(values) - 1, loc=np.mean(values), scale=stats.sem(values))
    assert found.mean_range == pytest.approx((low, high), rel=1e-8)


@given(values=VALUES)
def test_the_range_of_the_next_one_against_scipy(values: list[float]) -> None:
    found, n = sample(values), len(values)
    scale = float(np.std(values, ddof=1)) * math.sqrt(1 + 1 / n)
    assume(scale > 1e-9)
    expected = stats.t.interval(0.95, n - 1, loc=np.mean(values), scale=scale)
    assert found.next_range == pytest.approx(expected, rel=1e-8)
    assert found.mean_range is not None
    assert found.next_range is not None
    assert found.next_range[0] < found.mean_range[0] <= found.mean <= found.mean_range[1] < found.next_range[1]


@given(value=st.floats(1e-6, 1e6), n=st.integers(2, 50))
def test_without_scatter_there_is_no_range(value: float, n: int) -> None:
    found = sample([value] * n)
    assert (found.mean, found.sd, found.se) == (value, 0.0, 0.0)
    assert found.mean_range == found.next_range == (value, value)
    assert found.outlier is None


@given(values=VALUES, times=st.integers(2, 4))
def test_more_firings_of_the_same_scatter_narrow_the_mean(values: list[float], times: int) -> None:
    few, many = sample(values), sample(values * times)
    assert few.mean_range is not None
    assert many.mean_range is not None
    assume(few.sd is not None and few.sd > 1e-6)
    assert many.mean_range[1] - many.mean_range[0] < few.mean_range[1] - few.mean_range[0]
    assert many.mean == pytest.approx(few.mean)


def test_one_value_has_no_range_and_none_is_refused() -> None:
    found = sample([0.31])
    assert (found.n, found.mean, found.se, found.mean_range) == (1, 0.31, None, None)
    with pytest.raises(ValueError, match="nothing"):
        sample([])


def test_a_value_far_out_is_flagged_and_counted() -> None:
    values = [0.30, 0.31, 0.305, 0.30, 0.315, 0.308, 0.45]
    found = sample(values)
    assert found.outlier == 6
    assert found.mean == pytest.approx(sum(values) / 7)
    assert sample(values[:-1]).outlier is None
    assert len(values) == LEAST_FOR_OUTLIER
    assert sample([0.30, 0.30, 0.30, 0.30, 0.45]).outlier is None, "too few to say"


def test_a_slope_alone_against_scipy() -> None:
    """One circumstance: slope and range as linregress of scipy gives them."""
    y = [0.35, 0.345, 0.33, 0.352, 0.338, 0.327, 0.349, 0.333, 0.35]
    (found,) = trends("yield", y, {"load": LOADS})
    line = stats.linregress(LOADS, y)
    reach = stats.t.ppf(0.975, len(y) - 2) * line.stderr
    assert found.slope == pytest.approx(line.slope, rel=1e-9)
    assert (found.low, found.high) == pytest.approx((line.slope - reach, line.slope + reach), rel=1e-9)
    assert found.is_told
    assert found.n == 9


def test_two_slopes_of_a_plane() -> None:
    y = [0.5 - 3e-4 * load + 2e-4 * peak for load, peak in zip(LOADS, PEAKS, strict=True)]
    by_load, by_peak = trends("yield", y, {"load": LOADS, "peak": PEAKS})
    assert (by_load.slope, by_load.beside) == (pytest.approx(-3e-4), "peak")
    assert (by_peak.slope, by_peak.beside) == (pytest.approx(2e-4), "load")
    assert by_load.high - by_load.low < 1e-12


def test_what_the_firings_cannot_tell() -> None:
    y = [0.35, 0.345, 0.33, 0.352, 0.338]
    assert trends("yield", y, {"load": [400.0] * 5}) == (), "a load that never changes"
    assert trends("yield", y[: LEAST_ALONE - 1], {"load": LOADS[:4]}) == (), "too few"
    alike = trends("yield", y + y[:4], {"load": LOADS, "peak": [load + 90 for load in LOADS]})
    assert [trend.beside for trend in alike] == ["", ""], "load and temperature moved as one: each alone"
    gaps = trends("yield", y + y[:4], {"load": [*LOADS[:5], None, None, None, None]})
    assert [trend.n for trend in gaps] == [5]


def test_the_worth_of_knowing_a_coin_toss() -> None:
    """NPV triangular from -1 to 1 about 0: learning it gains E max(x, 0) = 1/6 (integral by hand)."""
    share = (np.arange(200) + 0.5) / 200

    def triangle(low: float, mode: float, high: float) -> np.ndarray:
        return stats.triang.ppf(share, (mode - low) / (high - low), loc=low, scale=high - low)

    assert worth_of_knowing(triangle(-1.0, 0.0, 1.0)) == pytest.approx(1 / 6, abs=1e-3)
    assert worth_of_knowing(triangle(1.0, 2.0, 3.0)) == 0.0, "it pays in any case"
    assert worth_of_knowing(triangle(-3.0, -2.0, -1.0)) == 0.0, "it never pays"


def test_a_slope_is_said_in_figures_and_in_the_right_number() -> None:
    """Rates of 1 unit are singular; a large one has no exponent."""
    data = with_data({"log": log({"bones_in": 1000, "hours": 5})}).tables["log"]
    hour = Trend("hours", "load", -0.01 / 0.45359237, -0.019 / 0.45359237, -0.0011 / 0.45359237, 13)
    assert trend_sentence(data, hour).startswith("Labour hours, a batch falls by 1 hour for 100 lb more")
    steep = Trend("hours", "load", 5.504 / 0.45359237, 4 / 0.45359237, 7 / 0.45359237, 13)
    assert "rises by 550 hours for" in trend_sentence(data, steep)
    assert "+400 to +700" in trend_sentence(data, steep)
