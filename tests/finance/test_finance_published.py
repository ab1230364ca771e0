"""Every printed case in cases.json, by econ.finance; source and tolerance stand in the file."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from loans import loan_schedule

from econ.finance.present_value import annual_equivalent, capital_recovery_factor, npv, real_rate
from econ.finance.returns import depreciation, discounted_payback_years, irr, irr_roots, mirr, payback_years

CASES: dict[str, dict[str, Any]] = {
    case["id"]: case for case in json.loads((Path(__file__).parent / "cases.json").read_text(encoding="utf-8"))
}


def factors(i: float, n: int) -> dict[str, float]:
    """The factors of interest tables, each from suitable flows of years 0 to n."""
    nothing, last, even = [0.0] * (n + 1), [0.0] * n + [1.0], [0.0] + [1.0] * n
    gradient = [0.0, *map(float, range(n))]
    today = [1.0, *nothing[1:]]
    return {
        "P/F": npv(i, last),
        "F/P": 1 / npv(i, last),
        "P/A": npv(i, even),
        "A/P": annual_equivalent(i, today),
        "F/A": npv(i, even) / npv(i, last),
        "A/F": annual_equivalent(i, last),
        "P/G": npv(i, gradient),
        "A/G": annual_equivalent(i, gradient),
    }


def of_npv(rate: float, values: list[float], initial: float | None = None, convention: str = "") -> float:
    """Three habits of print: first value today, first value after a year, outlay apart."""
    if initial is not None:
        return npv(rate, [initial, *values])
    return npv(rate, [0.0, *values] if convention.startswith("first value is discounted") else values)


def of_irr(values: list[float]) -> float | list[float]:
    """The rate where it is unique; else all roots, since irr() refuses to choose."""
    found = irr(values)
    assert found.roots == irr_roots(values)
    if len(found.roots) > 1:
        assert np.isnan(found.value)
        assert found.reason.startswith("several roots")
        return list(found.roots)
    return found.value


def level(rate: float, nper: int, pv: float) -> Any:
    """Loan stated by its rate per period."""
    return loan_schedule(pv, rate, nper, per_year=1)


def amortisation(principal: float, annual_rate: float, months: int) -> dict[str, Any]:
    loan = loan_schedule(principal, annual_rate, months / 12)
    return {"total_interest": loan.interest.sum(), "balances": loan.balance}


def real_and_nominal(first: float, real_annual: float, real_rate: float, inflation: float, years: int) -> Any:
    nominal = [real_annual * (1 + inflation) ** year for year in range(1, years + 1)]
    return {
        "real": npv(real_rate, [first] + [real_annual] * years),
        "nominal": npv((1 + real_rate) * (1 + inflation) - 1, [first, *nominal]),
    }


OURS: dict[str, Callable[..., Any]] = {
    "ms-npv-1": of_npv,
    "ms-npv-1-t0": of_npv,
    "ms-npv-3": of_npv,
    "npf-npv": of_npv,
    "ms-irr-5y": of_irr,
    "ms-irr-4y": of_irr,
    "npf-irr-a": of_irr,
    "npf-irr-b": of_irr,
    "npf-irr-e": of_irr,
    "macrs3-before-irr": of_irr,
    "irr-none": of_irr,
    "irr-nosign": of_irr,
    "irr-two-roots": lambda values: list(irr_roots(values)),
    "irr-npf-28": lambda values: list(irr_roots(values)),
    "ms-mirr-5y": lambda values, finance_rate, reinvest_rate: mirr(values, finance_rate, reinvest_rate),
    "ms-mirr-14": lambda values, finance_rate, reinvest_rate: mirr(values, finance_rate, reinvest_rate),
    # Spreadsheets give money paid a minus sign; ours is positive.
    "ms-pmt-10": lambda rate, nper, pv: -level(rate, nper, pv).payment[0],
    "npf-pmt": lambda rate, nper, pv: -level(rate, nper, pv).payment[0],
    "ms-ipmt-1": lambda rate, per, nper, pv: -level(rate, nper, pv).interest[per - 1],
    "ms-ppmt-1": lambda rate, per, nper, pv: -level(rate, nper, pv).principal[per - 1],
    "npf-amort": amortisation,
    "ms-sln": lambda cost, salvage, life: depreciation("straight-line", cost, salvage, life)[0],
    "ms-syd-1": lambda cost, salvage, life, per: depreciation("sum-of-years", cost, salvage, life)[per - 1],
    "ms-ddb-dax": lambda cost, salvage, life, period, factor: depreciation(
        "declining-balance", cost, salvage, life, factor=factor, switch=False
    )[period - 1],
    "ms-ddb-y1": lambda cost, salvage, life, period: depreciation(
        "declining-balance", cost, salvage, life, switch=False
    )[period - 1],
    "ft-025-12": factors,
    "ft-025-24": factors,
    "ft-10-10": factors,
    "pb-rwj-5200": lambda values, rate: discounted_payback_years(rate, values),
    "pb-rwj-5400": lambda values, rate: discounted_payback_years(rate, values),
    "pb-rwj13-5500": lambda values, rate: discounted_payback_years(rate, values),
    "pb-rwj13-10600": lambda values, rate: discounted_payback_years(rate, values),
    "rwj-9.1": lambda values, rate: {"payback": payback_years(values), "npv": npv(rate, values)},
    "pb-never": lambda values, rate: payback_years(values),
    "macrs3-before": lambda values, rate: {"npv": npv(rate, values), "irr": irr(values).value},
    "macrs-3": lambda recovery_years, **_: depreciation("macrs", 100.0, 0.0, recovery_years),
    "macrs-5": lambda recovery_years, **_: depreciation("macrs", 100.0, 0.0, recovery_years),
    "macrs-10": lambda recovery_years, **_: depreciation("macrs", 100.0, 0.0, recovery_years),
    "fisher": lambda nominal, inflation: real_rate(nominal, inflation),
    "real-nominal-equiv": real_and_nominal,
}
NO_VALUE = {"pb-never", "irr-none", "irr-nosign"}


def test_every_case_has_a_check() -> None:
    assert set(OURS) == set(CASES)


@pytest.mark.parametrize("name", sorted(set(CASES) - NO_VALUE))
def test_agrees_with_print(name: str) -> None:
    case = CASES[name]
    ours, printed, tolerance = OURS[name](**case["inputs"]), case["expected"], case["tolerance"]
    if isinstance(printed, dict):
        for part, value in printed.items():
            assert ours[part] == pytest.approx(value, abs=tolerance), (part, case["source"])
    elif isinstance(ours, list) and not isinstance(printed, list):
        assert min(abs(root - printed) for root in ours) <= tolerance, case["source"]
    else:
        assert ours == pytest.approx(printed, abs=tolerance, rel=0), case["source"]


@pytest.mark.parametrize("name", sorted(NO_VALUE))
def test_no_value_where_there_is_none(name: str) -> None:
    assert np.isnan(OURS[name](**CASES[name]["inputs"])), CASES[name]["source"]


def test_the_printed_root_of_npf_irr_e_is_one_of_three() -> None:
    """numpy-financial prints 8.86 % for it; irr() refuses to choose and names all three."""
    values = CASES["npf-irr-e"]["inputs"]["values"]
    assert irr_roots(values) == pytest.approx((-0.8702, 0.0886, 0.7096), abs=5e-5)
    assert irr(values).reason == "several roots: -87.0 %, 8.9 %, 71.0 %: not usable, see NPV and MIRR"


def test_the_macrs3_slide_prints_its_rate_to_two_digits_of_a_percent() -> None:
    """The case file allows 1.0 for the money; the rate is held to the print here."""
    case = CASES["macrs3-before"]
    assert irr(case["inputs"]["values"]).value == pytest.approx(case["published"]["irr"], abs=5e-5)


# Read in the function reference of a data-analysis language that copies the spreadsheet functions:
# MicrosoftDocs/query-docs, query-languages/dax/{vdb,syd,ipmt,ppmt}-function-dax.md, last examples of each.
def test_vdb_first_day() -> None:
    daily = depreciation("declining-balance", 2400, 300, 3650)
    assert daily[0] == pytest.approx(1.31506849315068, abs=1e-13)


def test_vdb_month_6_to_18_at_three_times_the_straight_line() -> None:
    monthly = depreciation("declining-balance", 2400, 300, 120, factor=3)
    assert monthly[6:18].sum() == pytest.approx(540.185558199698, abs=1e-9)


def test_vdb_seven_eighths_of_the_first_year_at_one_and_a_half() -> None:
    yearly = depreciation("declining-balance", 2400, 300, 10, factor=1.5)
    assert 0.875 * yearly[0] == pytest.approx(315.0, abs=1e-9)


def test_syd_last_year() -> None:
    assert depreciation("sum-of-years", 30000, 7500, 10)[9] == pytest.approx(409.090909090909, abs=1e-11)


def test_ipmt_last_of_three_years() -> None:
    assert loan_schedule(8000, 0.1, 3, per_year=1).interest[2] == pytest.approx(292.447129909366, abs=1e-9)


def test_ppmt_last_of_ten_years() -> None:
    loan = loan_schedule(200000, 0.08, 10, per_year=1)
    assert loan.principal[9] == pytest.approx(27598.0534624214, abs=1e-8)


# The rest are examples of spreadsheet help and of texts recalled FROM MEMORY, not read in a source.
@pytest.mark.parametrize(
    ("ours", "recalled", "tolerance"),
    [
        pytest.param(lambda: ddb(10)[9], 22.12, 0.005, id="DDB, year 10 stops at salvage"),
        pytest.param(lambda: ddb(120)[0], 40.00, 0.005, id="DDB, first month"),
        pytest.param(lambda: ddb(10, factor=1.5)[1], 306.00, 0.005, id="DDB 1.5, year 2"),
        pytest.param(lambda: vdb(120)[6:18].sum(), 396.31, 0.005, id="VDB, months 6 to 18"),
        pytest.param(lambda: vdb(120, factor=1.5)[6:18].sum(), 311.81, 0.005, id="VDB 1.5, months 6 to 18"),
        pytest.param(
            lambda: npv(0.08, [-40000, 8000, 9200, 10000, 12000, 14500]), 1922.06, 0.005, id="NPV, example 2"
        ),
        pytest.param(lambda: irr([-70000, 12000, 15000]).value, -0.443507, 5e-7, id="IRR, two years"),
        pytest.param(
            lambda: mirr([-120000, 39000, 30000, 21000], 0.1, 0.12),
            -0.048044655,
            1e-9,
            id="MIRR, three years",
        ),
        pytest.param(lambda: factors(0.08, 20)["P/A"], 9.8181, 6e-5, id="8 %, n 20, P/A"),
        pytest.param(lambda: capital_recovery_factor(0.08, 20), 0.1019, 6e-5, id="8 %, n 20, A/P"),
        pytest.param(lambda: irr_roots([-1600, 10000, -10000])[0], 0.25, 1e-12, id="oil pump, lower"),
        pytest.param(lambda: irr_roots([-1600, 10000, -10000])[1], 4.0, 1e-12, id="oil pump, upper"),
    ],
)
def test_examples_recalled_from_memory(ours: Callable[[], float], recalled: float, tolerance: float) -> None:
    assert ours() == pytest.approx(recalled, abs=tolerance, rel=0)


def ddb(life: int, factor: float = 2.0) -> Any:
    return depreciation("declining-balance", 2400, 300, life, factor=factor, switch=False)


def vdb(life: int, factor: float = 2.0) -> Any:
    return depreciation("declining-balance", 2400, 300, life, factor=factor)
