"""The other ways of handling the same bones, beside the kiln and today's way.

All stand on the bones that the kiln fires. Worth today of a way = what is bought now and again + its yearly
cost in today's prices × the worth of one unit of money a year. Against today's way = worth of today's bill
less worth of the way, after tax at once: what is bought lowers tax in the year it is paid, and a loss counts
against other income. So every figure is linear, and a mix is the sum of its parts.
"""

from __future__ import annotations

import numpy as np

from econ.model.blanks import given
from econ.model.ledger import Book, Quantity, or_zero, summed, total
from econ.model.plan import Plan
from econ.model.plan_parts import GATE_FEE, Way

TINY = 1e-9
MIXED = 5
"""Ways in one formula of the mix."""
CARBON = {
    "rendering": ("rendering_kg_co2e", "rendering_credits_kg_co2e"),
    "landfill": ("landfill_kg_co2e", ""),
    "composting": ("compost_kg_co2e", "compost_nitrogen_kg_co2e"),
    "burial": ("pit_kg_co2e", ""),
}
"""Lines of emissions and of credits by kind."""
FIGURES = ("pv_cost", "yearly_cost", "bought", "people_hours", "p_kept_kg", "n_kept_kg", "emissions_kg_co2e")
"""What the present mix adds up by its shares."""


def compare(b: Book, plan: Plan) -> None:
    """Every way's figures, the best other option, and the kiln against it."""
    worth, factors = _worth(b, plan)
    _char_and_today(b, plan, worth)
    others = [_way(b, plan, way, worth, factors) for way in plan.ways]
    _mix(b, plan)
    rivals = [npv for way, npv in zip(plan.ways, others, strict=True) if npv is not None and way.kind != GATE_FEE]
    if rivals:
        best: Quantity = 0.0
        for npv in rivals:
            best = np.maximum(best, npv)
        best = b.line("best_other_npv", best)
        b.line("npv_against_best", b["npv"] - best)


def _worth(b: Book, plan: Plan) -> tuple[Quantity, dict[int, Quantity]]:
    """Worth today of one unit a year in today's prices, and the factor of each year."""
    step: Quantity = 1 / (b["money.discount_rate"] + 1)
    if not plan.is_real:
        step = step * (b["money.inflation"] + 1)
    step = b.line("annuity_today_step", step)
    factor: Quantity = 1.0
    so_far: Quantity = 0.0
    factors = {}
    for t in range(1, plan.years + 1):
        factor = factors[t] = b.year("annuity_today_factor", t, factor * step)
        so_far = b.year("annuity_today_so_far", t, so_far + factor)
    return b.line("annuity_today", so_far), factors


def _char_and_today(b: Book, plan: Plan, worth: Quantity) -> None:
    """The two ways that are always compared."""
    bones = np.maximum(b["bones_fired_kg"], TINY)
    b.line("char_cost_per_kg", b["pv_cost"] / worth / bones)
    b.line("char_yearly_cost", _kiln_year(b))
    b.line("char_p_kept_kg", b["p_kg"] * b["char_used_share"])
    b.line("char_n_kept_kg", (b["n_bones_kg"] - b["n_lost_kg"]) * b["char_used_share"])
    today = b.line("today_pv_cost", b["disposal_saved_today"] * worth)
    b.line("today_cost_per_kg", today / worth / bones)
    is_compost = plan.today == "composting"
    b.line("today_p_kept_kg", b["p_bones_kg"] * (1.0 if is_compost else 0.0))
    kept = given(b, "handling.compost_n_kept") if is_compost else 0.0
    b.line("today_n_kept_kg", b["n_bones_kg"] * kept)


def _kiln_year(b: Book) -> Quantity:
    """Cost of a year at the kiln at full sales, char sold taken off, nothing bought [currency]."""
    paid = ("fuel_cost", "labour_cost", "upkeep", "finish_cost", "excluded_cost", "selling_cost", "extra_cost")
    made = ("sale_income", "side_income", "own_use_saved")
    costs = b.line("char_paid_a_year", total(or_zero(b, f"{name}_today") for name in paid))
    return costs - b.line("char_made_a_year", total(or_zero(b, f"{name}_today") for name in made))


def _way(b: Book, plan: Plan, way: Way, worth: Quantity, factors: dict[int, Quantity]) -> Quantity | None:
    """One way's figures; returns its NPV against today's way, or None where no money is filled in."""
    if way.kind == GATE_FEE:
        return _gate_fee(b, way, worth)
    n = way.number
    leftover = _matter(b, way)
    _carbon(b, way, leftover)
    hours = b.optional(f"option.{n}.hours")
    b.line(f"option_{n}_people_hours", 0.0 if hours is None else hours)
    if not way.priced:
        return None
    yearly = _yearly(b, way)
    bought = b.line(f"option_{n}_bought", or_zero(b, f"option.{n}.capital"))
    cost = bought + yearly * worth
    if way.renews:
        cost = cost + bought * _renewals(b, plan, n, factors)
    if way.kind == "compost-char":
        cost = cost + b.line(f"option_{n}_pv_small_kiln", _small_kiln(b, leftover, worth))
    cost = b.line(f"option_{n}_pv_cost", cost)
    b.line(f"option_{n}_cost_per_kg", cost / worth / np.maximum(b["bones_fired_kg"], TINY))
    npv = (b["today_pv_cost"] - cost) * (1 - b["money.tax_rate"])
    return b.line(f"option_{n}_npv", npv)


def _yearly(b: Book, way: Way) -> Quantity:
    """Cost of a year in today's prices [currency]: fees, hours, carbon source, land, less what it brings."""
    n, bones = way.number, b["bones_fired_kg"]

    def typed(word: str) -> Quantity:
        return or_zero(b, f"option.{n}.{word}")

    fee = b.line(f"option_{n}_fee_paid", bones * typed("fee"))
    people = b.line(f"option_{n}_people", b[f"option_{n}_people_hours"] * b["cost_per_hour"])
    chips = b.line(f"option_{n}_chips_paid", bones * typed("chips") * typed("chips_price"))
    sold = b.optional(f"option.{n}.sold_share")
    income = b.line(f"option_{n}_brought", bones * (1.0 if sold is None else sold) * typed("income"))
    other = typed("yearly") + typed("land_cost")
    return b.line(f"option_{n}_yearly_cost", fee + people + chips + other - income)


def _renewals(b: Book, plan: Plan, n: int, factors: dict[int, Quantity]) -> Quantity:
    """Worth today of buying one unit again whenever its life ends, never in the last year."""
    life = b[f"option.{n}.life"]
    again: Quantity = 0.0
    for t in range(1, plan.years):
        due = b.year(f"option_{n}_due", t, np.greater(np.floor(t / life), np.floor((t - 1) / life)) * 1.0)
        again = b.year(f"option_{n}_again_so_far", t, again + due * factors[t])
    return b.line(f"option_{n}_again", again)


def _small_kiln(b: Book, leftover: Quantity, worth: Quantity) -> Quantity:
    """Worth of the kiln's costs where only the leftovers are fired: fuel, people and char in proportion."""
    moving = b["fuel_cost_today"] + b["labour_cost_today"] + b["finish_cost_today"] - b["sale_income_today"]
    return b["pv_cost"] - moving * (1 - leftover) * worth


def _matter(b: Book, way: Way) -> Quantity:
    """What is left over, and P and N kept for soil [kg a year]; returns the share left over."""
    n, bones = way.number, b["bones_fired_kg"]
    leftover: Quantity = 0.0
    if way.own_leftover:
        leftover = b[f"option.{n}.leftover_share"]
    elif way.kind == "compost-char":
        leftover = b["mineral_kg"] / np.maximum(bones, TINY)
    leftover = b.line(f"option_{n}_left_share", leftover)
    b.line(f"option_{n}_leftover_kg", bones * leftover)
    p_share = {"composting": 1 - leftover, "compost-char": 1.0}.get(way.kind, 0.0)
    if way.own_p:
        p_share = b[f"option.{n}.p_kept_share"]
    b.line(f"option_{n}_p_kept_kg", b["p_bones_kg"] * p_share)
    composts = way.kind in {"composting", "compost-char"}
    n_share = given(b, "handling.compost_n_kept") * (1 - leftover) if composts else 0.0
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


def _gate_fee(b: Book, way: Way, worth: Quantity) -> Quantity:
    """The kiln with bones of others, as far as it has room: gate fee and char against what firing them costs.

    `income` is the price of the char that they make.
    """
    n = way.number
    bones = np.maximum(b["bones_fired_kg"], TINY)
    room = np.maximum(b["kiln_capacity_kg"] - b["bones_fired_kg"], 0)
    taken = b.line(f"option_{n}_taken_kg", np.minimum(or_zero(b, f"option.{n}.mass"), room))
    paid = b.line(f"option_{n}_fee_paid", taken * or_zero(b, f"option.{n}.fee"))
    moving = b["fuel_cost_today"] + b["labour_cost_today"] + b["finish_cost_today"]
    firing = b.line(f"option_{n}_firing_cost", taken * moving / bones)
    char = b.line(f"option_{n}_char_kg", taken * b["char_kg"] / bones)
    income = b.line(f"option_{n}_brought", char * or_zero(b, f"option.{n}.income"))
    more = or_zero(b, f"option.{n}.yearly")
    yearly = b.line(f"option_{n}_yearly_cost", paid + firing + more - income)
    cost = b.line(f"option_{n}_pv_cost", b["pv_cost"] + yearly * worth)
    b.line(f"option_{n}_cost_per_kg", cost / worth / (bones + taken))
    return b.line(f"option_{n}_npv", b["npv"] - yearly * worth * (1 - b["money.tax_rate"]))


def _mix(b: Book, plan: Plan) -> None:
    """The present mix: each figure the sum of its parts by their shares."""
    parts = [way for way in plan.ways if way.in_mix]
    if not parts:
        return
    all_priced = all(way.priced for way in parts)
    for name in FIGURES:
        if name in {"pv_cost", "yearly_cost", "bought"} and not all_priced:
            continue
        each = [
            b.line(
                f"option_{way.number}_mix_{name}",
                b[f"option.{way.number}.share_today"] * b[f"option_{way.number}_{name}"],
            )
            for way in parts
        ]
        summed(b, f"mix_{name}", each, MIXED)
