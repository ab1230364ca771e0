"""Own planting: the char that trees, rows and beds take, the phosphorus it brings, the work and the worth.

Nothing here moves the money of the plant: char set aside for it is the row own_use.mass. A soil test at or
above the environmental threshold stops a block: its char is nil, and the load it would have had stays shown.
"""

from __future__ import annotations

import numpy as np

from econ.model.ledger import Book, Quantity, or_zero, total
from econ.model.plan import Plan
from econ.model.plan_parts import RATES, Ground

HA_M2 = 10_000.0
FIGURE = "planting_char_kg"
WHOLE = 1e-9


def plant(b: Book, plan: Plan) -> None:
    """Every filled block, and all of them against the year's production; only where these are kept."""
    grounds = plan.planting.grounds
    if not grounds or not b.wants(frozenset({FIGURE})):
        return
    for ground in grounds:
        _char(b, ground)
        _load(b, ground)
        _blend(b, plan, ground)
        _work(b, plan, ground)
        _worth(b, plan, ground)
    _together(b, plan)


def _row(b: Book, ground: Ground, word: str) -> Quantity:
    return b[f"planting.{ground.number}.{word}"]


def _line(b: Book, ground: Ground, word: str, value: Quantity) -> Quantity:
    return b.line(f"planting_{ground.number}_{word}", value)


def _figure(b: Book, ground: Ground, word: str) -> Quantity:
    return b[f"planting_{ground.number}_{word}"]


def _char(b: Book, ground: Ground) -> None:
    """Ground covered, char of one dressing, whether it may be spread, and char a year [kg dry char]."""
    count = _row(b, ground, "count")
    if ground.has_length:
        _line(b, ground, "length_m", count * _row(b, ground, "spacing" if ground.kind == "trees" else "length"))
    if ground.has_area:
        typed = "area" in ground.rows
        area = _row(b, ground, "area") if typed else _figure(b, ground, "length_m") * _row(b, ground, "width")
        _line(b, ground, "area_m2", area)
    covered = {"tree": "", "length": "length_m", "area": "area_m2"}[ground.per]
    dressing = _rate(b, ground) * (_figure(b, ground, covered) if covered else count)
    dressing = _line(b, ground, "dressing_kg", dressing)
    allowed: Quantity = 1.0
    if "soil_test" in ground.rows:
        allowed = 1 - np.greater_equal(_row(b, ground, "soil_test"), b["soil_test_stop"]) * 1.0
    allowed = _line(b, ground, "may_spread", allowed)
    years: Quantity = _row(b, ground, "years_between") if "years_between" in ground.rows else 1.0
    _line(b, ground, "char_kg", dressing * allowed / years)


def _rate(b: Book, ground: Ground) -> Quantity:
    if RATES[ground.per] in ground.rows:
        return _row(b, ground, RATES[ground.per])
    if ground.per == "tree":
        return b["planting_hole_kg"]
    return b["planting_row_kg_per_m2"] if ground.way == "row" else b["market.label_rate"]


def _load(b: Book, ground: Ground) -> None:
    """Phosphorus of one dressing as planned, by area and by tree, beside what a harvest takes away [kg]."""
    dressing = _figure(b, ground, "dressing_kg")
    p2o5 = _line(b, ground, "p2o5_kg", dressing * b["char_p2o5_share"])
    if ground.kind == "trees":
        count = np.maximum(_row(b, ground, "count"), WHOLE)
        _line(b, ground, "char_g_per_tree", dressing / count * 1000)
        per_tree = _line(b, ground, "p2o5_g_per_tree", p2o5 / count * 1000)
        _line(b, ground, "p_g_per_tree", per_tree / b["p2o5_per_p"])
    if not ground.has_area:
        return
    area = np.maximum(_figure(b, ground, "area_m2"), WHOLE)
    _line(b, ground, "char_kg_per_ha", dressing / area * HA_M2)
    per_ha = _line(b, ground, "p2o5_kg_per_ha", p2o5 / area * HA_M2)
    p_per_ha = _line(b, ground, "p_kg_per_ha", per_ha / b["p2o5_per_p"])
    available = dressing * b["char_available_share"] / area * HA_M2
    _line(b, ground, "available_kg_per_ha", available)
    if ground.crop and "crop_yield" in ground.rows:
        harvest = _row(b, ground, "crop_yield") * HA_M2
        taken = _line(b, ground, "removal_p_kg_per_ha", harvest * _figure(b, ground, "crop_p_per_kg"))
        _line(b, ground, "years_of_removal", p_per_ha / np.maximum(taken, WHOLE))


def _blend(b: Book, plan: Plan, ground: Ground) -> None:
    """Tea [L], compost [m³] and tank loads a year."""
    char = _figure(b, ground, "char_kg")
    if ground.blend == "compost":
        typed = "compost_volumes" in ground.rows
        volumes = _row(b, ground, "compost_volumes") if typed else b["planting_compost_volumes"]
        _line(b, ground, "compost_m3", char / b["char_kg_per_m3"] * volumes)
    if ground.blend == "tea":
        typed = "tea_per_char" in ground.rows
        tea = char * (_row(b, ground, "tea_per_char") if typed else b["planting_tea_l_per_kg"])
        tea = _line(b, ground, "tea_l", tea)
        if "tank" in plan.planting.injector:
            _line(b, ground, "loads", np.ceil(tea / b["injector.tank"]))


def _distance(b: Book, plan: Plan, ground: Ground) -> Quantity | None:
    """Driving a year [m]: along the rows, or over the area at the working width; None where unknown."""
    if ground.way == "row" and ground.has_length:
        return _figure(b, ground, "length_m")
    if ground.way != "broadcast" or not ground.has_area:
        return None
    if "width" in plan.planting.injector:
        return _figure(b, ground, "area_m2") / b["injector.width"]
    return _figure(b, ground, "area_m2") / _row(b, ground, "width") if "width" in ground.rows else None


def _work(b: Book, plan: Plan, ground: Ground) -> None:
    """Hours by hand, driving and filling a year, their cost, and diesel."""
    has = plan.planting.injector
    years: Quantity = _row(b, ground, "years_between") if "years_between" in ground.rows else 1.0
    part = _figure(b, ground, "may_spread") / years
    hours: list[Quantity] = []
    if "minutes_each" in ground.rows:
        by_hand = _row(b, ground, "minutes_each") / 60 * _row(b, ground, "count")
        hours.append(_line(b, ground, "hand_hours", by_hand * part))
    distance = _distance(b, plan, ground)
    if "speed" in has and distance is not None:
        driving = _line(b, ground, "driving_hours", distance / b["injector.speed"] * part)
        tractor = driving
        loads = b.optional(f"planting_{ground.number}_loads")
        if loads is not None and "minutes_per_load" in has:
            filling = loads * b["injector.minutes_per_load"] / 60
            tractor = driving + _line(b, ground, "filling_hours", filling)
        if ground.blend == "tea":
            minutes = np.maximum(driving * 60, WHOLE)
            _line(b, ground, "litres_per_minute", _figure(b, ground, "tea_l") / minutes)
        hours.append(_line(b, ground, "tractor_hours", tractor))
        if "diesel_use" in has:
            diesel = _line(b, ground, "diesel_l", tractor * b["injector.diesel_use"])
            if "diesel_price" in has:
                _line(b, ground, "diesel_cost", diesel * b["injector.diesel_price"])
    worked: Quantity = total(hours) if hours else 0.0
    worked = _line(b, ground, "hours", worked)
    _line(b, ground, "labour_cost", worked * b["cost_per_hour"])


def _worth(b: Book, plan: Plan, ground: Ground) -> None:
    """Worth a year at the fertiliser replaced: nil unless a soil test says that phosphorus is short."""
    factor = _figure(b, ground, "soil_factor") if "soil_ph" in ground.rows else b["soil_factor_used"]
    working = _figure(b, ground, "char_kg") * b["char_available_share"] * factor
    working = _line(b, ground, "working_p2o5_kg", working)
    short: Quantity = 0.0
    if "soil_test" in ground.rows:
        short = 1 - np.greater(_row(b, ground, "soil_test"), b["soil_test_short"]) * 1.0
    short = _line(b, ground, "p_is_short", short)
    worth = _line(b, ground, "worth", working * b["fertiliser.p2o5_price"] * short)
    costs, diesel = _figure(b, ground, "labour_cost"), b.optional(f"planting_{ground.number}_diesel_cost")
    if diesel is not None:
        costs = costs + diesel
    _line(b, ground, "worth_less_work", worth - costs)


def _together(b: Book, plan: Plan) -> None:
    """All blocks against the year's production and what is set aside [kg dry char a year]."""

    def summed(word: str) -> Quantity:
        return total(_figure(b, ground, word) for ground in plan.planting.grounds)

    char = b.line(FIGURE, summed("char_kg"))
    b.line(
        "planting_batches", np.ceil(char / np.maximum(b["char_kg"] / np.maximum(b["firings_per_year"], 1), WHOLE))
    )
    made = b["char_finished_kg"]
    b.line("planting_share", char / np.maximum(made, WHOLE))
    b.line("planting_beyond_made_kg", np.maximum(char - made, 0))
    aside: Quantity = or_zero(b, "own_use_kg") / b["as_sold_per_kg"]
    b.line("planting_not_set_aside_kg", np.maximum(char - aside, 0))
    b.line("planting_hours", summed("hours"))
    b.line("planting_worth", summed("worth"))
    b.line("planting_worth_less_work", summed("worth_less_work"))
