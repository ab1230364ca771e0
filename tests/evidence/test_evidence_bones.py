"""What raw bones are made of, and what of them stays in the char."""

from __future__ import annotations

import math

import numpy as np
import pytest

from econ.evidence import curves, factors, substances
from econ.evidence.substances import BONES


def v(name):
    return factors.factor(name).value


def normalised(found):
    return any(abs(share.value - share.raw) > 1e-9 for share in found.components().values())


@pytest.mark.parametrize(
    ("kind", "printed", "rung"),
    [
        ("beef_mixed", (0.35, 0.15, 0.20, 0.30), "assumed"),
        # Paloheimo et al. 1965, abstract
        ("beef_femur", (0.144, 0.336, 0.172, 0.348), "primary"),
        # Scientific Reports 2017, Table 1, carried to the fresh basis
        ("sheep_pig_limb", (0.391, 0.111, 0.190, 0.300), "primary"),
        # lecture slides without a primary source
        ("green_bone", (0.50, 0.15, 0.12, 0.23), "copy"),
        ("meaty_trim", (0.45, 0.18, 0.22, 0.15), "assumed"),
        # middles of ranges from memory
        ("poultry", (0.50, 0.10, 0.19, 0.185), "memory"),
    ],
)
def test_bone_kind_as_printed(kind, printed, rung):
    found = substances.composition(kind)
    assert tuple(share.raw for share in found.components().values()) == printed
    assert found.rung == rung


@pytest.mark.parametrize("found", BONES.all(), ids=lambda found: found.kind)
def test_shares_add_up_to_one_and_keep_their_proportions(found):
    shares = found.components()
    assert math.fsum(share.value for share in shares.values()) == 1.0
    whole = sum(share.raw for share in shares.values())
    for share in shares.values():
        assert share.value == pytest.approx(share.raw / whole, rel=1e-12)
        assert share.low is None or share.low <= share.value + 1e-12
        assert share.high is None or share.value <= share.high + 1e-12
    assert ("normalised" in found.note) == (abs(whole - 1) > 1e-9)


def test_only_two_kinds_miss_a_sum_of_one():
    assert [one.kind for one in BONES.all() if normalised(one)] == ["sheep_pig_limb", "poultry"]


def test_limb_bones_follow_from_the_dry_matter_rows():
    """Scientific Reports 2017, Table 1: fresh share = dry matter × share of dry matter."""
    limb, dry = substances.composition("sheep_pig_limb"), v("limb_dm") / 100
    assert limb.water.raw == pytest.approx(1 - dry, abs=5e-4)
    for share, name in ((limb.fat, "limb_fat"), (limb.protein, "limb_prot"), (limb.ash, "limb_ash")):
        assert share.raw == pytest.approx(dry * v(name) / 100, abs=5e-4)


@pytest.mark.parametrize(
    ("kind", "prefix"), [("beef_mixed", "raw"), ("beef_femur", "fem")], ids=["mixed", "femur"]
)
def test_composition_agrees_with_the_list_of_factors(kind, prefix):
    short = {"water": "w", "fat": "fat", "protein": "prot", "ash": "ash"}
    for name, share in substances.composition(kind).components().items():
        listed = factors.factor(f"{prefix}_{short[name]}")
        assert share.raw == pytest.approx(listed.value / 100)
        assert share.high == pytest.approx(listed.high / 100)
        if name != "water" or kind == "beef_femur":
            assert share.low == pytest.approx(listed.low / 100)


@pytest.mark.parametrize(
    ("peak_c", "yield_pct", "p_pct", "ca_pct", "organic_pct", "carbonate_pct"),
    [
        # house arithmetic of fresh mixed bone 35/15/20/30, printed to these digits
        (300, 45.7, 11.5, 24.3, 18.2, 0.73),
        (350, 41.7, 12.6, 26.6, 15.8, 0.81),
        (400, 38.6, 13.6, 28.7, 13.3, 0.87),
        (500, 36.6, 14.4, 30.4, 11.1, 0.92),
        (600, 34.8, 15.1, 31.9, 10.7, 0.96),
        (700, 33.5, 15.7, 33.1, 10.8, 1.00),
        (800, 32.8, 16.0, 33.8, 10.7, 1.02),
        (900, 32.3, 16.2, 34.3, 10.6, 0.52),
    ],
)
def test_char_model_gives_the_house_table(peak_c, yield_pct, p_pct, ca_pct, organic_pct, carbonate_pct):
    table = curves.retention()
    at = list(table.peak_c).index(peak_c)
    char_kg = 300 * table.mineral_kept_frac[at] + 200 * table.residue_frac[at]
    organic_kg = 200 * table.residue_frac[at] * table.residue_c_frac[at]
    carbonate_kg = 300 * v("ash_co2") / 100 * table.carbonate_kept_frac[at] * 12.011 / 44.009
    assert char_kg / 10 == pytest.approx(yield_pct, abs=0.051)
    assert 300 * v("ash_p") / char_kg == pytest.approx(p_pct, abs=0.06)
    assert 300 * v("ash_ca") / char_kg == pytest.approx(ca_pct, abs=0.06)
    assert organic_kg / char_kg * 100 == pytest.approx(organic_pct, abs=0.06)
    assert carbonate_kg / char_kg * 100 == pytest.approx(carbonate_pct, abs=0.006)


def test_char_of_68_to_32_bone_holds_85_percent_ash_at_500():
    """Bovine parts paper, abstract: the anchor that residue 0.35 was fitted to."""
    table = curves.retention()
    at = list(table.peak_c).index(500)
    mineral, residue = 68 * table.mineral_kept_frac[at], 32 * table.residue_frac[at]
    assert mineral / (mineral + residue) * 100 == pytest.approx(v("char_ash_500"), abs=1)


def test_hotter_char_keeps_less_but_holds_more_carbon_in_its_residue():
    table = curves.retention()
    assert np.all(np.diff(table.residue_frac) < 0)
    assert np.all(np.diff(table.mineral_kept_frac) <= 0)
    assert np.all(np.diff(table.carbonate_kept_frac) <= 0)
    assert np.all(np.diff(table.residue_c_frac) > 0)


def test_char_carbon_never_exceeds_what_the_protein_held():
    table = curves.retention()
    assert np.all(table.residue_frac * table.residue_c_frac < v("prot_c") / 100)
