"""Rates of return: the internal one, said only when there is one, and the modified one, always single."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from econ.errors import FinanceError
from econ.finance.present_value import worth
from econ.finance.roots import every_rate, sign_changes, single_rates, without_noise
from econ.finance.shapes import Figure, FloatArray, IntArray, figure, rate_per_case, same_cases, yearly

UNIQUE = "unique"
TOUCHES = "unique, but the NPV only touches zero there: it has one sign on both sides"
NO_CHANGE = "no sign change: all costs or all benefits"
NO_ROOT = "no real root above -100 %"
ALL_ZERO = "all flows are zero"
NOT_A_NUMBER = "a flow is not a finite number"
NOT_REACHED = "not found to full precision"


@dataclass(frozen=True, eq=False)
class Irr:
    """Internal rate of return, or why there is none to use.

    For one plain list of flows: value [1/a] is a float, nan unless exactly one real rate above -100 %
    exists; roots holds all such rates, ascending; reason says in plain words what was found.
    For arrays (years, cases): value (cases,), roots the number of such rates (cases,), reason str a case.
    """

    value: Figure
    roots: tuple[float, ...] | IntArray
    reason: str | NDArray[np.object_]


def irr(flows: ArrayLike) -> Irr:
    """Find the internal rate of return: the rate per year at which the flows are worth nothing today.

    flows: years on axis 0, cases on axis 1; received is positive, paid is negative; flows[0] falls today.
    Never chooses among several rates: the value is nan and the reason names them; use the net present value
    and `mirr` then. One rate in spite of several sign changes is reported as unique. A flow below 1e-14 of
    the largest of its case counts as zero. Cases are solved together, each to the same last bit as alone.

    Returns `Irr`. Raises FinanceError for no years or wrong shapes; flows that are not finite give nan.
    Source: ASTM E1057 (title and scope read); the number of roots by Descartes' rule of signs.
    """
    table, plain = yearly("flows", flows)
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
    """All rates per year above -100 % at which the flows of one case are worth nothing, ascending.

    flows: a list of years, flows[0] today. Rates that coincide to rounding (the NPV touches zero) are given
    once; a rate of exactly -100 % is none. Empty for flows without a sign change or without a real root.
    Below about -99.9999 % a rate in double precision no longer fixes 1 + rate to more than some digits.

    Raises FinanceError for no years, more than one case, or a flow that is not a finite number.
    """
    table, _ = yearly("flows", flows)
    if table.shape[1] != 1:
        raise FinanceError(f"irr_roots takes one case; found {table.shape[1]}")
    if not np.isfinite(table).all():
        raise FinanceError("irr_roots needs finite numbers; a flow is nan or infinite")
    clean = without_noise(table)
    (found,) = every_rate(clean) if clean.any() else ([],)
    if any(np.isnan(rate) for rate in found):
        raise FinanceError(f"a rate was {NOT_REACHED}")
    return tuple(found)


def mirr(flows: ArrayLike, finance_rate: ArrayLike, reinvest_rate: ArrayLike) -> Figure:
    """Return the modified rate of return per year: one value whatever the flows, as MIRR of spreadsheets.

    (FV of the received at reinvest_rate / PV of the paid at finance_rate) ** (1/N) - 1, N = len(flows) - 1;
    the received grow to the end of year N, the paid are discounted to today. Rates per year as fractions
    [1/a], one number or one a case; flows as for `irr`.

    Float for a plain list and single rates, else array (cases,). nan where nothing is paid or nothing
    received, or a flow is nan. Raises FinanceError for a rate of -100 % or below, no years, wrong shapes.
    Source: the spreadsheet function MIRR (worked examples in the tests).
    """
    table, plain = yearly("flows", flows)
    finance, plain_finance = rate_per_case("finance_rate", finance_rate)
    reinvest, plain_reinvest = rate_per_case("reinvest_rate", reinvest_rate)
    same_cases(flows=table, finance_rate=finance, reinvest_rate=reinvest)
    paid = -worth(finance, np.minimum(table, 0.0))
    received = _future_worth(reinvest, np.maximum(table, 0.0))
    paid, received = np.broadcast_arrays(paid, received)
    both = (paid > 0.0) & (received > 0.0)
    ratio = np.divide(received, paid, out=np.full(both.shape, np.nan), where=both)
    # One flow alone is never both paid and received, so the ratio is nan before N could be 0.
    # Powers one by one: numpy's own differ in the last digit between processors, and alone from among many.
    value = np.array([math.pow(one, 1.0 / max(len(table) - 1, 1)) for one in ratio]) - 1.0
    return figure(value, plain and plain_finance and plain_reinvest)


def _future_worth(rate: FloatArray, flows: FloatArray) -> FloatArray:
    """Worth of the flows at the end of the last year."""
    total = np.zeros_like(rate)
    for flow in flows:
        total = total * (1.0 + rate) + flow
    return total


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
