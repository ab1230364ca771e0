"""What is bought, renewed, written down and sold again: the kiln, other equipment, parts that wear.

Each asset is a pool with a nominal book value. A purchase at the end of year v is written down from year
v + 1. Straight line takes cost / life a year until nothing is left; double declining balance takes
2 / life of the book, or the book over the years left where that is more; sum of the years' digits takes
digits that fall with age; a half-year table takes its printed share of every purchase, k years after it.
What is renewed early goes on being written down; nothing is traded in. A share written off at once
(US: Section 179, bonus depreciation) goes in the first year after a purchase, the rest by the method.

A life that ends within the last year renews nothing: the part of a new life that is used up by the end is
charged. What is left of a life at the end comes back straight line, and of what was bought first no more than
the resale typed. That resale does not bound a replacement: one bought late has hardly been used, and a bound
on it would make the answer jump where a life just fills the study.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from econ import finance
from econ.model.ledger import Book, Quantity, above, summed, total
from econ.model.plan import Item, Plan

TERMS = 8
"""Purchases of a table written down in one formula; older ones stand in a line of their own."""
RESALES = 4
"""Resales in one formula."""


@dataclass(frozen=True, slots=True)
class Names:
    """The yearly lines of one asset."""

    due: str
    bought: str
    unit_cost: str
    written: str
    book: str
    age: str
    older: str


KILN_NAMES = Names(
    "renewal_due", "renewal", "asset_cost", "depreciation_nominal", "book_value", "kiln_age", "kiln_older_written"
)


def item_names(n: int) -> Names:
    """The yearly lines of equipment `n`."""
    words = ("due", "bought", "unit_cost", "written", "book", "age", "older_written")
    return Names(*(f"item_{n}_{word}" for word in words))


@dataclass
class Asset:
    """One asset going through the years.

    `life` (service) and `tax_life` in years; `unit_cost` and `book` in nominal money, without the share
    `at_once` of a purchase, which is `pending` until the year after it; `age` is the count of whole years
    since the last purchase; `spent` holds the purchases by year.
    """

    names: Names
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
    def start(cls, b: Book, names: Names, method: str, lives: tuple[Quantity, Quantity], cost: Quantity) -> Asset:
        """An asset bought today (cost 0: later), by service and tax life."""
        at_once = b.optional("written_off_at_once_share")
        slowly = cost if at_once is None else cost * (1 - at_once)
        unit_cost = b.year(names.unit_cost, 0, slowly)
        book = b.year(names.book, 0, slowly)
        pending = None if at_once is None else cost * at_once
        return cls(names, method, *lives, unit_cost, book, at_once, pending, spent={0: unit_cost})

    def written(self, b: Book, t: int) -> Quantity:
        """The nominal depreciation of year t [currency]."""
        amount = self._amount(b, t)
        return b.year(self.names.written, t, amount if self.pending is None else amount + self.pending)

    def _amount(self, b: Book, t: int) -> Quantity:
        if self.method.startswith("macrs"):
            return self._by_table(b, t)
        if self.method == "straight-line":
            return np.minimum(self.book, self.unit_cost / self.tax_life)
        left = np.maximum(self.tax_life - self.age, 1)
        if self.method == "declining-balance":
            return np.minimum(self.book, np.maximum(self.book * 2 / self.tax_life, self.book / left))
        steps = np.ceil(self.tax_life)
        digits = steps * self.tax_life - steps * (steps - 1) / 2
        return np.minimum(self.book, self.unit_cost * np.maximum(self.tax_life - self.age, 0) / digits)

    def _by_table(self, b: Book, t: int) -> Quantity:
        """The printed shares over the purchases of earlier years."""
        shares = finance.depreciation("macrs", 1.0, 0.0, float(self.method.partition("-")[2]))
        parts = [
            self.spent[v] * round(float(shares[t - v - 1]), 6)
            for v in sorted(self.spent, reverse=True)
            if 0 < t - v <= len(shares)
        ]
        if len(parts) > TERMS:
            parts[TERMS:] = [b.year(self.names.older, t, total(parts[TERMS:]))]
        return total(parts) if parts else 0.0

    def renew(self, b: Book, t: int, since: int, cost: Quantity) -> tuple[Quantity, Quantity]:
        """Whether the asset falls due in year t, from year `since` [flag], and its renewal [currency]."""
        due = b.year(self.names.due, t, falls_due(t - since, self.life))
        return due, b.year(self.names.bought, t, due * cost)

    def close(self, b: Book, t: int, written: Quantity, due: Quantity | None, bought: Quantity | None) -> None:
        """Book value, unit cost and age at the end of year t; `bought` is nominal, None where nothing can be."""
        left = self.book - (written if self.pending is None else written - self.pending)
        aged = self.method in {"declining-balance", "sum-of-years"}
        self.pending = None if self.at_once is None else (0.0 if bought is None else bought * self.at_once)
        if due is None or bought is None:
            self.book = b.year(self.names.book, t, left)
            self.unit_cost = b.year(self.names.unit_cost, t, self.unit_cost)
            self.age = b.year(self.names.age, t, self.age + 1) if aged else self.age
            return
        bought = bought if self.at_once is None else bought * (1 - self.at_once)
        self.book = b.year(self.names.book, t, left + bought)
        self.unit_cost = b.year(self.names.unit_cost, t, self.unit_cost * (1 - due) + bought)
        self.age = b.year(self.names.age, t, (self.age + 1) * (1 - due)) if aged else self.age
        self.spent[t] = bought


def falls_due(years: int, life: Quantity) -> Quantity:
    """1 [flag] where a multiple of `life` [years] ends in the year that ends `years` after the start, else 0."""
    return above(np.floor(years / life), np.floor((years - 1) / life))


def worn_out(years: int, life: Quantity) -> Quantity:
    """How many lives [count] end in the year that ends `years` after the start: several where one lasts months."""
    return np.floor(years / life) - np.floor((years - 1) / life)


def life_left(b: Book, name: str, years: int, life: Quantity) -> tuple[Quantity, Quantity]:
    """Of the life running at the end: the share left [1], and the share of a next life that was used up [1].

    Only one of them is above zero: a life that ended within the last year was not renewed.
    """
    ended = falls_due(years, life)
    used = b.line(f"{name}_life_used_share", years / life - np.floor(years / life))
    return b.line(f"{name}_life_left_share", (1 - used) * (1 - ended)), used * ended


def end_value(
    b: Book, name: str, cost: Quantity, left: Quantity, typed: Quantity | None = None, runs: Quantity = 0.0
) -> Quantity:
    """What comes back at the end in today's prices [currency]: straight line on what is left of a life.

    The resale `typed` bounds that of what was bought first: where the study holds no more than one life (`runs`).
    """
    value = cost * left
    return b.line(name, value if typed is None else np.minimum(value, typed + cost * above(runs, 1)))


def capital(b: Book, plan: Plan) -> Quantity:
    """What is bought in year 0, with contingency; working capital stands beside it [currency]."""
    _at_once(b)
    quoted = b.line("capital_today", b["kiln.price"] + b["kiln.installation"] + b["capital.other"])
    costs = {item.number: item_cost(b, item) for item in plan.items}
    items = [costs[item.number] for item in plan.items if item.year == 0]
    if items:
        quoted = b.line("capital_quoted_today", quoted + total(items))
    share = contingency_share(b)
    extra = b.line("contingency_today", 0.0 if share is None else quoted * share)
    return b.line("capital_total_today", quoted + extra)


def _at_once(b: Book) -> None:
    """Share of a purchase written off in its first year besides the method: expensed, then bonus on the rest."""
    expensed, bonus = b.optional("tax.expensed_share"), b.optional("tax.bonus_share")
    if expensed is None and bonus is None:
        return
    first = 0.0 if expensed is None else expensed
    b.line("written_off_at_once_share", first if bonus is None else first + bonus * (1 - first))


def contingency_share(b: Book) -> Quantity | None:
    """The contingency typed [share of cost], or that of the estimate class (AACE 18R-97), or None."""
    typed = b.optional("capital.contingency_share")
    return b.optional("contingency_of_class") if typed is None else typed


def item_cost(b: Book, item: Item) -> Quantity:
    """Cost of an item bought and installed, in today's prices [currency]."""
    n = item.number
    installation = b.optional(f"equipment.{n}.installation")
    cost = b[f"equipment.{n}.cost"]
    return b.line(f"item_{n}_cost_today", cost if installation is None else cost + installation)


def kiln_lives(b: Book) -> tuple[Quantity, Quantity]:
    """Service life and tax life of the kiln [years]; the same where no tax life is typed."""
    tax_life = b.optional("tax.life")
    return b["kiln.life"], b["kiln.life"] if tax_life is None else tax_life


class Equipment:
    """Every asset of a plan, moved through the years together."""

    def __init__(self, b: Book, plan: Plan) -> None:
        self.b, self.plan = b, plan
        self.renewal = b.line("renewal_today", b["kiln.price"] + b["kiln.installation"])
        start = b["capital_today"]
        if contingency_share(b) is not None:
            start = b["capital_today"] + b["contingency_today"]
        self.kiln = Asset.start(b, KILN_NAMES, plan.kiln_method, kiln_lives(b), start)
        self.items = {item.number: self._item(item) for item in plan.items}

    def _item(self, item: Item) -> Asset:
        b, n = self.b, item.number
        life = b[f"equipment.{n}.life"] if item.has_life else b["kiln.life"]
        cost = b[f"item_{n}_cost_today"]
        return Asset.start(b, item_names(n), item.method, (life, life), cost if item.year == 0 else 0.0)

    def year(self, t: int, price: Quantity, deflator: Quantity) -> tuple[Quantity, Quantity, Quantity]:
        """Year t [currency]: nominal depreciation, what is bought, and parts that wear (both in study money)."""
        b, last = self.b, t == self.plan.years
        written = [self.kiln.written(b, t)]
        due, bought = (None, None) if last else self.kiln.renew(b, t, 0, self.renewal * price)
        self.kiln.close(b, t, written[0], due, None if bought is None else bought * deflator)
        purchases = [0.0 if bought is None else bought]
        for item in self.plan.items:
            asset = self.items[item.number]
            written.append(asset.written(b, t))
            goes, paid = self._buy_item(item, asset, t, price)
            asset.close(b, t, written[-1], goes, None if paid is None else paid * deflator)
            purchases += [] if paid is None else [paid]
        parts = self._parts(t, price, 1.0 if due is None else due)
        if not self.items:
            return written[0], purchases[0], parts
        return (
            b.year("depreciation_all_nominal", t, total(written)),
            b.year("bought", t, total(purchases)),
            parts,
        )

    def _buy_item(
        self, item: Item, asset: Asset, t: int, price: Quantity
    ) -> tuple[Quantity | None, Quantity | None]:
        """Whether an older one goes in year t and what is paid; None where nothing can be."""
        cost = self.b[f"item_{item.number}_cost_today"]
        if t == item.year:
            return 1.0, self.b.year(asset.names.bought, t, cost * price)
        if t < item.year or t == self.plan.years or not item.has_life:
            return None, None
        return asset.renew(self.b, t, item.year, cost * price)

    def _parts(self, t: int, price: Quantity, kiln_due: Quantity) -> Quantity:
        """Parts that wear, as many as wear out in year t, less one at the end of a kiln or of the study."""
        b, paid = self.b, []
        for n in self.plan.wear:
            due = b.year(f"part_{n}_due", t, np.maximum(worn_out(t, b[f"wear.{n}.life"]) - kiln_due, 0))
            paid.append(b.year(f"part_{n}_paid", t, due * b[f"wear.{n}.cost"] * price))
        return b.year("parts_paid", t, total(paid)) if paid else 0.0

    def end(self) -> tuple[Quantity, Quantity]:
        """At the end, in today's prices [currency]: its worth, and what was used up of lives not bought."""
        b, years = self.b, self.plan.years
        left, used = life_left(b, "kiln", years, b["kiln.life"])
        typed = b.optional("money.salvage_share")
        cap = None if typed is None else b["kiln.price"] * typed
        worth = [end_value(b, "salvage_today", self.renewal, left, cap, years / b["kiln.life"])]
        charged = [b.line("kiln_part_life_today", self.renewal * used)]
        for item in self.plan.items:
            self._item_end(item, worth, charged)
        resale = worth[0] if len(worth) == 1 else summed(b, "resale_today", worth, RESALES)
        return resale, summed(b, "part_lives_today", charged, RESALES)

    def _item_end(self, item: Item, worth: list[Quantity], charged: list[Quantity]) -> None:
        b, n = self.b, item.number
        share = b.optional(f"equipment.{n}.salvage_share")
        typed = None if share is None else b[f"equipment.{n}.cost"] * share
        if item.has_life and item.year < self.plan.years:
            life = b[f"equipment.{n}.life"]
            span = self.plan.years - item.year
            left, used = life_left(b, f"item_{n}", span, life)
            cost = b[f"item_{n}_cost_today"]
            worth.append(end_value(b, f"item_{n}_end_today", cost, left, typed, span / life))
            charged.append(b.line(f"item_{n}_part_life_today", cost * used))
        elif typed is not None:
            worth.append(typed)

    def book(self, t: int) -> Quantity:
        """Nominal book value of everything at the end of year t [currency]."""
        if not self.items:
            return self.kiln.book
        return self.b.year("all_book", t, total([self.kiln.book, *(asset.book for asset in self.items.values())]))
