"""The other ways of handling the same bones, beside the kiln and today's way.

All stand on the bones that the kiln fires, and on those kept out of it, which cost every way the same. What a
way does not take stays on today's bill. Every way goes through the years like the kiln: its own cost at the price
levels of the study, what it buys and buys again, depreciation by the kiln's method, what is left of a life at the
end, tax with losses carried (`cashflow.taxed`). A mix is taxed on its summed flows. A way against today's is the
NPV of the bill that it saves less all that it costs.

A twin of the kiln typed as an own way ties to the cent for a plant whose costs and income follow prices in
general from the first year: no growth of its own, build-up, late start, breakdowns, working capital, clean-up,
other equipment, parts, contingency, things beside kiln and installation, or resale typed.
"""

from __future__ import annotations

import numpy as np

from econ.model.cashflow import TINY, Added, Project, View, Yearly, taxed, view
from econ.model.ledger import Book, Quantity, summed, there, total
from econ.model.option_flows import Flows, own_flows, present_cost, with_small_kiln
from econ.model.plan import Plan
from econ.model.plan_parts import GATE_FEE, Way

MIXED = 5
"""Ways in one formula of the mix."""
CARBON = {
    "rendering": ("rendering_kg_co2e", "rendering_credits_kg_co2e"),
    "landfill": ("landfill_kg_co2e", ""),
    "composting": ("compost_kg_co2e", "compost_nitrogen_kg_co2e"),
    "burial": ("pit_kg_co2e", ""),
}
"""Lines of emissions and of credits by kind."""
MONEY_OF_MIX = ("pv_cost", "yearly_cost", "bought")
FIGURES = (*MONEY_OF_MIX, "people_hours", "p_kept_kg", "p_in_feed_kg", "n_kept_kg", "emissions_kg_co2e")
"""What the present mix adds up by its shares."""


def compare(b: Book, plan: Plan, found: Project) -> None:
    """Every way's figures, the best other option, and the kiln against it."""
    _char_and_today(b, plan)
    flows: dict[int, Flows] = {}
    rivals: list[Quantity] = []
    for way in plan.ways:
        npv = _gate_fee(b, plan, way, found) if way.kind == GATE_FEE else _way(b, plan, way, found, flows)
        if npv is not None and way.is_rival:
            rivals.append(npv)
    _mix(b, plan, found, flows)
    if rivals:
        best: Quantity = 0.0
        for npv in rivals:
            best = np.maximum(best, npv)
        best = b.line("best_other_npv", best)
        b.line("npv_against_best", b["npv"] - best)


def _char_and_today(b: Book, plan: Plan) -> None:
    """The two ways that are always compared, by the same measures as on the first page."""
    b.line("char_cost_per_kg", b["net_cost_per_kg_bones"])
    b.line("char_yearly_cost", _kiln_year(b))
    b.line("char_p_kept_kg", b["p_kg"] * b["char_used_share"])
    b.line("char_n_kept_kg", (b["n_bones_kg"] - b["n_lost_kg"]) * b["char_used_share"])
    b.line("char_left_over_kg", b["bones_excluded_kg"])
    b.line("today_pv_cost", b["pv_saving"])
    b.line("today_cost_per_kg", b["saved_bill_per_kg_bones"])
    is_compost = plan.today == "composting"
    b.line("today_p_kept_kg", b["p_bones_kg"] * (1.0 if is_compost else 0.0))
    b.line("today_p_in_feed_kg", b["p_bones_kg"] * (1.0 if plan.today == "rendering" else 0.0))
    kept = b["handling.compost_n_kept"] if is_compost else 0.0
    b.line("today_n_kept_kg", b["n_bones_kg"] * kept)


def _kiln_year(b: Book) -> Quantity:
    """Cost of a year at the kiln at full sales, char sold taken off, nothing bought [currency]."""
    paid = ("fuel_cost", "labour_cost", "upkeep", "finish_cost", "bag_cost", "excluded_cost", "selling_cost",
            "extra_cost")  # fmt: skip
    made = ("sale_income", "side_income", "own_use_saved")
    costs = b.line("char_paid_a_year", total(there(b, *(f"{name}_today" for name in paid))))
    return costs - b.line("char_made_a_year", total(there(b, *(f"{name}_today" for name in made))))


def _way(b: Book, plan: Plan, way: Way, found: Project, flows: dict[int, Flows]) -> Quantity | None:
    """One way's figures; returns its NPV against today's way, or None where no money is filled in."""
    n = way.number
    leftover = _matter(b, way)
    _carbon(b, way, leftover)
    hours = b.optional(f"option.{n}.hours")
    b.line(f"option_{n}_people_hours", 0.0 if hours is None else hours)
    if not way.priced:
        return None
    own = own_flows(b, plan, way, found, leftover)
    if way.kind == "compost-char":
        own = with_small_kiln(b, plan, way, found, own, leftover)
    flows[n] = own
    present_cost(b, f"option_{n}", found, own.costs)
    b.line(f"option_{n}_cost_per_kg", b[f"option_{n}_pv_cost"] / b["annuity_bones_kg"])
    npv = taxed(b, plan, f"option_{n}", own.before_tax, own.profit, found.factor).npv
    return b.line(f"option_{n}_npv", npv)


def _matter(b: Book, way: Way) -> Quantity:
    """What is left over, and P and N kept for soil [kg a year]; returns the share left over."""
    n, bones = way.number, b["bones_fired_kg"]
    leftover: Quantity = 0.0
    if way.own_leftover:
        leftover = b[f"option.{n}.leftover_share"]
    elif way.kind == "compost-char":
        leftover = b["mineral_kg"] / np.maximum(bones, TINY)
    leftover = b.line(f"option_{n}_left_share", leftover)
    b.line(f"option_{n}_leftover_kg", bones * leftover + b["bones_excluded_kg"])
    b.line(f"option_{n}_p_in_feed_kg", b["p_bones_kg"] * (1.0 if way.kind == "rendering" else 0.0))
    p_share = {"composting": 1 - leftover, "compost-char": 1.0}.get(way.kind, 0.0)
    if way.own_p:
        p_share = b[f"option.{n}.p_kept_share"]
    b.line(f"option_{n}_p_kept_kg", b["p_bones_kg"] * p_share)
    composts = way.kind in {"composting", "compost-char"}
    n_share = b["handling.compost_n_kept"] * (1 - leftover) if composts else 0.0
    if way.own_n:
        n_share = b[f"option.{n}.n_kept_share"]
    b.line(f"option_{n}_n_kept_kg", b["n_bones_kg"] * n_share)
    return leftover


def _carbon(b: Book, way: Way, leftover: Quantity) -> None:
    """Emissions and, apart, product credits [kg CO2e a year]; no other way removes anything."""
    n = way.number
    emitted, credit = CARBON.get(way.kind, ("", ""))
    if way.own_ghg:
        value = b["bones_fired_kg"] * b[f"option.{n}.ghg"]
    elif way.kind == "compost-char":
        value = b["compost_kg_co2e"] + b["process_kg_co2e"] * leftover
    else:
        value = b[emitted] if emitted else b["own_way_if_blank"]
    b.line(f"option_{n}_emissions_kg_co2e", value)
    b.line(f"option_{n}_credits_kg_co2e", b[credit] if credit else 0.0)


def _gate_fee(b: Book, plan: Plan, way: Way, found: Project) -> Quantity:
    """The kiln with bones of others, as far as there is room: gate fee, haul and char against firing them.

    Room is that of the kiln and, where typed, that of the store, emptied as often as raw bones keep.
    `income` is the price of the char that they make.
    """
    n = way.number
    bones = np.maximum(b["bones_fired_kg"], TINY)
    room = np.maximum(b["kiln_capacity_kg"] - b["bones_fired_kg"], 0)
    if (store := b.optional(f"option.{n}.store")) is not None:
        turns = b["kiln.weeks_per_year"] * 7 / b["bones.storage_days"]
        room = np.minimum(room, b.line(f"option_{n}_stored_kg", store * turns))
    taken = b.line(f"option_{n}_taken_kg", np.minimum(total(there(b, f"option.{n}.mass")), room))
    paid = b.line(f"option_{n}_fee_paid", taken * total(there(b, f"option.{n}.fee", f"option.{n}.haul")))
    moving = b["fuel_cost_today"] + b["labour_cost_today"] + b["finish_cost_today"] + b["bag_cost_today"]
    firing = b.line(f"option_{n}_firing_cost", taken * moving / bones)
    char = b.line(f"option_{n}_char_kg", taken * b["char_kg"] / bones)
    income = b.line(f"option_{n}_brought", char * total(there(b, f"option.{n}.income")))
    yearly = total([paid, firing, *there(b, f"option.{n}.yearly")])
    yearly = b.line(f"option_{n}_yearly_cost", yearly - income)
    added = Added()
    for t in range(1, plan.years + 1):
        cost = b.year(f"option_{n}_cost", t, yearly * found.price[t])
        added.put(t, 0 - cost, 0 - cost)
    b.line(f"option_{n}_pv_cost", b["pv_cost"] + yearly * b["annuity_today"])
    tonnage = b["annuity_today"] * (b["bones_received_kg"] + taken)
    b.line(f"option_{n}_cost_per_kg", b[f"option_{n}_pv_cost"] / tonnage)
    return b.line(f"option_{n}_npv", view(b, plan, found, f"option_{n}", added).npv)


def _mix(b: Book, plan: Plan, found: Project, flows: dict[int, Flows]) -> None:
    """The present mix: each figure the sum of its parts by their shares, taxed on the summed flows."""
    parts = [way for way in plan.ways if way.in_mix]
    if not parts:
        return
    all_priced = all(way.number in flows for way in parts)
    for name in FIGURES:
        if name in MONEY_OF_MIX and not all_priced:
            continue
        each = [
            b.line(f"option_{way.number}_mix_{name}", _share(b, way) * b[f"option_{way.number}_{name}"])
            for way in parts
        ]
        summed(b, f"mix_{name}", each, MIXED)
    if all_priced:
        b.line("mix_cost_per_kg", b["mix_pv_cost"] / b["annuity_bones_kg"])
        b.line("mix_npv", _taxed_mix(b, plan, found, [(_share(b, way), flows[way.number]) for way in parts]).npv)


def _share(b: Book, way: Way) -> Quantity:
    return b[f"option.{way.number}.share_today"]


def _taxed_mix(b: Book, plan: Plan, found: Project, parts: list[tuple[Quantity, Flows]]) -> View:
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
