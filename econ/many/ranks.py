"""Rank correlation (Spearman): how far two columns rise together, whatever the shape of the rise."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Numbers = NDArray[np.float64]


def mid_ranks(values: Numbers) -> Numbers:
    """Ranks from 1 of shape (n,); equal values share the middle of their ranks."""
    _, inverse, counts = np.unique(values, return_inverse=True, return_counts=True)
    return np.asarray((np.cumsum(counts) - (counts - 1) / 2)[inverse], dtype=np.float64)


def rank_correlation(first: ArrayLike, second: ArrayLike) -> float:
    """Correlation of the ranks, -1 to 1; nan where either column does not vary.

    Both of shape (n,) without nan. Spearman's coefficient with ties: Pearson's of the middle ranks (common
    practice, checked against scipy in the tests).
    """
    one, other = (mid_ranks(np.asarray(column, dtype=np.float64)) for column in (first, second))
    one, other = one - one.mean(), other - other.mean()
    size = float(np.sqrt(np.sum(one * one) * np.sum(other * other)))
    return float(np.sum(one * other)) / size if size > 0 else float("nan")
