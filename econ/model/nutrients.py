"""Phosphorus, calcium, nitrogen and carbon of the char, followed as elements [kg a year]."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from econ.model.ledger import Book, Quantity
from econ.model.plan import Plan

WHOLE = 1e-9

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
