"""Exponential, logarithm and sine in + - * / and powers of two alone.

Libraries round the last bit in ways of their own; these give every machine, and the page's own language, the
same samples. Series of Taylor and, for the logarithm, of 2 artanh((x - 1)/(x + 1)); reduction by Cody and Waite's
two parts of log 2.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]

LN2_HIGH, LN2_LOW = 6.93147180369123816490e-1, 1.90821492927058770002e-10
"""The logarithm of 2 in two parts; the last 20 bits of the first are zero, so its multiples are exact."""
_EXP = tuple(1.0 / math.factorial(n) for n in range(14, -1, -1))
_LOG = tuple(2.0 / n for n in range(23, 0, -2))
_SINE = tuple((-1.0) ** (n // 2) / math.factorial(n) for n in range(27, 0, -2))


def horner(coefficients: tuple[float, ...], x: Numbers) -> Numbers:
    """The polynomial [1] of these coefficients, highest power first, at x of shape (n,)."""
    found = np.full_like(x, coefficients[0])
    for coefficient in coefficients[1:]:
        found = found * x + coefficient
    return found


def exp(x: Numbers) -> Numbers:
    """The exponential [1] of numbers up to 700, shape (n,), relative error below 1e-15; below -745 it is 0."""
    x = np.maximum(x, -746.0)
    twos = np.rint(x / (LN2_HIGH + LN2_LOW))
    rest = x - twos * LN2_HIGH - twos * LN2_LOW
    return np.asarray(np.ldexp(horner(_EXP, rest), twos.astype(int)))


def log(x: Numbers) -> Numbers:
    """The natural logarithm [1] of numbers from 0, shape (n,), relative error below 1e-15; -inf for 0."""
    part, twos = np.frexp(x)
    is_low = part < 0.7
    part, twos = np.where(is_low, part * 2, part), twos - is_low
    s = (part - 1) / (part + 1)
    found = twos * LN2_HIGH + (s * horner(_LOG, s * s) + twos * LN2_LOW)
    return np.where(x > 0, found, -np.inf)


def sine(x: Numbers) -> Numbers:
    """The sine [1] of angles 0 to π/2 [rad], shape (n,), error below 1e-15."""
    return x * horner(_SINE, x * x)
