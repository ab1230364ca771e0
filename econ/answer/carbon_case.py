"""What a reviewer asks of a carbon statement: boundary, baselines, additionality, permanence, uncertainty.

After ISO 14064-2:2019, clauses 6.2 to 6.10, and the GHG Protocol for project accounting, chapters 5 to 11 (both
from memory). Note, page and JSON read the same records.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from econ.answer.results import Results
from econ.model.derived import KG_PER_T

OUT, BESIDE = "out", "apart"
NOT_FILLED = "not filled in: counted as zero"
BASELINES = {"compost_kg_co2e": "composting", "landfill_kg_co2e": "landfill"}
TODAY = "avoided_kg_co2e"
INTERVAL = (2.5, 97.5)
"""The 95 % interval that the IPCC guidelines ask for (2006, volume 1, chapter 3)."""
ANSWERS = {"yes": "yes", "no": "no", "not-answered": "not answered"}


@dataclass(frozen=True, slots=True)
class Boundary:
    """A source, sink or reservoir: where it stands, whether it is counted, how much [t CO2e a year], and why."""

    name: str
    where: str
    counted: str
    amount: float | None
    why: str


def boundary(results: Results) -> tuple[Boundary, ...]:
    """Every source, sink and reservoir of project and baseline, and the leakage, in or out with the reason."""
    return (*_project(results), *_baseline(results), *_leakage(results))


def _t(results: Results, name: str) -> float | None:
    value = results.figures.get(name, math.nan)
    return value / KG_PER_T if math.isfinite(value) else None


def _in(results: Results, name: str, line: str, why: str) -> Boundary:
    """A line of the process: counted where it is above zero, else named as not filled in."""
    amount = _t(results, line)
    return (
        Boundary(name, "project", "in", amount, why)
        if amount
        else Boundary(name, "project", OUT, None, NOT_FILLED)
    )


def _project(results: Results) -> Iterator[Boundary]:
    removal = _t(results, "removal_kg_co2e")
    why = "organic carbon on mineral soil in scope × fraction remaining after 100 years × 44/12"
    yield Boundary("Carbon of the char in soil (sink, reservoir)", "project", "in", removal, why)
    for name, line, why in (
        ("Kiln fuel: CO2, CH4, N2O", "fuel_kg_co2e", "fuel of every batch"),
        ("Kiln fuel, upstream", "upstream_kg_co2e", "from the well to the tank"),
        ("Stack: CH4", "stack_ch4_kg_co2e", "unburnt gas of the load"),
        ("Stack: N2O", "stack_n2o_kg_co2e", "from the nitrogen driven off"),
        ("Hauling that the kiln causes", "haul_kg_co2e", "trips that would not be driven otherwise"),
        ("Electricity of grinding", "grind_kg_co2e", "where not among the fuels already"),
        ("Bags", "bags_kg_co2e", "making of the packaging"),
    ):
        yield _in(results, name, line, why)
    carbonate = _t(results, "carbonate_c_kg")
    indirect = _indirect_n2o(results)
    for name, counted, amount, why in (
        (
            "N2O from NH3 and NOx carried by air",
            OUT,
            indirect,
            "at most this, if all nitrogen lost left as NH3 or NOx",
        ),
        ("CO2 of the bone gas", BESIDE, _t(results, "bone_gas_biogenic_kg_co2"), "biogenic: in no sum"),
        ("CO2 of wood fuel", BESIDE, _t(results, "fuel_biogenic_kg_co2"), "biogenic: in no sum"),
        ("Carbonate carbon of the char [t C]", OUT, carbonate, "was in the bone before; never counted"),
        ("Char in beds, blends, filters, stock, dust", OUT, None, "outside the method, or not applied yet"),
        ("Fat that drips out", OUT, None, "not traced; count it where it is sold or burnt"),
        ("Making of kiln and shed", OUT, None, "not estimated; once in the life of the kiln"),
    ):
        yield Boundary(name, "project", counted, amount, why)


def _indirect_n2o(results: Results) -> float:
    """Upper bound of the N2O that nitrogen carried off by air becomes elsewhere [t CO2e a year]."""
    figures, found = results.figures, results.coefficients
    return figures["n_lost_kg"] * found["ammonia_n2o_n"] * found["n2o_per_n"] * found["gwp_n2o"] / KG_PER_T


def _baseline(results: Results) -> Iterator[Boundary]:
    today = today_words(results)
    yield Boundary(
        f"Current practice: {today}", "baseline", "in", _t(results, "avoided_handling_kg_co2e"), "the same bones"
    )
    haul = _t(results, "avoided_haul_kg_co2e")
    yield Boundary("Hauling of current practice", "baseline", "in" if haul else OUT, haul or None,
                   "trips that end with the bones" if haul else NOT_FILLED)  # fmt: skip
    yield Boundary(
        "Bones that may not be processed", "baseline", OUT, None, "handled as today with and without the kiln"
    )
    stays = _t(results, "landfill_c_stays_kg")
    yield Boundary(
        "Carbon buried in a landfill [t C]", "baseline", BESIDE, stays, "can exceed that of the char: no removal"
    )


def _leakage(results: Results) -> Iterator[Boundary]:
    lost = _t(results, "credits_lost_kg_co2e")
    yield Boundary(
        "Feed, fat or compost no longer supplied", "leakage", "in", lost, "made elsewhere instead; own line"
    )
    displaced = _t(results, "displaced_kg_co2e")
    yield Boundary("Fertiliser displaced by the char", "leakage", "in" if displaced else OUT, displaced or None,
                   "available P2O5 where a soil test calls for it" if displaced else NOT_FILLED)  # fmt: skip
    yield Boundary("N2O and yield of the soil", "leakage", OUT, None, "no effect is claimed")


def today_words(results: Results) -> str:
    """Current practice in words."""
    option = results.scenario["current.option"].row.option(results.plan.today)
    return option.label if option else results.plan.today


@dataclass(frozen=True, slots=True)
class Baseline:
    """One baseline: its emissions and the difference that the kiln makes to it [t CO2e a year]."""

    name: str
    emitted: float | None
    difference: float | None
    is_conservative: bool


def baselines(results: Results) -> tuple[Baseline, ...]:
    """Current practice, composting and landfill; the one with the least emissions is the conservative one."""
    least, net = conservative(results), _t(results, "project_net_kg_co2e")
    found = []
    for line in _candidates(results):
        emitted = _t(results, line)
        is_today = line == TODAY
        name = f"Current practice: {today_words(results)}" if is_today else f"The same bones: {BASELINES[line]}"
        difference = None if emitted is None or net is None else net + emitted
        found.append(Baseline(name, emitted, difference, line == least))
    return tuple(found)


def _candidates(results: Results) -> tuple[str, ...]:
    """The lines of the baselines; the way of current practice stands once."""
    return (TODAY, *(line for line, way in BASELINES.items() if way != results.plan.today))


def conservative(results: Results) -> str:
    """The line of the baseline with the least emissions, co-products left out; empty where none is known."""
    emitted = {line: results.figures[line] for line in _candidates(results)}
    return min((line for line in emitted if math.isfinite(emitted[line])), key=emitted.__getitem__, default="")


def additionality(results: Results) -> tuple[str, ...]:
    """What law and common practice ask already, and whether the kiln pays without the grant."""
    scenario, money = results.scenario, results.scenario.currency
    law, common = (ANSWERS[scenario.choice(f"claim.{name}")] for name in ("law", "common_practice"))
    npv = results.chances.spreads["npv"]
    low, middle, high = npv.pair((10, 90))
    judged = (
        "It may well be built without a grant: show why it would not."
        if middle >= 0
        else "It would not be built for its money alone, by these figures."
    )
    texts = [
        f"Does a law or permit already ask for this treatment: {law}.",
        f"Is it common practice among similar plants: {common}.",
        f"Net present value without grant: median {_money(middle)} {money} (P10 {_money(low)} to "
        f"P90 {_money(high)}). {judged}",
    ]
    if "yes" in (law, common):
        texts.append("What law or common practice brings about anyway is not additional.")
    if "not answered" in (law, common):
        texts.append("Until both are answered, no reviewer can call the project additional.")
    return tuple(texts)


def _money(value: float) -> str:
    """Money to the nearest hundred, with a true minus."""
    return f"{round(value, -2) + 0.0:,.0f}".replace("-", "−")


def permanence(results: Results) -> tuple[str, ...]:
    """What can undo the storage, who answers for it, and what is followed up."""
    liable, follow = (
        str(results.scenario[f"claim.{name}"].value or "not answered") for name in ("liable", "follow_up")
    )
    return (
        "Reversal: fire of char in store or on dry soil, erosion, and removal of the soil can lose stored carbon.",
        f"Liable for a reversal: {liable}.",
        f"Follow-up after application: {follow}.",
        "Char that burns, is fed or leaves soil in scope counts nothing from then on; lost amounts are reported.",
    )


def method_rule(results: Results) -> str:
    """When the method was fixed, or the rule by which it is chosen."""
    if date := results.scenario["claim.method_date"].value:
        return f"The method was fixed on {str(date)[:10]}, as typed by the plant."
    return (
        "No date is typed on which the method was fixed. Rule of choice: the class of peak temperature unless "
        "another is chosen as an input; all are printed."
    )


def held(results: Results) -> tuple[str, ...]:
    """What stands still in the simulation runs, in words."""
    numbers = [
        entry for entry in results.scenario.entries.values() if entry.row.is_number and not entry.is_default
    ]
    typed = len([entry for entry in numbers if entry.value is not None and not entry.has_range])
    return (
        f"global warming potentials ({results.plan.gwp_set})",
        "emission factors and heating values of fuels",
        "atomic weights and the carbon content of protein and fat",
        f"{typed} typed numbers without a range",
    )
