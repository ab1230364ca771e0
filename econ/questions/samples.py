"""From a share between 0 and 1 to a value of an input: the inverse distributions, in numpy alone.

Low and high mean the same in every shape: one time in ten the number lies below low (P10), one time in ten above
high (P90). So every shape is stretched until it says so; its ends are cut off at the bounds of the row. The value
is the most likely number of a triangle and of a PERT, the middle (P50) of a lognormal, and plays no part in a
uniform.

All of it is + - * /, square roots and the series of `latin.py`, so that the page repeats it bit for bit. Inverse
formulas: the usual ones, from memory; the tests compare them with scipy. A rank correlation s (Spearman) becomes
the correlation 2 sin(π s/6) of two normal deviates (exact for the normal copula; Pearson 1907, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from econ.fields import record
from econ.inputs.lanes import beside
from econ.inputs.ranges import Pair, pairs
from econ.inputs.records import Entry, Scenario
from econ.questions import latin

Numbers = NDArray[np.float64]
Inverse = Callable[[Numbers], Numbers]

BEYOND = 0.1
"""Share of the samples below low, and the share above high."""
DEVIATE = 1.2815515655446004
"""Normal deviate above which BEYOND lies."""
CELLS = 4096
"""Cells of the PERT table; see `_pert` for the error it leaves."""
HALVINGS = 60
"""Halvings that find the place of the peak of a triangle to the last digit."""
SLACK = 1e-9
"""A pivot above -SLACK counts as nought, so that a correlation of 1 is allowed."""


@record(frozen=True, slots=True)
class Drawn:
    """An input that is drawn: entry, shape, inverse distribution; inputs of one stream take the same place."""

    entry: Entry
    shape: str
    inverse: Inverse
    stream: str = ""

    @property
    def key(self) -> str:
        """The key of the input."""
        return self.entry.row.key


def drawn(entry: Entry, shape: str, stream: str = "") -> Drawn:
    """The input with the inverse distribution of `shape`, within its row's bounds; without width its value."""
    assert entry.low is not None
    assert entry.high is not None
    value, low, high = entry.number, entry.low, entry.high
    stream = stream or entry.row.key
    if not low < high or shape == "fixed":
        held = beside(value)
        return Drawn(entry, "fixed", lambda share: np.zeros_like(share) + held, stream)
    made, whole = _later(shape, low, value, high), entry.row.kind == "whole"
    lowest, highest = map(beside, bounds(entry))

    def inverse(share: Numbers) -> Numbers:
        found = made(share)
        return np.clip(np.rint(found) if whole else found, lowest, highest)

    return Drawn(entry, shape, inverse, stream)


def _later(shape: str, low: float, value: float, high: float) -> Inverse:
    """The inverse of a shape, made when it is first asked for; of many plants one row each."""
    ends = np.broadcast_arrays(*map(beside, (low, value, high)))
    if not ends[0].ndim:
        return lambda share: _made(shape, low, value, high)(share)
    plants = [tuple(row) for row in np.hstack(ends).tolist()]
    return lambda share: np.stack([_made(shape, *plant)(share) for plant in plants])


@lru_cache(maxsize=2_000)
def _made(shape: str, low: float, value: float, high: float) -> Inverse:
    return SHAPES[shape](low, value, high)


def bounds(entry: Entry) -> tuple[float, float]:
    """The row's bounds; of a row that must be above its lowest, a tenth of the way from there to low."""
    assert entry.low is not None
    row, lowest = entry.row, entry.row.lowest
    if row.above_lowest:
        lowest += (min(entry.low, entry.number) - lowest) * BEYOND
    return lowest, row.highest


def uniform(low: float, value: float, high: float) -> Inverse:
    """Every number alike, from an eighth of the range below low to an eighth above high."""
    beyond = (high - low) * BEYOND / (1 - 2 * BEYOND)
    return lambda share: low - beyond + share * (high - low + 2 * beyond)


@lru_cache(maxsize=1024)
def triangle_ends(low: float, value: float, high: float) -> tuple[float, float]:
    """Where the triangle with its peak at the value begins, ends [canonical unit]: low is its P10, high its P90.

    value - low = w (p - √(p/10)), high - value = w (q - √(q/10)), q = 1 - p: the ratio gives p, the sum w.
    """
    below, above = value - low, high - value
    least, most = BEYOND, 1 - BEYOND
    for _ in range(HALVINGS):
        p = (least + most) / 2
        q = 1 - p
        is_low = (p - math.sqrt(BEYOND * p)) * above < (q - math.sqrt(BEYOND * q)) * below
        least, most = (p, most) if is_low else (least, p)
    p = (least + most) / 2
    q = 1 - p
    width = (below + above) / (1 - math.sqrt(BEYOND * p) - math.sqrt(BEYOND * q))
    return value - p * width, value + q * width


def triangular(low: float, value: float, high: float) -> Inverse:
    """Most likely at the value, falling straight to zero at both ends."""
    start, end = triangle_ends(low, value, high)
    span, below, above = end - start, value - start, end - value
    turn = below / span

    sizes, ends = np.array([below, above]), np.array([start, end])

    def found(share: Numbers) -> Numbers:
        falling = share >= turn
        side = falling.view(np.uint8)
        apart = share - falling  # from the end that the straight line leads to, below nought from the upper
        root = np.abs(apart)
        root *= span
        root *= sizes.take(side, mode="wrap")
        np.copysign(np.sqrt(root, out=root), apart, out=root)
        root += ends.take(side, mode="wrap")
        return root

    return found


def pert(low: float, value: float, high: float) -> Inverse:
    """A Beta hump with its peak at the value, its place halved for until P10 and P90 stand as low and high do."""
    ends = np.array([BEYOND, 1 - BEYOND])
    least, most = 0.0, 1.0
    for _ in range(30):
        peak = (least + most) / 2
        p10, p90 = _pert(peak, CELLS // 8)(ends)
        is_low = (peak - p10) * (high - value) < (p90 - peak) * (value - low)
        least, most = (peak, most) if is_low else (least, peak)
    standard = _pert((least + most) / 2, CELLS)
    p10, p90 = standard(ends)
    scale = (high - low) / (p90 - p10)
    return lambda share: low + (standard(share) - p10) * scale


def _pert(peak: float, cells: int) -> Inverse:
    """Beta(1 + 4 peak, 5 - 4 peak) read backwards, by an angle whose sin² is the place; within 1e-6 with CELLS."""
    left, right = 4 * peak, 4 - 4 * peak
    angle, points = _angles(cells)
    first, second = (
        latin.exp((2 * left + 1) * sine) * latin.exp((2 * right + 1) * cosine) for sine, cosine in points
    )
    below = np.concatenate(([0.0], np.cumsum(first + second)))
    below /= below[-1]

    def found(share: Numbers) -> Numbers:
        sine = latin.sine(np.interp(share, below, angle))
        return np.asarray(sine * sine)

    return found


@cache
def _angles(cells: int) -> tuple[Numbers, tuple[tuple[Numbers, Numbers], ...]]:
    """Edges of the cells and log sine, log cosine at their Gauss points: x^left (1 - x)^right dx, x = sin²."""
    angle = np.linspace(0, np.pi / 2, cells + 1)
    half = (angle[1] - angle[0]) / 2
    gauss, middle = half / np.sqrt(3.0), angle[:-1] + half
    return angle, tuple(
        (latin.log(latin.sine(at)), latin.log(latin.sine(np.pi / 2 - at)))
        for at in (middle - gauss, middle + gauss)
    )


def lognormal(low: float, value: float, high: float) -> Inverse:
    """Normal logarithm on either side of the middle value, P10 and P90 at low and high (0 < low < high)."""
    middle, below, above = latin.log(np.array([value, value / low, high / value]))
    below, above = below / DEVIATE, above / DEVIATE

    def found(share: Numbers) -> Numbers:
        deviate = latin.inverse(share)
        return latin.exp(middle + np.where(deviate < 0, below, above) * deviate)

    return found


SHAPES: dict[str, Callable[[float, float, float], Inverse]] = {
    one.__name__: one for one in (triangular, pert, uniform, lognormal)
}
"""The inverse distribution of each shape from low, value and high."""


def percentiles(figures: Numbers, places: Sequence[float]) -> Numbers:
    """Percentiles of the last axis at places 0 to 100, on a first axis, in the unit of the figures, none missing.

    numpy's own to the last bit, which loads masked arrays of 8 ms and takes as long again.
    """
    ordered = np.sort(figures, axis=-1)
    at = (ordered.shape[-1] - 1) * (np.array(places, dtype=float) / 100)
    low = at.astype(int)
    below, above, part = ordered[..., low], ordered[..., np.minimum(low + 1, ordered.shape[-1] - 1)], at - low
    found = np.where(part < 0.5, below + (above - below) * part, above - (above - below) * (1 - part))
    return np.moveaxis(found, -1, 0)


def bound(scenario: Scenario, keys: Sequence[str]) -> list[Pair]:
    """The pairs of the scenario of which both inputs are drawn."""
    return [pair for pair in pairs(scenario.entries) if pair.first in keys and pair.second in keys]


def paired(found: Sequence[Pair]) -> list[str]:
    """Every input that belongs to a pair, in the order of first mention."""
    return list(dict.fromkeys(name for pair in found for name in (pair.first, pair.second)))


def normal_correlations(found: Sequence[Pair]) -> Numbers:
    """Correlations [-1..1] of the normal deviates, in the order of `paired`; pairs not given are 0."""
    order = {name: i for i, name in enumerate(paired(found))}
    matrix = np.eye(len(order))
    for pair in found:
        i, j = order[pair.first], order[pair.second]
        matrix[i, j] = matrix[j, i] = 2 * np.sin(np.pi * pair.correlation / 6)
    return matrix


def triangle(matrix: Numbers) -> Numbers | None:
    """Cholesky's lower triangle, or None; by hand, so that a correlation of 1 passes, alike on every machine."""
    size = len(matrix)
    lower = np.zeros_like(matrix)
    for j in range(size):
        pivot = matrix[j, j] - float(np.sum(lower[j, :j] ** 2))
        if pivot < -SLACK:
            return None
        lower[j, j] = np.sqrt(max(pivot, 0.0))
        for i in range(j + 1, size):
            rest = matrix[i, j] - float(np.sum(lower[i, :j] * lower[j, :j]))
            if pivot > SLACK:
                lower[i, j] = rest / lower[j, j]
            elif abs(rest) > 1e-6:
                return None
    return lower


def joined(shares: Mapping[str, Numbers], lower: Numbers, order: Sequence[str]) -> dict[str, Numbers]:
    """The shares [0..1] of the inputs in `order`, each of shape (n,), moved so that they go together."""
    deviates = [latin.inverse(shares[name]) for name in order]
    found = {order[0]: shares[order[0]]} if order else {}
    for i, name in enumerate(order[1:], start=1):
        moved = lower[i, 0] * deviates[0]
        for j in range(1, i + 1):
            moved = moved + lower[i, j] * deviates[j]
        found[name] = np.clip(latin.share_below(moved), 2.0**-53, 1 - 2.0**-53)
    return found
