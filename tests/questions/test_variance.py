"""Shares of variance against a function whose shares are known, and against an independent library."""

from __future__ import annotations

import math

import numpy as np
import pytest
from conftest import plant

from econ.model.plan import Plan
from econ.questions.chances import chances
from econ.questions.deep import alone, indices, shares
from econ.questions.latin import Latin, Sampling

# Ishigami and Homma (1990): sin x1 + a sin² x2 + b x3⁴ sin x1 over -π..π; exact shares from its variances,
# as given by Saltelli and others (2000), Sensitivity Analysis, from memory and derived anew here
A, B = 7.0, 0.1
VARIANCE = A**2 / 8 + B * math.pi**4 / 5 + B**2 * math.pi**8 / 18 + 0.5
ALONE = (0.5 * (1 + B * math.pi**4 / 5) ** 2 / VARIANCE, A**2 / 8 / VARIANCE, 0.0)
TOGETHER = 8 * B**2 * math.pi**8 / 225 / VARIANCE
IN_ALL = (ALONE[0] + TOGETHER, ALONE[1], TOGETHER)


def ishigami(x: np.ndarray) -> np.ndarray:
    return np.sin(x[0]) + A * np.sin(x[1]) ** 2 + B * x[2] ** 4 * np.sin(x[0])


def sets(inputs: int, samples: int, seed: int) -> tuple[np.ndarray, np.ndarray]:
    names = [f"{letter}{i}" for letter in "ab" for i in range(inputs)]
    read = np.array(list(Latin(names, samples, seed).read(0, samples)))
    return read[:inputs], read[inputs:]


def mixed(a: np.ndarray, b: np.ndarray) -> list[np.ndarray]:
    found = []
    for i in range(len(a)):
        one = a.copy()
        one[i] = b[i]
        found.append(one)
    return found


def test_exact_shares_are_those_printed() -> None:
    """0.314, 0.442, 0 alone and 0.558, 0.442, 0.244 in all: the figures usually printed for a = 7, b = 0.1."""
    assert np.allclose(ALONE, (0.3139, 0.4424, 0.0), atol=5e-5)
    assert np.allclose(IN_ALL, (0.5576, 0.4424, 0.2437), atol=5e-5)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_ishigami_within_a_hundredth(seed: int) -> None:
    a, b = (2 * np.pi * part - np.pi for part in sets(3, 1 << 18, seed))
    found = indices(ishigami(a), ishigami(b), np.array([ishigami(one) for one in mixed(a, b)]))
    assert found is not None
    assert np.allclose(found.first, ALONE, atol=0.01)
    assert np.allclose(found.total, IN_ALL, atol=0.01)


def test_standard_errors_hold_the_exact_shares() -> None:
    """Of 3 × 2 shares in 40 repeats about 95 % lie within two standard errors; 85 % are asked for."""
    inside, asked = 0, 0
    for seed in range(40):
        a, b = (2 * np.pi * part - np.pi for part in sets(3, 2_048, 100 + seed))
        found = indices(ishigami(a), ishigami(b), np.array([ishigami(one) for one in mixed(a, b)]))
        assert found is not None
        for got, exact, error in (
            (found.first, ALONE, found.first_error),
            (found.total, IN_ALL, found.total_error),
        ):
            inside += int(np.sum(np.abs(got - exact) <= 2 * error))
            asked += len(exact)
    assert inside / asked >= 0.85


def test_shares_of_a_sum_are_its_variances() -> None:
    """A sum of independent uniform inputs times 1, 2, 3: shares 1/14, 4/14, 9/14, alone and in all."""
    weights = np.array([1.0, 2.0, 3.0])
    a, b = sets(3, 1 << 15, 5)
    found = indices(weights @ a, weights @ b, np.array([weights @ one for one in mixed(a, b)]))
    assert found is not None
    assert np.allclose(found.first, weights**2 / 14, atol=0.02)
    assert np.allclose(found.total, weights**2 / 14, atol=0.01)


def test_the_library_finds_the_same_from_the_same_answers() -> None:
    """SALib, sobol.analyze, first order and total, on the answers of A, each AB, and B."""
    analyze = pytest.importorskip("SALib.analyze.sobol")
    a, b = (2 * np.pi * part - np.pi for part in sets(3, 1_024, 7))
    parts = [ishigami(a), *(ishigami(one) for one in mixed(a, b)), ishigami(b)]
    found = indices(parts[0], parts[-1], np.array(parts[1:-1]))
    assert found is not None
    problem = {"num_vars": 3, "names": ["x1", "x2", "x3"], "bounds": [[-np.pi, np.pi]] * 3}
    theirs = analyze.analyze(problem, np.ravel(np.array(parts), order="F"), calc_second_order=False, seed=1)
    assert np.allclose(found.total, theirs["ST"], rtol=1e-3)
    assert np.allclose(found.first, theirs["S1"], atol=0.01)


def test_withheld_and_constant_answers_have_no_shares() -> None:
    a, b = sets(2, 64, 1)
    answers = [part.sum(axis=0) for part in (a, b, *mixed(a, b))]
    answers[2][5] = np.nan
    assert indices(answers[0], answers[1], np.array(answers[2:])) is None
    same = np.full(64, 3.0)
    assert indices(same, same, np.array([same, same])) is None


def test_fits_to_the_samples_of_a_run_find_the_first_order_shares() -> None:
    """Two ways of asking: fits to one set of samples, and the exchange of inputs between two sets."""
    scenario = plant("thistle-flat")
    sampling = Sampling(4_096)
    measure = "project_net_kg_co2e"
    made = Plan.of(scenario)
    found = alone(scenario, sampling, chances(scenario, made, sampling).kept[measure])
    other = shares(scenario, made, sampling)
    known = other.by_measure[measure]
    assert known is not None
    for keys, first, error in zip(other.groups, known.first, known.first_error, strict=True):
        assert found[keys] == pytest.approx(first, abs=3 * error + 0.01), keys
    assert 0.8 < sum(found.values()) < 1.02
