"""What is bought, renewed, written down and sold again: the kiln, other equipment, parts that wear.

Each asset is a pool with a nominal book value; a purchase at the end of year v is written down from year v + 1.
Straight line takes cost / life a year; double declining balance 2 / life of the book, or the book over the years
left where that is more; sum of the years' digits falls with age; a half-year table takes its printed share of
every purchase, k years after it. What is renewed early goes on being written down; nothing is traded in. A share
written off at once (US: Section 179, bonus depreciation) goes in the first year after a purchase.

A life that ends within the last year renews nothing: the part of a new life used up by the end is charged. What is
left of a life comes back straight line, and of what was bought first no more than the resale typed. That does not
bound a replacement, hardly used: the answer would jump where a life just fills the study.
"""

from __future__ import annotations

import numpy as np

from econ.fields import field, record
from econ.finance import returns as finance
from econ.model.ledger import Book, Quantity, above, given, summed, there, total
from econ.model.plan import Item, Plan

TERMS = 8
"""Purchases of a table written down in one formula; older ones stand in a line of their own."""
RESALES = 4
"""Resales in one formula."""
ROWS = ("due", "bought", "unit_cost", "written", "book", "age", "older_written")
KILN_ROWS = {
    "due": "renewal_due", "bought": "renewal", "unit_cost": "asset_cost", "written": "depreciation_nominal",
    "book": "book_value", "age": "kiln_age", "older_written": "kiln_older_written",
}  # fmt: skip
"""The yearly lines of the kiln; those of any other asset are its name and the word (`rows_of`)."""


@record
class Asset:
    """One asset going through the years.

    `rows` its yearly lines; `life` (service) and `tax_life` in years; `unit_cost` and `book` nominal, without the
    share `at_once` of a purchase, `pending` until the year after it; `age` whole years since the last purchase;
    `spent` purchases by year.
    """

    rows: dict[str, str]
    method: str
    life: Quantity
    tax_life: Quantity
    unit_cost: Quantity
    book: Quantity
    at_once: Quantity | None = None
    pending: Quantity | None = None
    age: Quantity = 0.0
    spent: dict[int, Quantity] = field(default_factory=dict)

    @classmethod
    def start(
        cls, b: Book, rows: dict[str, str], method: str, life: Quantity, cost: Quantity, tax_life: Quantity = None
    ) -> Asset:
        """An asset bought today (cost 0: later), written down over its own tax life or that of the tax rows."""
        tax_life = given(b, "tax.life", life) if tax_life is None else tax_life
        at_once = b.optional("written_off_at_once_share")
        slowly = cost if at_once is None else cost * (1 - at_once)
        unit_cost = b.year(rows["unit_cost"], 0, slowly)
        book = b.year(rows["book"], 0, slowly)
        pending = None if at_once is None else cost * at_once
        return cls(rows, method, life, tax_life, unit_cost, book, at_once, pending, spent={0: unit_cost})

    def written(self, b: Book, t: int) -> Quantity:
        """The nominal depreciation of year t [currency]. Source: as `finance.depreciation`."""
        amount = self._amount(b, t)
        return b.year(self.rows["written"], t, amount if self.pending is None else amount + self.pending)

    def _amount(self, b: Book, t: int) -> Quantity:
        if self.method.startswith("macrs"):
            return self._by_table(b, t)
        if self.method == "straight-line":
            return np.minimum(self.book, self.unit_cost / self.tax_life)
        left = self.tax_life - self.age
        if self.method == "declining-balance":
            over_years_left = self.book / np.maximum(left, 1)
            return np.minimum(self.book, np.maximum(self.book * 2 / self.tax_life, over_years_left))
        steps = np.ceil(self.tax_life)
        digits = steps * self.tax_life - steps * (steps - 1) / 2
        return np.minimum(self.book, self.unit_cost * np.maximum(left, 0) / digits)

    def _by_table(self, b: Book, t: int) -> Quantity:
        """The printed shares over the purchases of earlier years."""
        shares = finance.depreciation("macrs", 1.0, 0.0, float(self.method.partition("-")[2]))
        years = [v for v in sorted(self.spent, reverse=True) if 0 < t - v <= len(shares)]
        parts = [self.spent[v] * round(float(shares[t - v - 1]), 6) for v in years]
        if len(parts) > TERMS:
            parts[TERMS:] = [b.year(self.rows["older_written"], t, total(parts[TERMS:]))]
        return total(parts)

    def renew(self, b: Book, t: int, since: int, cost: Quantity) -> tuple[Quantity, Quantity]:
        """Whether the asset falls due in year t, from year `since` [flag], and its cost [currency]. Definition."""
        due = b.year(self.rows["due"], t, falls_due(t - since, self.life))
        return due, b.year(self.rows["bought"], t, due * cost)

    def close(self, b: Book, t: int, written: Quantity, due: Quantity = None, bought: Quantity = None) -> None:
        """Book value, unit cost and age at the end of year t; `bought` is nominal, None where nothing can be."""
        left = self.book - (written if self.pending is None else written - self.pending)
        unit_cost, age = self.unit_cost, self.age + 1
        self.pending = None if self.at_once is None else 0.0
        if bought is not None:
            if self.at_once is not None:
                self.pending, bought = bought * self.at_once, bought * (1 - self.at_once)
            left, unit_cost, age = left + bought, unit_cost * (1 - due) + bought, age * (1 - due)
            self.spent[t] = bought
        self.book = b.year(self.rows["book"], t, left)
        self.unit_cost = b.year(self.rows["unit_cost"], t, unit_cost)
        if self.method in {"declining-balance", "sum-of-years"}:
            self.age = b.year(self.rows["age"], t, age)


def rows_of(name: str, **other: str) -> dict[str, str]:
    """The yearly lines of an asset."""
    return {word: f"{name}_{word}" for word in ROWS} | other


def falls_due(years: int, life: Quantity) -> Quantity:
    """1 [flag] where a multiple of `life` [years] ends in the year ending `years` after the start. Definition."""
    return above(np.floor(years / life), np.floor((years - 1) / life))


def life_left(b: Book, name: str, years: int, life: Quantity) -> tuple[Quantity, Quantity]:
    """The share left of the life running at the end, and that of a next life used up: one is 0 [1]. Definition."""
    ended = falls_due(years, life)
    used = b.line(f"{name}_life_used_share", years / life - np.floor(years / life))
    return b.line(f"{name}_life_left_share", (1 - used) * (1 - ended)), used * ended


def end_value(
    b: Book, name: str, cost: Quantity, left: Quantity, typed: Quantity | None = None, runs: Quantity = 0.0
) -> Quantity:
    """What comes back at the end [currency of today]: straight line on the life left. Common practice, no source.

    The resale `typed` bounds that of what was bought first: where the study holds no more than one life (`runs`).
    """
    value = cost * left
    return b.line(name, value if typed is None else np.minimum(value, typed + cost * above(runs, 1)))


def capital(b: Book, plan: Plan) -> Quantity:
    """What is bought in year 0, with contingency, without working capital [currency]. Source: AACE 18R-97."""
    expensed, bonus = there(b, "tax.expensed_share"), there(b, "tax.bonus_share")
    if expensed or bonus:
        first = total(expensed)
        b.line("written_off_at_once_share", first + bonus[0] * (1 - first) if bonus else first)
    quoted = b.line("capital_today", b["kiln.price"] + b["kiln.installation"] + b["capital.other"])
    costs = {}
    for item in plan.items:
        cost = total(there(b, f"equipment.{item.number}.cost", f"equipment.{item.number}.installation"))
        costs[item.number] = b.line(f"item_{item.number}_cost_today", cost)
    if items := [costs[item.number] for item in plan.items if item.year == 0]:
        quoted = b.line("capital_quoted_today", quoted + total(items))
    share = contingency_share(b)
    extra = b.line("contingency_today", 0.0 if share is None else quoted * share)
    return b.line("capital_total_today", quoted + extra)


def contingency_share(b: Book) -> Quantity | None:
    """The contingency typed [share of cost], or that of the estimate class (AACE 18R-97), or None. Definition."""
    return given(b, "capital.contingency_share", b.optional("contingency_of_class"))


class Equipment:
    """Every asset of a plan, moved through the years together; the kiln is number 0."""

    def __init__(self, b: Book, plan: Plan) -> None:
        self.b, self.plan = b, plan
        self.items = (Item(0, 0, plan.kiln_method, True), *plan.items)
        self.costs = {0: b.line("renewal_today", b["kiln.price"] + b["kiln.installation"])}
        extra = [] if contingency_share(b) is None else [b["contingency_today"]]
        start = total([b["capital_today"], *extra])
        self.assets = {0: Asset.start(b, KILN_ROWS, plan.kiln_method, b["kiln.life"], start)}
        for item in plan.items:
            n = item.number
            life = b[f"equipment.{n}.life"] if item.has_life else b["kiln.life"]
            cost = self.costs[n] = b[f"item_{n}_cost_today"]
            today = cost if item.year == 0 else 0.0
            self.assets[n] = Asset.start(b, rows_of(f"item_{n}"), item.method, life, today, life)

    def year(self, t: int, price: Quantity, deflator: Quantity) -> tuple[Quantity, Quantity, Quantity]:
        """Year t [currency]: nominal depreciation, what is bought, and parts that wear (both in study money)."""
        b, written, purchases = self.b, [], []
        kiln_due: Quantity = 1.0
        for item in self.items:
            asset = self.assets[item.number]
            written.append(asset.written(b, t))
            due, paid = self._buy(item, asset, t, price)
            asset.close(b, t, written[-1], due, None if paid is None else paid * deflator)
            purchases += [] if paid is None else [paid]
            kiln_due = due if item.number == 0 and due is not None else kiln_due
        parts = self._parts(t, price, kiln_due)
        if len(self.items) == 1:
            return written[0], total(purchases), parts
        all_written = b.year("depreciation_all_nominal", t, total(written))
        return all_written, b.year("bought", t, total(purchases)), parts

    def _buy(self, item: Item, asset: Asset, t: int, price: Quantity) -> tuple[Quantity, Quantity]:
        """Whether an older one goes in year t and what is paid; None where nothing can be."""
        cost = self.costs[item.number]
        if t == item.year:
            return 1.0, self.b.year(asset.rows["bought"], t, cost * price)
        if t < item.year or t == self.plan.years or not item.has_life:
            return None, None
        return asset.renew(self.b, t, item.year, cost * price)

    def _parts(self, t: int, price: Quantity, kiln_due: Quantity) -> Quantity:
        """Parts that wear, as many as wear out in year t, less one at the end of a kiln or of the study."""
        b, paid = self.b, []
        for n in self.plan.wear:
            life = b[f"wear.{n}.life"]  # several lives may end in a year, where one lasts months
            worn_out = np.floor(t / life) - np.floor((t - 1) / life)
            due = b.year(f"part_{n}_due", t, np.maximum(worn_out - kiln_due, 0))
            paid.append(b.year(f"part_{n}_paid", t, due * b[f"wear.{n}.cost"] * price))
        return b.year("parts_paid", t, total(paid)) if paid else 0.0

    def end(self) -> tuple[Quantity, Quantity]:
        """At the end, in today's prices [currency]: its worth, and what was used up of lives not bought."""
        b, years, worth, charged = self.b, self.plan.years, [], []
        for item in self.items:
            n, is_kiln = item.number, item.number == 0
            shares = there(b, "money.salvage_share" if is_kiln else f"equipment.{n}.salvage_share")
            resales = [b["kiln.price" if is_kiln else f"equipment.{n}.cost"] * share for share in shares]
            if item.has_life and item.year < years:
                name, row = ("kiln", "salvage_today") if is_kiln else (f"item_{n}", f"item_{n}_end_today")
                life, span = b["kiln.life" if is_kiln else f"equipment.{n}.life"], years - item.year
                left, used = life_left(b, name, span, life)
                cap = resales[0] if resales else None
                worth.append(end_value(b, row, self.costs[n], left, cap, span / life))
                charged.append(b.line(f"{name}_part_life_today", self.costs[n] * used))
            else:
                worth += resales
        resale = worth[0] if len(worth) == 1 else summed(b, "resale_today", worth, RESALES)
        return resale, summed(b, "part_lives_today", charged, RESALES)

    def book(self, t: int) -> Quantity:
        """Nominal book value of everything at the end of year t [currency]."""
        books = [asset.book for asset in self.assets.values()]
        return books[0] if len(books) == 1 else self.b.year("all_book", t, total(books))
