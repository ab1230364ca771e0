"""Effects of the user's own ranges one input at a time, and two at a time."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from econ.inputs.ranges import drawable, table_choice
from econ.inputs.records import Entry, Scenario
from econ.model.evaluate import evaluate
from econ.model.ledger import Quantity
from econ.model.plan import Plan
from econ.questions.edges import edges_inside, kept_whole
from econ.questions.found import MEASURES, STEPS, WHERE_MODELLED, Effect, TwoWay

BONES = re.compile(r"bones\.\d+\.(mass|heads)")


def effects(scenario: Scenario, plan: Plan) -> tuple[Effect, ...]:
    """The effect of every input with a range, the largest on NPV first.

    Case 2i is input i at its low, case 2i + 1 the same at its high, all else at its value. Rows that are
    choices in number's clothing (years to look ahead, the limits of the rule) take no part. A share of the
    bones moves with the others in proportion.
    """
    ranged = [entry for entry in scenario.ranged() if drawable(entry)]
    if not ranged:
        return ()
    answers = table(scenario.numbers(), plan, ranged, (*MEASURES, *WHERE_MODELLED))
    found = [
        Effect(
            entry,
            {measure: float(cases[2 * i]) for measure, cases in answers.items()},
            {measure: float(cases[2 * i + 1]) for measure, cases in answers.items()},
            edges_inside(entry, plan),
            not plan.by_contract and BONES.fullmatch(entry.row.key) is not None,
        )
        for i, entry in enumerate(ranged)
    ]
    return tuple(sorted(found, key=lambda effect: -effect.swing("npv")))


def table(
    numbers: Mapping[str, float], plan: Plan, ranged: Sequence[Entry], measures: Sequence[str]
) -> dict[str, Quantity]:
    """Answers of shape (2 × inputs,) for each measure that the model writes, from one call of it."""
    cases = 2 * len(ranged)
    moved: dict[str, Quantity] = dict(numbers)
    for i, entry in enumerate(ranged):
        column = np.full(cases, entry.number)
        column[2 * i], column[2 * i + 1] = entry.low, entry.high
        moved[entry.row.key] = column
    found = evaluate(kept_whole(moved, plan, numbers), plan, frozenset(measures)).lines
    return {name: np.broadcast_to(found[name], (cases,)) for name in measures if name in found}


Numbers = NDArray[np.float64]


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
    """The grid for the pair chosen on the sheet, else for the two largest effects on NPV.

    One call of the model. None where fewer than two inputs have a range.
    """
    order = [effect.entry for effect in effects]
    chosen = {entry.row.key: entry for entry in order}
    first, second = (chosen.get(key or "") for key in table_choice(scenario.entries))
    across = first or next((entry for entry in order if entry is not second), None)
    down = second or next((entry for entry in order if entry is not across), None)
    return grid(scenario, plan, across, down) if across and down else None


def grid(scenario: Scenario, plan: Plan, across: Entry, down: Entry) -> TwoWay:
    """NPV over all pairs of steps of two different inputs with ranges."""
    columns, lines = steps(across), steps(down)
    numbers = {
        **scenario.numbers(),
        across.row.key: np.tile(columns, len(lines)),
        down.row.key: np.repeat(lines, len(columns)),
    }
    found = evaluate(kept_whole(numbers, plan, scenario.numbers()), plan, frozenset({"npv"})).lines["npv"]
    npv = np.broadcast_to(found, (len(lines) * len(columns),)).reshape(len(lines), len(columns))
    return TwoWay(across, down, columns, lines, np.array(npv))
