"""What an appraisal finds, its code, how its numbers are known (never improved by printing), what moves it."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from econ.answer.sentences import Speech, few
from econ.fields import record
from econ.inputs.records import Caution, Entry, Scenario
from econ.measured.use import Measured, Standing
from econ.model.derived import Returns, tonnes
from econ.model.plan import Plan
from econ.questions import found as asked
from econ.questions.found import DOUBTED, BreakEven, Chances, Effect, Leaning, Mover, Stress, TwoWay
from econ.questions.found_deep import Deep
from econ.questions.found_rule import Finding, Headline
from econ.questions.plan_moves import Plans

VERSION = "0.1.0"
"""Of kilncase: pyproject.toml reads it here, since to ask what is installed took a hundredth of a run."""
LENGTH = 12
NPV, NET = "npv", "project_net_kg_co2e"
FEW = 5


@record(frozen=True, slots=True)
class Results:
    """One scenario appraised; everything the screen, the JSON and the workbook show comes from here."""

    scenario: Scenario
    plan: Plan
    coefficients: Mapping[str, float]
    figures: Mapping[str, float]
    years: Mapping[str, Mapping[int, float]]
    returns: Returns
    effects: tuple[Effect, ...]
    cautions: tuple[Caution, ...]
    reasons: Mapping[str, str]
    npv_without_sales: float
    leaning: Leaning
    months: Mapping[str, Mapping[int, float]]
    breakeven: tuple[BreakEven, ...]
    better_than_best: tuple[BreakEven, ...]
    chances: Chances
    stress: tuple[Stress, ...]
    two_way: TwoWay | None
    finding: Finding
    headline: Headline
    measured: Measured
    plans: Callable[[], Plans]
    """Other plans, worked out when first asked for."""
    deep: Deep | None = None

    def figure(self, name: str, scale: float = 1.0) -> float | None:
        """A figure by name times `scale`, or None where it does not exist (`reasons` says why)."""
        value = self.figures.get(name, math.nan)
        return value * scale if math.isfinite(value) else None

    def tonnes(self, name: str) -> float | None:
        """A figure in kg as metric tonnes."""
        return tonnes(self.figure(name))

    def carbon(self, name: str) -> tuple[float, float, float]:
        """P5, P50 and P95 of a carbon figure over the samples; nan where the figure is not reported."""
        if not math.isfinite(self.figures[name]):
            return math.nan, math.nan, math.nan
        return self.chances.spreads[name].pair(asked.CARBON_PAIR)


def inputs_code(scenario: Scenario) -> str:
    """Twelve hexadecimal digits that change with any value, low or high; names and remarks do not count."""
    entries = {key: one for key, one in scenario.entries.items() if one.value is not None and key != "plant.name"}
    rows = {key: [one.value, one.low, one.high] for key, one in entries.items()}
    text = json.dumps(rows, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:LENGTH]


class Quoted(NamedTuple):
    """One number behind the figures: what, the value with its unit, how it is known, what stands beside it."""

    key: str
    label: str
    value: str
    how: str
    beside: str = ""


def quoted(results: Results) -> tuple[Quoted, ...]:
    """The numbers that the carbon figures rest on, in the order in which the matter flows."""
    beside = {one.target.key: _beside(one) for one in results.measured.readings.standings}
    entries, figures, found = results.scenario.entries, results.figures, []
    typed = [k for k in entries if k.startswith(("carbon.", "handling.", "haul.")) and not entries[k].is_default]
    for key in dict.fromkeys([*_keys(results), *typed]):
        entry, by = entries.get(key), beside.get(key, "")
        if entry is not None and entry.value is not None:
            found.append(Quoted(key, entry.row.label, value_words(entry), how_known(entry), by))
        elif key == "carbon.organic_share":
            share = f"{figures['organic_c_kg'] / max(figures['char_kg'], 1e-9):.1%}"
            how = "computed from the material balance, not measured"
            found.append(Quoted(key, "Organic carbon of the dry char", share, how, by))
    return tuple(found)


def _keys(results: Results) -> Iterator[str]:
    plan = results.plan
    for n in plan.streams:
        yield f"bones.{n}.heads" if n in plan.matter.by_head else f"bones.{n}.mass"
        yield f"bones.{n}.excluded_share"
    yield from ("kiln.batch_load", "kiln.char_yield", "kiln.peak_temperature")
    yield from (f"fuel.{n}.{row}" for n in plan.fuels for row in ("per_batch", "moisture"))
    yield from ("carbon.organic_share", "carbon.h_corg", "carbon.in_scope_share", "carbon.soil_temperature")
    yield "carbon.test_ch4" if plan.tested_ch4 else "carbon.stack_ch4"
    yield "carbon.test_n2o" if plan.tested_n2o else "carbon.stack_n2o_share"
    yield "carbon.gwp_set"
    if "electricity" in plan.fuel_kinds or results.figures["grind_kg_co2e"]:
        yield "carbon.grid_factor"


def value_words(entry: Entry) -> str:
    """The value as typed, with its unit; the words of a choice."""
    return entry.figure(entry.number, 3) if isinstance(entry.value, float) else entry.words


def how_known(entry: Entry, with_source: bool = False) -> str:
    """How an entry is known, with the source typed; a default says that it is one, and its source where asked."""
    if entry.row.kind == "choice":
        return "default" if entry.is_default else "chosen"
    if entry.is_default:
        mark = entry.known.removeprefix("default").removeprefix(": ")
        return f"default, {mark or 'assumed'}" + (f": {entry.source}" if with_source and entry.source else "")
    source = f": {entry.source}" if entry.source else ""
    return f"{entry.known}{source}" if entry.known else f"typed, how it is known is not said{source}"


def _beside(one: Standing) -> str:
    """What was measured or typed instead of the value in use."""
    sheet, other = one.data.plan.sheet, one.typed if one.is_used else one.measured
    if one.is_used:
        return "" if other.value is None else f"typed before: {value_words(other)} ({how_known(other)})"
    return f"measured and not switched on: {value_words(other)}, n = {one.sample.n} (sheet {sheet})"


def organic_words(results: Results) -> str:
    """Organic carbon of the char, how it is known, and the measured value beside it, for a sentence."""
    one = next(one for one in quoted(results) if one.key == "carbon.organic_share")
    beside = f"; {one.beside}" if one.beside else ""
    return f"{one.value} organic carbon ({one.how}{beside})"


def hydrogen_words(results: Results) -> str:
    """How the H/C_org in use is known, for a label."""
    entry = results.scenario["carbon.h_corg"]
    return "not given" if entry.value is None else how_known(entry)


class Weight(NamedTuple):
    """A fact or input moved alone over its range, as a share of the range of NPV and of net CO2e."""

    mover: Mover
    of_npv: float
    of_net: float

    @property
    def known(self) -> str:
        """How it is known: the rung of a fact, or the plant's own word."""
        return self.mover.known if self.mover.rung else f"yours: {self.mover.known}"


def weights(results: Results) -> list[Weight]:
    """Every fact and input that moves NPV or net CO2e, the heaviest of either first."""
    found = [Weight(one, *(_share(results, one, name) for name in (NPV, NET))) for one in results.leaning.movers]
    moving = (one for one in found if one.of_npv + one.of_net > 0)
    return sorted(moving, key=lambda one: -max(one.of_npv, one.of_net))


def heaviest(results: Results, measure: str) -> list[tuple[Mover, float]]:
    """The five that move an answer most, the plant's own included, each with its share of the range."""
    return [(one, _share(results, one, measure)) for one in results.leaning.most(measure)[:FEW]]


def worst_words(results: Results) -> list[str]:
    """What moves NPV and net CO2e most of all that nobody read, each with its share of the range."""
    worst, named = results.leaning.worst, ((NPV, "NPV"), (NET, "project net"))
    found = ((worst[measure], measure, name) for measure, name in named if measure in worst)
    return [f"{name} by '{one.label}' ({_share(results, one, by):.0%} of its range)" for one, by, name in found]


def leaning_caution(found: Leaning, currency: str) -> Caution:
    """The count of what nobody read in a sentence, with what matters most for money and for carbon."""
    words = []
    for measure, unit, scale, told in ((NPV, currency, 1.0, "{:,.0f}".format), (NET, "t CO2e a year", 1e-3, few)):
        if mover := found.worst.get(measure):
            low, high = sorted((mover.at_low[measure] * scale, mover.at_high[measure] * scale))
            words.append(f"{DOUBTED[measure]} {told(low)} to {told(high)} {unit} by '{mover.label}'")
    text = Speech({}, {}, {"found": found, "words": words}).say("leaning-caution")
    return Caution("unverified-factors", text)


def doubts(results: Results) -> list[tuple[Mover, float]]:
    """What is guessed or unread and moves a quoted figure by more than a tenth of its range; the largest share."""
    unread = (one for one in results.leaning.movers if not one.is_read or one.is_guess)
    found = ((one, max(_share(results, one, name) for name in asked.QUOTED)) for one in unread)
    return sorted((pair for pair in found if pair[1] > asked.MUCH), key=lambda pair: -pair[1])


def _share(results: Results, mover: Mover, measure: str) -> float:
    """How far one alone moves an answer, as a share of what all ranges at once do."""
    is_npv = measure == NPV
    low, _, high = results.chances.spreads[NPV].pair(asked.MONEY_PAIR) if is_npv else results.carbon(measure)
    return mover.share(measure, low, high)
