"""All rates above -100 % at which flows are worth nothing, found without guessing.

The net present value times (1 + r)**N is a polynomial in growth y = 1 + r. Its positive roots are separated
by those of a second polynomial with one sign change fewer (the step in the usual proof of Descartes' rule),
and so on down to one without any. So each root stands alone between two known points and is found there by
Newton steps that may never leave the bracket. No eigenvalues, no starting guess, no root lost or invented
beyond the rounding of the flows themselves.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from econ.finance.shapes import BoolArray, FloatArray, IntArray

NOISE = 1e-14
"""A flow below this share of the largest is rounding: it must not add a sign change."""
BALANCED = 1e-9
"""A root is believed if the flows there sum to less than this share of their absolute sum."""
MOST_STEPS = 100
"""Twenty have been enough for every row of the tests; a step that does not halve the last one is bisected."""
EPS = float(np.finfo(np.float64).eps)


def without_noise(flows: FloatArray) -> FloatArray:
    """Finite flows [currency] (years, cases) rid of rounding dust."""
    size = np.abs(flows)
    return np.where(size <= NOISE * size.max(axis=0, initial=0.0), 0.0, flows)


def sign_changes(flows: FloatArray) -> IntArray:
    """How often [count] the flows of each case change sign, zeros passed over (Descartes: no more roots)."""
    last = np.zeros(flows.shape[1])
    count = np.zeros(flows.shape[1], dtype=np.int64)
    for flow in flows:
        sign = np.sign(flow)
        count += sign * last < 0
        last = np.where(sign == 0, last, sign)
    return count


def single_rates(flows: FloatArray) -> FloatArray:
    """Find the one rate [1/year] of each case whose flows change sign once; nan where it was not reached.

    flows: from `without_noise`. Root in z on (0, 1]: z = 1/y for rates of 0 and more, z = y below.
    """
    years = len(flows)
    first = (flows != 0).argmax(axis=0)
    last = years - 1 - (flows[::-1] != 0).argmax(axis=0)
    total = np.zeros(flows.shape[1])
    for flow in flows:
        total = total + flow
    falls = np.sign(total) == np.sign(np.take_along_axis(flows, first[np.newaxis], axis=0)[0])
    order = np.arange(years)[:, np.newaxis]
    place = np.where(falls, last - order, first + order)
    coef = np.take_along_axis(flows, np.clip(place, 0, years - 1), axis=0)
    coef = np.where(order <= last - first, coef, 0.0)
    lead = np.abs(coef[0])
    low = lead / (2.0 * (lead + np.abs(coef).max(axis=0, initial=0.0)))  # half the bound of Cauchy
    root = _bracketed(coef, np.sign(coef[0]), low, np.ones_like(low))
    growth = np.where(falls, root, 1.0 / root)
    return np.where(np.abs(_balance(coef, root)) <= BALANCED, growth - 1.0, np.nan)


def every_rate(flows: FloatArray) -> list[float]:
    """Find all rates [1/year] of one case (years,), ascending, coinciding ones given once; nan: not reached.

    flows: from `without_noise`, not all zero.
    """
    if sign_changes(flows[:, np.newaxis])[0] == 1:
        return [float(single_rates(flows[:, np.newaxis])[0])]
    used = np.flatnonzero(flows)
    return [growth - 1.0 for growth in _growths(flows[used[0] : used[-1] + 1])]


def _growths(coef: FloatArray) -> list[float]:
    """All y > 0 with the sum of coef[t] / y**t equal to nothing, ascending; first and last coef not zero."""
    used = np.flatnonzero(coef)
    turns = np.flatnonzero(np.diff(np.sign(coef[used])))
    if turns.size == 0:
        return []
    # Times x**-pivot, then derived: the first sign change disappears, and the roots lie between these bends.
    pivot = (used[turns[0]] + used[turns[0] + 1]) / 2
    derived = coef * (np.arange(coef.size) - pivot)
    bends = _growths(derived / np.abs(derived).max())
    if any(np.isnan(bend) for bend in bends):
        return [float("nan")]  # without all bends no root is known to stand alone
    inner = sorted({*bends, 1.0})
    largest = np.abs(coef).max()
    low = min(abs(coef[-1]) / (abs(coef[-1]) + largest), inner[0]) / 2
    high = max((abs(coef[0]) + largest) / abs(coef[0]), inner[-1]) * 2
    edges = [low, *inner, high]
    return _between(coef, edges, [_side(coef, edge) for edge in edges])


def _between(coef: FloatArray, edges: list[float], sides: list[int]) -> list[float]:
    """Roots at the edges (side 0) and between edges on opposite sides; neighbouring zeros are one root."""
    found: list[float] = []
    at_root = False
    for (left, right), (side, next_side) in zip(pairwise(edges), pairwise(sides), strict=True):
        if side == 0 and not at_root:
            found.append(left)
        at_root = side == 0
        if side * next_side < 0:
            found.append(_one_between(coef, left, right, side, next_side))
    return found


def _one_between(coef: FloatArray, left: float, right: float, side: int, next_side: int) -> float:
    """Find the only root y between two edges, both at most 1 or both at least 1."""
    below_one = right <= 1.0
    column = (coef[::-1] if below_one else coef)[:, np.newaxis]
    low, high, sign = (left, right, side) if below_one else (1.0 / right, 1.0 / left, next_side)
    root = _bracketed(column, np.array([float(sign)]), np.array([low]), np.array([high]))
    if not abs(_balance(column, root)[0]) <= BALANCED:
        return float("nan")
    return float(root[0] if below_one else 1.0 / root[0])


def _side(coef: FloatArray, growth: float) -> int:
    """Sign of the worth at growth y, 0 where it is nothing within the rounding of the sum."""
    upward = growth >= 1.0
    column = (coef if upward else coef[::-1])[:, np.newaxis]
    balance = _balance(column, np.array([1.0 / growth if upward else growth]))[0]
    return 0 if abs(balance) <= 4 * coef.size * EPS else int(np.sign(balance))


def _balance(coef: FloatArray, z: FloatArray) -> FloatArray:
    """Sum of coef[k] z**k over the sum of its absolute terms, one a column: from -1 to 1, 0 at a root."""
    value, gross = np.zeros_like(z), np.zeros_like(z)
    for term in coef[::-1]:
        value, gross = value * z + term, gross * z + np.abs(term)
    return value / gross


def _bracketed(coef: FloatArray, low_sign: FloatArray, low: FloatArray, high: FloatArray) -> FloatArray:
    """Find the root z of the sum of coef[k] z**k in [low, high], column by column; nan where not reached.

    Every column is tested for convergence by itself and taken out once it has converged.
    """
    root = np.full(low.shape, np.nan)
    column, z, reach = np.arange(low.size), high, np.full(low.shape, np.inf)
    for _ in range(MOST_STEPS):
        if column.size == 0:
            break
        value, newton = _newton(coef, z)
        left = np.sign(value) == low_sign
        low, high = np.where(left, z, low), np.where(left, high, z)
        trusted: BoolArray = (newton >= low) & (newton <= high) & (np.abs(newton - z) <= reach / 2)
        target = np.where(trusted, newton, np.sqrt(low) * np.sqrt(high))
        target = np.where(value == 0.0, z, target)
        reach = np.abs(target - z)
        done = reach <= 2 * EPS * z
        root[column[done]] = target[done]
        more = ~done
        column, z, reach = column[more], target[more], reach[more]
        coef, low_sign, low, high = coef[:, more], low_sign[more], low[more], high[more]
    return root


def _newton(coef: FloatArray, z: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Value of the polynomial at z, and where its tangent meets zero."""
    value, slope = np.zeros_like(z), np.zeros_like(z)
    for term in coef[::-1]:
        slope = slope * z + value
        value = value * z + term
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        return value, z - value / slope
