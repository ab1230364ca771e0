"""What a lender, a grant office and an estimator would say of the figures."""

from __future__ import annotations

import pytest
from conftest import plant
from plants import plant as bare
from remembered import appraise

from econ.answer.base_case import base_case
from econ.answer.screen import screen

LOAN = {"loan__principal": "30000 USD", "loan__rate": "8 %", "loan__years": "7 years", "loan__grace_months": "0"}


def said(**sets: str) -> dict[str, str]:
    return {caution.id: caution.text for caution in base_case(plant(**sets)).cautions()}


@pytest.mark.parametrize(
    ("sets", "caution", "words"),
    [
        pytest.param(
            {**LOAN, "loan__principal": "54000 USD", "current__saving": "300 USD per month"},
            "coverage-low", "Lenders often ask for", id="debt",
        ),
        pytest.param(
            {**LOAN, "loan__principal": "5000 USD", "current__saving": "-3000 USD per month"},
            "coverage-low", "No loan can be repaid from that", id="less debt does not help",
        ),
        pytest.param(
            {**LOAN, "kiln__life": "4 years", "product__1__price": "4 USD per lb"},
            "coverage-low", "less than running and replacements cost", id="a kiln bought again out of one year",
        ),
        pytest.param({"current__saving": "0 USD per month"}, "till-below-nil", "more cash at the", id="till"),
        pytest.param({"product__1__price": "0.5 USD per lb"}, "irr-below-zero", "use the NPV", id="negative rate"),
        pytest.param({"grant__match_share": "60 %"}, "match-not-at-hand", "32,580 USD", id="60 % of 54,300"),
        pytest.param({"capital__estimate_class": "class-5"}, "capital-estimate", "-50 to +100 %", id="class 5"),
        pytest.param({"capital__estimate_class": "class-1"}, "capital-estimate", "-10 to +15 %", id="class 1"),
        pytest.param(
            {"own_use__mass": "100 kg per year", "own_use__purchase_avoided": "90 USD per year"},
            "own-use-worth-nothing", "no soil test below optimum", id="own use",
        ),
        pytest.param(
            {"current__saving": "", "contract__fixed": "480 USD per month", "contract__per_mass": "0 USD per lb"},
            "bill-all-fixed", "no disposal cost is avoided", id="a bill without an amount that ends",
        ),
        pytest.param(
            {"equipment__1__cost": "42000 USD", "equipment__1__year_bought": "2 years",
             "equipment__1__life": "9 years"},
            "item-above-kiln", "batches begin in year 1", id="the kiln as an item of year 2",
        ),
        pytest.param({"owner__hours": "3 hour per week"}, "owner-works-for-nothing", "cost nothing", id="owner"),
    ],
)  # fmt: skip
def test_cautions(sets: dict[str, str], caution: str, words: str) -> None:
    """Accuracy of estimate classes: widest ends of the recommended practice, read in a glossary copy."""
    assert caution not in said()
    assert words in said(**sets)[caution]


def test_a_bill_of_which_something_ends_is_not_called_fixed() -> None:
    paid = {"current__saving": "", "contract__fixed": "480 USD per month"}
    assert "bill-all-fixed" not in said(**paid, contract__per_mass="0.05 USD per lb")
    assert "bill-all-fixed" not in said(**paid, contract__per_mass="0 USD per lb", contract__falls_away="all")
    later = {"equipment__1__year_bought": "2 years", "equipment__1__life": "9 years"}
    assert "item-above-kiln" not in said(equipment__1__cost="9000 USD", **later)


@pytest.mark.parametrize(
    ("price", "beside"), [("0.5 USD per lb", "below zero: use the NPV"), ("0.8 USD per lb", "")]
)
def test_a_rate_of_return_below_zero_is_no_yardstick(price: str, beside: str) -> None:
    """All that is positive then lies at the end; a rate may be -79 % and say nothing of the size of the loss."""
    (line,) = [line for line in screen(appraise(plant(product__1__price=price))).splitlines() if "(IRR)" in line]
    assert line.partition("%")[2].strip() == beside


def test_customers_counted_are_a_market_limit() -> None:
    one: dict[str, tuple[object, str | None]] = {"product.1.price": (2, "USD per kg")}
    assert "no-market-limit" in {caution.id for caution in bare(one).warnings}
    counted = one | {"product.1.customers": (50, "each per year")}
    assert "no-market-limit" not in {caution.id for caution in bare(counted).warnings}


def test_the_json_holds_money_and_lender() -> None:
    details = appraise(plant(**LOAN)).to_json()["details"]
    assert set(details["lender"]["coverage"]) == {str(year) for year in range(1, 8)}
    assert details["lender"]["lowest_coverage"] == min(details["lender"]["coverage"].values())
    assert len(details["lender"]["months"]["month_balance"]) == 25
    assert details["lender"]["uses_total"] == pytest.approx(30000 + details["lender"]["own_money"])
    assert details["money"]["npv_owner"] == details["figures"]["npv_owner"]
    assert details["money"]["payback_crossings_years"] == pytest.approx([details["figures"]["payback_years"]])
    assert details["money"]["grant_tax"] == "taxable"
