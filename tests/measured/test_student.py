"""Student's t against an independent package and a printed table."""

from __future__ import annotations

import importlib
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from econ.measured.sample import _share, grubbs_limit, sample, two_sided

special, stats = (importlib.import_module(f"scipy.{name}") for name in ("special", "stats"))

# D. Harvey, Analytical Chemistry (DePauw University), Table 4.15, t for a 95 % confidence interval; read. Its
# entry for 3 degrees, 3.181, is left out: 3.18245 rounds to 3.182.
PRINTED_T = {
    1: 12.706, 2: 4.303, 4: 2.776, 5: 2.571, 6: 2.447, 7: 2.365, 8: 2.306, 9: 2.262, 10: 2.228, 12: 2.179,
    14: 2.145, 16: 2.120, 18: 2.101, 20: 2.086, 30: 2.042, 40: 2.021, 60: 2.000, 100: 1.984,
}  # fmt: skip

# Chemistry LibreTexts, Analytic References, Appendix 07, critical values for Grubbs's test, alpha 0.05; read.
# Its 2.202 for n = 7 breaks the row's rise and is left out.
PRINTED_G = {
    3: 1.155, 4: 1.481, 5: 1.715, 6: 1.887, 8: 2.126, 9: 2.215, 10: 2.290, 11: 2.355, 12: 2.412, 13: 2.462,
    14: 2.507, 15: 2.549,
}  # fmt: skip

PENNIES_GRAMS = (3.080, 3.094, 3.107, 3.056, 3.112, 3.174, 3.198)
"""The seven masses of Harvey's first experiment, from memory; they give the mean and deviation he prints."""


@pytest.mark.parametrize(("degrees", "printed"), PRINTED_T.items())
def test_the_printed_table_of_t(degrees: int, printed: float) -> None:
    assert two_sided(0.95, degrees) == pytest.approx(printed, abs=0.0006)


@pytest.mark.parametrize(("n", "printed"), PRINTED_G.items())
def test_the_printed_table_of_outliers(n: int, printed: float) -> None:
    assert grubbs_limit(n) == pytest.approx(printed, abs=0.0011)


def test_a_printed_worked_example() -> None:
    """Harvey, Analytical Chemistry, Example 4.15, read: 3.117 g ± 0.047 g, 3.070 to 3.164 g, n = 7."""
    found = sample(PENNIES_GRAMS)
    assert found.mean == pytest.approx(3.117, abs=0.0005)
    assert found.sd == pytest.approx(0.051, abs=0.0005)
    assert found.mean_range == pytest.approx((3.070, 3.164), abs=0.0007)


@pytest.mark.parametrize("degrees", [1, 2, 3, 4, 5, 6, 7, 11, 12, 29, 60, 198, 199])
@pytest.mark.parametrize("share", [0.01, 0.5, 0.8, 0.95, 0.99, 0.9999])
def test_quantiles_against_scipy(degrees: int, share: float) -> None:
    assert two_sided(share, degrees) == pytest.approx(stats.t.ppf((1 + share) / 2, degrees), rel=1e-9)


@given(t=st.floats(0, 60), degrees=st.integers(1, 250))
def test_shares_against_scipy(t: float, degrees: int) -> None:
    """The incomplete beta function (Abramowitz and Stegun 26.7.1), as 1 - 2 sf(t) cancels where t is tiny."""
    theirs = special.betainc(0.5, degrees / 2, t * t / (degrees + t * t))
    assert _share(math.atan(t / math.sqrt(degrees)), degrees) == pytest.approx(
        theirs, rel=1e-11, abs=1e-150
    )  # t * t underflows below


@given(share=st.floats(0.001, 0.9999), degrees=st.integers(1, 250))
def test_quantile_and_share_are_each_other_turned_round(share: float, degrees: int) -> None:
    assert _share(math.atan(two_sided(share, degrees) / math.sqrt(degrees)), degrees) == pytest.approx(
        share, abs=1e-12
    )


@pytest.mark.parametrize(("share", "degrees"), [(0.0, 5), (1.0, 5), (0.95, 0), (0.95, 10_001)])
def test_what_has_no_quantile(share: float, degrees: int) -> None:
    with pytest.raises(ValueError, match="no t"):
        two_sided(share, degrees)
