"""How the answer changes with what was measured, and what knowing an input better could still be worth."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from econ.inputs.records import Entry, Scenario
from econ.measured.use import Gain, Measured, Readings, View, overrides
from econ.model.evaluate import evaluate
from econ.model.ledger import Quantity
from econ.model.plan import Plan
from econ.questions.samples import drawn

MEASURES = ("npv", "removal_kg_co2e")
POINTS = 200
"""Equal shares of the range at which the NPV is looked at."""


def measuring(typed: Scenario, used: Scenario, readings: Readings) -> Measured:
    """The gains of every measured input, whether switched on or not.

    `typed` is the scenario as it stands in the workbook, `used` with the measured values that are switched
    on. Each input is looked at alone, the others as in `used`.
    """
    gains = tuple(
        Gain(one, *(_view(used, one.target.key, overrides(typed, one, measured)) for measured in (False, True)))
        for one in readings.standings
    )
    return Measured(readings, gains, _npv(typed))


def _npv(scenario: Scenario) -> float:
    return float(_answers(scenario, scenario.numbers(), 1)[0][0])


def _answers(scenario: Scenario, numbers: Mapping[str, Quantity], cases: int) -> list[NDArray[np.float64]]:
    """NPV and removal, each of shape (cases,)."""
    found = evaluate(numbers, Plan.of(scenario), frozenset(MEASURES)).lines
    return [np.broadcast_to(np.asarray(found[name], dtype=float), (cases,)) for name in MEASURES]


def _view(scenario: Scenario, key: str, entries: Mapping[str, Entry]) -> View:
    changed, entry = replace(scenario, entries={**scenario.entries, **entries}), entries[key]
    if not entry.has_range or entry.low is None or entry.high is None:
        npv, removal = _answers(changed, changed.numbers(), 1)
        return View(float(npv[0]), _finite(removal[0]), None, None, 0.0)
    even = (np.arange(POINTS) + 0.5) / POINTS
    points = np.concatenate([[entry.number, entry.low, entry.high], drawn(entry, "triangular").inverse(even)])
    npv, removal = _answers(changed, {**changed.numbers(), key: points}, len(points))
    worth = worth_of_knowing(npv[3:])
    return View(float(npv[0]), _finite(removal[0]), float(npv[1]), float(npv[2]), worth)


def _finite(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def worth_of_knowing(npv: NDArray[np.float64]) -> float:
    """Mean of the better of buying and not in each case, less the better blind [currency]; never below 0."""
    informed = float(np.mean(np.maximum(npv, 0.0)))
    return max(informed - max(float(np.mean(npv)), 0.0), 0.0)
