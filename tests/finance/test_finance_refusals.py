"""Wrong input is refused in a sentence that says what was wrong."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from econ.errors import FinanceError
from econ.finance.present_value import (
    adjusted_irr,
    annual_equivalent,
    benefit_cost_ratio,
    capital_recovery_factor,
    levelised_cost,
    npv,
    real_rate,
)
from econ.finance.returns import (
    depreciation,
    discounted_payback_years,
    irr,
    irr_roots,
    mirr,
    payback_crossings,
    payback_years,
)

TWO = np.ones((3, 2))


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: npv(0.1, []), "flows: there are no years"),
        (lambda: irr([]), "flows: there are no years"),
        (lambda: payback_years(np.empty((0, 3))), "flows: there are no years"),
        (lambda: npv(0.1, 5.0), "found 0 axes"),
        (lambda: irr(np.ones((2, 2, 2))), "found 3 axes"),
        (lambda: npv(0.1, [[1, 2], [3]]), "rows differ in length"),
        (lambda: npv(0.1, ["1", "2"]), "flows must be numbers"),
        (lambda: npv(0.1, [1, None]), "flows must be numbers"),
        (lambda: npv(True, [1, 2]), "rate must be numbers"),
        (lambda: npv(-1.0, [1, 2]), "rate must be above -1 .* found -1.0"),
        (lambda: npv([0.1, -2.0], TWO), "found -2.0"),
        (lambda: npv([[0.1]], TWO), "rate must be one number or one number a case"),
        (lambda: npv([0.1, 0.2, 0.3], TWO), "cases differ: rate has 3, flows has 2"),
        (lambda: discounted_payback_years(-1.5, [1, 2]), "rate must be above -1"),
        (lambda: discounted_payback_years([0.1, 0.2, 0.3], TWO), "cases differ"),
        (lambda: mirr([-1, 2], -1, 0.1), "finance_rate must be above -1"),
        (lambda: mirr([-1, 2], 0.1, -1), "reinvest_rate must be above -1"),
        (lambda: mirr(TWO, 0.1, [0.1, 0.2, 0.3]), "cases differ"),
        (lambda: irr_roots(TWO), "takes one case; found 2"),
        (lambda: irr_roots([1, np.nan]), "finite numbers"),
        (lambda: payback_crossings(TWO), "takes one case; found 2"),
        (lambda: annual_equivalent(0.1, [5]), "at least one year after today"),
        (lambda: annual_equivalent([0.1, 0.2, 0.3], TWO), "cases differ"),
        (lambda: adjusted_irr(0.1, [5], [5]), "at least one year after today"),
        (lambda: benefit_cost_ratio(0.1, [0, 1], [1]), "years differ: benefits has 2, costs has 1"),
        (lambda: levelised_cost(0.1, TWO, np.ones((3, 5))), "cases differ: costs has 2, output has 5"),
        (lambda: capital_recovery_factor(0.1, 0), "years must be one whole number of at least 1"),
        (lambda: capital_recovery_factor(0.1, 2.5), "years must be one whole number"),
        (lambda: real_rate(0.1, -1.0), "inflation must be above -1"),
        (lambda: real_rate(-1.0, 0.1), "nominal must be above -1"),
        (lambda: real_rate([0.1, 0.2], [0.1, 0.2, 0.3]), "do not fit together"),
        (
            lambda: depreciation("linear", 1, 0, 5),
            "unknown .* 'linear'; choose one of straight-line, declining-balance, sum-of-years, macrs",
        ),
        (lambda: depreciation("straight-line", 1, 0, 0), "life must be a number of years above 0"),
        (lambda: depreciation("straight-line", 1, 0, -3), "life must be a number of years above 0"),
        (lambda: depreciation("straight-line", 1, 0, np.inf), "life must be a number of years above 0"),
        (lambda: depreciation("sum-of-years", 1, 0, 2.5), "life must be one whole number"),
        (lambda: depreciation("declining-balance", 1, 0, [2, 3]), "takes one life for all cases"),
        (lambda: depreciation("declining-balance", 1, 0, 5, factor=0), "factor must be above 0"),
        (lambda: depreciation("macrs", 1, 0, 6), "life of 6; choose one of 3, 5, 7, 10, 15"),
        (lambda: depreciation("straight-line", 1, 2, 5), "salvage must lie between 0 and the cost"),
        (lambda: depreciation("straight-line", 1, -1, 5), "salvage must lie between 0 and the cost"),
    ],
)
def test_refused(call: Callable[[], object], sentence: str) -> None:
    with pytest.raises(FinanceError, match=sentence):
        call()
