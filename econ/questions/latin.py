"""Streams of samples: a Latin hypercube without memory, scrambled Sobol, and the normal curve they pass through.

Inverse: Wichura (1988), Algorithm AS 241, Applied Statistics 37, 477-484, routine PPND16, about 16
figures. Distribution function: Hart's rational approximation as printed by West (2005), Better
approximations to cumulative normal functions, Wilmott Magazine. Both sets of coefficients were written
down from memory; the tests compare them with scipy over the whole range.

Both are streams that can be read from any sample on, so that a million samples are never held at once
and the size of the chunks they are read in changes nothing.

Latin hypercube (McKay, Beckman and Conover 1979, Technometrics 21, from memory): of N samples each input
has exactly one in every Nth of its distribution. The order of the Nths is a bijection of 0..N-1 that is
computed, not stored: a Feistel network over a rectangle of about N places (Black and Rogaway 2002, on
ciphers with arbitrary finite domains, from memory); the place within the Nth is a hash of the sample's
number. Both hang on the seed and on the key of the input, so a range given to one more input leaves the
others' samples as they were.
"""

from __future__ import annotations

import csv
import math
import warnings
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from econ.errors import InputFault, InputFaults
from econ.questions import series
from econ.questions.series import horner

Numbers = NDArray[np.float64]

_HART_END = 7.07106781186547
_ROOT_2PI = 2.506628274631000502


with (Path(__file__).parent / "normal_curve.csv").open(encoding="utf-8") as _rows:
    TABLES = {row["name"]: tuple(map(float, row["coefficients"].split())) for row in csv.DictReader(_rows)}
"""All coefficients of the normal curve, highest power first; the page carries them to another language."""


def inverse(share: Numbers) -> Numbers:
    """The normal deviate [1] below which `share` of the distribution lies; share (n,) within 0..1.

    Ends give -inf and inf. Absolute error below 1e-13 for shares from 1e-300 to 1 - 1e-16.
    """
    q = share - 0.5
    r = 0.180625 - q * q
    found = q * horner(TABLES["centreAbove"], r) / horner(TABLES["centreBelow"], r)
    outer = np.abs(q) > 0.425
    if np.any(outer):
        tail = np.minimum(share[outer], 1 - share[outer])
        depth = np.sqrt(-series.log(tail))
        capped = np.minimum(depth, 27.0)
        near, far = capped - 1.6, capped - 5.0
        size = np.where(
            capped <= 5.0,
            horner(TABLES["nearAbove"], near) / horner(TABLES["nearBelow"], near),
            horner(TABLES["farAbove"], far) / horner(TABLES["farBelow"], far),
        )
        size = np.where(np.isinf(depth), np.inf, size)
        found[outer] = np.copysign(size, q[outer])
    return found


def share_below(deviate: Numbers) -> Numbers:
    """The share [0..1] of the normal distribution below each deviate, shape (n,).

    Absolute error below 1e-14 for deviates within ±7.07, which is all that can come of a sample; farther
    out the continued fraction of the same source is used.
    """
    x = np.abs(deviate)
    bell = series.exp(-0.5 * x * x)
    inner = bell * horner(TABLES["hartAbove"], x) / horner(TABLES["hartBelow"], x)
    chain = x + 0.65
    for step in (4.0, 3.0, 2.0, 1.0):
        chain = x + step / chain
    tail = np.where(x < _HART_END, inner, bell / chain / _ROOT_2PI)
    return np.where(deviate > 0, 1 - tail, tail)


Words = NDArray[np.uint64]

ROUNDS = 6
_GOLDEN = np.uint64(0x9E3779B97F4A7C15)
_MIX_1, _MIX_2 = np.uint64(0xBF58476D1CE4E5B9), np.uint64(0x94D049BB133111EB)
_HALF = np.uint64(32)


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
        self._streams = [
            np.random.SeedSequence([seed, zlib.crc32(name.encode())])
            .generate_state(ROUNDS + 1, np.uint64)
            .astype(np.uint64)
            for name in names
        ]
        self._tall = max(1, math.isqrt(samples - 1) + 1)
        self._wide = -(-samples // self._tall)

    def read(self, start: int, stop: int) -> Iterator[Numbers]:
        """Shares of samples start..stop-1, input by input, each of shape (stop - start,) within 0..1."""
        numbers = np.arange(start, stop, dtype=np.uint64)
        for keys in self._streams:
            bits = _hash(numbers * _GOLDEN + keys[-1]) >> np.uint64(11)
            within = (bits.astype(np.float64) + 0.5) * 2.0**-53
            yield np.minimum((self._order(numbers, keys) + within) / self.samples, 1 - 2.0**-53)

    def _order(self, numbers: Words, keys: Words) -> Numbers:
        """Which Nth each sample takes: walks on until it lands inside 0..N-1."""
        place = self._step(numbers, keys)
        while np.any(outside := place >= np.uint64(self.samples)):
            place[outside] = self._step(place[outside], keys)
        return place.astype(np.float64)

    def _step(self, place: Words, keys: Words) -> Words:
        """One pass of the network, a bijection of the places of the rectangle."""
        tall, wide = np.uint64(self._tall), np.uint64(self._wide)
        column, row = np.divmod(place, tall)
        for turn in range(0, ROUNDS, 2):
            row = _turned(row, column, keys[turn], tall)
            column = _turned(column, row, keys[turn + 1], wide)
        return column * tall + row


def _turned(one: Words, other: Words, key: np.uint64, size: np.uint64) -> Words:
    """`one` moved on round 0..size-1 by an amount that only `other` and the key decide."""
    moved = _hash(other * _GOLDEN + key)
    moved >>= _HALF
    moved *= size
    moved >>= _HALF
    moved += one
    shorter: Words = moved - size
    return np.minimum(moved, shorter, out=moved)  # below nought an unsigned number is a very large one


class Sobol:
    """A scrambled Sobol sequence (Owen's scrambling, by scipy) for the named inputs.

    Best where `samples` is a power of 2. Raises InputFault where scipy is not installed.
    """

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


CHUNK = 16_384
"""Samples put to the model at once; any other number gives the same results."""
LEAST, MOST = 100, 5_000_000


@dataclass(frozen=True, slots=True)
class Sampling:
    """How many samples, from which seed, by which stream ("latin" or "sobol"), in chunks of what size."""

    samples: int = 10_000
    seed: int = 1
    stream: str = "latin"
    chunk: int = CHUNK

    def checked(self) -> Sampling:
        """The same, or InputFaults for numbers that make no sample."""
        faults = []
        if not LEAST <= self.samples <= MOST:
            asked = f"Give a whole number from {LEAST} to {MOST:,}"
            faults.append(InputFault("--samples", str(self.samples), asked))
        if not 0 <= self.seed < 2**63:
            faults.append(InputFault("--seed", str(self.seed), "Give a whole number from 0"))
        if faults:
            raise InputFaults(faults)
        return self
