"""Two inputs moved together over their ranges: NPV on a grid, and where it passes nought."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from econ.inputs.ranges import table_choice
from econ.inputs.records import Entry, Scenario
from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.questions.effects import Effect, kept_whole

Numbers = NDArray[np.float64]
STEPS = 3
"""Steps from low to the value, and from the value to high."""


@dataclass(frozen=True, slots=True)
class TwoWay:
    """NPV over a grid: `across` moves along the columns, `down` along the rows, canonical units.

    `npv` has shape (rows, columns); the value of each input is one of its steps.
    """

    across: Entry
    down: Entry
    across_steps: Numbers
    down_steps: Numbers
    npv: Numbers

    def zeros(self) -> list[float]:
        """Where NPV first passes nought going down each column, canonical; nan where it does not.

        Straight between two rows of the grid.
        """
        return [_first_zero(self.down_steps, self.npv[:, j]) for j in range(len(self.across_steps))]


def _first_zero(at: Numbers, npv: Numbers) -> float:
    for i in range(len(at) - 1):
        if (npv[i] < 0) != (npv[i + 1] < 0):
            part = npv[i] / (npv[i] - npv[i + 1])
            return float(at[i] + part * (at[i + 1] - at[i]))
    return float("nan")


def steps(entry: Entry) -> Numbers:
    """Ascending values from low to high, the value among them: STEPS even steps on either side of it."""
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
    found = evaluate(kept_whole(numbers, plan), plan, frozenset({"npv"})).lines["npv"]
    npv = np.broadcast_to(found, (len(lines) * len(columns),)).reshape(len(lines), len(columns))
    return TwoWay(across, down, columns, lines, np.array(npv))
