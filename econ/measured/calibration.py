"""How promised ranges stood up to what was measured, and the ranges to start the next year from."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from econ.measured.exact import at_most
from econ.measured.sample import Sample, two_sided

SHARE = 0.8
"""What P10 to P90 promise: eight of ten figures inside."""
DEVIATIONS = NormalDist().inv_cdf(0.5 + SHARE / 2)
UNLIKELY = 0.1
"""A count less likely than this, were the ranges right, speaks against them."""
LEAST = 4
"""From fewer figures nothing is told."""
LEAST_WEIGHED = 3
"""From fewer measurements the standard error is too rough to weigh them."""
CONFLICT = 2.0
"""Promise and sample further apart than so many deviations of both are not averaged."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A promised range [low = P10, high = P90] with its middle, and the figure found, all in one unit."""

    low: float
    middle: float
    high: float
    found: float

    @property
    def side(self) -> int:
        """0 inside the range, -1 below it, 1 above it."""
        return (self.found > self.high) - (self.found < self.low)


@dataclass(frozen=True, slots=True)
class Calibration:
    """How many of `n` figures fell inside, and how many lay above the middle of what was promised."""

    n: int
    inside: int
    above: int

    @property
    def verdict(self) -> str:
        """One of few, narrow, shifted, wide and sound.

        Narrow: so few inside have a probability below UNLIKELY at eight of ten; wide: so many. Shifted: so many
        on one side of the middle at one of two (both tails). Counts follow the binomial distribution where
        figures have no cause in common; figures of one plant have some, so this reads as rough.
        """
        if self.n < LEAST:
            return "few"
        if at_most(self.inside, self.n, SHARE) < UNLIKELY:
            return "narrow"
        if 2 * at_most(min(self.above, self.n - self.above), self.n, 0.5) < UNLIKELY:
            return "shifted"
        return "wide" if at_most(self.n - self.inside, self.n, 1 - SHARE) < UNLIKELY else "sound"


def calibration(found: Sequence[Kept]) -> Calibration:
    """The counts of figures held against their promised ranges."""
    return Calibration(
        len(found),
        len([one for one in found if one.side == 0]),
        len([one for one in found if one.found > one.middle]),
    )


def next_range(low: float, high: float, found: Sample) -> tuple[float, float, float, str]:
    """P10, middle and P90 to start from, and the rule: "bayes", "sample" or "stretched".

    Bayes: the promise as a normal distribution with these P10 and P90, the mean of the sample with its standard
    error; means weighed by one over their variance (conjugate normal, any textbook; from memory, tested against
    integration). Where the two contradict each other: the sample's own mean ± t s/√n for 80 %. From fewer than
    LEAST_WEIGHED, or without scatter, there is no error to weigh by: the promise is stretched to hold the mean.
    """
    centre, spread = (low + high) / 2, (high - low) / (2 * DEVIATIONS)
    if not found.se or not spread or found.n < LEAST_WEIGHED:
        return min(low, found.mean), found.mean, max(high, found.mean), "stretched"
    if abs(found.mean - centre) > CONFLICT * math.hypot(spread, found.se):
        half = two_sided(SHARE, found.n - 1) * found.se
        return found.mean - half, found.mean, found.mean + half, "sample"
    weight = spread**2 / (spread**2 + found.se**2)
    middle, half = centre + weight * (found.mean - centre), DEVIATIONS * math.sqrt(weight) * found.se
    return middle - half, middle, middle + half, "bayes"
