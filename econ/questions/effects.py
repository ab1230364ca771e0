"""What moves the answer: inputs alone, in pairs, a lender's trials, unread facts, measurements; a call each."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from econ.evidence.factors import Used, held
from econ.evidence.facts import RUNGS
from econ.fields import replace
from econ.inputs.ranges import drawable, table_choice
from econ.inputs.records import Entry, Scenario
from econ.measured.use import Gain, Measured, Readings, View, overrides
from econ.model.evaluate import evaluate, facts_read
from econ.model.ledger import Quantity
from econ.model.plan import Plan
from econ.questions.draws import edges_inside, kept_whole
from econ.questions.found import DOUBTED, MEASURES, QUOTED, WHERE_MODELLED, Effect, Leaning, Mover, Stress, TwoWay
from econ.questions.found_deep import asked
from econ.questions.samples import drawn

BONES = re.compile(r"bones\.\d+\.(mass|heads)")
Numbers = NDArray[np.float64]
PRICE, VOLUME, CAPITAL = 0.8, 0.7, 1.2
"""Share of the price got, of the char sold, and of the cost of the kiln; a lender's usual trial (common practice,
no source)."""
LATE = 0.5
"""Of a year, by which the first batch is late; at most the whole first year is waited."""
CASES: dict[str, str] = asked()["trials"]
WANTED = ("npv", "lowest_coverage", "lowest_balance")
WITHOUT_FACTOR = {"carbon.persistence_position": "persistence_by_soil"}
"""Rows whose default range is that of a whole table."""
VIEWED = ("npv", "removal_kg_co2e")
STEPS = 3
"""Steps from low to the value, and from the value to high."""
POINTS = 200
"""Equal shares of the range at which the NPV is looked at."""


def effects(scenario: Scenario, plan: Plan) -> tuple[Effect, ...]:
    """The effect of every input with a range, the largest on NPV first; choices in number's clothing left out."""
    ranged = [entry for entry in scenario.ranged() if drawable(entry)]
    if not ranged:
        return ()
    at_low, at_high = table(scenario.numbers(), plan, ranged, (*MEASURES, *WHERE_MODELLED))
    found = [
        Effect(entry, low, high, edges_inside(entry, plan),
               not plan.by_contract and BONES.fullmatch(entry.row.key) is not None)
        for entry, low, high in zip(ranged, at_low, at_high, strict=True)
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda effect: -effect.swing("npv")))


def table(
    numbers: Mapping[str, float], plan: Plan, ranged: Sequence[Entry], measures: Sequence[str],
    facts: Sequence[Used] = (), in_proportion: bool = True,
) -> tuple[list[dict[str, float]], list[dict[str, float]]]:  # fmt: skip
    """Each measure at each low, then each high, in one call; `in_proportion`: shares of a stream move along."""
    moved: dict[str, Quantity] = dict(numbers)
    factors: dict[str, Quantity] = {}
    ones: list[tuple[dict[str, Quantity], str, Entry | Used]] = [
        *((moved, one.row.key, one) for one in ranged), *((factors, one.id, one) for one in facts),
    ]  # fmt: skip
    cases = 2 * len(ones)
    for i, (where, key, one) in enumerate(ones):
        where[key] = np.array([one.value] * cases, dtype=float)
        where[key][2 * i : 2 * i + 2] = one.low, one.high
    with held(factors), np.errstate(all="ignore"):
        whole = kept_whole(moved, plan, numbers if in_proportion else None)
        lines = evaluate(whole, plan, frozenset(measures)).lines
    found = {name: np.broadcast_to(np.asarray(lines[name], float), (cases,)) for name in measures if name in lines}
    told = [{name: float(row[case]) for name, row in found.items()} for case in range(cases)]
    return told[0::2], told[1::2]


def steps(entry: Entry) -> Numbers:
    """Ascending values from low to high [canonical unit], the value among them, STEPS on either side."""
    assert entry.low is not None
    assert entry.high is not None
    value = entry.number
    if value in {entry.low, entry.high}:
        return np.linspace(entry.low, entry.high, 2 * STEPS + 1)
    below = np.linspace(entry.low, value, STEPS + 1)
    return np.concatenate((below, np.linspace(value, entry.high, STEPS + 1)[1:]))


def two_way(scenario: Scenario, plan: Plan, effects: Sequence[Effect]) -> TwoWay | None:
    """The grid for the pair chosen on the sheet, else for the two largest effects; None below two ranges."""
    order = [effect.entry for effect in effects]
    chosen = {entry.row.key: entry for entry in order}
    first, second = (chosen.get(key or "") for key in table_choice(scenario.entries))
    across = first or next((entry for entry in order if entry is not second), None)
    down = second or next((entry for entry in order if entry is not across), None)
    return grid(scenario, plan, across, down) if across and down else None


def grid(scenario: Scenario, plan: Plan, across: Entry, down: Entry) -> TwoWay:
    """NPV over all pairs of steps of two different inputs with ranges."""
    columns, lines = steps(across), steps(down)
    typed, grids = scenario.numbers(), np.meshgrid(columns, lines)
    numbers = {**typed, across.row.key: grids[0].ravel(), down.row.key: grids[1].ravel()}
    found = evaluate(kept_whole(numbers, plan, typed), plan, frozenset({"npv"})).lines["npv"]
    npv = np.broadcast_to(found, (grids[0].size,)).reshape(len(lines), len(columns))
    return TwoWay(across, down, columns, lines, np.array(npv))


def stress(scenario: Scenario, plan: Plan) -> tuple[Stress, ...]:
    """NPV, lowest debt service coverage and lowest balance in every case; coverage nan without a loan."""

    def moved(name: str, share: float, otherwise: float = 1.0) -> Quantity:
        return np.array([share if case in (name, "all") else otherwise for case in CASES])

    typed = scenario.numbers()
    cases: dict[str, Quantity] = dict(typed)
    for n in plan.tiers:
        cases[f"product.{n}.price"] = typed[f"product.{n}.price"] * moved("price", PRICE)
    cases["market.sales_share"] = typed.get("market.sales_share", 1.0) * moved("volume", VOLUME)
    for key in ("kiln.price", "kiln.installation"):
        cases[key] = typed[key] * moved("capital", CAPITAL)
    start = typed.get("money.months_to_start", 0.0)
    cases["money.months_to_start"] = np.minimum(start + moved("late", LATE, 0.0), 1.0)
    lines = evaluate(cases, plan).lines
    figures = (np.broadcast_to(lines.get(name, np.nan), len(CASES)).tolist() for name in WANTED)
    return tuple(Stress(*case, *row) for case, *row in zip(CASES.items(), *figures, strict=True))


def leaning(scenario: Scenario, plan: Plan) -> Leaning:
    """The count of facts in use and, over their ranges, what facts and the plant's own inputs move."""
    facts = facts_read(scenario, plan)
    found = movers(scenario, plan, facts)
    unread, defaults = (len([one for one in ones if not one.is_read]) for ones in (facts, found))
    return Leaning(len(facts), unread, defaults, found)


def movers(scenario: Scenario, plan: Plan, facts: Iterable[Used]) -> tuple[Mover, ...]:
    """Every input and every fact with a range, with the answers at its low and at its high."""
    known = {fact.id: fact for fact in facts}
    entries = [one for one in scenario.ranged() if not (one.is_default and one.factor) or one.factor in known]
    behind = {entry.factor for entry in entries if entry.is_default}
    alone = [fact for fact in known.values() if fact.id not in behind and ":" not in fact.id
             and fact.low is not None and fact.high is not None and fact.low < fact.high]  # fmt: skip
    ends = table(scenario.numbers(), plan, entries, (*DOUBTED, *QUOTED), alone, in_proportion=False)
    named = [
        *(_of_entry(entry, known) for entry in entries),
        *((fact.id, fact.label, fact.rung, fact.mark) for fact in alone),
    ]
    return tuple(Mover(*words, low, high) for words, low, high in zip(named, *ends, strict=True))


def _of_entry(entry: Entry, known: Mapping[str, Used]) -> tuple[str, str, str, str]:
    """Id, label, rung and how known of an input; a default takes the rung of the fact behind it."""
    key = entry.row.key
    if not entry.is_default:
        return key, entry.row.label, "", entry.known or "not said"
    fact = known.get(entry.factor or WITHOUT_FACTOR.get(key, ""))
    if key.startswith("bones.") and fact is None:
        of_bones = (one for one in known.values() if one.id.startswith("bones:"))
        fact = next((one for one in of_bones if key.endswith(f"{one.id.split(':')[2]}_share")), None)
    rung = fact.rung if fact else "assumed"
    return key, entry.row.label, rung, fact.mark if fact else RUNGS[rung]


def measuring(typed: Scenario, used: Scenario, readings: Readings) -> Measured:
    """The gain of each measured input alone, switched on or not, others as in `used`; `typed`: the workbook."""
    plan = Plan.of(used)
    gains = tuple(
        Gain(one, *(_view(used, plan, one.target.key, overrides(typed, one, is_on)) for is_on in (False, True)))
        for one in readings.standings
    )
    return Measured(readings, gains, float(_answers(typed, plan, typed.numbers(), 1)[0][0]))


def _answers(scenario: Scenario, known: Plan, numbers: Mapping[str, Quantity], cases: int) -> list[Numbers]:
    """NPV and removal, each of shape (cases,); a plan other than the one `known` is walked this once."""
    plan = Plan.of(scenario)
    found = evaluate(numbers, plan, frozenset(VIEWED) if plan == known else None).lines
    return [np.broadcast_to(np.asarray(found[name], dtype=float), (cases,)) for name in VIEWED]


def _view(scenario: Scenario, plan: Plan, key: str, entries: Mapping[str, Entry]) -> View:
    changed, entry = replace(scenario, entries={**scenario.entries, **entries}), entries[key]
    numbers: dict[str, Quantity] = dict(changed.numbers())
    if entry.has_range:
        even = drawn(entry, "triangular").inverse((np.arange(POINTS) + 0.5) / POINTS)
        numbers[key] = np.array([entry.number, entry.low, entry.high, *even])
    npv, removal = _answers(changed, plan, numbers, 3 + POINTS if entry.has_range else 1)
    kept = float(removal[0]) if np.isfinite(removal[0]) else None
    if not entry.has_range:
        return View(float(npv[0]), kept, None, None, 0.0)
    return View(float(npv[0]), kept, float(npv[1]), float(npv[2]), worth_of_knowing(npv[3:]))


def worth_of_knowing(npv: NDArray[np.float64]) -> float:
    """Mean of the better of buying and not in each case, less the better blind [currency]; never below 0."""
    informed = float(np.mean(np.maximum(npv, 0.0)))
    return max(informed - max(float(np.mean(npv)), 0.0), 0.0)
