"""Inputs that move together: rank correlation recovered, distributions kept, contradictions refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ranged_plants import pair, plant
from scipy import stats  # noqa: TID253 (the oracle of this file)

from econ.inputs.ranges import Pair
from econ.inputs.records import Scenario
from econ.inputs.schema import rows
from econ.questions.draws import draws, inputs_drawn, pair_faults
from econ.questions.latin import Sampling
from econ.questions.samples import normal_correlations, triangle, triangle_ends

PRICES = ("product.1.price", "product.2.price", "product.3.price")


def drawn_values(scenario: Scenario, samples: int = 20_000) -> dict[str, np.ndarray]:
    ((_, _, values),) = draws(scenario, Sampling(samples, 4, chunk=samples), inputs_drawn(scenario))
    return values


@pytest.mark.parametrize("wanted", [-1.0, -0.9, -0.3, 0.0, 0.5, 0.8, 0.99, 1.0])
def test_rank_correlation_is_recovered(wanted: float) -> None:
    """Spearman by scipy; 0.02 is 3 standard errors of 20,000 samples, rounded up."""
    found = drawn_values(plant(pair(1, PRICES[0], PRICES[1], wanted), keep=PRICES))
    rank = stats.spearmanr(found[PRICES[0]], found[PRICES[1]]).statistic
    assert rank == pytest.approx(wanted, abs=0.02)


def test_three_inputs_keep_all_three_correlations() -> None:
    changes = pair(1, *PRICES[:2], 0.7) | pair(2, PRICES[1], PRICES[2], 0.4) | pair(3, PRICES[0], PRICES[2], -0.2)
    found = drawn_values(plant(changes, keep=PRICES))
    ranks = stats.spearmanr(np.array([found[key] for key in PRICES]), axis=1).statistic
    assert ranks[np.triu_indices(3, 1)] == pytest.approx([0.7, -0.2, 0.4], abs=0.02)


def test_each_input_keeps_its_own_distribution() -> None:
    scenario = plant(pair(1, *PRICES[:2], 0.8), keep=PRICES)
    found = drawn_values(scenario)
    for key in PRICES[:2]:
        entry = scenario[key]
        start, end = triangle_ends(entry.low, entry.number, entry.high)
        shape = stats.triang((entry.number - start) / (end - start), loc=start, scale=end - start)
        assert stats.kstest(found[key], shape.cdf).pvalue > 1e-3


def test_inputs_outside_a_pair_are_drawn_as_without_it() -> None:
    alone, paired = plant(keep=PRICES), plant(pair(1, *PRICES[:2], 0.8), keep=PRICES)
    assert np.array_equal(drawn_values(alone)[PRICES[2]], drawn_values(paired)[PRICES[2]])
    assert np.array_equal(drawn_values(alone)[PRICES[0]], drawn_values(paired)[PRICES[0]])


def test_correlations_that_contradict_each_other_are_a_fault() -> None:
    """If a goes with b and b with c at 0.9, a cannot go against c at -0.9."""
    changes = pair(1, *PRICES[:2], 0.9) | pair(2, PRICES[1], PRICES[2], 0.9) | pair(3, PRICES[0], PRICES[2], -0.9)
    (fault,) = pair_faults(plant(changes, keep=PRICES))
    assert "contradict" in fault.wrong
    assert all(rows()[key].label in fault.wrong for key in PRICES)


@settings(max_examples=200)
@given(st.lists(st.floats(-1, 1), min_size=3, max_size=3))
def test_the_check_agrees_with_the_eigenvalues(correlations: list[float]) -> None:
    """numpy's eigenvalues as oracle; matrices within rounding of the edge are left to either answer."""
    found = [Pair(*names, value, "") for names, value in zip(("ab", "bc", "ac"), correlations, strict=True)]
    matrix = normal_correlations(found)
    least = float(np.linalg.eigvalsh(matrix)[0])
    lower = triangle(matrix)
    if least > 1e-4:
        assert lower is not None
        assert lower @ lower.T == pytest.approx(matrix, abs=1e-9)
    elif least < -1e-4:
        assert lower is None
