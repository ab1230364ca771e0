"""Contaminant limits, crop removal and soil tests."""

from __future__ import annotations

import pytest

from econ.errors import FactorError
from econ.evidence import factors, substances

LB_KG, TON_KG = 0.45359237, 907.18474


def v(name):
    return factors.factor(name).value


@pytest.mark.parametrize(
    ("substance", "at_16"),
    [
        # AAPFCO SUIP 25 at a guarantee of 16 % P2O5, mg/kg
        ("As", 208), ("Cd", 160), ("Co", 2176), ("Pb", 976), ("Hg", 16), ("Mo", 672), ("Ni", 4000),
        ("Se", 416), ("Zn", 6720),
    ],
)  # fmt: skip
def test_metal_limits_of_a_phosphate_grade(substance, at_16):
    (limit,) = [one for one in substances.limits() if (one.regime, one.substance) == ("aapfco_suip25", substance)]
    assert limit.mg_per_kg(16) == at_16
    assert limit.mg_per_kg(3) == limit.mg_per_kg(6)
    assert limit.is_read


@pytest.mark.parametrize(("substance", "at_16"), [("As", 32), ("Cd", 64), ("Pb", 320)])
def test_metal_limits_of_california(substance, at_16):
    """Labelling aid 2019: per 1 % available P2O5."""
    (limit,) = [one for one in substances.limits() if (one.regime, one.substance) == ("california", substance)]
    assert limit.mg_per_kg(16) == at_16


def test_cadmium_per_kg_of_p2o5():
    """EU 2019/1009 from memory: 60 mg/kg P2O5, so 20.64 mg/kg of a char of 34.4 % P2O5."""
    (limit,) = [one for one in substances.limits() if (one.regime, one.substance) == ("eu_pfc1", "Cd")]
    assert limit.value == v("eu_cd")
    assert limit.mg_per_kg(34.4) == pytest.approx(20.64)
    assert not limit.is_read


def test_limit_on_the_product_does_not_move_with_p2o5():
    for one in substances.limits():
        if one.basis == "product":
            assert one.mg_per_kg(0) == one.mg_per_kg(40) == one.value


@pytest.mark.parametrize("p2o5_pct", [-1, 101, float("nan")])
def test_limit_refuses_what_is_no_percentage(p2o5_pct):
    with pytest.raises(FactorError, match="no percentage"):
        substances.limits()[0].mg_per_kg(p2o5_pct)


@pytest.mark.parametrize(
    ("regime", "substance", "name"),
    [("aapfco_suip25", "Cd", "aap_cd"), ("aapfco_suip25", "Pb", "aap_pb"), ("aapfco_suip25", "As", "aap_as"),
     ("california", "Cd", "ca_cd"), ("ebc_agro", "PAH16", "ebc_pah"), ("eu_pfc1", "Cd", "eu_cd")],
)  # fmt: skip
def test_limit_agrees_with_the_list_of_factors(regime, substance, name):
    (limit,) = [one for one in substances.limits() if (one.regime, one.substance) == (regime, substance)]
    assert (limit.value, limit.rung) == (v(name), factors.factor(name).rung)


@pytest.mark.parametrize("crop", ["apple", "cherry", "peach", "pear", "apricot"])
def test_crop_agrees_with_the_list_of_factors(crop):
    """WSU EM119E 2022, Table 2."""
    found, listed = substances.crop_removal(crop), factors.factor(f"rem_{crop}")
    assert (found.p_lb_per_short_ton, found.low, found.high) == (listed.value, listed.low, listed.high)


@pytest.mark.parametrize(("crop", "lb_per_acre", "tons_per_acre"), [("grapefruit", 2.5, 12), ("orange", 2.3, 8)])
def test_citrus_from_acre_figures(crop, lb_per_acre, tons_per_acre):
    """IPNI TX-55, 2012."""
    found = substances.crop_removal(crop)
    assert found.p_lb_per_short_ton == pytest.approx(lb_per_acre / tons_per_acre, abs=6e-4)


def test_metric_removal():
    """Exact definitions: 1 lb in 2000 lb is 0.5 kg in 1000 kg."""
    assert substances.crop_removal("peach").p_kg_per_t == pytest.approx(1.2 * LB_KG / (TON_KG / 1000))


@pytest.mark.parametrize(
    ("test", "value", "reading"),
    [
        # Sims et al. 2002
        ("mehlich3", 20, "below optimum"),
        ("mehlich3", 50, "below optimum"),
        ("mehlich3", 51, "optimum"),
        ("mehlich3", 100, "optimum"),
        ("mehlich3", 101, "no phosphorus needed"),
        ("mehlich3", 151, "environmental concern"),
        # extension 0.569
        ("soil_ph", 6.5, "phosphorus most available"),
        ("soil_ph", 8.0, "phosphorus bound by calcium"),
    ],
)
def test_soil_reading(test, value, reading):
    found = substances.soil_reading(test, value)
    assert found is not None
    assert found.reading == reading


def test_soil_reading_between_classes_is_none():
    assert substances.soil_reading("soil_ph", 7.2) is None


@pytest.mark.parametrize(
    ("nutrient", "guarantee", "allowance"),
    [
        # AAPFCO investigational allowances, from memory: of calcium always 0.2 unit and 5 % of the guarantee
        ("calcium", 0.0, 0.002), ("calcium", 0.2, 0.012), ("calcium", 0.37, 0.0205),
        # hand: halfway between the rows of 12 % (0.69) and 14 % (0.70), and flat beyond the first and the last
        ("p2o5", 0.13, 0.00695), ("p2o5", 0.01, 0.0067), ("p2o5", 0.5, 0.0076),
    ],
)  # fmt: skip
def test_the_allowance_of_a_guarantee(nutrient, guarantee, allowance):
    assert substances.allowance(nutrient, guarantee) == pytest.approx(allowance, rel=1e-12)
