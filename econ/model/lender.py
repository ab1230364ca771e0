"""What stands beside the headline, and what a lender asks for: debt coverage, sources and uses, monthly cash.

A view (with the grant, the owner after finance, char that earns nothing) adds flows to the project's and reckons
its own tax and losses carried. A grant is paid at the end of its year; it is taxed with the full cost written
down, or it lowers the cost written down, by the kiln's own method and life. Interest is deducted. Loan and grant
are nominal amounts and in a real study worn down by inflation.

Coverage of year t = (operating cash - renewals - parts that wear - tax) / (interest + principal), a grant not
counted. By month: sales less selling costs follow the season, other operating cash comes in twelfths, the debt by
its own schedule, all else in the last month of its year; before a late first batch only what the kiln costs
standing still is paid. The balance starts with the working capital.
"""

from __future__ import annotations

import numpy as np

from econ.model.assets import Asset, life_left, rows_of
from econ.model.cashflow import Added, Project, View, Yearly, income_tax, view
from econ.model.coefficients import MONTHS
from econ.model.ledger import TINY, Book, Quantity, above, summed, there, total
from econ.model.money import STOPPED
from econ.model.plan import Plan

SPRING = (3, 4, 5)
"""Calendar months in which beds are dug."""


def views(b: Book, plan: Plan, found: Project) -> None:
    """NPV with the grant and with a char price of zero; the owner's view and the lender's."""
    share = b.optional("grant.share")
    amount = b.line("grant_today", b["money.grant"] if share is None else b["capital_total_today"] * share)
    grant, loan = Added(), Added()
    if plan.has_grant:
        _add_grant(b, plan, found, amount, grant)
        b.line("npv_with_grant", view(b, plan, found, "granted", grant).npv)
    losses = {t: 0 - sales for t, sales in found.sales.items()}
    b.line("npv_char_price_zero", view(b, plan, found, "unsold", Added(losses, losses)).npv)
    service = _add_loan(b, plan, found, loan)
    owner = found.view
    if plan.has_grant or plan.loan_years:
        owner = view(b, plan, found, "owner", loan.with_all(grant))
    b.line("npv_owner", owner.npv)
    sure = owner
    if plan.has_grant and not plan.grant_awarded:  # the loan, but no grant that nobody has awarded yet
        sure = view(b, plan, found, "financed", loan) if plan.loan_years else found.view
    _stopped(b, plan, found, sure)
    uses = b.line("uses_total", total(there(b, "capital_total_today", "capital.working")))
    own = b.line("own_money", uses - b["loan_today"])
    b.line("own_money_share", own / np.maximum(uses, TINY))
    if service:
        _coverage(b, plan, found, sure.tax, service)
    _months(b, plan, found, owner, sure, service)


def _stopped(b: Book, plan: Plan, found: Project, sure: View) -> None:
    """Present value of all the owner's cash if the plant stops after one, two or three years.

    The kiln fetches the resale typed, never more than its life left, zero where none is typed: a forced sale is
    not straight line. The site is cleaned up, the debt repaid, working capital freed; the hauler takes the bones
    again. What sale and clean-up leave of the book value is taxed or lowers tax. Other equipment fetches nothing.
    """
    for year in (year for year in STOPPED if year < plan.years):
        left, _ = life_left(b, f"stopped_{year}", year, b["kiln.life"])
        price, deflator = found.price[year], found.deflator[year]
        typed = there(b, "money.salvage_share")
        sold = total(np.minimum(b["kiln.price"] * share, b["renewal_today"] * left) * price for share in typed)
        for clean in there(b, "money.decommissioning"):
            sold = sold - clean * price
        sold = b.line(f"stopped_{year}_sold", sold)
        gain = b.line(f"stopped_{year}_gain", sold - found.book[year] / deflator)
        tax, _ = income_tax(b, plan, sure.profit[year] + gain, sure.carried[year - 1])
        got = sold - b.line(f"stopped_{year}_tax", tax - sure.tax[year])
        got = total([got, *(working / deflator for working in there(b, "capital.working"))])
        if year < plan.loan_years:
            got = got - b["loan_today"] * b[f"loan_left_{year}"] / deflator
        got = b.line(f"stopped_{year}_got", got)
        b.line(f"npv_if_stopped_after_{year}", sure.so_far[year] + got * found.factor[year])


def _add_grant(b: Book, plan: Plan, found: Project, amount: Quantity, added: Added) -> None:
    """The grant in the year in which it is paid, and its tax side."""
    paid = b.year("grant_paid", plan.grant_year, amount / found.deflator[plan.grant_year])
    added.put(plan.grant_year, paid, None if plan.grant_excluded else paid)
    if not plan.grant_excluded:
        return
    basis = np.minimum(amount, b["capital_total_today"])
    asset = Asset.start(b, rows_of("grant"), plan.kiln_method, b["kiln.life"], basis)
    for t in range(1, plan.years + 1):
        written = asset.written(b, t)
        asset.close(b, t, written)
        added.put(t, None, written / found.deflator[t])
    added.put(plan.years, None, asset.book / found.deflator[plan.years])


def _add_loan(b: Book, plan: Plan, found: Project, added: Added) -> Yearly:
    """The loan today and its service; returns interest and principal of each year."""
    if not plan.loan_years:
        b.line("loan_today", 0.0)
        return {}
    share = b.optional("loan.share")
    loan = b.line("loan_today", b["loan.principal"] if share is None else b["capital_total_today"] * share)
    added.put(0, loan, None)
    service: Yearly = {}
    for t in range(1, plan.loan_years + 1):
        interest = b.year("interest_paid", t, loan * b[f"loan_interest_{t}"] / found.deflator[t])
        repaid = b.year("principal_repaid", t, loan * b[f"loan_repaid_{t}"] / found.deflator[t])
        service[t] = b.year("debt_service", t, interest + repaid)
        added.put(t, 0 - service[t], 0 - interest)
    return service


def _coverage(b: Book, plan: Plan, found: Project, tax: Yearly, service: Yearly) -> None:
    """Coverage of every year of the loan, and the lowest."""
    lowest: Quantity = None
    for t, due in service.items():
        earned = found.operating[t] - found.bought[t]
        earned = earned - found.parts[t] if plan.wear else earned
        available = b.year("available_for_debt", t, earned - tax[t])
        ratio = b.year("debt_coverage", t, available / np.maximum(due, TINY))
        lowest = b.year("lowest_coverage_so_far", t, ratio if lowest is None else np.minimum(lowest, ratio))
    b.line("lowest_coverage", lowest)


def _months(b: Book, plan: Plan, found: Project, owner: View, sure: View, service: Yearly) -> None:
    """Cash by month for two years at most, and the lowest balance, also with a grant not yet awarded."""
    spring: Quantity = 1 / 12
    other_month: Quantity = 1 / 12
    for share in there(b, "market.spring_share"):
        spring = b.line("spring_month_share", share / 3)
        other_month = b.line("other_month_share", (1 - share) / 9)
    start = total(there(b, "capital.working"))
    balance = _Balance(b, "", start)
    hoped = _Balance(b, "_awarded", start) if plan.has_grant and not plan.grant_awarded else None
    for year in range(1, min(MONTHS // 12, plan.years) + 1):
        sold = b.line(f"sales_net_year_{year}", found.sales[year] - found.selling[year])
        other = b.line(f"other_operating_year_{year}", found.operating[year] - sold)
        rest = sure.cash[year] - found.operating[year]
        if granted := plan.grant_awarded and plan.grant_year == year:
            paid = b.line("grant_when_paid", b["grant_today"] / found.deflator[year])
            rest = rest - paid
        at_end = b.line(f"year_end_year_{year}", rest + service[year] if year in service else rest)
        worn = b.line(f"deflator_year_{year}", found.deflator[year])
        award = b.line(f"award_year_{year}", owner.cash[year] - sure.cash[year]) if hoped else 0.0
        seasons = {
            m: spring if (plan.first_month + m - 2) % 12 + 1 in SPRING else other_month
            for m in range(12 * year - 11, 12 * year + 1)
        }
        sales, others = {m: sold * season for m, season in seasons.items()}, dict.fromkeys(seasons, other / 12)
        for waiting in there(b, "money.months_to_start") if year == 1 else ():
            sales, others = _waited(b, waiting, found.standing[1], seasons, (sold, other))
        for m in seasons:
            flow = b.month("month_sales", m, sales[m])
            flow = flow + b.month("month_other", m, others[m])
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


def _waited(
    b: Book, waiting: Quantity, standing: Quantity, seasons: Yearly, year: tuple[Quantity, Quantity]
) -> tuple[Yearly, Yearly]:
    """Sales, and other operating cash, by month of a first year, of which the kiln waits the share `waiting`.

    Until the first batch there is only what it costs standing still; the rest of the year's two sums falls on the
    months that follow, the sales by their season.
    """
    sold, other = year
    runs = {m: b.month("month_running", m, np.minimum(np.maximum(m - waiting * 12, 0), 1)) for m in seasons}
    weights = {m: run * seasons[m] for m, run in runs.items()}
    a_season = b.line("sales_per_season", sold / np.maximum(summed(b, "seasons_run", weights.values(), 6), TINY))
    standing = b.line("standing_year_1", standing)
    moving = b.line("moving_per_month", (other + standing) / np.maximum(12 - waiting * 12, TINY))
    return ({m: a_season * weight for m, weight in weights.items()},
            {m: moving * run - standing / 12 for m, run in runs.items()})  # fmt: skip


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
