"""Own planting and customers' ground, block by block: each line worked on paper over round numbers of the
house."""

from __future__ import annotations

from typing import Any

import pytest
from stage import check, plan_with, told

from econ.model import planting
from econ.model.coefficients import factor
from econ.model.coefficients import planting as planting_coefficients
from econ.model.ledger import Arrays, Book
from econ.model.plan import Ground
from econ.units import unit

ROWS: dict[str, Any] = {
    "planting.1.count": 100.0, "planting.1.spacing": 3.0, "planting.1.length": 5.0, "planting.1.width": 4.0,
    "planting.1.area": 900.0, "planting.1.char_per_tree": 0.12, "planting.1.char_per_length": 0.05,
    "planting.1.char_per_area": 0.02, "planting.1.compost_volumes": 2.0, "planting.1.tea_per_char": 5.0,
    "planting.1.crop_yield": 2.0, "planting.1.years_between": 2.0, "planting.1.first_year": 2.0,
    "planting.1.soil_test": 40e-6, "planting.1.local_most": 0.008, "planting.1.minutes_each": 6.0,
    "injector.tank": 25.0, "injector.hopper": 7.0, "injector.speed": 3000.0, "injector.width": 2.0,
    "injector.minutes_per_load": 10.0, "injector.diesel_use": 4.0, "injector.diesel_price": 1.5,
    "soil.density": 1.2, "soil.sample_depth": 0.2, "soil.build": 1e-3, "soil_slice_kg_per_m2": 200.0,
    "soil_test_none": 100.0, "soil_test_short": 50.0, "soil_build_years": 4.0, "soil.second_year_share": 0.5,
    "garden_removal_kg_per_ha": 30.0, "orchard_removal_kg_per_ha": 20.0, "planting_tree_m2": 5.0,
    "planting_row_m": 1.5, "planting_compost_p2o5_kg_per_m3": 4.0, "planting_hole_kg": 0.1,
    "planting_row_kg_per_m2": 0.025, "planting_tea_l_per_kg": 10.0, "planting_compost_volumes": 3.0,
    "planting_1_crop_p_per_kg": 0.0005, "planting_1_soil_factor": 0.6, "soil_factor_used": 0.4, "p2o5_per_p": 2.5,
    "char_p2o5_share": 0.25, "char_available_share": 0.1, "char_kg_per_m3": 800.0, "compost_kg_per_m3": 600.0,
    "market.label_rate": 0.05, "as_sold_per_kg": 1.25, "cost_per_hour": 20.0, "fertiliser.p2o5_price": 2.0,
    "char_kg": 600.0, "char_finished_kg": 500.0, "firings_per_year": 50.0, "own_use_kg": 5.0,
}  # fmt: skip
FILLED = frozenset({"count", "spacing", "width", "char_per_tree", "years_between"})
TOOLS = frozenset({"tank", "hopper", "speed", "width", "minutes_per_load", "diesel_use", "diesel_price"})


def block(
    more: str = "",
    less: str = "",
    tools: frozenset[str] = TOOLS,
    rows: dict[str, float] | None = None,
    **ground: str,
) -> dict[str, Any]:
    """The lines of one block, `planting_1_` left off; `more` and `less` are words of its filled rows."""
    usual = {"kind": "trees", "way": "hole", "per": "tree", "blend": "none", "crop": ""}
    one = Ground(number=1, rows=(FILLED | set(more.split())) - set(less.split()), **usual | ground)
    plan = plan_with(planting={"grounds": (one,), "injector": tools, "leaves_sales": False})

    def both(b: Book) -> None:
        planting.doses(b, plan)
        planting.plant(b, plan)

    return {
        name.removeprefix("planting_1_"): found
        for name, found in told(both, {**ROWS, **(rows or {})}).lines.items()
    }


def test_what_raises_a_soil_test() -> None:
    """1.2 t/m3 × 0.2 m = 240 kg/m2; 10 kg/ha for 200 kg/m2, so 12."""
    check(block(), {"soil_layer_kg_per_m2": 240, "p2o5_per_test_kg_per_ha": 12})


def test_a_hundred_trees() -> None:
    """12 kg on 300 m of 4 m: 25 % phosphate, 25 kg/ha; usual removal 20 kg/ha a year, 40 until the next."""
    check(block(), {
        "length_m": 300, "area_m2": 1200, "dressing_kg": 12, "p2o5_per_kg": 0.25, "p2o5_kg": 3,
        "p2o5_kg_per_ha": 25, "removal_kg_per_ha": 20, "years_of_removal": 1.25, "ceiling_removal_kg_per_ha": 40,
        "ceiling_test_kg_per_ha": None, "most_p2o5_kg_per_ha": 40, "may_spread": 1, "next_years": 2,
        "allowed_kg": 12, "char_kg": 6, "char_g_per_tree": 120, "p2o5_g_per_tree": 30, "p_g_per_tree": 12,
        "char_kg_per_m": 0.04, "char_kg_per_ha": 100, "applied_p2o5_kg_per_ha": 25, "p_kg_per_ha": 10,
        "available_kg_per_ha": 10, "plan_1_kg": 12, "plan_2_kg": 0, "plan_3_kg": 12, "plan_4_kg": None,
        "mixed_kg": 12, "loads": 2,
        "hours": 0, "labour_cost": 0, "working_p2o5_kg": 0.24, "second_year_p2o5_kg": 0.12, "p_is_short": 0,
        "worth": 0, "worth_less_work": 0,
    })  # fmt: skip


@pytest.mark.parametrize(
    ("ground", "facts"),
    [
        # a crop of 2 kg/m2 with 0.5 g P a kg: 10 kg P, 25 kg phosphate
        ({"crop": "apple", "more": "crop_yield"}, {"removal_p_kg_per_ha": 10, "removal_kg_per_ha": 25}),
        ({"crop": "apple"}, {"removal_p_kg_per_ha": None, "removal_kg_per_ha": 20}),
        ({"kind": "beds", "more": "length"}, {"removal_kg_per_ha": 30, "length_m": 500, "area_m2": 2000}),
        # without a yearly rhythm every year: 20 kg/ha allowed of 25
        ({"less": "years_between"}, {"most_p2o5_kg_per_ha": 20, "may_spread": 0, "allowed_kg": 9.6,
                                     "char_kg": 9.6}),
        # just what crops take: 1.25 years at 20 kg
        ({"rows": {"planting.1.years_between": 1.25}},
         {"most_p2o5_kg_per_ha": 25, "may_spread": 1, "char_kg": 9.6}),
        # twice a year, with a soil test that stops nothing and without one
        ({"rows": {"planting.1.years_between": 0.5}}, {"most_p2o5_kg_per_ha": 10, "next_years": 0.5}),
        ({"more": "soil_test", "rows": {"planting.1.years_between": 0.5}}, {"next_years": 0.5}),
        # 40 ppm are 10 short, 120 kg/ha, half of it in 2 of 4 years; up to 100 ppm it would take 720
        ({"more": "soil_test"}, {"build_kg_per_ha": 60, "ceiling_test_kg_per_ha": 100, "p_is_short": 1,
                                 "ceiling_peak_kg_per_ha": 720, "most_p2o5_kg_per_ha": 100, "next_years": 2,
                                 "test_after": 40 + 25 / 12, "worth": 0.72}),
        # a local plan of 80 kg/ha is less
        ({"more": "soil_test local_most"}, {"most_p2o5_kg_per_ha": 80}),
        ({"more": "soil_test", "rows": {"planting.1.years_between": 6.0}}, {"build_kg_per_ha": 120}),
        ({"more": "soil_test", "rows": {"planting.1.soil_test": 50e-6}}, {"build_kg_per_ha": 0, "p_is_short": 1}),
        ({"more": "soil_test", "rows": {"planting.1.soil_test": 60e-6}}, {"build_kg_per_ha": 0, "p_is_short": 0,
                                                                          "worth": 0}),
        # 99 ppm: one more is all that is left to the threshold
        ({"more": "soil_test", "rows": {"planting.1.soil_test": 99e-6}}, {"most_p2o5_kg_per_ha": 12}),
        # 120 ppm: nothing until crops have taken 20 × 12 kg/ha, 12 years at 20
        ({"more": "soil_test", "rows": {"planting.1.soil_test": 120e-6}},
         {"ceiling_test_kg_per_ha": 0, "ceiling_peak_kg_per_ha": 0, "most_p2o5_kg_per_ha": 0, "may_spread": 0,
          "next_years": 12, "allowed_kg": 0, "char_kg": 0, "hours": 0}),
        ({"less": "years_between"}, {"plan_1_kg": 9.6, "plan_2_kg": 9.6, "plan_3_kg": 9.6}),
        # what ground is covered, and the rate
        ({"less": "spacing"}, {"length_m": None, "area_m2": 500, "char_kg_per_m": None}),
        ({"less": "width"}, {"area_m2": 500}),
        ({"more": "area"}, {"area_m2": 900}),
        ({"kind": "rows", "more": "length", "less": "width"}, {"area_m2": 750}),
        ({"kind": "beds", "less": "width"}, {"area_m2": 500, "length_m": None, "char_g_per_tree": None}),
        ({"less": "char_per_tree"}, {"dressing_kg": 10}),
        ({"per": "length", "more": "char_per_length"}, {"dressing_kg": 15}),
        ({"per": "area", "more": "char_per_area"}, {"dressing_kg": 24}),
        ({"per": "area", "way": "row"}, {"dressing_kg": 30}),
        ({"per": "area", "way": "deep"}, {"dressing_kg": 30}),
        ({"per": "area", "way": "broadcast"}, {"dressing_kg": 48}),
        # from the second year on; from the third, every year
        ({"more": "first_year"}, {"plan_1_kg": 0, "plan_2_kg": 12, "plan_3_kg": 0}),
        ({"more": "first_year", "rows": {"planting.1.first_year": 3.0, "planting.1.years_between": 1.0}},
         {"allowed_kg": 9.6, "plan_1_kg": 0, "plan_2_kg": 0, "plan_3_kg": 9.6}),
        # two volumes of compost of 4 kg/m3: 0.01 kg phosphate a kg of char; 30 L, 18 kg
        ({"blend": "compost", "more": "compost_volumes"},
         {"p2o5_per_kg": 0.26, "compost_m3": 0.03, "mixed_kg": 30, "loads": 5, "tea_l": None}),
        ({"blend": "compost"}, {"p2o5_per_kg": 0.265, "compost_m3": 0.045, "mixed_kg": 39}),
        ({"blend": "compost", "rows": {"injector.hopper": 13.0}}, {"loads": 3}),
        ({"blend": "tea", "more": "tea_per_char"}, {"tea_l": 60, "mixed_kg": 72, "loads": 3, "compost_m3": None}),
        ({"blend": "tea"}, {"tea_l": 120, "mixed_kg": 132, "loads": 5}),
        ({"blend": "tea", "rows": {"injector.tank": 40.0}}, {"loads": 3}),
        ({"blend": "tea", "tools": frozenset({"hopper"})}, {"loads": None}),
        ({"tools": frozenset({"tank"})}, {"loads": None}),
        # worth: 6 kg a year with 10 % available, of which 60 % work in this ground and half as much the year after
        ({"more": "soil_test soil_ph"}, {"working_p2o5_kg": 0.36, "second_year_p2o5_kg": 0.18, "worth": 1.08}),
    ],
)  # fmt: skip
def test_a_block(ground: dict[str, Any], facts: dict[str, float | None]) -> None:
    check(block(**ground), facts)


@pytest.mark.parametrize(
    ("ground", "facts"),
    [
        # 100 trees at 6 minutes every second year
        ({"more": "minutes_each"}, {"hand_hours": 5, "hours": 5, "labour_cost": 100, "worth_less_work": -100,
                                    "tractor_hours": None}),
        # every year where no rhythm is typed
        ({"more": "minutes_each", "less": "years_between"}, {"hand_hours": 10}),
        # one tree has 0.12 kg and its 6 minutes too
        ({"more": "minutes_each", "rows": {"planting.1.count": 1.0}}, {"allowed_kg": 0.12, "hand_hours": 0.05}),
        # 300 m at 3 km/h are 0.1 h, three loads of tea 0.5 h; every second year; 60 L in 6 minutes
        ({"way": "row", "blend": "tea", "more": "tea_per_char minutes_each"},
         {"driving_hours": 0.05, "filling_hours": 0.25, "tractor_hours": 0.3, "litres_per_minute": 10,
          "diesel_l": 1.2, "diesel_cost": 1.8, "hours": 5.3, "labour_cost": 106, "worth_less_work": -107.8}),
        ({"way": "deep", "tools": TOOLS - {"minutes_per_load"}},
         {"driving_hours": 0.05, "filling_hours": None, "tractor_hours": 0.05, "litres_per_minute": None}),
        # broadcast: 1,200 m2 at 2 m are 600 m, or at the 4 m of the rows 300 m
        ({"way": "broadcast", "tools": TOOLS - {"hopper"}}, {"driving_hours": 0.1, "tractor_hours": 0.1}),
        ({"way": "broadcast", "tools": TOOLS - {"width", "diesel_price"}},
         {"driving_hours": 0.05, "diesel_l": (0.05 + 20 / 60 / 2) * 4, "diesel_cost": None}),
        ({"way": "broadcast", "more": "area", "less": "width", "tools": TOOLS - {"width"}},
         {"driving_hours": None}),
        ({"way": "broadcast", "less": "width"}, {"driving_hours": None}),
        ({"way": "hole"}, {"driving_hours": None}),
        ({"way": "row", "less": "spacing"}, {"driving_hours": None}),
        ({"way": "row", "tools": TOOLS - {"speed"}}, {"driving_hours": None, "hours": 0}),
        ({"way": "row", "tools": TOOLS - {"diesel_use"}}, {"driving_hours": 0.05, "diesel_l": None}),
    ],
)  # fmt: skip
def test_work_of_a_block(ground: dict[str, Any], facts: dict[str, float | None]) -> None:
    check(block(**ground), facts)


def test_all_blocks_together() -> None:
    """Two alike: 12 kg a year in batches of 12; 500 kg made; 5 kg as sold, 4 dry, set aside."""
    usual: dict[str, Any] = {"kind": "trees", "way": "hole", "per": "tree", "blend": "none", "crop": ""}
    grounds = tuple(Ground(number=n, rows=FILLED | {"minutes_each", "soil_test"}, **usual) for n in (1, 2))
    rows = ROWS | {key.replace("planting.1.", "planting.2."): value for key, value in ROWS.items()}
    plan = plan_with(planting={"grounds": grounds, "injector": frozenset(), "leaves_sales": False})

    def both(b: Book) -> None:
        planting.doses(b, plan)
        planting.plant(b, plan)

    check(told(both, rows).lines, {
        "planting_char_kg": 12, "planting_batches": 1, "planting_share": 0.024, "planting_beyond_made_kg": 0,
        "planting_not_set_aside_kg": 8, "planting_hours": 10, "planting_worth": 1.44,
        "planting_worth_less_work": 1.44 - 200, "planting_plan_1_kg": 24, "planting_plan_2_kg": 0,
        "planting_plan_3_kg": 24,
    })  # fmt: skip
    little = told(both, rows | {"char_finished_kg": 10.0, "own_use_kg": 50.0, "firings_per_year": 0.0}).lines
    check(little, {"planting_batches": 1, "planting_beyond_made_kg": 2, "planting_not_set_aside_kg": 0,
                   "planting_share": 1.2})  # fmt: skip
    check(told(both, rows | {"char_kg": 599.0}).lines, {"planting_batches": 2})
    one = told(both, rows | {"char_kg": 10.0, "firings_per_year": 1.0}).lines
    check(one, {"planting_batches": 2})


def test_doses_are_reckoned_where_there_is_ground_to_plant() -> None:
    usual: dict[str, Any] = {"kind": "trees", "way": "hole", "per": "tree", "blend": "none", "crop": ""}
    for grounds, leaves in (((), True), ((Ground(number=1, rows=FILLED, **usual),), False)):
        book = Book(ROWS, Arrays())
        plan = plan_with(planting={"grounds": grounds, "injector": frozenset(), "leaves_sales": leaves})
        planting.doses(book, plan)
        assert (book.optional("planting_1_char_kg") is not None) is bool(grounds)
        planting.plant(book, plan)
        assert (book.optional("planting_share") is not None) is bool(grounds)


@pytest.mark.parametrize(
    ("rate", "interval", "facts"),
    [
        # 600 kg/ha with 25 %: 150 kg phosphate, removal of 40 a year needs 3.75 years
        (0.06, None, {"label_p2o5_kg_per_ha": 150, "label_repeat_years": 4, "label_interval_years": 4,
                      "label_most_p2o5_kg_per_ha": 160, "label_allowed_kg_per_m2": 0.06}),
        (0.064, None, {"label_repeat_years": 4, "label_allowed_kg_per_m2": 0.064}),
        (0.01, None, {"label_repeat_years": 1}),
        # every second year: 80 kg/ha, 0.032 kg/m2
        (0.06, 2.0, {"label_repeat_years": 4, "label_interval_years": 2, "label_allowed_kg_per_m2": 0.032}),
    ],
)  # fmt: skip
def test_the_label_rate(rate: float, interval: float | None, facts: dict[str, float]) -> None:
    rows = {"market.label_rate": rate, "market.crop_removal": 0.004, "sold_p2o5_share": 0.25}
    rows |= {} if interval is None else {"label.interval": interval}
    check(told(planting.ground_of_customers, rows).lines, facts)


def test_coefficients_of_planting() -> None:
    """Each from its row of the evidence: per cent, grams, pounds an acre and tonnes made plain."""
    usual: dict[str, Any] = {"kind": "trees", "way": "hole", "per": "tree", "blend": "none"}
    grounds = (
        Ground(number=1, rows=frozenset({"soil_ph"}), crop="apple", **usual),
        Ground(number=2, rows=frozenset(), crop="", **usual),
    )
    plan = plan_with(planting={"grounds": grounds})
    found = planting_coefficients({"planting.1.soil_ph": 5.8}, plan)
    dry = factor("rho_compost") * (1 - factor("compost_water") / 100)
    check(found, {
        "soil_test_none": 100, "soil_test_short": 50, "planting_hole_kg": 0.1, "planting_row_kg_per_m2": 0.025,
        "planting_compost_p2o5_kg_per_m3": dry * factor("compost_p2o5") / 100,
        "soil_slice_kg_per_m2": factor("soil_slice") * 0.45359237 / 4046.8564224, "planting_1_soil_factor": 0.4,
        "planting_2_soil_factor": None, "planting_2_crop_p_per_kg": None,
    })  # fmt: skip
    # 0.3 lb P a short ton of fruit (test_own_planting.py)
    assert found["planting_1_crop_p_per_kg"] == pytest.approx(0.3 / 2000, rel=1e-4)
    assert unit("kg per ha").to_canonical(10_000.0) == pytest.approx(1.0)
    assert planting_coefficients({}, plan_with(planting={"grounds": ()})) == {}
