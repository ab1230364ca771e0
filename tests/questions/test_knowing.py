"""The worth of knowing against closed forms and a decision table worked by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from econ.questions import latin
from econ.questions.found_deep import Worth
from econ.questions.latin import Latin
from econ.questions.value_of_information import best_now, by_count, explained, of_everything, of_learning

SAMPLES = 40_000


def deviates(*names: str, samples: int = SAMPLES, seed: int = 1) -> list[np.ndarray]:
    return [latin.inverse(share) for share in Latin(names, samples, seed).read(0, samples)]


def of_a_normal(mean: float, deviation: float) -> float:
    """Mean of the larger of a normal worth and nothing, less the larger of its mean and nothing.

    The unit normal loss integral: Raiffa and Schlaifer (1961), Applied Statistical Decision Theory, from memory.
    """
    z = mean / deviation
    density = math.exp(-z * z / 2) / math.sqrt(2 * math.pi)
    below = 0.5 * (1 + math.erf(z / math.sqrt(2)))
    return deviation * density + mean * below - max(mean, 0.0)


# mean of the second option, deviation of what can be learnt, deviation of what cannot
NORMALS = ((0.3, 1.0, 0.0), (1.0, 1.0, 0.0), (0.5, 0.6, 0.8), (-0.5, 0.6, 0.8), (-1.0, 0.8, 0.6), (1.0, 0.6, 0.8))


@pytest.mark.parametrize(("mean", "learnt", "hidden"), NORMALS)
def test_learning_a_normal_input(mean: float, learnt: float, hidden: float) -> None:
    x, rest = deviates("x", "rest")
    values = np.array([np.zeros(SAMPLES), mean + learnt * x + hidden * rest])
    found = of_learning(values, [x])
    assert abs(found.raw - of_a_normal(mean, learnt)) <= 2 * found.error
    assert abs(found.with_hindsight - of_a_normal(mean, learnt)) <= 2 * found.error


@pytest.mark.parametrize(("mean", "learnt", "hidden"), NORMALS)
def test_knowing_all_of_a_normal_worth(mean: float, learnt: float, hidden: float) -> None:
    x, rest = deviates("x", "rest")
    found = of_everything(np.array([np.zeros(SAMPLES), mean + learnt * x + hidden * rest]))
    assert abs(found.raw - of_a_normal(mean, math.hypot(learnt, hidden))) <= 2 * found.error


@pytest.mark.parametrize("firings", [1, 2, 5, 10, 50])
@pytest.mark.parametrize("scatter", [0.5, 2.0])
def test_firings_of_a_normal_yield(firings: int, scatter: float) -> None:
    """The mean of n firings moves the estimate by a deviation of s²/√(s² + scatter²/n): normal with normal."""
    (x,) = deviates("x")
    spread, mean = 1.5, 0.4
    values = np.array([mean + spread * x, np.zeros(SAMPLES)])
    (found,) = by_count(values, {"yield": spread * x}, {"yield": scatter}, None, seed=4, counts=(firings,))
    moved = spread**2 / math.sqrt(spread**2 + scatter**2 / firings)
    assert abs(found.worth.raw - of_a_normal(mean, moved)) <= 2 * found.worth.error


# A decision table worked by hand. The kiln's worth by demand (good 0.6, poor 0.4) and yield (high 0.5, low 0.5),
# independent; today's way is worth 0:
#               high    low
#   good        80      20
#   poor       -10     -50
# Mean 0.3×80 + 0.3×20 - 0.2×10 - 0.2×50 = 18: buy. All known: 0.3×80 + 0.3×20 = 30, gain 12.
# Demand known: good 50, poor -30, so 0.6×50 = 30, gain 12. Yield known: high 44, low -8, so 0.5×44 = 22, gain 4.
CELLS = ((1, 1, 80.0, 6), (1, 0, 20.0, 6), (0, 1, -10.0, 4), (0, 0, -50.0, 4))


def by_hand() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    cells = np.repeat(np.array([cell[:3] for cell in CELLS]), [cell[3] * 100 for cell in CELLS], axis=0)
    demand, yields, worth = np.random.default_rng(3).permutation(cells).T
    return np.array([worth, np.zeros(len(worth))]), demand, yields


def test_a_two_way_table_worked_by_hand() -> None:
    values, demand, yields = by_hand()
    assert np.mean(values[0]) == pytest.approx(18)
    assert best_now(values) == 0
    assert of_everything(values).gain == pytest.approx(12)
    assert of_learning(values, [demand]).gain == pytest.approx(12)
    assert of_learning(values, [yields]).gain == pytest.approx(4)
    assert of_learning(values, [demand, yields]).gain == pytest.approx(12)


def test_three_ways_worked_by_hand() -> None:
    """A third way worth 30 whatever happens beats the mean of 18; only good and high (80, share 0.3) beats it.

    All known: 0.3×50 = 15. Demand: good 50 > 30, so 0.6×20 = 12. Yield: high 44 > 30, so 0.5×14 = 7.
    """
    values, demand, yields = by_hand()
    values = np.vstack([values, np.full(len(demand), 30.0)])
    assert of_everything(values).gain == pytest.approx(15)
    assert of_learning(values, [demand]).gain == pytest.approx(12)
    assert of_learning(values, [yields]).gain == pytest.approx(7)


def test_nothing_is_worth_knowing_where_one_way_is_best_in_every_sample() -> None:
    x, y = deviates("x", "y", samples=5_000)
    values = np.array([2 + np.tanh(x) + 0.5 * np.tanh(y), np.zeros(5_000)])
    assert of_everything(values).gain == 0
    assert of_learning(values, [x]).gain == 0
    assert of_learning(values, [x, y]) == Worth(0.0, 0.0, 0.0)


def test_what_never_varies_teaches_nothing() -> None:
    x, y = deviates("x", "y", samples=2_000)
    values = np.array([x, y])
    assert of_learning(values, [np.full(2_000, 0.3)]) == Worth(0.0, 0.0, 0.0)
    assert of_learning(values, []) == Worth(0.0, 0.0, 0.0)


def test_a_negative_estimate_is_shown_as_nothing_with_its_error() -> None:
    assert Worth(-31.7, 20.8, 5.3).gain == 0
    noise = [of_learning(*_unrelated(seed)) for seed in range(40)]
    assert any(one.raw < 0 for one in noise)
    assert all(one.gain >= 0 and one.gain <= 3 * one.error for one in noise)
    assert all(one.error > 0 for one in noise if one.raw < 0)


def _unrelated(seed: int) -> tuple[np.ndarray, list[np.ndarray]]:
    """A choice close to even, and an input that has nothing to do with it."""
    x, worth = deviates("x", "worth", samples=2_000, seed=seed)
    return np.array([worth + 0.02, np.zeros(2_000)]), [x]


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.floats(-2, 2), st.floats(0, 2), st.floats(0, 2))
def test_no_part_is_worth_more_than_the_whole(seed: int, mean: float, one: float, other: float) -> None:
    x, y, z = deviates("x", "y", "z", samples=2_000, seed=seed)
    values = np.array([mean + one * x * x + other * y, np.zeros(2_000), 0.3 * z])
    whole = of_everything(values)
    for learnt in ([x], [y], [x, y], [x, y, z]):
        assert of_learning(values, learnt).raw <= whole.raw + 1e-12


@settings(max_examples=20, deadline=None)
@given(st.floats(0.01, 1e6), st.floats(-1e6, 1e6))
def test_money_in_another_currency_changes_only_the_unit(rate: float, shift: float) -> None:
    x, y = deviates("x", "y", samples=1_000)
    values = np.array([0.2 + x + 0.4 * y, np.zeros(1_000)])
    plain, changed = of_learning(values, [x]), of_learning(values * rate + shift, [x])
    assert changed.raw == pytest.approx(plain.raw * rate, rel=1e-6, abs=1e-6 * max(abs(shift), rate))


@pytest.mark.parametrize(("weights", "part"), [((3.0, 4.0), 0.36), ((1.0, 0.0), 1.0), ((0.0, 1.0), 0.0)])
def test_part_of_the_variance(weights: tuple[float, float], part: float) -> None:
    """Of a x + b y with x and y alike and independent, x accounts for a²/(a² + b²)."""
    x, y = deviates("x", "y")
    assert explained(weights[0] * x + weights[1] * y, [x]) == pytest.approx(part, abs=0.01)


def test_no_part_of_what_never_varies_or_is_withheld() -> None:
    (x,) = deviates("x", samples=100)
    assert math.isnan(explained(np.full(100, 2.0), [x]))
    assert math.isnan(explained(np.where(x > 1, np.nan, x), [x]))
