"""How long char carbon stays, how far its phosphorus works, by temperature, H/C_org and soil."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from econ.evidence import curves, factors
from econ.model.ledger import step


def v(name):
    return factors.factor(name).value


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
    assert table.names[int(np.searchsorted(table.edges_c, peak_c))] == name


@given(a=st.floats(0, 1200), b=st.floats(0, 1200))
def test_hotter_char_never_persists_less(a, b):
    table = curves.persistence_classes()
    cool, hot = sorted((a, b))
    assert np.diff(table.persist_frac[np.searchsorted(table.edges_c, (cool, hot))]) >= 0


@pytest.mark.parametrize(
    ("name", "listed"), [("low", "ipcc_fp_low"), ("medium", "ipcc_fp_med"), ("high", "ipcc_fp_high")]
)
def test_class_agrees_with_the_list_of_factors(name, listed):
    table, one = curves.persistence_classes(), factors.factor(listed)
    at = table.names.index(name)
    middle, half = table.persist_frac[at], table.persist_frac[at] * table.half_range_frac[at]
    assert middle == one.value
    assert middle - half == pytest.approx(one.low, abs=0.006)
    assert middle + half == pytest.approx(one.high, abs=0.008)
    assert table.origins[at].rung == one.rung == "copy"


@pytest.mark.parametrize(
    ("soil_c", "shares"),
    [
        # Woolf et al. 2021, c and m to two figures; shares at H/C_org 0.20, 0.40, 0.60, 0.70 (house arithmetic)
        (5, (1.038, 0.946, 0.854, 0.808)),
        (10, (0.982, 0.864, 0.746, 0.687)),
        (14.9, (0.912, 0.784, 0.656, 0.592)),
        (20, (0.880, 0.750, 0.620, 0.555)),
        (25, (0.848, 0.716, 0.584, 0.518)),
    ],
)
def test_share_by_h_c(soil_c, shares):
    table = curves.persistence_by_hc()
    at = list(table.soil_c).index(soil_c)
    found = table.intercept_c[at] - table.slope_m[at] * np.array([0.20, 0.40, 0.60, 0.70])
    assert found == pytest.approx(shares, abs=5.1e-4)
    assert table.intercept_c[at] == v(f"hc_c_{soil_c:.0f}")
    assert table.slope_m[at] == v(f"hc_m_{soil_c:.0f}")


POINTS = list(csv.DictReader((Path(__file__).parent / "permanence_points.csv").open(encoding="utf-8")))
"""The 87 chars behind the relation: supporting data of Woolf et al. 2021, read in the authors' repository."""
CLASSES = {"low": (350, 450), "medium": (450, 600), "high": (600, 2000)}


def share_left(row, soil_c):
    """Their method: pools that decay at k × fT for 100 years, fT by a Q10 averaged from Te to the soil's T."""
    te = float(row["Temp_of_experiment"])
    if te == soil_c:
        q10 = 1.1 + 12 * math.exp(-0.19 * te)
    else:
        q10 = (1.1 * (te - soil_c) - 63.1579 * (math.exp(-0.19 * te) - math.exp(-0.19 * soil_c))) / (te - soil_c)
    ft = math.exp(math.log(q10) * (soil_c - te) / 10)
    pools = ((float(row[f"C{i}"] or 0), float(row[f"k{i}"] or 0)) for i in (1, 2, 3))
    return sum(c * math.exp(-k * ft * 100) for c, k in pools) / 100


@pytest.mark.parametrize("soil_c", curves.persistence_by_hc().soil_c)
def test_coefficients_recomputed_from_the_authors_chars(soil_c):
    """Ordinary least squares of the share left on H/C_org: all ten coefficients and the scatter of one char."""
    rows = [row for row in POINTS if row["H_to_Corg"] not in {"", "NA"}]
    ratio = np.array([float(row["H_to_Corg"]) for row in rows])
    left = np.array([share_left(row, soil_c) for row in rows])
    slope, intercept = np.polyfit(ratio, left, 1)
    scatter = np.sqrt(np.sum((left - intercept - slope * ratio) ** 2) / (len(rows) - 2))
    table = curves.persistence_by_hc()
    at = list(table.soil_c).index(soil_c)
    assert (len(POINTS), len(rows)) == (87, 85)
    assert (round(ratio.min(), 2), round(ratio.max(), 2)) == (0.13, 1.40)
    assert table.intercept_c[at] == pytest.approx(intercept, abs=0.0056)
    assert -table.slope_m[at] == pytest.approx(slope, abs=0.0056)
    assert table.one_char_sd[at] == pytest.approx(scatter, abs=6e-4)
    if soil_c == 14.9:
        spread = np.sum((ratio - ratio.mean()) ** 2)
        half = 1.99 * scatter * np.sqrt(1 / len(rows) + (0.6 - ratio.mean()) ** 2 / spread)
        assert half == pytest.approx(v("hc_mean_half"), abs=0.005)


@pytest.mark.parametrize("soil_c", curves.persistence_by_soil().soil_c)
@pytest.mark.parametrize(("name", "count"), [("low", 19), ("medium", 53), ("high", 11)])
def test_class_means_recomputed_from_the_authors_chars(soil_c, name, count):
    """Chars made from the lower edge of a class up to the next; their scatter is that of one char."""
    least, most = CLASSES[name]
    peaks = [(row, float(row["Pyrolysis_temperature"])) for row in POINTS if row["Pyrolysis_temperature"]]
    left = [share_left(row, soil_c) for row, peak in peaks if least <= peak < most]
    table = curves.persistence_by_soil()
    at = list(CLASSES).index(name), list(table.soil_c).index(soil_c)
    assert len(left) == count
    assert table.mean_frac[at] == pytest.approx(np.mean(left), abs=0.0056)
    assert table.one_char_sd[at] == pytest.approx(np.std(left, ddof=1), abs=6e-4)


def test_the_inventory_is_higher_than_the_chars_behind_it_at_the_cropland_mean():
    """0.65, 0.80, 0.89 of the inventory against 0.63, 0.71, 0.82 at 14.9 °C; near them at 10 °C."""
    table, inventory = curves.persistence_by_soil(), curves.persistence_classes().persist_frac[1:]
    at = list(table.soil_c).index(14.9)
    assert np.all(inventory > table.mean_frac[:, at])


@pytest.mark.parametrize(
    ("soil_ph", "name"),
    [(4.5, "soil_eff_55"), (5.8, "soil_eff_61"), (6.1, "soil_eff_61"), (6.2, "soil_eff_70"),
     (7.0, "soil_eff_70"), (7.5, "soil_eff_above70")],
)  # fmt: skip
def test_soil_factor_agrees_with_the_list_of_factors(soil_ph, name):
    """Above pH 6.1 (Warren et al. 2009) the base is 0."""
    table, one = curves.soil_factors(), factors.factor(name)
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
        curves.persistence_by_soil().mean_frac,
        curves.soil_factors().high,
    ],
)
def test_shared_arrays_cannot_be_changed(array):
    with pytest.raises(ValueError, match="read-only"):
        array[0] = 1.0
