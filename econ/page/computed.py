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
from econ.evidence.default_ranges import default_range
from econ.inputs.records import Entry, Scenario
from econ.model.coefficients import coefficients
from econ.model.evaluate import walk
from econ.model.plan_parts import CHAR, TODAY
from econ.page.javascript import HEAD, Pages, Tape, inputs
from econ.questions import samples
from econ.questions.bone_drivers import CONSTITUENTS, MOST_WET, is_share
from econ.questions.draws import inputs_drawn
from econ.questions.edges import kept_whole
from econ.questions.found import AGAINST_BEST
from econ.questions.latin import ROUNDS, TABLES
from econ.questions.samples import Drawn, bounds

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
    moving = _moving(drawn)
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
        "labels": [scenario[key].row.label for key in moving],
        "ends": [[scenario[key].low, scenario[key].high] for key in moving],
        "drawn": [_drawn(one) for one in drawn],
        "rules": [_rule(scenario, one.key) for one in drawn],
        "streams": [_words(one.stream, results.chances.sampling.seed) for one in drawn],
        "bones": _bones(scenario, moving),
        "wettest": MOST_WET,
        **_ties(scenario, moving),
        "samples": results.chances.sampling.samples,
        "decisive": results.chances.decisive,
        "verdict": results.finding.verdict,
        "sliders": [_slider(scenario[key], moving.index(key)) for key in slid(results, moving)],
    }
    return Program(f"{HEAD}\nconst NORMAL={json.dumps(TABLES)};\n{script}", data)


def _moving(drawn: list[Drawn]) -> list[str]:
    """The drawn inputs, and after them the protein that follows from the other shares of its stream."""
    keys = [one.key for one in drawn]
    streams = dict.fromkeys(key.rpartition(".")[0] for key in keys if is_share(key))
    return [*keys, *(f"{stream}.protein_share" for stream in streams)]


def _bones(scenario: Scenario, moving: list[str]) -> list[dict[str, Any]]:
    """Where the four shares of each stream stand among the inputs (-1: held), and the shares as typed."""
    streams = dict.fromkeys(key.rpartition(".")[0] for key in moving if is_share(key))
    places = {key: at for at, key in enumerate(moving)}
    return [
        {
            "at": [places.get(f"{stream}.{name}_share", -1) for name in CONSTITUENTS],
            "typed": (typed := [scenario[f"{stream}.{name}_share"].number for name in CONSTITUENTS]),
            "whole": math.fsum(typed),
        }
        for stream in streams
    ]


def _rule(scenario: Scenario, key: str) -> list[Any] | None:
    """How the range of an input follows its value where the user gave none: measure, low, high; else None."""
    entry = scenario[key]
    if not entry.range_by:
        return None
    choices = {name: one.value for name, one in scenario.entries.items() if isinstance(one.value, str)}
    found = default_range(key, "", choices)
    return [found.measure, found.low, found.high, int(entry.row.above_lowest)]


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
