"""Exact test, intervals and sample sizes of counts, against an independent package and printed examples."""

from __future__ import annotations

import importlib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from econ.measured.exact import (
    MOST_SUMMED,
    POWER,
    _seeds_by_formula,
    difference_range,
    exact_range,
    power,
    score_range,
    seeds_needed,
    two_sided_p,
)

stats = importlib.import_module("scipy.stats")

COUNTS = st.integers(1, 60).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@pytest.mark.parametrize(
    ("sprouted", "n", "p", "tolerance"),
    [
        pytest.param(17, 20, 0.23, 0.005, id="20 a side"),
        pytest.param(34, 40, 0.026, 0.0005, id="40 a side"),
        pytest.param(85, 100, 3e-5, 0.5e-5, id="100 a side"),
    ],
)
def test_the_claim_of_100_against_85_per_cent(sprouted: int, n: int, p: float, tolerance: float) -> None:
    """The claim is common practice, no source; the chances are those asked of this tool."""
    assert two_sided_p(n, n, sprouted, n) == pytest.approx(p, abs=tolerance)


def test_printed_examples() -> None:
    """Tea with milk first or last, 3 of 4 cups right: 34 in 70 two-sided (Fisher 1935, from memory).

    Whales and sharks in two oceans, 8 of 10 and 1 of 6: p 0.034965, the worked example printed in the manual of
    scipy's fisher_exact, read.
    """
    assert two_sided_p(3, 4, 1, 4) == pytest.approx(34 / 70)
    assert two_sided_p(8, 10, 1, 6) == pytest.approx(0.034965034965, abs=1e-12)


def test_ten_of_ten_against_nine_of_ten_by_hand() -> None:
    """Nineteen sprouted of twenty: either side is as likely to hold the one that did not, so p is 1."""
    assert two_sided_p(10, 10, 9, 10) == 1.0


@settings(max_examples=60)
@given(one=COUNTS, other=COUNTS)
def test_the_exact_test_against_scipy(one: tuple[int, int], other: tuple[int, int]) -> None:
    (a, n), (b, m) = one, other
    expected = stats.fisher_exact([[a, n - a], [b, m - b]]).pvalue
    assert two_sided_p(a, n, b, m) == pytest.approx(expected, rel=1e-8)
    assert two_sided_p(b, m, a, n) == pytest.approx(expected, rel=1e-8)


@settings(max_examples=60)
@given(one=COUNTS)
def test_intervals_of_a_share_against_scipy(one: tuple[int, int]) -> None:
    test = stats.binomtest(*one)
    for found, method in ((exact_range(*one), "exact"), (score_range(*one), "wilson")):
        expected = test.proportion_ci(0.95, method=method)
        assert found == pytest.approx((expected.low, expected.high), abs=1e-9), method


def test_intervals_by_hand() -> None:
    """All of n sprouted: the low end solves share**n = 0.025 (Clopper and Pearson), 0.6915 for ten."""
    assert exact_range(10, 10) == pytest.approx((0.025**0.1, 1.0))
    assert exact_range(0, 10) == pytest.approx((0.0, 1 - 0.025**0.1))


def test_the_interval_of_a_difference() -> None:
    """56 of 70 against 48 of 80: 0.0524 to 0.3339 (Newcombe 1998, Table II, method 10, from memory)."""
    assert difference_range(56, 70, 48, 80) == pytest.approx((0.0524, 0.3339), abs=0.00005)


@settings(max_examples=60)
@given(one=COUNTS, other=COUNTS)
def test_a_difference_lies_in_its_interval(one: tuple[int, int], other: tuple[int, int]) -> None:
    low, high = difference_range(*one, *other)
    assert -1 <= low <= one[0] / one[1] - other[0] / other[1] <= high <= 1


@pytest.mark.parametrize(("n", "p_1", "p_2"), [(8, 1.0, 0.5), (12, 0.9, 0.4), (15, 0.3, 0.85)])
def test_power_against_all_tables_of_scipy(n: int, p_1: float, p_2: float) -> None:
    expected = sum(
        stats.binom.pmf(a, n, p_1) * stats.binom.pmf(b, n, p_2)
        for a in range(n + 1)
        for b in range(n + 1)
        if stats.fisher_exact([[a, n - a], [b, n - b]]).pvalue < 0.05
    )
    assert power(n, p_1, p_2) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(("p_1", "p_2"), [(0.5, 0.99), (0.5, 0.9), (1.0, 0.6)])
def test_the_least_number_is_the_first_that_reaches_the_power(p_1: float, p_2: float) -> None:
    found = seeds_needed(p_1, p_2)
    assert found is not None
    reached = [n for n in range(2, found + 1) if power(n, p_1, p_2) >= POWER]
    assert reached == [found]
    assert seeds_needed(p_2, p_1) == found


def test_100_against_85_takes_52_a_side() -> None:
    """House arithmetic: 51 a side find it 79.7 % of the time, 52 a side 81.2 %."""
    assert seeds_needed(1.0, 0.85) == 52


def test_many_seeds_by_the_formula() -> None:
    """Beyond the sum the formula goes on, near to the exact size where both are known."""
    assert _seeds_by_formula(0.9, 0.75) == pytest.approx(seeds_needed(0.9, 0.75), rel=0.05)
    many = seeds_needed(0.85, 0.90)
    assert many is not None
    assert many > MOST_SUMMED
    assert seeds_needed(0.85, 0.86) is None
    assert seeds_needed(0.85, 0.85) is None


@pytest.mark.parametrize(("hits", "n"), [(-1, 5), (6, 5), (0, 0)])
def test_what_is_no_share(hits: int, n: int) -> None:
    with pytest.raises(ValueError, match="no share"):
        exact_range(hits, n)
