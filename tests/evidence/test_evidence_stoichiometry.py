"""Atomic weights and ratios against an independent package and against hand arithmetic."""

from __future__ import annotations

import periodictable
import pytest

from econ.evidence import factors
from econ.evidence import substances as s


@pytest.mark.parametrize(
    ("ours", "symbol"),
    [
        (s.H_G_PER_MOL, "H"),
        (s.C_G_PER_MOL, "C"),
        (s.N_G_PER_MOL, "N"),
        (s.O_G_PER_MOL, "O"),
        (s.P_G_PER_MOL, "P"),
        (s.CA_G_PER_MOL, "Ca"),
    ],
)
def test_atomic_weight_agrees_with_periodictable(ours, symbol):
    assert ours == pytest.approx(getattr(periodictable, symbol).mass, rel=5e-5)


@pytest.mark.parametrize(
    ("ours", "formula"),
    [
        (s.P2O5_G_PER_MOL, "P2O5"),
        (s.CO2_G_PER_MOL, "CO2"),
        (s.HYDROXYAPATITE_G_PER_MOL, "Ca10(PO4)6(OH)2"),
        (s.TRICALCIUM_PHOSPHATE_G_PER_MOL, "Ca3(PO4)2"),
    ],
)
def test_molar_mass_agrees_with_periodictable(ours, formula):
    assert ours == pytest.approx(periodictable.formula(formula).mass, rel=5e-5)


@pytest.mark.parametrize(
    ("ours", "formula", "symbol"),
    [
        (s.P_IN_HYDROXYAPATITE, "Ca10(PO4)6(OH)2", "P"),
        (s.CA_IN_HYDROXYAPATITE, "Ca10(PO4)6(OH)2", "Ca"),
        (s.H_IN_HYDROXYAPATITE, "Ca10(PO4)6(OH)2", "H"),
        (s.P_IN_TRICALCIUM_PHOSPHATE, "Ca3(PO4)2", "P"),
        (s.P_PER_P2O5, "P2O5", "P"),
    ],
)
def test_mass_share_agrees_with_periodictable(ours, formula, symbol):
    shares = periodictable.formula(formula).mass_fraction
    assert ours == pytest.approx(shares[getattr(periodictable, symbol)], rel=1e-4)


@pytest.mark.parametrize(
    ("ours", "printed", "slack"),
    [
        # house arithmetic on the abridged weights, as printed to these digits
        pytest.param(s.HYDROXYAPATITE_G_PER_MOL, 1004.61, 0.005, id="M of hydroxyapatite"),
        pytest.param(s.P_IN_HYDROXYAPATITE, 0.1850, 5e-5, id="P limit 18.50 %"),
        pytest.param(s.P2O5_IN_HYDROXYAPATITE, 0.4239, 5e-5, id="P2O5 limit 42.39 %"),
        pytest.param(s.CA_IN_HYDROXYAPATITE, 0.3989, 5e-5, id="Ca limit 39.89 %"),
        pytest.param(s.CA_IN_HYDROXYAPATITE / s.P_IN_HYDROXYAPATITE, 2.157, 5e-4, id="Ca/P by mass"),
        pytest.param(s.P2O5_PER_P, 2.29133, 5e-6, id="P to P2O5"),
        pytest.param(s.P_PER_P2O5, 0.43643, 5e-6, id="P2O5 to P"),
        pytest.param(s.CAO_PER_CA, 1.39920, 5e-6, id="Ca to CaO"),
        pytest.param(s.CO2_PER_C, 3.6641, 5e-5, id="C to CO2 by weights"),
        pytest.param(s.P_IN_TRICALCIUM_PHOSPHATE, 0.1997, 5e-5, id="P in tricalcium phosphate"),
        pytest.param(s.P2O5_IN_TRICALCIUM_PHOSPHATE, 0.4576, 5e-5, id="P2O5 in tricalcium phosphate"),
        pytest.param(s.CO2_G_PER_MOL / periodictable.formula("CaCO3").mass, 0.4397, 5e-5, id="CaCO3 to CO2"),
        pytest.param(s.C_PER_CACO3_REPORTING, 0.1200, 5e-5, id="C of CaCO3 in whole numbers"),
        pytest.param(s.H_IN_HYDROXYAPATITE, 0.002007, 5e-7, id="H in hydroxyapatite"),
    ],
)
def test_ratio_by_hand(ours, printed, slack):
    assert ours == pytest.approx(printed, abs=slack)


@pytest.mark.parametrize(
    ("name", "computed", "scale"),
    [
        ("hap_p", s.P_IN_HYDROXYAPATITE, 100),
        ("hap_p2o5", s.P2O5_IN_HYDROXYAPATITE, 100),
        ("hap_ca", s.CA_IN_HYDROXYAPATITE, 100),
        ("hap_ca_p_mass", s.CA_IN_HYDROXYAPATITE / s.P_IN_HYDROXYAPATITE, 1),
        ("hap_ca_p_mol", 10 / 6, 1),
        ("f_p_p2o5", s.P2O5_PER_P, 1),
        ("f_p2o5_p", s.P_PER_P2O5, 1),
        ("f_ca_cao", s.CAO_PER_CA, 1),
        ("f_c_co2", s.CO2_PER_C, 1),
        ("c_co2", s.CO2_PER_C_REPORTING, 1),
        ("c_ch4", s.CH4_PER_C_REPORTING, 1),
        ("n_n2o", s.N2O_PER_N_REPORTING, 1),
    ],
)
def test_listed_factor_is_the_constant_rounded(name, computed, scale):
    listed = factors.factor(name)
    assert listed.value == pytest.approx(computed * scale, rel=3e-4)
    assert listed.is_read


def test_thirty_seven_percent_phosphorus_must_be_p2o5():
    """House arithmetic: as P2O5 it is 16.15 % P with Ca/P 2.04; as P it is above any bone mineral."""
    claim = factors.factor("trade_p37").value / 100
    assert claim > s.P_IN_TRICALCIUM_PHOSPHATE > s.P_IN_HYDROXYAPATITE
    as_p = claim * s.P_PER_P2O5
    assert as_p == pytest.approx(0.1615, abs=5e-5)
    assert factors.factor("trade_ca33").value / 100 / as_p == pytest.approx(2.04, abs=0.005)


def test_temperatures_that_are_mixed_up():
    """Exact definition of the degree Fahrenheit."""
    assert factors.factor("temp_900f").value == pytest.approx((900 - 32) / 1.8, abs=0.05)
    assert factors.factor("temp_900c").value == 900 * 1.8 + 32
