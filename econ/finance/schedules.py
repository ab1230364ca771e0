"""Loans repaid in level payments, and depreciation: spreading a cost over the years of use."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from econ.errors import FinanceError
from econ.finance.present_value import annuity
from econ.finance.shapes import FloatArray, per_case, rate_per_case, same_cases, whole


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
    balance = [lent] * waiting + [0.0] * (periods - waiting)
    # Backwards from the end rounding shrinks; forwards it would grow with the interest.
    for period in reversed(range(waiting, periods - 1)):
        balance[period] = (balance[period + 1] + level) / (1.0 + rate)
    found = []
    for period, (before, after) in enumerate(zip([lent, *balance], balance, strict=False)):
        interest = before * rate
        payment = interest if period < waiting else level
        found.append((payment, interest, payment - interest, after))
    return found


METHODS = ("straight-line", "declining-balance", "sum-of-years", "macrs")


def depreciation(
    method: str,
    cost: ArrayLike,
    salvage: ArrayLike,
    life: ArrayLike,
    *,
    factor: float = 2.0,
    switch: bool = True,
) -> FloatArray:
    """Amount written off in each year of use, first year first; positive, nominal money.

    method: 'straight-line' (life [years] may be fractional, one number or one a case: the last year is a
    part), 'declining-balance' (each year factor / life of the book value, never below salvage; with `switch`
    the straight line over the years left takes over once it is larger, as in VDB of spreadsheets, without it
    as in DDB, and then the sum may stay short of cost less salvage), 'sum-of-years' (digits falling from
    life to 1), 'macrs' (US half-year tables as printed for life 3, 5, 7, 10 or 15; life + 1 amounts;
    **salvage is ignored**, the whole cost is written off).
    factor and switch bear on 'declining-balance' only.
    cost, salvage: money with 0 <= salvage <= cost, one number or one a case.

    Returns (years,), or (years, cases) where arrays were given. With lives of several lengths, years after
    the end of a life hold 0. The amounts sum to cost less salvage (macrs: to cost).
    Raises FinanceError for an unknown method, a life that is not positive (or not whole where it must be,
    or without a table), a salvage outside its range, or a factor that is not positive.
    Source: definitions of the functions SLN, DDB, VDB and SYD; IRS Publication 946, Appendix A, Table A-1
    (macrs_half_year.csv). Which class an asset falls in is a question for an accountant.
    """
    if method not in METHODS:
        raise FinanceError(f"unknown depreciation method {method!r}; choose one of {', '.join(METHODS)}")
    paid, plain_cost = per_case("cost", cost)
    left, plain_salvage = per_case("salvage", salvage)
    lives, plain_life = per_case("life", life)
    same_cases(cost=paid, salvage=left, life=lives)
    if np.any(left < 0.0) or np.any(left > paid):
        raise FinanceError("salvage must lie between 0 and the cost")
    if not np.all(lives > 0.0) or not np.all(np.isfinite(lives)):
        raise FinanceError(f"life must be a number of years above 0; found {lives}")
    if method == "straight-line":
        amounts = _straight_line(paid - left, lives)
    else:
        years = _one_life(method, lives)
        if method == "declining-balance":
            amounts = _declining(paid, left, years, factor, switch)
        else:
            amounts = _sum_of_years(paid - left, years) if method == "sum-of-years" else _macrs(paid, years)
    return amounts[:, 0] if plain_cost and plain_salvage and plain_life else amounts


def _one_life(method: str, lives: FloatArray) -> int:
    if lives.size != 1:
        raise FinanceError(f"{method} takes one life for all cases; only straight-line takes one a case")
    return whole("life", float(lives[0]), least=1)


def _straight_line(fall: FloatArray, lives: FloatArray) -> FloatArray:
    start = np.arange(int(np.ceil(lives.max(initial=0.0))))[:, np.newaxis]
    return fall / lives * np.clip(lives - start, 0.0, 1.0)


def _declining(paid: FloatArray, left: FloatArray, years: int, factor: float, switch: bool) -> FloatArray:
    if not factor > 0.0:
        raise FinanceError(f"factor must be above 0; found {factor}")
    remaining = paid - left
    amounts = np.empty((years, remaining.size))
    for year in range(years):
        amount = np.minimum((left + remaining) * (factor / years), remaining)
        if switch:
            amount = np.maximum(amount, remaining / (years - year))
        amounts[year] = amount
        remaining = remaining - amount
    return amounts


def _sum_of_years(fall: FloatArray, years: int) -> FloatArray:
    digits = np.arange(years, 0, -1.0)[:, np.newaxis]
    return fall * digits / (years * (years + 1) / 2)


def _macrs(paid: FloatArray, years: int) -> FloatArray:
    table = _half_year_percent()
    if years not in table:
        raise FinanceError(f"no macrs table for a life of {years}; choose one of {', '.join(map(str, table))}")
    return paid * (np.array(table[years])[:, np.newaxis] / 100.0)


@cache
def _half_year_percent() -> dict[int, tuple[float, ...]]:
    """Read the printed percentages by recovery period, in the order of the years."""
    table: dict[int, list[float]] = {}
    text = files("econ.finance").joinpath("macrs_half_year.csv").read_text(encoding="utf-8")
    for row in csv.DictReader(text.splitlines()):
        table.setdefault(int(row["life_years"]), []).append(float(row["percent"]))
    return {life: tuple(percent) for life, percent in table.items()}
