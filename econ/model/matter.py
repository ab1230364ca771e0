"""From bones fired to char, element by element: the plant year in kilograms."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from econ.model.capacity import WHOLE
from econ.model.ledger import Book, Quantity, total
from econ.model.plan import Plan


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
