"""What a grower must hear of own planting, and what a garden trial lets one say to a customer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from econ import evidence
from econ.answer.own_units import said
from econ.inputs.records import Caution, Scenario
from econ.measured.garden_trials import SHOWN, Comparison, Germination, Means, TrialsReading, mean
from econ.model.plan import Plan
from econ.model.plan_parts import Ground
from econ.units import unit

Figures = Mapping[str, float]

HEAVY_YEARS = 5.0
"""A dressing of more years of harvest than this, beyond the years it is for, is worth a word."""
SHALLOW_M = 0.025
TEA = (
    "Untested compost tea: treat it as raw manure. Wait 120 days from spreading to harvest where the edible part "
    "touches the soil, 90 days elsewhere (US organic rule 7 CFR 205.203, from memory: check it); drinking water, "
    "no sugar or molasses."
)


@dataclass(frozen=True, slots=True)
class Said:
    """What is said of one block: the soil-test class, why it is stopped (empty if not), and other words."""

    soil_class: str
    stopped: str
    words: tuple[tuple[str, str], ...]
    """Pairs of caution id and sentence."""


def said_of(scenario: Scenario, figures: Figures, ground: Ground) -> Said:
    """The words for one block of planting."""
    n = ground.number
    words: list[tuple[str, str]] = []
    soil, stopped = "", ""
    entry = scenario[f"planting.{n}.soil_test"]
    if entry.value is None:
        words.append(("planting-no-soil-test", "No soil test: test first. Without one the char is worth nothing."))
    else:
        level = unit("mg/kg").from_canonical(entry.number)
        soil = _class(level)
        if figures[f"planting_{n}_may_spread"] == 0:
            stopped = _stop(level)
        elif figures[f"planting_{n}_p_is_short"] == 0:
            words.append(
                ("planting-phosphorus-enough", f"Soil test {level:.3g} ppm, {soil}: nothing is bought there "
                 "that the char could replace, so no value is counted. Apply no more than crops remove.")
            )  # fmt: skip
    words += _load(figures, ground)
    words += _soil(scenario, figures, ground)
    if ground.blend == "tea" and scenario["injector.tea_tested"].value != "yes" and not stopped:
        words.append(("planting-untested-tea", TEA))
    return Said(soil, stopped, tuple(words))


def _class(level: float) -> str:
    """The Mehlich-3 class of a level [mg/kg], nil included."""
    found = evidence.soil_reading("mehlich3", max(level, 1e-6))
    return found.reading if found is not None else ""


def _stop(level: float) -> str:
    limit = evidence.factor("m3_env")
    return (
        f"DO NOT APPLY: Mehlich-3 P of {level:.3g} ppm (mg/kg) is at or above the environmental threshold of "
        f"{limit.value:.0f} ppm ({limit.source.text}). Phosphorus would be lost to water; no char "
        "is counted here."
    )


def _load(figures: Figures, ground: Ground) -> Iterator[tuple[str, str]]:
    n = ground.number
    harvests = figures.get(f"planting_{n}_years_of_removal")
    if harvests is None:
        return
    dressing, planned = figures[f"planting_{n}_dressing_kg"], figures[f"planting_{n}_char_kg"]
    years = dressing / planned if planned else 1.0
    if harvests > HEAVY_YEARS * years:
        yield (
            "planting-heavy",
            f"One dressing brings the phosphorus of {harvests:.1f} harvests for {years:.0f} year"
            f"{'' if years == 1 else 's'}: the soil test will rise.",
        )


def _soil(scenario: Scenario, figures: Figures, ground: Ground) -> Iterator[tuple[str, str]]:
    n = ground.number
    ph = scenario[f"planting.{n}.soil_ph"]
    stop = evidence.factor("ph_stop").value
    if ph.value is not None and ph.number > stop:
        yield (
            "planting-soil-ph",
            f"Soil pH {ph.number:.1f} is above {stop:g}: bone char hardly dissolves there. No value is counted.",
        )
    depth = scenario[f"planting.{n}.depth"].value
    if ground.way == "broadcast" and (not isinstance(depth, float) or depth < SHALLOW_M):
        yield (
            "planting-at-surface",
            "Broadcast char left at the surface washes off with its phosphorus: work it in, keep off from water.",
        )


def cautions(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """Cautions of every block, and of all of them against the year's char."""
    if not plan.planting.grounds:
        return
    yield from _amounts(figures, scenario.system)
    told: set[str] = set()
    for ground in plan.planting.grounds:
        said = said_of(scenario, figures, ground)
        name = scenario[f"planting.{ground.number}.name"].value or f"Planting {ground.number}"
        where = f"planting.{ground.number}.soil_test"
        if said.stopped:
            yield Caution("planting-stopped", f"{name}: {said.stopped}", where)
        for word, text in said.words:
            if word != "planting-untested-tea" or word not in told:
                yield Caution(word, text if word == "planting-untested-tea" else f"{name}: {text}", where)
            told.add(word)


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
            "planting also count as sold. Enter what you keep as own use (sheet Products).",
            "own_use.mass",
        )


LABELS = {
    "days_sprout": "days to the first sprout",
    "days_fruit": "days to the first fruit",
    "harvest": "yield of a bed",
}
TREATED = "with char"


def chance_words(p: float) -> str:
    """A chance p as a person reads it."""
    if p >= 0.995:
        return "in every such trial"
    return f"in {p * 100:.0f} of 100 such trials" if p >= 0.01 else f"in {p * 10_000:.2g} of 10,000 such trials"


def may_say(found: Germination | Means, detail: str, unit: str, scale: float = 1.0) -> str:
    """The sentence that may stand on a label or be told, numbers with it."""
    with_char = f"with char ({detail})" if detail else TREATED
    if isinstance(found, Germination):
        ours, theirs = found.with_char, found.without
        told = (
            f"In our own trial {ours.sprouted} of {ours.sown} seeds sprouted {with_char} and {theirs.sprouted} "
            f"of {theirs.sown} without."
        )
    else:
        told = (
            f"In our own trial: {LABELS[found.of]} {mean(found.with_char) * scale:.3g} {unit} {with_char} "
            f"({_beds(found.with_char)}) and {mean(found.without) * scale:.3g} {unit} without "
            f"({_beds(found.without)})."
        )
    if found.verdict == SHOWN:
        return f"May be said: '{told}'"
    return f"May be said, whole and unchanged: '{told} That is no difference shown.'"


def _beds(values: tuple[float, ...]) -> str:
    return "1 bed" if len(values) == 1 else f"{len(values)} beds"


def may_not_say(found: Germination | Means) -> str:
    """What the trial does not carry."""
    if found.verdict != SHOWN:
        return (
            f"May not be said: that char does better or worse. Chance alone does as much {chance_words(found.p)}. "
            "Nor is it shown that char makes no difference."
        )
    if not found.is_better:
        return "May not be said: that char helps. This trial shows that it did WORSE; find out why before selling."
    return (
        "May not be said: that it will be so in another soil, crop or year, or any figure as a promise. "
        f"Chance alone does as much {chance_words(found.p)}."
    )


def needed(found: Germination | Means, unit: str, scale: float = 1.0) -> str:
    """How large a trial shows the difference asked for."""
    if isinstance(found, Germination):
        size = "more than 1,000 seeds" if found.seeds is None else f"{found.seeds} seeds"
        return (
            f"A difference of {found.asked:.0%} of the seeds takes {size} a side to be shown four times in five."
        )
    asked = f"A difference of {found.asked * scale:.3g} {unit}"
    if found.scatter is None:
        return f"{asked}: with one bed a side nothing is known of how beds scatter. Start with 4 a side."
    size = "more than 1,000 beds" if found.beds is None else f"about {found.beds} beds"
    return f"{asked} takes {size} a side to be shown four times in five."


def doubts(found: Germination | Means) -> str:
    """What weakens the comparison, or nothing."""
    if isinstance(found, Germination):
        least = min(len(found.with_char.trays), len(found.without.trays))
        if least == 1:
            return "One tray on a side: its place or its water may be the cause. Use at least 4 trays a side."
        if found.tray_p is None:
            return "So few trays cannot vouch for themselves: seeds were counted as if each stood alone."
        return f"Trays as wholes: p = {found.tray_p:.2g}."
    if not found.can_show:
        return "So few beds can show nothing, however large the difference: at least 4 a side."
    return ""


def many(reading: TrialsReading) -> str:
    """A word on many comparisons, or nothing."""
    if reading.looks < 3:
        return ""
    return (
        f"{reading.looks} comparisons were made. One in twenty looks shown by chance alone: decide beforehand "
        "which one counts, and tell of all of them."
    )


def title(one: Comparison) -> str:
    """The name of a comparison."""
    return f"{one.trial or 'Trial without a name'}: {one.detail or TREATED} against without char"
