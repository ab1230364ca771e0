"""What stands beside the headline: with the grant, the owner after finance, and char that earns nothing.

A view adds flows to the project's and reckons its own tax and losses carried. The owner's view adds loan,
grant and debt service. A grant is paid at the end of its year; it is taxed with the full cost written down,
or it is not taxed and lowers the cost written down, by the kiln's own method and life. Interest is deducted.
The loan and the grant are nominal amounts and in a real study worn down by inflation.
"""

from __future__ import annotations

import numpy as np

from econ.model.assets import Asset, Names, kiln_lives, life_left
from econ.model.cashflow import Added, Financed, Project, View, tax_of, view
from econ.model.ledger import Book, Quantity
from econ.model.money import STOPPED
from econ.model.plan import Plan

OWNER = frozenset({
    "npv_owner", "owner_cash", "lowest_coverage", "lowest_balance", "lowest_balance_awarded", "own_money",
})  # fmt: skip
"""Figures for which the owner's and the lender's view are reckoned."""
ZERO_PRICE = frozenset({"npv_char_price_zero"})
WITH_GRANT = frozenset({"npv_with_grant"})
FAILS = frozenset(f"npv_if_stopped_after_{year}" for year in STOPPED)

GRANT_NAMES = Names("", "", "grant_unit_cost", "grant_written", "grant_book", "grant_age", "grant_older_written")


def views(b: Book, plan: Plan, found: Project) -> Financed | None:
    """NPV with the grant and with a char price of zero; the owner's view, None where nobody asked for it."""
    amount = grant_amount(b)
    grant, loan = Added(), Added()
    if plan.has_grant and (b.wants(OWNER) or b.wants(WITH_GRANT)):
        _add_grant(b, plan, found, amount, grant)
    if plan.has_grant and b.wants(WITH_GRANT):
        b.line("npv_with_grant", view(b, plan, found, "granted", grant).npv)
    if b.wants(ZERO_PRICE):
        b.line("npv_char_price_zero", view(b, plan, found, "unsold", _no_sales(found)).npv)
    if not (b.wants(OWNER) or b.wants(FAILS)):
        return None
    service = _add_loan(b, plan, found, loan)
    owner = found.view
    if plan.has_grant or plan.loan_years:
        owner = view(b, plan, found, "owner", loan.with_all(grant))
    b.line("npv_owner", owner.npv)
    sure = owner if plan.grant_awarded or not plan.has_grant else _financed(b, plan, found, loan)
    if b.wants(FAILS):
        stopped(b, plan, found, sure)
    return Financed(owner, sure, service)


def _financed(b: Book, plan: Plan, found: Project, loan: Added) -> View:
    """The owner with the loan but without a grant that nobody has awarded yet."""
    if not plan.loan_years:
        return found.view
    return view(b, plan, found, "financed", loan)


def stopped(b: Book, plan: Plan, found: Project, sure: View) -> None:
    """Present value of all the owner's cash if the plant stops after one, two or three years.

    The kiln fetches the resale typed, never more than its life that is left, and zero where none is typed: a
    sale forced by failure is not straight line. The site is cleaned up, the debt left repaid, working capital
    freed; the hauler takes the bones again. What sale and clean-up leave of the book value is taxed, or lowers
    the tax of that year, losses carried counted. Other equipment fetches nothing; a grant may have to go back.
    """
    typed, clean = b.optional("money.salvage_share"), b.optional("money.decommissioning")
    working = b.optional("capital.working")
    for year in (year for year in STOPPED if year < plan.years):
        left, _ = life_left(b, f"stopped_{year}", year, b["kiln.life"])
        price, deflator = found.price[year], found.deflator[year]
        sold: Quantity = 0.0
        if typed is not None:
            sold = np.minimum(b["kiln.price"] * typed, b["renewal_today"] * left) * price
        sold = b.line(f"stopped_{year}_sold", sold if clean is None else sold - clean * price)
        gain = b.line(f"stopped_{year}_gain", sold - found.book[year] / deflator)
        taxed = tax_of(b, plan, sure.profit[year] + gain, sure.carried[year - 1])
        got = sold - b.line(f"stopped_{year}_tax", taxed - sure.tax[year])
        got = got if working is None else got + working / deflator
        if year < plan.loan_years:
            got = got - b["loan_today"] * b[f"loan_left_{year}"] / deflator
        got = b.line(f"stopped_{year}_got", got)
        b.line(f"npv_if_stopped_after_{year}", sure.so_far[year] + got * found.factor[year])


def grant_amount(b: Book) -> Quantity:
    """The grant requested [currency]: the amount typed, or the share of what is bought today."""
    share = b.optional("grant.share")
    return b.line("grant_today", b["money.grant"] if share is None else b["capital_total_today"] * share)


def _add_grant(b: Book, plan: Plan, found: Project, amount: Quantity, added: Added) -> None:
    """The grant in the year in which it is paid, and its tax side."""
    paid = b.year("grant_paid", plan.grant_year, amount / found.deflator[plan.grant_year])
    added.put(plan.grant_year, paid, None if plan.grant_excluded else paid)
    if not plan.grant_excluded:
        return
    basis = np.minimum(amount, b["capital_total_today"])
    asset = Asset.start(b, GRANT_NAMES, plan.kiln_method, kiln_lives(b), basis)
    for t in range(1, plan.years + 1):
        written = asset.written(b, t)
        asset.close(b, t, written, None, None)
        added.put(t, None, written / found.deflator[t])
    added.put(plan.years, None, asset.book / found.deflator[plan.years])


def _add_loan(b: Book, plan: Plan, found: Project, added: Added) -> dict[int, Quantity]:
    """The loan today and its service; returns interest and principal of each year."""
    if not plan.loan_years:
        b.line("loan_today", 0.0)
        return {}
    share = b.optional("loan.share")
    loan = b.line("loan_today", b["loan.principal"] if share is None else b["capital_total_today"] * share)
    added.put(0, loan, None)
    service: dict[int, Quantity] = {}
    for t in range(1, min(plan.loan_years, plan.years) + 1):
        interest = b.year("interest_paid", t, loan * b[f"loan_interest_{t}"] / found.deflator[t])
        repaid = b.year("principal_repaid", t, loan * b[f"loan_repaid_{t}"] / found.deflator[t])
        service[t] = b.year("debt_service", t, interest + repaid)
        added.put(t, 0 - service[t], 0 - interest)
    return service


def _no_sales(found: Project) -> Added:
    """Char that brings nothing: the income of sales taken off."""
    added = Added()
    for t, sales in found.sales.items():
        added.put(t, 0 - sales, 0 - sales)
    return added
