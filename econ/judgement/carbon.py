"""Cautions on carbon figures, and why one is withheld."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from econ.evidence import curves, factor
from econ.model.plan import Plan
from econ.scenario.records import Caution, Scenario

Figures = Mapping[str, float]


def cautions(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """Cautions on removal, stack gases and the method."""
    net = figures["project_net_kg_co2e"]
    if math.isfinite(net) and net < 0:
        yield Caution(
            "net-source",
            f"The kiln emits more than the char stores: {-net / 1000:,.1f} t CO2e a year net. Fuel and stack "
            "gases outweigh the carbon of the char.",
        )
    yield Caution(
        "no-row-for-bone",
        "The inventory method has no row for bone: the lasting share of the carbon is an estimate outside "
        "its data, and some factors in use are unverified (sheet Sources). Not a carbon credit.",
    )
    if not plan.measured_carbon:
        yield Caution(
            "organic-carbon-modelled",
            "Organic carbon of the char comes from the material balance (5 to 12 % is the known range): have "
            "it measured before you cite it.",
            "carbon.organic_share",
        )


def persistence_reason(scenario: Scenario, plan: Plan) -> str:
    """Why the chosen method gives no lasting share."""
    if plan.persistence == "temperature-class":
        least = curves.persistence_classes().edges_c[0]
        return f"withheld: char of {least:.0f} °C or less is outside the method"
    if not plan.has_hc:
        return "withheld: H/C_org (carbon.h_corg) is not filled"
    limit = factor("hc_lim").value
    if scenario["carbon.h_corg"].number > limit:
        return f"withheld: H/C_org is above {limit:g}, the limit of the method"
    soil = curves.persistence_by_hc().soil_c
    return f"withheld: soil temperature outside {soil[0]:.0f} to {soil[-1]:.0f} °C"
