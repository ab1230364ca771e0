"""Cautions on carbon figures, and why one is withheld."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from econ.evidence import curves, factor
from econ.inputs.records import Caution, Scenario
from econ.model.plan import Plan

Figures = Mapping[str, float]


def few(value: float) -> str:
    """A positive number in words: one decimal, or two figures that matter below 1."""
    return f"{value:,.1f}" if value >= 1 else f"{value:.2g}"


def cautions(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """Cautions on removal, stack gases and the method."""
    net = figures["project_net_kg_co2e"]
    if math.isfinite(net) and net < 0:
        yield Caution(
            "net-source",
            f"The kiln emits more than the char stores: {few(-net / 1000)} t CO2e a year net. Fuel and stack "
            "gases outweigh the carbon of the char.",
        )
    yield from _today(plan, figures)
    yield from _char(plan, figures)
    yield Caution(
        "no-row-for-bone",
        "No published method has a row for bone: the fraction remaining after 100 years is an estimate outside "
        "its data, and some facts in use were not checked (sheet Sources). Not a carbon credit.",
    )
    if not plan.measured_carbon:
        yield Caution(
            "organic-carbon-modelled",
            "Organic carbon of the char comes from the material balance (5 to 12 % is the known range): have "
            "it measured before you cite it.",
            "carbon.organic_share",
        )


def _today(plan: Plan, figures: Figures) -> Iterator[Caution]:
    """What the comparison with current practice calls for."""
    with_credits = figures["difference_with_credits_kg_co2e"]
    if plan.today == "rendering" and math.isfinite(with_credits) and with_credits < 0:
        yield Caution(
            "rendering-credits-lost",
            "Rendering makes meal and tallow that displace other goods. With those credits the kiln emits "
            f"{-with_credits / 1000:,.1f} t CO2e a year more than current practice. Without them the difference "
            f"is {figures['difference_kg_co2e'] / 1000:+,.1f}. Show both.",
            "current.option",
        )
    if plan.today == "landfill" and figures["landfill_c_stays_kg"] > figures["organic_c_kg"]:
        yield Caution(
            "landfill-stores-more",
            f"The landfill keeps {figures['landfill_c_stays_kg'] / 1000:,.1f} t carbon of the bones a year, the "
            f"char {figures['organic_c_kg'] / 1000:,.1f} t: the difference to a landfill is methane avoided, "
            "never a removal.",
        )
    if plan.carbon_price:
        yield Caution(
            "carbon-price-what-if",
            "Income at a carbon price stands apart as a what-if and is in no other figure: no credit exists "
            "before a protocol accepts bone and a third party verifies."
            if plan.carbon_protocol
            else "A carbon price without a protocol earns nothing: name it, or leave the price out.",
            "carbon.price",
        )


def _char(plan: Plan, figures: Figures) -> Iterator[Caution]:
    """What the carbon of the char itself calls for."""
    lab, corrected = (figures[f"removal_by_hc_{name}_kg_co2e"] for name in ("lab", "corrected"))
    if plan.has_hc and not plan.corrects_hc and math.isnan(lab) and math.isfinite(corrected):
        yield Caution(
            "mineral-hydrogen",
            "H/C_org fails as it stands and passes without the hydrogen of the mineral: ask the lab "
            "for the corrected figure, or read the line of the Carbon sheet that takes it off.",
            "carbon.h_corg",
        )
    elsewhere = 1 - figures["in_scope_share"]
    if elsewhere > 1e-9:
        yield Caution(
            "partly-in-scope",
            f"{elsewhere:.0%} of the char sold or used goes where the method does not reach or is not "
            "documented: no removal is counted for it.",
            "carbon.in_scope_share",
        )


def persistence_reason(
    scenario: Scenario, plan: Plan, figures: Figures, method: str = "", ratio: float | None = None
) -> str:
    """Why a method (the plan's own where not named) gives no lasting share; for use where it gives none.

    `ratio` is the H/C_org that the method goes by, the plan's own where not given.
    """
    if not plan.soil_is_mineral:
        return "not reported: the methods hold for mineral soil of field, grassland or orchard only"
    least = curves.persistence_classes().edges_c[0]
    named = method or plan.persistence
    if named != "hydrogen-ratio" and scenario["kiln.peak_temperature"].number <= least:
        return f"not reported: char of {least:.0f} °C or less is outside the method"
    if named == "temperature-class":
        return _soil_reason()
    if not plan.has_hc:
        return "not reported: H/C_org is blank (sheet Carbon)"
    limit = factor("hc_lim").value
    if ratio is None:
        ratio = figures["hc_less_mineral"] if plan.corrects_hc else scenario["carbon.h_corg"].number
    if ratio > limit:
        hint = "" if plan.corrects_hc else "; hydrogen of the mineral may be in it (sheet Carbon corrects it)"
        return f"not reported: H/C_org is {ratio:.2f}, above {limit:g}, the limit of the method{hint}"
    return _soil_reason()


def _soil_reason() -> str:
    soil = curves.persistence_by_hc().soil_c
    return f"not reported: soil temperature outside {soil[0]:.0f} to {soil[-1]:.0f} °C"


def baseline_reason() -> str:
    """Why nothing can be said against current practice."""
    return "not reported: burial and alternatives need your own emission factor (sheet Carbon)"


def price_reason() -> str:
    """Why the what-if of a carbon price is withheld."""
    return "not reported: name the protocol under which it would be issued (sheet Carbon)"
