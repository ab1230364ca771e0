"""Faults and cautions on yield, composition, phosphate and what an analysis may promise."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from econ.errors import InputFault
from econ.evidence import curves, stoichiometry
from econ.evidence.facts import READ
from econ.inputs.records import Caution, Scenario
from econ.model.plan import Plan
from econ.model.plan_parts import own_assay

Figures = Mapping[str, float]

DIFFERS_FRAC = 0.02
"""Weighed and modelled yields that agree to this share of each other are not worth a word."""
CLOSE = 1 + 1e-9
HCN_PER_N = (stoichiometry.H_G_PER_MOL + stoichiometry.C_G_PER_MOL) / stoichiometry.N_G_PER_MOL + 1


def faults(scenario: Scenario, plan: Plan, figures: Figures) -> list[InputFault]:
    """Inputs that the model shows to contradict each other."""
    if not plan.measured_yield or figures["bones_fired_kg"] <= 0:
        return []
    entry, fired, char_kg = scenario["kiln.char_yield"], figures["bones_fired_kg"], figures["char_kg"]
    mineral_kg = figures["char_modelled_kg"] - figures["residue_modelled_kg"]
    most_kg = min(figures["dry_matter_modelled_kg"], most_by_solids(plan, figures, mineral_kg))
    if char_kg > most_kg * CLOSE:
        return [
            InputFault(
                entry.where,
                f"a yield of {entry.number:.1%}",
                f"at most {most_kg / fired:.1%}: more char than these bones hold dry matter for. Was the char "
                "wet, or the load weighed after draining?",
            )
        ]
    if plan.matter.same_lot and char_kg < mineral_kg / CLOSE:
        return [
            InputFault(
                entry.where,
                f"a yield of {entry.number:.1%}",
                f"at least {mineral_kg / fired:.1%}, the mineral that the assay of this very load leaves. Was "
                "char spilt, or is the assay of another load?",
            )
        ]
    return []


def most_by_solids(plan: Plan, figures: Figures, mineral_kg: float) -> float:
    """The most char [kg] that protein and mineral can leave.

    With an assay of the load: its mineral and all its protein. Without: bones of nothing but protein and
    mineral in the proportion assumed.
    """
    if plan.matter.same_lot:
        return mineral_kg + figures["protein_kg"]
    return figures["char_modelled_kg"] * figures["bones_fired_kg"] / max(figures["solids_modelled_kg"], 1e-9)


def cautions(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """Cautions on yield, phosphate, temperature and weight as sold."""
    yield from _weighed(scenario, plan, figures)
    yield from _phosphate(plan, figures)
    yield from _temperature(scenario)
    yield from _gas(figures)
    if plan.matter.moisture_typed and figures["water_dried_off_kg"] < -1e-6:
        yield Caution(
            "water-taken-up",
            f"The product is said to hold {figures['sold_moisture']:.0%} water, more than was put to it: "
            "water that it takes up later is sold at the price of char.",
            "finish.sold_moisture",
        )


def _weighed(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    fired, modelled = figures["bones_fired_kg"], figures["char_modelled_kg"]
    if not plan.measured_yield or fired <= 0 or modelled <= 0:
        return
    ratio = figures["char_kg"] / modelled
    if abs(ratio - 1) <= DIFFERS_FRAC:
        return
    text = (
        f"The weighed yield of {figures['char_kg'] / fired:.1%} is {ratio:.0%} of the {modelled / fired:.1%} that "
        "composition and temperature give; the scale is believed"
    )
    if plan.matter.same_lot:
        text += f" and the protein leaves {figures['refit_of_residue']:.2f} of what the model says."
    else:
        shares = "/".join(
            f"{figures[f'{part}_kg'] / fired:.0%}" for part in ("water", "fat", "protein", "mineral")
        )
        text += f" and the bones are taken to hold water/fat/protein/mineral {shares}."
        if figures["char_kg"] < modelled - figures["residue_modelled_kg"]:
            text += " That is less than the mineral assumed before: meaty trim or wet bones have less."
        if own_assay(scenario, plan.streams):
            text += " Your assay is thereby set aside: say so if it is of the very load weighed."
    yield Caution("yield-differs", text, "kiln.char_yield")


def _phosphate(plan: Plan, figures: Figures) -> Iterator[Caution]:
    p2o5 = figures["p2o5_kg"]
    if figures["available_p2o5_kg"] > p2o5 * CLOSE:
        yield Caution(
            "available-above-total",
            "More available P2O5 was typed than the char holds P2O5: check the unit of the label and what it "
            "is of, dry char or product as sold.",
            "product.available_p2o5_share",
        )
    found, held = figures["p_kg"], figures["p_bones_kg"]
    if plan.matter.measured_phosphate and held > 0 and abs(found / held - 1) > 0.15:
        yield Caution(
            "phosphorus-does-not-close",
            f"The assay of the char finds {found / held:.0%} of the phosphorus that the bones bring, and none "
            "leaves at these temperatures: the ash of the bones, the yield or the assay is off.",
            "product.total_p2o5_share",
        )


def _gas(figures: Figures) -> Iterator[Caution]:
    """Hydrogen cyanide of the protein before any flame, as HCN in a batch."""
    batches, hcn_n = figures["firings_per_year"], figures["hcn_n_kg"]
    if batches > 0 and hcn_n > 0:
        yield Caution(
            "unburnt-gas-poison",
            f"Unburnt kiln gas is poison: hydrogen cyanide (up to {hcn_n / batches * HCN_PER_N:,.1f} kg a batch), "
            "with ammonia and carbon monoxide. Burn it, never breathe or vent it. Follow local codes and licensed "
            "practice.",
        )


def _temperature(scenario: Scenario) -> Iterator[Caution]:
    peak = scenario["kiln.peak_temperature"].number
    table = curves.retention()
    tested = next(at for at, origin in zip(table.peak_c, table.origins, strict=True) if origin.rung in READ)
    if not scenario.has("kiln.char_yield") and peak < tested:
        yield Caution(
            "char-curve-untested",
            "Below red heat no published data test the yield and carbon of the char. Weigh one batch and "
            "have its organic carbon measured.",
            "kiln.char_yield",
        )
    if not table.peak_c[0] <= peak <= table.peak_c[-1]:
        yield Caution(
            "temperature-outside-model",
            f"{peak:.0f} °C lies outside {table.peak_c[0]:.0f} to {table.peak_c[-1]:.0f} °C: the yield of "
            "the nearest end is used.",
            "kiln.peak_temperature",
        )
