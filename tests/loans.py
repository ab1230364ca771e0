"""Whole schedules of level loans from `finance.level_payments`, the lines that the model walks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from econ.finance.returns import level_payments


@dataclass(frozen=True, eq=False)
class LoanSchedule:
    """Money at the end of each period, periods on axis 0, cases on axis 1 where several were given."""

    payment: NDArray[np.float64]
    interest: NDArray[np.float64]
    principal: NDArray[np.float64]
    balance: NDArray[np.float64]


def loan_schedule(
    principal: ArrayLike, rate: ArrayLike, years: float, per_year: int = 12, grace: int = 0
) -> LoanSchedule:
    """A loan at a nominal yearly rate, each period bearing its part; first `grace` periods of interest only."""
    lent, each = np.asarray(principal, float), np.asarray(rate, float) / per_year
    rows = level_payments(lent, each, round(years * per_year), grace)
    shape = np.broadcast_shapes(lent.shape, each.shape)
    return LoanSchedule(
        *(np.stack([np.broadcast_to(one, shape) for one in column]) for column in zip(*rows, strict=True))
    )
