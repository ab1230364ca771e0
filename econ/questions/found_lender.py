"""What a lender asks of the questions, as records: trials, and the chances that a figure is missed."""

from __future__ import annotations

from dataclasses import dataclass

COVERAGE_ASKED = 1.25
"""Debt service coverage that lenders commonly ask for (common practice, no source)."""
CENT = 0.01
"""A balance not below this much under zero is zero."""


@dataclass(frozen=True, slots=True)
class Stress:
    """One trial of a lender: NPV, lowest debt service coverage (nan without a loan), lowest monthly balance."""

    name: str
    label: str
    npv: float
    lowest_coverage: float
    lowest_balance: float


@dataclass(frozen=True, slots=True)
class DebtChances:
    """Shares of the samples in which a lender's figure is missed, and the P10 of the lowest monthly balance.

    Coverage is nan without a loan. The balance counts a grant only once it is awarded; `with_award` counts one
    that is only asked for, nan where there is none.
    """

    coverage_below_asked: float
    coverage_below_one: float
    balance_below_zero: float
    balance_below_zero_with_award: float
    lowest_balance_p10: float
