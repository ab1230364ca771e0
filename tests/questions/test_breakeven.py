"""Break-even values: put back into the model they make the NPV nil."""

from __future__ import annotations

import io

import openpyxl
import pytest
import remembered
from conftest import plant
from plants import plant as bare

from econ.answer.appraisal import appraise
from econ.answer.finding import must_be_true, say
from econ.inputs.records import Scenario
from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.questions.breakeven import breakeven
from econ.questions.found import BreakEven
from econ.questions.latin import LEAST, Sampling

LEVERS = (
    "char_price", "tonnes_sold", "bones_per_week", "hauler_bill", "kiln_price", "fuel_price", "hours_per_firing",
)  # fmt: skip
WITH_LOAN = "tonnes_sold_for_coverage"


def found(scenario: Scenario) -> dict[str, BreakEven]:
    return {one.name: one for one in breakeven(scenario, Plan.of(scenario))}


def npv(scenario: Scenario, **moved: float) -> float:
    numbers = scenario.numbers() | {key.replace("__", "."): value for key, value in moved.items()}
    return float(evaluate(numbers, Plan.of(scenario)).lines["npv"])


def test_every_lever_is_asked() -> None:
    assert tuple(found(plant())) == (*LEVERS, WITH_LOAN)
    assert tuple(found(plant("low-sedge"))) == LEVERS


def test_values_put_back_make_the_npv_nil() -> None:
    scenario = plant()
    turns = found(scenario)
    base = scenario.numbers()
    cent = 0.01
    for value in turns["kiln_price"].values:
        assert npv(scenario, kiln__price=value) == pytest.approx(0, abs=cent)
    for value in turns["hauler_bill"].values:
        assert npv(scenario, current__saving=value) == pytest.approx(0, abs=cent)
    for value in turns["hours_per_firing"].values:
        assert npv(scenario, labour__hours_per_batch=value) == pytest.approx(0, abs=cent)
    for value in turns["fuel_price"].values:
        share = value / turns["fuel_price"].value
        assert npv(scenario, fuel__1__price=base["fuel.1.price"] * share) == pytest.approx(0, abs=cent)
    for value in turns["tonnes_sold"].values:
        share = value / turns["tonnes_sold"].value
        assert npv(scenario, market__sales_share=share) == pytest.approx(0, abs=cent)
    for value in turns["char_price"].values:
        share = value / turns["char_price"].value
        prices = {f"product__{n}__price": base[f"product.{n}.price"] * share for n in (1, 2, 3)}
        assert npv(scenario, **prices) == pytest.approx(0, abs=cent)
    assert all(turns[name].values for name in LEVERS)


@pytest.mark.parametrize("more", [{}, {"costs__downtime_share": "5 %", "current__price_rise": "90 USD per year"}])
def test_amounts_of_a_contract_put_back_make_the_npv_nil(more: dict[str, str]) -> None:
    """All its amounts moved in proportion come to the saving that is told, however the scan moved it."""
    amounts = {"contract.fixed": "150 USD per month", "contract.per_mass": "0.08 USD per lb"}
    sets = {"current__saving": "", **{key.replace(".", "__"): value for key, value in amounts.items()}, **more}
    scenario = plant(**sets)
    bill = found(scenario)["hauler_bill"]
    assert (bill.unit, len(bill.values)) == ("$/year", 1)
    assert bill.value == pytest.approx(
        evaluate(scenario.numbers(), Plan.of(scenario)).lines["contract_saving_today"]
    )
    share = bill.values[0] / bill.value
    moved = {key.replace(".", "__"): scenario.numbers()[key] * share for key in amounts}
    assert npv(scenario, **moved) == pytest.approx(0, abs=0.01)


def test_bones_turn_more_than_once_and_it_is_said() -> None:
    """Too few bones do not pay; too many sell at the last price and need more firings."""
    scenario = plant()
    bones = found(scenario)["bones_per_week"]
    assert len(bones.values) == 2
    assert bones.words.startswith("2 break-even values")
    low, high = bones.values
    between, base = (low + high) / 2, scenario.numbers()["bones.1.mass"]
    for value, sign in ((low * 0.98, -1), (between, 1), (high * 1.05, -1)):
        assert npv(scenario, bones__1__mass=base * value / bones.value) * sign > 0


def test_none_in_range_is_said() -> None:
    """A plant whose running costs alone are above what it earns: only more money a year leads out of it."""
    turns = found(plant("low-sedge"))
    for name, one in turns.items():
        if name in ("char_price", "hauler_bill"):  # far off, yet no reader is told that no value would do
            assert (one.words, len(one.values)) == ("1 break-even value", 1)
            assert one.values[0] > 4 * one.value
        else:
            assert (one.words, one.values) == ("none in range", ())


NEEDED_A_YEAR = 1000 / (1 - 1.1**-5) * 0.1 + 300
"""1,000 bought, written back at 10 % over five years (annuity), and 300 a year for permits."""


@pytest.mark.parametrize(
    "bill",
    [
        {"contract.fixed": (0, "USD per year"), "contract.per_mass": (-0.01, "USD per kg")},  # a renderer pays
        {"contract.fixed": (1200, "USD per year"), "contract.per_mass": (0, "USD per kg")},  # all of it stays
        {"current.saving": (20, "USD per year")},
    ],
)
def test_a_bill_far_from_enough_still_has_its_break_even(bill: dict[str, tuple[object, str]]) -> None:
    rows = {
        "kiln.price": (1000, "USD"),
        "running.permits_per_year": (300, "USD per year"),
        "kiln.life": (5, "years"),
    }
    scenario = bare({**rows, "current.saving": ("", "USD per year"), **bill})
    assert found(scenario)["hauler_bill"].values == pytest.approx((NEEDED_A_YEAR,))


def test_where_no_share_leads_from_nothing_the_value_is_said() -> None:
    """All of the bill stays and nothing sells: finding, screen and first page say the amount itself."""
    nothing_ends = {"contract.fixed": (1200, "USD per year"), "contract.per_mass": (0, "USD per kg")}
    rows = {
        "kiln.price": (1000, "USD"),
        "running.permits_per_year": (300, "USD per year"),
        "kiln.life": (5, "years"),
    }
    unsold = {"current.saving": ("", "USD per month"), "product.1.market_limit": (0, "kg per year")}
    results = remembered.appraise(bare({**rows, **nothing_ends, **unsold}), Sampling(LEAST))
    amount = f"{NEEDED_A_YEAR / 12:.1f} USD per month"
    assert say(results, "change") == (
        f"One break-even found: avoided disposal cost. NPV is zero at {amount}, all else as typed."
    )
    bill = next(one for one in must_be_true(results) if one.name == "hauler_bill")
    assert (bill.change, bill.words) == (None, f"NPV is zero at {amount}")
    book = openpyxl.load_workbook(io.BytesIO(remembered.results_bytes(results, ("Answer",))), read_only=True)
    assert ("Avoided disposal cost", "NPV is zero", amount) in {
        (row[0], row[2], row[3]) for row in book["Answer"].iter_rows(max_col=4, values_only=True)
    }


def test_a_price_typed_as_nil_has_its_break_even_in_any_money() -> None:
    """104 batches make 6.76 t: in a currency of small units the price that is needed is far above 10 a kg."""
    rows = {
        "kiln.price": (1e6, "USD"),
        "running.permits_per_year": (3e5, "USD per year"),
        "kiln.life": (5, "years"),
    }
    turn = found(bare({**rows, "product.1.price": (0, "USD per kg")}))["char_price"]
    assert turn.values == pytest.approx((1000 * NEEDED_A_YEAR / 6760,))


def test_a_jump_is_told_from_a_crossing() -> None:
    """A full load earns 5 % more than its firing costs: each further firing starts at a loss, at one stroke."""
    scenario = bare(
        {
            "bones.1.mass": (26, "kg per week"), "bones.storage_days": (365, "days"),
            "labour.hours_per_batch": (1, "hours"), "labour.wage": (100, "USD per hour"),
            "labour.on_cost_share": (0, "fraction"), "product.1.price": (1.05 * 100 / 65, "USD per kg"),
        }
    )  # fmt: skip
    bones = found(scenario)["bones_per_week"]
    assert len(bones.values) > 20
    full_load_t_per_week = 0.26 / 52
    for value, jumps in zip(bones.values, bones.jumps, strict=True):
        loads = value / full_load_t_per_week
        assert jumps == (abs(loads - round(loads)) < 1e-6)
    assert {True, False} == set(bones.jumps)


def test_sales_for_a_coverage_of_five_quarters() -> None:
    scenario = plant(money__inflation="0 %", loan__grace_months="0")
    needed = found(scenario)["tonnes_sold_for_coverage"]
    assert len(needed.values) == 1
    numbers = scenario.numbers() | {"market.sales_share": needed.values[0] / needed.value}
    lines = evaluate(numbers, Plan.of(scenario)).lines
    assert float(lines["lowest_coverage"]) == pytest.approx(1.25, abs=1e-6)
    assert float(lines["char_sold_kg"]) == pytest.approx(1000 * needed.values[0], rel=1e-9)


@pytest.mark.parametrize("key", ["kiln__price", "labour__hours_per_batch"])
def test_a_value_of_nil_has_a_range_of_its_own(key: str) -> None:
    unit = "USD" if key == "kiln__price" else "hours"
    turns = found(plant(**{key: f"0 {unit}"}))
    name = "kiln_price" if key == "kiln__price" else "hours_per_firing"
    assert turns[name].highest > 0
    assert turns[name].values


def test_the_json_holds_them() -> None:
    details = appraise(plant()).to_json()["details"]["breakeven"]
    assert [one["name"] for one in details] == [*LEVERS, WITH_LOAN]
    assert all(set(one) >= {"value", "unit", "values", "jumps", "words"} for one in details)
