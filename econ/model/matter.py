"""From bones received to char, element by element: the plant year in kilograms."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from econ.model.ledger import Book, Quantity, total
from econ.model.plan import Plan

WHOLE = 1e-9
"""Slack before a count of firings is rounded up or down, so that 52.0000000001 loads are 52."""


def bones(b: Book, plan: Plan) -> dict[int, Quantity]:
    """Bones received, excluded, fired and passed on, and the firings they need [kg a year].

    Excluded bones leave before the kiln. The kiln fires what its load and the firings allowed can take;
    the rest stays with current practice. Firings are whole: the most of those forced by mass and by the
    days that raw bones keep, never more than allowed. A part load is a firing like any other.

    Returns the mass fired of each stream.
    """
    received = {n: b[f"bones.{n}.mass"] for n in plan.streams}
    excluded = {n: received[n] * b[f"bones.{n}.excluded_share"] for n in plan.streams}
    all_received = b.line("bones_received_kg", total(received.values()))
    all_excluded = b.line("bones_excluded_kg", total(excluded.values()))
    eligible = b.line("bones_eligible_kg", all_received - all_excluded)
    most = b.line("firings_allowed", np.floor(b["kiln.batches_per_week"] * b["kiln.weeks_per_year"] + WHOLE))
    capacity = b.line("kiln_capacity_kg", most * b["kiln.batch_load"])
    fired = b.line("bones_fired_kg", np.minimum(eligible, capacity))
    share = b.line("bones_fired_share", fired / np.maximum(eligible, WHOLE))
    b.line("bones_passed_on_kg", eligible - fired)
    by_mass = b.line("firings_by_mass", np.ceil(fired / b["kiln.batch_load"] - WHOLE))
    by_keeping = b.line(
        "firings_by_keeping", np.ceil(b["kiln.weeks_per_year"] * 7 / b["bones.storage_days"] - WHOLE)
    )
    some = np.greater(fired, 0)
    needed = np.maximum(by_mass, by_keeping) * some
    firings = b.line("firings_per_year", np.minimum(needed, most))
    b.line("load_per_firing_kg", fired / np.maximum(firings, 1))
    return {n: b.line(f"bones_{n}_fired_kg", (received[n] - excluded[n]) * share) for n in plan.streams}


def char(b: Book, plan: Plan, fired: Mapping[int, Quantity]) -> None:
    """Dry char and what left as vapour and gas [kg a year], by component; gas is computed, not the rest.

    A weighed yield refits the dry matter that stays (mineral and protein) against water and fat, since
    those vary most from load to load: composition of the char is then unchanged and every stream scales.
    """

    def sum_of(coefficient: str) -> Quantity:
        return total(fired[n] * b[f"bones_{n}_{coefficient}"] for n in plan.streams)

    bones_fired = total(fired.values())
    modelled = b.line("char_modelled_kg", sum_of("char_frac"))
    solids = b.line("solids_modelled_kg", sum_of("solids_frac"))
    if plan.measured_yield:
        refit = b.line("refit_of_solids", bones_fired * b["kiln.char_yield"] / np.maximum(modelled, WHOLE))
    else:
        refit = b.line("refit_of_solids", 1.0)
    wet = b.line(
        "refit_of_water_and_fat",
        (bones_fired - solids * refit) / np.maximum(bones_fired - solids, WHOLE),
    )
    char_kg = b.line("char_kg", modelled * refit)
    vapour = b.line("vapour_kg", sum_of("water_frac") * wet)
    fat = b.line("fat_gas_kg", sum_of("fat_frac") * wet)
    protein = b.line("protein_gas_kg", sum_of("protein_gas_frac") * refit)
    mineral = b.line("mineral_gas_kg", sum_of("mineral_lost_frac") * refit)
    b.line("volatiles_kg", fat + protein)
    b.line("mass_residual_kg", bones_fired - char_kg - vapour - fat - protein - mineral)
    p_kg = b.line("p_kg", sum_of("p_frac") * refit)
    b.line("ca_kg", sum_of("ca_frac") * refit)
    _phosphate(b, plan, char_kg, p_kg)
    n_bones = b.line("n_bones_kg", sum_of("n_frac") * refit)
    n_char = b.line("n_char_kg", sum_of("n_char_frac") * refit)
    b.line("n_lost_kg", n_bones - n_char)
    organic = b.line("organic_c_modelled_kg", sum_of("organic_c_frac") * refit)
    if plan.measured_carbon:
        organic = char_kg * b["carbon.organic_share"]
    b.line("organic_c_kg", organic * 1.0)
    b.line("carbonate_c_kg", sum_of("carbonate_c_frac") * refit)


def _phosphate(b: Book, plan: Plan, char_kg: Quantity, p_kg: Quantity) -> None:
    """P2O5, what of it is available, and the value of the char as plain fertiliser.

    One chain only: available P2O5 × soil factor × price. Total P never meets a price.
    """
    p2o5 = b.line("p2o5_kg", p_kg * b["p2o5_per_p"])
    if plan.measured_available:
        available = b.line("available_p2o5_kg", char_kg * b["product.available_p2o5_share"])
    else:
        available = b.line("available_p2o5_kg", p2o5 * b["available_of_total"])
    working = b.line("working_p2o5_kg", available * b["fertiliser.soil_factor"])
    worth = b.line("fertiliser_value", working * b["fertiliser.p2o5_price"])
    b.line("fertiliser_value_per_kg", worth / np.maximum(char_kg, WHOLE))
