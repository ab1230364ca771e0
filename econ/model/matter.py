"""From bones processed to char, by component and as elements (P, Ca, N, C): the plant year in kilograms."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from econ.model.ledger import WHOLE, Book, Quantity, of_parts, total
from econ.model.plan import Plan


def char(b: Book, plan: Plan, fired: Mapping[int, Quantity]) -> None:
    """Dry char and what left as vapour, gas and drippings [kg a year]; gas is computed, not the rest.

    A weighed yield is believed. With an assay of the same load the residue of the protein is refitted,
    for the mineral is known. Otherwise the composition is: dry matter that stays (mineral and protein)
    against water and fat, which vary most from load to load; the make-up of the char is then unchanged.
    """

    def sum_of(coefficient: str, step: str = "") -> Quantity:
        found = total(fired[n] * b[f"bones_{n}_{coefficient}"] for n in plan.streams)
        return of_parts(b, step, found, len(plan.streams)) if step else found

    bones_fired = of_parts(b, "bones_fired_kg", total(fired.values()), len(plan.streams))
    all_water = sum_of("water_frac", "water_kg")
    modelled = b.line("char_modelled_kg", sum_of("char_frac"))
    solids = b.line("solids_modelled_kg", sum_of("solids_frac"))
    residue = b.line("residue_modelled_kg", sum_of("residue_frac"))
    b.line("dry_matter_modelled_kg", bones_fired - all_water)
    refit, of_residue = _refits(b, plan, bones_fired, modelled, residue)
    wet = b.line(
        "refit_of_water_and_fat",
        (bones_fired - solids * refit) / np.maximum(bones_fired - solids, WHOLE),
    )
    residue_kg = b.line("residue_kg", residue * of_residue)
    char_kg = b.line("char_kg", modelled * refit + (residue_kg - residue * refit))
    water = b.line("water_kg", all_water * wet)
    fat_kg = b.line("fat_kg", sum_of("fat_frac") * wet)
    b.line("protein_kg", sum_of("protein_frac") * refit)
    b.line("mineral_kg", sum_of("ash_frac") * refit)
    vapour = b.line("vapour_kg", water)
    drip = b.line("fat_drip_kg", fat_kg * b["kiln.fat_drip_share"])
    fat = b.line("fat_gas_kg", fat_kg - drip)
    gas = sum_of("protein_gas_frac", "protein_gas_kg")
    protein = b.line("protein_gas_kg", gas * refit + (residue * refit - residue_kg))
    mineral = b.line("mineral_gas_kg", sum_of("mineral_lost_frac", "mineral_gas_kg") * refit)
    b.line("volatiles_kg", fat + protein)
    leaves = b.line("leaves_kg", vapour + fat + protein + mineral + drip)
    b.line("mass_residual_kg", bones_fired - char_kg - leaves)
    elements(b, plan, sum_of, refit, of_residue)


def _refits(
    b: Book, plan: Plan, bones_fired: Quantity, modelled: Quantity, residue: Quantity
) -> tuple[Quantity, Quantity]:
    """Corrections by the weighed yield: of protein and mineral, and of the carbonised residue."""
    if not plan.measured_yield:
        return b.line("refit_of_solids", 1.0), b.line("refit_of_residue", 1.0)
    weighed = b.line("char_weighed_kg", bones_fired * b["kiln.char_yield"])
    if plan.matter.same_lot:
        refit = b.line("refit_of_solids", 1.0)
        left = weighed - (modelled - residue)
        return refit, b.line("refit_of_residue", left / np.maximum(residue, WHOLE))
    refit = b.line("refit_of_solids", weighed / np.maximum(modelled, WHOLE))
    return refit, b.line("refit_of_residue", refit)


SumOf = Callable[[str, str], Quantity]
"""A coefficient per kg of bones, times the bones fired, over all streams; then the figure it is a step of."""


def elements(b: Book, plan: Plan, sum_of: SumOf, refit: Quantity, of_residue: Quantity) -> None:
    """P, Ca, N, organic and carbonate carbon: in the bones, in the char, gone."""
    char_kg = b["char_kg"]
    _minerals(b, plan, char_kg)
    n_bones = b.line("n_bones_kg", b["protein_kg"] * b["protein_n"])
    n_char = b.line("n_char_kg", sum_of("n_char_frac", "") * of_residue)
    b.line("n_lost_kg", n_bones - n_char)
    c_bones = b.line("organic_c_bones_kg", b["protein_kg"] * b["protein_c"] + b["fat_kg"] * b["fat_c"])
    organic = b.line("organic_c_modelled_kg", sum_of("organic_c_frac", "") * of_residue)
    if plan.measured_carbon:
        organic = char_kg * b["carbon.organic_share"]
    organic = b.line("organic_c_kg", organic)
    dripped = b.line("organic_c_drip_kg", b["fat_drip_kg"] * b["fat_c"])
    b.line("organic_c_gas_kg", c_bones - organic - dripped)
    kept = b.line("carbonate_c_kg", sum_of("carbonate_c_frac", "") * refit)
    raw = sum_of("carbonate_c_raw_frac", "carbonate_c_lost_kg")
    b.line("carbonate_c_lost_kg", raw * refit - kept)


def _minerals(b: Book, plan: Plan, char_kg: Quantity) -> None:
    """P and Ca: all of it stays in the char, unless an assay of the char says otherwise."""
    p_bones = b.line("p_bones_kg", b["mineral_kg"] * b["bones.ash_p_share"])
    ca_bones = b.line("ca_bones_kg", b["mineral_kg"] * b["bones.ash_ca_share"])
    p_char = (
        char_kg * b["product.total_p2o5_share"] / b["p2o5_per_p"] if plan.matter.measured_phosphate else p_bones
    )
    ca_char = char_kg * b["product.ca_share"] if plan.matter.measured_calcium else ca_bones
    p_kg = b.line("p_kg", p_char)
    ca_kg = b.line("ca_kg", ca_char)
    b.line("p_residual_kg", p_bones - p_kg)
    b.line("ca_residual_kg", ca_bones - ca_kg)
    b.line("p2o5_kg", p_kg * b["p2o5_per_p"])


def phosphate(b: Book, plan: Plan) -> None:
    """What of the P2O5 is available, and the value of the char as plain fertiliser.

    One chain only: available P2O5 × soil factor × price. Total P never meets a price or a factor of the
    soil. An assay of available P2O5 comes first, then the soluble share of the total. Needs the weight
    as sold, since a label's analysis may be on that.
    """
    char_kg, p2o5 = b["char_kg"], b["p2o5_kg"]
    if not plan.measured_available:
        available = b.line("available_p2o5_kg", p2o5 * b["product.soluble_share"])
    elif plan.matter.available_as_sold:
        as_sold = char_kg * b["as_sold_per_kg"]
        available = b.line("available_p2o5_kg", as_sold * b["product.available_p2o5_share"])
    else:
        available = b.line("available_p2o5_kg", char_kg * b["product.available_p2o5_share"])
    factor = b["soil_factor_by_ph"] if plan.matter.soil_by_ph else b["fertiliser.soil_factor"]
    working = b.line("working_p2o5_kg", available * b.line("soil_factor_used", factor))
    worth = b.line("fertiliser_value", working * b["fertiliser.p2o5_price"])
    per_kg = b.line("fertiliser_value_per_kg", worth / np.maximum(char_kg, WHOLE))
    b.line("fertiliser_value_per_kg_sold", per_kg / b["as_sold_per_kg"])
