"""One measured quantity: mean, standard error, range of the mean, range of the next one, outlier."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from econ.measured.student import two_sided

LEVEL = 0.95
"""Share that every range printed here is for."""
LEAST_FOR_OUTLIER = 7
"""Among six values and fewer the test points at sound ones too often."""


@dataclass(frozen=True, slots=True)
class Sample:
    """Measurements of one quantity and what follows from them, all in the unit of the values.

    `lines` are the numbers of the lines of the table. The standard deviation divides by n - 1. Standard error and
    ranges are None for a single value. `outlier` is the place within `values` of a value too far out, or None;
    it stays in all figures.
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


def sample(values: Sequence[float], lines: Sequence[int] = ()) -> Sample:
    """The sample of at least one value; raises ValueError for none.

    Range of the mean: mean ± t s/√n; of the next single value: mean ± t s √(1 + 1/n); t for 95 % and n - 1
    degrees of freedom. Both take the values for independent and roughly normal.
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
    se = sd / math.sqrt(n)
    t = two_sided(LEVEL, n - 1)
    ahead = sd * math.sqrt(1 + 1 / n)
    return Sample(
        kept,
        at,
        mean,
        sd,
        se,
        (mean - t * se, mean + t * se),
        (mean - t * ahead, mean + t * ahead),
        _outlier(values, mean, sd),
    )


def grubbs_limit(n: int, level: float = LEVEL) -> float:
    """How many standard deviations the furthest of n values may lie from the mean; n at least 3.

    The two-sided test of Grubbs for a single outlier: (n - 1)/√n × √(t²/(n - 2 + t²)), t for n - 2 degrees
    of freedom and a tail of (1 - level)/(2n).
    """
    if n < 3:
        raise ValueError("an outlier needs at least three values to stand out from")
    t = two_sided(1 - (1 - level) / n, n - 2)
    return (n - 1) / math.sqrt(n) * math.sqrt(t * t / (n - 2 + t * t))


def _outlier(values: Sequence[float], mean: float, sd: float) -> int | None:
    if len(values) < LEAST_FOR_OUTLIER or sd <= 0:
        return None
    furthest = max(range(len(values)), key=lambda at: abs(values[at] - mean))
    return furthest if abs(values[furthest] - mean) > grubbs_limit(len(values)) * sd else None
