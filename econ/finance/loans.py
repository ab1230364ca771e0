"""Loans repaid in level payments."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from econ.errors import FinanceError
from econ.finance.shapes import FloatArray, per_case, rate_per_case, same_cases, whole
from econ.finance.worth import annuity


@dataclass(frozen=True, eq=False)
class LoanSchedule:
    """A loan period by period: periods on axis 0, cases on axis 1 where several were given.

    payment, interest, principal: money paid at the end of each period, positive, payment = interest +
    principal; balance: money still owed after that payment, 0 at the end.
    """

    payment: FloatArray
    interest: FloatArray
    principal: FloatArray
    balance: FloatArray


def loan_schedule(
    principal: ArrayLike, rate: ArrayLike, years: float, per_year: int = 12, grace: int = 0
) -> LoanSchedule:
    """Schedule a loan repaid in level payments at the end of each period.

    principal: money lent today, not negative; rate: nominal rate per year as a fraction [1/a], compounded
    per_year times (each period bears rate / per_year); both one number or one a case. years: the whole term
    including grace; years * per_year must be whole. grace: number of first periods [-] in which interest
    only is paid; the level payments fall in the rest. A rate of 0 repays equal parts.
    Payments are nominal money, all level ones alike; the last balance is exactly 0.

    Raises FinanceError for a negative principal, a rate of -100 % a period or below, a term that is not a
    whole number of periods, or a grace that leaves no period to repay in.
    Convention: PMT, IPMT and PPMT of spreadsheets with payment at the end, signs reversed.
    """
    periods = whole("years * per_year", years * whole("per_year", per_year, least=1), least=1)
    waiting = whole("grace", grace, least=0)
    if waiting >= periods:
        raise FinanceError(f"grace of {waiting} periods leaves none of the {periods} to repay in")
    lent, plain_lent = per_case("principal", principal)
    if np.any(lent < 0.0):
        raise FinanceError(f"principal must not be negative; found {np.nanmin(lent)}")
    yearly_rates, plain_rate = per_case("rate", rate)
    rates, _ = rate_per_case("rate / per_year", yearly_rates / per_year)
    same_cases(principal=lent, rate=rates)
    columns = _run(lent, rates, periods, waiting)
    return LoanSchedule(*(column[:, 0] if plain_lent and plain_rate else column for column in columns))


def _run(lent: FloatArray, rate: FloatArray, periods: int, waiting: int) -> list[FloatArray]:
    """Payment, interest, principal and balance, each (periods, cases)."""
    rows = level_payments(lent, rate, periods, waiting)
    return [np.stack(np.broadcast_arrays(*column)) for column in zip(*rows, strict=True)]


def level_payments(lent: Any, rate: Any, periods: int, waiting: int) -> list[tuple[Any, Any, Any, Any]]:
    """Payment, interest, principal and balance of each period, in arithmetic alone: for arrays or cells."""
    level = lent / annuity(rate, periods - waiting)
    balance = [lent] * waiting + [0.0 * lent] * (periods - waiting)
    # Backwards from the end rounding shrinks; forwards it would grow with the interest.
    for period in reversed(range(waiting, periods - 1)):
        balance[period] = (balance[period + 1] + level) / (1.0 + rate)
    found = []
    for period, (before, after) in enumerate(zip([lent, *balance], balance, strict=False)):
        interest = before * rate
        payment = interest if period < waiting else level
        found.append((payment, interest, payment - interest, after))
    return found
