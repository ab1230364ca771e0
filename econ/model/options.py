"""The other ways of handling the same bones, beside the kiln and today's way.

All stand on the bones that the kiln fires, and on those kept out of it; what a way does not take stays on today's
bill. Every way goes through the years like the kiln: own cost at the price levels of the study, what it buys and
buys again, depreciation by the kiln's method, the life left at the end, tax with losses carried
(`cashflow.taxed`). A mix is taxed on its summed flows. A way against today's is the NPV of the bill it saves less
all that it costs.

A twin of the kiln typed as an own way ties to the cent for a plant whose costs and income follow prices in general
from the first year, without anything that only a kiln has (contingency, parts, working capital, clean-up, resale).
"""

from __future__ import annotations

from functools import reduce

import numpy as np

from econ.model.assets import Asset, end_value, life_left, rows_of
from econ.model.cashflow import MOVING, Added, Project, View, Yearly, present_value, taxed, view
from econ.model.ledger import TINY, Book, Quantity, summed, there, times, total
from econ.model.plan import GATE_FEE, Plan, Way
from econ.shipped import described

MIXED = 5
"""Ways in one formula of the mix."""
CARBON: dict[str, list[str]] = described("flows", "model")["carbon"]
"""Lines of emissions and of credits by kind."""
MONEY_OF_MIX = ("pv_cost", "yearly_cost", "bought")
FIGURES = (*MONEY_OF_MIX, "people_hours", "p_kept_kg", "p_in_feed_kg", "n_kept_kg", "emissions_kg_co2e")
"""What the present mix adds up by its shares."""
PAID = ("fuel_cost", "labour_cost", "upkeep", "finish_cost", "bag_cost", "excluded_cost", "selling_cost",
        "extra_cost")  # fmt: skip
MADE = ("sale_income", "side_income", "own_use_saved")
"""Yearly amounts of the kiln at full sales, nothing bought."""


def compare(b: Book, plan: Plan, found: Project) -> None:
    """Every way's figures, the best other option, and the kiln against it."""
    _char_and_today(b, plan)
    flows: dict[int, Project] = {}
    rivals: list[Quantity] = []
    for way in plan.ways:
        npv = _gate_fee(b, plan, way, found) if way.kind == GATE_FEE else _way(b, plan, way, found, flows)
        if npv is not None and way.is_rival:
            rivals.append(npv)
    _mix(b, plan, found, flows)
    if rivals:
        best = b.line("best_other_npv", reduce(np.maximum, rivals, 0.0))
        b.line("npv_against_best", b["npv"] - best)


def _char_and_today(b: Book, plan: Plan) -> None:
    """The two ways that are always compared, by the same measures as on the first page."""
    b.line("char_cost_per_kg", b["net_cost_per_kg_bones"])
    costs = b.line("char_paid_a_year", total(there(b, *(f"{name}_today" for name in PAID))))
    made = b.line("char_made_a_year", total(there(b, *(f"{name}_today" for name in MADE))))
    b.line("char_yearly_cost", costs - made)
    b.line("char_p_kept_kg", b["p_kg"] * b["char_used_share"])
    b.line("char_n_kept_kg", (b["n_bones_kg"] - b["n_lost_kg"]) * b["char_used_share"])
    b.line("char_left_over_kg", b["bones_excluded_kg"])
    b.line("today_pv_cost", b["pv_saving"])
    b.line("today_cost_per_kg", b["saved_bill_per_kg_bones"])
    is_compost = plan.today == "composting"
    b.line("today_p_kept_kg", b["p_bones_kg"] if is_compost else 0.0)
    b.line("today_p_in_feed_kg", b["p_bones_kg"] if plan.today == "rendering" else 0.0)
    b.line("today_n_kept_kg", b["n_bones_kg"] * b["handling.compost_n_kept"] if is_compost else 0.0)


def _way(b: Book, plan: Plan, way: Way, found: Project, flows: dict[int, Project]) -> Quantity | None:
    """One way's figures; returns its NPV against today's way, or None where no money is filled in."""
    n = way.number
    leftover = _matter(b, way)
    _carbon(b, way, leftover)
    hours = b.line(f"option_{n}_{_own(way)}people_hours", total(there(b, f"option.{n}.hours")))
    if way.kind == "compost-char":
        b.line(f"option_{n}_people_hours", hours + b["hours_per_year"] * leftover)
    if not way.priced:
        return None
    own = _own_flows(b, plan, way, found, leftover)
    if way.kind == "compost-char":
        own = _with_small_kiln(b, plan, way, found, own, leftover)
    flows[n] = own
    b.line(f"option_{n}_pv_cost", present_value(b, f"option_{n}_pv_so_far", own.costs, found.factor))
    b.line(f"option_{n}_cost_per_kg", b[f"option_{n}_pv_cost"] / b["annuity_bones_kg"])
    return b.line(f"option_{n}_npv", taxed(b, plan, f"option_{n}", own.before_tax, own.profit, found.factor).npv)


def _own(way: Way) -> str:
    """In the names of what a way needs beside the kiln, where it needs that too."""
    return "own_" if way.kind == "compost-char" else ""


def _matter(b: Book, way: Way) -> Quantity:
    """What is left over, and P and N kept for soil [kg a year]; returns the share left over."""
    n, bones = way.number, b["bones_fired_kg"]
    leftover: Quantity = 0.0
    if way.own_leftover:
        leftover = b[f"option.{n}.leftover_share"]
    elif way.kind == "compost-char":
        leftover = b["mineral_kg"] / np.maximum(bones, TINY)
    for sold in there(b, f"option.{n}.sold_share") if way.kind == "sell" else ():
        leftover = np.maximum(leftover, 1 - sold)  # both are shares of all the bones
    leftover = b.line(f"option_{n}_left_share", leftover)
    b.line(f"option_{n}_leftover_kg", bones * leftover + b["bones_excluded_kg"])
    b.line(f"option_{n}_p_in_feed_kg", b["p_bones_kg"] if way.kind == "rendering" else 0.0)
    p_share = {"composting": 1 - leftover, "compost-char": 1.0}.get(way.kind, 0.0)
    p_share = b[f"option.{n}.p_kept_share"] if way.own_p else p_share
    b.line(f"option_{n}_p_kept_kg", b["p_bones_kg"] * p_share)
    composts = way.kind in {"composting", "compost-char"}
    n_share = b["handling.compost_n_kept"] * (1 - leftover) if composts else 0.0
    n_share = b[f"option.{n}.n_kept_share"] if way.own_n else n_share
    b.line(f"option_{n}_n_kept_kg", b["n_bones_kg"] * n_share)
    return leftover


def _carbon(b: Book, way: Way, leftover: Quantity) -> None:
    """Emissions and, apart, product credits [kg CO2e a year]; no other way removes anything."""
    n = way.number
    emitted, credit = CARBON.get(way.kind, ("own_way_if_blank", ""))
    if way.own_ghg:
        value = b["bones_fired_kg"] * b[f"option.{n}.ghg"]
    elif way.kind == "compost-char":
        value = b["compost_kg_co2e"] + b["process_kg_co2e"] * leftover
    else:
        value = b[emitted]
    b.line(f"option_{n}_emissions_kg_co2e", value)
    b.line(f"option_{n}_credits_kg_co2e", b[credit] if credit else 0.0)


def _own_flows(b: Book, plan: Plan, way: Way, found: Project, leftover: Quantity) -> Project:
    """Cash before tax, taxable profit and cost of a way by year; what it leaves over stays on today's bill."""
    n = way.number
    moving, people = _yearly(b, way)
    stays: Quantity = 0.0
    if way.kind != "compost-char":
        stays = b.line(f"option_{n}_stays_share", leftover)
    bought = b.line(f"option_{n}_{_own(way)}bought", total(there(b, f"option.{n}.capital")))
    asset = _Bought(b, plan, way, bought) if way.buys else None
    flows = Project(before_tax={0: 0 - bought}, costs={0: bought})
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
        start = f"option_{way.number}"
        life = b[f"option.{way.number}.life"] if way.renews else plan.years
        self.asset = Asset.start(b, rows_of(start, bought=f"{start}_bought_again"), plan.kiln_method, life, cost)

    def year(self, found: Project, t: int) -> tuple[Quantity, Quantity]:
        """What lowers the profit of year t besides its cost, and what is paid, less what the end brings."""
        b, asset, n, last = self.b, self.asset, self.way.number, self.plan.years
        written = asset.written(b, t)
        if t == last or not self.way.renews:
            asset.close(b, t, written)
            paid: Quantity = 0.0
        else:
            due, paid = asset.renew(b, t, 0, self.cost * found.price[t])
            asset.close(b, t, written, due, paid * found.deflator[t])
        lowers = written / found.deflator[t]
        if t < last:
            return lowers, paid
        back: Quantity = 0.0
        if self.way.renews:
            left, used = life_left(b, f"option_{n}", last, asset.life)
            worth = end_value(b, f"option_{n}_end_today", self.cost, left)
            back = b.year(f"option_{n}_end", last, (worth - self.cost * used) * found.price[last])
        return b.year(f"option_{n}_lowers", t, lowers + asset.book / found.deflator[t] - back), 0 - back


def _yearly(b: Book, way: Way) -> tuple[Quantity, Quantity]:
    """Cost of a year in today's prices [currency]: fees, carbon source, land less income; and people apart."""
    line, start, bones = f"option_{way.number}", f"option.{way.number}.", b["bones_fired_kg"]
    fee = b.line(f"{line}_fee_paid", total(bones * fee for fee in there(b, f"{start}fee")))
    people = b.line(f"{line}_people", b[f"{line}_{_own(way)}people_hours"] * b["cost_per_hour"])
    kilograms, prices = there(b, f"{start}chips"), there(b, f"{start}chips_price")
    chips = b.line(f"{line}_chips_paid", total(bones * kg * price for kg in kilograms for price in prices))
    sells = way.kind == "sell"
    sold = bones * (1 - b[f"{line}_left_share"]) if sells else times(b, bones, f"{start}sold_share")
    income = b.line(f"{line}_brought", total(sold * price for price in there(b, f"{start}income")))
    other = total(there(b, f"{start}yearly", f"{start}land_cost"))
    moving = b.line(f"{line}_moving_cost", fee + chips + other - income)
    b.line(f"{line}_{_own(way)}yearly_cost", moving + people)
    return moving, people


def _with_small_kiln(b: Book, plan: Plan, way: Way, found: Project, own: Project, leftover: Quantity) -> Project:
    """Composting first and a kiln for what is left: all that the kiln costs, less fuel, people and char spared."""
    n = way.number
    small = Project(before_tax={0: found.before_tax[0] + own.before_tax[0]})
    small.costs[0] = found.costs[0] + own.costs[0]
    kiln: Yearly = {0: found.costs[0]}
    for t in range(1, plan.years + 1):
        spared = found.moving[t] * (1 - leftover)
        twice = found.bill[t] - found.excluded[t]
        kiln[t] = b.year(f"option_{n}_small_kiln", t, found.costs[t] - spared)
        small.costs[t] = kiln[t] + own.costs[t] - found.excluded[t]
        small.before_tax[t] = found.before_tax[t] + spared + own.before_tax[t] - twice
        small.profit[t] = found.profit[t] + spared + own.profit[t] - twice
    b.line(f"option_{n}_bought", b["capital_total_today"] + b[f"option_{n}_own_bought"])
    spared = b.line(f"option_{n}_spared_cost", (_moving(b) - b["sale_income_today"]) * (1 - leftover))
    b.line(f"option_{n}_yearly_cost", b["char_yearly_cost"] - spared + b[f"option_{n}_own_yearly_cost"])
    b.line(f"option_{n}_small_pv_cost", present_value(b, f"option_{n}_small_pv_so_far", kiln, found.factor))
    return small


def _moving(b: Book) -> Quantity:
    """What the kiln pays a year for what moves with its bones [currency], in today's prices."""
    return total(there(b, *(f"{name}_today" for name in MOVING)))


def _gate_fee(b: Book, plan: Plan, way: Way, found: Project) -> Quantity:
    """The kiln with bones of others, as far as kiln and store have room: fee, haul, char against costs."""
    line, start = f"option_{way.number}", f"option.{way.number}."
    bones = np.maximum(b["bones_fired_kg"], TINY)
    room = np.maximum(b["kiln_capacity_kg"] - b["bones_fired_kg"], 0)
    for store in there(b, f"{start}store"):
        turns = b["kiln.weeks_per_year"] * 7 / b["bones.storage_days"]
        room = np.minimum(room, b.line(f"{line}_stored_kg", store * turns))
    taken = b.line(f"{line}_taken_kg", np.minimum(total(there(b, f"{start}mass")), room))
    paid = b.line(f"{line}_fee_paid", taken * total(there(b, f"{start}fee", f"{start}haul")))
    firing = b.line(f"{line}_firing_cost", taken * _moving(b) / bones)
    char = b.line(f"{line}_char_kg", taken * b["char_kg"] / bones)
    income = b.line(f"{line}_brought", total(char * price for price in there(b, f"{start}income")))
    yearly = b.line(f"{line}_added_cost", total([paid, firing, *there(b, f"{start}yearly")]) - income)
    b.line(f"{line}_yearly_cost", b["char_yearly_cost"] + yearly)
    b.line(f"{line}_bought", b["capital_total_today"])
    b.line(f"{line}_people_hours", b["hours_per_year"] * (taken / bones + 1))
    added = Added()
    for t in range(1, plan.years + 1):
        cost = b.year(f"{line}_cost", t, yearly * found.price[t])
        added.put(t, 0 - cost, 0 - cost)
    all_costs = b.line(f"{line}_pv_cost", b["pv_cost"] + yearly * b["annuity_today"])
    b.line(f"{line}_cost_per_kg", all_costs / (b["annuity_today"] * (b["bones_received_kg"] + taken)))
    return b.line(f"{line}_npv", view(b, plan, found, line, added).npv)


def _mix(b: Book, plan: Plan, found: Project, flows: dict[int, Project]) -> None:
    """The present mix: each figure the sum of its parts by their shares, taxed on the summed flows."""
    shares = {way.number: b[f"option.{way.number}.share_today"] for way in plan.ways if way.in_mix}
    if not shares:
        return
    all_priced = all(n in flows for n in shares)
    for name in FIGURES:
        if all_priced or name not in MONEY_OF_MIX:
            each = [b.line(f"option_{n}_mix_{name}", part * b[f"option_{n}_{name}"]) for n, part in shares.items()]
            summed(b, f"mix_{name}", each, MIXED)
    if all_priced:
        b.line("mix_cost_per_kg", b["mix_pv_cost"] / b["annuity_bones_kg"])
        b.line("mix_npv", _taxed_mix(b, plan, found, [(share, flows[n]) for n, share in shares.items()]).npv)


def _taxed_mix(b: Book, plan: Plan, found: Project, parts: list[tuple[Quantity, Project]]) -> View:
    """The summed flows of a mix, taxed as one; first sums are named, as printed formulas stay short."""
    before: Yearly = {}
    profit: Yearly = {}
    for n, (share, flows) in enumerate(parts, start=1):
        for name, held, own in (("before_tax", before, flows.before_tax), ("profit", profit, flows.profit)):
            for t, amount in own.items():
                held[t] = held[t] + amount * share if t in held else amount * share
                if 1 < n < len(parts):
                    held[t] = b.year(f"mix_{name}_first_{n}", t, held[t])
    before = {t: b.year("mix_before_tax", t, amount) for t, amount in before.items()}
    return taxed(b, plan, "mix", before, profit, found.factor)
