"""How many samples a mean needs, against printed examples and an independent package."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from econ.measured.sample_size import samples_needed


@pytest.mark.parametrize(
    ("scatter", "precision", "confidence", "population", "n"),
    [
        # CDM guideline on sampling and surveys, mean value, simple random sampling: 420,000 households, mean
        # 3.5 hours, standard deviation 2.5 hours, 90/10: V = 0.51, at least 138 (from memory)
        (2.5 / 3.5, 0.10, 0.90, 420_000, 138),
        # the same without the correction for a finite population: 1.645² × 0.51 / 0.1²
        (math.sqrt(0.51), 0.10, 0.90, None, 138),
    ],
)
def test_printed_examples(
    scatter: float, precision: float, confidence: float, population: int | None, n: int
) -> None:
    assert abs(samples_needed(scatter, precision, confidence, population) - n) <= 1


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
