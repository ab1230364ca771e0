"""A case inside an array is, bit for bit, the same case alone: so no answer depends on its neighbours."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from loans import loan_schedule

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
from econ.finance.returns import (
    depreciation,
    discounted_payback_years,
    irr,
    mirr,
    payback_crossings,
    payback_years,
)

CASES = 131  # no multiple of any vector length, so that the last cases fall in the remainder of the loops
RNG = np.random.default_rng(11)
FLOWS = np.vstack([-RNG.uniform(100, 5000, CASES), RNG.uniform(-300, 1200, (15, CASES))])
FLOWS[:, 5] = np.abs(FLOWS[:, 5])
FLOWS[3, 6] = np.nan
RATE = RNG.uniform(-0.2, 0.4, CASES)
OTHER = RNG.uniform(0.0, 0.4, CASES)
GAINS, SPENT = np.abs(FLOWS[:, ::-1]), np.abs(FLOWS)
COST, SALVAGE = RNG.uniform(1e3, 1e5, CASES), RNG.uniform(0, 1e3, CASES)


@pytest.mark.parametrize(
    ("call", "arguments"),
    [
        pytest.param(npv, (RATE, FLOWS), id="npv"),
        pytest.param(annual_equivalent, (RATE, FLOWS), id="annual_equivalent"),
        pytest.param(lambda r: capital_recovery_factor(r, 17), (RATE,), id="capital_recovery_factor"),
        pytest.param(payback_years, (FLOWS,), id="payback_years"),
        pytest.param(discounted_payback_years, (OTHER, FLOWS), id="discounted_payback_years"),
        pytest.param(mirr, (FLOWS, OTHER, RATE), id="mirr"),
        pytest.param(lambda f: irr(f).value, (FLOWS,), id="irr"),
        pytest.param(benefit_cost_ratio, (RATE, GAINS, SPENT), id="benefit_cost_ratio"),
        pytest.param(savings_investment_ratio, (RATE, GAINS, SPENT), id="savings_investment_ratio"),
        pytest.param(adjusted_irr, (RATE, GAINS, SPENT), id="adjusted_irr"),
        pytest.param(levelised_cost, (RATE, SPENT, GAINS), id="levelised_cost"),
        pytest.param(real_rate, (RATE, OTHER), id="real_rate"),
    ],
)
def test_one_figure_a_case(call: Callable[..., Any], arguments: tuple[np.ndarray, ...]) -> None:
    together = call(*arguments)
    alone = [call(*(x[:, i].tolist() if x.ndim == 2 else float(x[i]) for x in arguments)) for i in range(CASES)]
    assert together.shape == (CASES,)
    assert all(isinstance(figure, float) for figure in alone)
    assert np.array_equal(together, alone, equal_nan=True)
    # A view with strides takes other loops inside numpy.
    apart = call(*(x[..., ::3] for x in arguments))
    assert np.array_equal(apart, together[::3], equal_nan=True)


def test_the_table_has_cases_of_every_kind() -> None:
    """Otherwise the equality above would say less than it seems to."""
    kinds = {str(reason).split(":")[0] for reason in irr(FLOWS).reason}
    assert kinds >= {"unique", "several roots", "no sign change", "a flow is not a finite number"}
    paid = payback_years(FLOWS)
    assert np.isnan(paid).any()
    assert (paid == 0).any()
    assert (paid > 0).any()


@pytest.mark.parametrize("part", ["payment", "interest", "principal", "balance"])
def test_loans(part: str) -> None:
    together = getattr(loan_schedule(COST, RATE, 3, grace=5), part)
    for case in range(0, CASES, 7):
        alone = getattr(loan_schedule(float(COST[case]), float(RATE[case]), 3, grace=5), part)
        assert np.array_equal(together[:, case], alone)


@pytest.mark.parametrize("method", ["straight-line", "declining-balance", "sum-of-years", "macrs"])
def test_depreciation(method: str) -> None:
    together = depreciation(method, COST, SALVAGE, 7)
    for case in range(0, CASES, 7):
        alone = depreciation(method, float(COST[case]), float(SALVAGE[case]), 7)
        assert np.array_equal(together[:, case], alone)


def test_a_plain_list_with_several_rates_is_a_profile() -> None:
    flows = FLOWS[:, 0].tolist()
    assert np.array_equal(npv(OTHER, flows), [npv(float(rate), flows) for rate in OTHER])
    assert np.array_equal(annual_equivalent(OTHER, flows), [annual_equivalent(float(r), flows) for r in OTHER])


def test_one_column_stays_an_array() -> None:
    one = FLOWS[:, :1]
    assert npv(0.1, one).shape == payback_years(one).shape == irr(one).value.shape == (1,)
    assert payback_crossings(one) == payback_crossings(one[:, 0])


def test_no_cases_give_no_figures() -> None:
    none = np.empty((5, 0))
    assert npv(0.1, none).shape == irr(none).value.shape == mirr(none, 0.1, 0.1).shape == (0,)
