"""How many samples a mean needs, for a confidence and a precision wanted."""

from __future__ import annotations

import math
from statistics import NormalDist

from econ.measured.sample import two_sided

SMALL = 30
"""Below so many samples Student's t takes the place of the normal distribution."""
MOST = 10_000


def samples_needed(scatter: float, precision: float, confidence: float, population: int | None = None) -> int:
    """The least n whose mean lies within `precision` of the true one with `confidence`.

    scatter: standard deviation over mean; precision: half the interval over mean; both fractions above 0, as is
    confidence, below 1. `population` is the count of all lots, which n never exceeds.
    As `by_normal`; below 30, the least n with t s/√n within e.
    """
    n = by_normal(scatter, precision, confidence, population)
    if n < SMALL:
        n = max(n, 2)
        while n < MOST and two_sided(confidence, n - 1) * scatter * _rest(n, population) > precision * math.sqrt(
            n
        ):
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


def _rest(n: int, population: int | None) -> float:
    """What sampling without replacement leaves of the standard error; 1 where the population is large."""
    return 1.0 if population is None or population <= 1 else math.sqrt(max(population - n, 0) / (population - 1))
