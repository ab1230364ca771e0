"""Heat of a batch, and process emissions of a plant year; nothing avoided is in them.

A retort passes two stages. Until its load has dried and reached some 300 °C there is little gas: water, bones and
steel are heated by start-up fuel, lids open. After it, fat and protein crack and their gas burns under the kiln.
The stages are never put into one ratio, since gas that comes after the drying cannot dry. Heats are useful heat
[MJ] of one full load; fuel = heat ÷ efficiency, on the lower heating value. The whole is a house model: a measured
fuel of a batch replaces it.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from econ.evidence import curves, factors, substances
from econ.model.ledger import WHOLE, Book, Quantity, Values, interp, of_parts, total
from econ.model.plan import Plan
from econ.units import unit

START_C = 20.0
"""Temperature of load, water and steel when the fire is lit [°C]; colder months have a factor."""
VEHICLES = {"truck": "truck_tkm", "small-truck": "truck_rigid_tkm", "van": "truck_van_tkm"}
KG_M_PER_T_KM = 1e6


def steam_mj(at_c: Quantity) -> Quantity:
    """Heat from water of 20 °C to steam at `at_c` [°C, 100 to 1000], 1 atm [MJ/kg]. Source: IF97 (steam.csv)."""
    table = curves.steam()
    return interp(table.at_c, table.heat_mj, at_c)


def solid_mj(name: str, from_c: Quantity, to_c: Quantity) -> Quantity:
    """Heat to bring 1 kg of a solid from one temperature to another [MJ/kg]. Source: its cp factor, `name`."""
    return factors.factor(name).value / 1000 * (to_c - from_c)


def protein_gas_mj(protein_kg: Quantity, residue_kg: Quantity) -> Quantity:
    """Heat in the gas of protein, less that of the residue that stays [MJ, lower]. Source: hv_prot, hv_residue."""
    return protein_kg * factors.factor("hv_prot").value - residue_kg * factors.factor("hv_residue").value


def wood_mj(moisture_frac: Quantity) -> Quantity:
    """Lower heating value of firewood [MJ/kg] by its water on wet basis [0 to 0.6]. Source: house formula."""
    return factors.factor("hv_wood_dry").value * (1 - moisture_frac) - 2.45 * moisture_frac


def batch(b: Book, plan: Plan, fired: Mapping[int, Quantity]) -> None:
    """Both stages of a full load [MJ], its gas, the fuel that the model asks for or was typed. House model.

    Water and fat follow a weighed yield as the mass balance does. Protein keeps the composition given, less the
    residue that the yield of an assayed load shows, so that gas never rises with the yield.
    """
    load = b["load_full_kg"]
    bones = b.line("heat_per_bones_kg", np.maximum(b["bones_fired_kg"], WHOLE))
    water = b.line("firing_water_kg", load * b["vapour_kg"] / bones)
    solids = b.line("firing_solids_kg", load - water)
    typed = b.optional("kiln.steel_mass")
    steel = b.line("firing_steel_kg", load * b["kiln.steel_per_load"] if typed is None else typed)

    def useful(stage: str) -> Quantity:
        parts = (("water", water), ("solids", solids), ("steel", steel))
        return total([b.line(f"{stage}_of_{name}_mj", kg * b[f"{stage}_{name}_mj"]) for name, kg in parts])

    efficiency = b.line("efficiency_used", b["kiln.efficiency"])
    heat = b.line("start_up_heat_mj", useful("drying"))
    start_up = b.line("start_up_fuel_mj", heat / efficiency)
    b.line("start_up_loss_mj", start_up - heat)
    after = b.line("after_heat_mj", useful("after"))
    demand = b.line("after_demand_mj", after / efficiency)
    gas = _gas(b, plan, load, bones, fired)
    b.line("gas_less_demand_mj", gas - demand)
    support = b.line("support_fuel_mj", np.maximum(demand - gas, 0))
    model = b.line("model_fuel_mj", start_up + support)
    if plan.fuel_modelled:
        b.line("fuel_1_per_firing", model / b["fuel_1_lower_mj"])
    else:
        each = (b[f"fuel.{n}.per_batch"] * b[f"fuel_{n}_lower_mj"] for n in plan.fuels)
        fuel = b.line("typed_fuel_mj", total(each))
        b.line("typed_efficiency", (heat + support * efficiency) / np.maximum(fuel, WHOLE))


def _gas(b: Book, plan: Plan, load: Quantity, bones: Quantity, fired: Mapping[int, Quantity]) -> Quantity:
    """Heat of the gas of one full load [MJ, lower]: fat that did not drip out, and protein."""
    fat = b.line("gas_of_fat_mj", load * b["fat_gas_kg"] / bones * b["fat_lower_mj"])
    every = total(fired[n] * b[f"bones_{n}_protein_mj"] for n in plan.streams)
    by_stream = of_parts(b, "gas_of_protein_mj", every, len(plan.streams))
    kept = b["residue_kg"] - b["residue_modelled_kg"] * b["refit_of_solids"]
    more = b.line("more_residue_mj", kept * b["residue_lower_mj"])
    return b.line("gas_mj", fat + b.line("gas_of_protein_mj", load * (by_stream - more) / bones))


def climate(p: Values, plan: Plan) -> dict[str, Quantity]:
    """Warming potentials [kg CO2e/kg], emission of a unit of fuel [kg CO2e/unit]. Source: gwp.csv, fuels.csv."""
    edition, diesel = substances.gwp(plan.gwp_set), substances.fuel("diesel")
    found: dict[str, Quantity] = {
        "gwp_ch4_biogenic": edition.ch4_biogenic.value,
        "gwp_n2o": edition.n2o.value,
        "propane_co2e_per_l": substances.fuel("propane").co2e_kg_per_unit(edition),
        "diesel_co2e_per_l": diesel.co2e_kg_per_unit(edition),
        "freight_co2e_per_kg_m": factors.factor(VEHICLES[plan.vehicle]).value / KG_M_PER_T_KM,
    }
    for n, kind in zip(plan.fuels, plan.fuel_kinds, strict=True):
        fuel = substances.fuel(kind)
        per_canonical = 1.0 / unit(fuel.measure).factor  # kWh per MJ, m3 per L, 1 for L and kg
        emits: Quantity = fuel.co2e_kg_per_unit(edition)
        if kind == "electricity":
            emits = p["carbon.grid_factor"] * 3.6
        moisture = p.get(f"fuel.{n}.moisture")  # dry wood in this wood, against the wood of the table
        dry = 1.0 if moisture is None or not fuel.water_frac else (1 - moisture) / (1 - fuel.water_frac)
        found[f"fuel_{n}_co2e_per_unit"] = emits * per_canonical * dry
        found[f"fuel_{n}_biogenic_per_unit"] = fuel.biogenic_co2_kg_per_unit * per_canonical * dry
        found[f"fuel_{n}_fossil"] = 1.0 if fuel.is_fossil else 0.0
        found[f"fuel_{n}_upstream"] = upstream_share(p, fuel)
    found["diesel_upstream"] = upstream_share(p, diesel)
    found["ammonia_and_hcn_n"], found["hcn_n"] = fuel_nitrogen(p["kiln.peak_temperature"])
    return found


def upstream_share(p: Values, fuel: substances.Fuel) -> Quantity:
    """Upstream of a fossil fuel on top of its combustion [kg/kg]: as typed for all. Source: fuels.csv."""
    typed = p.get("carbon.upstream_share")
    return fuel.upstream_frac if typed is None or not fuel.is_fossil else typed


def fuel_nitrogen(peak_c: Quantity) -> tuple[Quantity, Quantity]:
    """Nitrogen of the protein as NH3 and HCN, and as HCN alone [kg/kg N], by peak [°C]. Source: n_nh3, n_hcn.

    Straight between 500 and 800 °C, before any flame; no more than it can become N2O.
    """
    place = interp((500.0, 800.0), (0.0, 1.0), peak_c)
    ends = [(factors.factor(name).low or 0.0, factors.factor(name).value) for name in ("n_nh3", "n_hcn")]
    ammonia, hcn = ((low + (high - low) * place) / 100 for low, high in ends)
    return ammonia + hcn, hcn


def process(b: Book, plan: Plan) -> Quantity:
    """Process emissions [kg CO2e a year]: activity × factor; biogenic CO2 beside it. Source: IPCC guidelines."""
    fuel = _fuel(b, plan)
    ch4, n2o = _stack(b, plan)
    grinding = b.line("grind_kg_co2e", b["char_kg"] * b["carbon.grind_energy"] * b["carbon.grid_factor"])
    bags = b.line("bags_kg_co2e", b["bagged_kg"] / b["as_sold_per_kg"] * b["carbon.bag_factor"])
    diesel_l = b.line("haul_diesel_l", b["haul.trips"] * b["haul.distance"] * b["haul.fuel_use"])
    trips = b.line("haul_trips_kg_co2e", diesel_l * b["diesel_co2e_per_l"])
    freight = b.line("haul_freight_kg_co2e", b["haul.mass"] * b["haul.mass_distance"] * b["freight_co2e_per_kg_m"])
    hauling = b.line("haul_kg_co2e", trips + freight)
    upstream = b.line("upstream_kg_co2e", b["fuel_upstream_kg_co2e"] + hauling * b["diesel_upstream"])
    other = b.line("other_process_kg_co2e", upstream + hauling + grinding + bags)
    return b.line("process_kg_co2e", fuel + ch4 + n2o + other)


def _fuel(b: Book, plan: Plan) -> Quantity:
    used = {n: b[f"fuel_{n}_used"] for n in plan.fuels}
    parts = {n: b.line(f"fuel_{n}_kg_co2e", used[n] * b[f"fuel_{n}_co2e_per_unit"]) for n in used}
    b.line("fuel_biogenic_kg_co2", total(used[n] * b[f"fuel_{n}_biogenic_per_unit"] for n in used))
    b.line("bone_gas_biogenic_kg_co2", np.maximum(b["organic_c_gas_kg"], 0) * b["co2_per_c"])
    b.line("fuel_fossil_kg_co2e", total(parts[n] * b[f"fuel_{n}_fossil"] for n in used))
    b.line("fuel_upstream_kg_co2e", total(parts[n] * b[f"fuel_{n}_upstream"] for n in used))
    return b.line("fuel_kg_co2e", total(parts.values()))


def _stack(b: Book, plan: Plan) -> tuple[Quantity, Quantity]:
    """Methane and N2O of the stack by test, else per kg of gas and N lost; no more N2O than NH3 and HCN hold."""
    firings = b["firings_per_year"]
    reactive = b.line("ammonia_and_hcn_n_kg", b["n_bones_kg"] * b["ammonia_and_hcn_n"])
    b.line("hcn_n_kg", b["n_bones_kg"] * b["hcn_n"])
    ch4 = firings * b["carbon.test_ch4"] if plan.tested_ch4 else b["volatiles_kg"] * b["carbon.stack_ch4"]
    ch4 = b.line("stack_ch4_kg", ch4)
    if plan.tested_n2o:
        n2o = firings * b["carbon.test_n2o"]
    else:
        n2o = np.minimum(b["n_lost_kg"] * b["carbon.stack_n2o_share"], reactive) * b["n2o_per_n"]
    n2o = b.line("stack_n2o_kg", n2o)
    ch4 = b.line("stack_ch4_kg_co2e", ch4 * b["gwp_ch4_biogenic"])
    return ch4, b.line("stack_n2o_kg_co2e", n2o * b["gwp_n2o"])
