"""The list of single figures: shape, honesty of its marks, and spot facts against the works named."""

from __future__ import annotations

import subprocess
import sys
from statistics import NormalDist

import pytest
from periodictable import formula

from econ.evidence import curves, factors, substances
from econ.evidence.factors import RANGES, held
from econ.evidence.facts import RUNGS, shipped_sources
from econ.evidence.substances import BONES, CO2_G_PER_MOL, FUELS, GWPS, TOLERANCES

ALL = factors.factors()
OWN_SOURCES = {"house", "common_practice", "memory"}


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.id)
def test_row_is_whole(one):
    assert one.locator
    assert one.unit
    assert one.source in shipped_sources().values()
    assert one.rung in RUNGS
    assert one.low is None or one.low <= one.value
    assert one.high is None or one.value <= one.high


def test_what_was_read_cites_an_outside_work_or_read_parts():
    for one in ALL:
        if one.is_read:
            assert one.source.key not in OWN_SOURCES or one.parts, one.id


def test_works_that_were_only_recalled_were_not_read():
    wide = [
        *substances.limits(),
        *substances.crop_removals(),
        *substances.soil_readings(),
        *TOLERANCES.all(),
        *GWPS.all(),
    ]
    rows = [one for one in (*ALL, *wide) if "recalled" in one.source.text]
    assert rows
    assert [one for one in rows if one.is_read and one.source.key != "fert_europe"] == []


def test_assumed_rows_say_so():
    for one in ALL:
        if one.rung == "assumed" and not one.parts:
            assert one.source.key == "house", one.id
            assert one.mark == "assumed"
            assert not one.is_read


@pytest.mark.parametrize(
    ("name", "mark", "is_read"),
    [
        ("fem_ash", "read in the source", True),
        ("hap_p", "read in a copy", True),
        ("lf_k", "read in a copy", True),
        ("rnd_ghg", "computed here, read in a copy", True),
        ("hv_wood20", "computed here, not checked", False),
        ("hv_prot", "not checked", False),
        ("rho_raw", "assumed", False),
    ],
)
def test_words_of_each_rung(name, mark, is_read):
    one = factors.factor(name)
    assert (one.mark, one.is_read) == (mark, is_read)


TABLES = (
    curves.retention, curves.steam, curves.persistence_classes, curves.persistence_by_soil,
    curves.persistence_by_hc, curves.soil_factors,
)  # fmt: skip


def test_every_source_is_used():
    used = {one.source.key for one in ALL}
    wide = [
        *BONES.all(),
        *FUELS.all(),
        *GWPS.all(),
        *substances.limits(),
        *substances.crop_removals(),
        *substances.soil_readings(),
        *TOLERANCES.all(),
        *substances.SIEVES.all(),
        *RANGES.all(),
        *(origin for read in TABLES for origin in read().origins),
    ]
    used |= {one.source.key for one in wide}
    assert set(shipped_sources()) - used == set()


def test_every_word_must_match():
    both = factors.factors("Propane HHV")
    assert {one.id for one in both} == {"hub_propane_co2", "hub_propane_ch4", "hub_propane_n2o"}
    assert set(both) < set(factors.factors("propane"))
    assert factors.factors("no such word anywhere") == ()


@pytest.mark.parametrize(
    ("word", "found_in", "name"),
    [
        ("ash_ca", "id", "ash_ca"),
        ("cow femur", "label", "fem_fat"),
        ("g/kg volatiles", "unit", "kiln_ch4v"),
        ("PALOHEIMO", "source", "fem_ash"),
        ("weigh a bin", "note", "rho_raw"),
    ],
)
def test_search_looks_everywhere(word, found_in, name):
    assert factors.factor(name) in factors.factors(word), found_in


def test_held_factors_come_back():
    """A question may move a fact; after it the fact is as it was."""
    before = factors.factor("coll_n")
    with held({"coll_n": 17.5}):
        assert factors.factor("coll_n").value == 17.5
    assert factors.factor("coll_n") == before


def test_factors_load_without_numpy():
    code = "import sys; from econ.evidence import factors; factors.factors(); print('numpy' in sys.modules)"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "False"


@pytest.mark.parametrize(
    ("name", "value", "low", "high", "ends", "rung"),
    [
        # Paloheimo et al. 1965, abstract
        ("fem_fat", 33.6, 26.9, 38.9, "extremes", "primary"),
        ("fem_ash", 34.8, 30.0, 39.9, "extremes", "primary"),
        # Scientific Reports 2017, Table 1: mean and standard error
        ("limb_dm", 60.92, 60.08, 61.76, "standard_error", "primary"),
        # Field 2000, abstract in an index; ends Getty 1975 and tricalcium phosphate
        ("ash_ca", 37, 35.7, 38.8, "extremes", "copy"),
        ("ash_p", 17.5, 17.0, 18.5, "extremes", "copy"),
        # chosen here, ends read
        ("raw_ash", 30, 15, 39.9, "chosen", "assumed"),
        ("raw_fat", 15, 8, 38.9, "chosen", "assumed"),
        ("eff_kiln", 25, 10, 50, "chosen", "assumed"),
        ("kiln_n2o_n", 0.5, 0, 2, "chosen", "assumed"),
        ("comp_bulk", 7, 3, 60, "chosen", "assumed"),
        # Jones factor of gelatin, 100 / 5.55
        ("coll_n", 18.0, 17.5, 18.4, "chosen", "copy"),
        # locker plant guide; Kempster et al. 1977
        ("head_beef", 50, 30, 65, "extremes", "copy"),
        ("bone_carcass", 36, 30, 42, "extremes", "copy"),
        # Zwetsloot et al. 2015; Zimmer et al. 2019 on ryegrass
        ("rel_tsp", 0.76, 0, 1.0, "extremes", "copy"),
        # ISO 10456; EN 1993-1-2
        ("cp_steel", 0.45, 0.45, 0.65, "extremes", "copy"),
        ("cp_steel_mean", 0.55, 0.51, 0.60, "chosen", "copy"),
        # IEC 60079-20-1
        ("co_lel", 10.9, None, None, "", "copy"),
        ("ch4_lel", 4.4, None, None, "", "copy"),
        # 40 CFR 98 Tables TT-1, HH-3 (2024), HH-4; EPA lifetime collection of food waste
        ("lf_doc_bone", 0.22, 0.15, 0.22, "extremes", "copy"),
        ("lf_k", 0.12, 0.06, 0.18, "extremes", "copy"),
        ("lf_capture_intermediate", 0.65, None, None, "", "copy"),
        ("lf_capture", 0.516, 0.424, 0.85, "extremes", "primary"),
        ("lf_ox", 0.1, 0, 0.35, "extremes", "copy"),
        # eGRID2023 and eGRID2022
        ("grid_us", 0.3480, 0.1245, 0.7228, "extremes", "copy"),
        ("grid_rfcw", 0.4536, None, None, "", "copy"),
        # UK set of 2025, EPA hub of 2025
        ("truck_van_tkm", 0.6313, 0.62562, 0.87423, "extremes", "copy"),
        ("truck_rigid_tkm", 0.52761, 0.24776, 0.62837, "extremes", "copy"),
        ("truck_tkm", 0.1274, 0.1151, 0.145, "extremes", "copy"),
        # IPCC AR6 Table 7.15 with the chapter authors' data
        ("gwp_n2o", 273, 143, 403, "interval_90", "primary"),
        # IPCC 2006, corrected Table 4.1
        ("cmp_n2o_dry", 0.6, 0.2, 1.6, "extremes", "copy"),
        # reviews of life cycle studies
        ("rnd_meal_credit", 0.76, 0.25, 6.50, "extremes", "copy"),
        ("rnd_tallow_credit", 3.81, 2.49, 4.25, "extremes", "primary"),
        # Cornelissen et al. 2016: mean and standard deviation, cut at 0
        ("kiln_ch4", 30, 0, 90, "one_sd", "primary"),
        # BLS, Table 6 of March 2026: 9.68 on 27.68, plants of 1 to 49
        ("wage_burden", 35.0, 10.7, 43.0, "extremes", "primary"),
        # "up to": a maximum
        ("price_renderer_barrel", 20, None, None, "", "primary"),
        ("price_bone_char", 3, 1, 5, "chosen", "memory"),
    ],
)
def test_spot_fact(name, value, low, high, ends, rung):
    one = factors.factor(name)
    assert (one.value, one.low, one.high, one.ends, one.rung) == (value, low, high, ends, rung)


LB_KG, TON_KG, GAL_L, FT_M, BTU_J = 0.45359237, 907.18474, 3.785411784, 0.3048, 1055.05585262


def v(name):
    return factors.factor(name).value


@pytest.mark.parametrize(
    ("name", "computed", "slack"),
    [
        # exact unit definitions applied to the printed figure
        ("head_beef", 110 * LB_KG, 0.2),
        ("rho_ash", 50 * LB_KG / FT_M**3, 0.5),
        ("app_rate", LB_KG / (100 * FT_M**2) * 1e4, 0.5),
        ("hv_pellets", 16e6 * BTU_J / 1e6 / TON_KG, 0.05),
        ("grid_us", 767.209 * LB_KG / 1000, 5e-5),
        ("grid_us_2022", 823.149 * LB_KG / 1000, 5e-5),
        ("grid_rfcw", 1000.05 * LB_KG / 1000, 5e-5),
        ("truck_tkm", 0.186 / (TON_KG / 1000 * 1.609344), 5e-5),
        ("hv_lpg", 0.091 * BTU_J / GAL_L, 0.005),
        ("hv_oil", 0.138 * BTU_J / GAL_L, 0.005),
        ("hv_ng", 0.001026 * BTU_J / (1000 * FT_M**3) * 1000, 0.005),
        ("wage_burden", 9.68 / 27.68 * 100, 0.05),
        ("coll_n", 100 / 5.55, 0.05),
        # per mmBtu of Table 1 with AR6; methane of combustion at 27.0
        ("propane_gal", 0.091 * (62.87 + 0.003 * 27 + 0.0006 * 273), 5e-4),
        ("diesel_gal", 0.138 * (73.96 + 0.003 * 27 + 0.0006 * 273), 6e-4),
        ("gasoline_gal", 0.125 * (70.22 + 0.003 * 27 + 0.0006 * 273), 6e-4),
        ("gas_kwh", (53.06 + 0.001 * 27 + 0.0001 * 273) * 3.6e6 / (BTU_J * 1e6), 6e-6),
        ("rnd_ghg_cat3", 377 * 0.18123 + 104 * 0.348, 0.6),
        ("rnd_ghg_cat1", 735 * 0.18123 + 72 * 0.348, 0.6),
        ("rnd_ghg", 377 * 0.18123 + 104 * 0.348, 0.6),
        ("rnd_ghg_trade", 49.9e3 / (1e6 * LB_KG / 1000), 0.1),
        ("residue_n", 1.1 / 10.3 * 100, 0.05),
        ("ash_co2", 8.7 * CO2_G_PER_MOL / formula("CaCO3").mass / 0.897 * 0.97, 0.05),
        ("cmp_n2o_per_n", 0.6 / 0.02, 1e-9),
        ("soy_protein", 52.644 * 0.89267, 0.05),
        ("sd_to_p90", NormalDist().inv_cdf(0.9), 5e-5),
        # mean of the formula of EN 1993-1-2, 3.4.1.2, integrated by hand from 20 to 500 °C [J/(kg K)]
        (
            "cp_steel_mean",
            (
                425 * 480
                + 0.773 / 2 * (500**2 - 20**2)
                - 1.69e-3 / 3 * (500**3 - 20**3)
                + 2.22e-6 / 4 * (500**4 - 20**4)
            )
            / 480
            / 1000,
            0.005,
        ),
        ("grid_srmw", 1369.9 * LB_KG / 1000, 5e-5),
        ("grid_nyup", 274.6 * LB_KG / 1000, 5e-5),
        ("comp_bulk_carcass", 100 * FT_M**3 / (100 * LB_KG / 1000), 3),
        ("rnd_heat_cat3", 1357 / 3.6, 0.5),
        ("rnd_heat_cat1", 2646 / 3.6, 0.5),
        ("rnd_el_cat3", 375 / 3.6, 0.5),
        ("rnd_el_cat1", 260 / 3.6, 0.5),
        ("hv_wood20", 18.4 * 0.8 - 2.45 * 0.2, 0.05),
        ("hv_wood10", 18.4 * 0.9 - 2.45 * 0.1, 0.05),
        # per gallon and per kWh from Table 1 with AR6
        ("wood_kg", 17.48 / TON_KG * (0.0072 * 27 + 0.0036 * 273), 5e-5),
        # house arithmetic of case A: 350 water, 150 fat, 200 protein, 300 ash, per tonne
        ("kiln_ch4v", 30 * 0.22 / 0.78, 0.01),
        ("kiln_ch4v_clean", 3.6 * 0.22 / 0.78, 0.005),
        ("char_cinorg", 8.30 * 12 / 100, 1e-9),
        ("char_p2o5", 15 * 2.29133, 0.05),
        ("ox_dry_p", 57.35 * 0.1997 + 0.48, 0.05),
        ("ox_dry_ca", 57.35 * 0.3876 + 3.85 * 0.4004, 0.05),
        ("hc_mineral", (0.85 * 0.002007 / 1.008) / (0.10 / 12.011), 0.01),
        ("dolomite_soil", 0.13 * 44 / 12, 5e-4),
        ("lime_soil_us", 0.059 * 44 / 12, 5e-4),
        ("price_p2o5", (900 - 0.18 * 2000 * 0.65) / (0.46 * 2000), 0.005),
    ],
)
def test_derived_figure_follows_from_its_inputs(name, computed, slack):
    assert v(name) == pytest.approx(computed, abs=slack)


@pytest.mark.parametrize(
    ("name", "end", "computed", "slack"),
    [
        # wet wood above 40 % water: 500 g per kg of char, 22 % char (Cornelissen 2023 and 2016)
        ("kiln_ch4v_wet", "high", 500 * 0.22 / 0.78, 0.1),
        # flame-curtain kiln on wood, mean
        ("kiln_ch4v_retort", "high", 30 * 0.22 / 0.78, 0.01),
        # the per-dry-mass figure on the degradable matter of case A: 350 kg of it hold 36 kg N
        ("cmp_n2o_per_n", "low", 0.6 * 350 / (200 * 0.18), 0.05),
        ("cmp_n2o_per_n", "high", 1.6 / 0.02, 1e-9),
        ("rnd_ghg", "low", 377 * 0.18123 + 104 * 0.1246, 0.5),
        ("rnd_ghg", "high", (105 + 110 + 158 + 240) / 4, 0.5),
        ("wage_burden", "low", 2.95 / 27.68 * 100, 0.05),
        ("wage_burden", "high", 14.01 / 32.60 * 100, 0.05),
    ],
)
def test_end_of_a_range_follows_from_its_inputs(name, end, computed, slack):
    assert getattr(factors.factor(name), end) == pytest.approx(computed, abs=slack)
