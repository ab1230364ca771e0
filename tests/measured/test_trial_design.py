"""Several comparisons corrected; sizes of a trial against printed tables and independent routines; its plan."""

from __future__ import annotations

import importlib
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from measured_plants import with_data

from econ.measured.exact import beds_needed, holm, power, seeds_needed, sides_needed
from econ.measured.garden_trials import Design, design_of, randomised, read_trials

stats = importlib.import_module("scipy.stats")


def test_holm_by_a_published_example() -> None:
    """Reference manual of the R package HDLSSkST, example of Holm, read: the third and the last are rejected.

    Adjusted by hand: 7 × 0.001, 6 × 0.0025, 5 × 0.01, 4 × 0.02, 3 × 0.05; the last two are no smaller than that.
    """
    chances = [0.50, 0.01, 0.001, 0.69, 0.02, 0.05, 0.0025]
    found = holm(chances)
    assert [p < 0.05 - 1e-12 for p in found] == [False, False, True, False, False, False, True]
    assert found == pytest.approx([1.0, 0.05, 0.007, 1.0, 0.08, 0.15, 0.015])


def test_holm_by_another() -> None:
    """0.01, 0.04, 0.03, 0.005 give 0.03, 0.06, 0.06, 0.02: the example of an encyclopedia, from memory."""
    assert holm([0.01, 0.04, 0.03, 0.005]) == pytest.approx([0.03, 0.06, 0.06, 0.02])
    assert holm([]) == []


@given(chances=st.lists(st.floats(0, 1), min_size=1, max_size=12))
def test_holm_lies_between_one_look_and_bonferroni(chances: list[float]) -> None:
    found, n = holm(chances), len(chances)
    assert all(p <= q <= min(1.0, n * p) + 1e-15 for p, q in zip(chances, found, strict=True))
    order = sorted(range(n), key=chances.__getitem__)
    assert [found[at] for at in order] == sorted(found)


# MRC Cognition and Brain Sciences Unit, statistics wiki, table of unpaired t-tests, 80 % power, two-tailed, read.
PRINTED = {0.2: 393, 0.3: 175, 0.5: 64, 0.6: 45, 0.8: 26, 0.9: 21, 1.0: 17, 1.2: 13}


@pytest.mark.parametrize(("effect", "printed"), PRINTED.items())
def test_beds_against_a_printed_table(effect: float, printed: int) -> None:
    found = beds_needed(1.0, effect)
    assert found is not None
    assert abs(found - printed) <= 1


def power_of_t(n: int, ratio: float, alpha: float) -> float:
    """Power of the two-sided t test by the non-central t of scipy; ratio: difference over scatter."""
    degrees, shift = 2 * n - 2, ratio * math.sqrt(n / 2)
    edge = stats.t.ppf(1 - alpha / 2, degrees)
    return float(stats.nct.sf(edge, degrees, shift) + stats.nct.cdf(-edge, degrees, shift))


@pytest.mark.parametrize("ratio", [0.5, 0.8, 1.2, 2.0])
@pytest.mark.parametrize("comparisons", [2, 5])
def test_beds_for_several_comparisons_against_scipy(ratio: float, comparisons: int) -> None:
    """The formula for few beds may lie one below where the shuffle needs no more."""
    alpha = 0.05 / comparisons
    least = next(n for n in range(2, 500) if power_of_t(n, ratio, alpha) >= 0.8)
    found = beds_needed(1.0, ratio, alpha)
    assert found is not None
    assert -1 <= found - max(least, sides_needed(alpha)) <= 1


@pytest.mark.parametrize(("p_1", "p_2", "alpha"), [(0.9, 0.4, 0.01), (1.0, 0.6, 0.025)])
def test_seeds_for_several_comparisons_against_all_tables_of_scipy(p_1: float, p_2: float, alpha: float) -> None:
    n = seeds_needed(p_1, p_2, alpha)
    assert n is not None

    def summed(size: int) -> float:
        return sum(
            stats.binom.pmf(a, size, p_1) * stats.binom.pmf(b, size, p_2)
            for a in range(size + 1)
            for b in range(size + 1)
            if stats.fisher_exact([[a, size - a], [b, size - b]]).pvalue < alpha
        )

    assert summed(n) >= 0.8 > summed(n - 1)
    assert power(n, p_1, p_2, alpha) == pytest.approx(summed(n), rel=1e-9)


@pytest.mark.parametrize(("alpha", "sides"), [(0.05, 4), (0.01, 5), (0.001, 7)])
def test_fewest_sides_by_counting(alpha: float, sides: int) -> None:
    """2 in 70 ways for four a side, 2 in 252 for five, 2 in 3,432 for seven, 2 in 924 for six."""
    assert sides_needed(alpha) == sides
    assert 2 / math.comb(2 * sides, sides) < alpha <= 2 / math.comb(2 * sides - 2, sides - 1)


def design(*sets: str) -> Design:
    scenario = with_data({}, *sets)
    found = design_of(scenario, read_trials(scenario))
    assert found is not None
    return found


def test_the_design_of_the_claim_of_the_trade() -> None:
    """85 against 100 %: 52 seeds a side (house arithmetic), 3 trays of 25, so the 4 that can vouch for themselves.

    Beds: scatter 20 % and a difference of 20 % of the mean: an effect of 1, 17 a side in the printed table.
    """
    found = design("trials.seed=7")
    assert (found.seeds, found.trays) == (52, 4)
    assert found.beds is not None
    assert abs(found.beds - PRINTED[1.0]) <= 1
    assert len(found.order) == found.beds
    assert design("trials.seed=7", "trials.seeds_per_tray=10").trays == 6
    more = design("trials.seed=7", "trials.comparisons=5")
    assert more.alpha == pytest.approx(0.01)
    assert (more.seeds or 0) > 52
    assert (more.beds or 0) > found.beds


def test_without_number_and_trials_there_is_no_design() -> None:
    assert design_of(with_data({}), None) is None


@settings(max_examples=30)
@given(seed=st.integers(0, 10**9), blocks=st.integers(0, 60))
def test_the_same_number_gives_the_same_plan(seed: int, blocks: int) -> None:
    plan = randomised(seed, blocks)
    assert plan == randomised(seed, blocks)
    assert len(plan) == blocks
    assert all(sorted(pair.split(", ")) == ["with char", "without"] for pair in plan)


def test_either_side_comes_first_half_the_time() -> None:
    """1,000 blocks: within four standard deviations of 500 (common practice, no source)."""
    first = sum(pair.startswith("with char") for pair in randomised(20260401, 1000))
    assert abs(first - 500) <= 4 * math.sqrt(250)
