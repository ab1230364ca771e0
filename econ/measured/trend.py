"""Whether a measured quantity moves with load or temperature, where the firings can tell."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from econ.measured.sample import LEVEL
from econ.measured.student import two_sided

LEAST_ALONE, LEAST_TOGETHER = 5, 8
"""Fewest firings for one slope, and for two at once."""
TOO_ALIKE = 0.9
"""Load and temperature more correlated than this cannot be told apart."""


@dataclass(frozen=True, slots=True)
class Trend:
    """The slope of a quantity over one circumstance, with its 95 % range [unit of the quantity per unit].

    `beside` names the circumstance fitted at the same time, if any. `is_told` says whether the range leaves
    out zero.
    """

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
    """Slopes of `values` over each circumstance, by least squares.

    Both circumstances at once from 8 firings on, if they are not too alike; each alone from 5 on. A
    circumstance that never changes has no slope.
    """
    names = [name for name in over if _rows(values, {name: over[name]}) is not None]
    both = {name: over[name] for name in names}
    rows = _rows(values, both) if len(names) > 1 else None
    if rows is not None and len(rows) >= LEAST_TOGETHER:
        first, second = _centred(rows[:, 1]), _centred(rows[:, 2])
        alike = _sum(first, second) / math.sqrt(_sum(first, first) * _sum(second, second))
        if abs(alike) <= TOO_ALIKE:
            return _fit(of, names, rows)
    found: list[Trend] = []
    for name in names:
        alone = _rows(values, {name: over[name]})
        if alone is not None and len(alone) >= LEAST_ALONE:
            found += _fit(of, [name], alone)
    return tuple(found)


def _rows(values: Sequence[float], over: Mapping[str, Sequence[float | None]]) -> np.ndarray | None:
    """Complete lines as columns value, circumstance ...; None where a circumstance does not change."""
    lines = [
        [value, *(float(x) for x in beside if x is not None)]
        for value, *beside in zip(values, *over.values(), strict=True)
        if all(x is not None for x in beside)
    ]
    if len(lines) < 2:
        return None
    rows = np.array(lines)
    spread = rows[:, 1:].max(axis=0) - rows[:, 1:].min(axis=0)
    return rows if bool(np.all(spread > 1e-9 * np.abs(rows[:, 1:]).max(axis=0))) else None


def _centred(column: np.ndarray) -> list[float]:
    values = [float(value) for value in column]
    mean = math.fsum(values) / len(values)
    return [value - mean for value in values]


def _sum(left: Sequence[float], right: Sequence[float]) -> float:
    """The sum of products, rounded once: a linear algebra library rounds as its processor likes."""
    return math.fsum(a * b for a, b in zip(left, right, strict=True))


def _inverse(x: Sequence[Sequence[float]]) -> list[list[float]]:
    """The inverse of the one or two rows of sums of products."""
    sums = [[_sum(left, right) for right in x] for left in x]
    if len(x) == 1:
        return [[1 / sums[0][0]]]
    (a, b), (c, d) = sums
    det = a * d - b * c
    return [[d / det, -b / det], [-c / det, a / det]]


def _fit(of: str, names: Sequence[str], rows: np.ndarray) -> tuple[Trend, ...]:
    y, *x = (_centred(column) for column in rows.T)
    inverse, over_y = _inverse(x), [_sum(column, y) for column in x]
    slopes = [_sum(row, over_y) for row in inverse]
    left = [value - _sum(slopes, place) for value, place in zip(y, zip(*x, strict=True), strict=True)]
    degrees = len(rows) - len(names) - 1
    variance = _sum(left, left) / degrees
    t = two_sided(LEVEL, degrees)
    found = []
    for i, name in enumerate(names):
        reach = t * math.sqrt(variance * inverse[i][i])
        beside = ", ".join(other for other in names if other != name)
        found.append(Trend(of, name, slopes[i], slopes[i] - reach, slopes[i] + reach, len(rows), beside))
    return tuple(found)
