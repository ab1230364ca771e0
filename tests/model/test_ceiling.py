"""The most phosphate of one application, each ceiling by hand with its source; no block ever gets more."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plants import plant

from econ.answer.base_case import base_case
from econ.model.evaluate import evaluate
from econ.model.plan import Plan

LB_KG, ACRE_HA = 0.45359237, 0.40468564224
LB_ACRE = LB_KG / ACRE_HA
"""1 lb/acre in kg/ha."""
PER_PPM = 20 * LB_ACRE * (1330 * 6.7 * 0.0254) / (2e6 * LB_ACRE / 1e4)
"""20 lb P2O5 an acre raise the test by 1 ppm (Tri-State, read in a copy), for 2,000,000 lb of plough layer; here
6.7 in of 1.33 g/cm3 (Penn State Extension, read): 226 kg/m2 to 224, so 22.6 kg P2O5/ha."""

SHARES: dict[str, Any] = {
    "product.total_p2o5_share": (32, "% P2O5"), "product.available_p2o5_share": (16, "% P2O5"),
}  # fmt: skip


def lines(**rows: Any) -> dict[str, float]:
    scenario = plant({**SHARES, **{key.replace("__", "."): value for key, value in rows.items()}})
    found = evaluate(scenario.numbers(), Plan.of(scenario)).lines
    return {name: float(value) for name, value in found.items()}


def block(**rows: Any) -> dict[str, float]:
    given_rows = {"count": (1, "each"), "kind": ("beds", None), "area": (1, "ha"), **rows}
    start = "planting_1_"
    found = lines(**{f"planting__1__{word}": value for word, value in given_rows.items()})
    return {name.removeprefix(start): value for name, value in found.items() if name.startswith(start)}


def test_what_raises_the_soil_test() -> None:
    assert lines(planting__1__count=(1, "each"))["p2o5_per_test_kg_per_ha"] == pytest.approx(PER_PPM)
    assert pytest.approx(22.6, abs=0.05) == PER_PPM
    half = lines(planting__1__count=(1, "each"), soil__sample_depth=(3.35, "in"))
    assert half["p2o5_per_test_kg_per_ha"] == pytest.approx(PER_PPM / 2)


@pytest.mark.parametrize(
    ("test", "years", "most"),
    [
        # vegetables remove 34 kg P2O5/ha a year (New England Vegetable Management Guide, Table 4, read)
        (None, 1, 34),
        (None, 5, 170),
        # to 50 mg/kg below optimum: removal, and a quarter of the shortage a year (practice, not checked)
        (30, 1, 34 + 20 * PER_PPM / 4),
        (30, 4, 4 * 34 + 20 * PER_PPM),
        (30, 8, 8 * 34 + 20 * PER_PPM),
        # 51 to 100 optimum: removal only; above 100 nothing (Sims et al. 2002)
        (50, 1, 34),
        (80, 2, 68),
        (100, 2, 0),
        (101, 2, 0),
        (149, 20, 0),
        # never to where no phosphorus is needed: 5 mg/kg below 100
        (95, 20, 5 * PER_PPM),
    ],
)
def test_the_ceilings_by_hand(test: float | None, years: float, most: float) -> None:
    rows: dict[str, Any] = {"years_between": (years, "years")}
    if test is not None:
        rows["soil_test"] = (test, "mg/kg")
    assert block(**rows)["most_p2o5_kg_per_ha"] == pytest.approx(most)


def test_a_named_crop_takes_the_place_of_the_usual_removal() -> None:
    """20 short tons of apples an acre, 0.3 lb P each (WSU EM119E): 6 lb P, 13.7 lb P2O5 an acre."""
    found = block(crop=("apples", None), crop_yield=(20, "short_ton per acre"))
    assert found["most_p2o5_kg_per_ha"] / LB_ACRE == pytest.approx(6 * 2.29133, rel=1e-4)


def test_a_local_rule_is_a_ceiling_too() -> None:
    assert block(local_most=(20, "kg per ha"))["most_p2o5_kg_per_ha"] == pytest.approx(20)
    assert block(local_most=(200, "kg per ha"))["most_p2o5_kg_per_ha"] == pytest.approx(34), "no licence for more"


def caution(**rows: Any) -> str:
    found = base_case(
        plant({**SHARES, **{f"planting.1.{word}": value for word, value in rows.items()}})
    ).cautions()
    (text,) = [one.text for one in found if one.id in {"planting-above-ceiling", "planting-stopped"}]
    return text


def test_five_kilograms_a_tree_are_refused() -> None:
    """5 kg at 32 % on 4.336 m2 a tree is 3,690 kg P2O5/ha; an orchard removes 15.4 kg/ha a year: 0.42 % of it."""
    rows: dict[str, Any] = {"count": (100, "each"), "area": (433.6, "m2"), "char_per_tree": (5, "kg per each")}
    text = caution(**rows)
    assert text.startswith("Planting 1: MAY NOT BE APPLIED AS PLANNED: 3,690 kg/ha of P2O5")
    assert "At most 15 kg/ha" in text
    assert "2.1 kg of dry char, and again after 1 year." in text
    found = block(kind=("trees", None), **rows)
    assert (found["may_spread"], found["allowed_kg"]) == (0, pytest.approx(500 * 15.4 / 3690, rel=1e-3))


def test_two_tons_an_acre_at_149_are_refused() -> None:
    """4,000 lb an acre is 1,435 kg P2O5/ha; at 149 none is needed, at 49 a year's build-up and removal."""
    rows: dict[str, Any] = {"kind": ("beds", None), "count": (1, "each"), "area": (1, "acre"),
                            "char_per_area": (4000, "lb per acre")}  # fmt: skip
    assert "no phosphorus needed above 100 ppm" in caution(soil_test=(149, "mg/kg"), **rows)
    assert "DO NOT APPLY" in caution(soil_test=(100, "mg/kg"), **rows), "at the limit, but for rounding"
    assert "Mehlich-3 P of 1,240 ppm" in caution(soil_test=(1240, "mg/kg"), **rows), "never 1.24e+03"
    text = caution(soil_test=(49, "mg/kg"), **rows)
    assert "1,435 kg/ha of P2O5" in text
    assert f"At most {34 + PER_PPM / 4:.0f} kg/ha" in text


def test_when_the_next_one_is() -> None:
    """From 165 to 100 mg/kg at 22.6 kg P2O5/ha for each, 34 kg/ha removed a year: 43 years."""
    assert block(soil_test=(165, "mg/kg"))["next_years"] == pytest.approx(65 * PER_PPM / 34)
    assert block(soil_test=(40, "mg/kg"), years_between=(3, "years"))["next_years"] == 3


def test_the_label_rate_is_asked_the_same() -> None:
    """1 lb on 100 ft2 is 488 kg/ha, at 33 % 161 kg P2O5/ha: 4.7 years of 34 kg/ha, so once in 5."""
    found = lines(market__label_rate=(1, "lb per 100ft2"), product__total_p2o5_share=(33, "% P2O5"))
    assert found["label_p2o5_kg_per_ha"] == pytest.approx(161, abs=0.2)
    assert (found["label_repeat_years"], found["label_interval_years"]) == (5, 5)
    assert found["label_allowed_kg_per_m2"] * 1e4 == pytest.approx(488.2, abs=0.1), "as printed"
    yearly = lines(market__label_rate=(1, "lb per 100ft2"), label__interval=(1, "years"))
    assert yearly["label_allowed_kg_per_m2"] * 1e4 == pytest.approx(34 / 0.32)


def test_customers_buy_at_the_allowed_rate() -> None:
    """100 customers with 40 m2 at 106 kg/ha: 42.5 kg a year, not 195; 40 m2 × 5 years cover five times as many."""
    rows: dict[str, Any] = {
        "product__1__customers": (100, "each per year"),
        "market__label_rate": (488, "kg per ha"),
    }
    printed, yearly = lines(**rows), lines(label__interval=(1, "years"), **rows)
    assert printed["tier_1_customers_take_kg"] == pytest.approx(100 * 40 * 0.0488)
    assert yearly["tier_1_customers_take_kg"] == pytest.approx(100 * 40 * 34 / 0.32 / 1e4)
    assert printed["customers_in_all"] == pytest.approx(5 * printed["customers_per_year"])
    assert printed["ground_covered_m2"] == pytest.approx(printed["char_sold_kg"] / 0.0488)


@settings(max_examples=60, deadline=None)
@given(
    kind=st.sampled_from(["trees", "rows", "beds"]), count=st.integers(1, 500), area=st.floats(0.001, 50),
    rate=st.floats(0, 50_000), test=st.none() | st.floats(0, 400), years=st.floats(1, 40),
    local=st.none() | st.floats(0, 400, allow_subnormal=False),
    blend=st.sampled_from(["nothing", "compost tea", "finished compost"]),
)  # fmt: skip
def test_no_block_ever_gets_more_than_any_ceiling(
    kind: str,
    count: int,
    area: float,
    rate: float,
    test: float | None,
    years: float,
    local: float | None,
    blend: str,
) -> None:
    rows: dict[str, Any] = {
        "kind": (kind, None), "count": (count, "each"), "area": (area, "ha"), "char_per_area": (rate, "kg per ha"),
        "years_between": (years, "years"), "blend": (blend, None),
    }  # fmt: skip
    if test is not None:
        rows["soil_test"] = (test, "mg/kg")
    if local is not None:
        rows["local_most"] = (local, "kg per ha")
    found = block(**rows)
    applied = found["applied_p2o5_kg_per_ha"] * (1 - 1e-9)
    removal = found["removal_kg_per_ha"] * years
    assert applied <= found["p2o5_kg_per_ha"]
    assert local is None or applied <= local
    if test is None or test > 50:
        assert applied <= removal
    if test is not None:
        assert applied == 0 if test > 100 else test + applied / PER_PPM <= 100 + 1e-6
        assert applied <= removal + max(50 - test, 0) * PER_PPM
    assert max(found[f"plan_{year}_kg"] for year in (1, 2, 3)) <= found["allowed_kg"] * (1 + 1e-9)
    assert found["may_spread"] == float(found["allowed_kg"] >= found["dressing_kg"] * (1 - 1e-6))
