"""Counts and times of few beds without a statistics package: exact tests, and labels shuffled over the beds.

Everything is summed from factorials: hypergeometric terms for the test, binomial terms for intervals and
power. Tested against an independent package.

If char makes no difference, any bed could as well have carried the other label. The share of all ways to
label the beds that give a difference of means at least as large as the one seen is the chance p.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import cache, lru_cache
from itertools import combinations
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

LEVEL = 0.95
ALPHA = 1 - LEVEL
POWER = 0.80
"""How often a trial of the least size finds a difference that is there."""
MOST_SEEDS = 1000
"""More seeds a side than this are not searched for."""
MOST_SUMMED = 160
"""Up to so many seeds a side every outcome is summed."""
TIE = 1 + 1e-7
"""Tables as unlikely as the one seen count as seen, whatever the last digits of a sum say."""
Z_95, Z_80 = NormalDist().inv_cdf(1 - ALPHA / 2), NormalDist().inv_cdf(POWER)
"""The points of the normal curve for 95 % two-sided and 80 % one-sided."""

Floats = npt.NDArray[np.float64]
MOST_WAYS = 20_000
"""All ways are counted up to so many; beyond, so many are drawn."""
SEED = 20260401
NEAR = 1e-9
MOST_BEDS = 1000


def two_sided_p(hits_1: int, n_1: int, hits_2: int, n_2: int) -> float:
    """Fisher's exact test, two-sided by small probabilities [0..1] (from memory); ValueError for no such share."""
    _check((hits_1, n_1), (hits_2, n_2))
    chances = _tables(n_1, n_2, hits_1 + hits_2)
    seen = chances[hits_1 - max(0, hits_1 + hits_2 - n_2)]
    return min(1.0, float(chances[chances <= seen * TIE].sum()))


def _check(*sides: tuple[int, int]) -> None:
    for hits, n in sides:
        if n < 1 or not 0 <= hits <= n:
            raise ValueError(f"no share of {hits} in {n}")


@cache
def _log_choose(n: int) -> Floats:
    """Logarithms of n over 0, 1, ... n."""
    logs = np.concatenate(([0.0], np.cumsum(np.log(np.arange(1, n + 1)))))
    return np.asarray(logs[n] - logs - logs[::-1])


def _tables(n_1: int, n_2: int, hits: int) -> Floats:
    """Chances of each number of hits on the first side where both sides have `hits` together."""
    first = np.arange(max(0, hits - n_2), min(hits, n_1) + 1)
    logs = _log_choose(n_1)[first] + _log_choose(n_2)[hits - first] - _log_choose(n_1 + n_2)[hits]
    return np.asarray(np.exp(logs))


def exact_range(hits: int, n: int) -> tuple[float, float]:
    """The exact 95 % interval of a share [0..1], by binomial tails (Clopper and Pearson 1934, from memory)."""
    _check((hits, n))

    def solved(rising: Callable[[float], float]) -> float:
        low, high = 0.0, 1.0
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (low, middle) if rising(middle) > 0 else (middle, high)
        return (low + high) / 2

    low = 0.0 if hits == 0 else solved(lambda share: 1 - at_most(hits - 1, n, share) - ALPHA / 2)
    return low, 1.0 if hits == n else solved(lambda share: ALPHA / 2 - at_most(hits, n, share))


def _binomial(n: int, share: float) -> Floats:
    """Chances of 0, 1, ... n hits."""
    if share in (0.0, 1.0):
        return np.asarray(np.eye(1, n + 1, k=n if share else 0)[0])
    hits = np.arange(n + 1)
    return np.asarray(np.exp(_log_choose(n) + hits * math.log(share) + (n - hits) * math.log1p(-share)))


def at_most(hits: int, n: int, share: float) -> float:
    """Probability [0..1] of at most so many hits among n at a share of each, by the binomial distribution."""
    return float(_binomial(n, share)[: hits + 1].sum())


def score_range(hits: int, n: int) -> tuple[float, float]:
    """The 95 % score interval of a share [0..1] (Wilson 1927, from memory)."""
    _check((hits, n))
    share, z2 = hits / n, Z_95**2
    middle = (share + z2 / (2 * n)) / (1 + z2 / n)
    reach = Z_95 / (1 + z2 / n) * math.sqrt(share * (1 - share) / n + z2 / (4 * n * n))
    return max(0.0, middle - reach), min(1.0, middle + reach)


def difference_range(hits_1: int, n_1: int, hits_2: int, n_2: int) -> tuple[float, float]:
    """The 95 % interval of share 1 less share 2 [-1..1] (Newcombe 1998, method 10, from memory)."""
    (low_1, high_1), (low_2, high_2) = score_range(hits_1, n_1), score_range(hits_2, n_2)
    p_1, p_2 = hits_1 / n_1, hits_2 / n_2
    down, up = math.hypot(p_1 - low_1, high_2 - p_2), math.hypot(high_1 - p_1, p_2 - low_2)
    return max(-1.0, p_1 - p_2 - down), min(1.0, p_1 - p_2 + up)


def holm(chances: Sequence[float]) -> list[float]:
    """The chances p of several comparisons, adjusted to err as one: Holm 1979, Scand. J. Stat. 6:65-70."""
    found, least = [0.0] * len(chances), 0.0
    for step, at in enumerate(sorted(range(len(chances)), key=chances.__getitem__)):
        least = found[at] = max(least, min(1.0, (len(chances) - step) * chances[at]))
    return found


def power(n: int, share_1: float, share_2: float, alpha: float = ALPHA) -> float:
    """How often [0..1] `n` seeds a side give p below `alpha` if the true shares are these; over all outcomes."""
    weights = np.outer(_binomial(n, share_1), _binomial(n, share_2))
    return float(weights[_rejects(n, alpha)].sum())


@lru_cache(maxsize=256)
def _rejects(n: int, alpha: float) -> npt.NDArray[np.bool_]:
    """Which pairs of counts (0 to n on each side) the exact test calls different."""
    found = np.zeros((n + 1, n + 1), dtype=bool)
    hits, first = np.ogrid[: n + 1, : n // 2 + 1]  # of the first side no more than half are looked at
    logs = _log_choose(n)[first] + _log_choose(n)[np.maximum(hits - first, 0)] - _log_choose(2 * n)[hits]
    # sides of equal size: each table is as likely as its mirror, the less so the farther out
    p = 2 * np.cumsum(np.exp(logs), axis=1)
    hits, first = np.nonzero((2 * first < hits) & (p < alpha))
    second = hits - first
    for one, other in ((first, second), (second, first)):
        found[one, other] = found[n - one, n - other] = True  # hits and misses changed over
    return found


@lru_cache(maxsize=256)
def seeds_to_show(base: float, asked: float, alpha: float = ALPHA) -> int | None:
    """Seeds a side that show the difference asked [0..1]: upward where there is room, else downward."""
    other = base + asked if base + asked <= 1 + 1e-9 else base - asked
    return seeds_needed(base, min(max(other, 0.0), 1.0), alpha)


def seeds_needed(share_1: float, share_2: float, alpha: float = ALPHA) -> int | None:
    """The least seeds a side that show this difference at `alpha` four times in five, by the exact test; or None.

    Outcomes are summed up to MOST_SUMMED (the first size in the saw-tooth); beyond, the corrected normal formula.
    """
    about = _seeds_by_formula(share_1, share_2, alpha)
    if not about <= MOST_SEEDS:
        return None
    if about > MOST_SUMMED:
        return math.ceil(about)
    sizes = range(max(2, int(0.8 * about)), MOST_SEEDS + 1)
    return next((size for size in sizes if power(size, share_1, share_2, alpha) >= POWER), None)


def _seeds_by_formula(share_1: float, share_2: float, alpha: float = ALPHA) -> float:
    """Casagrande, Pike and Smith 1978, as simplified by Fleiss (from memory)."""
    gap, mean = abs(share_1 - share_2), (share_1 + share_2) / 2
    if gap == 0:
        return math.inf
    spread = share_1 * (1 - share_1) + share_2 * (1 - share_2)
    z = NormalDist().inv_cdf(1 - alpha / 2)
    plain = (z * math.sqrt(2 * mean * (1 - mean)) + Z_80 * math.sqrt(spread)) ** 2 / gap**2
    return plain / 4 * (1 + math.sqrt(1 + 4 / (plain * gap))) ** 2


def _labels(n_with: int, n: int) -> tuple[npt.NDArray[np.bool_], bool]:
    """Rows of labels, True for beds with char, and whether they are all the ways there are."""
    ways = math.comb(n, n_with)
    if ways <= MOST_WAYS:
        found = np.zeros((ways, n), dtype=bool)
        found[np.arange(ways)[:, None], list(combinations(range(n), n_with))] = True
        return found, True
    return np.argsort(np.random.default_rng(SEED).random((MOST_WAYS, n)), axis=1) < n_with, False


def shuffled_p(with_char: Sequence[float], without: Sequence[float]) -> float:
    """Chance [0..1] of so large a difference of means if labels mean nothing; ValueError where a side is empty."""
    if not with_char or not without:
        raise ValueError("a comparison with nothing on one side")
    labels, is_all = _labels(len(with_char), len(with_char) + len(without))
    return _p(np.array([*with_char, *without], dtype=float), len(with_char), labels, is_all)


def _p(values: Floats, n_with: int, labels: npt.NDArray[np.bool_], is_all: bool) -> float:
    values = values - values.mean()
    sums, seen = labels @ values, abs(values[:n_with].sum())
    hits = int(np.count_nonzero(np.abs(sums) >= seen - NEAR * float(np.abs(values).sum())))
    return hits / len(sums) if is_all else (hits + 1) / (len(sums) + 1)


def shuffled_range(with_char: Sequence[float], without: Sequence[float]) -> tuple[float, float] | None:
    """Differences of means [their unit] that the shuffle does not rule out at 95 %; None for too few beds."""
    n_with, values = len(with_char), np.array([*with_char, *without], dtype=float)
    if least_p(n_with, len(without)) > ALPHA:
        return None
    labels, is_all = _labels(n_with, len(values))
    seen = float(values[:n_with].mean() - values[n_with:].mean())
    reach = float(np.ptp(values)) * 2
    if reach == 0:
        return seen, seen

    def end(inside: float, outside: float) -> float:
        for _ in range(40):
            middle = (inside + outside) / 2
            p = _p(values - middle * (np.arange(len(values)) < n_with), n_with, labels, is_all)
            inside, outside = (middle, outside) if p > ALPHA else (inside, middle)
        return inside

    return end(seen, seen - reach), end(seen, seen + reach)


def least_p(n_with: int, n_without: int) -> float:
    """The smallest chance p [0..1] of so many beds: 1 in the ways to label them, 2 where sides are equal."""
    return min(1.0, (2 if n_with == n_without else 1) / math.comb(n_with + n_without, n_with))


def beds_needed(scatter: float, gap: float, alpha: float = ALPHA) -> int | None:
    """Beds a side that show a difference `gap` at `alpha` four times in five; scatter [unit of gap]; or None.

    Guenther 1981 (from memory); never so few that no shuffle of labels could give p below `alpha`.
    """
    if gap == 0 or scatter < 0:
        return None
    z = NormalDist().inv_cdf(1 - alpha / 2)
    n = max(2 * ((z + Z_80) * scatter / gap) ** 2 + z**2 / 4, sides_needed(alpha))
    return None if n > MOST_BEDS else math.ceil(n - NEAR)


def sides_needed(alpha: float = ALPHA) -> int:
    """The fewest beds or trays a side with which a shuffle of labels can give p below `alpha`: 4 for 5 %."""
    return next(n for n in range(1, MOST_BEDS) if least_p(n, n) < alpha)
