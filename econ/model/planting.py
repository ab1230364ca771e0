"""Own planting: the char that trees, rows and beds may have, the phosphorus it brings, the work and the worth.

The char of a block is what is asked for, cut to the most that `ceiling` allows. It leaves the char for sale where
the plan says so; nothing else here moves the money of the plant. All char here is dry.
"""

from __future__ import annotations

import numpy as np

from econ.model.ceiling import HA_M2, PPM, most_p2o5, p2o5_per_test
from econ.model.ledger import WHOLE, Book, Quantity, above, at_least, there, total
from econ.model.plan import Plan
from econ.model.plan_parts import RATES, Ground

FIGURE = "planting_char_kg"
PLAN_YEARS = 3


def doses(b: Book, plan: Plan) -> None:
    """Char of every block a year, where it is kept or taken out of what is for sale."""
    grounds = plan.planting.grounds
    if not grounds or not (plan.planting.leaves_sales or b.wants(frozenset({FIGURE}))):
        return
    p2o5_per_test(b)
    for ground in grounds:
        _asked(b, ground)
        _allowed(b, ground)
    b.line(FIGURE, total(_figure(b, ground, "char_kg") for ground in grounds))


def plant(b: Book, plan: Plan) -> None:
    """What follows from the doses of the filled blocks, and all of them against the year's production."""
    grounds = plan.planting.grounds
    if not grounds or not b.wants(frozenset({FIGURE})):
        return
    for ground in grounds:
        _load(b, ground)
        _plan(b, ground)
        _blend(b, plan, ground)
        _work(b, plan, ground)
        _worth(b, ground)
    _together(b, plan)


def _row(b: Book, ground: Ground, word: str) -> Quantity:
    return b[f"planting.{ground.number}.{word}"]


def _line(b: Book, ground: Ground, word: str, value: Quantity) -> Quantity:
    return b.line(f"planting_{ground.number}_{word}", value)


def _figure(b: Book, ground: Ground, word: str) -> Quantity:
    return b[f"planting_{ground.number}_{word}"]


def _or(b: Book, ground: Ground, word: str, blank: Quantity) -> Quantity:
    return _row(b, ground, word) if word in ground.rows else blank


def _asked(b: Book, ground: Ground) -> None:
    """Ground covered [m, m2], and the char of one application as asked for [kg]."""
    count = _row(b, ground, "count")
    if ground.has_length:
        _line(b, ground, "length_m", count * _row(b, ground, "spacing" if ground.kind == "trees" else "length"))
    if "area" in ground.rows:
        area = _row(b, ground, "area")
    elif ground.has_length and (ground.kind != "trees" or "width" in ground.rows):
        area = _figure(b, ground, "length_m") * _or(b, ground, "width", b["planting_row_m"])
    else:
        area = count * b["planting_tree_m2"]
    _line(b, ground, "area_m2", area)
    covered = {"tree": count, "length": b.optional(f"planting_{ground.number}_length_m"), "area": area}[ground.per]
    _line(b, ground, "dressing_kg", _rate(b, ground) * covered)


def _rate(b: Book, ground: Ground) -> Quantity:
    if RATES[ground.per] in ground.rows:
        return _row(b, ground, RATES[ground.per])
    if ground.per == "tree":
        return b["planting_hole_kg"]
    return b["planting_row_kg_per_m2"] if ground.in_row else b["market.label_rate"] / b["as_sold_per_kg"]


def _allowed(b: Book, ground: Ground) -> None:
    """The phosphate of that application beside its ceilings, the char that may be applied, and when the next."""
    per_kg: Quantity = b["char_p2o5_share"]
    if ground.blend == "compost":
        volumes = _or(b, ground, "compost_volumes", b["planting_compost_volumes"])
        per_kg = per_kg + volumes / b["char_kg_per_m3"] * b["planting_compost_p2o5_kg_per_m3"]
    per_kg = _line(b, ground, "p2o5_per_kg", per_kg)
    area = np.maximum(_figure(b, ground, "area_m2"), WHOLE) / HA_M2
    dressing = _figure(b, ground, "dressing_kg")
    asked = _line(b, ground, "p2o5_kg_per_ha", _line(b, ground, "p2o5_kg", dressing * per_kg) / area)
    taken = _removal(b, ground)
    _line(b, ground, "years_of_removal", asked / np.maximum(taken, WHOLE))
    years = _or(b, ground, "years_between", 1.0)
    test = _row(b, ground, "soil_test") * PPM if "soil_test" in ground.rows else None
    local = _row(b, ground, "local_most") * HA_M2 if "local_most" in ground.rows else None
    most = most_p2o5(b, f"planting_{ground.number}", taken, years, test, local)
    wait: Quantity = 0.0
    if test is not None:
        per_test = b["p2o5_per_test_kg_per_ha"]
        _line(b, ground, "test_after", test + asked / per_test)
        wait = np.maximum(test - b["soil_test_none"], 0) * per_test / np.maximum(taken, WHOLE)
    _line(b, ground, "next_years", np.maximum(years, wait))
    _line(b, ground, "may_spread", at_least(most, asked - WHOLE * asked))
    allowed = _line(b, ground, "allowed_kg", np.minimum(dressing, most * area / np.maximum(per_kg, WHOLE)))
    _line(b, ground, "char_kg", allowed / years)


def _removal(b: Book, ground: Ground) -> Quantity:
    """Phosphate that leaves with the crop in a year [kg P2O5/ha]: the crop named, else what is usual."""
    usual = b["orchard_removal_kg_per_ha"] if ground.kind == "trees" else b["garden_removal_kg_per_ha"]
    if not ground.crop or "crop_yield" not in ground.rows:
        return _line(b, ground, "removal_kg_per_ha", usual)
    p = _row(b, ground, "crop_yield") * HA_M2 * _figure(b, ground, "crop_p_per_kg")
    p = _line(b, ground, "removal_p_kg_per_ha", p)
    return _line(b, ground, "removal_kg_per_ha", p * b["p2o5_per_p"])


def _load(b: Book, ground: Ground) -> None:
    """What is applied, as it may be: by tree, by length of furrow and by area."""
    allowed, area = _figure(b, ground, "allowed_kg"), np.maximum(_figure(b, ground, "area_m2"), WHOLE)
    per_kg = _figure(b, ground, "p2o5_per_kg")
    if ground.kind == "trees":
        grams = _line(b, ground, "char_g_per_tree", allowed / np.maximum(_row(b, ground, "count"), WHOLE) * 1000)
        p2o5 = _line(b, ground, "p2o5_g_per_tree", grams * per_kg)
        _line(b, ground, "p_g_per_tree", p2o5 / b["p2o5_per_p"])
    if ground.has_length:
        length = np.maximum(_figure(b, ground, "length_m"), WHOLE)
        _line(b, ground, "char_kg_per_m", allowed / length)
    rate = _line(b, ground, "char_kg_per_ha", allowed / area * HA_M2)
    applied = _line(b, ground, "applied_p2o5_kg_per_ha", rate * per_kg)
    _line(b, ground, "p_kg_per_ha", applied / b["p2o5_per_p"])
    _line(b, ground, "available_kg_per_ha", rate * b["char_available_share"])


def _plan(b: Book, ground: Ground) -> None:
    """Char of each of three years: an application in the first year chosen, then every so many years."""
    first, years = _or(b, ground, "first_year", 1.0), _or(b, ground, "years_between", 1.0)
    done: Quantity = 0.0
    for year in range(1, PLAN_YEARS + 1):
        so_far = np.maximum(np.floor((year - first) / years + 1), 0)
        _line(b, ground, f"plan_{year}_kg", _figure(b, ground, "allowed_kg") * (so_far - done))
        done = so_far


def _blend(b: Book, plan: Plan, ground: Ground) -> None:
    """Compost [m3], tea [L] and loads of tank or spreader for one application."""
    char = _figure(b, ground, "allowed_kg")
    mass: Quantity = char
    if ground.blend == "compost":
        volumes = _or(b, ground, "compost_volumes", b["planting_compost_volumes"])
        compost = _line(b, ground, "compost_m3", char / b["char_kg_per_m3"] * volumes)
        mass = char + compost * b["compost_kg_per_m3"]
    if ground.blend == "tea":
        tea = _line(b, ground, "tea_l", char * _or(b, ground, "tea_per_char", b["planting_tea_l_per_kg"]))
        mass = char + tea  # a litre of tea is near a kilogram
    _line(b, ground, "mixed_kg", mass)
    if ground.blend == "tea" and "tank" in plan.planting.injector:
        _line(b, ground, "loads", np.ceil(_figure(b, ground, "tea_l") / b["injector.tank"] - WHOLE))
    elif ground.blend != "tea" and "hopper" in plan.planting.injector:
        _line(b, ground, "loads", np.ceil(mass / b["injector.hopper"] - WHOLE))


def _distance(b: Book, plan: Plan, ground: Ground) -> Quantity | None:
    """Driving of one application [m]: along the rows, or over the area at the working width; None if unknown."""
    if ground.in_row and ground.has_length:
        return _figure(b, ground, "length_m")
    if ground.way != "broadcast" or not ground.has_area:
        return None
    if "width" in plan.planting.injector:
        return _figure(b, ground, "area_m2") / b["injector.width"]
    return _figure(b, ground, "area_m2") / _row(b, ground, "width") if "width" in ground.rows else None


def _work(b: Book, plan: Plan, ground: Ground) -> None:
    """Hours by hand, driving and filling a year, their cost, and diesel; none where nothing may be applied."""
    has = plan.planting.injector
    part = above(_figure(b, ground, "allowed_kg"), 0) / _or(b, ground, "years_between", 1.0)
    hours: list[Quantity] = []
    if "minutes_each" in ground.rows:
        by_hand = _row(b, ground, "minutes_each") / 60 * _row(b, ground, "count")
        hours.append(_line(b, ground, "hand_hours", by_hand * part))
    distance = _distance(b, plan, ground)
    if "speed" in has and distance is not None:
        driving = tractor = _line(b, ground, "driving_hours", distance / b["injector.speed"] * part)
        loads = b.optional(f"planting_{ground.number}_loads")
        if loads is not None and "minutes_per_load" in has:
            filling = loads * b["injector.minutes_per_load"] / 60 * part
            tractor = driving + _line(b, ground, "filling_hours", filling)
        if ground.blend == "tea":
            minutes = np.maximum(distance / b["injector.speed"] * 60, WHOLE)
            _line(b, ground, "litres_per_minute", _figure(b, ground, "tea_l") / minutes)
        hours.append(_line(b, ground, "tractor_hours", tractor))
        if "diesel_use" in has:
            diesel = _line(b, ground, "diesel_l", tractor * b["injector.diesel_use"])
            if "diesel_price" in has:
                _line(b, ground, "diesel_cost", diesel * b["injector.diesel_price"])
    worked = _line(b, ground, "hours", total(hours) if hours else 0.0)
    _line(b, ground, "labour_cost", worked * b["cost_per_hour"])


def _worth(b: Book, ground: Ground) -> None:
    """Worth a year at the fertiliser replaced: zero unless a soil test says that phosphorus is short.

    What still works in the second year is a credit only where a share is typed.
    """
    factor = _figure(b, ground, "soil_factor") if "soil_ph" in ground.rows else b["soil_factor_used"]
    working = _figure(b, ground, "char_kg") * b["char_available_share"] * factor
    working = _line(b, ground, "working_p2o5_kg", working)
    later = b.optional("soil.second_year_share")
    if later is not None:
        working = working + _line(b, ground, "second_year_p2o5_kg", working * later)
    short: Quantity = 0.0
    if "soil_test" in ground.rows:
        short = 1 - above(_row(b, ground, "soil_test") * PPM, b["soil_test_short"])
    short = _line(b, ground, "p_is_short", short)
    worth = _line(b, ground, "worth", working * b["fertiliser.p2o5_price"] * short)
    start = f"planting_{ground.number}"
    costs = total(there(b, f"{start}_labour_cost", f"{start}_diesel_cost"))
    _line(b, ground, "worth_less_work", worth - costs)


def _together(b: Book, plan: Plan) -> None:
    """All blocks against the year's production and what is set aside [kg dry char a year]."""

    def summed(word: str) -> Quantity:
        return total(_figure(b, ground, word) for ground in plan.planting.grounds)

    char = b[FIGURE]
    per_batch = b["char_kg"] / np.maximum(b["firings_per_year"], 1)
    b.line("planting_batches", np.ceil(char / np.maximum(per_batch, WHOLE)))
    made = b["char_finished_kg"]
    b.line("planting_share", char / np.maximum(made, WHOLE))
    b.line("planting_beyond_made_kg", np.maximum(char - made, 0))
    aside = total(there(b, "own_use_kg")) / b["as_sold_per_kg"]
    b.line("planting_not_set_aside_kg", np.maximum(char - aside, 0))
    for word in ("hours", "worth", "worth_less_work"):
        b.line(f"planting_{word}", summed(word))
    for year in range(1, PLAN_YEARS + 1):
        b.line(f"planting_plan_{year}_kg", summed(f"plan_{year}_kg"))
