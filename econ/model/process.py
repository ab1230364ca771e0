"""Process emissions of a plant year: fuel, stack, hauling, grinding, bags; nothing avoided is in them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from econ import evidence
from econ.evidence.substances import Fuel
from econ.model.ledger import Book, Quantity, interp, total
from econ.model.plan import Plan
from econ.units import unit

Values = Mapping[str, Quantity]


VEHICLES = {"truck": "truck_tkm", "small-truck": "truck_rigid_tkm", "van": "truck_van_tkm"}
KG_M_PER_T_KM = 1e6


def climate(p: Values, plan: Plan) -> dict[str, Quantity]:
    """Warming potentials [kg CO2e/kg], and what a unit of each fuel emits [kg CO2e/L, kg or MJ]."""
    edition = evidence.gwp(plan.gwp_set)
    found: dict[str, Quantity] = {
        "gwp_ch4_biogenic": edition.ch4_biogenic.value,
        "gwp_n2o": edition.n2o.value,
        "propane_co2e_per_l": evidence.fuel("propane").co2e_kg_per_unit(edition),
        "diesel_co2e_per_l": evidence.fuel("diesel").co2e_kg_per_unit(edition),
        "freight_co2e_per_kg_m": evidence.factor(VEHICLES[plan.vehicle]).value / KG_M_PER_T_KM,
    }
    for n, kind in zip(plan.fuels, plan.fuel_kinds, strict=True):
        fuel = evidence.fuel(kind)
        per_canonical = _per_canonical(fuel.measure)
        emits: Quantity = fuel.co2e_kg_per_unit(edition)
        if kind == "electricity":
            emits = p["carbon.grid_factor"] * 3.6
        dry = _dryness(p.get(f"fuel.{n}.moisture"), fuel)
        found[f"fuel_{n}_co2e_per_unit"] = emits * per_canonical * dry
        found[f"fuel_{n}_biogenic_per_unit"] = fuel.biogenic_co2_kg_per_unit * per_canonical * dry
        found[f"fuel_{n}_fossil"] = 1.0 if fuel.is_fossil else 0.0
        found[f"fuel_{n}_upstream"] = upstream_share(p, fuel)
    found["diesel_upstream"] = upstream_share(p, evidence.fuel("diesel"))
    found["ammonia_and_hcn_n"], found["hcn_n"] = fuel_nitrogen(p["kiln.peak_temperature"])
    return found


def _dryness(moisture: Quantity | None, fuel: Fuel) -> Quantity:
    """Dry wood in a unit of wood of this moisture, against the wood of the table."""
    return 1.0 if moisture is None or not fuel.water_frac else (1 - moisture) / (1 - fuel.water_frac)


def upstream_share(p: Values, fuel: Fuel) -> Quantity:
    """Upstream of a fossil fuel on top of its combustion [kg/kg]: as typed for all, else of the fuel."""
    typed = p.get("carbon.upstream_share")
    return fuel.upstream_frac if typed is None or not fuel.is_fossil else typed


def fuel_nitrogen(peak_c: Quantity) -> tuple[Quantity, Quantity]:
    """Nitrogen of the protein that the gas carries as NH3 and HCN, and as HCN alone [kg/kg N], by peak [°C].

    Straight between 500 and 800 °C, a model protein before any flame. No more than it can become N2O.
    """
    place = interp((500.0, 800.0), (0.0, 1.0), peak_c)
    ends = [(evidence.factor(name).low or 0.0, evidence.factor(name).value) for name in ("n_nh3", "n_hcn")]
    ammonia, hcn = ((low + (high - low) * place) / 100 for low, high in ends)
    return ammonia + hcn, hcn


def _per_canonical(measure: str) -> float:
    """Units of `measure` in one canonical unit: kWh per MJ, m3 per L, 1 for L and kg."""
    return 1.0 / unit(measure).factor


def process(b: Book, plan: Plan) -> Quantity:
    """Process emissions [kg CO2e a year].

    Biogenic CO2 of wood and bone gas is a memo line and not part of the sum. Hauling, grinding and bags are 0
    unless their rows are filled; upstream of fossil fuel goes by the fuel unless typed.
    """
    fuel = _fuel(b, plan)
    ch4, n2o = _stack(b, plan)
    grinding = b.line("grind_kg_co2e", b["char_kg"] * b["carbon.grind_energy"] * b["carbon.grid_factor"])
    bags = b.line("bags_kg_co2e", b["bagged_kg"] / b["as_sold_per_kg"] * b["carbon.bag_factor"])
    hauling = _hauling(b)
    upstream = b.line("upstream_kg_co2e", b["fuel_upstream_kg_co2e"] + hauling * b["diesel_upstream"])
    other = b.line("other_process_kg_co2e", upstream + hauling + grinding + bags)
    return b.line("process_kg_co2e", fuel + ch4 + n2o + other)


def _fuel(b: Book, plan: Plan) -> Quantity:
    parts, fossil, biogenic, upstream = [], [], [], []
    for n in plan.fuels:
        used = b[f"fuel_{n}_used"]
        parts.append(b.line(f"fuel_{n}_kg_co2e", used * b[f"fuel_{n}_co2e_per_unit"]))
        fossil.append(parts[-1] * b[f"fuel_{n}_fossil"])
        upstream.append(parts[-1] * b[f"fuel_{n}_upstream"])
        biogenic.append(used * b[f"fuel_{n}_biogenic_per_unit"])
    b.line("fuel_biogenic_kg_co2", total(biogenic))
    b.line("bone_gas_biogenic_kg_co2", np.maximum(b["organic_c_gas_kg"], 0) * b["co2_per_c"])
    b.line("fuel_fossil_kg_co2e", total(fossil))
    b.line("fuel_upstream_kg_co2e", total(upstream))
    return b.line("fuel_kg_co2e", total(parts))


def _stack(b: Book, plan: Plan) -> tuple[Quantity, Quantity]:
    """Methane and N2O of the stack: an own test per firing, else per kg of gas-forming matter and N lost.

    N2O comes from NH3 and HCN in the gas: no more nitrogen than they hold can leave as N2O.
    """
    firings = b["firings_per_year"]
    reactive = b.line("ammonia_and_hcn_n_kg", b["n_bones_kg"] * b["ammonia_and_hcn_n"])
    b.line("hcn_n_kg", b["n_bones_kg"] * b["hcn_n"])
    if plan.tested_ch4:
        ch4_kg = b.line("stack_ch4_kg", firings * b["carbon.test_ch4"])
    else:
        ch4_kg = b.line("stack_ch4_kg", b["volatiles_kg"] * b["carbon.stack_ch4"])
    if plan.tested_n2o:
        n2o_kg = b.line("stack_n2o_kg", firings * b["carbon.test_n2o"])
    else:
        n2o_n = np.minimum(b["n_lost_kg"] * b["carbon.stack_n2o_share"], reactive)
        n2o_kg = b.line("stack_n2o_kg", n2o_n * b["n2o_per_n"])
    ch4 = b.line("stack_ch4_kg_co2e", ch4_kg * b["gwp_ch4_biogenic"])
    n2o = b.line("stack_n2o_kg_co2e", n2o_kg * b["gwp_n2o"])
    return ch4, n2o


def _hauling(b: Book) -> Quantity:
    """Hauling that the kiln causes: trips × distance × diesel, and freight by mass × distance."""
    diesel_l = b.line("haul_diesel_l", b["haul.trips"] * b["haul.distance"] * b["haul.fuel_use"])
    trips = b.line("haul_trips_kg_co2e", diesel_l * b["diesel_co2e_per_l"])
    freight = b.line("haul_freight_kg_co2e", b["haul.mass"] * b["haul.mass_distance"] * b["freight_co2e_per_kg_m"])
    return b.line("haul_kg_co2e", trips + freight)
