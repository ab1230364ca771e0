"""Inputs that move together: rank correlations between pairs, carried by normal deviates.

A rank correlation s (Spearman) between two inputs becomes the correlation 2 sin(π s/6) of two normal
deviates (exact for the normal copula; Pearson 1907, from memory). Every input keeps its own distribution.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from econ.inputs.ranges import Pair, pairs
from econ.inputs.records import Scenario
from econ.questions import normal

Numbers = NDArray[np.float64]

SLACK = 1e-9
"""A pivot above -SLACK counts as nought, so that a correlation of 1 is allowed."""


def bound(scenario: Scenario, keys: Sequence[str]) -> list[Pair]:
    """The pairs of the scenario of which both inputs are drawn."""
    return [pair for pair in pairs(scenario.entries) if pair.first in keys and pair.second in keys]


def names(found: Sequence[Pair]) -> list[str]:
    """Every input that belongs to a pair, in the order of first mention."""
    return list(dict.fromkeys(name for pair in found for name in (pair.first, pair.second)))


def normal_correlations(found: Sequence[Pair]) -> Numbers:
    """The matrix of correlations of the normal deviates, in the order of `names`; pairs not given are 0."""
    order = {name: i for i, name in enumerate(names(found))}
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
    deviates = [normal.inverse(shares[name]) for name in order]
    found = {order[0]: shares[order[0]]} if order else {}
    for i, name in enumerate(order[1:], start=1):
        moved = lower[i, 0] * deviates[0]
        for j in range(1, i + 1):
            moved = moved + lower[i, j] * deviates[j]
        found[name] = np.clip(normal.share_below(moved), 2.0**-53, 1 - 2.0**-53)
    return found
