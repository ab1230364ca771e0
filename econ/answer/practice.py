"""The work in words: the fuel of a batch, own planting, what to know before the first batch and whom to ask.

Rules of the US stand as examples in `safety.csv`; the local ones go before them (9 CFR 310.22 and 7 CFR 205.203
from memory: check with the office). Hazards: common practice of kilns and char, no single source.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from econ.answer.sentences import TABLE, Figures, Speech
from econ.evidence import factors, substances
from econ.inputs.as_typed import plain_figure
from econ.inputs.records import Caution, Scenario
from econ.inputs.schema import blocks
from econ.model.ledger import Line
from econ.model.plan import Ground, Plan
from econ.shipped import described
from econ.units import canonical_measure, said, shown_unit, unit

SAFETY = TABLE.with_name("safety.csv")

SPECK = 1e-6
"""Less than this [kg/ha] is nothing: what rounding leaves of a ceiling of zero."""
ONCE = frozenset({"planting-untested-tea", "planting-ask-local"})
"""Said once, whatever the number of blocks."""


def fuel_verdict(plan: Plan, figures: Figures) -> str:
    """What the heat model says of a firing's typed fuel, by the usual efficiency of a kiln; or modelled."""
    if plan.fuel_modelled:
        return "modelled"
    (low, high), found = usual_efficiency(plan), figures["typed_efficiency"]
    return "low" if found > high else "high" if found < low else "plausible"


def usual_efficiency(plan: Plan) -> tuple[float, float]:
    """Low and high of the share of a fuel's heat that reaches the load, of a flame or of electricity."""
    usual = factors.factor(f"eff_kiln{'_electric' if plan.fuel_kinds[:1] == ('electricity',) else ''}")
    return (usual.low or 0.0) / 100, (usual.high or 0.0) / 100


def task_name(scenario: Scenario, n: int) -> str:
    """The name of task n: typed, or that of the list."""
    return str(scenario[f"task.{n}.name"].value or blocks()["task"].names[n - 1])


def way_name(scenario: Scenario, n: int | str) -> str:
    """The name of alternative n: typed, or what kind of way it is."""
    return str(scenario[f"option.{n}.name"].value or scenario[f"option.{n}.kind"].words)


def own_measure(kind: str) -> str:
    """The canonical unit in which the model counts a fuel: L, kg or MJ."""
    return canonical_measure(unit(substances.fuel(kind).measure).dimension)


def unit_of_line(scenario: Scenario, found: Line) -> str:
    """The unit of a line with the currency and the measure of its fuel filled in."""
    if found.unit.startswith("measure"):
        return found.unit.replace("measure", own_measure(scenario.choice(f"fuel.{found.name.split('_')[1]}.kind")))
    return found.unit.replace("$", scenario.currency)


def figure_words(unit: str, system: str, number: float | str) -> str:
    """A figure as pages of a system show it: three figures and the unit; a word, or "none" for no number."""
    if isinstance(number, str) or number != number:
        return number if isinstance(number, str) else "none"
    name, factor = shown_unit(unit, system)
    text = plain_figure(number * factor * (100 if name == "%" else 1), 3)
    return f"{text} {name}".removesuffix("1 = yes").rstrip()


class Said(NamedTuple):
    """Of one block: class of its soil test, why it may not be applied, whether nothing may, cautions by id."""

    soil_class: str
    stopped: str
    none: bool
    words: tuple[tuple[str, str], ...]


def said_of(scenario: Scenario, figures: Figures, ground: Ground) -> Said:
    """The words for one block of planting."""
    start, block = f"planting_{ground.number}_", f"planting.{ground.number}"
    own = {f"own_{name.removeprefix(start)}": figures[name] for name in figures if name.startswith(start)}
    entry, depth = scenario[f"{block}.soil_test"], scenario[f"{block}.depth"].value
    level = None if entry.value is None else round(unit("mg/kg").from_canonical(entry.number), 6)
    found = None if level is None else substances.soil_reading("mehlich3", max(level, 1e-6))
    none, is_stopped = own["own_most_p2o5_kg_per_ha"] <= SPECK, not own["own_may_spread"]
    speech = Speech(scenario.entries, own, {
        "ground": ground, "level": level, "is_tested": level is not None, "none": none, "is_stopped": is_stopped,
        "limit": factors.factor("m3_opt"), "stop": factors.factor("m3_env"),
        "ph": scenario[f"{block}.soil_ph"].value, "depth_m": depth if isinstance(depth, float) else 0.0,
        "tenths": lambda kg: said(kg, "kg", scenario.system, 1),
    })  # fmt: skip
    words = ((f"planting-{name}", speech.say(f"planting-{name}")) for name in described("tables")["mind"])
    stopped = speech.say("planting-stop") if is_stopped else ""
    return Said(found.reading if found else "", stopped, none, tuple(pair for pair in words if pair[1]))


def name_of(scenario: Scenario, ground: Ground) -> str:
    """A block as its owner calls it."""
    return str(scenario[f"planting.{ground.number}.name"].value or f"Planting {ground.number}")


def of_planting(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """Cautions of every block."""
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


def advice(which: str, scenario: Scenario | None = None, figures: Figures | None = None) -> list[list[str]]:
    """The lines of the list "before" (the first batch) or "settle", in order; of a plant those that concern it.

    What it is about, or whom to ask; what to do or to ask; by when.
    """
    speech = Speech(scenario.entries if scenario else {}, figures or {}, {}, SAFETY)
    return [line.split("|") for line in speech.lines(which)]
