"""Rates of return: how many there are, that each is right, and that none is chosen in silence."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from econ.errors import FinanceError
from econ.finance import roots
from econ.finance.present_value import npv
from econ.finance.returns import irr, irr_roots, mirr


@pytest.mark.parametrize(
    ("flows", "rates"),
    [
        pytest.param([-100, 110], [0.1], id="arithmetic: one year"),
        pytest.param([0, 0, -100, 110, 0], [0.1], id="leading and trailing zeros change nothing"),
        pytest.param([-100, 0, 0, 0, 100], [0.0], id="money back without interest"),
        pytest.param([-1, 1e12], [1e12 - 1], id="a huge rate"),
        pytest.param([-1e12, 1], [1e-12 - 1], id="nearly all is lost"),
        pytest.param([-100, 50, 0], [-0.5], id="-100 % itself is no rate"),
        pytest.param([100, -220, 121], [0.1], id="double root: (10 y - 11)**2"),
        pytest.param([-1000, 3300, -3630, 1331], [0.1], id="triple root: -(10 y - 11)**3"),
        pytest.param([1, -3, 3, -1], [0.0], id="triple root at 0"),
        pytest.param([2, -7, 9, -5, 1], [-0.5, 0.0], id="(2y - 1)(y - 1)**3: single beside triple"),
        pytest.param([-1600, 10000, -10000], [0.25, 4.0], id="arithmetic: 25 % and 400 %"),
        pytest.param([-6, 11, -6, 1], [-2 / 3, -1 / 2, 0.0], id="(y-1)(2y-1)(3y-1)"),
        pytest.param([-1, 5, -1e-20], [4.0], id="rounding dust adds no root"),
        pytest.param([1, -2 - 2e-10, 1 + 2e-10], [0.0], id="double root a hair beside 0 is one root"),
        pytest.param([1, *[-1] * 60, 2**-40], [2**-40 - 1, 1.0], id="root at the very bound of the search"),
        pytest.param([2**-40, *[-1] * 60, 1], [-0.5, 2.0**40], id="the same backwards"),
        pytest.param([1000, -1500, 1000], [], id="no real root"),
        pytest.param([1, 1, 1], [], id="no sign change"),
        pytest.param([0, 0, 0], [], id="all zero"),
        pytest.param([-5], [], id="one flow"),
    ],
)
def test_all_roots(flows: list[float], rates: list[float]) -> None:
    assert irr_roots(flows) == pytest.approx(tuple(rates), abs=1e-9)


@pytest.mark.parametrize("growths", [[1.1, 1.2, 1.3, 1.4, 1.5], [0.5, 0.9, 1.0, 1.1, 3.0, 12.0]])
def test_many_roots_built_from_themselves(growths: list[float]) -> None:
    flows = np.poly(growths)
    assert irr_roots(flows) == pytest.approx([growth - 1 for growth in growths], abs=1e-9)


@pytest.mark.parametrize(
    ("flows", "value", "roots_", "reason"),
    [
        pytest.param([-100, 110], 0.1, 1, "unique", id="one sign change"),
        pytest.param(
            [100, -230, 132],
            np.nan,
            2,
            "several roots: 10.0 %, 20.0 %: not usable, see NPV and MIRR",
            id="two rates: no value",
        ),
        pytest.param(
            [10000, -24996, 14994],
            np.nan,
            2,
            "several roots: 0.0 %, 50.0 %: not usable, see NPV and MIRR",
            id="-0.04 % is not written -0.0 %",
        ),
        pytest.param([-1000, 3300, -3630, 1331], 0.1, 1, "unique", id="three sign changes, one rate"),
        pytest.param([-10, 16, -15.5, 11], 0.1, 1, "unique", id="(11 - 10 y)(y**2 - y/2 + 1): one rate"),
        pytest.param(
            [100, -220, 121],
            0.1,
            1,
            "unique, but the NPV only touches zero there: it has one sign on both sides",
            id="never below zero",
        ),
        pytest.param([1000, -1500, 1000], np.nan, 0, "no real root above -100 %", id="no rate"),
        pytest.param([100, 0, 100], np.nan, 0, "no sign change: all costs or all benefits", id="all benefits"),
        pytest.param([-100, -1], np.nan, 0, "no sign change: all costs or all benefits", id="all costs"),
        pytest.param([0, 0], np.nan, 0, "all flows are zero", id="all zero"),
        pytest.param([-1, np.nan], np.nan, 0, "a flow is not a finite number", id="nan"),
        pytest.param([-np.inf, 1], np.nan, 0, "a flow is not a finite number", id="infinite"),
    ],
)
def test_value_count_and_reason(flows: list[float], value: float, roots_: int, reason: str) -> None:
    alone = irr(flows)
    assert isinstance(alone.value, float)
    assert isinstance(alone.reason, str)
    assert alone.value == pytest.approx(value, abs=5e-6, nan_ok=True)
    assert len(alone.roots) == roots_
    assert alone.reason == reason

    together = irr(np.column_stack([flows, flows]))
    assert np.array_equal(together.value, [alone.value] * 2, equal_nan=True)
    assert list(together.roots) == [roots_] * 2
    assert list(together.reason) == [reason] * 2


def test_every_row_converges_however_hard() -> None:
    """Rates from -98 % to 100 million %, lives of 1 to 30 years, checked row by row."""
    rng = np.random.default_rng(3)
    cases, years = 20_000, 31
    flows = np.where(rng.random((years, cases)) < 0.3, 0.0, rng.uniform(0.0, 1.0, (years, cases)))
    start, life = rng.integers(0, 20, cases), rng.integers(1, 30, cases)
    year = np.arange(years)[:, np.newaxis]
    flows[(year <= start) | (year > start + life)] = 0.0
    flows[np.minimum(start + 1, years - 1), np.arange(cases)] += 1.0
    flows[start, np.arange(cases)] = -(10.0 ** rng.uniform(-6, 3, cases))
    found = irr(flows)
    assert set(found.reason) == {"unique"}
    assert found.value.min() < -0.9
    assert found.value.max() > 1e4
    growth = 1 + found.value
    terms = flows * growth ** -(year - start)
    assert np.all(np.abs(terms.sum(axis=0)) <= 1e-9 * np.abs(terms).sum(axis=0))


def test_no_row_needs_more_than_two_dozen_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    """Flows over thirteen powers of ten, on which plain Newton steps creep."""
    rng = np.random.default_rng(8)
    year, turn = np.arange(31)[:, np.newaxis], rng.integers(1, 30, 20_000)
    size = 10.0 ** rng.uniform(-13, 0, (31, 20_000)) * (rng.random((31, 20_000)) < 0.3)
    size[[0, 30]] = 10.0 ** rng.uniform(-13, 0, (2, 20_000))
    monkeypatch.setattr(roots, "MOST_STEPS", 24)
    assert set(irr(np.where(year < turn, -size, size)).reason) == {"unique"}


def test_single_rates_agree_with_a_bracketing_solver() -> None:
    from scipy.optimize import brentq

    rng = np.random.default_rng(4)
    flows = np.vstack([-rng.uniform(100, 3000, 200), rng.uniform(0, 500, (20, 200))])
    ours = irr(flows).value
    for case in range(200):
        bracketed = brentq(lambda rate, case=case: npv(rate, flows[:, case]), -0.9, 10, xtol=1e-14)
        assert ours[case] == pytest.approx(bracketed, abs=1e-11)


def test_rows_that_do_not_converge_are_withheld_and_the_others_are_right(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rng = np.random.default_rng(5)
    flows = np.vstack([-(10.0 ** rng.uniform(0, 4, 500)), rng.uniform(0, 500, (20, 500))])
    full = irr(flows).value
    monkeypatch.setattr(roots, "MOST_STEPS", 8)
    cut = irr(flows)
    reached = np.isfinite(cut.value)
    assert 0 < reached.sum() < 500
    assert np.array_equal(cut.value[reached], full[reached])
    assert set(cut.reason[~reached]) == {"not found to full precision"}
    assert set(cut.roots[~reached]) == {0}


def test_several_rates_not_all_reached_give_no_value(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(roots, "MOST_STEPS", 2)
    found = irr([-50, -100, 600, 300, -100])
    assert np.isnan(found.value)
    assert found.reason == "not found to full precision"
    with pytest.raises(FinanceError, match="full precision"):
        irr_roots([-50, -100, 600, 300, -100])


@pytest.mark.parametrize("flows", [[-100, 60, 60], [-50, -100, 600, 300, -100]])
def test_a_root_that_does_not_balance_is_not_believed(flows: list[float], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(roots, "_bracketed", lambda coef, sign, low, high: np.full(low.shape, 0.7))
    found = irr(flows)
    assert np.isnan(found.value)
    assert found.roots == ()
    assert found.reason == "not found to full precision"


@pytest.mark.parametrize("scale", [1e-20, 1e20])
def test_the_unit_of_money_changes_no_rate(scale: float) -> None:
    """By hand: 100 y² = 60 y + 60, so y = 0.3 + √0.69."""
    found = irr([-100 * scale, 60 * scale, 60 * scale])
    assert float(found.value) == pytest.approx(0.3 + 0.69**0.5 - 1, rel=1e-12)


def sturm_count(flows: list[int]) -> int:
    """Number of distinct positive roots y of the sum of flows[t] y**(N-t), in exact fractions (Sturm)."""
    first = [Fraction(flow) for flow in flows]
    while first and first[-1] == 0:
        first.pop()
    while first and first[0] == 0:
        first.pop(0)
    degree = len(first) - 1
    chain = [first, [term * (degree - place) for place, term in enumerate(first[:-1])]]
    while chain[-1]:
        rest, by = list(chain[-2]), chain[-1]
        while len(rest) >= len(by):
            share = rest[0] / by[0]
            rest = [a - share * b for a, b in zip(rest, by + [Fraction(0)] * len(rest), strict=False)][1:]
        while rest and rest[0] == 0:
            rest.pop(0)
        chain.append([-term for term in rest])
    at_zero, at_infinity = [row[-1] for row in chain if row], [row[0] for row in chain if row]

    def variations(values: list[Fraction]) -> int:
        signs = [value > 0 for value in values if value]
        return sum(a != b for a, b in pairwise(signs))

    return variations(at_zero) - variations(at_infinity)


@settings(deadline=None, max_examples=200)
@given(st.lists(st.integers(-12, 12), min_size=2, max_size=9))
def test_the_number_of_roots_is_that_of_exact_arithmetic(flows: list[int]) -> None:
    if not any(flows):
        return
    assert len(irr_roots(flows)) == sturm_count(flows)


@pytest.mark.parametrize("flows", [[100, 50], [-100, -50], [0, 0], [-100], [-100, np.nan]])
def test_mirr_without_a_sign_change_is_nan(flows: list[float]) -> None:
    assert np.isnan(mirr(flows, 0.1, 0.1))


def test_mirr_of_one_outlay_and_one_receipt_is_irr() -> None:
    """ASTM E1057 says so of the adjusted rate: with one outlay and one receipt the two are equal."""
    flows = [-100.0, 0.0, 0.0, 133.1]
    assert mirr(flows, 0.03, 0.07) == pytest.approx(0.1, abs=1e-12)
    assert irr(flows).value == pytest.approx(0.1, abs=1e-12)
