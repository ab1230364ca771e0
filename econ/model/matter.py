"""From bones fired to char, component by component: the plant year in kilograms."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from econ.model import nutrients
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
    nutrients.elements(b, plan, sum_of, refit, of_residue)


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
