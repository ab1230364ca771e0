"""Heat of a firing: what start-up fuel must carry, and what the gas of the load gives after it.

A retort passes two stages. Until its load has dried and reached some 300 °C there is little gas: water,
bones and steel are heated by start-up fuel, with the lids open. After it, fat and protein crack and their
gas burns under the kiln. The stages have a figure each and are never put into one ratio, since gas that
comes after the drying cannot dry.

Heats are useful heat [MJ] of one full load; fuel = heat ÷ efficiency, on the lower heating value. The
whole is a house model: a measured fuel of a firing replaces it.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from econ import evidence
from econ.evidence import curves
from econ.model.composition import stream
from econ.model.ledger import WHOLE, Book, Quantity, interp, of_parts, total
from econ.model.plan import Plan
from econ.units import unit

START_C = 20.0
"""Temperature of load, water and steel when the fire is lit [°C]; colder months have a factor."""

Values = Mapping[str, Quantity]


def _factor(name: str) -> float:
    return evidence.factor(name).value


def steam_mj(at_c: Quantity) -> Quantity:
    """Heat to turn 1 kg of water of 20 °C into steam at `at_c` [°C, 100 to 1000] and one atmosphere [MJ/kg].

    Source: the IF97 formulation; linear between the rows of the table, within 0.1 %.
    """
    table = curves.steam()
    return interp(table.at_c, table.heat_mj, at_c)


def solid_mj(name: str, from_c: Quantity, to_c: Quantity) -> Quantity:
    """Heat to bring 1 kg of a solid from one temperature to another [MJ/kg]; `name` is its cp factor."""
    return _factor(name) / 1000 * (to_c - from_c)


def protein_gas_mj(protein_kg: Quantity, residue_kg: Quantity) -> Quantity:
    """Heat in the gas of protein, less that of the carbonised residue which stays [MJ, lower]."""
    return protein_kg * _factor("hv_prot") - residue_kg * _factor("hv_residue")


def wood_mj(moisture_frac: Quantity) -> Quantity:
    """Lower heating value of firewood [MJ/kg] by its water on wet basis [0 to 0.6]: house formula."""
    return _factor("hv_wood_dry") * (1 - moisture_frac) - 2.45 * moisture_frac


def coefficients(p: Values, plan: Plan) -> dict[str, Quantity]:
    """Heat of water, solids and steel in both stages, and of the gases [MJ/kg]; of each fuel [MJ a unit]."""
    peak = p["kiln.peak_temperature"]
    end = np.minimum(peak, _factor("t_gas_onset"))
    found: dict[str, Quantity] = {
        "drying_water_mj": steam_mj(end),
        "drying_solids_mj": solid_mj("cp_bone", START_C, end),
        "drying_steel_mj": solid_mj("cp_steel_mean", START_C, end),
        "after_water_mj": steam_mj(peak) - steam_mj(end),
        "after_solids_mj": solid_mj("cp_bone", end, peak),
        "after_steel_mj": solid_mj("cp_steel_mean", end, peak),
        "fat_lower_mj": _factor("hv_fat"),
    }
    found["residue_lower_mj"] = _factor("hv_residue")
    for n in plan.streams:
        part = stream(p, n)
        found[f"bones_{n}_protein_mj"] = protein_gas_mj(part["protein_frac"], part["residue_frac"])
    for n, kind in zip(plan.fuels, plan.fuel_kinds, strict=True):
        found[f"fuel_{n}_lower_mj"] = _fuel_mj(p, n, kind)
    return found


def _fuel_mj(p: Values, n: int, kind: str) -> Quantity:
    """Lower heating value of a canonical unit (L, kg or MJ) of fuel n."""
    burnt = evidence.fuel(kind)
    moisture = p.get(f"fuel.{n}.moisture")
    if kind == "cordwood" and moisture is not None:
        return wood_mj(moisture)
    return burnt.lhv_mj_per_unit / unit(burnt.measure).factor


def firing(b: Book, plan: Plan, fired: Mapping[int, Quantity]) -> None:
    """Both stages of one full load, the gas, the fuel that the model asks for, and a typed fuel beside it.

    Water and fat follow a weighed yield as the mass balance does. Protein keeps the composition given, less
    the residue that the yield of an assayed load shows, so that gas never rises with the yield. A part load
    takes as much as a full one.
    """
    load = b["load_full_kg"]
    bones = b.line("heat_per_bones_kg", np.maximum(b["bones_fired_kg"], WHOLE))
    water = b.line("firing_water_kg", load * b["vapour_kg"] / bones)
    solids = b.line("firing_solids_kg", load - water)
    steel_kg = b.optional("kiln.steel_mass")
    steel = b.line("firing_steel_kg", load * b["kiln.steel_per_load"] if steel_kg is None else steel_kg)
    efficiency = b.line("efficiency_used", b["kiln.efficiency"])
    heat = b.line("start_up_heat_mj", _stage(b, "drying", water, solids, steel))
    start_up = b.line("start_up_fuel_mj", heat / efficiency)
    b.line("start_up_loss_mj", start_up - heat)
    after = b.line("after_heat_mj", _stage(b, "after", water, solids, steel))
    demand = b.line("after_demand_mj", after / efficiency)
    gas = _gas(b, plan, load, bones, fired)
    b.line("gas_less_demand_mj", gas - demand)
    support = b.line("support_fuel_mj", np.maximum(demand - gas, 0))
    model = b.line("model_fuel_mj", start_up + support)
    if plan.fuel_modelled:
        b.line("fuel_1_per_firing", model / b["fuel_1_lower_mj"])
    else:
        typed = total(b[f"fuel.{n}.per_batch"] * b[f"fuel_{n}_lower_mj"] for n in plan.fuels)
        fuel = b.line("typed_fuel_mj", typed)
        b.line("typed_efficiency", (heat + support * efficiency) / np.maximum(fuel, WHOLE))


def _stage(b: Book, stage: str, water: Quantity, solids: Quantity, steel: Quantity) -> Quantity:
    """Useful heat of a stage [MJ]: water to steam, dry bones, steel."""
    parts = (("water", water), ("solids", solids), ("steel", steel))
    return total([b.line(f"{stage}_of_{name}_mj", kg * b[f"{stage}_{name}_mj"]) for name, kg in parts])


def _gas(b: Book, plan: Plan, load: Quantity, bones: Quantity, fired: Mapping[int, Quantity]) -> Quantity:
    """Heat of the gas of one full load [MJ, lower]: fat that did not drip out, and protein."""
    fat = b.line("gas_of_fat_mj", load * b["fat_gas_kg"] / bones * b["fat_lower_mj"])
    by_stream = of_parts(
        b,
        "gas_of_protein_mj",
        total(fired[n] * b[f"bones_{n}_protein_mj"] for n in plan.streams),
        len(plan.streams),
    )
    kept = b["residue_kg"] - b["residue_modelled_kg"] * b["refit_of_solids"]
    more = b.line("more_residue_mj", kept * b["residue_lower_mj"])
    protein = b.line("gas_of_protein_mj", load * (by_stream - more) / bones)
    return b.line("gas_mj", fat + protein)
