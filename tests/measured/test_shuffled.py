"""Shuffled labels, against an independent package and by hand."""

from __future__ import annotations

import importlib
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from econ.measured.exact import beds_needed, least_p, shuffled_p, shuffled_range

stats = importlib.import_module("scipy.stats")

SIDE = st.lists(st.integers(1, 40).map(float), min_size=1, max_size=5)


def difference(x: object, y: object, axis: int) -> object:
    return np.mean(x, axis=axis) - np.mean(y, axis=axis)


@settings(max_examples=40)
@given(ours=SIDE, theirs=SIDE)
def test_all_ways_against_scipy(ours: list[float], theirs: list[float]) -> None:
    """scipy doubles the smaller tail; equal numbers of beds make both countings one."""
    theirs = (theirs * 5)[: len(ours)]
    if len(ours) < 2:
        assert shuffled_p(ours, theirs) == 1.0
        return
    found = stats.permutation_test((ours, theirs), difference, vectorized=True, n_resamples=np.inf)
    assert shuffled_p(ours, theirs) == pytest.approx(found.pvalue, abs=1e-12)


def test_by_hand() -> None:
    """All four high on one side: 2 of the 70 ways to label eight beds. Three a side: 2 of 20."""
    assert shuffled_p([5, 6, 7, 8], [1, 2, 3, 4]) == pytest.approx(2 / 70)
    assert shuffled_p([4, 5, 6], [1, 2, 3]) == pytest.approx(2 / 20)
    assert least_p(4, 4) == pytest.approx(2 / 70)
    assert least_p(3, 3) == pytest.approx(0.1)
    assert least_p(2, 6) == pytest.approx(1 / 28)
    assert shuffled_p([3, 3], [3, 3]) == 1.0


def test_many_beds_are_drawn_by_a_fixed_seed() -> None:
    ours, theirs = [math.sin(k) + 0.5 for k in range(14)], [math.cos(k) for k in range(14)]
    found = shuffled_p(ours, theirs)
    assert found == shuffled_p(ours, theirs)
    rng = np.random.default_rng(1)
    other = stats.permutation_test((ours, theirs), difference, vectorized=True, n_resamples=20_000, rng=rng)
    assert found == pytest.approx(other.pvalue, abs=0.012)


def test_the_interval_holds_what_the_shuffle_allows() -> None:
    """Each end: taking a little less off leaves p above 5 %, a little more brings it to 5 % or below."""
    ours, theirs = [11.2, 9.8, 12.5, 10.9, 11.8], [10.4, 9.1, 11.6, 9.9, 9.5]
    found = shuffled_range(ours, theirs)
    assert found is not None
    for end, side in zip(found, (-1, 1), strict=True):
        assert shuffled_p([x - (end - side * 1e-6) for x in ours], theirs) > 0.05
        assert shuffled_p([x - (end + side * 1e-6) for x in ours], theirs) <= 0.05
    assert shuffled_range([4, 5, 6], [1, 2, 3]) is None, "three a side can never show anything"
    assert shuffled_range([2.0] * 4, [2.0] * 4) == (0.0, 0.0)


def power_of_t(n: int, ratio: float) -> float:
    """Power of the two-sided t test by the non-central t of scipy; ratio: difference over scatter."""
    degrees, shift = 2 * n - 2, ratio * math.sqrt(n / 2)
    edge = stats.t.ppf(0.975, degrees)
    return float(stats.nct.sf(edge, degrees, shift) + stats.nct.cdf(-edge, degrees, shift))


@pytest.mark.parametrize("ratio", [0.4, 0.6, 0.8, 1.0, 1.25, 1.5, 1.8])
def test_beds_needed_against_the_power_of_scipy(ratio: float) -> None:
    least = next(n for n in range(4, 500) if power_of_t(n, ratio) >= 0.8)
    found = beds_needed(1.0, ratio)
    assert found is not None
    assert abs(found - least) <= 1


def test_beds_at_the_edges() -> None:
    assert beds_needed(1.0, 0.0) is None
    assert beds_needed(1.0, 0.01) is None
    assert beds_needed(0.0, 1.0) == 4
    assert beds_needed(1.0, -1.0) == beds_needed(1.0, 1.0)


def test_nothing_on_one_side() -> None:
    with pytest.raises(ValueError, match="nothing"):
        shuffled_p([], [1.0])
