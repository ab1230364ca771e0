"""Coefficients of the money: what one unit of a loan costs by year and month, and the contingency share."""

from __future__ import annotations

from collections.abc import Mapping

from econ import evidence, finance
from econ.model.ledger import Quantity, total
from econ.model.plan import Plan

MONTHS = 24
"""Months that the lender sees one by one."""

SHARE_OF_CLASS = {"class-5": "high", "class-4": "high", "class-3": "value", "class-2": "low", "class-1": "low"}
"""Which end of the handbook's range of contingencies goes with an estimate class: assumed."""


def factors_of_class(estimate_class: str) -> tuple[str, ...]:
    """The factors that an estimate class calls for: its accuracy and the range of contingencies."""
    if estimate_class not in SHARE_OF_CLASS:
        return ()
    return ("capex_contingency", f"aace_{estimate_class.replace('-', '')}")


def contingency(plan: Plan) -> dict[str, Quantity]:
    """The contingency share that goes with the estimate class; nothing where no class is chosen."""
    if plan.estimate_class not in SHARE_OF_CLASS:
        return {}
    found = evidence.factor("capex_contingency")
    percent = getattr(found, SHARE_OF_CLASS[plan.estimate_class])
    return {"contingency_of_class": percent / 100}


def repayment(p: Mapping[str, Quantity], plan: Plan) -> dict[str, Quantity]:
    """Interest and repayment of each year, and the payment of each of 24 months, for 1 borrowed today.

    The loan bears a twelfth of its yearly rate each month; months of interest only come first, then level
    payments. A loan that outlives the study is repaid with its last year. Empty where there is no loan.
    """
    if not plan.loan_years:
        return {}
    rows = finance.level_payments(1.0, p["loan.rate"] / 12, 12 * plan.loan_term, plan.loan_grace)
    payment, interest, principal, balance = zip(*rows, strict=True)
    found: dict[str, Quantity] = {}
    for year in range(1, plan.loan_years + 1):
        months = slice(12 * year - 12, 12 * year)
        found[f"loan_interest_{year}"] = total(interest[months])
        found[f"loan_repaid_{year}"] = total(principal[months])
    if plan.loan_term > plan.loan_years:
        last = f"loan_repaid_{plan.loan_years}"
        found[last] = found[last] + balance[12 * plan.loan_years - 1]
    for month in range(1, min(MONTHS, 12 * plan.loan_years) + 1):
        found[f"loan_month_{month}"] = payment[month - 1]
    return found
