"""Own planting by hand: what is planned, work, worth, and never more char than there is without a word.

The most of one application is worked by hand in `test_ceiling.py`.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plants import CHAR_KG, plant

from econ.answer.appraisal import appraise
from econ.answer.base_case import base_case
from econ.errors import InputFaults
from econ.evidence.substances import crop_removals
from econ.inputs.records import Scenario
from econ.model.evaluate import evaluate
from econ.model.plan import Plan

P2O5_PER_P = 2.29133
LB_KG, ACRE_HA = 0.45359237, 0.40468564224

SWITCHED_OFF: dict[str, Any] = {"own_use.from_planting": ("no", None)}
BED: dict[str, Any] = SWITCHED_OFF | {
    "planting.1.kind": ("beds", None), "planting.1.count": (1, "each"), "planting.1.area": (1, "ha"),
    "planting.1.char_per_area": (488, "kg per ha"), "planting.1.depth": (100, "mm"),
    "product.total_p2o5_share": (32, "% P2O5"), "product.available_p2o5_share": (16, "% P2O5"),
}  # fmt: skip
TREES: dict[str, Any] = SWITCHED_OFF | {
    "planting.1.count": (40, "each"), "planting.1.spacing": (3, "m"), "planting.1.width": (5, "m"),
    "product.total_p2o5_share": (32, "% P2O5"), "product.available_p2o5_share": (16, "% P2O5"),
}  # fmt: skip


def figures(rows: dict[str, Any], **more: tuple[object, str | None]) -> dict[str, float]:
    scenario = plant({**rows, **{key.replace("__", "."): value for key, value in more.items()}})
    lines = evaluate(scenario.numbers(), Plan.of(scenario)).lines
    start = "planting_"
    return {name.removeprefix(start): float(value) for name, value in lines.items() if name.startswith(start)}


def cautions(rows: dict[str, Any], **more: tuple[object, str | None]) -> dict[str, str]:
    scenario = plant({**rows, **{key.replace("__", "."): value for key, value in more.items()}})
    return {caution.id: caution.text for caution in base_case(scenario).cautions()}


def test_the_load_of_the_label_rate() -> None:
    """488 kg/ha at 32 % is about 156 kg P2O5/ha: 488 × 0.32 by hand; half of it available."""
    found = figures(BED, planting__1__years_between=(5, "years"))
    assert found["1_p2o5_kg_per_ha"] == pytest.approx(156, abs=0.5)
    assert found["1_p2o5_kg_per_ha"] == found["1_applied_p2o5_kg_per_ha"] == pytest.approx(488 * 0.32)
    assert found["1_available_kg_per_ha"] == pytest.approx(488 * 0.16)
    assert found["char_kg"] == pytest.approx(488 / 5)


def test_a_pound_on_a_hundred_square_feet() -> None:
    """1 lb per 100 ft² is 436 lb an acre, 139 lb P2O5 an acre at 32 % (retail label, derived by hand)."""
    more = {"planting__1__char_per_area": (1, "lb per 100ft2"), "planting__1__years_between": (5, "years")}
    found = figures(BED, **more)
    assert found["1_char_kg_per_ha"] / LB_KG * ACRE_HA == pytest.approx(435.6, abs=0.1)
    assert found["1_p2o5_kg_per_ha"] / LB_KG * ACRE_HA == pytest.approx(139, abs=0.5)


@pytest.mark.parametrize(("grams", "total"), [(50, 16), (100, 32), (200, 64)])
def test_a_planting_hole(grams: float, total: float) -> None:
    """50 to 200 g a hole (assumed practice) at 32 % P2O5, as planned: by hand."""
    found = figures(TREES, planting__1__char_per_tree=(grams, "g per each"))
    assert found["1_p2o5_kg"] * 1000 / 40 == pytest.approx(total)
    assert found["1_dressing_kg"] == pytest.approx(40 * grams / 1000)


def test_usual_rates_where_none_is_typed() -> None:
    """100 g a hole, 250 kg/ha by row or deep (assumed practice), 488 kg/ha broadcast (one label)."""
    assert figures(TREES)["1_dressing_kg"] == pytest.approx(40 * 0.1)
    for way in ("row injection", "deep"):
        found = figures(TREES | {"planting.1.way": (way, None)})
        assert found["1_dressing_kg"] / found["1_area_m2"] * 1e4 == pytest.approx(250)
    assert figures({**BED, "planting.1.char_per_area": (None, None)})["1_dressing_kg"] == pytest.approx(488)


def test_char_by_length_of_row() -> None:
    """3 rows of 50 m at 0.1 kg/m: 15 kg; rows 2 m apart: 300 m2. Without a width a row is taken as 1 m wide."""
    rows: dict[str, Any] = SWITCHED_OFF | {
        "planting.1.kind": ("rows", None), "planting.1.count": (3, "each"), "planting.1.length": (50, "m"),
        "planting.1.width": (2, "m"), "planting.1.char_per_length": (0.1, "kg per m"),
        "planting.1.years_between": (5, "years"),
    }  # fmt: skip
    found = figures(rows)
    assert (found["1_length_m"], found["1_area_m2"]) == (150, 300)
    assert found["1_allowed_kg"] == found["1_dressing_kg"] == pytest.approx(15)
    assert (found["1_char_kg_per_m"], found["1_char_kg_per_ha"]) == pytest.approx((0.1, 500))
    assert figures({**rows, "planting.1.width": (None, None)})["1_area_m2"] == 150
    assert "planting-ground-assumed" in cautions({**rows, "planting.1.width": (None, None)})


def test_against_what_apples_take_away() -> None:
    """20 short tons an acre at 0.3 lb P a ton: 6 lb P an acre (WSU EM119E, middle of its range)."""
    found = figures(BED, planting__1__crop=("apples", None), planting__1__crop_yield=(20, "short_ton per acre"))
    assert found["1_removal_kg_per_ha"] / LB_KG * ACRE_HA == pytest.approx(6.0 * P2O5_PER_P, rel=1e-5)
    assert found["1_years_of_removal"] == pytest.approx(488 * 0.32 / P2O5_PER_P * ACRE_HA / LB_KG / 6.0, rel=1e-5)
    assert 8 <= found["1_years_of_removal"] <= 15, "the label rate is 8 to 15 years of apples"


@pytest.mark.parametrize("crop", [one.crop for one in crop_removals()])
def test_every_crop_of_the_evidence_can_be_chosen(crop: str) -> None:
    assert figures(BED, planting__1__crop=(crop, None), planting__1__crop_yield=(10, "tonne per ha"))


@pytest.mark.parametrize(
    ("level", "is_short", "said"),
    [
        (30, 1, ""), (50, 1, ""), (51, 0, "planting-phosphorus-enough"), (90, 0, "planting-phosphorus-enough"),
        (120, 0, "planting-stopped"), (149.9, 0, "planting-stopped"), (150, 0, "planting-stopped"),
        (300, 0, "planting-stopped"),
    ],
)  # fmt: skip
def test_the_soil_test_stops_and_values(level: float, is_short: float, said: str) -> None:
    """Mehlich-3: to 50 below optimum, above 100 none needed, 150 environmental (Sims et al. 2002)."""
    more: dict[str, Any] = {"planting__1__soil_test": (level, "mg/kg"), "planting__1__years_between": (5, "years"),
                            "fertiliser__p2o5_price": (1.5, "USD per kg")}  # fmt: skip
    found, spread = figures(BED, **more), float(level <= 100)
    assert (found["1_may_spread"], found["1_p_is_short"]) == (spread, is_short)
    assert found["1_allowed_kg"] == pytest.approx(488 * spread)
    assert found["1_p2o5_kg_per_ha"] == pytest.approx(488 * 0.32), "the load as planned stays shown"
    assert found["1_worth"] == pytest.approx(488 / 5 * 0.16 * 0.4 * 1.5 * is_short)
    texts = cautions(BED, **more)
    assert said in texts if said else not {"planting-stopped", "planting-phosphorus-enough"} & texts.keys()
    if said == "planting-stopped":
        assert texts[said].startswith("Planting 1: DO NOT APPLY")
        assert f"P of {level:.3g} ppm (mg/kg)" in texts[said]
        assert ("environmental threshold 150 ppm (Sims et al." in texts[said]) == (level >= 150)


def test_without_a_soil_test_it_is_worth_nothing() -> None:
    price = (1.5, "USD per kg")
    assert figures(BED, fertiliser__p2o5_price=price)["1_worth"] == 0
    assert "planting-no-soil-test" in cautions(BED, fertiliser__p2o5_price=price)


@pytest.mark.parametrize(("ph", "factor"), [(5.0, 0.6), (5.8, 0.4), (6.5, 0.0)])
def test_the_ph_of_the_ground_itself(ph: float, factor: float) -> None:
    """The assumed steps of the house, nil above pH 6.1 (Warren et al. 2009)."""
    found = figures(BED, planting__1__soil_ph=(ph, "pH"), planting__1__years_between=(5, "years"))
    assert found["1_working_p2o5_kg"] == pytest.approx(488 / 5 * 0.16 * factor)
    assert ("planting-soil-ph" in cautions(BED, planting__1__soil_ph=(ph, "pH"))) == (factor == 0)


TEA: dict[str, Any] = TREES | {
    "planting.1.way": ("row injection", None), "planting.1.char_per_tree": (0.5, "kg per each"),
    "planting.1.blend": ("compost tea", None), "planting.1.tea_per_char": (12, "L per kg"),
    "injector.tank": (100, "L"), "injector.speed": (4, "km per hour"), "injector.minutes_per_load": (15, "min"),
    "injector.diesel_use": (4, "L per hour"), "injector.diesel_price": (1.2, "USD per L"),
    "planting.1.soil_test": (30, "mg/kg"), "planting.1.years_between": (4, "years"),
    "labour.wage": (20, "USD per hour"), "labour.on_cost_share": (0, "%"),
}  # fmt: skip


def test_tea_tank_and_tractor() -> None:
    """20 kg char in 240 L: 3 loads of 100 L; 120 m at 4 km/h take 0.03 h, filling 0.75 h; 133 L/min.

    One application in four years: a quarter of the hours a year, the whole tank each time.
    """
    found = figures(TEA)
    assert (found["1_tea_l"], found["1_loads"]) == (pytest.approx(240), 3)
    assert found["1_mixed_kg"] == pytest.approx(260)
    assert found["1_driving_hours"] == pytest.approx(0.03 / 4)
    assert found["1_filling_hours"] == pytest.approx(0.75 / 4)
    assert found["1_litres_per_minute"] == pytest.approx(240 / 1.8)
    assert found["1_diesel_l"] == pytest.approx(0.78 / 4 * 4)
    assert found["1_labour_cost"] == pytest.approx(0.78 / 4 * 20)
    assert found["1_worth_less_work"] == pytest.approx(found["1_worth"] - 0.78 / 4 * (20 + 4 * 1.2))


def test_the_three_year_plan() -> None:
    """20 kg every fourth year from year 2; every second year from year 1: by the calendar."""
    found = figures(TEA, planting__1__first_year=(2, None))
    assert [found[f"1_plan_{year}_kg"] for year in (1, 2, 3)] == pytest.approx([0, 20, 0])
    more: dict[str, Any] = {"planting__1__years_between": (2, "years")}
    found = figures(TEA | {"planting.1.char_per_tree": (0.1, "kg per each")}, **more)
    assert [found[f"1_plan_{year}_kg"] for year in (1, 2, 3)] == pytest.approx([4, 0, 4])
    assert found["plan_3_kg"] == pytest.approx(4)


def test_loads_of_a_spreader_hold_char_and_compost() -> None:
    """4 kg char with 2 volumes of compost (593 kg/m3 to 750): 4 + 4 / 750 × 2 × 593 = 10.3 kg, 3 loads of 5 kg."""
    found = figures(TREES, planting__1__blend=("finished compost", None), injector__hopper=(5, "kg"),
                    planting__1__soil_test=(10, "mg/kg"))  # fmt: skip
    assert (found["1_mixed_kg"], found["1_loads"]) == (pytest.approx(4 + 4 / 750 * 2 * 593), 3)


def test_a_second_year_credit_is_off_until_typed() -> None:
    more: dict[str, Any] = {"fertiliser__p2o5_price": (1.5, "USD per kg")}
    first = figures(TEA, **more)
    both = figures(TEA, soil__second_year_share=(50, "%"), **more)
    assert "1_second_year_p2o5_kg" not in first
    assert both["1_worth"] == pytest.approx(1.5 * first["1_worth"])


def test_untested_tea_waits_like_manure() -> None:
    """US organic rule, 7 CFR 205.203: 120 and 90 days (from memory)."""
    text = cautions(TEA)["planting-untested-tea"]
    assert "raw manure" in text
    assert "120 days" in text
    assert "90 days" in text
    assert "planting-untested-tea" not in cautions(TEA, injector__tea_tested=("yes", None))


def test_work_by_hand_and_years_between() -> None:
    """40 trees at 6 minutes: 4 hours; every second year: 2 hours and half the char a year."""
    more: dict[str, Any] = {"planting__1__minutes_each": (6, "min"), "planting__1__years_between": (2, "years"),
                            "planting__1__soil_test": (10, "mg/kg")}  # fmt: skip
    found = figures(TREES, **more)
    assert found["1_hours"] == pytest.approx(2)
    assert found["char_kg"] == pytest.approx(2)
    assert found["1_dressing_kg"] == pytest.approx(4)


def test_compost_by_volume() -> None:
    """4 kg char at 750 kg/m³ and 2 volumes: 10.7 L of compost, with 593 × 0.55 × 1.34 % = 4.37 kg P2O5 a m³."""
    found = figures(TREES, planting__1__blend=("finished compost", None), planting__1__soil_test=(10, "mg/kg"))
    assert found["1_compost_m3"] == pytest.approx(4 / 750 * 2)
    assert found["1_p2o5_per_kg"] == pytest.approx(0.32 + 2 / 750 * 593 * 0.55 * 0.0134)


LARGE: dict[str, Any] = {"planting__1__years_between": (5, "years")}


def test_batches_and_share_of_production() -> None:
    """6,760 kg char in 104 firings: 65 kg a firing; 488 kg in 5 years take 2 firings and 1.4 % of the char."""
    found = figures(BED, **LARGE)
    assert found["batches"] == 2
    assert found["share"] == pytest.approx(488 / 5 / CHAR_KG)


@settings(max_examples=25, deadline=None)
@given(area=st.floats(0.1, 300), aside=st.floats(0, 8000))
def test_never_more_char_than_is_made_without_saying_so(area: float, aside: float) -> None:
    rows = {**BED, "planting.1.area": (area, "ha"), "own_use.mass": (aside, "kg per year")}
    found = figures(rows, **LARGE)
    asked = area * 488 / 5
    assert found["beyond_made_kg"] == pytest.approx(max(0.0, asked - CHAR_KG), abs=1e-6)
    assert found["not_set_aside_kg"] == pytest.approx(max(0.0, asked - min(aside, CHAR_KG)), abs=1e-6)


def test_what_is_said_of_too_much() -> None:
    big: dict[str, Any] = LARGE | {"planting__1__area": (100, "ha")}
    assert "3,000 kg more" in cautions(BED, **big)["planting-beyond-made"]
    assert "9,760 kg of the 9,760 kg a year" in cautions(BED, **big)["planting-not-set-aside"]
    for enough in ({"own_use__mass": (98, "kg per year")}, {"own_use__from_planting": ("yes", None)}):
        assert not {"planting-beyond-made", "planting-not-set-aside"} & cautions(BED, **LARGE, **enough).keys()


def test_one_switch_takes_own_ground_out_of_sales() -> None:
    """488 kg in 5 years leave what is for sale; an amount typed for own use stands in its place."""
    for rows, own in (
        ({}, 488 / 5),
        ({"own_use.mass": (300, "kg per year")}, 300),
        ({"own_use.from_planting": ("no", None)}, None),
    ):
        start = {key: value for key, value in BED.items() if key != "own_use.from_planting"}
        scenario = plant({**start, "planting.1.years_between": (5, "years"), **rows})  # type: ignore[dict-item]
        lines = evaluate(scenario.numbers(), Plan.of(scenario)).lines
        assert lines.get("own_use_kg") == (None if own is None else pytest.approx(own))
        left = lines["product_kg"] - (own or 0)
        assert lines["char_sold_kg"] + lines["char_to_stock_kg"] == pytest.approx(left)


def test_nothing_of_the_money_moves_where_the_switch_is_off() -> None:
    rest = {key: value for key, value in TEA.items() if not key.startswith(("planting.", "injector."))}
    with_it, without = appraise(plant(TEA)), appraise(plant(rest))
    for name, value in without.figures.items():
        assert with_it.figures[name] == pytest.approx(value, rel=0, abs=0, nan_ok=True), name
    assert not [name for name in without.figures if name.startswith("planting")]
    assert without.to_json()["details"]["planting"] is None
    blocks = with_it.to_json()["details"]["planting"]["blocks"]
    assert blocks[0]["loads"] == 3


def test_a_case_alone_equals_the_same_in_an_array() -> None:
    scenario = plant(TEA | {"planting.1.soil_test": (40, "mg/kg")})
    numbers: dict[str, Any] = scenario.numbers()
    levels = np.array([20e-6, 60e-6, 200e-6])
    many = evaluate({**numbers, "planting.1.soil_test": levels}, Plan.of(scenario)).lines
    for at, level in enumerate(levels):
        alone = evaluate({**numbers, "planting.1.soil_test": float(level)}, Plan.of(scenario)).lines
        for name in ("planting_char_kg", "planting_1_loads", "planting_worth", "planting_batches"):
            assert np.broadcast_to(many[name], 3)[at] == alone[name], name


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (BED | {"planting.1.char_per_tree": (1, "kg per each")}, "char counted 2 ways"),
        ({"planting.1.count": (3, "each"), "planting.1.kind": ("beds", None)}, "Length of one row or bed"),
        ({"planting.1.count": (3, "each"), "planting.1.kind": ("rows", None),
          "planting.1.char_per_tree": (1, "kg per each")}, "rows with char by the tree"),
        ({"planting.1.area": (3, "ha")}, ": blank. Enter how many"),
        ({"planting.2.area": (3, "ha")}, "How many trees, rows or beds .planting 2.: blank"),
        (BED | {"planting.1.crop": ("mangoes", None)}, "mangoes"),
    ],
)  # fmt: skip
def test_char_that_cannot_be_counted(rows: dict[str, Any], said: str) -> None:
    with pytest.raises(InputFaults, match=said):
        plant(rows)


def test_trees_by_hole_without_distances_get_assumed_ground() -> None:
    """4 m² a tree (assumed): 7 trees have 28 m²; an orchard's 15.4 kg P2O5/ha is 6.2 g a tree, not 33 g."""
    found = figures({"planting.1.count": (7, "each")})
    assert found["1_area_m2"] == 28
    assert found["1_p2o5_g_per_tree"] == pytest.approx(15.4 * 4 / 10)
    assert math.isclose(found["1_hours"], 0.0)


def loads(scenario: Scenario) -> float:
    return float(evaluate(scenario.numbers(), Plan.of(scenario)).lines["planting_1_loads"])


@pytest.mark.parametrize(("tank", "expected"), [(240, 1), (239, 2), (120, 2), (1000, 1)])
def test_a_last_load_is_a_load(tank: float, expected: int) -> None:
    assert loads(plant(TEA | {"injector.tank": (tank, "L")})) == expected
