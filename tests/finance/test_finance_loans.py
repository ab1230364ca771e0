"""Loans: level payments, grace, no interest, several at once."""

from __future__ import annotations

import numpy as np
import pytest
from loans import loan_schedule


def test_by_hand_two_years() -> None:
    """210 at 10 %: two payments of 121 (worth 110 + 100 = 210)."""
    loan = loan_schedule(210, 0.1, 2, per_year=1)
    assert loan.payment == pytest.approx([121, 121])
    assert loan.interest == pytest.approx([21, 11])
    assert loan.principal == pytest.approx([100, 110])
    assert list(loan.balance) == pytest.approx([110, 0])


def test_without_interest_equal_parts() -> None:
    loan = loan_schedule(1200, 0.0, 1)
    assert list(loan.payment) == [100.0] * 12
    assert not loan.interest.any()


def test_grace_pays_interest_only_then_level_payments() -> None:
    """Two periods at 1 % of 1000, then the ten payments of a loan of ten periods."""
    loan, short = loan_schedule(1000, 0.12, 1, grace=2), loan_schedule(1000, 0.12, 10 / 12)
    assert list(loan.payment[:2]) == [10.0, 10.0]
    assert list(loan.balance[:2]) == [1000.0, 1000.0]
    assert loan.payment[2:] == pytest.approx(short.payment)
    assert loan.payment.size == 12


def test_grace_of_all_but_one_period_repays_at_once() -> None:
    assert loan_schedule(100, 0.1, 3, per_year=1, grace=2).payment == pytest.approx([10, 10, 110])


@pytest.mark.parametrize("rate", [0.0731, 0.5])
def test_the_schedule_closes_however_long(rate: float) -> None:
    """At 50 % over 30 years a schedule run forwards would miss its last payment in the eighth digit."""
    loan = loan_schedule(123456.78, rate, 30)
    assert loan.balance[-1] == 0.0
    assert np.ptp(loan.payment) == 0.0
    assert loan.principal.sum() == pytest.approx(123456.78, rel=1e-13)
    assert -np.diff(loan.balance) == pytest.approx(loan.principal[1:], rel=1e-11, abs=1e-9)
    assert loan.balance[0] == pytest.approx(123456.78 - loan.principal[0], rel=1e-14)


def test_no_loan_costs_nothing() -> None:
    assert not loan_schedule(0.0, 0.08, 5).payment.any()


@pytest.mark.parametrize(
    ("principal", "rate"), [([1000.0, 2000.0], 0.06), (1000.0, [0.06, 0.0]), ([1000.0], [0.06, 0.0])]
)
def test_several_loans_stand_side_by_side(principal: object, rate: object) -> None:
    loan = loan_schedule(principal, rate, 2)
    assert loan.payment.shape == loan.interest.shape == loan.principal.shape == loan.balance.shape == (24, 2)
    assert np.all(loan.balance[-1] == 0.0)
    assert loan.payment == pytest.approx(loan.interest + loan.principal, rel=1e-14)
