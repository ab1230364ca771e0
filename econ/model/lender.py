"""What a lender asks for: coverage of the debt, sources and uses, and 24 months of cash.

Coverage of year t = (operating cash - parts that wear - the owner's tax) / (interest + principal); a grant
is not counted in it. By month: sales less selling costs follow the season, other operating cash comes in
twelfths, the debt by its own schedule, all else in the last month of its year, the grant in a column of its
own since it is only hoped for. The till starts with the working capital. Its coefficients: what one unit of
a loan costs by year and month, and the contingency share.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from econ import evidence, finance
from econ.model.cashflow import TINY, Financed, Project
from econ.model.ledger import Book, Quantity, total
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


SPRING = (3, 4, 5)
"""Calendar months in which beds are dug."""

Yearly = dict[int, Quantity]


def lender(b: Book, plan: Plan, found: Project, owner: Financed) -> None:
    """Sources and uses, coverage and months, from the owner's cash and tax and the debt service by year."""
    sources(b)
    if owner.service:
        coverage(b, plan, found, owner.tax, owner.service)
    months(b, plan, found, owner.cash, owner.service)


def sources(b: Book) -> None:
    """Uses of funds in year 0, and what must be found besides the loan."""
    working = b.optional("capital.working")
    bought = b["capital_total_today"]
    uses = b.line("uses_total", bought if working is None else bought + working)
    b.line("own_money", uses - b["loan_today"])
    b.line("own_money_share", b["own_money"] / np.maximum(uses, TINY))


def coverage(b: Book, plan: Plan, found: Project, tax: Yearly, service: Yearly) -> None:
    """Coverage of every year of the loan, and the lowest."""
    lowest: Quantity = None
    for t, due in service.items():
        earned = found.operating[t] - found.parts[t] if plan.wear else found.operating[t]
        available = b.year("available_for_debt", t, earned - tax[t])
        ratio = b.year("debt_coverage", t, available / np.maximum(due, TINY))
        lowest = b.year("lowest_coverage_so_far", t, ratio if lowest is None else np.minimum(lowest, ratio))
    b.line("lowest_coverage", lowest)


def months(b: Book, plan: Plan, found: Project, cash: Yearly, service: Yearly) -> None:
    """Cash by month for two years (one where the study is one year), and the lowest balance."""
    shares = _season(b)
    working = b.optional("capital.working")
    balance = b.month("month_balance", 0, 0.0 if working is None else working)
    lowest = b.month("month_lowest", 0, balance)
    when = b.month("month_of_lowest", 0, 0.0)
    for year in range(1, min(MONTHS // 12, plan.years) + 1):
        selling = found.selling[year]
        net = found.sales[year] if selling is None else found.sales[year] - selling
        sold = b.line(f"sales_net_year_{year}", net)
        other = b.line(f"other_operating_year_{year}", found.operating[year] - sold)
        rest = cash[year] - found.operating[year]
        granted = plan.has_grant and plan.grant_year == year
        if granted:
            paid = b.line("grant_when_paid", b["grant_today"] / found.deflator[year])
            rest = rest - paid
        at_end = b.line(f"year_end_year_{year}", rest + service[year] if year in service else rest)
        worn = b.line(f"deflator_year_{year}", found.deflator[year])
        for m in range(12 * year - 11, 12 * year + 1):
            calendar = (plan.first_month + m - 2) % 12 + 1
            flow = b.month("month_sales", m, sold * shares[calendar in SPRING])
            flow = flow + b.month("month_other", m, other / 12)
            if year in service:
                flow = flow - b.month("month_debt", m, b["loan_today"] * b[f"loan_month_{m}"] / worn)
            if m % 12 == 0:
                flow = flow + b.month("month_year_end", m, at_end)
                flow = flow + b.month("month_grant", m, paid) if granted else flow
            balance = b.month("month_balance", m, balance + flow)
            lower = np.greater(lowest, balance) * 1.0
            when = b.month("month_of_lowest", m, when * (1 - lower) + lower * m)
            lowest = b.month("month_lowest", m, np.minimum(lowest, balance))
    b.line("lowest_balance", lowest)
    b.line("lowest_balance_month", when)
    b.line("money_to_bridge", np.maximum(0 - lowest, 0))


def _season(b: Book) -> dict[bool, Quantity]:
    """Share of a year's sales made in a month, by whether it is a month of spring."""
    spring = b.optional("market.spring_share")
    if spring is None:
        return {True: 1 / 12, False: 1 / 12}
    return {
        True: b.line("spring_month_share", spring / 3),
        False: b.line("other_month_share", (1 - spring) / 9),
    }
