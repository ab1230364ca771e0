"""Student's t for whole degrees of freedom, by its finite series; no statistics package is needed."""

from __future__ import annotations

import math

MOST_DEGREES = 10_000


def central_share(t: float, degrees: int) -> float:
    """Probability that a t variable lies within -t and t.

    t: at least 0; degrees: 1 to 10 000. The finite trigonometric series in theta = atan(t / sqrt(degrees)),
    Abramowitz and Stegun (1964), Handbook of Mathematical Functions, 26.7.3 and 26.7.4 (from memory,
    tested against an independent package).
    """
    if not 1 <= degrees <= MOST_DEGREES or t < 0:
        raise ValueError(f"no t of {t} with {degrees} degrees of freedom")
    return _share(math.atan(t / math.sqrt(degrees)), degrees)


def _share(theta: float, degrees: int) -> float:
    sine, cosine = math.sin(theta), math.cos(theta)
    is_odd = degrees % 2 == 1
    term, total = (cosine if is_odd else 1.0), 0.0
    for k in range(1 if is_odd else 0, degrees - 1, 2):
        total += term
        term *= cosine * cosine * (k + 1) / (k + 2)
    return (theta + sine * total) * 2 / math.pi if is_odd else sine * total


def two_sided(share: float, degrees: int) -> float:
    """The t that a central `share` of the distribution lies within; 0.95 and 6 degrees give 2.447.

    share: above 0, below 1. Raises ValueError outside. Bisection in theta, which runs from 0 to pi/2, until
    its ends meet.
    """
    if not 0.0 < share < 1.0 or not 1 <= degrees <= MOST_DEGREES:
        raise ValueError(f"no t for a share of {share} with {degrees} degrees of freedom")
    low, high = 0.0, math.pi / 2
    while low < (middle := (low + high) / 2) < high:
        if _share(middle, degrees) < share:
            low = middle
        else:
            high = middle
    return math.sqrt(degrees) * math.tan(high)
