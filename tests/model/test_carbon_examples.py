"""Carbon worked examples, exact arithmetic on stated factors: house arithmetic, not published results.

Factors: C to CO2 44/12 (inventory convention); shares lasting 100 years by temperature class 0.65 / 0.80 /
0.89 (IPCC 2019, appendix 4) and by H/C_org and soil temperature (Woolf 2021); warming potentials AR6: 27.0 and
273; composting and landfill of IPCC 2006, volume 5; propane 5.743 kg CO2e/gal and dry wood 0.0227 kg CO2e/kg
(EPA hub 2024). Combustion only, by the class of the inventory: the method in use is worked in test_carbon_methods.
"""

from __future__ import annotations

import pytest
from conftest import plant

from econ.answer.base_case import BaseCase, base_case

CASE_A = {
    "bones__1__mass": "1000 kg per week", "bones__1__excluded_share": "0 %", "kiln__batch_load": "1000 kg",
    "kiln__batches_per_week": "1 a week", "kiln__weeks_per_year": "52 weeks", "kiln__char_yield": "36.75 %",
    "kiln__peak_temperature": "482 degC", "bones__storage_days": "7 days",
    "carbon__organic_share": f"{41.76 / 367.5!r} fraction", "carbon__in_scope_share": "100 %",
    "carbon__stack_n2o_share": "0 %",
}  # fmt: skip
"""A tonne of fresh bone a firing: 367.5 kg char with 41.76 kg organic carbon (house case A)."""


def run(**sets: str) -> BaseCase:
    return base_case(
        plant(**({"carbon__persistence_method": "inventory", "carbon__upstream_share": "0 %"} | sets))
    )


def per_t_char(**sets: str) -> float:
    """Removal per tonne of dry char in scope [kg CO2]."""
    found = run(**({"carbon__in_scope_share": "100 %"} | sets)).figures
    return 1000 * found["removal_kg_co2e"] / found["char_in_scope_kg"]


def per_t_bones(results: BaseCase, name: str) -> float:
    return 1000 * results.figures[name] / results.figures["bones_fired_kg"]


@pytest.mark.parametrize(
    ("peak", "kg_co2"),
    [
        # example 1: 1,000 kg × 0.10 × share × 44/12
        ("482 degC", 293.333),
        ("900 degF", 293.333),
        ("400 degC", 238.333),
        ("650 degC", 326.333),
        # edges take the lower class (assumed, conservative)
        ("450 degC", 238.333),
        ("600 degC", 293.333),
    ],
)
def test_example_1_temperature_class(peak, kg_co2):
    found = per_t_char(kiln__peak_temperature=peak, carbon__organic_share="10 %")
    assert found == pytest.approx(kg_co2, abs=5e-4)


@pytest.mark.parametrize(
    ("ratio", "soil", "kg_co2"),
    [
        ("0.40", "14.9 degC", 287.467),
        ("0.40", "25 degC", 262.533),
        ("0.20", "5 degC", 366.667),  # 1.038 is capped to 1
        ("0.40", "58.82 degF", 287.467),
        (
            "0.40",
            "12.45 degC",
            1000 * 0.1 * (0.864 + 0.784) / 2 * 44 / 12,
        ),  # halfway between the rows of 10 and 14.9
    ],
)
def test_example_2_hydrogen_ratio(ratio, soil, kg_co2):
    found = per_t_char(
        carbon__persistence_method="H/C_org", carbon__organic_share="10 %",
        carbon__h_corg=f"{ratio} mol/mol", carbon__soil_temperature=soil, carbon__use_corrected="no",
    )  # fmt: skip
    assert found == pytest.approx(kg_co2, abs=5e-4)


def test_example_3_carbonate_is_taken_off_total_carbon():
    sets = {"carbon__total_share": "11.5 %", "carbon__caco3_share": "8.30 %", "kiln__peak_temperature": "482 degC"}
    results = run(carbon__organic_share="", carbon__in_scope_share="100 %", **sets)
    assert results.scenario["carbon.organic_share"].number == pytest.approx(0.10504, rel=1e-12)
    found = 1000 * results.figures["removal_kg_co2e"] / results.figures["char_in_scope_kg"]
    assert found == pytest.approx(308.117, abs=5e-4)
    wrong = per_t_char(carbon__organic_share="11.5 %", kiln__peak_temperature="482 degC")
    assert wrong / found - 1 == pytest.approx(0.09482, abs=5e-6)


def test_example_4_a_clean_firing():
    results = run(
        **CASE_A, fuel__1__kind="cordwood", fuel__1__per_batch="100 kg", fuel__1__price="0.1 USD per kg",
        carbon__test_ch4="0.28226 kg",
    )  # fmt: skip
    assert per_t_bones(results, "removal_kg_co2e") == pytest.approx(122.496, abs=5e-4)
    assert per_t_bones(results, "fuel_kg_co2e") == pytest.approx(2.268 * 0.8, abs=1e-3)  # 20 % water
    assert per_t_bones(results, "stack_ch4_kg_co2e") == pytest.approx(7.621, abs=1e-3)
    assert per_t_bones(results, "project_net_kg_co2e") == pytest.approx(112.606 + 2.268 * 0.2, abs=2e-3)


def test_example_4_a_smoky_firing_with_propane_is_a_net_source():
    results = run(**CASE_A, fuel__1__per_batch="15 gal", carbon__test_ch4="2.3523 kg")
    assert per_t_bones(results, "fuel_kg_co2e") == pytest.approx(15 * 5.74345, abs=2e-3)
    assert per_t_bones(results, "process_kg_co2e") == pytest.approx(149.664, abs=5e-3)
    assert per_t_bones(results, "project_net_kg_co2e") == pytest.approx(-27.168, abs=5e-3)


def test_the_corrected_case_58_gallons_and_a_clean_stack():
    """House balance: a tonne of wet bone needs about 58 gal, which alone turns case A to -218 kg CO2e."""
    results = run(**CASE_A, fuel__1__per_batch="58 gal", carbon__test_ch4="0.28226 kg")
    assert per_t_bones(results, "project_net_kg_co2e") == pytest.approx(-218, abs=0.5)


@pytest.mark.parametrize(("peak", "t_c", "t_co2"), [("900 degF", 0.960, 3.520), ("900 degC", 1.068, 3.916)])
def test_example_5_one_letter_is_eleven_percent(peak, t_c, t_co2):
    found = 10 * per_t_char(kiln__peak_temperature=peak, carbon__organic_share="12 %") / 1000
    assert found == pytest.approx(t_co2, abs=5e-4)
    assert found * 12 / 44 == pytest.approx(t_c, abs=5e-4)


def test_example_6_what_cancels_the_removal():
    results = run(**CASE_A)
    found = results.figures
    assert per_t_bones(results, "cancel_ch4_g") / 1000 == pytest.approx(4.537, abs=5e-4)
    assert found["cancel_ch4_g_per_kg_char"] == pytest.approx(12.345, abs=5e-4)
    # 278 kg of volatiles at a residue of 0.36; the table interpolates to 0.368 at 482 °C
    assert found["cancel_ch4_g_per_kg_volatiles"] == pytest.approx(16.3, rel=0.02)
    assert found["cancel_propane_gal_per_t"] == pytest.approx(122.496 / 5.74345, rel=1e-4)
    # 36 kg N a tonne, 7.9 kg of it in 73.6 kg residue of 10.7 % N: 122.496 / (28.1 × 44/28 × 273)
    assert found["cancel_n2o_share"] == pytest.approx(0.01015, rel=0.01)


def test_what_cancels_the_removal_does_cancel_it():
    """Each line put back as the only emission brings project net to nil."""
    base = run(**CASE_A).figures
    share = base["cancel_n2o_share"]
    n2o = run(**(CASE_A | {"carbon__stack_n2o_share": f"{share!r} fraction"}), fuel__1__per_batch="0 gal",
              carbon__stack_ch4="0 g per kg").figures  # fmt: skip
    gal = run(
        **CASE_A, fuel__1__per_batch=f"{base['cancel_propane_gal_per_t']!r} gal", carbon__stack_ch4="0 g per kg"
    )
    ch4 = run(**CASE_A, fuel__1__per_batch="0 gal",
              carbon__stack_ch4=f"{base['cancel_ch4_g_per_kg_volatiles']!r} g per kg").figures  # fmt: skip
    for found in (n2o, gal.figures, ch4):
        assert found["project_net_kg_co2e"] == pytest.approx(0, abs=1e-6 * base["removal_kg_co2e"])


@pytest.mark.parametrize(
    ("sets", "name", "t_co2e"),
    [
        # example 7: 20 t wet bones a year; wet centres 4 × 27 + 0.24 × 273 = 173.52 kg a tonne
        ({"handling__compost_basis": "wet", "handling__compost_n2o": "0.24 g per kg"}, "compost_kg_co2e", 3.4704),
        # 1000 × 0.15 × 0.5 × 1 × 0.5 × 16/12 = 50 kg CH4 a tonne, × 0.9 × 27
        ({"handling__lf_capture": "0 %"}, "landfill_kg_co2e", 24.300),
        ({"handling__lf_capture": "75 %"}, "landfill_kg_co2e", 6.075),
        ({"handling__lf_capture": "75 %", "carbon__gwp_set": "AR5"}, "landfill_kg_co2e", 6.300),
        ({"handling__lf_capture": "0 %", "handling__lf_ox": "0 %"}, "landfill_kg_co2e", 27.000),
        # dry basis at 65 % dry matter: 0.65 × (10 × 27 + 0.6 × 273) = 282 kg a tonne
        (
            {"handling__compost_basis": "dry", "handling__compost_n2o": "0.6 g per kg"},
            "compost_kg_co2e",
            20 * 0.65 * 433.8 / 1000,
        ),
        # degradable: fat 15 % and protein 20 %
        (
            {"handling__compost_basis": "degradable", "handling__compost_n2o": "0.6 g per kg"},
            "compost_kg_co2e",
            20 * 0.35 * 433.8 / 1000,
        ),
        # category 3: 377 kWh gas × 0.18123 + 104 kWh × 0.348 = 105 kg a tonne
        ({}, "rendering_kg_co2e", 2.100),
        # shallow pit: 50 × 0.4 × 27
        ({}, "pit_kg_co2e", 10.800),
    ],
)
def test_example_7_the_same_bones_by_other_ways(sets, name, t_co2e):
    twenty = {
        "bones__1__mass": f"{20000 / 52!r} kg per week", "bones__1__excluded_share": "0 %",
        "kiln__batches_per_week": "7 a week", "bones__1__water_share": "35 %", "bones__1__fat_share": "15 %",
        "bones__1__protein_share": "20 %", "bones__1__ash_share": "30 %", "handling__lf_doc": "0.15 fraction",
    }  # fmt: skip
    assert run(**twenty, **sets).figures[name] / 1000 == pytest.approx(t_co2e, rel=1e-9)


def test_rendering_of_case_a():
    """House balance: meal of 5 % water and 10 % fat, 588 kg and 91 kg tallow a tonne.

    Credit by protein: 200 kg over 47 % stand in for 425.5 kg of soybean meal. 200 - 425.5 × 0.76 - 91.2 × 3.81.
    """
    results = run(**(CASE_A | {"kiln__char_yield": ""}), handling__rendering="200 kg per tonne")
    assert per_t_bones(results, "rendering_meal_kg") == pytest.approx(588, abs=0.5)
    assert per_t_bones(results, "rendering_tallow_kg") == pytest.approx(91, abs=0.5)
    assert per_t_bones(results, "rendering_with_credits_kg_co2e") == pytest.approx(200 - 323.4 - 347.4, abs=1)
