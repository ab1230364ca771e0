"""What stands beside the headline: with the grant, the owner after finance, and char that earns nothing.

A view adds flows to the project's and reckons its own tax and losses carried. The owner's view adds loan,
grant and debt service. A grant is paid at the end of its year; it is taxed with the full cost written down,
or it is not taxed and lowers the cost written down, by the kiln's own method and life. Interest is deducted.
The loan and the grant are nominal amounts and in a real study worn down by inflation.
"""

from __future__ import annotations

import numpy as np

from econ.model.assets import Asset, Names
from econ.model.cashflow import Added, Financed, Project, View, view
from econ.model.ledger import Book, Quantity
from econ.model.plan import Plan

OWNER = frozenset({"npv_owner", "owner_cash", "lowest_coverage", "lowest_balance", "own_money"})
"""Figures for which the owner's and the lender's view are reckoned."""

ZERO_PRICE = frozenset({"npv_char_price_zero"})
WITH_GRANT = frozenset({"npv_with_grant"})

GRANT_NAMES = Names("", "", "grant_unit_cost", "grant_written", "grant_book", "grant_age", "grant_older_written")


def views(b: Book, plan: Plan, found: Project) -> Financed | None:
    """NPV with the grant and with a char price of zero; the owner's view, None where nobody asked for it."""
    amount = grant_amount(b)
    needs_grant = b.wants(OWNER) or b.wants(WITH_GRANT)
    added = Added()
    if plan.has_grant and needs_grant:
        _add_grant(b, plan, found, amount, added)
    if plan.has_grant and plan.grant_excluded:
        if b.wants(WITH_GRANT):
            b.line("npv_with_grant", view(b, plan, found, "granted", added).npv)
    else:
        b.line("npv_with_grant", b["npv"] + _late_grant(b, plan, amount))
    if b.wants(ZERO_PRICE):
        unsold = view(b, plan, found, "unsold", _no_sales(b, plan, found))
        b.line("npv_char_price_zero", unsold.npv)
    if not b.wants(OWNER):
        return None
    service = _add_loan(b, plan, found, added)
    owner = View(found.cash, found.tax, b["npv"])
    if plan.has_grant or plan.loan_years:
        owner = view(b, plan, found, "owner", added)
    b.line("npv_owner", owner.npv)
    return Financed(owner.cash, owner.tax, service)


def grant_amount(b: Book) -> Quantity:
    """The grant hoped for: the amount typed, or the share of what is bought today."""
    share = b.optional("grant.share")
    return b.line("grant_today", b["money.grant"] if share is None else b["capital_total_today"] * share)


def _late_grant(b: Book, plan: Plan, amount: Quantity) -> Quantity:
    """A taxable grant today: its tax off, discounted to the year in which it is paid."""
    ratio = b["money.discount_rate"] + 1
    if plan.is_real:
        ratio = b.line("grant_wears_by", ratio * (b["money.inflation"] + 1))
    late = amount * (1 - b["money.tax_rate"]) / ratio
    for year in range(2, plan.grant_year + 1):
        late = b.line(f"year_{year}_grant_late", late / ratio)
    return late


def _add_grant(b: Book, plan: Plan, found: Project, amount: Quantity, added: Added) -> None:
    """The grant in the year in which it is paid, and its tax side."""
    paid = b.year("grant_paid", plan.grant_year, amount / found.deflator[plan.grant_year])
    added.put(plan.grant_year, paid, None if plan.grant_excluded else paid)
    if not plan.grant_excluded:
        return
    basis = np.minimum(amount, b["capital_total_today"])
    start = b.year(GRANT_NAMES.unit_cost, 0, basis)
    book = b.year(GRANT_NAMES.book, 0, start)
    asset = Asset(GRANT_NAMES, plan.kiln_method, b["kiln.life"], start, book, spent={0: start})
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


def _no_sales(b: Book, plan: Plan, found: Project) -> Added:
    """Char that brings nothing: the income of sales taken off, and the part of it that breakdowns took."""
    added = Added()
    downtime = b.optional("costs.downtime_share")
    for t in range(1, plan.years + 1):
        lost = found.sales[t] if downtime is None else found.sales[t] * (1 - downtime)
        added.put(t, 0 - lost, 0 - lost)
    return added
