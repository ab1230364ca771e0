"""Rates of return, the internal one only where there is one; payback; loans in level payments; depreciation."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from econ.errors import FinanceError
from econ.fields import record
from econ.finance import present_value as pv
from econ.finance.present_value import BoolArray, Figure, FloatArray, IntArray
from econ.finance.roots import every_rate, sign_changes, single_rates, without_noise
from econ.shipped import listed

UNIQUE = "unique"
TOUCHES = "unique, but the NPV only touches zero there: it has one sign on both sides"
NO_CHANGE = "no sign change: all costs or all benefits"
NO_ROOT = "no real root above -100 %"
ALL_ZERO = "all flows are zero"
NOT_A_NUMBER = "a flow is not a finite number"
NOT_REACHED = "not found to full precision"
ROUNDING = 1e-12
"""A balance below this share of all money moved so far is rounding: ten times 0.1 repays 1."""


@record(frozen=True, eq=False)
class Irr:
    """Internal rate of return, or why there is none to use.

    For a plain list of flows: value [1/a], nan unless exactly one real rate above -100 % exists; roots, all such
    rates, ascending; reason in plain words. For arrays: value, the number of such rates and reason by case.
    """

    value: Figure
    roots: tuple[float, ...] | IntArray
    reason: str | NDArray[np.object_]


def irr(flows: ArrayLike) -> Irr:
    """Find the internal rate of return [1/a]: the rate at which flows, as for `npv`, are worth nothing today.

    Never chooses among several rates: the value is nan and the reason names them. One rate in spite of several
    sign changes is unique. A flow below 1e-14 of the largest of its case counts as zero. Raises FinanceError for
    no years or wrong shapes; flows that are not finite give nan. Source: ASTM E1057 (title and scope read); the
    number of roots by Descartes' rule of signs.
    """
    table, plain = pv.yearly("flows", flows)
    finite = np.isfinite(table).all(axis=0)
    clean = without_noise(np.where(finite, table, 0.0))
    changes = sign_changes(clean)
    value = np.full(finite.shape, np.nan)
    count = np.zeros(finite.shape, dtype=np.int64)
    reason = np.full(finite.shape, NO_CHANGE, dtype=np.object_)
    reason[(clean == 0.0).all(axis=0)] = ALL_ZERO
    reason[~finite] = NOT_A_NUMBER
    once = changes == 1
    value[once] = single_rates(clean[:, once])
    count[once] = np.isfinite(value[once])
    reason[once] = np.where(count[once] == 1, UNIQUE, NOT_REACHED)
    roots = tuple(value[once]) if plain and count[0] else ()
    several = np.flatnonzero(changes > 1)
    for case, found in zip(several, every_rate(clean[:, several]), strict=True):
        value[case], count[case], reason[case] = _judge(found, int(changes[case]))
        roots = tuple(rate for rate in found if not np.isnan(rate))
    if plain:
        return Irr(float(value[0]), tuple(float(rate) for rate in roots), str(reason[0]))
    return Irr(value, count, reason)


def irr_roots(flows: ArrayLike) -> tuple[float, ...]:
    """All rates [1/a] above -100 % at which the flows of one case are worth nothing, ascending.

    Rates that coincide to rounding are given once; -100 % is none. Below about -99.9999 % double precision fixes 1
    + rate to some digits only. Raises FinanceError for no years, several cases, a flow not finite. Source: as
    `irr`.
    """
    table = _one_case("irr_roots", flows)
    if not np.isfinite(table).all():
        raise FinanceError("irr_roots needs finite numbers; a flow is nan or infinite")
    clean = without_noise(table)
    (found,) = every_rate(clean) if clean.any() else ([],)
    if any(np.isnan(rate) for rate in found):
        raise FinanceError(f"a rate was {NOT_REACHED}")
    return tuple(found)


def _one_case(name: str, flows: ArrayLike) -> FloatArray:
    table, _ = pv.yearly("flows", flows)
    if table.shape[1] != 1:
        raise FinanceError(f"{name} takes one case; found {table.shape[1]}")
    return table


def mirr(flows: ArrayLike, finance_rate: ArrayLike, reinvest_rate: ArrayLike) -> Figure:
    """Return the modified rate of return [1/a]: one value whatever the flows, as MIRR of spreadsheets.

    (FV of the received at reinvest_rate / PV of the paid at finance_rate) ** (1/N) - 1, N = len(flows) - 1; the
    received grow to the end of year N, the paid are discounted to today. Shapes and errors as for `npv`; nan where
    nothing is paid or nothing received. Source: the spreadsheet function MIRR (worked examples in the tests).
    """
    table, plain = pv.yearly("flows", flows)
    finance, plain_finance = pv.rate_per_case("finance_rate", finance_rate)
    reinvest, plain_reinvest = pv.rate_per_case("reinvest_rate", reinvest_rate)
    pv.same_cases(flows=table, finance_rate=finance, reinvest_rate=reinvest)
    received = np.zeros_like(reinvest)
    for flow in np.maximum(table, 0.0):
        received = received * (1.0 + reinvest) + flow
    paid, received = np.broadcast_arrays(-pv.worth(finance, np.minimum(table, 0.0)), received)
    both = (paid > 0.0) & (received > 0.0)
    ratio = np.divide(received, paid, out=np.full(both.shape, np.nan), where=both)
    # One flow alone is never both paid and received, so the ratio is nan before N could be 0.
    # Powers one by one: numpy's own differ in the last digit between processors, and alone from among many.
    value = np.array([math.pow(one, 1.0 / max(len(table) - 1, 1)) for one in ratio]) - 1.0
    return pv.figure(value, plain and plain_finance and plain_reinvest)


def _judge(found: list[float], changes: int) -> tuple[float, int, str]:
    """Value, number of rates and reason of a case with several sign changes."""
    reached = [rate for rate in found if not np.isnan(rate)]
    if len(reached) < len(found):
        return float("nan"), len(reached), NOT_REACHED
    if not reached:
        return float("nan"), 0, NO_ROOT
    if len(reached) > 1:
        named = ", ".join(f"{round(100 * rate, 1) + 0.0:.1f} %" for rate in reached)
        return float("nan"), len(reached), f"several roots: {named}: not usable, see NPV and MIRR"
    # An even number of sign changes: the first and last flow agree, so the worth has one sign at both ends.
    return reached[0], 1, TOUCHES if changes % 2 == 0 else UNIQUE


def payback_years(flows: ArrayLike) -> Figure:
    """Years [a] until the running sum of flows first rises from below zero to zero or more, undiscounted.

    flows, shapes and errors: as for `npv`. Within the year of the crossing the flow counts as even. 0.0 where the
    sum is never below zero, nan for never or a nan flow. Money may be owed again later, see `payback_crossings`.
    Source: ASTM E1121; 10 CFR 436.23 (which adds: a rough measure only).
    """
    table, plain = pv.yearly("flows", flows)
    return pv.figure(_first_rise(table), plain)


def discounted_payback_years(rate: ArrayLike, flows: ArrayLike) -> Figure:
    """Payback [a] as `payback_years`, of flows discounted at `rate` [1/a] as in `npv`. Source: ASTM E1121."""
    rates, table, plain = pv.rate_with_flows(rate, flows)
    return pv.figure(_first_rise(pv.present_values(rates, table)), plain)


def payback_crossings(flows: ArrayLike) -> list[float]:
    """All times [a] at which the running sum of one case rises from below zero, `payback_years` first.

    More than one: money was owed again in between (a new lining, a clean-up). Empty for never, where the sum is
    never below zero, and for a nan flow. Raises FinanceError for no years or several cases. Source: as there.
    """
    table = _one_case("payback_crossings", flows)
    if np.isnan(table).any():
        return []
    return [float(rise[0]) for _, _, rise in _balances(table) if not np.isnan(rise[0])]


def _first_rise(flows: Iterable[FloatArray]) -> FloatArray:
    """First crossing of each case; 0.0 where nothing was ever owed, nan for never."""
    balances = _balances(flows)
    last, ever_owed, first = next(balances)
    for last, owed, rise in balances:  # noqa: B007 - the last balance is nan if any flow was
        first = np.where(np.isnan(first), rise, first)
        ever_owed = ever_owed | owed
    return np.where(np.isnan(last), np.nan, np.where(ever_owed, first, 0.0))


def _balances(flows: Iterable[FloatArray]) -> Iterator[tuple[FloatArray, BoolArray, FloatArray]]:
    """For each year: the balance at its end, whether money is owed then, and the crossing or nan."""
    years = iter(flows)
    balance = next(years)
    moved, owed = np.abs(balance), balance < 0.0
    yield balance, owed, np.full_like(balance, np.nan)
    for year, flow in enumerate(years, start=1):
        before, was_owed = balance, owed
        balance, moved = before + flow, moved + np.abs(flow)
        owed = balance < -ROUNDING * moved
        rises = was_owed & (balance >= -ROUNDING * moved)
        share = np.divide(-before, flow, out=np.ones_like(balance), where=rises)
        yield balance, owed, np.where(rises, year - 1 + np.minimum(share, 1.0), np.nan)


def level_payments(lent: Any, rate: Any, periods: int, waiting: int) -> list[tuple[Any, Any, Any, Any]]:
    """Payment, interest, principal and balance of each period [currency] of a loan repaid in level payments.

    lent: money today; rate [1/period]; both numbers, arrays (cases,) or cells. In the first `waiting` periods
    interest only is paid. A rate of 0 repays equal parts; payments are nominal, at the end of a period; the last
    balance is exactly 0. Source: PMT, IPMT and PPMT of spreadsheets with payment at the end, signs reversed.
    """
    level = lent / pv.annuity(rate, periods - waiting)
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
    method: str, cost: ArrayLike, salvage: ArrayLike, life: ArrayLike, *, factor: float = 2.0, switch: bool = True
) -> FloatArray:
    """Amount written off in each year of use [currency], first year first; positive, nominal money.

    method: 'straight-line' (life [years] may be fractional, one number or one a case), 'declining-balance' (each
    year factor / life of the book value, never below salvage; with `switch` the straight line over the years left
    takes over once it is larger, as VDB of spreadsheets, without it as DDB, whose sum may stay short),
    'sum-of-years' (digits falling from life to 1), 'macrs' (US half-year tables for life 3, 5, 7, 10 or 15;
    **salvage is ignored**). 0 <= salvage <= cost, one number or one a case. Returns (years,), or (years, cases)
    where arrays were given; years after the end of a life hold 0. The amounts sum to cost less salvage (macrs: to
    cost). Raises FinanceError for an unknown method, a life without meaning or table, a salvage or factor outside
    its range. Source: SLN, DDB, VDB and SYD of spreadsheets; IRS Publication 946, Appendix A, Table A-1
    (macrs_half_year.csv). The class of an asset is for an accountant.
    """
    if method not in METHODS:
        raise FinanceError(f"unknown depreciation method {method!r}; choose one of {', '.join(METHODS)}")
    read = {name: pv.per_case(name, one) for name, one in (("cost", cost), ("salvage", salvage), ("life", life))}
    arrays = {name: array for name, (array, _) in read.items()}
    pv.same_cases(**arrays)
    paid, left, lives = arrays.values()
    if np.any(left < 0.0) or np.any(left > paid):
        raise FinanceError("salvage must lie between 0 and the cost")
    if not np.all(lives > 0.0) or not np.all(np.isfinite(lives)):
        raise FinanceError(f"life must be a number of years above 0; found {lives}")
    if method == "straight-line":
        start = np.arange(int(np.ceil(lives.max(initial=0.0))))[:, np.newaxis]
        amounts = (paid - left) / lives * np.clip(lives - start, 0.0, 1.0)
    else:
        if lives.size != 1:
            raise FinanceError(f"{method} takes one life for all cases; only straight-line takes one a case")
        years = pv.whole("life", float(lives[0]), least=1)
        if method == "declining-balance":
            amounts = _declining(paid, left, years, factor, switch)
        elif method == "sum-of-years":
            amounts = (paid - left) * np.arange(years, 0, -1.0)[:, np.newaxis] / (years * (years + 1) / 2)
        elif years in (table := _half_year_percent()):
            amounts = paid * (np.array(table[years])[:, np.newaxis] / 100.0)
        else:
            raise FinanceError(f"no macrs table for a life of {years}; choose one of {', '.join(map(str, table))}")
    return amounts[:, 0] if all(plain for _, plain in read.values()) else amounts


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
    for row in listed("macrs_half_year", "finance"):
        table.setdefault(int(row["life_years"]), []).append(float(row["percent"]))
    return {life: tuple(percent) for life, percent in table.items()}
