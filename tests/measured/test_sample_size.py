"""How many samples a mean needs, against printed examples and an independent package."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from econ.measured.sample import by_normal, samples_needed


@pytest.mark.parametrize(
    ("scatter", "precision", "confidence", "population", "n"),
    [
        # Levy and Lemeshow, Sampling of Populations (1999), pp. 70-75, as example 1 of epi.sssimpleestc in the
        # manual of the R package epiR (read 2026-11-25): 20 clinics, mean 75, deviation 15, within 20 %, 95 %: 4
        (15 / 75, 0.20, 0.95, 20, 4),
        # manual of the R package radiant, sample size, example 1 (read 2026-11-25): deviation 6.95 minutes, within
        # 1 minute, 95 %: 186 (the mean, here 1, only turns minutes into shares)
        (6.95, 1.0, 0.95, None, 186),
        # CDM guideline on sampling and surveys, mean value, simple random sampling: 420,000 households, mean
        # 3.5 hours, standard deviation 2.5 hours, 90/10: V = 0.51, at least 138 (from memory)
        (2.5 / 3.5, 0.10, 0.90, 420_000, 138),
    ],
)
def test_printed_examples(
    scatter: float, precision: float, confidence: float, population: int | None, n: int
) -> None:
    tolerance = 1 if n == 138 else 0
    assert abs(by_normal(scatter, precision, confidence, population) - n) <= tolerance
    assert samples_needed(scatter, precision, confidence, population) >= n


@given(st.floats(0.01, 0.6), st.floats(0.05, 0.3), st.sampled_from((0.8, 0.9, 0.95)))
def test_small_numbers_follow_student(scatter: float, precision: float, confidence: float) -> None:
    """scipy's t: the mean of n lies within the precision wanted, that of one less does not."""
    from scipy import stats

    def half(n: int) -> float:
        return float(stats.t.ppf(0.5 + confidence / 2, n - 1)) * scatter / math.sqrt(n)

    n = samples_needed(scatter, precision, confidence)
    normal = (float(stats.norm.ppf(0.5 + confidence / 2)) * scatter / precision) ** 2
    if n < 30:
        assert half(n) <= precision * (1 + 1e-9)
        assert n == 2 or half(n - 1) > precision * (1 - 1e-9)
    assert n >= normal - 1e-6


@given(st.floats(0.01, 1.0), st.integers(1, 300))
def test_never_more_than_there_are(scatter: float, population: int) -> None:
    assert samples_needed(scatter, 0.1, 0.9, population) <= population
