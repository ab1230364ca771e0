"""How long char carbon stays, how far its phosphorus works, by temperature, H/C_org and soil."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from econ import evidence
from econ.evidence import curves
from econ.model.ledger import step


def v(name):
    return evidence.factor(name).value


@pytest.mark.parametrize(
    ("peak_c", "name"),
    [
        # IPCC 2019 Appendix 4; an edge takes the lower class (assumed, conservative)
        (20, "none"),
        (350, "none"),
        (350.1, "low"),
        (450, "low"),
        (450.1, "medium"),
        (482.2, "medium"),
        (537.8, "medium"),
        (600, "medium"),
        (600.1, "high"),
        (648.9, "high"),
        (900, "high"),
    ],
)
def test_class_of_peak_temperature(peak_c, name):
    table = curves.persistence_classes()
    assert table.names[int(table.index(peak_c))] == name


def test_classes_broadcast():
    assert curves.persistence_classes().index(np.array([[300.0, 400.0], [500.0, 700.0]])).tolist() == [
        [0, 1],
        [2, 3],
    ]


@given(a=st.floats(0, 1200), b=st.floats(0, 1200))
def test_hotter_char_never_persists_less(a, b):
    table = curves.persistence_classes()
    cool, hot = sorted((a, b))
    assert table.persist_frac[table.index(cool)] <= table.persist_frac[table.index(hot)]


@pytest.mark.parametrize(
    ("name", "listed"), [("low", "ipcc_fp_low"), ("medium", "ipcc_fp_med"), ("high", "ipcc_fp_high")]
)
def test_class_agrees_with_the_list_of_factors(name, listed):
    table, one = curves.persistence_classes(), evidence.factor(listed)
    at = table.names.index(name)
    middle, half = table.persist_frac[at], table.persist_frac[at] * table.half_range_frac[at]
    assert middle == one.value
    assert middle - half == pytest.approx(one.low, abs=0.006)
    assert middle + half == pytest.approx(one.high, abs=0.008)
    assert table.origins[at].mark == one.mark == "unverified (from memory)"


@pytest.mark.parametrize(
    ("soil_c", "shares"),
    [
        # Woolf et al. 2021, c and m from memory; shares at H/C_org 0.20, 0.40, 0.60, 0.70 (house arithmetic)
        (5, (1.038, 0.946, 0.854, 0.808)),
        (10, (0.982, 0.864, 0.746, 0.687)),
        (15, (0.912, 0.784, 0.656, 0.592)),
        (20, (0.880, 0.750, 0.620, 0.555)),
        (25, (0.848, 0.716, 0.584, 0.518)),
    ],
)
def test_share_by_h_c(soil_c, shares):
    table = curves.persistence_by_hc()
    at = list(table.soil_c).index(soil_c)
    found = table.intercept_c[at] - table.slope_m[at] * np.array([0.20, 0.40, 0.60, 0.70])
    assert found == pytest.approx(shares, abs=5.1e-4)
    assert table.intercept_c[at] == v(f"hc_c_{soil_c}")
    assert table.slope_m[at] == v(f"hc_m_{soil_c}")


@pytest.mark.parametrize(
    ("soil_ph", "name"),
    [(4.5, "soil_eff_55"), (5.8, "soil_eff_61"), (6.1, "soil_eff_61"), (6.2, "soil_eff_70"),
     (7.0, "soil_eff_70"), (7.5, "soil_eff_above70")],
)  # fmt: skip
def test_soil_factor_agrees_with_the_list_of_factors(soil_ph, name):
    """Above pH 6.1 (Warren et al. 2009) the base is 0."""
    table, one = curves.soil_factors(), evidence.factor(name)
    at = int(step(table.edges_ph, range(len(table.soil_factor)), soil_ph))
    assert (table.soil_factor[at], table.low[at], table.high[at]) == (one.value, one.low, one.high)
    assert (table.soil_factor[at] == 0) == (soil_ph > v("ph_stop"))


@pytest.mark.parametrize(
    "array",
    [
        curves.retention().residue_frac,
        curves.persistence_classes().half_range_frac,
        curves.persistence_classes().edges_c,
        curves.persistence_by_hc().slope_m,
        curves.soil_factors().high,
    ],
)
def test_shared_arrays_cannot_be_changed(array):
    with pytest.raises(ValueError, match="read-only"):
        array[0] = 1.0
