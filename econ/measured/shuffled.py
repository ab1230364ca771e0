"""Times and yields of few beds: the labels are shuffled over the beds, so that no curve is assumed.

If char makes no difference, any bed could as well have carried the other label. The share of all ways to
label the beds that give a difference of means at least as large as the one seen is the chance p.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

import numpy as np
import numpy.typing as npt

from econ.measured.exact import ALPHA, Z_80, Z_95

MOST_WAYS = 20_000
"""All ways are counted up to so many; beyond, so many are drawn."""
SEED = 20260401
NEAR = 1e-9
MOST_BEDS = 1000

Floats = npt.NDArray[np.float64]


def _labels(n_with: int, n: int) -> tuple[npt.NDArray[np.bool_], bool]:
    """Rows of labels, True for beds with char, and whether they are all the ways there are."""
    ways = math.comb(n, n_with)
    if ways <= MOST_WAYS:
        found = np.zeros((ways, n), dtype=bool)
        for row, chosen in enumerate(combinations(range(n), n_with)):
            found[row, list(chosen)] = True
        return found, True
    rng = np.random.default_rng(SEED)
    order = np.argsort(rng.random((MOST_WAYS, n)), axis=1)
    return order < n_with, False


def shuffled_p(with_char: Sequence[float], without: Sequence[float]) -> float:
    """Chance of a difference of means at least this large, either way, if labels mean nothing.

    Exact up to MOST_WAYS ways to label the beds; else from as many draws by a fixed seed, the labels as
    they were counted among them. Each side needs a value; ValueError otherwise.
    """
    if not with_char or not without:
        raise ValueError("a comparison with nothing on one side")
    labels, is_all = _labels(len(with_char), len(with_char) + len(without))
    return _p(np.array([*with_char, *without], dtype=float), len(with_char), labels, is_all)


def _p(values: Floats, n_with: int, labels: npt.NDArray[np.bool_], is_all: bool) -> float:
    values = values - values.mean()
    sums = labels @ values
    seen = abs(values[:n_with].sum())
    scale = float(np.abs(values).sum())
    hits = int(np.count_nonzero(np.abs(sums) >= seen - NEAR * scale))
    return hits / len(sums) if is_all else (hits + 1) / (len(sums) + 1)


def shuffled_range(with_char: Sequence[float], without: Sequence[float]) -> tuple[float, float] | None:
    """The differences of means (with less without) that the shuffle does not rule out at 95 %.

    The ends are where taking that difference off the beds with char brings p to 5 %. None where no labelling
    of so few beds can bring p that low.
    """
    n_with, n = len(with_char), len(with_char) + len(without)
    labels, is_all = _labels(n_with, n)
    values = np.array([*with_char, *without], dtype=float)
    if least_p(n_with, len(without)) > ALPHA:
        return None
    seen = float(values[:n_with].mean() - values[n_with:].mean())
    reach = float(np.ptp(values)) * 2
    if reach == 0:
        return seen, seen

    def still_possible(gap: float) -> bool:
        shifted = values.copy()
        shifted[:n_with] -= gap
        return _p(shifted, n_with, labels, is_all) > ALPHA

    ends = []
    for side in (-1, 1):
        inside, outside = seen, seen + side * reach
        for _ in range(40):
            middle = (inside + outside) / 2
            inside, outside = (middle, outside) if still_possible(middle) else (inside, middle)
        ends.append(inside)
    return ends[0], ends[1]


def least_p(n_with: int, n_without: int) -> float:
    """The smallest chance p that so many beds can give: 1 in the ways to label them, 2 where sides are equal."""
    return min(1.0, (2 if n_with == n_without else 1) / math.comb(n_with + n_without, n_with))


def beds_needed(scatter: float, gap: float) -> int | None:
    """Beds a side that show a difference of means `gap` four times in five where beds scatter by `scatter`.

    scatter: standard deviation of beds alike [unit of gap]. Twice the squared ratio times the normal points,
    and a quarter of a point squared for few beds (Guenther 1981, from memory); at least 4, since fewer can
    never give p below 5 %. None beyond MOST_BEDS or for no difference.
    """
    if gap == 0 or scatter < 0:
        return None
    n = 2 * ((Z_95 + Z_80) * scatter / gap) ** 2 + Z_95**2 / 4
    return None if n > MOST_BEDS else max(4, math.ceil(n - NEAR))
