"""The whole page: one file without a network, with the model as a function, its inputs and samples in it.

A policy in the file forbids any request. `program` prints what the page computes by itself.
"""

from __future__ import annotations

import base64
import hashlib
import json
import math
import zlib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from econ.answer.finding import say
from econ.answer.option_table import compared
from econ.answer.results import VERSION, Results, inputs_code
from econ.evidence.factors import default_range
from econ.inputs.defaults import CONSTITUENTS
from econ.inputs.ranges import drawable
from econ.inputs.records import Entry, Scenario
from econ.model.coefficients import coefficients
from econ.model.evaluate import walk
from econ.page import sections
from econ.page.javascript import HEAD, Pages, Tape, inputs
from econ.page.markup import WORDS, Html, filled, joined
from econ.questions import samples
from econ.questions.deciding import SAMPLES, WETNESS
from econ.questions.draws import inputs_drawn, is_share, kept_whole
from econ.questions.found import AGAINST_BEST
from econ.questions.latin import ROUNDS, TABLES
from econ.shipped import text
from econ.units import Unit
from econ.workbook.places import check_goal
from econ.workbook.safe_write import write_sealed

FEW = 2000
"""Simulation runs by which the page finds its own numbers equal to those of the program."""
START = "'use strict';\nconst DATA=JSON.parse(document.getElementById('data').textContent);"
REMARK = "<!-- {} -->"
SLIDERS = 8
FIGURES = (*WORDS["figures"], AGAINST_BEST, *(name for _, name, _ in WORDS["blocks"][1:]))
"""What the page shows of a walk, where the model writes it."""
MINERAL = "driver.mineral"
"""The row of the default ranges for the share of mineral in clean bone."""
NO_UNIT = Unit("", "", "", 1.0)


def document(results: Results) -> str:
    """The page of one plant as html."""
    printed, made = program(results)
    script = "\n".join((START, printed, text("engine.js", "page"), text("page.js", "page")))
    style = text("page.css", "page")
    policy = (
        f"default-src 'none'; script-src 'sha256-{_digest(script)}'; style-src 'sha256-{_digest(style)}'; "
        "base-uri 'none'; form-action 'none'"
    )
    # no browser takes it for markup, whatever a person typed
    data = json.dumps(_data(results, made), separators=(",", ":"), allow_nan=False)
    data = data.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
    drawn, run, name = sections.pictures(results, made), sections.as_run(results), results.scenario.name
    whole = filled(
        "page.html", policy=Html(policy.replace('"', "&quot;")), style=Html(style), script=Html(script),
        data=Html(data), title=WORDS["title"].format(name or "A plant"), name=name or WORDS["no_name"],
        verdict=run["verdict"], npv=run["npv"], loss=run["loss"], below=sections.SCRIPT["below"],
        why=f"{say(results, 'reason')} {say(results, 'change')}".strip(), numbers=sections.numbers(results),
        musts=sections.must_be_true(results), spread=drawn.pop("spread"), sliders=sections.sliders(made),
        answers=sections.answers(results), others=WORDS["others"].format(say(results, "plans")),
        pictures=joined(drawn.values()), cautions=sections.cautions(results),
        before=sections.before_the_first_batch(), main_inputs=sections.main_inputs(results, made),
        folded=sections.folded(results), made_by=WORDS["made_by"].format(VERSION, inputs_code(results.scenario)),
    )  # fmt: skip
    return f"<!DOCTYPE html>\n{whole}\n"


def _data(results: Results, made: sections.Data) -> dict[str, Any]:
    return {
        **made,
        "currency": results.scenario.currency,
        "words": sections.SCRIPT,
        "rows": [[name, kind, missing] for name, _, kind, missing in sections.answer_rows(results)],
        "blocks": WORDS["blocks"],
        "ton": WORDS["ton"][results.scenario.system][0],
        "run": {
            "npv": results.figures["npv"],
            "irr": sections.as_run(results)["irr"],
            "lossOfFirst": float(np.mean(results.chances.kept["npv"][:FEW] < 0)),
        },
    }


def _digest(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")


def write_page(results: Results, path: Path, overwrite: bool = False) -> Path:
    """Write the page; returns its path.

    Raises FileRefused for another ending, for a file that is not a page exactly as kilncase wrote it unless
    `overwrite`, and where the folder cannot be written.
    """
    check_goal(path, ".html", ".htm")
    write_sealed(path, document(results).encode("utf-8"), REMARK, overwrite)
    return path


def program(results: Results) -> tuple[str, dict[str, Any]]:
    """The model of a scenario printed for a page, and the data that it and the page read: samples, sliders."""
    asked, plan = results.scenario, results.plan
    drawn = inputs_drawn(asked)
    numbers = asked.numbers()
    moving = moving_keys(asked, drawn)
    tape, ledger = Tape(), Pages()
    values = kept_whole(inputs(numbers, moving, tape), plan)
    walk({**values, **coefficients(values, plan)}, plan, ledger)
    costs = ((one.label, f"{one.name.replace('.', '_')}_cost_per_kg") for one in compared(results))
    ways = [[label, name] for label, name in costs if name in ledger.lines]
    names = [name for name in (*FIGURES, *(name for _, name in ways)) if name in ledger.lines]
    cash = [ledger.years["net_cash"][t] for t in range(plan.years + 1)]
    script = tape.function("model", [*(ledger.lines[name] for name in names), *cash])
    data = {
        "figures": [*names, *(f"cash {t}" for t in range(plan.years + 1))],
        "ways": ways,
        "x": [numbers[key] for key in moving],
        **_inputs(asked, moving, drawn),
        **_streams(asked, drawn, results.chances.sampling.seed),
        **_rule(results, drawn),
        "samples": results.chances.sampling.samples,
        "sliders": [_slider(asked[key], moving.index(key)) for key in slid(results, moving)],
    }
    return f"{HEAD}\nconst NORMAL={json.dumps(TABLES)};\n{script}", data


def moving_keys(scenario: Scenario, drawn: Sequence[samples.Drawn]) -> list[str]:
    """The inputs of the printed model: every one with a range, and all shares of a whole of which one is drawn."""
    found = dict.fromkeys(entry.row.key for entry in scenario.ranged() if drawable(entry))
    for whole in _wholes(drawn):
        found |= dict.fromkeys(whole)
    return list(found)


def _wholes(drawn: Sequence[samples.Drawn]) -> list[list[str]]:
    """The four shares of every stream of bones of which one is drawn."""
    streams = dict.fromkeys(one.key.rpartition(".")[0] for one in drawn if is_share(one.key))
    return [[f"{stream}.{name}_share" for name in CONSTITUENTS] for stream in streams]


def _inputs(scenario: Scenario, moving: list[str], drawn: Sequence[samples.Drawn]) -> dict[str, Any]:
    """Every ranged input, which of them are drawn, and which make one whole."""
    choices = {key: entry.value for key, entry in scenario.entries.items() if isinstance(entry.value, str)}
    shapes = {one.key: one.shape for one in drawn}
    ranged = [key for key in moving if scenario[key].has_range and drawable(scenario[key])]
    clean = default_range(MINERAL, "guessed", {})
    return {
        "ranged": [_ranged(scenario[key], moving.index(key), shapes.get(key, "fixed"), choices) for key in ranged],
        "wholes": [[moving.index(key) for key in whole] for whole in _wholes(drawn)],
        "mineral": {"least": clean.low, "most": clean.high},
        "drawn": [
            {"ranged": ranged.index(one.key), "mineral": one.key.endswith(".ash_share") and is_share(one.key)}
            for one in drawn
        ],
    }


def _ranged(entry: Entry, at: int, shape: str, choices: Mapping[str, str]) -> dict[str, Any]:
    row, own = entry.row, not (entry.is_default or entry.range_by)
    lowest, highest = (end if math.isfinite(end) else None for end in (row.lowest, row.highest))
    found: dict[str, Any] = {
        "at": at, "label": row.label, "shape": shape, "value": entry.number, "low": entry.low, "high": entry.high,
        "lowest": lowest, "highest": highest, "open": row.above_lowest, "whole": row.kind == "whole", "own": own,
    }  # fmt: skip
    if not own:  # once moved, the ends are those of the table for a number without a range
        rule = default_range(row.key, entry.known, choices)
        least, most = (1.0, 1.0) if rule.measure == "held" else (rule.low, rule.high)
        found["rule"] = {"times": rule.measure != "plus", "least": least, "most": most}
    return found


def _streams(scenario: Scenario, drawn: list[samples.Drawn], seed: int) -> dict[str, Any]:
    """The streams of shares, which input reads which, and the inputs that go together."""
    names, keys = list(dict.fromkeys(one.stream for one in drawn)), [one.key for one in drawn]
    pairs = samples.bound(scenario, keys)
    lower = samples.triangle(samples.normal_correlations(pairs))
    assert lower is not None  # the run has refused pairs that cannot be
    return {
        "streams": [_words(name, seed) for name in names],
        "read": [names.index(one.stream) for one in drawn],
        "tied": [keys.index(name) for name in samples.paired(pairs)],
        "triangle": lower.tolist(),
    }


def _words(name: str, seed: int) -> list[int]:
    """The keys of a stream of shares, as halves of 32 bits, the upper one first."""
    state = np.random.SeedSequence([seed, zlib.crc32(name.encode())]).generate_state(ROUNDS + 1, np.uint64)
    return [int(half) for word in state for half in divmod(int(word), 2**32)]


def _rule(results: Results, drawn: list[samples.Drawn]) -> dict[str, Any]:
    """What the rule weighs, its limits, and the deciding facts that are open."""
    found, places = results.finding, {one.key: j for j, one in enumerate(drawn) if one.shape != "fixed"}
    facts = []
    for one in found.deciding.standings:
        if keys := [key for key in one.open_keys if key in places]:
            opened = [[places[key], WETNESS.fullmatch(key) is not None] for key in keys]
            facts.append({"label": one.fact.label, "open": opened})
    return {
        "decisive": results.chances.decisive,
        "limits": [found.limits.buy_at, found.limits.least_npv],
        "blank": bool(found.deciding.blank),
        "facts": facts,
        "looks": SAMPLES,
    }


def slid(results: Results, moving: list[str]) -> list[str]:
    """The keys of the inputs that move the NPV most, the largest first; measured ones cannot be typed over."""
    measured = {one.typed.row.key for one in results.measured.readings.used}
    keys = [effect.entry.row.key for effect in results.effects if effect.swing("npv") > 0]
    return [key for key in keys if key in moving and key not in measured][:SLIDERS]


def _slider(entry: Entry, at: int) -> dict[str, Any]:
    """An input as a person moves it: in the unit that was typed."""
    own = entry.unit or NO_UNIT
    low, value, high = (float(f"{entry.shown(end):.12g}") for end in (entry.low, entry.number, entry.high))
    note = "; the other shares keep their proportion" if is_share(entry.row.key) else ""
    return {
        "at": at, "key": entry.row.key, "label": entry.row.label, "unit": own.symbol, "typed": own.short,
        "factor": own.factor, "offset": own.offset, "low": low, "value": value, "high": high, "note": note,
    }  # fmt: skip
