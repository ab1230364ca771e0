"""What a grower must hear of own planting: whether a block may have its application, and what to mind."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from econ import evidence
from econ.inputs.records import Caution, Scenario
from econ.model.plan import Plan
from econ.model.plan_parts import Ground
from econ.units import said, unit

Figures = Mapping[str, float]

SHALLOW_M = 0.025
TEA = (
    "Untested compost tea: treat it as raw manure. Wait 120 days from application to harvest where the edible "
    "part touches the soil, 90 days elsewhere (US organic rule, 7 CFR 205.203(c)); drinking water, no sugar."
)
ASK_LOCAL = (
    "No local limit is entered. Ask first for your state's P index and for a nutrient management plan by NRCS "
    "practice 590; the ceilings here do not replace them."
)
ONCE = frozenset({"planting-untested-tea", "planting-ask-local"})
"""Said once, whatever the number of blocks."""


@dataclass(frozen=True, slots=True)
class Said:
    """What is said of one block: the soil-test class, and why it may not be applied as planned (empty if it may).

    `none` says that nothing at all may be applied; `words` are pairs of caution id and sentence.
    """

    soil_class: str
    stopped: str
    none: bool
    words: tuple[tuple[str, str], ...]


def said_of(scenario: Scenario, figures: Figures, ground: Ground) -> Said:
    """The words for one block of planting."""
    entry = scenario[f"planting.{ground.number}.soil_test"]
    level = None if entry.value is None else unit("mg/kg").from_canonical(entry.number)
    found = None if level is None else evidence.soil_reading("mehlich3", max(level, 1e-6))
    none = figures[_name(ground, "most_p2o5_kg_per_ha")] <= 0
    stopped = "" if figures[_name(ground, "may_spread")] else _stopped(scenario, figures, ground, level, none)
    words = tuple(_words(scenario, figures, ground, level, bool(stopped)))
    return Said(found.reading if found else "", stopped, none, words)


def _name(ground: Ground, word: str) -> str:
    return f"planting_{ground.number}_{word}"


def _stopped(scenario: Scenario, figures: Figures, ground: Ground, level: float | None, none: bool) -> str:
    """Why a block may not have its application, what it may have, and when the next."""

    def amount(word: str, metric: str, digits: int = 0) -> str:
        return said(figures[_name(ground, word)], metric, scenario.system, digits)

    years = figures[_name(ground, "next_years")]
    if not none:
        return (
            f"MAY NOT BE APPLIED AS PLANNED: {amount('p2o5_kg_per_ha', 'kg/ha')} of P2O5 in one application, "
            f"{figures[_name(ground, 'years_of_removal')]:.1f} years of crop P removal. At most "
            f"{amount('most_p2o5_kg_per_ha', 'kg/ha')}: {_binding(figures, ground)}. That is "
            f"{amount('allowed_kg', 'kg', 1)} of dry char, and again after "
            f"{years:.3g} year{'' if years == 1 else 's'}."
        )
    limit, stop = evidence.factor("m3_opt"), evidence.factor("m3_env")
    if level is None or level < limit.value:
        return "DO NOT APPLY: your local plan allows no phosphate here."
    edge, what = (
        (stop, "environmental threshold") if level >= stop.value else (limit, "no phosphorus needed above")
    )
    return (
        f"DO NOT APPLY: Mehlich-3 P of {level:.3g} ppm (mg/kg); {what} {edge.value:.0f} ppm ({edge.source.text}). "
        f"Phosphorus would be lost to water. Crop P removal takes about {years:.0f} years to "
        f"{limit.value:.0f} ppm: test again before any char."
    )


def _binding(figures: Figures, ground: Ground) -> str:
    """The ceiling that counts, in words."""
    most = figures[_name(ground, "most_p2o5_kg_per_ha")] * (1 + 1e-9)
    for word, text in (
        ("ceiling_peak_kg_per_ha", "more takes the soil test to where no phosphorus is needed"),
        ("ceiling_test_kg_per_ha", "crop P removal until the next application, with build-up of a low soil test"),
        ("ceiling_removal_kg_per_ha", "crop P removal until the next application, as there is no soil test"),
    ):
        if figures.get(_name(ground, word), most * 2 + 1) <= most:
            return text
    return "what your local plan allows"


def _words(
    scenario: Scenario, figures: Figures, ground: Ground, level: float | None, stopped: bool
) -> Iterator[tuple[str, str]]:
    start = f"planting.{ground.number}"
    if level is None:
        yield (
            "planting-no-soil-test",
            "No soil test: test first. Without one no more than crops remove, and the char is worth nothing.",
        )
    elif not stopped and figures[_name(ground, "p_is_short")] == 0:
        yield (
            "planting-phosphorus-enough",
            f"Soil test {level:.3g} ppm: nothing is bought there that the char could replace, so no value is "
            "counted. Apply no more than crops remove.",
        )
    ph, edge = scenario[f"{start}.soil_ph"], evidence.factor("ph_stop").value
    if ph.value is not None and ph.number > edge:
        yield (
            "planting-soil-ph",
            f"Soil pH {ph.number:.1f} is above {edge:g}: bone char hardly dissolves there. No value is counted.",
        )
    depth = scenario[f"{start}.depth"].value
    shallow = not isinstance(depth, float) or depth < SHALLOW_M
    if ground.way in {"broadcast", "deep"} and shallow:
        yield (
            "planting-at-surface",
            "Char left at the surface washes off with its phosphorus: incorporate it (enter the depth), keep it "
            "off from water.",
        )
    if not ground.has_area:
        yield "planting-ground-assumed", "No distances are entered, so its ground is assumed: enter the area."
    if ground.blend == "tea" and scenario["injector.tea_tested"].value != "yes" and not stopped:
        yield "planting-untested-tea", TEA
    if "local_most" not in ground.rows:
        yield "planting-ask-local", ASK_LOCAL


def name_of(scenario: Scenario, ground: Ground) -> str:
    """A block as its owner calls it."""
    return str(scenario[f"planting.{ground.number}.name"].value or f"Planting {ground.number}")


def cautions(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """Cautions of every block, and of all of them against the year's char."""
    if not plan.planting.grounds:
        return
    yield from _amounts(figures, scenario.system)
    told: set[str] = set()
    for ground in plan.planting.grounds:
        found, name = said_of(scenario, figures, ground), name_of(scenario, ground)
        where = f"planting.{ground.number}.soil_test"
        if found.stopped:
            word = "planting-stopped" if found.none else "planting-above-ceiling"
            yield Caution(word, f"{name}: {found.stopped}", where)
        for word, text in found.words:
            if word not in told:
                yield Caution(word, text if word in ONCE else f"{name}: {text}", where)
            told |= ONCE & {word}


def _amounts(figures: Figures, system: str) -> Iterator[Caution]:
    """Planting never uses more char than is made, or char that is also sold, without a word."""
    char, beyond = figures["planting_char_kg"], figures["planting_beyond_made_kg"]
    if beyond > 1e-6:
        yield Caution(
            "planting-beyond-made",
            f"Own planting asks for {said(char, 'kg', system)} of char a year, {said(beyond, 'kg', system)} more "
            "than the kiln finishes.",
            "planting.1.count",
        )
    aside = figures["planting_not_set_aside_kg"]
    if aside > 1e-6:
        yield Caution(
            "planting-not-set-aside",
            f"Char is counted twice: {said(aside, 'kg', system)} of the {said(char, 'kg', system)} a year for own "
            "planting also count as sold. Leave 'Char for your own trees and beds' blank and the switch at yes.",
            "own_use.from_planting",
        )
