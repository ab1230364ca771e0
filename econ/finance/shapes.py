"""What the money functions accept, and the way back from arrays to a plain number."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from econ.errors import FinanceError

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]
Figure = float | FloatArray
"""One figure for a plain list of years, or one figure a case."""


def numbers(name: str, values: ArrayLike) -> FloatArray:
    """Values as float64; raises FinanceError where they are text, truth values or ragged."""
    try:
        array = np.asarray(values)
    except ValueError:
        raise FinanceError(f"{name}: the rows differ in length; give every year the same cases") from None
    if array.dtype.kind not in "iuf":
        raise FinanceError(f"{name} must be numbers; found {array.dtype.name}")
    return array.astype(np.float64, copy=False)


def yearly(name: str, flows: ArrayLike) -> tuple[FloatArray, bool]:
    """Flows as (years, cases), and whether a plain list of years was given."""
    array = numbers(name, flows)
    if array.ndim not in (1, 2):
        wanted = "a list of years, or years on axis 0 and cases on axis 1"
        raise FinanceError(f"{name} must be {wanted}; found {array.ndim} axes")
    if array.shape[0] == 0:
        raise FinanceError(f"{name}: there are no years; give at least the flow of today")
    return (array[:, np.newaxis], True) if array.ndim == 1 else (array, False)


def per_case(name: str, value: ArrayLike) -> tuple[FloatArray, bool]:
    """Return a value as (cases,), and whether a plain number was given."""
    array = numbers(name, value)
    if array.ndim > 1:
        raise FinanceError(f"{name} must be one number or one number a case; found {array.ndim} axes")
    return np.atleast_1d(array), array.ndim == 0


def rate_per_case(name: str, rate: ArrayLike) -> tuple[FloatArray, bool]:
    """Return a rate as (cases,), and whether a plain number was given; refuse -100 % and below."""
    array, plain = per_case(name, rate)
    refuse_at_minus_one(name, array)
    return array, plain


def rate_with_flows(rate: ArrayLike, flows: ArrayLike) -> tuple[FloatArray, FloatArray, bool]:
    """A rate as (cases,) and flows as (years, cases) of as many cases, and whether both were plain."""
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


def same_years(**given: FloatArray) -> None:
    """Raise FinanceError unless all flows have the same number of years."""
    _same("years", {name: array.shape[0] for name, array in given.items()}, "; fill up with zeros")


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
    """One float where plain input was given, else the array."""
    return float(values[0]) if plain else values
