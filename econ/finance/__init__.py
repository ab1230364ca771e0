"""Money functions that know no bones: present worth, rates of return, payback, loans, depreciation.

Array-first: flows have years on axis 0 and cases on axis 1; a plain list of years gives a plain number. Money
received is positive, money paid is negative. Rates are fractions per year (0.08, not 8). Year 0 is today and is
not discounted; year t falls at the end of year t. Flows and rate are both nominal or both real. A case inside an
array is, bit for bit, the same case alone.
"""

from __future__ import annotations

from econ.finance.present_value import (
    adjusted_irr,
    annual_equivalent,
    benefit_cost_ratio,
    capital_recovery_factor,
    levelised_cost,
    npv,
    real_rate,
    savings_investment_ratio,
)
from econ.finance.returns import (
    Irr,
    depreciation,
    discounted_payback_years,
    irr,
    irr_roots,
    level_payments,
    mirr,
    payback_crossings,
    payback_years,
)

__all__ = [
    "Irr", "adjusted_irr", "annual_equivalent", "benefit_cost_ratio", "capital_recovery_factor",
    "depreciation", "discounted_payback_years", "irr", "irr_roots", "level_payments", "levelised_cost",
    "mirr", "npv", "payback_crossings", "payback_years", "real_rate", "savings_investment_ratio",
]  # fmt: skip
