"""The headline of the money: the NPV as typed, its range, and its place among the samples."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from econ.evidence.default_ranges import how_known
from econ.inputs.records import Entry, Scenario
from econ.model.plan import Plan
from econ.questions.deciding import Looks
from econ.questions.draws import inputs_drawn
from econ.questions.found import Chances
from econ.questions.found_rule import Headline
from econ.questions.latin import Sampling

CAUSES = 2
"""Inputs named as the cause of a typed value outside the middle half."""


def headline(
    scenario: Scenario, plan: Plan, sampling: Sampling, typed: float, drawn: Chances, looks: Looks
) -> Headline:
    """The headline of a scenario whose NPV at its values is `typed`."""
    npv = drawn.spreads["npv"]
    place = float(np.mean(drawn.kept["npv"] < typed))
    toward = sorted(looks.npv_shifts.items(), key=lambda one: one[1], reverse=place < 0.5)
    causes = tuple((key, shift) for key, shift in toward[:CAUSES] if shift and (shift > 0) == (place < 0.5))
    wider = scenario["rule.wider"].number
    low, middle, high = npv.pair((10, 90))
    wide = _wider_loss(scenario, plan, sampling, wider)
    return Headline(typed, low, middle, high, npv.mean, place, causes, wider, wide, looks.made_of())


def _wider_loss(scenario: Scenario, plan: Plan, sampling: Sampling, wider: float) -> float | None:
    entries = widened(scenario.entries, wider)
    if entries == scenario.entries:
        return None
    wide = replace(scenario, entries=entries)
    return float(np.mean(Looks(wide, plan, sampling, inputs_drawn(wide)).npv({}, "npv") < 0))


def widened(entries: Mapping[str, Entry], wider: float) -> dict[str, Entry]:
    """The entries with the user's own ranges of estimates `wider` times as wide, within the rows' bounds."""
    return {key: _wide(entry, wider) if is_own_guess(entry) else entry for key, entry in entries.items()}


def is_own_guess(entry: Entry) -> bool:
    """Whether an entry carries a range that the user typed for an estimate."""
    own = entry.row.is_number and not (entry.is_default or entry.range_by or entry.row.fixed)
    return own and entry.has_range and how_known(entry.known) == "guessed"


def _wide(entry: Entry, wider: float) -> Entry:
    assert entry.low is not None
    assert entry.high is not None
    value, row = entry.number, entry.row
    low = max(value - wider * (value - entry.low), row.lowest if not row.above_lowest else entry.low / wider)
    high = min(value + wider * (entry.high - value), row.highest)
    return replace(entry, low=min(low, entry.low), high=max(high, entry.high))
