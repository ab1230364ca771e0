"""Heat of a firing: the worked case step by step, heating values against printed tables, and what must hold."""

from __future__ import annotations

from functools import cache

import pytest
from conftest import plant
from hypothesis import given, settings
from hypothesis import strategies as st

from econ.answer.appraisal import appraise
from econ.answer.base_case import base_case
from econ.answer.practice import fuel_verdict
from econ.answer.screen import screen
from econ.evidence import factors, substances
from econ.inputs.records import Scenario
from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.model.process import protein_gas_mj, steam_mj, wood_mj
from econ.questions.latin import LEAST, Sampling
from econ.units import unit

BTU_MJ = 1055.05585262e-6
GAL_L = 3.785411784
LB_KG = 0.45359237
FT3_M3 = 0.028316846592


def tonne(**more: str) -> Scenario:
    """1,000 kg of mixed fresh beef bone to 482 °C with 1 t of steel: water 350, fat 150, protein 200, ash 300."""
    return plant(
        bones__1__mass="1000 kg per week", bones__1__excluded_share="0 %", kiln__batch_load="1000 kg",
        bones__1__water_share="35 %", bones__1__fat_share="15 %", bones__1__protein_share="20 %",
        bones__1__ash_share="30 %", kiln__peak_temperature="482 degC", kiln__steel_mass="1000 kg",
        kiln__efficiency="25 %", kiln__fat_drip_share="0 %", **more,
    )  # fmt: skip


def figures(scenario: Scenario, **moved: object) -> dict[str, float]:
    numbers = scenario.numbers() | {key.replace("__", "."): value for key, value in moved.items()}
    return evaluate(numbers, Plan.of(scenario)).lines


@cache
def case() -> dict[str, float]:
    return figures(tonne())


HOUSE_ARITHMETIC = [
    # figure, MJ, tolerance; the house took 2.0 kJ/(kg K) for steam, the model the IF97 table
    ("firing_water_kg", 350, 1e-9),
    ("firing_solids_kg", 650, 1e-9),
    ("start_up_heat_mj", 1434, 0.005),  # steel at 0.55 kJ/(kg K), EN 1993-1-2
    ("after_heat_mj", 379, 0.02),
    ("gas_of_fat_mj", 5550, 1e-9),
    ("start_up_fuel_mj", 5736, 0.005),
]


@pytest.mark.parametrize(("name", "value", "tolerance"), HOUSE_ARITHMETIC)
def test_worked_case_house_arithmetic(name: str, value: float, tolerance: float) -> None:
    assert case()[name] == pytest.approx(value, rel=tolerance)


def test_worked_case_demand_part_by_part_house_arithmetic() -> None:
    parts = {
        part: case()[f"drying_of_{part}_mj"] + case()[f"after_of_{part}_mj"]
        for part in ("water", "solids", "steel")
    }
    assert 350 * float(steam_mj(100)) == pytest.approx(907, abs=0.5)
    assert parts["water"] - 350 * float(steam_mj(100)) == pytest.approx(267, rel=0.02)
    assert parts["solids"] == pytest.approx(650 * 1.3e-3 * 462)
    assert parts["steel"] == pytest.approx(1000 * 0.55e-3 * 462)
    assert sum(parts.values()) == pytest.approx(1823, rel=0.003)


def test_worked_case_gas_house_arithmetic() -> None:
    stated = protein_gas_mj(200.0, 72.0)  # the worked case states a residue of 0.36, the table gives 0.368
    assert stated == pytest.approx(2328, abs=0.5)
    assert case()["gas_of_fat_mj"] + stated == pytest.approx(7880, abs=3)
    assert case()["gas_of_protein_mj"] == pytest.approx(200 * 21 - 200 * 0.368 * 26)


def test_worked_case_start_up_in_fuels_house_arithmetic() -> None:
    need = case()["start_up_fuel_mj"]
    assert need / substances.fuel("propane").lhv_mj_per_unit == pytest.approx(245, rel=0.01)
    assert need / 14.2 == pytest.approx(404, rel=0.01)
    assert need / substances.fuel("diesel").lhv_mj_per_unit == pytest.approx(
        159, rel=0.01
    )  # 148 L on the higher value


def test_drier_bones_save_about_two_fifths_of_the_start_up_house_arithmetic() -> None:
    # drained from 35 to 20 % water: 650 kg of dry matter then carry 162.5 kg of water
    left = 162.5 * float(steam_mj(300)) + case()["drying_of_solids_mj"] + case()["drying_of_steel_mj"]
    assert 1 - left / case()["start_up_heat_mj"] == pytest.approx(0.4, abs=0.02)


def test_bone_without_fat_is_the_weak_case_house_arithmetic() -> None:
    lean = figures(tonne(), kiln__fat_drip_share=1.0)
    assert lean["gas_mj"] == pytest.approx(2300, rel=0.02)
    assert (
        lean["gas_less_demand_mj"]
        > 0
        > figures(tonne(), kiln__fat_drip_share=1.0, kiln__efficiency=0.1)["gas_less_demand_mj"]
    )


PRINTED_HEATS = [
    # kind, Btu of the table, per unit, basis; US EPA emission factors hub, Table 1 (higher)
    ("propane", 91_000, GAL_L, "hhv", 1e-4),
    ("diesel", 138_000, GAL_L, "hhv", 1e-4),
    ("natural-gas", 1_026, FT3_M3, "hhv", 1e-4),
    # Bartok, University of Connecticut extension, 2013 (higher): another basis
    ("propane", 92_500, GAL_L, "hhv", 0.02),
    ("diesel", 138_500, GAL_L, "hhv", 0.005),
    ("natural-gas", 1_030, FT3_M3, "hhv", 0.005),
    ("pellets", 16.0e6, 2000 * LB_KG, "hhv", 0.002),
    # Hydrogen Analysis Resource Center, lower and higher heating values (US conventional diesel, LPG)
    ("diesel", 137_380, GAL_L, "hhv", 0.01),
    ("diesel", 128_450, GAL_L, "lhv", 0.02),
    ("propane", 91_410, GAL_L, "hhv", 0.02),
    ("propane", 84_950, GAL_L, "lhv", 0.02),
    # about 7,000 Btu a pound at 20 % moisture, Iowa State University extension
    ("cordwood", 7_000, LB_KG, "hhv", 0.05),
    ("electricity", 1 / (BTU_MJ / 3.6), 1, "lhv", 1e-9),  # 3.6 MJ/kWh, exact
]


@pytest.mark.parametrize(("kind", "btu", "units", "basis", "tolerance"), PRINTED_HEATS)
def test_heat_of_fuels_against_printed_tables(
    kind: str, btu: float, units: float, basis: str, tolerance: float
) -> None:
    fuel = substances.fuel(kind)
    ours = fuel.hhv_mj_per_unit if basis == "hhv" else fuel.lhv_mj_per_unit
    assert ours == pytest.approx(btu * BTU_MJ / units, rel=tolerance)


@pytest.mark.parametrize(
    ("kind", "lower", "higher"),
    [("diesel", 128_450, 137_380), ("natural-gas", 983, 1_089)],  # the same table, Btu/gal and Btu/ft3
)
def test_lower_to_higher_heat_against_a_printed_table(kind: str, lower: float, higher: float) -> None:
    fuel = substances.fuel(kind)
    assert fuel.lhv_mj_per_unit / fuel.hhv_mj_per_unit == pytest.approx(lower / higher, abs=0.001)


@pytest.mark.parametrize(
    ("btu_lb", "mj_kg"),
    [(18_397, 42.781), (19_676, 45.755), (20_267, 47.130), (22_453, 52.212), (20_038, 46.596)],
)
def test_btu_a_pound_to_mj_a_kg_against_a_printed_table(btu_lb: float, mj_kg: float) -> None:
    # both columns are printed in the same table: diesel lower and higher, gas lower and higher, LPG lower
    assert btu_lb * unit("MMBtu").factor * 1e-6 / unit("lb").factor == pytest.approx(mj_kg, rel=5e-4)


@pytest.mark.parametrize(
    ("moisture", "heat"), [(0, 18.4), (0.1, 16.3), (0.2, 14.2), (0.3, 12.1), (0.4, 10.1), (0.5, 8.0)]
)
def test_firewood_by_moisture_house_formula(moisture: float, heat: float) -> None:
    assert wood_mj(moisture) == pytest.approx(heat, abs=0.06)


def test_a_blank_mass_of_steel_is_a_row_of_its_own_per_weight_of_the_load() -> None:
    assert not plant().has("kiln.steel_per_load")  # the mass is typed, so nothing stands in for it
    by_load = plant(kiln__steel_mass="", kiln__batch_load="900 kg")
    assert by_load["kiln.steel_per_load"].number == factors.factor("steel_per_load").value
    assert figures(by_load)["firing_steel_kg"] == pytest.approx(900)
    heavy = plant(kiln__steel_mass="", kiln__batch_load="900 kg", kiln__steel_per_load="2 lb per lb")
    assert figures(heavy)["firing_steel_kg"] == pytest.approx(1800)


def test_trade_measures_of_fuel_equal_their_factors() -> None:
    assert unit("cord").factor == factors.factor("cord_mass").value
    assert unit("therm gas").factor == pytest.approx(
        unit("therm").factor / substances.fuel("natural_gas").hhv_mj_per_unit * 1000
    )
    # 100,000 Btu over 1,026 Btu/ft3 (EPA hub, Table 1): 97.5 ft3
    assert unit("therm gas").factor / unit("ft3").factor == pytest.approx(97.47, rel=0.002)


def test_a_therm_and_a_cord_are_what_they_are_elsewhere() -> None:
    by_therm = plant(
        fuel__1__kind="natural-gas", fuel__1__per_batch="20 therm", fuel__1__price="1.1 USD per therm"
    )
    by_foot = plant(
        fuel__1__kind="natural-gas",
        fuel__1__per_batch=f"{20 * 97.466} ft3",
        fuel__1__price=f"{1.1 / 97.466} USD per ft3",
    )
    assert figures(by_therm)["fuel_cost_today"] == pytest.approx(figures(by_foot)["fuel_cost_today"], rel=1e-3)
    assert figures(by_therm)["fuel_kg_co2e"] == pytest.approx(figures(by_foot)["fuel_kg_co2e"], rel=1e-3)
    by_cord = plant(fuel__1__kind="cordwood", fuel__1__per_batch="0.1 cord", fuel__1__price="250 USD per cord")
    by_kg = plant(fuel__1__kind="cordwood", fuel__1__per_batch="127 kg", fuel__1__price=f"{250 / 1270} USD per kg")
    assert figures(by_cord)["fuel_cost_today"] == pytest.approx(figures(by_kg)["fuel_cost_today"])


part = st.floats(0.05, 0.9)


@given(
    water=part, more=st.floats(0.0, 0.5), fat=st.floats(0.0, 0.4), protein=part, ash=part, measured=st.booleans()
)
@settings(max_examples=60)
def test_more_moisture_never_needs_less_start_up_fuel(
    water: float, more: float, fat: float, protein: float, ash: float, measured: bool
) -> None:
    base = plant(kiln__char_yield="25 %") if measured else plant()
    shares = {"bones__1__fat_share": fat, "bones__1__protein_share": protein, "bones__1__ash_share": ash}
    drier = figures(base, bones__1__water_share=water, **shares)["start_up_fuel_mj"]
    wetter = figures(base, bones__1__water_share=water + more, **shares)["start_up_fuel_mj"]
    assert wetter >= drier * (1 - 1e-12)


@given(low=st.floats(0.1, 0.45), more=st.floats(0.001, 0.1), fat=st.floats(0.02, 0.4), peak=st.floats(300, 900))
@settings(max_examples=60)
def test_gas_falls_as_the_weighed_yield_rises(low: float, more: float, fat: float, peak: float) -> None:
    base = plant(kiln__char_yield="30 %")
    sets = {"bones__1__fat_share": fat, "kiln__peak_temperature": peak}
    light, heavy = (figures(base, kiln__char_yield=y, **sets)["gas_mj"] for y in (low, low + more))
    assert heavy < light


@given(low=st.floats(0.32, 0.40), more=st.floats(0.001, 0.05), fat=st.floats(0.0, 0.3))
@settings(max_examples=30)
def test_gas_falls_as_the_weighed_yield_of_an_assayed_load_rises(low: float, more: float, fat: float) -> None:
    base = plant(
        kiln__char_yield="36 %", bones__assay_of_weighed_load="yes", bones__1__water_share="35 %",
        bones__1__fat_share="15 %", bones__1__protein_share="20 %", bones__1__ash_share="30 %",
    )  # fmt: skip
    light, heavy = (
        figures(base, kiln__char_yield=y, bones__1__fat_share=fat)["gas_mj"] for y in (low, low + more)
    )
    assert heavy < light


def test_more_residue_by_the_ratio_leaves_less_gas() -> None:
    assert figures(plant(), kiln__residue_ratio=1.2)["gas_mj"] < figures(plant())["gas_mj"]


@given(peak=st.floats(150, 1000), load=st.floats(50, 5000), efficiency=st.floats(0.05, 0.9))
@settings(max_examples=40)
def test_the_stages_add_up_and_nothing_is_negative(peak: float, load: float, efficiency: float) -> None:
    found = figures(plant(), kiln__peak_temperature=peak, kiln__batch_load=load, kiln__efficiency=efficiency)
    assert found["start_up_fuel_mj"] - found["start_up_loss_mj"] == pytest.approx(found["start_up_heat_mj"])
    assert found["model_fuel_mj"] >= found["start_up_fuel_mj"] > 0
    assert found["after_heat_mj"] >= 0
    assert found["gas_less_demand_mj"] == pytest.approx(found["gas_mj"] - found["after_demand_mj"])


def modelled(**more: str) -> Scenario:
    return plant(fuel__1__per_batch="", fuel__basis="modelled", **more)


def test_the_modelled_fuel_is_used_and_said_to_be_modelled() -> None:
    results = appraise(modelled())
    per_firing = results.figures["model_fuel_mj"] / substances.fuel("propane").lhv_mj_per_unit
    assert results.figures["fuel_1_per_firing"] == pytest.approx(per_firing)
    assert results.figures["fuel_1_used"] == pytest.approx(per_firing * results.figures["firings_per_year"])
    assert results.to_json()["details"]["kiln"]["fuel_basis"] == "modelled"
    assert "fuel-modelled" in {caution.id for caution in results.cautions}
    assert any(effect.entry.row.key == "kiln.efficiency" for effect in results.effects)


def test_a_typed_fuel_overrides_the_model() -> None:
    asked, typed = figures(plant(fuel__basis="modelled")), figures(plant())
    assert asked.keys() == typed.keys()
    for name in ("typed_fuel_mj", "fuel_1_used", "fuel_cost_today", "npv", "process_kg_co2e"):
        assert asked[name] == typed[name]


def test_wet_firewood_takes_more_kilograms_of_the_modelled_fuel() -> None:
    wood = {"fuel__1__kind": "cordwood", "fuel__1__price": "0.2 USD per kg"}
    kg = [figures(modelled(fuel__1__moisture=f"{w} %", **wood))["fuel_1_per_firing"] for w in (10, 20, 50)]
    assert kg == sorted(kg)
    assert kg[2] / kg[0] == pytest.approx(16.315 / 7.975, rel=1e-3)


def test_electricity_has_an_efficiency_and_a_grid_of_its_own() -> None:
    """No stack: 60 % (40 to 85, assumed). 30 kWh are 108 MJ, less than any load takes up; euros are not the US."""
    sets = {"fuel__1__kind": "electricity", "fuel__1__per_batch": "30 kWh", "fuel__1__price": "0.28 EUR/kWh"}
    results = base_case(plant("low-sedge", **sets))
    assert results.figures["efficiency_used"] == pytest.approx(0.6)
    said = {caution.id: caution.text for caution in results.cautions()}
    assert "that cannot be" in said["fuel-low"]
    assert "US mean grid, 0.35 kg CO2e/kWh" in said["grid-of-the-us"]


@pytest.mark.parametrize(("gallons", "verdict"), [(22, "plausible"), (5, "low"), (0, "low"), (120, "high")])
def test_the_model_calls_a_typed_fuel_plausible_or_not(gallons: float, verdict: str) -> None:
    results = base_case(plant(fuel__1__per_batch=f"{gallons} gal"))
    assert fuel_verdict(results.plan, results.figures) == verdict
    said = {caution.id: caution.text for caution in results.cautions()}
    assert (f"fuel-{verdict}" in said) == (verdict != "plausible")
    if not gallons:  # what the load takes up until it is dry, 672.9 MJ (worked below)
        assert "takes up in the heat model (0.64 million Btu)" in said["fuel-low"]


def test_a_month_of_frozen_loads_burns_more() -> None:
    even, cold = figures(plant()), figures(plant(weather__jan_factor="1.5"))
    assert cold["firings_per_year"] == even["firings_per_year"]
    assert cold["fuel_1_used"] / even["fuel_1_used"] == pytest.approx(
        1 + 0.5 * cold["month_1_firings"] / cold["firings_per_year"]
    )
    assert cold["hours_per_year"] == even["hours_per_year"]


@pytest.mark.parametrize("load", ["1000 lb", "3000 lb"])
def test_a_part_load_burns_as_much_as_a_full_one(load: str) -> None:
    full = figures(plant(kiln__batch_load=load))
    fewer = figures(plant(kiln__batch_load=load, bones__1__mass="200 lb per week"))
    assert fewer["load_per_firing_kg"] < full["load_per_firing_kg"]
    assert fewer["fuel_1_used"] / fewer["firings_per_year"] == pytest.approx(
        full["fuel_1_used"] / full["firings_per_year"]
    )
    assert fewer["start_up_fuel_mj"] == pytest.approx(full["start_up_fuel_mj"])


# The example plant in US units, on paper: 1,000 lb of bones, 35 % water, 15 % fat, 20 % protein, in 1,300 lb of
# steel, from 20 to 300 and on to 500 °C (932 °F). Steam 2,990.5 and 3,404.7 kJ/kg (IF97), dry bone 1.3 and steel
# 0.55 kJ/(kg K), a quarter of the heat reaches the load; fat 37, protein 21 and its residue 26 MJ/kg, 0.35 kg of
# residue per kg of protein. 22 gal of propane at 91,000 Btu/gal (EPA hub, higher), of which 0.921 is the lower.
LOAD, STEEL, PROPANE = 1000 * LB_KG, 1300 * LB_KG, 22 * 91_000 * BTU_MJ * 0.921
WATER, FAT, PROTEIN = 0.35 * LOAD, 0.15 * LOAD, 0.2 * LOAD
DRYING = WATER * 2.9905 + (LOAD - WATER) * 1.3e-3 * 280 + STEEL * 0.55e-3 * 280
AFTER = WATER * (3.4047 - 2.9905) + (LOAD - WATER) * 1.3e-3 * 200 + STEEL * 0.55e-3 * 200
BATCHES = 84  # 1,900 lb a week less 15 %, 83,980 lb a year
THISTLE_FLAT = [
    ("start_up_heat_mj", DRYING, 672.9),
    ("after_heat_mj", AFTER, 207.3),
    ("start_up_fuel_mj", DRYING / 0.25, 2692),
    ("after_demand_mj", AFTER / 0.25, 829),
    ("gas_mj", FAT * 37 + PROTEIN * (21 - 0.35 * 26), 3597),
    ("typed_fuel_mj", PROPANE, 1945),
    ("typed_efficiency", DRYING / PROPANE, 0.346),
    ("fuel_1_used", BATCHES * 22 * GAL_L, 6995),
    ("fuel_cost_today", BATCHES * 22 * 2.45, 4527.6),
    ("vapour_kg", 0.35 * 83_980 * LB_KG, 13_332),
]


@pytest.mark.parametrize(("name", "worked", "about"), THISTLE_FLAT, ids=[row[0] for row in THISTLE_FLAT])
def test_the_energy_balance_of_the_example_plant_by_hand(name: str, worked: float, about: float) -> None:
    assert worked == pytest.approx(about, rel=2e-3)
    assert base_case(plant()).figures[name] == pytest.approx(worked, rel=1e-4)


def test_what_heat_the_bones_bring_is_in_the_gas_or_in_the_char() -> None:
    """Fat and protein of the load, 4,422 MJ, are the gas and the residue that stays: none comes of nothing."""
    brought, found = FAT * 37 + PROTEIN * 21, base_case(plant()).figures
    assert found["gas_mj"] + PROTEIN * 0.35 * 26 == pytest.approx(brought, rel=1e-9)
    assert brought == pytest.approx(4422, abs=1)


def test_a_modelled_fuel_is_shown_as_it_is_priced() -> None:
    """2,692 MJ at 60 % for 25 %: 1,121 MJ of electricity are 311.5 kWh; propane is priced by the gallon."""
    assert "311.5 kWh" in screen_of(fuel__1__kind="electricity", fuel__1__price="0.2 USD per kWh")
    assert f"{2692 / (91_000 * BTU_MJ * 0.921):.1f} gal" in screen_of(fuel__1__price="2.45 USD per gal")


def screen_of(**more: str) -> str:
    return screen(appraise(modelled(**more), Sampling(LEAST)))
