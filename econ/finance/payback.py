"""Payback: when the money put in has come back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import ArrayLike

from econ.errors import FinanceError
from econ.finance.present_value import present_values
from econ.finance.shapes import BoolArray, Figure, FloatArray, figure, rate_per_case, same_cases, yearly

ROUNDING = 1e-12
"""A balance below this share of all money moved so far is rounding: ten times 0.1 repays 1."""


def payback_years(flows: ArrayLike) -> Figure:
    """Years until the running sum of flows first rises from below zero to zero or more; nothing discounted.

    flows: years on axis 0, cases on axis 1; received is positive, paid is negative; flows[0] falls today.
    Within the year of the crossing the flow counts as even, so the answer is fractional (linear).
    0.0 where the sum is never below zero (nothing to pay back), nan for never. Money may be owed again
    later, see `payback_crossings`; what comes after the crossing is not looked at. A nan flow gives nan.

    Float for a plain list, else array (cases,). Raises FinanceError for no years or wrong shapes.
    Source: ASTM E1121; 10 CFR 436.23 (which adds: a rough measure only).
    """
    table, plain = yearly("flows", flows)
    return figure(_first_rise(table), plain)


def discounted_payback_years(rate: ArrayLike, flows: ArrayLike) -> Figure:
    """Payback as `payback_years`, but of the flows discounted to today (year-end).

    rate: per year as a fraction [1/a], one number or one a case. The discounted flow counts as even within
    the year of the crossing. A plain list with several rates gives the payback at each.
    Raises FinanceError as `payback_years`, and for a rate of -100 % or below.
    Source: ASTM E1121; finance texts (worked examples in the tests).
    """
    table, plain_flows = yearly("flows", flows)
    rates, plain_rate = rate_per_case("rate", rate)
    same_cases(rate=rates, flows=table)
    return figure(_first_rise(present_values(rates, table)), plain_flows and plain_rate)


def payback_crossings(flows: ArrayLike) -> list[float]:
    """All times [years] at which the running sum of one case rises from below zero to zero or more.

    The first is `payback_years`; more than one means that the money was owed again in between (a new lining,
    a clean-up). Empty for never, and where the sum is never below zero or a flow is nan.
    Raises FinanceError for no years or more than one case.
    """
    table, _ = yearly("flows", flows)
    if table.shape[1] != 1:
        raise FinanceError(f"payback_crossings takes one case; found {table.shape[1]}")
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
