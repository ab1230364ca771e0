"""Loans repaid in level payments, and depreciation: spreading a cost over the years of use."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from econ.errors import FinanceError
from econ.finance.present_value import FloatArray, annuity, per_case, same_cases, whole


def level_payments(lent: Any, rate: Any, periods: int, waiting: int) -> list[tuple[Any, Any, Any, Any]]:
    """Payment, interest, principal and balance of each period [currency] of a loan repaid in level payments.

    lent: money today; rate: of a period as a fraction [1/period]; both numbers, arrays (cases,) or cells. waiting:
    number of first periods in which interest only is paid; the level payments fall in the rest. A rate of 0 repays
    equal parts. Payments are nominal, at the end of a period; payment = interest + principal; the last balance is
    exactly 0. Source: PMT, IPMT and PPMT of spreadsheets with payment at the end, signs reversed.
    """
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
    """Amount written off in each year of use [currency], first year first; positive, nominal money.

    method: 'straight-line' (life [years] may be fractional, one number or one a case: the last year is a part),
    'declining-balance' (each year factor / life of the book value, never below salvage; with `switch` the straight
    line over the years left takes over once it is larger, as in VDB of spreadsheets, without it as in DDB, and
    then the sum may stay short of cost less salvage), 'sum-of-years' (digits falling from life to 1), 'macrs' (US
    half-year tables as printed for life 3, 5, 7, 10 or 15; life + 1 amounts; **salvage is ignored**, the whole
    cost is written off). factor and switch bear on 'declining-balance' only. cost, salvage: money with 0 <=
    salvage <= cost, one number or one a case. Returns (years,), or (years, cases) where arrays were given. With
    lives of several lengths, years after the end of a life hold 0. The amounts sum to cost less salvage (macrs: to
    cost). Raises FinanceError for an unknown method, a life that is not positive (or not whole where it must be,
    or without a table), a salvage outside its range, or a factor that is not positive. Source: definitions of the
    functions SLN, DDB, VDB and SYD; IRS Publication 946, Appendix A, Table A-1 (macrs_half_year.csv). The class of
    an asset is for an accountant.
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
        start = np.arange(int(np.ceil(lives.max(initial=0.0))))[:, np.newaxis]
        amounts = (paid - left) / lives * np.clip(lives - start, 0.0, 1.0)
    else:
        amounts = _by_whole_life(method, paid, left, lives, factor, switch)
    return amounts[:, 0] if plain_cost and plain_salvage and plain_life else amounts


def _by_whole_life(
    method: str, paid: FloatArray, left: FloatArray, lives: FloatArray, factor: float, switch: bool
) -> FloatArray:
    if lives.size != 1:
        raise FinanceError(f"{method} takes one life for all cases; only straight-line takes one a case")
    years = whole("life", float(lives[0]), least=1)
    if method == "declining-balance":
        return _declining(paid, left, years, factor, switch)
    if method == "sum-of-years":
        digits = np.arange(years, 0, -1.0)[:, np.newaxis]
        return (paid - left) * digits / (years * (years + 1) / 2)
    table = _half_year_percent()
    if years not in table:
        raise FinanceError(f"no macrs table for a life of {years}; choose one of {', '.join(map(str, table))}")
    return paid * (np.array(table[years])[:, np.newaxis] / 100.0)


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


@cache
def _half_year_percent() -> dict[int, tuple[float, ...]]:
    """Read the printed percentages by recovery period, in the order of the years."""
    table: dict[int, list[float]] = {}
    text = files("econ.finance").joinpath("macrs_half_year.csv").read_text(encoding="utf-8")
    for row in csv.DictReader(text.splitlines()):
        table.setdefault(int(row["life_years"]), []).append(float(row["percent"]))
    return {life: tuple(percent) for life, percent in table.items()}
