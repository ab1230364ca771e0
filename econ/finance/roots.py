"""All rates above -100 % at which flows are worth nothing, found without guessing.

The net present value times (1 + r)**N is a polynomial in growth y = 1 + r. Its positive roots are separated
by those of a second polynomial with one sign change fewer (the step in the usual proof of Descartes' rule),
and so on down to one without any. So each root stands alone between two known points and is found there by
Newton steps that may never leave the bracket. No eigenvalues, no starting guess, no root lost or invented
beyond the rounding of the flows themselves.
"""

from __future__ import annotations

import numpy as np

from econ.finance.present_value import BoolArray, FloatArray, IntArray

NOISE = 1e-14
"""A flow below this share of the largest is rounding: it must not add a sign change."""
BALANCED = 1e-9
"""A root is believed if the flows there sum to less than this share of their absolute sum."""
MOST_STEPS = 100
"""Twenty have been enough for every row of the tests; a step that does not halve the last one is bisected."""
EPS = float(np.finfo(np.float64).eps)


def without_noise(flows: FloatArray) -> FloatArray:
    """Finite flows [currency] (years, cases) rid of rounding dust. House rule: `NOISE`."""
    size = np.abs(flows)
    return np.where(size <= NOISE * size.max(axis=0, initial=0.0), 0.0, flows)


def sign_changes(flows: FloatArray) -> IntArray:
    """How often [count] the flows of each case change sign, zeros passed over. Source: Descartes' rule."""
    return _turns(flows)[0]


def _turns(flows: FloatArray) -> tuple[IntArray, FloatArray]:
    """The sign changes of each case, and the middle between the terms of the first; nan where there is none."""
    count = np.zeros(flows.shape[1], dtype=np.int64)
    at, last, pivot = (np.full(flows.shape[1], start) for start in (0.0, 0.0, np.nan))
    for t, flow in enumerate(flows):
        sign = np.sign(flow)
        turns = sign * last < 0
        pivot = np.where(turns & (count == 0), (at + t) / 2, pivot)
        count += turns
        at, last = np.where(sign == 0, at, t), np.where(sign == 0, last, sign)
    return count, pivot


def single_rates(flows: FloatArray) -> FloatArray:
    """Find the one rate [1/a] of each case whose flows change sign once; nan: not reached. Source: see the top.

    flows: from `without_noise`. Root in z on (0, 1]: z = 1/y for rates of 0 and more, z = y below.
    """
    years = len(flows)
    first, last = _first_used(flows), years - 1 - _first_used(flows[::-1])
    total = np.zeros(flows.shape[1])
    for flow in flows:
        total = total + flow
    falls = np.sign(total) == np.sign(np.take_along_axis(flows, first[np.newaxis], axis=0)[0])
    order = np.arange(years)[:, np.newaxis]
    place = np.where(falls, last - order, first + order)
    coef = np.where(order <= last - first, np.take_along_axis(flows, np.clip(place, 0, years - 1), axis=0), 0.0)
    lead = np.abs(coef[0])
    low = lead / (2.0 * (lead + np.abs(coef).max(axis=0, initial=0.0)))  # half the bound of Cauchy
    root = _bracketed(coef, np.sign(coef[0]), low, np.ones_like(low))
    return np.where(np.abs(_balance(coef, root)) <= BALANCED, np.where(falls, root, 1.0 / root) - 1.0, np.nan)


def every_rate(flows: FloatArray) -> list[list[float]]:
    """All rates [1/a] of each case, ascending, each once; nan behind them: not all reached. Source: see the top.

    flows: from `without_noise`, no case all zero.
    """
    found: list[list[float]] = [[] for _ in flows.T]
    once = sign_changes(flows) == 1
    for case, rate in zip(np.flatnonzero(once), single_rates(flows[:, once]), strict=True):
        found[case] = [float(rate)]
    first, last = _first_used(flows), len(flows) - _first_used(flows[::-1])
    for start, end in sorted({*zip(first[~once].tolist(), last[~once].tolist(), strict=True)}):
        cases = np.flatnonzero(~once & (first == start) & (last == end))
        growths, lost = _growths(flows[start:end, cases])
        for case, rates, is_lost in zip(cases, (growths - 1.0).T, lost, strict=True):
            found[case] = [*rates[~np.isnan(rates)].tolist(), *([np.nan] if is_lost else [])]
    return found


def _first_used(flows: FloatArray) -> IntArray:
    return np.asarray((flows != 0).argmax(axis=0))


def _growths(coef: FloatArray) -> tuple[FloatArray, BoolArray]:
    """All y > 0 with the sum of coef[t] / y**t zero: (roots, cases) ascending, nan below; and cases not reached.

    First and last coef of every case are not zero. Cases do not touch each other: each as if it were alone.
    """
    pivot = _turns(coef)[1]
    some = np.flatnonzero(~np.isnan(pivot))
    if some.size == 0:
        return np.empty((0, len(pivot))), np.zeros(len(pivot), dtype=bool)
    # Times x**-pivot, then derived: the first sign change disappears, and the roots lie between these bends.
    coef = coef[:, some]
    derived = coef * (np.arange(len(coef))[:, np.newaxis] - pivot[some])
    bends, unknown = _growths(derived / np.abs(derived).max(axis=0))
    edges = _edges(coef, bends)
    found, missed = _between(coef, edges, np.array([_side(coef, edge) for edge in edges]))
    found[:, unknown] = np.nan  # without all bends no root is known to stand alone
    roots, lost = np.full((len(found), len(pivot)), np.nan), np.zeros(len(pivot), dtype=bool)
    roots[:, some], lost[some] = found, unknown | missed
    return roots, lost


def _edges(coef: FloatArray, bends: FloatArray) -> FloatArray:
    """Below all roots, the bends and 1 in order (a bend may be 1), above all roots; nan below the last of each."""
    inner = np.sort(np.vstack([bends, np.ones(coef.shape[1])]), axis=0)
    count = (~np.isnan(inner)).sum(axis=0)[np.newaxis]
    first, last, largest = np.abs(coef[0]), np.abs(coef[-1]), np.abs(coef).max(axis=0)
    low = np.minimum(last / (last + largest), inner[0]) / 2
    high = np.maximum((first + largest) / first, np.take_along_axis(inner, count - 1, axis=0)[0]) * 2
    edges = np.vstack([low, inner, np.full_like(low, np.nan)])
    np.put_along_axis(edges, count + 1, high[np.newaxis], axis=0)
    return edges


def _between(coef: FloatArray, edges: FloatArray, sides: FloatArray) -> tuple[FloatArray, BoolArray]:
    """Roots at the edges (side 0) and between edges on opposite sides; neighbouring zeros are one root.

    Ascending by case, nan below; and the cases of which one was not reached.
    """
    starts = (sides[:-1] == 0) & ~np.isnan(edges[1:])
    starts[1:] &= sides[:-2] != 0
    found = np.full((2 * len(starts), coef.shape[1]), np.nan)
    found[::2] = np.where(starts, edges[:-1], np.nan)
    at, case = np.nonzero(sides[:-1] * sides[1:] < 0)
    roots = _one_between(coef[:, case], edges[at, case], edges[at + 1, case], sides[at, case], sides[at + 1, case])
    found[2 * at + 1, case] = roots
    missed = np.zeros(coef.shape[1], dtype=bool)
    missed[case[np.isnan(roots)]] = True
    return np.sort(found, axis=0)[: (~np.isnan(found)).sum(axis=0).max(initial=0)], missed


def _one_between(
    coef: FloatArray, left: FloatArray, right: FloatArray, side: FloatArray, next_side: FloatArray
) -> FloatArray:
    """The only root y of each column between two edges, both at most 1 or both at least 1; nan: not reached."""
    below_one = right <= 1.0
    column, sign = np.where(below_one, coef[::-1], coef), np.where(below_one, side, next_side)
    low, high = np.where(below_one, left, 1.0 / right), np.where(below_one, right, 1.0 / left)
    root = _bracketed(column, sign, low, high)
    root = np.where(np.abs(_balance(column, root)) <= BALANCED, root, np.nan)
    return np.where(below_one, root, 1.0 / root)


def _side(coef: FloatArray, growth: FloatArray) -> FloatArray:
    """Sign of the worth at growth y, 0 where it is nothing within the rounding of the sum."""
    upward = growth >= 1.0
    balance = _balance(np.where(upward, coef, coef[::-1]), np.where(upward, 1.0 / growth, growth))
    return np.where(np.abs(balance) <= 4 * len(coef) * EPS, 0.0, np.sign(balance))


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
        target = np.where(value == 0.0, z, np.where(trusted, newton, np.sqrt(low) * np.sqrt(high)))
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
