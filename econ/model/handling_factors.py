"""Coefficients of today's way and of the other ways: stand-ins for blank rows, decay, carbon of the gas."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from econ import evidence
from econ.evidence import stoichiometry
from econ.model.blanks import Blank, blanks
from econ.model.landfill import out_share
from econ.model.ledger import Quantity
from econ.model.plan import Plan

Values = Mapping[str, Quantity]
G_PER_KG = 1000.0


def handling(p: Values, plan: Plan) -> dict[str, Quantity]:
    """Factors that stand in for blank rows, and what tables and exponentials give, per unit.

    `landfill_out_share` is the share of the methane of the study's deposits that is out at its end.
    """
    found: dict[str, Quantity] = {one.coefficient: one.ends()[1] for one in blanks(plan)}
    decay = p.get("handling.lf_decay", found[Blank("handling.lf_decay", "").coefficient])
    found |= {
        "landfill_out_share": out_share(decay, p["money.study_years"]),
        "landfill_rots_if_blank": 1.0,
        "own_way_if_blank": np.nan,
        "price_has_protocol": 1.0 if plan.carbon_protocol else np.nan,
        "pit_methane_correction": evidence.factor("lf_mcf_pit").value,
        "chips_ch4_per_kg": (evidence.factor("cmp_ch4").low or 0.0) / G_PER_KG,
        "chips_n2o_per_kg": (evidence.factor("cmp_n2o").low or 0.0) / G_PER_KG,
        "ch4_per_c": stoichiometry.CH4_PER_C_REPORTING,
    }
    return found
