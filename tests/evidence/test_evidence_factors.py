"""The list of single figures: shape, honesty of its marks, and spot facts against the works named."""

from __future__ import annotations

import subprocess
import sys

import pytest

from econ import evidence
from econ.evidence.facts import MARKS

ALL = evidence.factors()
OWN_SOURCES = {"house", "common_practice", "memory"}


@pytest.mark.parametrize("one", ALL, ids=lambda one: one.id)
def test_row_is_whole(one):
    assert one.locator
    assert one.unit
    assert one.source in evidence.sources()
    assert one.status in MARKS
    assert one.low is None or one.low <= one.value
    assert one.high is None or one.value <= one.high


def test_verified_rows_cite_an_outside_work():
    for one in ALL:
        if one.status == "verified":
            assert one.source.key not in OWN_SOURCES, one.id


def test_works_that_were_only_recalled_verify_nothing():
    wide = [*evidence.limits(), *evidence.crop_removals(), *evidence.soil_readings(), *evidence.gwps()]
    rows = [one for one in (*ALL, *wide) if "recalled" in one.source.text]
    assert rows
    assert [one for one in rows if one.status == "verified"] == []


def test_exact_rows_rest_on_weights_definitions_or_conventions():
    keys = {one.source.key for one in ALL if one.status == "exact"}
    assert keys == {"iupac", "definition", "ipcc_convention"}


def test_assumed_rows_say_so():
    for one in ALL:
        if one.status == "assumed":
            assert one.source.key == "house", one.id
            assert one.mark == "unverified (assumed here)"
            assert not one.is_verified


def test_house_model_and_house_arithmetic_are_never_verified():
    for one in ALL:
        if one.source.key == "house":
            assert not one.is_verified, one.id


@pytest.mark.parametrize(
    ("name", "mark", "is_verified"),
    [
        ("fem_ash", "verified", True),
        ("hap_p", "verified (exact)", True),
        ("char_n", "unverified (from memory)", False),
        ("char_corg", "unverified (derived here)", False),
        ("rho_raw", "unverified (assumed here)", False),
    ],
)
def test_mark_of_each_status(name, mark, is_verified):
    one = evidence.factor(name)
    assert (one.mark, one.is_verified) == (mark, is_verified)


def test_every_source_is_used():
    used = {one.source.key for one in ALL}
    wide = [
        *evidence.compositions(),
        *evidence.fuels(),
        *evidence.gwps(),
        *evidence.limits(),
        *evidence.crop_removals(),
        *evidence.soil_readings(),
        *evidence.sieves(),
    ]
    used |= {one.source.key for one in wide}
    assert {source.key for source in evidence.sources()} - used == set()


def test_every_word_must_match():
    both = evidence.factors("Propane HHV")
    assert {one.id for one in both} == {"hub_propane_co2", "hub_propane_ch4", "hub_propane_n2o"}
    assert set(both) < set(evidence.factors("propane"))
    assert evidence.factors("no such word anywhere") == ()


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
    assert evidence.factor(name) in evidence.factors(word), found_in


def test_factors_load_without_numpy():
    code = "import sys; from econ import evidence; evidence.factors(); print('numpy' in sys.modules)"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "False"


@pytest.mark.parametrize(
    ("name", "value", "low", "high", "unit", "is_verified"),
    [
        # Paloheimo et al. 1965, abstract
        ("fem_fat", 33.6, 26.9, 38.9, "%", True),
        ("fem_prot", 17.2, 15.0, 21.6, "%", True),
        ("fem_ash", 34.8, 30.0, 39.9, "%", True),
        ("fem_w", 14.4, 11.3, 16.0, "%", True),
        # Scientific Reports 2017, Table 1
        ("limb_dm", 60.92, 60.08, 61.76, "%", True),
        ("limb_ash", 49.17, 48.76, 49.58, "% of dry matter", True),
        # Field 2000, abstract; range from memory
        ("ash_ca", 37, 36, 38.5, "%", True),
        ("ash_p", 17.5, 17.0, 18.5, "%", False),
        # chosen here
        ("raw_ash", 30, 15, 35, "%", False),
        ("eff_kiln", 25, 10, 50, "%", False),
        ("rnd_ghg", 158, 100, 300, "kg CO2e/t raw", False),
        ("char_corg", 10, 5, 12, "% dry", False),
        ("fat_drip", 20, 0, 60, "% of fat", False),
        ("kiln_n2o_n", 0.5, 0, 2, "% of N lost", False),
        # bovine parts paper, abstract
        ("char_ash_500", 85.1, 80, 90, "%", True),
        ("char_ssa", 172, 60, 172, "m2/g", True),
        # Aikman, appendix
        ("char_c", 10.5, 7, 13, "% dry", True),
        ("char_caco3", 8.3, 6, 10, "% dry", True),
        # Warren et al. 2009; Zwetsloot et al. 2015; Zacher et al. 2022
        ("ph_stop", 6.1, 5.5, 6.5, "pH", True),
        ("rel_tsp", 0.76, 0.3, 1.0, "kg/kg", True),
        ("tsp_up1", 38, None, None, "%", True),
        # extension table of heating fuels 2013
        ("hv_lpg", 25.8, 25.3, 25.8, "MJ/L", True),
        ("hv_oil", 38.6, 38.3, 38.7, "MJ/L", True),
        ("hv_ng", 38.4, 37, 40, "MJ/m3", True),
        # steam tables, recalled
        ("h_w", 2591.5, None, None, "kJ/kg", False),
        # 40 CFR 98 Table C-1 and hub 2024 Table 1
        ("hub_propane_co2", 62.87, None, None, "kg/mmBtu HHV", True),
        ("hub_diesel_co2", 73.96, None, None, "kg/mmBtu HHV", True),
        ("hub_gas_co2", 53.06, None, None, "kg/mmBtu HHV", True),
        ("hub_propane_heat", 0.091, None, None, "mmBtu/gal", False),
        # IPCC, recalled unless verified
        ("ipcc_fp_med", 0.80, 0.71, 0.89, "-", False),
        ("ipcc_tmin", 350, None, None, "°C", True),
        ("gwp_n2o", 273, 143, 403, "kg CO2e/kg", True),
        ("lf_doc", 0.15, 0.08, 0.22, "kg/kg", True),
        ("lf_mcf", 1.0, 0.4, 1.0, "-", False),
        ("cmp_n2o", 0.24, 0.06, 0.6, "g/kg wet", False),
        ("cmp_n2o_dry", 0.6, 0.2, 1.6, "g/kg dry", True),
        # Cornelissen et al. 2016
        ("kiln_ch4", 30, 0, 90, "g/kg char", True),
        # Ramirez et al. 2012
        ("rnd_heat_cat1", 735, None, None, "kWh/t raw", True),
        ("rnd_el_cat3", 104, None, None, "kWh/t raw", True),
        # AAPFCO SUIP 25
        ("aap_cd", 10, None, None, "ppm per 1 % P2O5", True),
        # Sims et al. 2002
        ("m3_env", 150, None, None, "mg/kg", True),
        # tip fee survey 2023
        ("price_landfill", 57.63, 43.18, 84.44, "USD/short ton", True),
        ("price_bone_char", 3, 1, 5, "USD/kg", False),
        # employer cost survey, December 2024: 13.20 / 31.47
        ("wage_burden", 41.9, 11, 41.9, "% of wage", True),
        # the top of its range, 1 lb per 100 ft2
        ("app_rate", 488, 100, 488, "kg/ha", True),
    ],
)
def test_spot_fact(name, value, low, high, unit, is_verified):
    one = evidence.factor(name)
    assert (one.value, one.low, one.high, one.unit) == (value, low, high, unit)
    assert one.is_verified is is_verified


LB_KG, TON_KG, GAL_L, FT_M, BTU_J = 0.45359237, 907.18474, 3.785411784, 0.3048, 1055.05585262


def v(name):
    return evidence.factor(name).value


@pytest.mark.parametrize(
    ("name", "computed", "slack"),
    [
        # exact unit definitions applied to the printed figure
        ("head_beef", 110 * LB_KG, 0.2),
        ("rho_ash", 50 * LB_KG / FT_M**3, 0.5),
        ("app_rate", LB_KG / (100 * FT_M**2) * 1e4, 0.5),
        ("hv_lpg", 92_500 * BTU_J / 1e6 / GAL_L, 0.05),
        ("hv_oil", 138_500 * BTU_J / 1e6 / GAL_L, 0.05),
        ("hv_ng", 1_030 * BTU_J / 1e6 / FT_M**3, 0.05),
        ("hv_pellets", 16e6 * BTU_J / 1e6 / TON_KG, 0.05),
        ("grid_us", 823.1 * LB_KG / 1000, 5e-5),
        ("grid_srmw", 1369.9 * LB_KG / 1000, 5e-5),
        ("grid_nyup", 274.6 * LB_KG / 1000, 5e-5),
        ("comp_bulk_carcass", 100 * FT_M**3 / (100 * LB_KG / 1000), 3),
        ("truck_tkm", 0.168 / (TON_KG / 1000 * 1.609344), 5e-4),
        ("rnd_heat_cat3", 1357 / 3.6, 0.5),
        ("rnd_heat_cat1", 2646 / 3.6, 0.5),
        ("rnd_el_cat3", 375 / 3.6, 0.5),
        ("rnd_el_cat1", 260 / 3.6, 0.5),
        ("wage_burden", 13.20 / 31.47 * 100, 0.05),
        ("hv_wood20", 18.4 * 0.8 - 2.45 * 0.2, 0.05),
        ("hv_wood10", 18.4 * 0.9 - 2.45 * 0.1, 0.05),
        # per gallon and per kWh from Table 1 with AR6
        ("propane_gal", 0.091 * (62.87 + 0.003 * 29.8 + 0.0006 * 273), 5e-4),
        ("diesel_gal", 0.138 * (73.96 + 0.003 * 29.8 + 0.0006 * 273), 5e-4),
        ("gasoline_gal", 0.125 * (70.22 + 0.003 * 29.8 + 0.0006 * 273), 5e-4),
        ("gas_kwh", (53.06 + 0.001 * 29.8 + 0.0001 * 273) * 3.6e6 / (BTU_J * 1e6), 5e-6),
        ("wood_kg", 17.48 / TON_KG * (0.0072 * 27 + 0.0036 * 273), 5e-5),
        # house arithmetic of case A: 350 water, 150 fat, 200 protein, 300 ash, per tonne
        ("y_fresh_482", (300 * 0.985 + 200 * 0.36) / 10, 0.06),
        ("y_fresh_700", (300 * 0.970 + 200 * 0.27) / 10, 0.06),
        ("y_ddf_500_mixed", (300 * 0.985 + 200 * 0.35) / 500 * 100, 0.06),
        ("y_ddf_700_mixed", (300 * 0.970 + 200 * 0.27) / 500 * 100, 0.06),
        ("y_ddf_500", 68 * 0.985 + 32 * 0.35, 0.5),
        ("y_ddf_700", 68 * 0.970 + 32 * 0.27, 0.5),
        ("residue_500_refit", 300 * 0.985 * (1 / 0.85 - 1) / 200, 0.005),
        ("rend_meal", 500 / 0.85, 0.5),
        ("rend_tallow", 150 - 0.10 * 500 / 0.85, 0.5),
        ("rend_water", 350 - 0.05 * 500 / 0.85, 0.5),
        ("n_lost", 200 * 0.178 - 0.018 * 367.5, 0.1),
        ("residue_n", 0.018 * 367.5 / 72 * 100, 0.05),
        ("startup_propane", 5700 / (25.8 * 0.922), 1),
        ("startup_wood", 5700 / 14.2, 2),
        ("lf_ch4", 1000 * 0.15 * 0.5 * 1 * 0.5 * 16 / 12, 1e-9),
        ("lf_doc_bone", 0.20 * 0.52 + 0.15 * 0.77, 0.001),
        ("cmp_ghg_dry", 0.65 * (10 * 27 + 0.6 * 273), 0.1),
        ("cmp_ghg_wet", 4 * 27 + 0.24 * 273, 0.05),
        ("rnd_ghg", (107 + 125 + 160 + 240) / 4, 1e-9),
        ("rnd_net_credits", (-126 - 485) / 2, 1),
        ("kiln_ch4v", 30 * 0.22 / 0.78, 0.01),
        ("kiln_ch4v_clean", 3.6 * 0.22 / 0.78, 0.005),
        ("cancel_ch4", 72 * 0.58 * 0.80 * 44 / 12 / 27, 5e-4),
        ("cancel_propane", 122.496 / 5.744, 0.5),
        ("cancel_n2o", 122.496 / (29 * 44 / 28 * 273) * 100, 0.01),
        ("char_cinorg", 8.30 * 12 / 100, 1e-9),
        ("char_p2o5", 15 * 2.29133, 0.05),
        ("ox_dry_p", 57.35 * 0.1997 + 0.48, 0.05),
        ("ox_dry_ca", 57.35 * 0.3876 + 3.85 * 0.4004, 0.05),
        ("hc_mineral", (0.85 * 0.002007 / 1.008) / (0.10 / 12.011), 0.01),
        ("dap_p2o5", (0.73 - 0.18 * 2.4) / 0.46, 0.005),
        ("map_p2o5", (0.47 - 0.11 * 2.4) / 0.52, 0.005),
        ("dolomite_soil", 0.13 * 44 / 12, 5e-4),
        ("lime_soil_us", 0.059 * 44 / 12, 5e-4),
        ("price_p2o5", (900 - 0.18 * 2000 * 0.65) / (0.46 * 2000), 0.005),
    ],
)
def test_derived_figure_follows_from_its_inputs(name, computed, slack):
    assert v(name) == pytest.approx(computed, abs=slack)


@pytest.mark.parametrize(("k", "share"), [("low", 25), ("value", 42), ("high", 54)])
def test_landfill_methane_out_within_ten_years(k, share):
    """House arithmetic: mean of 1 - exp(-k t) over deposits 0 to 10 years old."""
    from math import exp

    rate = getattr(evidence.factor("lf_k"), k) * 10
    assert (1 - (1 - exp(-rate)) / rate) * 100 == pytest.approx(share, abs=0.6)
    assert getattr(evidence.factor("lf_out10"), k) == share
