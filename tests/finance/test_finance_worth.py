"""Present worth, annual equivalents, ratios and real rates against arithmetic by hand."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest

from econ.finance.present_value import (
    adjusted_irr,
    annual_equivalent,
    benefit_cost_ratio,
    capital_recovery_factor,
    levelised_cost,
    npv,
    real_rate,
    savings_investment_ratio,
)
from econ.finance.returns import mirr

FLOWS = [-1000.0, 300.0, 400.0, 500.0]


def test_first_flow_is_today() -> None:
    assert npv(0.1, [5]) == 5.0
    assert npv(0.1, [0, 110, 0]) == pytest.approx(100.0, abs=1e-12)
    assert npv(0.0, FLOWS) == 200.0


def test_spreadsheets_discount_the_first_value_too() -> None:
    """1307.29 with the first value today, 1188.44 as printed for the spreadsheet function NPV."""
    values = [-10000, 3000, 4200, 6800]
    assert npv(0.1, values) == pytest.approx(1307.29, abs=5e-3)
    assert npv(0.1, values) / 1.1 == pytest.approx(1188.44, abs=5e-3)


def test_unknown_flow_gives_nan_in_its_case_only() -> None:
    worth = npv(0.1, [[-1.0, -1.0], [np.nan, 1.0]])
    assert list(np.isnan(worth)) == [True, False]
    assert np.isnan(npv(np.nan, FLOWS))


def test_absurd_rates_raise_no_warning() -> None:
    assert npv(1e200, [-1.0, 5.0, 5.0, 5.0]) == -1.0


@pytest.mark.parametrize(("rate", "years"), [(0.08, 20), (0.0025, 12), (1e-9, 30), (-0.05, 10), (0.35, 10)])
def test_capital_recovery_is_the_textbook_quotient(rate: float, years: int) -> None:
    """i / (1 - (1 + i)**-N), written with expm1 and log1p so that it holds at 1e-9 too."""
    quotient = rate / -np.expm1(-years * np.log1p(rate))
    assert capital_recovery_factor(rate, years) == pytest.approx(quotient, rel=1e-13)


def test_rate_zero_spreads_evenly() -> None:
    assert capital_recovery_factor(0.0, 8) == 0.125
    assert annual_equivalent(0.0, FLOWS) == pytest.approx(200 / 3, rel=1e-15)


def test_annual_equivalent_of_a_level_flow_is_the_flow() -> None:
    assert annual_equivalent(0.12, [0, 70, 70, 70]) == pytest.approx(70.0, rel=1e-14)


def test_annual_equivalent_of_repeated_lives_is_the_same() -> None:
    """Bought anew after three years: the reason why it may compare uneven lives."""
    twice = [-1000.0, 300.0, 400.0, 500.0 - 1000.0, 300.0, 400.0, 500.0]
    assert annual_equivalent(0.1, twice) == pytest.approx(annual_equivalent(0.1, FLOWS), rel=1e-12)


def test_benefit_cost_ratio_by_hand() -> None:
    # 110/1.1 + 121/1.21 = 200; 50 + 55/1.1 = 100
    assert benefit_cost_ratio(0.1, [0, 110, 121], [50, 55, 0]) == pytest.approx(2.0, abs=1e-12)


@pytest.mark.parametrize(
    ("rate", "benefits", "costs", "ratios"),
    [
        # one rate, two cases: 110/1.1 and 220/1.1 over 50 + 55/1.1
        (0.1, [[0, 0], [110, 220]], [[50, 50], [55, 55]], [1, 2]),
        (0.1, [[0, 0], [110, 220]], [50, 55], [1, 2]),
        # two rates, one case: 121/1.1 and 121/1.21 over 50
        ([0.1, 0.21], [0, 121], [50, 0], [2.2, 2]),
    ],
)
def test_one_rate_for_several_cases_and_several_rates_for_one(
    rate: object, benefits: list[object], costs: list[object], ratios: list[float]
) -> None:
    """By hand. Every case is answered, though rate or flows are given once."""
    found = benefit_cost_ratio(rate, benefits, costs)
    assert np.shape(found) == (2,)
    assert list(found) == pytest.approx(ratios, abs=1e-12)


def test_moving_a_cost_across_the_line_changes_the_ratio() -> None:
    """100 of benefit, 60 to build, 20 to run: 1.25 with running costs below, 1.33 with them netted."""
    assert benefit_cost_ratio(0.0, [0, 100], [60, 20]) == pytest.approx(1.25)
    assert benefit_cost_ratio(0.0, [0, 80], [60, 0]) == pytest.approx(4 / 3)


def test_savings_investment_ratio_takes_salvage_off_the_investment() -> None:
    # savings 100 + 100 now; investment 120 + replacement 0 - salvage 24.2/1.21 = 100
    ratio = savings_investment_ratio(0.1, [0, 110, 121], [120, 0, -24.2])
    assert ratio == pytest.approx(2.0, abs=1e-12)


def test_adjusted_irr_by_its_definition() -> None:
    """10 CFR 436.22: N-th root of terminal savings over present costs, less 1. Terminal: 110 * 1.1 + 121."""
    assert adjusted_irr(0.1, [0, 110, 121], [100, 0, 0]) == pytest.approx((242 / 100) ** 0.5 - 1, abs=1e-12)


def test_adjusted_irr_of_one_outlay_is_mirr_at_the_same_rates() -> None:
    assert adjusted_irr(0.07, [0, 300, 400, 500], [1000, 0, 0, 0]) == pytest.approx(
        mirr(FLOWS, 0.07, 0.07), abs=1e-13
    )


@pytest.mark.parametrize(("savings", "above"), [([0, 600, 600], True), ([0, 500, 500], False)])
def test_adjusted_irr_passes_the_rate_when_the_ratio_passes_one(savings: list[float], above: bool) -> None:
    """10 CFR 436.18 accepts on either sign; they must agree."""
    investment = [1000.0, 0.0, 0.0]
    assert (savings_investment_ratio(0.1, savings, investment) > 1) is above
    assert (adjusted_irr(0.1, savings, investment) > 0.1) is above


@pytest.mark.parametrize("investment", [[0, 0], [10, -30]])
def test_ratios_without_a_positive_denominator_are_nan(investment: list[float]) -> None:
    assert np.isnan(savings_investment_ratio(0.1, [0, 5], investment))
    assert np.isnan(adjusted_irr(0.1, [0, 5], investment))
    assert np.isnan(benefit_cost_ratio(0.1, [0, 5], investment))
    assert np.isnan(levelised_cost(0.1, [0, 5], investment))


def test_adjusted_irr_of_negative_savings_is_nan() -> None:
    assert np.isnan(adjusted_irr(0.1, [0, -5], [10, 0]))


def test_levelised_cost_with_level_years() -> None:
    """(A/P * first cost + running cost) / output."""
    cost = levelised_cost(0.08, [5000, *[300] * 10], [0, *[12] * 10])
    assert cost == pytest.approx((capital_recovery_factor(0.08, 10) * 5000 + 300) / 12, rel=1e-13)


def test_output_sold_at_the_levelised_cost_is_worth_nothing() -> None:
    costs, output = np.array([900.0, 50.0, 70.0, 20.0]), np.array([0.0, 10.0, 0.0, 25.0])
    price = levelised_cost(0.11, costs, output)
    assert npv(0.11, price * output - costs) == pytest.approx(0.0, abs=1e-10)


def test_real_rate_keeps_its_digits_and_broadcasts() -> None:
    assert real_rate(0.08, 0.03) == pytest.approx(0.05 / 1.03, rel=1e-15)
    assert real_rate(1e-12, 0.0) == 1e-12
    assert real_rate([0.08, 0.02], 0.02) == pytest.approx([0.06 / 1.02, 0.0])


def test_import_stays_light() -> None:
    heavy = ["numpy_financial", "pyxirr", "pandas", "scipy", "openpyxl", "xlsxwriter", "typer"]
    code = f"import sys, econ.finance; print([m for m in {heavy} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_ratio_of_costs_worth_less_than_one() -> None:
    """The case by hand above in thousandths."""
    assert benefit_cost_ratio(0.1, [0, 0.110, 0.121], [0.050, 0.055, 0]) == pytest.approx(2.0, abs=1e-12)


@pytest.mark.parametrize(
    ("last", "rate"),
    [(60.5, 0.605**0.5 - 1), (100.0, 0.0), (0.0, -1.0), (242.0, 2.42**0.5 - 1)],
)
def test_adjusted_rate_of_one_receipt_is_that_of_its_growth(last: float, rate: float) -> None:
    """100 becomes `last` in two years; with nothing to put back to work in between the rate falls out."""
    assert adjusted_irr(0.1, [0, 0, last], [100, 0, 0]) == pytest.approx(rate, abs=1e-12)
