"""Carbon and the soils it lasts in, stage by stage: each line worked on paper over round numbers of the house.

Shares that last are read from the printed tables of the evidence (persistence_*.csv), whose rows stand beside.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from stage import check, plan_with, told

from econ.evidence import factors
from econ.model import carbon, persistence

NAN = math.nan


@pytest.mark.parametrize(
    ("scope", "is_rest", "elsewhere", "facts"),
    [
        # of 200 kg 50 are in store: 150 used; beds 10, blends 20, other 5 %: 65 % are left for soil
        (1.0, True, 0.05, {"char_used_share": 0.75, "out_of_scope_share": 0.35, "in_scope_share": 0.65,
                           "char_used_kg": 150, "char_in_scope_kg": 97.5, "char_to_beds_kg": 15,
                           "char_to_blends_kg": 30, "char_to_other_kg": 7.5, "char_undocumented_kg": 0}),
        (0.4, False, 0.05, {"in_scope_share": 0.4, "char_in_scope_kg": 60, "char_undocumented_kg": 37.5}),
        (0.9, False, 0.05, {"in_scope_share": 0.9, "char_undocumented_kg": 0}),
        (1.0, True, 0.9, {"in_scope_share": 0, "char_in_scope_kg": 0}),
    ],
)  # fmt: skip
def test_where_the_char_goes(scope: float, is_rest: bool, elsewhere: float, facts: dict[str, float]) -> None:
    rows = {"carbon.beds_share": 0.1, "carbon.blends_share": 0.2, "carbon.other_share": elsewhere,
            "carbon.in_scope_share": scope}  # fmt: skip
    check(told(carbon.uses, rows, plan_with(scope_is_rest=is_rest), 200.0, 50.0).lines, facts)


LASTS: dict[str, Any] = {
    "char_used_share": 0.75, "co2_per_c": 4.0, "outward_share": 0.65,
    "persist_by_class_used_frac": 0.7, "persist_by_class_low_frac": 0.6, "persist_by_class_high_frac": 0.8,
    "persist_by_inventory_used_frac": 0.8, "persist_by_inventory_low_frac": 0.7,
    "persist_by_inventory_high_frac": 0.9, "persist_by_hc_used_frac": 0.5, "persist_by_hc_low_frac": 0.4,
    "persist_by_hc_high_frac": 0.6, "hc_corrected_used_share": 0.45, "hc_corrected_low_share": 0.35,
    "hc_corrected_high_share": 0.55,
}  # fmt: skip


@pytest.mark.parametrize(
    ("method", "corrects", "facts"),
    [
        # 100 kg, three quarters used, four fifths in scope: 60 kg applied, 42 last; 4 kg CO2 a kg, for round
        # numbers
        ("temperature-class", False, {
            "organic_c_in_scope_kg": 60, "durable_c_kg": 42, "durable_c_low_kg": 36, "durable_c_high_kg": 48,
            "removal_kg_co2e": 168, "potential_removal_kg_co2e": 280, "removal_by_class_kg_co2e": 168,
            "removal_by_class_low_kg_co2e": 144, "removal_by_class_high_kg_co2e": 192,
            "removal_by_inventory_kg_co2e": 192, "removal_by_hc_kg_co2e": 120, "removal_by_hc_low_kg_co2e": 96,
            "removal_outward_kg_co2e": 156, "removal_by_hc_lab_kg_co2e": 120,
            "removal_by_hc_corrected_kg_co2e": 108}),
        ("inventory-class", False, {"durable_c_kg": 48, "removal_kg_co2e": 192}),
        ("hydrogen-ratio", False, {"durable_c_kg": 30, "durable_c_high_kg": 36}),
        ("hydrogen-ratio", True, {"durable_c_kg": 27, "durable_c_low_kg": 21, "removal_by_hc_kg_co2e": 108}),
    ],
)  # fmt: skip
def test_removal(method: str, corrects: bool, facts: dict[str, float]) -> None:
    plan = plan_with(persistence=method, corrects_hc=corrects)
    check(told(carbon.removal, LASTS, plan, 100.0, 0.8).lines, facts)


YEAR: dict[str, Any] = {
    "removal_kg_co2e": 168.0, "process_kg_co2e": 100.0, "project_net_kg_co2e": 68.0, "bones_fired_kg": 1000.0,
    "bones_fired_share": 0.8, "bones_excluded_kg": 100.0, "bones_passed_on_kg": 150.0, "fat_kg": 100.0,
    "protein_kg": 200.0, "water_kg": 400.0, "mineral_kg": 300.0, "n_bones_kg": 36.0, "n_lost_kg": 32.0,
    "gwp_ch4_biogenic": 28.0, "gwp_n2o": 270.0, "n2o_per_n": 1.5, "ammonia_n2o_n": 0.01, "chips_ch4_per_kg": 0.001,
    "chips_n2o_per_kg": 0.0001, "handling.compost_ch4": 0.01, "handling.compost_n2o": 0.03,
    "handling.compost_n_kept": 0.75, "handling.chips": 0.5, "handling.n_fertiliser": 5.0, "handling.lf_doc": 0.15,
    "handling.lf_docf": 0.5, "handling.lf_rots": 0.8, "handling.lf_gas": 0.5, "ch4_per_c": 1.2,
    "handling.lf_mcf": 0.9, "handling.lf_capture": 0.5, "handling.lf_ox": 0.1, "landfill_out_share": 0.4,
    "money.study_years": 10.0, "pit_methane_correction": 0.5, "handling.rendering": 0.1, "meal_fat": 0.1,
    "meal_water": 0.05, "soy_protein": 0.5, "handling.meal_credit": 0.6, "handling.tallow_credit": 0.8,
    "handling.own_factor": 0.2, "own_way_if_blank": NAN, "handling.haul_trips": 50.0,
    "handling.haul_distance": 20.0,
    "haul.fuel_use": 0.2, "diesel_co2e_per_l": 2.5, "diesel_upstream": 0.25, "working_p2o5_kg": 20.0,
    "char_used_share": 0.75, "carbon.needs_p_share": 0.5, "carbon.displaced_factor": 2.0, "carbon.price": 0.03,
    "price_has_protocol": 1.0,
}  # fmt: skip
TODAY: dict[str, Any] = {"today": "landfill", "compost_basis": "degradable", "compost_n2o_by_n": True,
                         "compost_n_typed": True, "carbon_price": True}  # fmt: skip


def against(rows: dict[str, float] | None = None, **choices: Any) -> dict[str, Any]:
    plan = plan_with(**TODAY | choices)
    return told(carbon.against_current_practice, {**YEAR, **(rows or {})}, plan).lines


def test_landfill_and_pit() -> None:
    """150 kg C, of which 60 rot: × 0.9 × 0.6 = 32.4 kg CH4, half caught, a tenth of the rest oxidised."""
    check(against(), {
        "landfill_degradable_c_kg": 150, "landfill_decayed_c_kg": 60, "landfill_methane_per_c": 0.6,
        "landfill_ch4_made_kg": 32.4, "landfill_ch4_out_kg": 14.58, "landfill_c_stays_kg": 90,
        "landfill_kg_co2e": 408.24, "landfill_out_by_study_end_share": 0.4, "landfill_study_kg_co2e": 1632.96,
        "pit_ch4_kg": 18, "pit_kg_co2e": 504,
    })  # fmt: skip


@pytest.mark.parametrize(
    ("choices", "facts"),
    [
        # 3 kg CH4; 36 kg N: 1.08 kg N2O, of 9 kg lost 0.135 kg more; 500 kg of chips at 0.055
        ({}, {"compost_basis_kg": 300, "compost_ch4_kg": 3, "compost_n2o_kg": 1.08, "compost_ammonia_n_kg": 9,
              "compost_indirect_n2o_kg": 0.135, "compost_chips_kg": 500, "compost_bones_kg_co2e": 412.05,
              "chips_co2e_per_kg": 0.055, "compost_kg_co2e": 439.55}),
        ({"compost_basis": "dry"}, {"compost_basis_kg": 600, "compost_ch4_kg": 6}),
        ({"compost_basis": "wet"}, {"compost_basis_kg": 1000}),
        ({"compost_n2o_by_n": False}, {"compost_n2o_kg": 9}),
        ({"compost_n_typed": False}, {"compost_ammonia_n_kg": 0, "compost_indirect_n2o_kg": 0}),
    ],
)  # fmt: skip
def test_composting(choices: dict[str, Any], facts: dict[str, float]) -> None:
    check(against(**choices), facts)


def test_rendering() -> None:
    """500 kg of protein and mineral are 85 % of the meal, which holds 10 % fat; the rest of 100 kg is tallow."""
    meal = 500 / 0.85
    credits = 400 * 0.6 + (100 - meal / 10) * 0.8
    check(against(), {
        "rendering_kg_co2e": 100, "rendering_meal_kg": meal, "rendering_tallow_kg": 100 - meal / 10,
        "soy_meal_replaced_kg": 400, "rendering_credits_kg_co2e": credits,
        "rendering_with_credits_kg_co2e": 100 - credits,
    })  # fmt: skip
    check(against({"fat_kg": 20.0}), {"rendering_tallow_kg": 0})


def test_against_a_landfill() -> None:
    """40 trips of 20 km: 160 L, 500 kg with upstream. 250 kg of bones go as today in both accounts."""
    check(against(), {
        "avoided_handling_kg_co2e": 408.24, "avoided_diesel_l": 160, "avoided_haul_kg_co2e": 500,
        "not_processed_kg_co2e": 102.06, "today_account_kg_co2e": 1010.3, "kiln_account_kg_co2e": 34.06,
        "avoided_kg_co2e": 908.24, "displaced_p2o5_kg": 7.5, "displaced_kg_co2e": 15,
        "compost_nitrogen_kg_co2e": 120, "credits_lost_kg_co2e": 0, "avoided_with_credits_kg_co2e": 923.24,
        "difference_kg_co2e": 976.24, "difference_with_credits_kg_co2e": 991.24, "own_way_kg_co2e": 200,
        "price_what_if_income": 2.04,
    })  # fmt: skip


@pytest.mark.parametrize(
    ("rows", "choices", "facts"),
    [
        ({}, {"today": "composting"}, {"avoided_handling_kg_co2e": 439.55, "credits_lost_kg_co2e": 120,
                                       "difference_with_credits_kg_co2e": 68 + 439.55 + 500 + 15 - 120}),
        ({}, {"today": "rendering"}, {"avoided_handling_kg_co2e": 100,
                                      "credits_lost_kg_co2e": 240 + 0.8 * (100 - 50 / 0.85)}),
        ({}, {"today": "other"}, {"avoided_handling_kg_co2e": 200, "credits_lost_kg_co2e": 0}),
        # a net source earns nothing; no price, no line
        ({"project_net_kg_co2e": -5.0}, {}, {"price_what_if_income": 0}),
        ({}, {"carbon_price": False}, {"price_what_if_income": None}),
    ],
)  # fmt: skip
def test_against_other_ways(rows: dict[str, float], choices: dict[str, Any], facts: dict[str, float]) -> None:
    check(against(rows, **choices), facts)


def test_what_would_cancel_a_removal() -> None:
    """168 kg over 1.5 kg a litre of propane, over the N2O that all 40 kg N could make, over 28 kg a kg of
    methane."""
    rows = YEAR | {"removal_outward_kg_co2e": 156.0, "propane_co2e_per_l": 1.5, "n_lost_kg": 40.0,
                   "char_kg": 200.0,
                   "volatiles_kg": 240.0}  # fmt: skip
    check(told(carbon.net, rows, 168.0, 100.0).lines, {
        "project_net_outward_kg_co2e": 56, "project_net_kg_co2e": 68, "removal_per_kg_bones": 0.168,
        "cancel_propane_l_per_t": 112, "cancel_propane_gal_per_t": 112 / 3.785411784,
        "cancel_n2o_share": 168 / (1.5 * 270 * 40), "cancel_ch4_g": 6000, "cancel_ch4_g_per_kg_char": 30,
        "cancel_ch4_g_per_kg_volatiles": 25,
    })  # fmt: skip


def test_over_the_study() -> None:
    """Nine of ten years' char is sold or used by the end: 1,512 of 1,680 kg."""
    rows = YEAR | {"char_used_study_share": 0.9, "difference_kg_co2e": 50.0, "p_kg": 50.0}
    check(told(carbon.over_study, rows, plan_with(years=10)).lines, {
        "removal_study_kg_co2e": 1512, "project_net_study_kg_co2e": 512, "difference_study_kg_co2e": 332,
        "p_used_study_kg": 337.5,
    })  # fmt: skip


@pytest.mark.parametrize(
    ("decay", "years", "share"),
    [(0.1, 10, math.exp(-1)), (0.2, 5, math.exp(-1)), (0.1, 20, (1 + math.exp(-2)) / 2)],
)
def test_methane_that_has_come_out(decay: float, years: float, share: float) -> None:
    """1 - (1 - exp(-kT)) / kT: at kT = 1 it is exp(-1), at 2 half of 1 + exp(-2)."""
    assert carbon.out_share(decay, years) == pytest.approx(share, rel=1e-12)


@pytest.mark.parametrize(("has_protocol", "flag"), [(True, 1.0), (False, NAN)])
def test_what_the_tables_give(has_protocol: bool, flag: float) -> None:
    rows = {"handling.lf_decay": 0.1, "money.study_years": 10.0}
    found = carbon.handling(rows, plan_with(carbon_protocol=has_protocol))
    check(found, {
        "landfill_out_share": math.exp(-1), "price_has_protocol": flag, "own_way_if_blank": NAN,
        "meal_fat": factors.factor("rend_meal_fat").value / 100, "ammonia_n2o_n": 0.010,
        "chips_ch4_per_kg": factors.factor("cmp_ch4").low / 1000,
        "chips_n2o_per_kg": factors.factor("cmp_n2o").low / 1000,
    })  # fmt: skip
    assert found["ch4_per_c"] == pytest.approx(16 / 12)


# -- how long it lasts

P90 = 1.2815515655446004
"""The 90 % quantile of the standard normal distribution."""


@pytest.mark.parametrize(
    ("peak_c", "soil_c", "middle", "sd"),
    [
        # rows 10 and 14.9 °C: 0.72 and 0.63; 0.79 and 0.71; 0.88 and 0.82; an edge takes the lower class
        (350, 10, NAN, None), (351, 10, 0.72, 0.181), (450, 10, 0.72, 0.181), (451, 10, 0.79, 0.191),
        (600, 14.9, 0.71, 0.219), (601, 14.9, 0.82, 0.092), (500, 12.45, 0.75, 0.205), (700, 5, 0.94, 0.028),
        (700, 25, 0.76, 0.122), (700, 4.9, NAN, None), (700, 25.1, NAN, None),
    ],
)  # fmt: skip
def test_share_by_class_and_soil(peak_c: float, soil_c: float, middle: float, sd: float | None) -> None:
    found, half = persistence.class_persistence(peak_c, soil_c)
    assert found == pytest.approx(middle, nan_ok=True)
    assert sd is None or half == pytest.approx(sd * P90, rel=1e-3)


@pytest.mark.parametrize(
    ("peak_c", "middle", "half"),
    [(350, NAN, NAN), (400, 0.65, 0.65 * 0.15), (600, 0.80, 0.80 * 0.11), (601, 0.89, 0.89 * 0.13)],
)
def test_share_of_the_inventory(peak_c: float, middle: float, half: float) -> None:
    found = persistence.inventory_persistence(peak_c)
    assert found == pytest.approx((middle, half), nan_ok=True)


@pytest.mark.parametrize(
    ("h_corg", "soil_c", "middle"),
    [
        # 1.10 - 0.59 × 0.4 = 0.864 at 10 °C, 1.04 - 0.64 × 0.4 = 0.784 at 14.9 °C
        (0.4, 10, 0.864), (0.4, 14.9, 0.784), (0.4, 12.45, 0.824), (0.0, 12.45, 1.0), (0.7, 25, 0.98 - 0.66 * 0.7),
        (0.71, 10, NAN), (0.4, 4.9, NAN),
    ],
)  # fmt: skip
def test_share_by_hydrogen(h_corg: float, soil_c: float, middle: float) -> None:
    found, half = persistence.hc_persistence(h_corg, soil_c)
    assert found == pytest.approx(middle, nan_ok=True)
    if soil_c == 12.45:
        assert half == pytest.approx((0.175 + 0.193) / 2 * P90, rel=1e-3)


SOIL: dict[str, Any] = {
    "carbon.soil_temperature": 12.45, "carbon.persistence_position": 0.5, "kiln.peak_temperature": 500.0,
    "carbon.h_corg": 0.4,
}  # fmt: skip


def test_shares_with_their_ends() -> None:
    """The middle class 0.75 ± 0.205 × 1.28, cut at 1; halfway up. H/C_org 0.824 ± 0.184 × 1.28, cut at 1."""
    sd = factors.factor("sd_to_p90").value
    found = persistence.persistence(SOIL, plan_with(soil_is_mineral=True))
    low, high = 0.75 - 0.205 * sd, 1.0
    check(found, {
        "hc_soil_weight": 0.5, "hc_c_below": 1.10, "hc_c_above": 1.04, "hc_m_below": 0.59, "hc_m_above": 0.64,
        "persist_by_class_frac": 0.75, "persist_by_class_low_frac": low, "persist_by_class_high_frac": high,
        "persist_by_class_used_frac": 0.875, "persist_by_inventory_frac": 0.8,
        "persist_by_inventory_used_frac": 0.844, "persist_by_hc_frac": 0.824, "persist_by_hc_high_frac": 1,
        "persist_by_hc_low_frac": 0.824 - 0.184 * sd, "hc_half_range": 0.184 * sd, "h_corg_if_blank": NAN,
        "hydrogen_per_mineral": persistence.hydrogen_ratio(1.0, 1.0),
    })  # fmt: skip
    down = persistence.persistence(SOIL | {"carbon.persistence_position": -0.5}, plan_with(soil_is_mineral=True))
    check(down, {"persist_by_class_used_frac": 0.75 - 0.5 * 0.205 * sd, "persist_by_inventory_used_frac": 0.756})


def test_nothing_is_said_of_soil_that_is_not_mineral_nor_of_hydrogen_not_measured() -> None:
    found = persistence.persistence(SOIL, plan_with(soil_is_mineral=False))
    check(found, {name: NAN for name in found if name.startswith("persist_by") or name == "hc_soil_weight"})
    blank = {key: value for key, value in SOIL.items() if key != "carbon.h_corg"}
    found = persistence.persistence(blank, plan_with(soil_is_mineral=True))
    check(found, {"persist_by_hc_frac": NAN, "persist_by_class_frac": 0.75})


@pytest.mark.parametrize(("soil_c", "weight"), [(5, 0), (10, 1), (14.9, 1), (25, 1), (22.5, 0.5), (25.1, NAN)])
def test_weight_between_two_soils(soil_c: float, weight: float) -> None:
    found = persistence.persistence(SOIL | {"carbon.soil_temperature": soil_c}, plan_with(soil_is_mineral=True))
    check(found, {"hc_soil_weight": weight})


def test_hydrogen_of_the_mineral_over_carbon() -> None:
    """Ca5(PO4)3OH weighs 502.3 g with one H: 1 kg holds 1.991 mol; over 1 kg of carbon, 83.26 mol."""
    assert persistence.hydrogen_ratio(1.0, 1.0) == pytest.approx(1000 / 502.31 / (1000 / 12.011), rel=1e-3)
    assert persistence.hydrogen_ratio(0.6, 0.1) == pytest.approx(6 * persistence.hydrogen_ratio(1.0, 1.0))


LAB: dict[str, Any] = {
    "mineral_kg": 306.0, "mineral_gas_kg": 6.0, "char_kg": 400.0, "organic_c_kg": 40.0,
    "hydrogen_per_mineral": 0.02,
    "carbon.h_corg": 0.5, "h_corg_if_blank": NAN, "hc_limit": 0.7, "hc_c_below": 1.1, "hc_m_below": 0.6,
    "hc_c_above": 1.0, "hc_m_above": 0.5, "hc_soil_weight": 0.25, "hc_half_range": 0.1,
    "carbon.persistence_position": 0.5, "persist_by_class_used_frac": 0.95,
}  # fmt: skip
LESS = {"lab_corrected_hc": False, "has_hc": True}


@pytest.mark.parametrize(
    ("rows", "choices", "facts"),
    [
        # 0.75 × 0.02 / 0.1 = 0.15 of 0.5 are the mineral's; 0.89 and 0.825, a quarter of the way: 0.87375
        ({}, {}, {"mineral_share_of_char": 0.75, "organic_share_of_char": 0.1, "hc_of_mineral": 0.15,
                  "hc_less_mineral": 0.35, "hc_less_mineral_within_limit": 1, "hc_share_below": 0.89,
                  "hc_share_above": 0.825, "hc_share_or_nil": 0.87375, "hc_corrected_share": 0.87375,
                  "hc_corrected_low_share": 0.77375, "hc_corrected_high_share": 0.97375,
                  "hc_corrected_used_share": 0.92375, "hc_low_share_or_nil": 0.77375,
                  "hc_high_share_or_nil": 0.97375, "hc_used_share_or_nil": 0.92375, "outward_share": 0.92375}),
        # the lower of class and hydrogen goes outward
        ({"persist_by_class_used_frac": 0.8}, {}, {"outward_share": 0.8}),
        # ends are cut to 0 and 1, and the place lies between them
        ({"hc_half_range": 0.95}, {}, {"hc_corrected_low_share": 0, "hc_corrected_high_share": 1,
                                       "hc_corrected_used_share": 0.936875, "hc_low_share_or_nil": 0,
                                       "hc_high_share_or_nil": 1, "hc_used_share_or_nil": 0.936875}),
        ({"carbon.persistence_position": -0.5}, {}, {"hc_corrected_used_share": 0.82375,
                                                     "outward_share": 0.82375}),
        # hydrogen below that of the mineral counts as none; a share is never above 1 nor below 0
        ({"carbon.h_corg": 0.1}, {}, {"hc_less_mineral": 0, "hc_share_below": 1, "hc_share_above": 1}),
        ({"hc_m_below": 4.0, "hc_m_above": 4.0}, {}, {"hc_share_below": 0, "hc_share_above": 0}),
        # a lab that takes the mineral off itself; 0.7 is within the limit, a shade more is not
        ({"carbon.h_corg": 0.7}, {"lab_corrected_hc": True},
         {"hc_of_mineral": 0, "hc_less_mineral": 0.7, "hc_less_mineral_within_limit": 1}),
        ({"carbon.h_corg": 0.701}, {"lab_corrected_hc": True},
         # and then nothing is quoted: a lab result that fails must not raise what one that passes lowers
         {"hc_less_mineral_within_limit": 0, "hc_share_or_nil": 0, "hc_corrected_share": NAN,
          "outward_share": NAN}),
        ({}, {"has_hc": False}, {"hc_less_mineral": NAN, "hc_low_share_or_nil": None, "outward_share": 0.95}),
    ],
)  # fmt: skip
def test_hydrogen_less_that_of_the_mineral(
    rows: dict[str, float], choices: dict[str, bool], facts: dict[str, float]
) -> None:
    check(told(persistence.corrected, LAB | rows, plan_with(**LESS | choices)).lines, facts)
