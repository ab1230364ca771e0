"""Ratios of present values. Each definition is fixed here: a ratio depends on what stands below the line."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from econ.errors import FinanceError
from econ.finance.shapes import Figure, FloatArray, figure, rate_per_case, same_cases, same_years, yearly
from econ.finance.worth import worth


def benefit_cost_ratio(rate: ArrayLike, benefits: ArrayLike, costs: ArrayLike) -> Figure:
    """Present value of all benefits over present value of all costs.

    rate: per year as a fraction [1/a], one number or one a case. benefits, costs: money a year, years on
    axis 0, cases on axis 1, **both entered as positive amounts**, the first falling today; every running
    cost stands in `costs`, none is netted from the benefits. Moving a cost across the line changes the
    ratio, not the net present value: do not rank choices by it.

    Float for plain lists and one rate, else array (cases,). nan where the costs are not worth more than
    nothing. Raises FinanceError for a rate of -100 % or below, no years, or lists of different length.
    Source: ASTM E964 (title and scope read): all amounts discounted.
    """
    return figure(*_ratio(rate, benefits=benefits, costs=costs))


def savings_investment_ratio(rate: ArrayLike, savings: ArrayLike, investment: ArrayLike) -> Figure:
    """Present value of operating savings over present value of the additional investment.

    savings: yearly operating savings against the other way (cost of that way less cost of this one).
    investment: first cost and replacements as positive amounts, salvage as a negative amount in its year.
    Shapes, timing, nan and errors as for `benefit_cost_ratio`. Above 1 the investment pays.
    Source: ASTM E964; 10 CFR 436.18.
    """
    return figure(*_ratio(rate, savings=savings, investment=investment))


def adjusted_irr(rate: ArrayLike, savings: ArrayLike, investment: ArrayLike) -> Figure:
    """Yearly yield of the investment when savings are put back to work at `rate` [1/a].

    (1 + rate) * SIR**(1/N) - 1, SIR as in `savings_investment_ratio`, N = len(savings) - 1: the N-th root of
    the terminal value of the savings over the present value of the costs, less 1. Always one value; above
    `rate` exactly when SIR is above 1. nan where SIR is negative or nan.
    Shapes and errors as for `benefit_cost_ratio`; also FinanceError where no year follows today.
    Source: 10 CFR 436.22; ASTM E1057.
    """
    ratio, plain = _ratio(rate, savings=savings, investment=investment)
    rates, _ = rate_per_case("rate", rate)
    years = len(yearly("savings", savings)[0]) - 1
    if years < 1:
        raise FinanceError("an adjusted rate of return needs at least one year after today")
    root = np.where(ratio >= 0.0, ratio, np.nan) ** (1.0 / years)
    return figure((1.0 + rates) * root - 1.0, plain)


def levelised_cost(rate: ArrayLike, costs: ArrayLike, output: ArrayLike) -> Figure:
    """Cost of one unit of output: present value of costs over present value of output.

    costs: money a year as positive amounts, credits negative, the first falling today; output: units a year
    (tonnes, say), usually 0 today. The level price at which the output would just pay its costs. With level
    output and running cost it is (A/P * first cost + running cost) / output.
    Shapes and errors as for `benefit_cost_ratio`; nan where the discounted output is not above nothing.
    Use a real rate with costs in constant money. Source: common practice, no page read.
    """
    return figure(*_ratio(rate, costs=costs, output=output))


def _ratio(rate: ArrayLike, **over_under: ArrayLike) -> tuple[FloatArray, bool]:
    """Present value of the first over that of the second, nan where that is not positive; was all plain."""
    (top_name, top), (bottom_name, bottom) = over_under.items()
    above, plain_above = yearly(top_name, top)
    below, plain_below = yearly(bottom_name, bottom)
    rates, plain_rate = rate_per_case("rate", rate)
    same_years(**{top_name: above, bottom_name: below})
    same_cases(**{"rate": rates, top_name: above, bottom_name: below})
    worth_above, worth_below = np.broadcast_arrays(worth(rates, above), worth(rates, below))
    unknown = np.full(worth_below.shape, np.nan)
    ratio = np.divide(worth_above, worth_below, out=unknown, where=worth_below > 0.0)
    return ratio, plain_above and plain_below and plain_rate
