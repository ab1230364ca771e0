"""What the money functions accept; present value, its yearly equivalent, real rates, ratios of present values.

Each ratio's definition is fixed here: a ratio depends on what stands below the line.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike, NDArray

from econ.errors import FinanceError

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]
Figure = float | FloatArray
"""One figure for a plain list of years, or one figure a case."""


def numbers(name: str, values: ArrayLike) -> FloatArray:
    """Values [their unit] as float64; raises FinanceError where they are text, truth values or ragged."""
    try:
        array = np.asarray(values)
    except ValueError:
        raise FinanceError(f"{name}: the rows differ in length; give every year the same cases") from None
    if array.dtype.kind not in "iuf":
        raise FinanceError(f"{name} must be numbers; found {array.dtype.name}")
    return array.astype(np.float64, copy=False)


def yearly(name: str, flows: ArrayLike) -> tuple[FloatArray, bool]:
    """Flows [currency] as (years, cases), and whether a plain list of years was given."""
    array = numbers(name, flows)
    if array.ndim not in (1, 2):
        wanted = "a list of years, or years on axis 0 and cases on axis 1"
        raise FinanceError(f"{name} must be {wanted}; found {array.ndim} axes")
    if array.shape[0] == 0:
        raise FinanceError(f"{name}: there are no years; give at least the flow of today")
    return (array[:, np.newaxis], True) if array.ndim == 1 else (array, False)


def per_case(name: str, value: ArrayLike) -> tuple[FloatArray, bool]:
    """Return a value [its unit] as (cases,), and whether a plain number was given."""
    array = numbers(name, value)
    if array.ndim > 1:
        raise FinanceError(f"{name} must be one number or one number a case; found {array.ndim} axes")
    return np.atleast_1d(array), array.ndim == 0


def rate_per_case(name: str, rate: ArrayLike) -> tuple[FloatArray, bool]:
    """Return a rate [1/a] as (cases,), and whether a plain number was given; refuse -100 % and below."""
    array, plain = per_case(name, rate)
    refuse_at_minus_one(name, array)
    return array, plain


def rate_with_flows(rate: ArrayLike, flows: ArrayLike) -> tuple[FloatArray, FloatArray, bool]:
    """A rate [1/a] as (cases,) and flows [currency] as (years, cases) of as many, and whether both were plain."""
    table, plain_flows = yearly("flows", flows)
    rates, plain_rate = rate_per_case("rate", rate)
    same_cases(rate=rates, flows=table)
    return rates, table, plain_flows and plain_rate


def refuse_at_minus_one(name: str, rate: FloatArray) -> None:
    """Raise FinanceError where a rate is -100 % or below: money would vanish within the year."""
    if np.any(rate <= -1.0):
        raise FinanceError(f"{name} must be above -1 (-100 % a year); found {np.nanmin(rate)}")


def same_cases(**given: FloatArray) -> None:
    """Raise FinanceError unless the last axes hold the same number of cases, or one."""
    _same("cases", {name: array.shape[-1] for name, array in given.items() if array.shape[-1] != 1})


def _same(of: str, counts: dict[str, int], do: str = "") -> None:
    if len(set(counts.values())) > 1:
        said = ", ".join(f"{name} has {count}" for name, count in counts.items())
        raise FinanceError(f"the numbers of {of} differ: {said}{do}")


def whole(name: str, value: float, least: int) -> int:
    """Return a whole number not below `least`; raise FinanceError for anything else."""
    array = numbers(name, value)
    if array.ndim or not np.isfinite(array) or abs(array - np.round(array)) > 1e-9 or np.round(array) < least:
        raise FinanceError(f"{name} must be one whole number of at least {least}; found {value}")
    return int(np.round(array))


def figure(values: FloatArray, plain: bool) -> Figure:
    """One float [its unit] where plain input was given, else the array."""
    return float(values[0]) if plain else values


def present_values(rate: FloatArray, flows: FloatArray) -> Iterator[FloatArray]:
    """Each year's flow as worth today [currency], year 0 first; no power, which rounds by length. Definition."""
    growth = np.ones_like(rate)
    for flow in flows:
        yield flow / growth
        with np.errstate(over="ignore"):
            growth = growth * (1.0 + rate)


def npv(rate: ArrayLike, flows: ArrayLike) -> Figure:
    """Net present value [currency]: the sum of flows[t] / (1 + rate)**t.

    rate [1/a]: one number or one a case. flows: years on axis 0, cases on axis 1, signs and timing as at the top
    of the package. Float for a plain list and one rate, else array (cases,); a plain list with several rates gives
    the worth at each. nan for a nan flow. Raises FinanceError for a rate of -100 % or below, no years, or
    differing numbers of cases. Source: textbooks and numpy-financial (ASTM E917). NPV of spreadsheets discounts
    the first value by one year: divide by (1 + rate) for the same figure.
    """
    rates, table, plain = rate_with_flows(rate, flows)
    return figure(worth(rates, table), plain)


def worth(rate: FloatArray, flows: FloatArray) -> FloatArray:
    """Return the NPV [currency] of checked arrays: rate [1/a] (cases,), flows (years, cases). Source: as `npv`."""
    values = present_values(rate, flows)
    today = next(values)
    later = np.zeros_like(today)
    for value in values:
        later = later + value
    return today + later


def annuity(rate: FloatArray, periods: int) -> FloatArray:
    """Worth now [1] of 1 at the end of each of `periods` periods, exact at a rate of 0 too. Definition of P/A."""
    growth = 1.0 + rate
    total = 1.0 / growth
    for _ in range(1, periods):
        growth = growth * (1.0 + rate)
        total = total + 1.0 / growth
    return total


def capital_recovery_factor(rate: ArrayLike, years: int) -> Figure:
    """Level yearly amount [1/a] of years 1 to N worth 1 today (A/P): rate / (1 - (1 + rate)**-N), 1/N at 0.

    rate [1/a]: one number or one a case, above -1; N whole and at least 1, else FinanceError. Source: factor
    tables.
    """
    rates, plain = rate_per_case("rate", rate)
    return figure(1.0 / annuity(rates, whole("years", years, least=1)), plain)


def annual_equivalent(rate: ArrayLike, flows: ArrayLike) -> Figure:
    """Net present value spread evenly over years 1 to N [currency/a]: NPV times A/P(rate, N).

    Arguments and errors as for `npv`, N = len(flows) - 1, at least 1. Compares choices with different lives,
    provided each would be repeated. Source: factor tables; ASTM E917 (annual value).
    """
    rates, table, plain = rate_with_flows(rate, flows)
    if len(table) < 2:
        raise FinanceError("an annual equivalent needs at least one year after today")
    return figure(worth(rates, table) / annuity(rates, len(table) - 1), plain)


def real_rate(nominal: ArrayLike, inflation: ArrayLike) -> Figure:
    """Rate [1/a] in money of constant worth: (1 + nominal) / (1 + inflation) - 1.

    Both broadcast. Written as (nominal - inflation) / (1 + inflation), which loses no digits when the two are
    close. Raises FinanceError for -100 % or below. Source: Fisher's identity (1 + n) = (1 + r)(1 + f); no page
    read.
    """
    named, rise = numbers("nominal", nominal), numbers("inflation", inflation)
    refuse_at_minus_one("nominal", named)
    refuse_at_minus_one("inflation", rise)
    try:
        real = np.asarray((named - rise) / (1.0 + rise))
    except ValueError:
        raise FinanceError(f"nominal {named.shape} and inflation {rise.shape} do not fit together") from None
    return real if real.ndim else float(real)


def benefit_cost_ratio(rate: ArrayLike, benefits: ArrayLike, costs: ArrayLike) -> Figure:
    """Present value of all benefits over present value of all costs [1].

    rate and shapes as for `npv`; benefits and costs are **both entered as positive amounts**, and every running
    cost stands in `costs`. Moving a cost across the line changes the ratio, not the net present value: do not rank
    choices by it. nan where the costs are not worth more than nothing. Raises FinanceError as `npv`, and for lists
    of different length. Source: ASTM E964 (title and scope read): all amounts discounted.
    """
    return figure(*_ratio(rate, benefits=benefits, costs=costs))


def savings_investment_ratio(rate: ArrayLike, savings: ArrayLike, investment: ArrayLike) -> Figure:
    """Present value of operating savings over present value of the additional investment [1]; above 1 it pays.

    savings: cost of the other way less that of this one, by year. investment: first cost and replacements
    positive, salvage negative in its year. nan and errors as for `benefit_cost_ratio`. Source: ASTM E964; 10 CFR
    436.18.
    """
    return figure(*_ratio(rate, savings=savings, investment=investment))


def adjusted_irr(rate: ArrayLike, savings: ArrayLike, investment: ArrayLike) -> Figure:
    """Yearly yield [1/a] of the investment when savings are put back to work at `rate` [1/a].

    (1 + rate) * SIR**(1/N) - 1, SIR as in `savings_investment_ratio`, N = len(savings) - 1, at least 1. Above
    `rate` exactly when SIR is above 1; nan where SIR is negative or nan. Errors as there. Source: 10 CFR 436.22;
    ASTM E1057.
    """
    ratio, plain = _ratio(rate, savings=savings, investment=investment)
    rates, _ = rate_per_case("rate", rate)
    years = len(yearly("savings", savings)[0]) - 1
    if years < 1:
        raise FinanceError("an adjusted rate of return needs at least one year after today")
    root = np.where(ratio >= 0.0, ratio, np.nan) ** (1.0 / years)
    return figure((1.0 + rates) * root - 1.0, plain)


def levelised_cost(rate: ArrayLike, costs: ArrayLike, output: ArrayLike) -> Figure:
    """Cost of one unit of output [currency/unit]: present value of costs over present value of output.

    The level price at which the output (units a year) would just pay its costs (credits negative). Errors as for
    `benefit_cost_ratio`; nan where the discounted output is not above nothing. Source: common practice, no page
    read.
    """
    return figure(*_ratio(rate, costs=costs, output=output))


def _ratio(rate: ArrayLike, **over_under: ArrayLike) -> tuple[FloatArray, bool]:
    """Present value of the first over that of the second, nan where that is not positive; was all plain."""
    (top_name, top), (bottom_name, bottom) = over_under.items()
    above, plain_above = yearly(top_name, top)
    below, plain_below = yearly(bottom_name, bottom)
    rates, plain_rate = rate_per_case("rate", rate)
    _same("years", {top_name: len(above), bottom_name: len(below)}, "; fill up with zeros")
    same_cases(**{"rate": rates, top_name: above, bottom_name: below})
    worth_above, worth_below = np.broadcast_arrays(worth(rates, above), worth(rates, below))
    ratio = np.divide(worth_above, worth_below, out=np.full(worth_below.shape, np.nan), where=worth_below > 0.0)
    return ratio, plain_above and plain_below and plain_rate
