"""Figures that are shown and that no sum of the answer leans on: each worked by hand from its parts.

House arithmetic throughout. All of them could be wrong without any other test noticing.
"""

from __future__ import annotations

import math

import pytest
from conftest import plant
from plants import plant as bare_plant

from econ.evidence import factors
from econ.inputs.rows import MONTHS
from econ.model.evaluate import evaluate
from econ.model.plan import Plan


def figures(**sets: str) -> dict[str, float]:
    scenario = plant(**sets)
    return {name: float(value) for name, value in evaluate(scenario.numbers(), Plan.of(scenario)).lines.items()}


def test_nitrogen_that_compost_would_have_kept() -> None:
    """Nitrogen lost in the kiln × 40 % that composting keeps × 3 kg CO2e a kg of bought nitrogen."""
    found = figures(
        current__option="composting", handling__compost_n_kept="40 %", handling__n_fertiliser="3 kg per kg"
    )
    assert found["n_lost_kg"] > 100
    assert found["compost_nitrogen_kg_co2e"] == pytest.approx(found["n_lost_kg"] * 0.40 * 3, rel=1e-12)
    assert found["credits_lost_kg_co2e"] == found["compost_nitrogen_kg_co2e"]


def test_room_of_char_mixed_into_compost() -> None:
    """The char at its own density, and 0.4 kg of compost with every kg at that of compost."""
    found = figures(finish__charge="compost", finish__charge_ratio="0.4 kg per kg")
    char, compost = factors.factor("rho_char").value, factors.factor("rho_compost").value
    room = found["char_finished_kg"] * (1 / char + 0.4 / compost)
    assert found["product_m3"] == pytest.approx(room, rel=1e-12)


def test_corrected_share_halfway_between_two_soils() -> None:
    """Rows stand at 10 and 14.9 °C; at 12.45 °C the share is their mean."""
    cold, between, warm = (
        figures(carbon__soil_temperature=f"{soil} degC", carbon__h_corg="0.4")["hc_corrected_share"]
        for soil in (10, 12.45, 14.9)
    )
    assert cold > warm > 0
    assert between == pytest.approx((cold + warm) / 2, rel=1e-12)


@pytest.mark.parametrize(("soil_c", "said"), [(4.9, False), (5, True), (25, True), (25.1, False)])
def test_no_share_for_soils_outside_the_printed_table(soil_c: float, said: bool) -> None:
    """The table goes from 5 to 25 °C; nothing is read beyond either end."""
    sets = {"carbon__soil_temperature": f"{soil_c} degC", "carbon__h_corg": "0.4"}
    assert math.isfinite(figures(**sets)["hc_corrected_share"]) is said


def test_a_year_at_the_kiln_takes_off_what_the_char_brings() -> None:
    """Fuel 4,528, labour 9,324, upkeep 4,150, grinding 614, bags 1,530, carting 296, less sales of 25,366:
    40.6 kg are for the plant's own trees."""
    found = figures()
    names = ("fuel_cost", "labour_cost", "upkeep", "finish_cost", "bag_cost", "excluded_cost")
    costs = [found[f"{name}_today"] for name in names]
    assert [round(cost) for cost in costs] == [4528, 9324, 4150, 614, 1530, 296]
    assert found["char_yearly_cost"] == pytest.approx(sum(costs) - found["sale_income_today"], rel=1e-12)
    assert round(found["sale_income_today"]) == 25366


def test_what_the_other_tiers_leave_is_offered_to_the_one_that_takes_the_rest() -> None:
    """Shares of 20 % and 10 % are typed; 70 % of what own trees leave is left for the second tier."""
    found = figures()
    assert found["share_of_rest"] == pytest.approx(0.70, rel=1e-12)
    left = found["product_kg"] - found["own_use_kg"]
    assert found["tier_2_offered_kg"] == pytest.approx(left * 0.70, rel=1e-12)


def test_a_grant_kept_out_of_profit_is_taxed_as_the_kiln_is_written_off_in_money_of_today() -> None:
    """12,000 over a kiln of 10 years, tax 20 %, prices 3 % up a year, real rate 5 %, losses set off at once.

    In year 1 it brings 12,000/1.03. The kiln is written off by 1,200 less a year in money of the day, so
    240 more tax is paid every year, worth less each year by 1.03 and 1.05.
    """
    found = figures(
        money__grant="12000 USD", grant__treatment="excluded", grant__year="1", kiln__life="10 years",
        money__study_years="10 years", money__tax_rate="20 %", money__inflation="3 %", money__discount_rate="5 %",
        money__basis="real", money__tax_losses="other-income",
    )  # fmt: skip
    brought = 12_000 / 1.03 / 1.05
    taxed = sum(0.20 * 1_200 / 1.03**t / 1.05**t for t in range(1, 11))
    assert found["npv_with_grant"] - found["npv"] == pytest.approx(brought - taxed, rel=1e-9)


@pytest.mark.parametrize(
    ("method", "shares"),
    [("sum-of-years", (3 / 6, 2 / 6, 1 / 6)), ("declining-balance", (2 / 3, 2 / 9, 1 / 9))],
)
def test_a_renewed_kiln_is_written_off_from_the_beginning_again(method: str, shares: tuple[float, ...]) -> None:
    """A life of 3 years in a study of 6, prices that stand still: the second kiln goes as the first did."""
    scenario = plant(
        kiln__depreciation=method, kiln__life="3 years", money__study_years="6 years", money__inflation="0 %"
    )
    found = evaluate(scenario.numbers(), Plan.of(scenario))
    written = [float(found.years["depreciation_nominal"][t]) for t in range(1, 7)]
    first, second = sum(written[:3]), sum(written[3:])
    assert written == pytest.approx([share * first for share in shares] + [share * second for share in shares])


def test_calcium_that_an_assay_does_not_find_in_the_char() -> None:
    found = figures(product__ca_share="20 %")
    assert found["ca_kg"] == pytest.approx(found["char_kg"] * 0.20, rel=1e-12)
    assert found["ca_residual_kg"] == pytest.approx(found["ca_bones_kg"] - found["char_kg"] * 0.20, rel=1e-9)


def test_only_fossil_fuels_bear_what_comes_before_burning() -> None:
    """Propane counts with 15 % for its way to the plant; the power of the second fuel does not."""
    power = {
        "fuel__2__kind": "electricity", "fuel__2__per_batch": "9 kWh", "fuel__2__price": "0.2 USD per kWh",
        "carbon__upstream_share": "15 %",
    }  # fmt: skip
    found = figures(**power)
    assert found["fuel_2_kg_co2e"] > 10
    assert found["fuel_fossil_kg_co2e"] == found["fuel_1_kg_co2e"]
    assert found["upstream_kg_co2e"] == pytest.approx(0.15 * found["fuel_1_kg_co2e"], rel=1e-12)


def test_bags_are_part_of_what_the_kiln_emits() -> None:
    """0.05 kg CO2e for the bags of every kg of char sold, and all else as before."""
    plain, bagged = (
        figures(carbon__bag_factor="0 kg per tonne"),
        figures(carbon__bag_factor="50 kg per tonne"),
    )
    assert bagged["bags_kg_co2e"] == pytest.approx(0.05 * (bagged["char_kg"] - bagged["own_use_kg"]), rel=1e-12)
    more = bagged["process_kg_co2e"] - plain["process_kg_co2e"]
    assert more == pytest.approx(bagged["bags_kg_co2e"], rel=1e-9)


def test_other_costs_of_a_gate_fee_are_costs() -> None:
    """300 a year more for the way with bones of others: 300 more a year."""
    way = {
        "option__1__kind": "gate-fee",
        "option__1__fee": "-0.05 USD per lb",
        "option__1__mass": "9000 lb per year",
    }
    plain, dearer = figures(**way), figures(**way, option__1__yearly="300 USD per year")
    assert dearer["option_1_yearly_cost"] - plain["option_1_yearly_cost"] == pytest.approx(300, rel=1e-9)
    assert dearer["option_1_npv"] < plain["option_1_npv"]


@pytest.mark.parametrize(("today", "keeps"), [("rendering", False), ("landfill", False), ("composting", True)])
def test_only_compost_keeps_nitrogen_today(today: str, keeps: bool) -> None:
    found = figures(current__option=today, handling__compost_n_kept="40 %")
    assert found["today_n_kept_kg"] == pytest.approx(0.4 * found["n_bones_kg"] if keeps else 0.0, rel=1e-12)


def test_sales_begin_in_the_first_month_unless_told() -> None:
    assert Plan.of(plant()).first_month == 1
    assert Plan.of(plant(market__first_month="4")).first_month == 4


def test_nothing_to_pay_back_is_paid_back_today() -> None:
    """A kiln for nothing that saves money every year."""
    scenario = bare_plant({"current.saving": (1200, "USD per year")})
    found = evaluate(scenario.numbers(), Plan.of(scenario)).lines
    assert float(found["payback_years"]) == 0.0
    assert float(found["npv"]) > 0


def test_bones_that_do_not_keep_are_fired_all_through_the_year() -> None:
    """Kept for a day, every day asks for a firing; the crew allows its firings a year, a twelfth each month."""
    shares = {f"supply__{month}_share": f"{100 / 12!r} %" for month in MONTHS}
    found = figures(**shares, bones__storage_days="1 days")
    allowed = found["firings_per_year"]
    assert allowed == figures(bones__storage_days="1 days")["firings_per_year"]
    for month in range(1, 13):
        assert found[f"month_{month}_loads"] == pytest.approx(allowed / 12, rel=1e-9), month
        assert found[f"month_{month}_firings"] <= math.ceil(allowed / 12), month


def grant_months(**sets: str) -> dict[str, float]:
    """Money of the grant by month, where the months hold one."""
    scenario = plant(money__grant="9000 USD", grant__status="awarded", **sets)
    found = evaluate(scenario.numbers(), Plan.of(scenario))
    return {str(m): float(value) for m, value in found.months.get("month_grant", {}).items()}


def test_a_grant_stands_in_the_month_it_is_paid_worn_by_rising_prices() -> None:
    """9,000 at the end of year 1, in today's prices of a study in real terms 9,000 ÷ 1.03; nominal as it is."""
    assert grant_months(grant__year="1 years", money__basis="real", money__inflation="3 %") == {
        "12": pytest.approx(9000 / 1.03, rel=1e-12)
    }
    assert grant_months(grant__year="1 years", money__basis="nominal", money__inflation="3 %") == {
        "12": pytest.approx(9000, rel=1e-12)
    }
    assert list(grant_months(grant__year="2 years")) == ["24"]


def test_no_grant_no_line_of_it() -> None:
    scenario = bare_plant({"grant.year": (1, "years")})
    assert not evaluate(scenario.numbers(), Plan.of(scenario)).months.get("month_grant")


def test_a_kiln_for_the_leftovers_of_compost_spares_fuel_people_and_char() -> None:
    """Left over: 30 %. Of what fuel, people and finishing cost less sales a year, 70 % falls away."""
    way = {
        "option__1__kind": "compost-char",
        "option__1__yearly": "0 USD per year",
        "option__1__leftover_share": "30 %",
    }
    found = figures(**way)
    moving = found["fuel_cost_today"] + found["labour_cost_today"] + found["finish_cost_today"]
    moving += found["bag_cost_today"]
    spared = (moving - found["sale_income_today"]) * 0.7 * found["annuity_today"]
    assert found["option_1_left_share"] == pytest.approx(0.3, rel=1e-12)
    assert found["option_1_small_pv_cost"] == pytest.approx(found["pv_cost"] - spared, rel=1e-12)
