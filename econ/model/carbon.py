"""Durable carbon, removal and process emissions of a plant year, each on its own line.

Carbon reporting uses 44/12, 16/12 and 44/28 (inventory convention). Removal is counted at application,
for the in-scope share of the char that is sold or used; carbonate carbon never counts. Avoided emissions
never enter here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from econ.model.ledger import Book, Quantity, total

if TYPE_CHECKING:
    from econ.model.plan import Plan


def removal(b: Book, char_kg: Quantity, unused_kg: Quantity, organic_c_kg: Quantity) -> Quantity:
    """Removal [kg CO2e a year] = C_org applied in scope × share lasting 100 years × 44/12."""
    used_frac = b.line("char_used_share", (char_kg - unused_kg) / np.maximum(char_kg, 1e-9))
    applied = b.line("organic_c_in_scope_kg", organic_c_kg * used_frac * b["carbon.in_scope_share"])
    durable = b.line("durable_c_kg", applied * b["persist_frac"])
    b.line("durable_c_low_kg", applied * b["persist_low_frac"])
    b.line("durable_c_high_kg", applied * b["persist_high_frac"])
    return b.line("removal_kg_co2e", durable * b["co2_per_c"])


def process(b: Book, plan: Plan, volatiles_kg: Quantity, n_lost_kg: Quantity) -> Quantity:
    """Process emissions [kg CO2e a year]: fuel, methane and N2O of the stack.

    Biogenic CO2 of wood and bone gas is a memo line and not part of the sum. `fuel_N_used` must have
    been kept in `p` by the caller under that name.
    """
    parts = []
    biogenic = []
    for n in plan.fuels:
        used = b[f"fuel_{n}_used"]
        parts.append(b.line(f"fuel_{n}_kg_co2e", used * b[f"fuel_{n}_co2e_per_unit"]))
        biogenic.append(used * b[f"fuel_{n}_biogenic_per_unit"])
    fuel = b.line("fuel_kg_co2e", total(parts))
    ch4_kg = b.line("stack_ch4_kg", volatiles_kg * b["carbon.stack_ch4"])
    ch4 = b.line("stack_ch4_kg_co2e", ch4_kg * b["gwp_ch4_biogenic"])
    n2o_kg = b.line("stack_n2o_kg", n_lost_kg * b["carbon.stack_n2o_share"] * b["n2o_per_n"])
    n2o = b.line("stack_n2o_kg_co2e", n2o_kg * b["gwp_n2o"])
    b.line("fuel_biogenic_kg_co2", total(biogenic))
    return b.line("process_kg_co2e", fuel + ch4 + n2o)


def net(b: Book, removed: Quantity, emitted: Quantity) -> Quantity:
    """Project net = removal less process emissions [kg CO2e a year]; negative is a net source."""
    return b.line("project_net_kg_co2e", removed - emitted)
