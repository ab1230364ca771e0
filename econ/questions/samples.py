"""From a share between 0 and 1 to a value of an input: the inverse distributions, in numpy alone.

Low, value and high are the user's own. Triangular, PERT and uniform never leave low to high. A lognormal
has the value as its middle, and low to high holds about its middle 90 %; it may leave the range but not
the bounds of the row. Formulas: the usual ones of the distributions, from memory; the tests compare them
with scipy.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from econ.inputs.records import Entry
from econ.questions import normal

Numbers = NDArray[np.float64]
Inverse = Callable[[Numbers], Numbers]

SPAN_90 = 3.2897072539029444
"""Normal deviates between the 5th and the 95th percentile."""
CELLS = 4096
"""Cells of the PERT table; see `pert` for the error it leaves."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """An input that is drawn: its entry, the name of its shape, and its inverse distribution."""

    entry: Entry
    shape: str
    inverse: Inverse

    @property
    def key(self) -> str:
        """The key of the input."""
        return self.entry.row.key


def drawn(entry: Entry, shape: str) -> Drawn:
    """The input with the inverse distribution of `shape`, kept within the bounds of its row.

    `entry` must carry low and high. Where they are equal, or the shape is "fixed", every share gives the
    value itself.
    """
    assert entry.low is not None
    assert entry.high is not None
    value, low, high = entry.number, entry.low, entry.high
    if not low < high or shape == "fixed":
        return Drawn(entry, "fixed", lambda share: np.full_like(share, value))
    made = SHAPES[shape](low, value, high)
    lowest, highest = entry.row.lowest, entry.row.highest
    if entry.row.above_lowest:
        lowest = min(low, value)
    if entry.row.kind == "whole":
        return Drawn(entry, shape, lambda share: np.clip(np.rint(made(share)), lowest, highest))
    return Drawn(entry, shape, lambda share: np.clip(made(share), lowest, highest))


def uniform(low: float, value: float, high: float) -> Inverse:
    """Every number from low to high alike; the value plays no part."""
    return lambda share: low + share * (high - low)


def triangular(low: float, value: float, high: float) -> Inverse:
    """Most likely at the value, falling straight to nothing at low and at high (low < high)."""
    span, below, above = high - low, value - low, high - value
    turn = below / span

    def found(share: Numbers) -> Numbers:
        rising = low + np.sqrt(share * span * below)
        falling = high - np.sqrt((1 - share) * span * above)
        return np.where(share < turn, rising, falling)

    return found


def pert(low: float, value: float, high: float) -> Inverse:
    """A smooth hump: Beta(1 + 4 (value - low)/span, 1 + 4 (high - value)/span) stretched over the range.

    The distribution function is integrated once over CELLS cells of an angle whose sin² is the place in
    the range, which leaves both ends smooth, and is read backwards by straight pieces. Error of the
    inverse below 1e-6 of the range for shares of 1e-9 to 1 - 1e-9.
    """
    left = 4 * (value - low) / (high - low)
    right = 4 - left
    angle = np.linspace(0, np.pi / 2, CELLS + 1)
    half = (angle[1] - angle[0]) / 2
    gauss = half / np.sqrt(3.0)
    middle = angle[:-1] + half
    mass = _density(middle - gauss, left, right) + _density(middle + gauss, left, right)
    below = np.concatenate(([0.0], np.cumsum(mass)))
    below /= below[-1]

    def found(share: Numbers) -> Numbers:
        sine = np.sin(np.interp(share, below, angle))
        return low + (high - low) * sine * sine

    return found


def _density(angle: Numbers, left: float, right: float) -> Numbers:
    """Density of the angle, unscaled: x^left (1 - x)^right dx with x = sin² of the angle."""
    sine, cosine = np.sin(angle), np.cos(angle)
    return np.asarray(np.power(sine, 2 * left + 1) * np.power(cosine, 2 * right + 1))


def lognormal(low: float, value: float, high: float) -> Inverse:
    """The logarithm is normal: the value is the middle, high ÷ low spans the middle 90 % (0 < low < high)."""
    middle, sigma = np.log(value), np.log(high / low) / SPAN_90
    return lambda share: np.exp(middle + sigma * normal.inverse(share))


SHAPES: dict[str, Callable[[float, float, float], Inverse]] = {
    "triangular": triangular,
    "pert": pert,
    "uniform": uniform,
    "lognormal": lognormal,
}
"""The inverse distribution of each shape from low, value and high."""
