"""Another way for the bones through the years: its cost, what it buys, and what it leaves on today's bill."""

from __future__ import annotations

from dataclasses import dataclass, field

from econ.model.assets import Asset, Names, end_value, life_left
from econ.model.cashflow import Project, Yearly
from econ.model.ledger import Book, Quantity, there, total
from econ.model.plan import Plan
from econ.model.plan_parts import Way


@dataclass
class Flows:
    """A way through the years: cash before tax and taxable profit against today's bill, and its cost alone."""

    before_tax: Yearly = field(default_factory=dict)
    profit: Yearly = field(default_factory=dict)
    costs: Yearly = field(default_factory=dict)


def present_cost(b: Book, name: str, found: Project, costs: Yearly) -> Quantity:
    """Present value of what a way costs before tax [currency], the bill it saves left out."""
    so_far = b.year(f"{name}_pv_so_far", 0, costs[0])
    for t in range(1, len(costs)):
        so_far = b.year(f"{name}_pv_so_far", t, so_far + costs[t] * found.factor[t])
    return b.line(f"{name}_pv_cost", so_far)


def own_flows(b: Book, plan: Plan, way: Way, found: Project, leftover: Quantity) -> Flows:
    """What a way itself costs, year by year, against today's bill for the same bones."""
    n = way.number
    moving, people = _yearly(b, way)
    stays = _stays(b, way, leftover)
    bought = b.line(f"option_{n}_bought", total(there(b, f"option.{n}.capital")))
    asset = _Bought(b, plan, way, bought) if way.buys else None
    flows = Flows({0: 0 - bought}, {}, {0: bought})
    for t in range(1, plan.years + 1):
        cost = moving * found.price[t] + people * found.wages[t]
        cost = b.year(f"option_{n}_cost", t, cost + found.excluded[t] + stays * found.bill[t])
        written, paid = asset.year(found, t) if asset else (0.0, 0.0)
        flows.costs[t] = cost + paid
        flows.before_tax[t] = found.bill[t] - cost - paid
        flows.profit[t] = found.bill[t] - cost - written
    return flows


class _Bought:
    """What a way buys: bought again when its life ends, written down like the kiln, worth what is left of it."""

    def __init__(self, b: Book, plan: Plan, way: Way, cost: Quantity) -> None:
        self.b, self.plan, self.way, self.cost = b, plan, way, cost
        n = way.number
        life = b[f"option.{n}.life"] if way.renews else plan.years
        tax_life = b.optional("tax.life")
        words = ("due", "bought_again", "unit_cost", "written", "book", "age", "older_written")
        names = Names(*(f"option_{n}_{word}" for word in words))
        lives = (life, life if tax_life is None else tax_life)
        self.asset = Asset.start(b, names, plan.kiln_method, lives, cost)

    def year(self, found: Project, t: int) -> tuple[Quantity, Quantity]:
        """What lowers the profit of year t besides its cost, and what is paid for things bought [currency]."""
        b, asset, way = self.b, self.asset, self.way
        written = asset.written(b, t)
        if t == self.plan.years or not way.renews:
            asset.close(b, t, written, None, None)
            paid: Quantity = 0.0
        else:
            due, paid = asset.renew(b, t, 0, self.cost * found.price[t])
            asset.close(b, t, written, due, paid * found.deflator[t])
        lowers = written / found.deflator[t]
        if t < self.plan.years:
            return lowers, paid
        back = self._end(found)
        return b.year(f"option_{way.number}_lowers", t, lowers + asset.book / found.deflator[t] - back), 0 - back

    def _end(self, found: Project) -> Quantity:
        """End value less what was used up of a life that was not bought, in the money of the last year."""
        b, n, last = self.b, self.way.number, self.plan.years
        if not self.way.renews:
            return 0.0
        left, used = life_left(b, f"option_{n}", last, self.asset.life)
        worth = end_value(b, f"option_{n}_end_today", self.cost, left)
        return b.year(f"option_{n}_end", last, (worth - self.cost * used) * found.price[last])


def _stays(b: Book, way: Way, leftover: Quantity) -> Quantity:
    """Share of today's bill that a way leaves: what it picks out or cannot sell."""
    n = way.number
    if way.kind == "compost-char":
        return 0.0
    sold = b.optional(f"option.{n}.sold_share") if way.kind == "sell" else None
    return b.line(f"option_{n}_stays_share", leftover if sold is None else 1 - sold * (1 - leftover))


def _yearly(b: Book, way: Way) -> tuple[Quantity, Quantity]:
    """Cost of a year in today's prices [currency]: fees, carbon source, land less income; and people apart."""
    n, bones = way.number, b["bones_fired_kg"]
    start = f"option.{n}."
    fee = b.line(f"option_{n}_fee_paid", total(bones * fee for fee in there(b, f"{start}fee")))
    people = b.line(f"option_{n}_people", b[f"option_{n}_people_hours"] * b["cost_per_hour"])
    mixed = [bones * kg for kg in there(b, f"{start}chips")]
    paid = [kg * price for kg in mixed for price in there(b, f"{start}chips_price")]
    chips = b.line(f"option_{n}_chips_paid", total(paid))
    share = b.optional(f"option.{n}.sold_share")
    sold = bones if share is None else bones * share
    income = b.line(f"option_{n}_brought", total(sold * price for price in there(b, f"{start}income")))
    other = total(there(b, f"{start}yearly", f"{start}land_cost"))
    moving = b.line(f"option_{n}_moving_cost", fee + chips + other - income)
    b.line(f"option_{n}_yearly_cost", moving + people)
    return moving, people


def with_small_kiln(b: Book, plan: Plan, way: Way, found: Project, own: Flows, leftover: Quantity) -> Flows:
    """Composting first and a kiln for what is left: all that the kiln costs, less fuel, people and char spared."""
    n = way.number
    spared: Yearly = {t: found.moving[t] * (1 - leftover) for t in range(1, plan.years + 1)}
    small = Flows({}, {}, {0: found.costs[0] + own.costs[0]})
    small.before_tax[0] = found.before_tax[0] + own.before_tax[0]
    kiln: Yearly = {0: found.costs[0]}
    for t in range(1, plan.years + 1):
        twice = found.bill[t] - found.excluded[t]
        kiln[t] = b.year(f"option_{n}_small_kiln", t, found.costs[t] - spared[t])
        small.costs[t] = kiln[t] + own.costs[t] - found.excluded[t]
        small.before_tax[t] = found.before_tax[t] + spared[t] + own.before_tax[t] - twice
        small.profit[t] = found.profit[t] + spared[t] + own.profit[t] - twice
    present_cost(b, f"option_{n}_small", found, kiln)
    return small
