"""One measured quantity: Student's t, mean, ranges, outlier, its trend, and how many samples a mean needs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from statistics import NormalDist
from typing import NamedTuple

import numpy as np

from econ.fields import record

MOST_DEGREES = 10_000
LEVEL = 0.95
"""Share that every range printed here is for."""
LEAST_FOR_OUTLIER = 7
"""Among six values and fewer the test points at sound ones too often."""
LEAST_ALONE, LEAST_TOGETHER = 5, 8
"""Fewest firings for one slope, and for two at once."""
TOO_ALIKE = 0.9
"""Load and temperature more correlated than this cannot be told apart."""
SMALL = 30
"""Below so many samples Student's t takes the place of the normal distribution."""
MOST = 10_000


def _share(theta: float, degrees: int) -> float:
    """Chance that t lies within ± sqrt(degrees) tan theta (Abramowitz and Stegun 26.7.3-4, from memory)."""
    sine, cosine = math.sin(theta), math.cos(theta)
    is_odd = degrees % 2 == 1
    term, total = (cosine if is_odd else 1.0), 0.0
    for k in range(1 if is_odd else 0, degrees - 1, 2):
        total += term
        term *= cosine * cosine * (k + 1) / (k + 2)
    return (theta + sine * total) * 2 / math.pi if is_odd else sine * total


@lru_cache(maxsize=1_024)
def two_sided(share: float, degrees: int) -> float:
    """The t [1] that a central `share` lies within (0.95, 6: 2.447); ValueError for a share outside 0 to 1."""
    if not 0.0 < share < 1.0 or not 1 <= degrees <= MOST_DEGREES:
        raise ValueError(f"no t for a share of {share} with {degrees} degrees of freedom")
    low, high = 0.0, math.pi / 2
    while low < (middle := (low + high) / 2) < high:
        low, high = (middle, high) if _share(middle, degrees) < share else (low, middle)
    return math.sqrt(degrees) * math.tan(high)


@record(frozen=True, slots=True)
class Sample:
    """Measurements of one quantity and what follows, in the unit of the values; sd by n - 1, None for one value.

    `lines`: numbers of the lines of the table; `outlier`: place of a value too far out, which still counts.
    """

    values: tuple[float, ...]
    lines: tuple[int, ...]
    mean: float
    sd: float | None
    se: float | None
    mean_range: tuple[float, float] | None
    next_range: tuple[float, float] | None
    outlier: int | None

    @property
    def n(self) -> int:
        """How many were measured."""
        return len(self.values)

    @property
    def outlier_line(self) -> int | None:
        """The line of the value too far out, counted from 1."""
        return None if self.outlier is None else self.lines[self.outlier] + 1


def sample(values: Sequence[float], lines: Sequence[int] = ()) -> Sample:
    """The sample of at least one value; raises ValueError for none.

    Mean ± t s/√n; next value: mean ± t s √(1 + 1/n); t for 95 %, n - 1. Independent and roughly normal.
    """
    n = len(values)
    if n == 0:
        raise ValueError("nothing was measured")
    # from the first value on, so that equal values give exactly themselves and no scatter
    mean = values[0] + math.fsum(value - values[0] for value in values) / n
    kept, at = tuple(values), tuple(lines) or tuple(range(n))
    if n == 1:
        return Sample(kept, at, mean, None, None, None, None, None)
    sd = math.sqrt(math.fsum((value - mean) ** 2 for value in values) / (n - 1))
    se, t = sd / math.sqrt(n), two_sided(LEVEL, n - 1)
    ahead = sd * math.sqrt(1 + 1 / n)
    far = max((abs(value - mean), -place) for place, value in enumerate(values))
    outlier = None
    if n >= LEAST_FOR_OUTLIER and sd > 0 and far[0] > grubbs_limit(n) * sd:
        outlier = -far[1]
    ranges = (mean - t * se, mean + t * se), (mean - t * ahead, mean + t * ahead)
    return Sample(kept, at, mean, sd, se, *ranges, outlier)


def grubbs_limit(n: int) -> float:
    """Standard deviations [1] within which the furthest of n >= 3 values lies: Grubbs, two-sided, one outlier."""
    if n < 3:
        raise ValueError("an outlier needs at least three values to stand out from")
    t = two_sided(1 - (1 - LEVEL) / n, n - 2)
    return (n - 1) / math.sqrt(n) * math.sqrt(t * t / (n - 2 + t * t))


class Trend(NamedTuple):
    """The slope over one circumstance and its 95 % range [unit per unit]; `beside`: another fitted with it."""

    of: str
    over: str
    slope: float
    low: float
    high: float
    n: int
    beside: str = ""

    @property
    def is_told(self) -> bool:
        """Whether the firings show a slope at all."""
        return self.low > 0 or self.high < 0


def trends(of: str, values: Sequence[float], over: Mapping[str, Sequence[float | None]]) -> tuple[Trend, ...]:
    """Slopes of `values`, least squares: both circumstances from 8 firings on if not too alike, each from 5 on."""
    alone = {name: rows for name in over if (rows := _rows(values, {name: over[name]})) is not None}
    rows = _rows(values, {name: over[name] for name in alone}) if len(alone) > 1 else None
    if rows is not None and len(rows) >= LEAST_TOGETHER:
        _, first, second = map(_centred, rows.T)
        alike = _sum(first, second) / math.sqrt(_sum(first, first) * _sum(second, second))
        if abs(alike) <= TOO_ALIKE:
            return tuple(_fit(of, list(alone), rows))
    return tuple(one for name, rows in alone.items() if len(rows) >= LEAST_ALONE for one in _fit(of, [name], rows))


def _rows(values: Sequence[float], over: Mapping[str, Sequence[float | None]]) -> np.ndarray | None:
    """Complete lines as columns value, circumstance ...; None where a circumstance does not change."""
    rows = np.array([line for line in zip(values, *over.values(), strict=True) if None not in line], dtype=float)
    if len(rows) < 2:
        return None
    spread = np.ptp(rows[:, 1:], axis=0)
    return rows if bool(np.all(spread > 1e-9 * np.abs(rows[:, 1:]).max(axis=0))) else None


def _centred(column: np.ndarray) -> list[float]:
    mean = math.fsum(column) / len(column)
    return [float(value) - mean for value in column]


def _sum(left: Sequence[float], right: Sequence[float]) -> float:
    """The sum of products, rounded once: a linear algebra library rounds as its processor likes."""
    return math.fsum(a * b for a, b in zip(left, right, strict=True))


def _fit(of: str, names: Sequence[str], rows: np.ndarray) -> Iterator[Trend]:
    y, *x = map(_centred, rows.T)
    sums, over_y = [[_sum(left, right) for right in x] for left in x], [_sum(column, y) for column in x]
    inverse = [[1 / sums[0][0]]]
    if len(x) > 1:
        (a, b), (c, d) = sums
        det = a * d - b * c
        inverse = [[d / det, -b / det], [-c / det, a / det]]
    slopes = [_sum(row, over_y) for row in inverse]
    left = [value - _sum(slopes, place) for value, place in zip(y, zip(*x, strict=True), strict=True)]
    degrees = len(rows) - len(names) - 1
    variance = _sum(left, left) / degrees
    for i, name in enumerate(names):
        reach = two_sided(LEVEL, degrees) * math.sqrt(variance * inverse[i][i])
        beside = ", ".join(other for other in names if other != name)
        yield Trend(of, name, slopes[i], slopes[i] - reach, slopes[i] + reach, len(rows), beside)


def samples_needed(scatter: float, precision: float, confidence: float, population: int | None = None) -> int:
    """The least n whose mean lies within `precision` of the true one with `confidence` (fractions, 0 to 1).

    scatter: sd over mean; `population`: all lots. As `by_normal`; below 30 the least n with t s/√n within e.
    """
    n = by_normal(scatter, precision, confidence, population)
    if n < SMALL:
        n = max(n, 2)
        drawn = math.inf if population is None or population <= 1 else population
        while n < MOST:  # without replacement the standard error shrinks with what is left
            rest = 1.0 if drawn == math.inf else math.sqrt(max(drawn - n, 0) / (drawn - 1))
            if two_sided(confidence, n - 1) * scatter * rest <= precision * math.sqrt(n):
                break
            n += 1
    return n if population is None else min(n, population)


def by_normal(scatter: float, precision: float, confidence: float, population: int | None = None) -> int:
    """The least n by the normal distribution: z² V N / ((N - 1) e² + z² V), V = scatter².

    Simple random sampling without replacement: Levy and Lemeshow, Sampling of Populations (1999), pp. 70-75, by an
    example of it in a public manual; the CDM guideline on sampling has the same formula (from memory).
    """
    spread = (NormalDist().inv_cdf(0.5 + confidence / 2) * scatter) ** 2
    if population is None:
        return math.ceil(spread / precision**2 - 1e-9)
    return math.ceil(spread * population / ((population - 1) * precision**2 + spread) - 1e-9)
