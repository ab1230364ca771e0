"""Streams of samples: a Latin hypercube without memory, scrambled Sobol, and the functions they pass through.

Exponential, logarithm and sine in + - * / and powers of two alone: libraries round the last bit in ways of their
own, these give every machine, and the page's own language, the same samples. Series of Taylor and, for the
logarithm, of 2 artanh((x - 1)/(x + 1)); reduction by Cody and Waite's two parts of log 2. Inverse normal: Wichura
(1988), Algorithm AS 241, Applied Statistics 37, 477-484, routine PPND16, about 16 figures. Distribution function:
Hart's rational approximation as printed by West (2005), Better approximations to cumulative normal functions,
Wilmott Magazine. Both sets of coefficients from memory; the tests compare them with scipy over the whole range.

Streams can be read from any sample on, so a million samples are never held at once and the size of the chunks
changes nothing. Latin hypercube (McKay, Beckman and Conover 1979, Technometrics 21, from memory): of N samples an
input has exactly one in every Nth of its distribution. The order of the Nths is a bijection of 0..N-1 that is
computed, not stored: a Feistel network over a rectangle of about N places (Black and Rogaway 2002, on ciphers
with arbitrary finite domains, from memory); the place within the Nth is a hash of the sample's number. Both hang
on the seed and on the key of the input, so a range given to one more input leaves the others' samples as they
were.
"""

from __future__ import annotations

import csv
import math
import warnings
import zlib
from collections.abc import Iterator, Sequence
from itertools import permutations
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from econ.errors import InputFault, InputFaults
from econ.fields import record

Numbers = NDArray[np.float64]

LN2_HIGH, LN2_LOW = 6.93147180369123816490e-1, 1.90821492927058770002e-10
"""The logarithm of 2 in two parts; the last 20 bits of the first are zero, so its multiples are exact."""
_EXP = tuple(1.0 / math.factorial(n) for n in range(14, -1, -1))
_LOG = tuple(2.0 / n for n in range(23, 0, -2))
_SINE = tuple((-1.0) ** (n // 2) / math.factorial(n) for n in range(27, 0, -2))
_HART_END = 7.07106781186547
_ROOT_2PI = 2.506628274631000502
Words = NDArray[np.uint64]
Short = NDArray[np.uint32]
Places = NDArray[np.int64]
ROUNDS = 6
_GOLDEN = np.uint64(0x9E3779B97F4A7C15)
_MIX_1, _MIX_2 = np.uint64(0xBF58476D1CE4E5B9), np.uint64(0x94D049BB133111EB)
_HALF, _SIXTEEN = np.uint64(32), np.uint32(16)
CHUNK = 16_384
"""Samples put to the model at once; any other number gives the same results."""
AT_ONCE = 65_536  # places looked for at once, of several inputs: each operation has a price of its own
LEAST, MOST = 100, 5_000_000


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


with (Path(__file__).parent / "normal_curve.csv").open(encoding="utf-8") as _rows:
    TABLES = {row["name"]: tuple(map(float, row["coefficients"].split())) for row in csv.DictReader(_rows)}
"""All coefficients of the normal curve, highest power first; the page carries them to another language."""


def inverse(share: Numbers) -> Numbers:
    """The normal deviate [1] below which `share` lies; (n,) within 0..1, error below 1e-13, ends ±inf."""
    q = share - 0.5
    r = 0.180625 - q * q
    found = q * horner(TABLES["centreAbove"], r) / horner(TABLES["centreBelow"], r)
    outer = np.abs(q) > 0.425
    if np.any(outer):
        tail = np.minimum(share[outer], 1 - share[outer])
        depth = np.sqrt(-log(tail))
        capped = np.minimum(depth, 27.0)
        near, far = (
            horner(TABLES[f"{name}Above"], capped - middle) / horner(TABLES[f"{name}Below"], capped - middle)
            for name, middle in (("near", 1.6), ("far", 5.0))
        )
        size = np.where(np.isinf(depth), np.inf, np.where(capped <= 5.0, near, far))
        found[outer] = np.copysign(size, q[outer])
    return found


def share_below(deviate: Numbers) -> Numbers:
    """The share [0..1] of the normal distribution below each deviate, (n,); error below 1e-14 within ±7.07."""
    x = np.abs(deviate)
    bell = exp(-0.5 * x * x)
    inner = bell * horner(TABLES["hartAbove"], x) / horner(TABLES["hartBelow"], x)
    chain = x + 0.65
    for step in (4.0, 3.0, 2.0, 1.0):
        chain = x + step / chain
    tail = np.where(x < _HART_END, inner, bell / chain / _ROOT_2PI)
    return np.where(deviate > 0, 1 - tail, tail)


def _hash(words: Words) -> Words:
    """SplitMix64's finaliser (Steele, Lea and Flood 2014): 64 well-mixed bits for each word."""
    # in place: fresh arrays of this size cost more than the arithmetic on them
    found = words >> np.uint64(30)
    found ^= words
    found *= _MIX_1
    found ^= found >> np.uint64(27)
    found *= _MIX_2
    found ^= found >> np.uint64(31)
    return found


class Latin:
    """A Latin hypercube of `samples` samples for the named inputs."""

    def __init__(self, names: Sequence[str], samples: int, seed: int) -> None:
        self.samples = samples
        self._keys = seeds(seed, [zlib.crc32(name.encode()) for name in names])
        self._tall = max(1, math.isqrt(samples - 1) + 1)
        self._wide = -(-samples // self._tall)

    def read(self, start: int, stop: int) -> Iterator[Numbers]:
        """Shares of samples start..stop-1, input by input, each of shape (stop - start,) within 0..1."""
        numbers = np.arange(start, stop, dtype=np.uint64)
        corner = np.divmod(numbers.astype(np.uint32), np.uint32(self._tall))
        step = max(1, AT_ONCE // len(numbers))
        for first in range(0, len(self._keys), step):
            keys = self._keys[first : first + step]
            bits = _hash(numbers * _GOLDEN + keys[:, -1:]) >> np.uint64(11)
            within = (bits.astype(np.float64) + 0.5) * 2.0**-53
            moves = [
                (_moves(by_column, self._wide, self._tall), _moves(by_row, self._tall, self._wide))
                for by_column, by_row in zip(keys.T[:-1:2], keys.T[1:-1:2], strict=True)
            ]
            place = self._step(corner, moves, np.arange(len(keys))[:, None])
            while np.any(outside := place >= np.uint32(self.samples)):  # walk on until it lands inside 0..N-1
                again = np.divmod(place[outside], np.uint32(self._tall))
                place[outside] = self._step(again, moves, np.nonzero(outside)[0])
            yield from np.minimum((place.astype(np.float64) + within) / self.samples, 1 - 2.0**-53)

    def _step(self, corner: tuple[Short, Short], moves: Sequence[tuple[Short, Short]], at: Places) -> Short:
        """One pass of the network, a bijection of the places (column, row) of the rectangle; `at`: which input."""
        tall, wide = np.uint32(self._tall), np.uint32(self._wide)
        table, other = at * self._wide, at * self._tall
        column, row = corner
        for by_column, by_row in moves:
            row = _turned(row, by_column.take(column + table, mode="wrap"), tall)  # all places are inside
            column = _turned(column, by_row.take(row + other, mode="wrap"), wide)
        return column * tall + row


def seeds(seed: int, names: Sequence[int]) -> Words:
    """The keys that places and rounds of an input hang on, (names, ROUNDS + 1), by numbers below 2**32 as names.

    They are those of `numpy.random.SeedSequence([seed, name])`, for all names at once and without its other
    generators, which take longer to load than all keys to make. The constants from memory, tested against numpy.
    """
    last = np.array(names, dtype=np.uint32)
    turn, by = 0x43B0D7E5, 0x931E8875

    def mixed(word: Short) -> Short:
        nonlocal turn
        word = word ^ np.uint32(turn)
        turn = turn * by & 0xFFFFFFFF
        word *= np.uint32(turn)
        return word ^ (word >> _SIXTEEN)

    high = [seed >> 32] if seed >> 32 else []
    pool = [np.full_like(last, word) for word in (seed & 0xFFFFFFFF, *high)] + [last]
    pool = [mixed(word) for word in (pool + [np.zeros_like(last)] * 2)[:4]]
    for one, other in permutations(range(4), 2):
        word = np.uint32(0xCA01F9DD) * pool[other] - np.uint32(0x4973F715) * mixed(pool[one])
        pool[other] = word ^ (word >> _SIXTEEN)
    turn, by = 0x8B51F9DD, 0x58F38DED
    halves = [mixed(pool[i % 4]).astype(np.uint64) for i in range(2 * (ROUNDS + 1))]
    return np.stack([low | high << _HALF for low, high in zip(halves[::2], halves[1::2], strict=True)], axis=1)


def _moves(keys: Words, others: int, size: int) -> Short:
    """By input and place 0..others-1: how far 0..size-1 that place, with the key of a round, moves the other."""
    moved = _hash(np.arange(others, dtype=np.uint64) * _GOLDEN + keys[:, None]).ravel()
    moved >>= _HALF
    moved *= np.uint64(size)
    moved >>= _HALF
    return moved.astype(np.uint32)


def _turned(one: Short, moved: Short, size: np.uint32) -> Short:
    """`one` moved on round 0..size-1."""
    moved += one
    shorter: Short = moved - size
    return np.minimum(moved, shorter, out=moved)  # below nought an unsigned number is a very large one


class Sobol:
    """A scrambled Sobol sequence (Owen's, by scipy), best with a power of 2. Raises InputFault without scipy."""

    def __init__(self, names: Sequence[str], samples: int, seed: int) -> None:
        try:
            from scipy.stats import qmc
        except ImportError:
            raise InputFault("--sobol", "no scipy here", "Run pip install scipy, or do without") from None
        self.samples = samples
        self._engine = qmc.Sobol(len(names), scramble=True, rng=np.random.default_rng(seed)) if names else None

    def read(self, start: int, stop: int) -> Iterator[Numbers]:
        """Shares of samples start..stop-1, input by input, each of shape (stop - start,) within 0..1."""
        if self._engine is None:
            return
        if self._engine.num_generated != start:
            self._engine.reset().fast_forward(start)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)  # that the number is no power of 2: said in --help
            points = self._engine.random(stop - start)
        yield from np.clip(points, 2.0**-53, 1 - 2.0**-53).T


@record(frozen=True, slots=True)
class Sampling:
    """How many samples, from which seed, by which stream ("latin" or "sobol"), in chunks of what size."""

    samples: int = 10_000
    seed: int = 1
    stream: str = "latin"
    chunk: int = CHUNK

    def checked(self) -> Sampling:
        """The same, or InputFaults for numbers that make no sample."""
        asked = (
            ("--samples", self.samples, LEAST, MOST, f"{LEAST} to {MOST:,}"),
            ("--seed", self.seed, 0, 2**63 - 1, "0"),
        )
        faults = [InputFault(name, str(value), f"Give a whole number from {words}")
                  for name, value, least, most, words in asked if not least <= value <= most]  # fmt: skip
        if faults:
            raise InputFaults(faults)
        return self
