"""From ranges to samples: the shape of each input, inputs that move together, and chunks drawn over all of them.

Low, value and high are the user's own. Triangular, PERT and uniform never leave low to high. A lognormal
has the value as its middle, and low to high holds about its middle 90 %; it may leave the range but not
the bounds of the row. Formulas: the usual ones of the distributions, from memory; the tests compare them
with scipy.

A rank correlation s (Spearman) between two inputs becomes the correlation 2 sin(π s/6) of two normal
deviates (exact for the normal copula; Pearson 1907, from memory). Every input keeps its own distribution.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from econ.errors import InputFault, InputFaults
from econ.inputs.ranges import Pair, pairs, shapes
from econ.inputs.records import Entry, Scenario
from econ.questions import latin
from econ.questions.latin import Latin, Sampling, Sobol

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
    lowest, highest = bounds(entry)
    if entry.row.kind == "whole":
        return Drawn(entry, shape, lambda share: np.clip(np.rint(made(share)), lowest, highest))
    return Drawn(entry, shape, lambda share: np.clip(made(share), lowest, highest))


def bounds(entry: Entry) -> tuple[float, float]:
    """The bounds within which an input with a range is drawn: those of its row."""
    assert entry.low is not None
    lowest = min(entry.low, entry.number) if entry.row.above_lowest else entry.row.lowest
    return lowest, entry.row.highest


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
    return lambda share: np.exp(middle + sigma * latin.inverse(share))


SHAPES: dict[str, Callable[[float, float, float], Inverse]] = {
    "triangular": triangular,
    "pert": pert,
    "uniform": uniform,
    "lognormal": lognormal,
}
"""The inverse distribution of each shape from low, value and high."""


SLACK = 1e-9
"""A pivot above -SLACK counts as nought, so that a correlation of 1 is allowed."""


def bound(scenario: Scenario, keys: Sequence[str]) -> list[Pair]:
    """The pairs of the scenario of which both inputs are drawn."""
    return [pair for pair in pairs(scenario.entries) if pair.first in keys and pair.second in keys]


def paired(found: Sequence[Pair]) -> list[str]:
    """Every input that belongs to a pair, in the order of first mention."""
    return list(dict.fromkeys(name for pair in found for name in (pair.first, pair.second)))


def normal_correlations(found: Sequence[Pair]) -> Numbers:
    """The matrix of correlations of the normal deviates, in the order of `paired`; pairs not given are 0."""
    order = {name: i for i, name in enumerate(paired(found))}
    matrix = np.eye(len(order))
    for pair in found:
        i, j = order[pair.first], order[pair.second]
        matrix[i, j] = matrix[j, i] = 2 * np.sin(np.pi * pair.correlation / 6)
    return matrix


def triangle(matrix: Numbers) -> Numbers | None:
    """The lower triangle L with L Lᵀ = matrix, or None where no set of inputs can move so together.

    Written out rather than left to a library, so that a matrix on the edge (a correlation of 1) passes
    and every machine finds the same factors.
    """
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
    """The shares of the inputs in `order`, each of shape (n,), moved so that they go together."""
    deviates = [latin.inverse(shares[name]) for name in order]
    found = {order[0]: shares[order[0]]} if order else {}
    for i, name in enumerate(order[1:], start=1):
        moved = lower[i, 0] * deviates[0]
        for j in range(1, i + 1):
            moved = moved + lower[i, j] * deviates[j]
        found[name] = np.clip(latin.share_below(moved), 2.0**-53, 1 - 2.0**-53)
    return found


STREAMS: dict[str, type[Latin] | type[Sobol]] = {"latin": Latin, "sobol": Sobol}


def inputs_drawn(scenario: Scenario) -> list[Drawn]:
    """The inputs that are drawn, in sheet order; those held fixed are left out."""
    return [drawn(scenario[key], shape) for key, shape in shapes(scenario.entries).items() if shape != "fixed"]


def pair_faults(scenario: Scenario) -> list[InputFault]:
    """The fault of correlations that no inputs can have: their matrix is not positive semidefinite."""
    pairs = bound(scenario, [one.key for one in inputs_drawn(scenario)])
    if triangle(normal_correlations(pairs)) is not None:
        return []
    listed = "; ".join(f"{pair.first} with {pair.second} {pair.correlation:g}" for pair in pairs)
    return [
        InputFault(
            pairs[0].where,
            f"correlations that contradict each other: {listed}",
            "pairs that can hold at once (if a goes with b and b with c, a cannot go against c); make them "
            "smaller, or fill in the pair that is missing",
        )
    ]


def draws(
    scenario: Scenario, sampling: Sampling, inputs: list[Drawn]
) -> Iterator[tuple[int, int, dict[str, Numbers]]]:
    """Chunk by chunk: its first sample, the one after its last, and the values of every drawn input.

    Raises InputFaults where the inputs cannot move together as typed.
    """
    if faults := pair_faults(scenario):
        raise InputFaults(faults)
    names = [one.key for one in inputs]
    pairs: list[Pair] = bound(scenario, names)
    order = paired(pairs)
    lower = triangle(normal_correlations(pairs))
    assert lower is not None
    stream = STREAMS[sampling.stream](names, sampling.samples, sampling.seed)
    for start in range(0, sampling.samples, sampling.chunk):
        stop = min(start + sampling.chunk, sampling.samples)
        shares = dict(zip(names, stream.read(start, stop), strict=True))
        shares |= joined(shares, lower, order)
        yield start, stop, {one.key: one.inverse(shares[one.key]) for one in inputs}
