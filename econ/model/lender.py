"""What a lender asks for: coverage of the debt, sources and uses, and 24 months of cash.

Coverage of year t = (operating cash - renewals - parts that wear - tax) / (interest + principal); a grant
is not counted in it. By month: sales less selling costs follow the season, other operating cash comes in
twelfths, the debt by its own schedule, all else in the last month of its year. The balance starts with the
working capital. Coefficients: what one unit of a loan costs by year and month, and the contingency share.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from econ import evidence, finance
from econ.model.cashflow import TINY, Financed, Project, Yearly
from econ.model.ledger import Book, Quantity, above, there, total
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
    """The contingency share [1] of the estimate class (AACE 18R-97); nothing where no class is chosen."""
    if plan.estimate_class not in SHARE_OF_CLASS:
        return {}
    found = evidence.factor("capex_contingency")
    percent = getattr(found, SHARE_OF_CLASS[plan.estimate_class])
    return {"contingency_of_class": percent / 100}


def repayment(p: Mapping[str, Quantity], plan: Plan) -> dict[str, Quantity]:
    """Interest and principal of each year, and the payment of each of 24 months [1], for 1 borrowed today.

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
    for year in range(1, min(3, plan.loan_years - 1) + 1):
        found[f"loan_left_{year}"] = balance[12 * year - 1]
    for month in range(1, min(MONTHS, 12 * plan.loan_years) + 1):
        found[f"loan_month_{month}"] = payment[month - 1]
    return found


SPRING = (3, 4, 5)
"""Calendar months in which beds are dug."""


def lender(b: Book, plan: Plan, found: Project, owner: Financed) -> None:
    """Sources and uses, coverage and months, without a grant that is only asked for."""
    sources(b)
    if owner.service:
        coverage(b, plan, found, owner.sure.tax, owner.service)
    months(b, plan, found, owner)


def sources(b: Book) -> None:
    """Uses of funds in year 0, and what must be found besides the loan."""
    uses = b.line("uses_total", total(there(b, "capital_total_today", "capital.working")))
    b.line("own_money", uses - b["loan_today"])
    b.line("own_money_share", b["own_money"] / np.maximum(uses, TINY))


def coverage(b: Book, plan: Plan, found: Project, tax: Yearly, service: Yearly) -> None:
    """Coverage of every year of the loan, and the lowest."""
    lowest: Quantity = None
    for t, due in service.items():
        earned = found.operating[t] - found.bought[t]
        earned = earned - found.parts[t] if plan.wear else earned
        available = b.year("available_for_debt", t, earned - tax[t])
        ratio = b.year("debt_coverage", t, available / np.maximum(due, TINY))
        lowest = b.year("lowest_coverage_so_far", t, ratio if lowest is None else np.minimum(lowest, ratio))
    b.line("lowest_coverage", lowest)


def months(b: Book, plan: Plan, found: Project, financed: Financed) -> None:
    """Cash by month for two years (one where the study is one year), and the lowest balance.

    A grant is in the balance once it is awarded; until then a balance with the award stands beside it.
    """
    owner, sure, service = financed.owner, financed.sure, financed.service
    shares = _season(b)
    start = total(there(b, "capital.working"))
    balance = _Balance(b, "", start)
    hoped = _Balance(b, "_awarded", start) if plan.has_grant and not plan.grant_awarded else None
    for year in range(1, min(MONTHS // 12, plan.years) + 1):
        sold = b.line(f"sales_net_year_{year}", found.sales[year] - found.selling[year])
        other = b.line(f"other_operating_year_{year}", found.operating[year] - sold)
        rest = sure.cash[year] - found.operating[year]
        granted = plan.grant_awarded and plan.grant_year == year
        if granted:
            paid = b.line("grant_when_paid", b["grant_today"] / found.deflator[year])
            rest = rest - paid
        at_end = b.line(f"year_end_year_{year}", rest + service[year] if year in service else rest)
        worn = b.line(f"deflator_year_{year}", found.deflator[year])
        award = b.line(f"award_year_{year}", owner.cash[year] - sure.cash[year]) if hoped else 0.0
        for m in range(12 * year - 11, 12 * year + 1):
            calendar = (plan.first_month + m - 2) % 12 + 1
            flow = b.month("month_sales", m, sold * shares[calendar in SPRING])
            flow = flow + b.month("month_other", m, other / 12)
            if year in service:
                flow = flow - b.month("month_debt", m, b["loan_today"] * b[f"loan_month_{m}"] / worn)
            if m % 12 == 0:
                flow = flow + b.month("month_year_end", m, at_end)
                flow = flow + b.month("month_grant", m, paid) if granted else flow
            balance.add(m, flow)
            if hoped:
                hoped.add(m, flow + award if m % 12 == 0 else flow)
    b.line("lowest_balance", balance.lowest)
    b.line("lowest_balance_month", balance.when)
    b.line("money_to_bridge", np.maximum(0 - balance.lowest, 0))
    if hoped:
        b.line("lowest_balance_awarded", hoped.lowest)
        b.line("lowest_balance_awarded_month", hoped.when)


class _Balance:
    """A cash balance walked month by month, with its lowest so far and the month of that."""

    def __init__(self, b: Book, suffix: str, start: Quantity) -> None:
        self.b, self.suffix = b, suffix
        self.now = b.month(f"month_balance{suffix}", 0, start)
        self.lowest = b.month(f"month_lowest{suffix}", 0, self.now)
        self.when = b.month(f"month_of_lowest{suffix}", 0, 0.0)

    def add(self, m: int, flow: Quantity) -> None:
        """Month m with what came in less what went out."""
        b = self.b
        self.now = b.month(f"month_balance{self.suffix}", m, self.now + flow)
        lower = above(self.lowest, self.now)
        self.when = b.month(f"month_of_lowest{self.suffix}", m, self.when * (1 - lower) + lower * m)
        self.lowest = b.month(f"month_lowest{self.suffix}", m, np.minimum(self.lowest, self.now))


def _season(b: Book) -> dict[bool, Quantity]:
    """Share of a year's sales made in a month, by whether it is a month of spring."""
    spring = b.optional("market.spring_share")
    if spring is None:
        return {True: 1 / 12, False: 1 / 12}
    return {
        True: b.line("spring_month_share", spring / 3),
        False: b.line("other_month_share", (1 - spring) / 9),
    }
