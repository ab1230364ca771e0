"""Selling by the real model: limits computed from customers, tiers, build-up, own use."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plants import CHAR_KG, plant

from econ.answer.base_case import base_case
from econ.model.evaluate import evaluate
from econ.model.plan import Plan

Rows = dict[str, tuple[object, str | None]]

TWO: Rows = {
    "product.1.price": (4, "USD per kg"), "product.1.share": (0.5, "fraction"),
    "product.2.price": (1, "USD per kg"), "fertiliser.p2o5_price": (1.5, "USD per kg"),
    "product.available_p2o5_share": (0.16, "% P2O5"), "fertiliser.soil_factor": (0.5, "fraction"),
}  # fmt: skip
TWO["product.available_p2o5_share"] = (16, "% P2O5")
WORTH_PER_KG = 0.16 * 0.5 * 1.5


def figures(more: Rows) -> dict[str, float]:
    scenario = plant(more)
    return {name: float(v) for name, v in evaluate(scenario.numbers(), Plan.of(scenario)).lines.items()}


GARDENS: Rows = {
    "product.1.customers": (200, "each per year"), "product.1.area": (50, "m2"),
    "market.label_rate": (0.05, "kg per m2"),
}  # fmt: skip


@pytest.mark.parametrize(
    ("more", "sold_kg"),
    [
        pytest.param({}, 500, id="200 customers × 50 m² × 0.05 kg/m²"),
        pytest.param({"product.1.repeat_share": (0.1, "fraction")}, 50, id="a tenth of them buys in a year"),
        pytest.param({"product.1.market_limit": (300, "kg per year")}, 300, id="the smaller: the limit typed"),
        pytest.param({"product.1.market_limit": (900, "kg per year")}, 500, id="the smaller: the customers"),
        pytest.param({"product.1.customers": (9e6, "each per year")}, CHAR_KG / 2, id="no more than is offered"),
    ],
)
def test_customers_limit_a_tier(more: Rows, sold_kg: float) -> None:
    found = figures(TWO | GARDENS | more)
    assert found["tier_1_sold_kg"] == pytest.approx(sold_kg)
    assert found["tier_2_sold_kg"] == pytest.approx(CHAR_KG - sold_kg)


def test_the_garden_of_all_is_used_where_a_tier_has_none() -> None:
    more = {key: value for key, value in GARDENS.items() if key != "product.1.area"}
    found = figures(TWO | more | {"market.area_per_customer": (30, "m2")})
    assert found["tier_1_sold_kg"] == pytest.approx(200 * 30 * 0.05)


def test_what_no_tier_takes_is_stock_or_bulk_at_its_worth() -> None:
    limits: Rows = {"product.1.market_limit": (100, "kg per year"), "product.2.market_limit": (200, "kg per year")}
    stock = figures(TWO | limits)
    assert stock["char_to_stock_kg"] == pytest.approx(CHAR_KG - 300)
    assert stock["sale_income_today"] == pytest.approx(600)
    bulk = figures(TWO | limits | {"market.rest": ("p-value", None)})
    assert bulk["char_to_stock_kg"] == pytest.approx(0, abs=1e-9)
    assert bulk["sale_income_today"] == pytest.approx(600 + (CHAR_KG - 300) * WORTH_PER_KG)


def test_discount_freight_packaging_hours_and_fees() -> None:
    costs: Rows = {
        "product.1.market_limit": (1000, "kg per year"), "product.1.channel_discount": (0.25, "fraction"),
        "product.1.freight": (0.1, "USD per kg"), "product.1.packaging": (0.2, "USD per kg"),
        "product.1.selling_hours": (10, "hour per tonne"), "labour.wage": (20, "USD per hour"),
        "labour.on_cost_share": (0.1, "fraction"), "costs.tonnage_fee": (2, "USD per tonne"),
    }  # fmt: skip
    found = figures(TWO | costs)
    rest = CHAR_KG - 1000
    assert found["sale_income_today"] == pytest.approx(1000 * 4 * 0.75 + rest)
    assert found["selling_cost_today"] == pytest.approx(1000 * 0.3 + 10 * 22 + CHAR_KG * 0.002)


@pytest.mark.parametrize(
    ("first", "full", "expected"),
    [
        pytest.param(0.4, 3, [0.4, 0.7, 1, 1, 1], id="straight line from 40 % to the third year"),
        pytest.param(None, 4, [0.25, 0.5, 0.75, 1, 1], id="without a first share: 1 / 4 and up"),
        pytest.param(0.4, None, [0.4, 1, 1, 1, 1], id="without a year: full from the second"),
        pytest.param(0.4, 1, [0.4, 1, 1, 1, 1], id="full in the first year but for what is typed"),
        pytest.param(None, 1, [1, 1, 1, 1, 1], id="full at once"),
    ],
)
def test_sales_build_up(first: float | None, full: float | None, expected: list[float]) -> None:
    more: Rows = {}
    if first is not None:
        more["market.first_year_share"] = (first, "fraction")
    if full is not None:
        more["market.years_to_full"] = (full, "years")
    scenario = plant(TWO | more)
    income = evaluate(scenario.numbers(), Plan.of(scenario)).years["sale_income"]
    whole = figures(TWO)["sale_income_today"]
    assert [float(income[t]) / whole for t in range(1, 6)] == pytest.approx(expected)


OWN: Rows = {"own_use.mass": (760, "kg per year"), "own_use.purchase_avoided": (50, "USD per year")}


@pytest.mark.parametrize(
    ("more", "saved"),
    [
        pytest.param({}, 0, id="no soil test"),
        pytest.param({"own_use.soil_test": ("optimum", None)}, 0, id="optimum"),
        pytest.param({"own_use.soil_test": ("below-optimum", None)}, 50, id="below: the purchase"),
        pytest.param(
            {"own_use.soil_test": ("below-optimum", None), "own_use.purchase_avoided": (9000, "USD per year")},
            760 * WORTH_PER_KG,
            id="below, a larger purchase: no more than the char is worth",
        ),
    ],
)
def test_own_use_is_worth_nothing_unless_phosphorus_is_short(more: Rows, saved: float) -> None:
    found = figures(TWO | OWN | more)
    assert found["own_use_saved_today"] == pytest.approx(saved)
    assert found["char_sold_kg"] == pytest.approx(CHAR_KG - 760)


@given(
    own=st.floats(0, 2 * CHAR_KG),
    limit_1=st.floats(0, 2 * CHAR_KG),
    limit_2=st.floats(0, 2 * CHAR_KG),
    share=st.floats(0, 1),
    true=st.floats(0, 1),
    rest=st.sampled_from(["stock", "p-value"]),
)
@settings(max_examples=60)
def test_no_kilogram_counts_twice(
    own: float, limit_1: float, limit_2: float, share: float, true: float, rest: str
) -> None:
    found = figures(
        TWO
        | {
            "own_use.mass": (own, "kg per year"),
            "product.1.market_limit": (limit_1, "kg per year"),
            "product.2.market_limit": (limit_2, "kg per year"),
            "product.1.share": (share, "fraction"),
            "market.sales_share": (true, "fraction"),
            "market.rest": (rest, None),
        }
    )
    parts = found["own_use_kg"] + found["char_sold_kg"] + found["char_to_stock_kg"]
    assert parts == pytest.approx(CHAR_KG, rel=1e-9)
    assert min(found["own_use_kg"], found["char_sold_kg"]) >= 0
    assert found["char_to_stock_kg"] >= -1e-9 * CHAR_KG


def test_spring_sales_make_a_stock_and_shape_the_months() -> None:
    """Half of the sales in March to May: 8.33 % of the year a month there less, stock of a quarter before."""
    results = base_case(plant(TWO | {"market.spring_share": (0.5, "fraction"), "market.first_month": (2, "each")}))
    assert results.figures["spring_stock_kg"] == pytest.approx(CHAR_KG * 0.25)
    sales = results.months["month_sales"]
    year = sum(sales[m] for m in range(1, 13))
    assert sales[1] == pytest.approx(year * 0.5 / 9)
    assert sales[2] == pytest.approx(year * 0.5 / 3)
    assert year == pytest.approx(results.years["sale_income"][1])


def test_costs_that_a_sketch_forgets_are_each_taken_off_once() -> None:
    costs: Rows = {
        "costs.assays": (100, "USD per year"), "costs.registration": (20, "USD per year"),
        "costs.grease": (3, "USD per year"), "current.price_rise": (40, "USD per month"),
        "owner.hours": (1, "hour per week"), "owner.hour_worth": (10, "USD per hour"),
        "costs.downtime_share": (0.1, "fraction"), "current.saving": (2000, "USD per year"),
    }  # fmt: skip
    before = plant(TWO | {"current.saving": (2000, "USD per year")})
    after = plant(TWO | costs)
    one, two = (float(evaluate(s.numbers(), Plan.of(s)).years["operating_cash"][1]) for s in (before, after))
    lost = 0.1 * (figures(TWO)["sale_income_today"] + 2000)
    assert one - two == pytest.approx(100 + 20 + 3 + 480 + 520 + lost)
