"""The Latin hypercube: one sample in every Nth, the same whatever it is read in, and nothing in common."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats  # noqa: TID253 (the oracle of this file)

from econ.questions.latin import ROUNDS, Latin, Sobol, seeds

NAMES = ("bones.1.mass", "kiln.price", "product.1.price", "labour.wage")


def whole(stream: Latin | Sobol, chunk: int) -> np.ndarray:
    """All shares, shape (inputs, samples), read in chunks."""
    parts = [
        np.array(list(stream.read(start, min(start + chunk, stream.samples))))
        for start in range(0, stream.samples, chunk)
    ]
    return np.concatenate(parts, axis=1)


@given(st.integers(1, 3000), st.integers(0, 2**40))
def test_every_nth_of_every_input_holds_one_sample(samples: int, seed: int) -> None:
    shares = whole(Latin(NAMES, samples, seed), samples)
    assert shares.min() > 0
    assert shares.max() < 1
    for one in shares:
        assert sorted(np.floor(one * samples).astype(int).tolist()) == list(range(samples))


@given(st.integers(0, 2**63 - 1), st.lists(st.integers(0, 2**32 - 1), max_size=20))
def test_the_keys_of_inputs_are_those_of_numpys_seed_sequence(seed: int, names: list[int]) -> None:
    found = [np.random.SeedSequence([seed, name]).generate_state(ROUNDS + 1, np.uint64).tolist() for name in names]
    assert seeds(seed, names).tolist() == found


@pytest.mark.parametrize("chunk", [3, 100, 999, 1000, 16_384])
def test_chunks_change_nothing(chunk: int) -> None:
    assert np.array_equal(whole(Latin(NAMES, 1000, 5), chunk), whole(Latin(NAMES, 1000, 5), 1000))


@pytest.mark.parametrize("chunk", [1, 100, 256, 1024])
def test_chunks_change_nothing_in_a_sobol_sequence(chunk: int) -> None:
    assert np.array_equal(whole(Sobol(NAMES, 1024, 5), chunk), whole(Sobol(NAMES, 1024, 5), 1024))


def test_sobol_reads_from_any_sample_on() -> None:
    stream, again = Sobol(NAMES, 64, 5), Sobol(NAMES, 64, 5)
    everything = np.array(list(stream.read(0, 64)))
    assert np.array_equal(np.array(list(again.read(40, 64))), everything[:, 40:])


def test_another_seed_gives_other_samples_and_the_same_seed_the_same() -> None:
    first, again, other = (whole(Latin(NAMES, 500, seed), 500) for seed in (1, 1, 2))
    assert np.array_equal(first, again)
    assert not np.any(np.isclose(first, other, rtol=0, atol=1e-12))


def test_one_more_input_leaves_the_samples_of_the_others() -> None:
    few, more = whole(Latin(NAMES[:2], 500, 1), 500), whole(Latin(("fuel.1.price", *NAMES), 500, 1), 500)
    assert np.array_equal(few, more[1:3])


def test_inputs_are_independent_of_each_other_and_of_their_order() -> None:
    """Correlations of 40 inputs and of successive samples scatter as 1/sqrt(n), no wider (5 sigma)."""
    samples = 4096
    shares = whole(Latin([f"input.{i}" for i in range(40)], samples, 3), samples)
    off = np.corrcoef(shares)[np.triu_indices(40, 1)]
    assert np.max(np.abs(off)) * np.sqrt(samples) < 5
    assert np.std(off) * np.sqrt(samples) == pytest.approx(1, abs=0.15)
    for one in shares:
        assert abs(np.corrcoef(one[:-1], one[1:])[0, 1]) * np.sqrt(samples) < 5


def test_pairs_fill_the_square_evenly() -> None:
    """Chi-square of 16 x 16 cells for two inputs; a permutation that is no mixture would fail at once."""
    samples = 16_384
    first, second = whole(Latin(NAMES[:2], samples, 11), samples)
    counts = np.histogram2d(first, second, bins=16)[0].ravel()
    assert 1e-4 < stats.chisquare(counts).pvalue < 1 - 1e-4


def test_the_place_within_an_nth_is_even() -> None:
    samples = 10_000
    within = whole(Latin(NAMES[:1], samples, 1), samples)[0] * samples % 1
    assert stats.kstest(within, "uniform").pvalue > 1e-4
