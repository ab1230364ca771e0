"""What the page computes by itself: the model as a function, its inputs, its samples, and what is asked of it."""

from __future__ import annotations

import json
import math
import re
import zlib
from dataclasses import dataclass
from typing import Any

import numpy as np

from econ.answer.option_table import compared
from econ.answer.results import Results
from econ.inputs.records import Entry, Scenario
from econ.model.coefficients import coefficients
from econ.model.evaluate import walk
from econ.model.plan_parts import CHAR, TODAY
from econ.page.javascript import HEAD, Pages, Tape, inputs
from econ.questions import samples
from econ.questions.edges import kept_whole
from econ.questions.found import AGAINST_BEST
from econ.questions.latin import ROUNDS, TABLES
from econ.questions.samples import Drawn, bounds, inputs_drawn

SLIDERS = 8
COMPOSITION = re.compile(r"bones\.\d+\.(water|fat|protein|ash)_share")
"""Shares of one whole, which no slider moves alone."""
BLOCKS = ("removal_kg_co2e", "process_kg_co2e", "avoided_kg_co2e", "credits_lost_kg_co2e")
FIGURES = (
    "npv", "payback_years", "char_kg", "p2o5_kg", "removal_kg_co2e", "project_net_kg_co2e",
    "customers_per_year", "lowest_coverage", AGAINST_BEST, *BLOCKS[1:],
)  # fmt: skip
"""What the page shows of a walk, where the model writes it."""


@dataclass(frozen=True, slots=True)
class Program:
    """The text of the model, and the data that it and the page read."""

    script: str
    data: dict[str, Any]


def program(results: Results) -> Program:
    """The model of a scenario printed for a page, with its samples described and its sliders chosen."""
    scenario, plan = results.scenario, results.plan
    drawn = inputs_drawn(scenario)
    numbers = scenario.numbers()
    moving = [one.key for one in drawn]
    tape = Tape()
    values = kept_whole(inputs(numbers, moving, tape), plan)
    ledger = Pages()
    walk({**values, **coefficients(values, plan)}, plan, ledger)
    costs = {one.name: name for one in compared(results) if (name := cost_figure(one.name)) in ledger.lines}
    names = [name for name in (*FIGURES, *costs.values()) if name in ledger.lines]
    cash = [ledger.years["net_cash"][t] for t in range(plan.years + 1)]
    script = tape.function("model", [*(ledger.lines[name] for name in names), *cash])
    data = {
        "figures": [*names, *(f"cash {t}" for t in range(plan.years + 1))],
        "years": plan.years,
        "x": [numbers[key] for key in moving],
        "keys": moving,
        "labels": [one.entry.row.label for one in drawn],
        "drawn": [_drawn(one) for one in drawn],
        "streams": [_words(one.key, results.chances.sampling.seed) for one in drawn],
        **_ties(scenario, moving),
        "samples": results.chances.sampling.samples,
        "decisive": results.chances.decisive,
        "limits": [
            results.finding.limits.buy_at,
            results.finding.limits.refuse_at,
            results.finding.limits.least_npv,
        ],
        "sliders": [_slider(scenario[key], moving.index(key)) for key in slid(results, moving)],
    }
    return Program(f"{HEAD}\nconst NORMAL={json.dumps(TABLES)};\n{script}", data)


def _ties(scenario: Scenario, moving: list[str]) -> dict[str, Any]:
    """The inputs that go together, and the triangle of their correlations."""
    pairs = samples.bound(scenario, moving)
    lower = samples.triangle(samples.normal_correlations(pairs))
    assert lower is not None  # the run has refused pairs that cannot be
    return {"tied": [moving.index(name) for name in samples.paired(pairs)], "triangle": lower.tolist()}


def slid(results: Results, moving: list[str]) -> list[str]:
    """The keys of the inputs that move the NPV most, the largest first."""
    keys = [effect.entry.row.key for effect in results.effects if effect.swing("npv") > 0]
    return [key for key in keys if key in moving and not COMPOSITION.fullmatch(key)][:SLIDERS]


def cost_figure(way: str) -> str:
    """The figure that holds the cost of a way, per kg of bones."""
    return {CHAR: "char_cost_per_kg", TODAY: "today_cost_per_kg"}.get(way, f"{way.replace('.', '_')}_cost_per_kg")


def _drawn(one: Drawn) -> list[Any]:
    """Shape, low, value, high, the bounds of the row, and whether only whole numbers count."""
    entry = one.entry
    ends = (None if math.isinf(end) else end for end in bounds(entry))
    return [one.shape, entry.low, entry.number, entry.high, *ends, int(entry.row.kind == "whole")]


def _words(name: str, seed: int) -> list[int]:
    """The keys of an input's stream of shares, as halves of 32 bits, the upper one first."""
    state = np.random.SeedSequence([seed, zlib.crc32(name.encode())]).generate_state(ROUNDS + 1, np.uint64)
    return [int(half) for word in state for half in divmod(int(word), 2**32)]


def _slider(entry: Entry, at: int) -> dict[str, Any]:
    """An input as a person moves it: in the unit that was typed."""
    unit = entry.unit
    shown = [float(f"{entry.shown(end):.12g}") for end in (entry.low, entry.number, entry.high)]
    return {
        "at": at,
        "key": entry.row.key,
        "label": entry.row.label,
        "unit": unit.short if unit else "",
        "factor": unit.factor if unit else 1.0,
        "offset": unit.offset if unit else 0.0,
        "low": shown[0],
        "value": shown[1],
        "high": shown[2],
    }
