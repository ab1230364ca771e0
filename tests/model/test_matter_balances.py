"""Balances of a tonne of bones: house arithmetic, works kept out of the fit, limits of chemistry."""

from __future__ import annotations

import pytest
from matter_plants import CASES, figures, of_bone

from econ.evidence import substances
from econ.evidence.substances import BONES
from econ.model.coefficients import Retention, carried, retention_at

PARTS = ("water", "fat", "protein", "ash")
FIELDS = ("mineral", "residue", "char", "off", "p", "p2o5", "ca", "organic", "carbonate")
# residue per kg protein, mineral kept per kg ash, carbon of the residue, carbonate kept
AT_482 = Retention(0.36, 0.985, 0.58, 0.917)
AT_700 = Retention(0.27, 0.97, 0.66, 0.667)
WORKS_700 = Retention(0.22, 0.97, 0.82, 1.0)
"""The row of the table, through printed works data."""


def balance(percent, kept):
    """Kilograms from 1,000 kg of bones, straight from the arithmetic of one stream."""
    part = {name: share / 100 for name, share in zip(PARTS, percent, strict=True)}
    found = carried(part, kept, ash_co2=0.06, residue_n=0.092)
    p = 1000 * part["ash"] * 0.175
    return {
        "mineral": 1000 * part["ash"] * kept.mineral_kept,
        "residue": 1000 * found["residue_frac"],
        "char": 1000 * found["char_frac"],
        "off": 1000 * (found["fat_frac"] + found["protein_gas_frac"] + found["mineral_lost_frac"]),
        "p": p,
        "p2o5": p * substances.P2O5_PER_P,
        "ca": 1000 * part["ash"] * 0.37,
        "organic": 1000 * found["organic_c_frac"],
        "carbonate": 1000 * found["carbonate_c_frac"],
    }


@pytest.mark.parametrize(
    ("case", "kept", "expected"),
    [
        # house arithmetic, printed to these digits; residue 0.36 is stated, not read off the table
        ("A", AT_482, (295.5, 72.0, 367.5, 282.5, 52.50, 120.3, 111.0, 41.8, 4.5)),
        ("A", AT_700, (291.0, 54.0, 345.0, 305.0, 52.50, 120.3, 111.0, 35.6, 3.3)),
        ("B", AT_700, (337.6, 46.4, 384.0, 472.0, 60.90, 139.5, 128.8, 30.7, 3.8)),
        ("D", AT_700, (223.1, 32.4, 255.5, 244.5, 40.25, 92.2, 85.1, 21.4, 2.5)),
        ("E", AT_700, (145.5, 59.4, 204.9, 345.1, 26.25, 60.1, 55.5, 39.2, 1.6)),
    ],
    ids=["A 482", "A 700", "B 700", "D 700", "E 700"],
)
def test_house_arithmetic_of_a_tonne(case, kept, expected):
    found = balance(CASES[case], kept)
    for name, value in zip(FIELDS, expected, strict=True):
        assert found[name] == pytest.approx(value, abs=0.056), name


@pytest.mark.parametrize("case", sorted(CASES))
def test_plant_gives_the_same_balance_at_700(case):
    """The same arithmetic through the whole model; the table holds residue 0.22, mineral 0.97."""
    found = figures(**of_bone(*CASES[case]), kiln__peak_temperature=(700, "degC"))
    hand = balance(CASES[case], WORKS_700)
    assert found["char_kg"] == pytest.approx(hand["char"], rel=1e-12)
    assert found["leaves_kg"] - found["vapour_kg"] == pytest.approx(hand["off"], rel=1e-12)
    for name, line in (("p", "p_kg"), ("p2o5", "p2o5_kg"), ("ca", "ca_kg"), ("organic", "organic_c_kg")):
        assert found[line] == pytest.approx(hand[name], rel=1e-9), name


def test_case_a_at_482_by_straight_interpolation():
    """House arithmetic: the table gives residue 0.368 there, 369.3 kg of char with 42.7 kg organic carbon.

    The 42.7 takes 58 % carbon in the residue; the table read straight gives 57.8 %, hence the tolerance.
    """
    found = figures(**of_bone(*CASES["A"]), kiln__peak_temperature=(482, "degC"))
    assert found["residue_kg"] / found["protein_kg"] == pytest.approx(0.368, abs=5e-4)
    assert found["char_kg"] == pytest.approx(369.3, abs=0.1)
    assert found["organic_c_kg"] == pytest.approx(42.7, abs=0.2)


def test_case_a_nitrogen():
    """200 kg protein of 18.0 % N in; 73.6 kg residue of 10.7 % N stays at 482 °C."""
    found = figures(**of_bone(*CASES["A"]), kiln__peak_temperature=(482, "degC"))
    assert found["n_bones_kg"] == pytest.approx(36.0, abs=0.01)
    assert found["n_lost_kg"] == pytest.approx(36.0 - 7.9, abs=0.1)


def test_fahrenheit_and_celsius_meet():
    """900 °F is 482.2 °C by definition: the same char; read as Celsius it would be another."""
    in_f = figures(kiln__peak_temperature=(900, "degF"))["char_kg"]
    assert in_f == pytest.approx(figures(kiln__peak_temperature=(482.2222222, "degC"))["char_kg"], rel=1e-9)
    assert in_f > 1.1 * figures(kiln__peak_temperature=(900, "degC"))["char_kg"]


# -- works kept out of the fit


def test_femur_of_1965_carried_to_char():
    """Paloheimo, Björkenheim & Leivonen 1965, abstract: ash 34.8 % (30.0 to 39.9) of fresh cow femur.

    Char can hold no less than nearly all that mineral and no more than mineral and protein together.
    """
    found = figures(bones__1__kind="beef leg bones (femur)", kiln__peak_temperature=(700, "degC"))
    assert 0.95 * 348 < found["char_kg"] < 348 + 172
    # the ends of the printed range bracket the phosphorus: ash × 17.5 %
    assert 300 * 0.17 < found["p_kg"] < 399 * 0.185
    assert found["vapour_kg"] == pytest.approx(144, abs=1e-6)


def ash_share(found):
    return (found["char_kg"] - found["residue_kg"]) / found["char_kg"]


def test_ash_of_bovine_char_at_500():
    """Bovine parts paper, abstract: ash about 85.08 % of char at 500 °C, ribs, scapulae, legs.

    The anchor of the model for lean bone of mineral to protein 68:32; for the default bone the model is
    lower (80.8 %), within the 5 points by which parts of one animal differ here.
    """
    lean = figures(**of_bone(20, 10, 0.7 * 32, 0.7 * 68), kiln__peak_temperature=(500, "degC"))
    assert ash_share(lean) == pytest.approx(0.8508, abs=0.01)
    mixed = figures(kiln__peak_temperature=(500, "degC"))
    assert ash_share(mixed) == pytest.approx(0.808, abs=0.001)
    assert ash_share(mixed) == pytest.approx(0.8508, abs=0.05)


def test_residue_refitted_to_85_percent_ash():
    """House arithmetic: residue 0.26 instead of 0.35 gives the default bone 85 % ash and 8.7 % carbon."""
    found = figures(kiln__peak_temperature=(500, "degC"), kiln__residue_ratio=(0.26 / 0.35, "fraction"))
    assert ash_share(found) == pytest.approx(0.85, abs=0.001)
    assert found["char_organic_c_share"] == pytest.approx(0.087, abs=0.001)


@pytest.mark.parametrize("kind", ["beef, mixed bones", "femur", "sheep", "green bone"])
def test_phosphorus_of_field_trial_and_industrial_char(kind):
    """Panten & Leinweber 2020: 15 % P, char of 800 °C from degreased chips. Someus & Pugliese 2018: P2O5
    above 30 %. American Cyclopaedia: 15.9 % P in works char. Tolerance 1.6 points of P."""
    found = figures(bones__1__kind=kind, kiln__peak_temperature=(800, "degC"))
    assert found["char_p_share"] == pytest.approx(0.15, abs=0.016)
    assert found["char_p2o5_share"] > 0.30


def test_label_of_a_retail_char():
    """A retail label: over 32 % total phosphate, 16 % available, 33 to 34 % calcium (grade 0-16-0).

    Of the default bone at 600 °C; "over 32" is a floor, tolerance 2.7 points.
    """
    found = figures(kiln__peak_temperature=(600, "degC"))
    assert found["char_p2o5_share"] == pytest.approx(0.32, abs=0.027)
    assert found["char_available_share"] == pytest.approx(0.16, abs=0.016)
    assert found["char_ca_share"] == pytest.approx(0.335, abs=0.025)


def test_sugar_house_char():
    """Aikman, Manures, appendix: C 10.51 % (total), CaCO3 8.30 %, which is 1.0 % carbonate carbon.

    Default bone at 600 °C; the model is 1.2 % high on carbon, within a tolerance of 1.5 points.
    """
    found = figures(kiln__peak_temperature=(600, "degC"))
    total_c = (found["organic_c_kg"] + found["carbonate_c_kg"]) / found["char_kg"]
    assert total_c == pytest.approx(0.1051, abs=0.016)
    assert found["carbonate_c_kg"] / found["char_kg"] == pytest.approx(0.010, abs=0.003)


@pytest.mark.parametrize("made_of", BONES.all(), ids=lambda made_of: made_of.kind)
@pytest.mark.parametrize("peak_c", [300, 500, 700, 900])
def test_no_char_beats_pure_mineral(made_of, peak_c):
    """Atomic weights: hydroxyapatite holds 18.50 % P and 39.89 % Ca, tricalcium phosphate 19.97 % P."""
    found = figures(bones__1__kind=made_of.kind, kiln__peak_temperature=(peak_c, "degC"))
    assert found["char_p_share"] < substances.P_IN_HYDROXYAPATITE < substances.P_IN_TRICALCIUM_PHOSPHATE
    assert found["char_ca_share"] < substances.CA_IN_HYDROXYAPATITE
    assert 1.9 < found["ca_kg"] / found["p_kg"] < 2.4


def test_table_of_temperatures_is_read_straight():
    """House model: rows at 500 and 600 °C, halfway between them the mean; outside 300 to 900 the end row."""
    low, high, middle = (retention_at(at) for at in (500, 600, 550))
    assert middle.residue == pytest.approx((low.residue + high.residue) / 2)
    assert retention_at(1200).residue == retention_at(900).residue
    assert retention_at(200).residue == retention_at(300).residue
    assert retention_at(300, residue_ratio=1.3).residue == 1.0
