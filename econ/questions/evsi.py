"""What a number of weighed trial firings is worth: the expected value of the information in a sample.

For every sample of the inputs the mean of so many firings is made up: what the kiln would truly do, plus the
scatter of firings divided by the root of their number. The choice that follows such means is then valued as
in `knowing`. The same scatter serves every number of firings, so that their worths differ by the number alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from econ.questions import normal
from econ.questions.evppi import Worth, of_learning
from econ.questions.latin import Latin

Numbers = NDArray[np.float64]

COUNTS = (1, 2, 3, 5, 10, 20, 50)
LISTED = 10
"""The number of firings that the list of evidence speaks of."""


@dataclass(frozen=True, slots=True)
class Count:
    """So many firings: the worth of their means, and their price together (None: not known)."""

    firings: int
    worth: Worth
    price: float | None

    @property
    def net(self) -> float:
        """Worth less price, an unknown price counted as nothing [currency]."""
        return self.worth.gain - (self.price or 0.0)


def by_count(
    values: Numbers,
    true: Mapping[str, Numbers],
    spreads: Mapping[str, float],
    price: float | None,
    seed: int,
    counts: Sequence[int] = COUNTS,
) -> tuple[Count, ...]:
    """The worth of each number of firings.

    values: shape (options, samples); true: by name what a firing shows on average, each of shape (samples,);
    spreads: by the same names the standard deviation from firing to firing, in the unit of `true`, at least
    0; price: of one firing.
    """
    samples = values.shape[1]
    scatter = dict(zip(true, _scatter(list(true), samples, seed), strict=True))

    def means(firings: int) -> list[Numbers]:
        root = float(np.sqrt(firings))
        return [true[name] + spreads[name] / root * scatter[name] for name in true]

    return tuple(Count(n, of_learning(values, means(n)), None if price is None else n * price) for n in counts)


def _scatter(names: Sequence[str], samples: int, seed: int) -> list[Numbers]:
    """Standard normal deviates for each name, apart from the samples of the inputs."""
    stream = Latin([f"scatter of {name}" for name in names], samples, seed)
    return [normal.inverse(share) for share in stream.read(0, samples)]


def best(counts: Sequence[Count]) -> Count:
    """The number of firings that brings most after its price; the smallest where they are equal.

    Where no price is known more firings always seem better: the number listed is returned.
    """
    if all(one.price is None for one in counts):
        return next(one for one in counts if one.firings == LISTED)
    return max(counts, key=lambda one: (one.net, -one.firings))
