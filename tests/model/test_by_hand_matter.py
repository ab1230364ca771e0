"""Bones, kiln and char, stage by stage, each line worked on paper: definitions and mass balance, house numbers."""

from __future__ import annotations

from typing import Any

import pytest
from stage import check, plan_with, told

from econ.inputs.rows import MONTHS
from econ.model import capacity, matter
from econ.model.coefficients import Retention, carried, retention_at, stream

BONES: dict[str, Any] = {
    "bones.1.mass": 1000.0, "bones.1.excluded_share": 0.1,
    # counted: 50 heads with 10 kg; older 40 % × risk material 25 % = 10 %, of the rest 5 % condemned: 14.5 %
    "bones.2.heads": 50.0, "bones.2.bone_per_head": 10.0, "bones.2.excluded_share": 0.9,
    "bones.2.older_share": 0.4, "excluded.risk_part": 0.25, "bones.2.condemned_share": 0.05,
    "kiln.bones_share": 0.8, "kiln.batch_load": 20.0, "kiln.volume": 0.1, "bones.bulk_density": 150.0,
    "kiln.core_share": 0.9, "kiln.batches_per_week": 2.0, "kiln.weeks_per_year": 50.0, "kiln.number": 3.0,
    "kiln.downtime_share": 0.052, "bones.storage_days": 7.0, "kiln.price": 1000.0, "kiln.larger_load": 4.0,
    "larger_price_ratio": 1.5,
}  # fmt: skip
EVEN = {"streams": (1, 2), "shifts": False, "seasonal": False, "weather": False, "by_month": False, "larger": True}
MONTHLY = {"streams": (1,), "seasonal": True, "by_month": True, "larger": False}
TWO_KINDS = {"by_head": (2,), "by_age": (2,)}


def test_bones_of_an_even_year() -> None:
    """1,500 kg less 100 and 72.5 kg: 1,327.5 kg, of which 80 % go to the kiln. A room of 0.1 m3 × 150 kg/m3 =
    15 kg,
    13.5 kg of them new; 2 × 50 × 3 less 5.2 % = 284.4 batches. 1,062 kg: 59 batches by 18 kg, 78.7 by 13.5 kg."""
    found = told(capacity.bones, BONES, plan_with(TWO_KINDS, **EVEN)).lines
    check(found, {
        "bones_2_counted_kg": 500, "bones_2_kept_out": 0.145, "bones_received_kg": 1500,
        "bones_excluded_kg": 172.5, "bones_eligible_kg": 1327.5, "load_by_volume_kg": 15, "load_full_kg": 15,
        "load_fresh_kg": 13.5, "firings_allowed": 284, "kiln_capacity_kg": 284 * 13.5, "bones_fired_kg": 1062,
        "firings_by_mass": 59, "firings_by_volume": 79, "firings_by_keeping": 50, "firings_per_year": 79,
        "bones_fired_share": 0.8, "bones_passed_on_kg": 265.5, "load_per_firing_kg": 1062 / 79,
        "days_between_firings": 350 / 79, "larger_price": 1500, "larger_capacity_kg": 284 * 3.6,
        "larger_passed_on_kg": 1327.5 - 284 * 3.6, "bones_1_fired_kg": 720, "bones_2_fired_kg": 342,
    })  # fmt: skip


@pytest.mark.parametrize(
    ("more", "facts"),
    [
        # nothing for the kiln: no batch, whatever the days that bones keep
        ({"kiln.bones_share": 0.0}, {"firings_per_year": 0, "load_per_firing_kg": 0, "days_between_firings": 350}),
        # with any bones at all, the batches that keeping asks for
        ({"kiln.bones_share": 1e-4}, {"bones_fired_kg": 0.13275, "firings_per_year": 50}),
        # half a day of keeping asks for 700 batches, the crew allows 284
        ({"bones.storage_days": 0.5}, {"firings_by_keeping": 700, "firings_per_year": 284}),
        # the kiln takes 10 batches of 13.5 kg and no more: the rest is passed on
        ({"kiln.batches_per_week": 0.1, "kiln.number": 2.0, "kiln.downtime_share": 0.0},
         {"firings_allowed": 10, "bones_fired_kg": 135, "bones_passed_on_kg": 1192.5, "bones_1_fired_kg":
          900 * 135 / 1327.5, "firings_by_volume": 10, "firings_per_year": 10}),
        # a larger kiln that takes all of it leaves nothing
        ({"kiln.larger_load": 40.0}, {"larger_passed_on_kg": 0}),
    ],
)  # fmt: skip
def test_bones_at_the_ends(more: dict[str, float], facts: dict[str, float]) -> None:
    check(told(capacity.bones, BONES | more, plan_with(TWO_KINDS, **EVEN)).lines, facts)


def test_blank_rows_of_the_kiln_change_nothing() -> None:
    """Neither room, core, number, downtime nor share: 2 × 50 batches of 20 kg."""
    blank = ("kiln.bones_share", "kiln.volume", "kiln.core_share", "kiln.number", "kiln.downtime_share")
    rows = {key: value for key, value in BONES.items() if key not in blank}
    found = told(capacity.bones, rows, plan_with(TWO_KINDS, **EVEN)).lines
    check(found, {
        "load_fresh_kg": 20, "firings_allowed": 100, "bones_fired_kg": 1327.5, "firings_by_mass": 67,
        "firings_by_volume": None, "bones_fired_share": 1,
    })  # fmt: skip


@pytest.mark.parametrize(
    ("cool", "hours", "clock", "by_clock", "daily", "by_shift"),
    [
        # attended 1 + 5.5 + 0.5 = 7 hours
        (3.0, 15.0, 10, 2, 2, 10),  # two of 10 hours in a day, two of 7 in a shift of 15
        (5.5, 15.0, 12.5, 1, 1, 5),  # a second would end after midnight
        (3.0, 8.0, 10, 2, 1, 5),  # the crew has time for one
        (17.0, 15.0, 24, 1, 1, 5),  # 24 hours are a day
        (20.0, 15.0, 27, 1 / 2, 1 / 2, 2),  # longer than a day: every other day, 2.5 a week
        (41.0, 15.0, 48, 1 / 2, 1 / 2, 2),
        (42.0, 15.0, 49, 1 / 3, 1 / 3, 1),
        (3.0, 6.0, 10, 2, 0, 0),  # no shift is long enough
    ],
)
def test_batches_by_clock_and_crew(
    cool: float, hours: float, clock: float, by_clock: float, daily: float, by_shift: float
) -> None:
    rows = {**BONES, "kiln.batches_per_week": 14.0, "cycle.load_hours": 1.0, "cycle.fire_hours": 5.5,
            "cycle.empty_hours": 0.5, "cycle.cool_hours": cool, "shift.hours_per_day": hours,
            "shift.days_per_week": 5.0}  # fmt: skip
    found = told(capacity.bones, rows, plan_with(TWO_KINDS, **EVEN | {"shifts": True})).lines
    check(found, {"clock_hours_per_firing": clock, "firings_by_clock": by_clock, "firings_per_day": daily,
                  "firings_by_shift": by_shift, "firings_per_week": by_shift})  # fmt: skip


def test_batches_typed_for_a_week_are_the_most() -> None:
    rows = {**BONES, "cycle.load_hours": 1.0, "cycle.fire_hours": 5.5, "cycle.empty_hours": 0.5,
            "cycle.cool_hours": 3.0, "shift.hours_per_day": 15.0, "shift.days_per_week": 5.0}  # fmt: skip
    found = told(capacity.bones, rows, plan_with(TWO_KINDS, **EVEN | {"shifts": True})).lines
    check(found, {"firings_by_shift": 10, "firings_per_week": 2})


SEASON: dict[str, Any] = {
    "bones.1.mass": 1500.0, "bones.1.excluded_share": 0.2, "kiln.batch_load": 100.0,
    "kiln.batches_per_week": 0.5, "kiln.weeks_per_year": 48.0, "bones.storage_days": 28.0,
    **{f"supply.{month}_share": share for month, share in zip(MONTHS, (0.2, 0, 0.2, 0.6, 1, *[0] * 7),
                                                              strict=True)},
    "weather.jan_factor": 1.5,
}  # fmt: skip


def test_bones_and_batches_month_by_month() -> None:
    """Shares of 200 % count as half: 150, 0, 150, 450, 750 kg, a fifth kept out. A month takes 2 loads of 100 kg.

    Bones keep 28 days: 12 batches a year, one a month with bones. January begins 1.2 loads, so two batches, and
    its second is a part load: nothing straddles February. The batches of January count 1.5 times in fuel.
    """
    rows = SEASON
    plan = plan_with({"by_head": (), "by_age": ()}, **EVEN | MONTHLY | {"weather": True})
    found = told(capacity.bones, rows, plan).lines
    monthly = {
        "share": (0.1, 0, 0.1, 0.3, 0.5), "offered_kg": (150, 0, 150, 450, 750), "excluded_kg": (30, 0, 30, 90,
                                                                                                 150),
        "fired_kg": (120, 0, 120, 200, 200), "passed_on_kg": (0, 0, 0, 160, 400), "supplied": (1, 0, 1, 1, 1),
        "loads": (1.2, 0, 1.2, 2, 2), "begun": (2, 2, 4, 6, 8), "firings": (2, 0, 2, 2, 2),
        "fuel_firings": (3, 0, 2, 2, 2),
    }  # fmt: skip
    check(found, {f"month_{m}_{word}": value for word, row in monthly.items() for m, value in enumerate(row, 1)})
    check(found, {
        "keeping_per_month": 1, "supply_total": 2, "supply_total_to_june": 2, "month_2_loads_so_far": 2,
        "month_3_loads_so_far": 3.2, "month_1_carried": None, "month_6_carried": 8, "month_12_begun": 8,
        "bones_fired_kg": 640,
        "months_supplied": 4, "firings_by_mass": 7, "firings_by_keeping": 4, "firings_per_year": 8,
        "firings_by_weather": 9, "bones_fired_share": 640 / 1200,
    })  # fmt: skip


def test_a_month_with_bones_has_the_batches_that_keeping_asks_for() -> None:
    """Kept 20 days: 48 × 7 / 20 = 16.8 batches a year, 1.4 a month, of which a month takes 2 at most."""
    plan = plan_with({"by_head": (), "by_age": ()}, **EVEN | MONTHLY)
    found = told(capacity.bones, SEASON | {"bones.storage_days": 20.0}, plan).lines
    check(found, {"month_1_loads": 1.4, "month_2_loads": 0, "month_4_loads": 2, "firings_by_weather": None})
    found = told(capacity.bones, SEASON | {"bones.storage_days": 5.0}, plan).lines
    # four months with bones are a third of a year of 67.2 batches
    check(found, {"keeping_per_month": 5.6, "month_1_loads": 2, "firings_by_keeping": 23})


def test_a_month_with_little_is_a_month_with_bones() -> None:
    plan = plan_with({"by_head": (), "by_age": ()}, **EVEN | MONTHLY)
    found = told(capacity.bones, SEASON | {"bones.1.mass": 1.5}, plan).lines
    check(found, {"month_1_fired_kg": 0.12, "month_1_supplied": 1, "month_2_supplied": 0, "months_supplied": 4})


# -- char

PART = {"water": 0.4, "fat": 0.1, "protein": 0.2, "ash": 0.3}
"""A kilogram of bones; of the mineral 98 % stay, of the protein 23 %."""


def test_a_kilogram_of_bones() -> None:
    """Mineral 0.294, residue 0.046: 0.34 kg of char; CO2 of the mineral 0.3 × 5 % × 12.011/44.009."""
    kept = Retention(residue=0.23, mineral_kept=0.98, residue_c=0.6, carbonate_kept=0.75)
    raw = 0.3 * 0.05 * 12.011 / 44.009
    found = carried(PART, kept, ash_co2=0.05, residue_n=0.1)
    assert found["carbonate_c_raw_frac"] == pytest.approx(raw, rel=1e-4)
    check(found, {
        "char_frac": 0.34, "solids_frac": 0.5, "residue_frac": 0.046, "protein_gas_frac": 0.154,
        "mineral_lost_frac": 0.006, "n_char_frac": 0.0046, "organic_c_frac": 0.0276, "water_frac": 0.4,
        "carbonate_c_frac": 0.75 * found["carbonate_c_raw_frac"],
    })  # fmt: skip


def test_shares_that_do_not_add_up_to_one_are_scaled() -> None:
    """Twice the shares are the same bones; raw mineral binds 4.1 % CO2, residue holds 10.7 % N (factors.csv)."""
    rows = {f"bones.3.{name}_share": 2 * share for name, share in PART.items()}
    found = stream(rows, 3, Retention(0.23, 0.98, 0.6, 0.75))
    check(found, {f"{name}_frac": share for name, share in PART.items()} | {"char_frac": 0.34})
    assert found["carbonate_c_raw_frac"] == pytest.approx(0.3 * 0.041 * 12.011 / 44.009, rel=1e-4)
    assert found["n_char_frac"] == pytest.approx(0.046 * 0.107)


def test_residue_is_never_more_than_all_protein() -> None:
    plain = retention_at(500.0)
    assert retention_at(500.0, 1.1).residue == pytest.approx(1.1 * plain.residue)
    assert retention_at(500.0, 50.0).residue == 1.0
    assert retention_at(500.0, 50.0).mineral_kept == plain.mineral_kept


CHAR: dict[str, Any] = {
    **{f"bones_1_{name}_frac": share for name, share in PART.items()},
    "bones_1_char_frac": 0.34, "bones_1_solids_frac": 0.5, "bones_1_residue_frac": 0.046,
    "bones_1_protein_gas_frac": 0.154, "bones_1_mineral_lost_frac": 0.006, "bones_1_n_char_frac": 0.004,
    "bones_1_organic_c_frac": 0.03, "bones_1_carbonate_c_frac": 0.0015, "bones_1_carbonate_c_raw_frac": 0.002,
    "kiln.char_yield": 0.374, "kiln.fat_drip_share": 0.2, "bones.ash_p_share": 0.17, "bones.ash_ca_share": 0.37,
    "product.total_p2o5_share": 0.3, "product.ca_share": 0.3, "carbon.organic_share": 0.1, "p2o5_per_p": 2.5,
    "protein_n": 0.18, "protein_c": 0.5, "fat_c": 0.75,
}  # fmt: skip
NO_ASSAY = {"same_lot": False, "measured_phosphate": False, "measured_calcium": False}


def test_char_as_modelled() -> None:
    """1,000 kg of these bones: 340 kg of char, all else gone by its own way."""
    plan = plan_with(NO_ASSAY, streams=(1,), measured_yield=False, measured_carbon=False)
    found = told(matter.char, CHAR, plan, {1: 1000.0}).lines
    check(found, {
        "char_modelled_kg": 340, "solids_modelled_kg": 500, "residue_modelled_kg": 46,
        "dry_matter_modelled_kg": 600,
        "refit_of_solids": 1, "refit_of_residue": 1, "refit_of_water_and_fat": 1, "char_kg": 340, "residue_kg": 46,
        "water_kg": 400, "fat_kg": 100, "protein_kg": 200, "mineral_kg": 300, "vapour_kg": 400, "fat_drip_kg": 20,
        "fat_gas_kg": 80, "protein_gas_kg": 154, "mineral_gas_kg": 6, "volatiles_kg": 234, "leaves_kg": 660,
        "mass_residual_kg": 0, "p_bones_kg": 51, "p_kg": 51, "p_residual_kg": 0, "p2o5_kg": 127.5, "ca_kg": 111,
        "ca_residual_kg": 0, "n_bones_kg": 36, "n_char_kg": 4, "n_lost_kg": 32, "organic_c_bones_kg": 175,
        "organic_c_modelled_kg": 30, "organic_c_kg": 30, "organic_c_drip_kg": 15, "organic_c_gas_kg": 130,
        "carbonate_c_kg": 1.5, "carbonate_c_lost_kg": 0.5,
    })  # fmt: skip


def test_a_weighed_yield_moves_the_composition() -> None:
    """374 kg weighed against 340: solids × 1.1 = 550 kg, so water and fat are 450 of 500 kg."""
    plan = plan_with(NO_ASSAY, streams=(1,), measured_yield=True, measured_carbon=True)
    found = told(matter.char, CHAR, plan, {1: 1000.0}).lines
    check(found, {
        "char_weighed_kg": 374, "refit_of_solids": 1.1, "refit_of_residue": 1.1, "refit_of_water_and_fat": 0.9,
        "char_kg": 374, "residue_kg": 50.6, "water_kg": 360, "fat_kg": 90, "protein_kg": 220, "mineral_kg": 330,
        "fat_drip_kg": 18, "fat_gas_kg": 72, "protein_gas_kg": 169.4, "mineral_gas_kg": 6.6, "volatiles_kg": 241.4,
        "leaves_kg": 626, "mass_residual_kg": 0, "n_char_kg": 4.4, "organic_c_modelled_kg": 33,
        "organic_c_kg": 37.4, "organic_c_gas_kg": 220 * 0.5 + 90 * 0.75 - 37.4 - 18 * 0.75, "carbonate_c_kg": 1.65,
        "carbonate_c_lost_kg": 0.55,
    })  # fmt: skip


def test_a_weighed_yield_of_the_assayed_load_moves_the_residue() -> None:
    """The mineral's 294 kg are known: 374 less 294 are 80 kg of residue, and the gas of protein has 34 kg less."""
    plan = plan_with(NO_ASSAY | {"same_lot": True}, streams=(1,), measured_yield=True, measured_carbon=False)
    found = told(matter.char, CHAR, plan, {1: 1000.0}).lines
    check(found, {
        "refit_of_solids": 1, "refit_of_residue": 80 / 46, "refit_of_water_and_fat": 1, "char_kg": 374,
        "residue_kg": 80, "protein_kg": 200, "protein_gas_kg": 120, "volatiles_kg": 200, "leaves_kg": 626,
        "mass_residual_kg": 0, "n_char_kg": 4 * 80 / 46, "organic_c_kg": 30 * 80 / 46, "carbonate_c_kg": 1.5,
    })  # fmt: skip


def test_an_assay_of_the_char_stands_against_the_bones() -> None:
    """340 kg with 30 % P2O5 are 102 kg, 40.8 kg P at 2.5 to 1; 51 kg came in. Calcium likewise."""
    assays = {"same_lot": False, "measured_phosphate": True, "measured_calcium": True}
    plan = plan_with(assays, streams=(1,), measured_yield=False, measured_carbon=False)
    check(told(matter.char, CHAR, plan, {1: 1000.0}).lines, {
        "p_bones_kg": 51, "p_kg": 40.8, "p_residual_kg": 10.2, "p2o5_kg": 102, "ca_bones_kg": 111, "ca_kg": 102,
        "ca_residual_kg": 9,
    })  # fmt: skip


# -- from dry char to what is sold

FINISH: dict[str, Any] = {
    "char_kg": 200.0, "finish.dust_share": 0.02, "finish.fines_share": 0.08, "finish.added_water": 0.1,
    "finish.charge_ratio": 0.5, "finish.charge_water_share": 0.4, "finish.sold_moisture": 0.2,
    "compost_kg_per_m3": 600.0, "injector.tank": 25.0, "finish.charge_hours": 0.01,
}  # fmt: skip
MIXED = {"charged": "compost", "watered": True, "moisture_typed": False}


@pytest.mark.parametrize(
    ("choices", "facts"),
    [
        # 4 kg dust, 16 kg fines; a kg takes 0.1 of water and 0.5 of compost, 0.2 of it water
        (MIXED, {"dust_kg": 4, "fines_kg": 16, "char_finished_kg": 180, "added_solids_per_kg": 0.3,
                 "added_water_per_kg": 0.3, "sold_solids_per_kg": 1.3, "as_sold_per_kg": 1.6,
                 "sold_water_per_kg": 0.3, "sold_moisture": 0.1875, "charge_kg": 90, "charge_m3": 0.15,
                 "charge_l": None, "charge_hours": 1.8, "product_kg": 288, "water_dried_off_kg": None}),
        # sold at 20 % moisture: 1.3 kg of solids are 80 % of 1.625 kg, 0.025 kg of water more than was put to it
        (MIXED | {"moisture_typed": True}, {"as_sold_per_kg": 1.625, "sold_water_per_kg": 0.325,
                                            "water_dried_off_kg": -4.5, "sold_moisture": 0.2,
                                            "product_kg": 292.5}),
        # no water put to it but that of the compost
        (MIXED | {"watered": False}, {"added_water_per_kg": 0.2, "as_sold_per_kg": 1.5, "product_kg": 270}),
        # 90 L of tea are 3.6 tanks of 25 L
        (MIXED | {"charged": "tea"}, {"charge_l": 90, "charge_loads": 4, "charge_m3": None}),
        (MIXED | {"charged": "none"}, {"added_solids_per_kg": 0, "added_water_per_kg": 0.1, "as_sold_per_kg": 1.1,
                                       "charge_kg": None, "product_kg": 198}),
    ],
)  # fmt: skip
def test_weight_for_sale(choices: dict[str, Any], facts: dict[str, float]) -> None:
    plan = plan_with(choices, {"injector": frozenset({"tank"})})
    check(told(matter.finish, FINISH, plan).lines, facts)


@pytest.mark.parametrize(("tank", "loads"), [(30.0, 3), (29.0, 4), (90.0, 1)])
def test_a_full_tank_is_a_load(tank: float, loads: int) -> None:
    plan = plan_with(MIXED | {"charged": "tea"}, {"injector": frozenset({"tank"})})
    check(told(matter.finish, FINISH | {"injector.tank": tank}, plan).lines, {"charge_loads": loads})
    no_tank = plan_with(MIXED | {"charged": "tea"}, {"injector": frozenset()})
    check(told(matter.finish, FINISH, no_tank).lines, {"charge_l": 90, "charge_loads": None})


PHOSPHATE: dict[str, Any] = {
    "char_kg": 200.0, "p2o5_kg": 50.0, "product.soluble_share": 0.4, "as_sold_per_kg": 1.25,
    "product.available_p2o5_share": 0.15, "soil_factor_by_ph": 0.6, "fertiliser.soil_factor": 0.5,
    "fertiliser.p2o5_price": 3.0,
}  # fmt: skip


@pytest.mark.parametrize(
    ("measured", "as_sold", "by_ph", "available", "factor"),
    [
        (False, False, False, 20, 0.5),  # 40 % of 50 kg
        (True, False, False, 30, 0.5),  # 15 % of 200 kg of dry char
        (True, True, False, 37.5, 0.5),  # 15 % of the 250 kg that it weighs as sold
        (False, True, True, 20, 0.6),
    ],
)
def test_phosphate_that_works(measured: bool, as_sold: bool, by_ph: bool, available: float, factor: float) -> None:
    """Available × soil factor × 3 a kg; per kg of 200 kg dry, and of 1.25 times that as sold."""
    plan = plan_with({"available_as_sold": as_sold, "soil_by_ph": by_ph}, measured_available=measured)
    worth = available * factor * 3
    check(told(matter.phosphate, PHOSPHATE, plan).lines, {
        "available_p2o5_kg": available, "soil_factor_used": factor, "working_p2o5_kg": available * factor,
        "fertiliser_value": worth, "fertiliser_value_per_kg": worth / 200, "fertiliser_value_per_kg_sold":
        worth / 250,
    })  # fmt: skip


ANALYSIS: dict[str, Any] = {
    "char_kg": 200.0, "as_sold_per_kg": 1.25, "p_kg": 20.0, "p2o5_kg": 50.0, "ca_kg": 60.0, "n_char_kg": 5.0,
    "organic_c_kg": 30.0, "available_p2o5_kg": 25.0, "char_finished_kg": 180.0, "char_kg_per_m3": 750.0,
    "finish.charge_ratio": 0.5, "compost_kg_per_m3": 600.0,
}  # fmt: skip


@pytest.mark.parametrize(("charged", "room"), [("none", 0.24), ("tea", 0.24), ("compost", 0.39)])
def test_what_a_bag_holds(charged: str, room: float) -> None:
    """Of 200 kg dry, 250 kg as sold; 180 kg take 0.24 m3, 90 kg of compost 0.15 m3 more."""
    found = told(matter.analysis, ANALYSIS, plan_with({"charged": charged})).lines
    check(found, {
        "char_p_share": 0.1, "sold_p_share": 0.08, "char_p2o5_share": 0.25, "sold_p2o5_share": 0.2,
        "char_ca_share": 0.3, "sold_ca_share": 0.24, "char_n_char_share": 0.025, "sold_n_char_share": None,
        "char_organic_c_share": 0.15, "sold_organic_c_share": 0.12, "char_available_share": 0.125,
        "sold_available_share": 0.1, "product_m3": room,
    })  # fmt: skip


def test_char_that_reaches_no_soil() -> None:
    """50 kg in store are 40 kg dry; dust 4 and fines 16 kg."""
    rows = {"char_to_stock_kg": 50.0, "as_sold_per_kg": 1.25, "dust_kg": 4.0, "fines_kg": 16.0}
    check(told(matter.unused, rows).lines, {"stock_dry_kg": 40, "char_unused_kg": 60})


COSTS: dict[str, Any] = {
    "char_kg": 200.0, "finish.grind_cost": 0.1, "char_finished_kg": 180.0, "finish.tea_cost": 0.05,
    "charge_hours": 2.0, "labour.wage": 20.0, "labour.on_cost_share": 0.25, "bagged_kg": 100.0,
    "finish.bag_weight": 25.0, "finish.bag_cost": 0.3, "fat_drip_kg": 18.0, "fat.price": 0.5, "fines_kg": 16.0,
    "finish.fines_price": -0.25,
}  # fmt: skip


@pytest.mark.parametrize(
    ("choices", "facts"),
    [
        # grinding 20; tea 9 and 2 hours of 25; 100 kg of bags at 0.3 are 30 more; fat 9, fines carted off for 4
        ({"charged": "tea", "bagged_by_weight": True, "fat_priced": True, "fines_priced": True},
         {"charge_cost_today": 59, "bags_per_year": 4, "finish_cost_today": 79, "bag_cost_today": 30,
          "finish_cost_per_kg": 0.545, "fat_income_today": 9, "fines_income_today": -4, "side_income_today": 5}),
        ({"charged": "none", "bagged_by_weight": False, "fat_priced": False, "fines_priced": False},
         {"charge_cost_today": None, "bags_per_year": None, "finish_cost_today": 79, "side_income_today": None}),
        ({"charged": "none", "bagged_by_weight": False, "fat_priced": True, "fines_priced": False},
         {"side_income_today": 9}),
    ],
)  # fmt: skip
def test_costs_of_finishing(choices: dict[str, Any], facts: dict[str, float]) -> None:
    check(told(matter.costs, COSTS, plan_with(choices)).lines, facts)


def test_more_than_three_streams_stand_on_a_line_of_their_own() -> None:
    """Four streams of 100 kg: sums as lines named so; three are short enough."""
    rows = {key.replace("bones_1", f"bones_{n}"): value for n in (1, 2, 3, 4) for key, value in CHAR.items()}
    for count, line in ((3, None), (4, 160)):
        streams = tuple(range(1, count + 1))
        plan = plan_with(NO_ASSAY, streams=streams, measured_yield=False, measured_carbon=False)
        found = told(matter.char, rows, plan, dict.fromkeys(streams, 100.0)).lines
        check(found, {"water_kg": 40 * count, "char_kg": 34 * count, "water_kg_of_streams": line,
                      "_of_streams": None})  # fmt: skip
