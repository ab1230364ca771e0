"""The whole page: one file without a network, with a policy that forbids one."""

from __future__ import annotations

import base64
import hashlib
import json
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np

from econ.answer.finding import plans_sentence
from econ.answer.results import Results, inputs_code, version
from econ.answer.safety import advice
from econ.page import sections
from econ.page.computed import Program, program
from econ.page.markup import BLOCKS, Html, joined, tag
from econ.page.sliders import MISSING, NONE, VERDICTS, answer_rows, answers, as_run
from econ.workbook.places import check_goal
from econ.workbook.safe_write import write_sealed

OPEN_LIVE = (
    "This is the answer as it was run. To move the inputs, save this file and open it in a web browser: previews "
    "in mail and file programs do not run it."
)
OTHERS = "Other plans, as run: {}"
FEW = 2000
"""Simulation runs by which the page finds its own numbers equal to those of the program."""
SETTLE = "Before you order, and after"
START = "'use strict';\nconst DATA=JSON.parse(document.getElementById('data').textContent);"
WORDS = {
    "typed": "at your values",
    "below": "probability that NPV is below zero",
    "none": NONE,
    "missing": MISSING,
    "spread": sections.SPREAD,
    "cash": sections.CASH,
    "outside": "Outside the range from low to high. Change the range in the workbook and run again.",
    "differs": "This browser computes other numbers than the program. The sliders stay off; the answer is as run.",
    "verdicts": VERDICTS,
}


def document(results: Results) -> str:
    """The page of one plant as html."""
    made = program(results)
    script = "\n".join((START, made.script, _text("engine.js"), _text("page.js")))
    style = _text("page.css")
    policy = (
        f"default-src 'none'; script-src 'sha256-{_digest(script)}'; style-src 'sha256-{_digest(style)}'; "
        "base-uri 'none'; form-action 'none'"
    )
    head = joined(
        [
            Html('<meta charset="utf-8">'),
            tag("meta", http_equiv="Content-Security-Policy", content=Html(policy.replace('"', "&quot;"))),
            tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
            tag("meta", name="color-scheme", content="light dark"),
            tag("title", f"{results.scenario.name or 'A plant'}: bones to char"),
            Html(f"<style>{style}</style>"),
        ]
    )
    data = _json(_data(results, made))
    body = joined(
        [
            _body(results, made),
            Html(f'<script type="application/json" id="data">{data}</script><script>{script}</script>'),
        ]
    )
    return f'<!DOCTYPE html>\n<html lang="en"><head>{head}</head><body>{body}</body></html>\n'


def _body(results: Results, made: Program) -> Html:
    drawn = sections.pictures(results, made.data)
    first = tag("div", sections.heading(results), sections.must_be_true(results), drawn["spread"], class_="first")
    notes = (
        tag("p", OPEN_LIVE, class_="no-script"),
        tag("p", "", id="trouble", role="alert", hidden=True),
        tag("p", "", id="spoken", class_="unseen", role="status"),
    )
    others = plans_sentence(results)
    main = tag(
        "main",
        first,
        *notes,
        sections.sliders(made.data),
        tag(
            "section",
            tag("h2", "The answer"),
            answers(results),
            tag("p", OTHERS.format(others)),
            class_="answered",
        ),
        tag(
            "section",
            tag("h2", "Pictures"),
            drawn["cash"],
            drawn["moves"],
            drawn["carbon"],
            drawn["options"],
            class_="pictures",
        ),
        sections.keep(),
        sections.cautions(results),
        sections.before_the_first_batch(),
        sections.main_inputs(results, made.data),
        sections.fold("To settle", sections.wide(("Who", "What", "By when"), advice("settle"), SETTLE)),
        sections.how(results),
        sections.sources(results),
        sections.all_inputs(results),
    )
    run = as_run(results)
    said = (("strong", "verdict", run["verdict"]), ("span", "npv", f"NPV {run['npv']}"),
            ("span", "loss", f"{run['loss']} {WORDS['below']}"))  # fmt: skip
    parts = (tag(name, text, id=f"bar-{part}") for name, part, text in said)
    bar = tag("div", *parts, class_="bar needs-script", hidden=True, aria_hidden="true")
    made_by = (
        f"Made by kilncase {version()}. Inputs code {inputs_code(results.scenario)}. An estimate, not advice."
    )
    return joined([main, tag("footer", tag("p", made_by)), bar])


def _data(results: Results, made: Program) -> dict[str, Any]:
    return {
        **made.data,
        "currency": results.scenario.currency,
        "words": WORDS,
        "rows": [[row.name, row.kind, row.missing] for row in answer_rows(results)],
        "blocks": list(zip(sections.BLOCK_WORDS, BLOCKS, sections.SIGNS, strict=True)),
        "ton": sections.ton_of(results)[0],
        "run": {
            "npv": results.figures["npv"],
            "irr": as_run(results)["irr"],
            "lossOfFirst": float(np.mean(results.chances.kept["npv"][:FEW] < 0)),
        },
    }


def _json(data: dict[str, Any]) -> str:
    """JSON that no browser takes for markup, whatever a person typed."""
    text = json.dumps(data, separators=(",", ":"), allow_nan=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _digest(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")


def _text(name: str) -> str:
    return (files("econ.page") / name).read_text(encoding="utf-8")


REMARK = "<!-- {} -->"


def write_page(results: Results, path: Path, overwrite: bool = False) -> Path:
    """Write the page; returns its path.

    Raises FileRefused for another ending, for a file that is not a page exactly as kilncase wrote it unless
    `overwrite`, and where the folder cannot be written.
    """
    check_goal(path, ".html", ".htm")
    write_sealed(path, document(results).encode("utf-8"), REMARK, overwrite)
    return path
