"""Present worth, its yearly equivalent, and the step between nominal and real rates."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike

from econ.errors import FinanceError
from econ.finance.shapes import (
    Figure,
    FloatArray,
    figure,
    numbers,
    rate_per_case,
    refuse_at_minus_one,
    same_cases,
    whole,
    yearly,
)


def present_values(rate: FloatArray, flows: FloatArray) -> Iterator[FloatArray]:
    """Each year's flow [(cases,)] as worth today, year by year, year 0 first.

    The growth is multiplied up year by year and never raised to a power: power functions round differently
    in long arrays and in short ones on some processors.
    """
    growth = np.ones_like(rate)
    for flow in flows:
        yield flow / growth
        with np.errstate(over="ignore"):
            growth = growth * (1.0 + rate)


def npv(rate: ArrayLike, flows: ArrayLike, mid_year: bool = False) -> Figure:
    """Net present value: the sum of flows[t] / (1 + rate)**t.

    rate: per year as a fraction [1/a], one number or one a case. flows: money, years on axis 0, cases on
    axis 1; received is positive, paid is negative; flows[0] falls today and is not discounted, flows[t] at
    the end of year t. With mid_year the flows of years 1 to N fall in the middle of their year: their worth
    is multiplied by (1 + rate)**0.5, that of today stays. Rate and flows are both nominal or both real.

    Returns a float for a plain list and one rate, else an array (cases,); a plain list with several rates
    gives the worth at each rate. A flow that is nan gives nan.
    Raises FinanceError for a rate of -100 % or below, no years, or differing numbers of cases.

    Convention: textbook and numpy-financial (ASTM E917). The function NPV of spreadsheets discounts the first
    value by one year: divide by (1 + rate) for the same figure.
    """
    table, plain_flows = yearly("flows", flows)
    rates, plain_rate = rate_per_case("rate", rate)
    same_cases(rate=rates, flows=table)
    return figure(worth(rates, table, mid_year), plain_flows and plain_rate)


def worth(rate: FloatArray, flows: FloatArray, mid_year: bool = False) -> FloatArray:
    """Return the net present value of checked arrays: rate (cases,), flows (years, cases)."""
    values = present_values(rate, flows)
    today = next(values)
    later = np.zeros_like(today)
    for value in values:
        later = later + value
    # A square root is rounded exactly, so this keeps every case equal to itself alone.
    return today + (later * np.sqrt(1.0 + rate) if mid_year else later)


def annuity(rate: FloatArray, periods: int) -> FloatArray:
    """Worth now of 1 at the end of each of `periods` periods (P/A), summed: exact at a rate of 0 too."""
    growth = 1.0 + rate
    total = 1.0 / growth
    for _ in range(1, periods):
        growth = growth * (1.0 + rate)
        total = total + 1.0 / growth
    return total


def capital_recovery_factor(rate: ArrayLike, years: int) -> Figure:
    """Level yearly amount at the end of years 1 to N that is worth 1 today (A/P).

    rate: per year as a fraction [1/a], one number or one a case; years: a whole number N of at least 1.
    Equals rate / (1 - (1 + rate)**-N), and 1/N at a rate of 0. Float or array (cases,).
    Raises FinanceError for a rate of -100 % or below, or years that are not whole.
    Source: factor tables of engineering economy texts.
    """
    rates, plain = rate_per_case("rate", rate)
    return figure(1.0 / annuity(rates, whole("years", years, least=1)), plain)


def annual_equivalent(rate: ArrayLike, flows: ArrayLike) -> Figure:
    """Net present value spread evenly over years 1 to N: NPV times A/P(rate, N), N = len(flows) - 1.

    Arguments, signs and timing as for `npv`, year-end. At a rate of 0 it is NPV / N.
    Compares choices with different lives, provided each would be repeated.
    Raises FinanceError as `npv`, and where no year follows today.
    Source: factor tables of engineering economy texts; ASTM E917 (annual value).
    """
    table, plain_flows = yearly("flows", flows)
    rates, plain_rate = rate_per_case("rate", rate)
    same_cases(rate=rates, flows=table)
    if len(table) < 2:
        raise FinanceError("an annual equivalent needs at least one year after today")
    return figure(worth(rates, table) / annuity(rates, len(table) - 1), plain_flows and plain_rate)


def real_rate(nominal: ArrayLike, inflation: ArrayLike) -> Figure:
    """Rate in money of constant worth: (1 + nominal) / (1 + inflation) - 1.

    Both per year as fractions [1/a], numbers or arrays that broadcast. Discount constant-money flows with
    it, never nominal ones. Written as (nominal - inflation) / (1 + inflation), which loses no digits when
    the two are close. Raises FinanceError for a rate of -100 % or below.
    Source: Fisher's identity (1 + n) = (1 + r)(1 + f); common practice, no page read.
    """
    named, rise = numbers("nominal", nominal), numbers("inflation", inflation)
    refuse_at_minus_one("nominal", named)
    refuse_at_minus_one("inflation", rise)
    try:
        real = np.asarray((named - rise) / (1.0 + rise))
    except ValueError:
        raise FinanceError(f"nominal {named.shape} and inflation {rise.shape} do not fit together") from None
    return real if real.ndim else float(real)
