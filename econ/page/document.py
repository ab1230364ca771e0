"""The whole page: one file without a network, with a policy that forbids one."""

from __future__ import annotations

import base64
import hashlib
import json
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np

from econ.answer.finding import say
from econ.answer.results import Results, inputs_code, version
from econ.page import sections
from econ.page.computed import program
from econ.page.markup import WORDS, Html, joined, tag
from econ.page.sections import SCRIPT, Data, answer_rows, as_run
from econ.workbook.places import check_goal
from econ.workbook.safe_write import write_sealed

FEW = 2000
"""Simulation runs by which the page finds its own numbers equal to those of the program."""
START = "'use strict';\nconst DATA=JSON.parse(document.getElementById('data').textContent);"
REMARK = "<!-- {} -->"


def document(results: Results) -> str:
    """The page of one plant as html."""
    printed, made = program(results)
    script = "\n".join((START, printed, _text("engine.js"), _text("page.js")))
    style = _text("page.css")
    policy = (
        f"default-src 'none'; script-src 'sha256-{_digest(script)}'; style-src 'sha256-{_digest(style)}'; "
        "base-uri 'none'; form-action 'none'"
    )
    head = joined([
        Html('<meta charset="utf-8">'),
        tag("meta", http_equiv="Content-Security-Policy", content=Html(policy.replace('"', "&quot;"))),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="color-scheme", content="light dark"),
        tag("title", WORDS["title"].format(results.scenario.name or "A plant")),
        Html(f"<style>{style}</style>"),
    ])  # fmt: skip
    # no browser takes it for markup, whatever a person typed
    data = json.dumps(_data(results, made), separators=(",", ":"), allow_nan=False)
    data = data.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
    scripts = Html(f'<script type="application/json" id="data">{data}</script><script>{script}</script>')
    body = joined([_body(results, made), scripts])
    return f'<!DOCTYPE html>\n<html lang="en"><head>{head}</head><body>{body}</body></html>\n'


def _body(results: Results, made: Data) -> Html:
    drawn, run = sections.pictures(results, made), as_run(results)
    main = tag(
        "main",
        tag("div", sections.heading(results), sections.must_be_true(results), drawn.pop("spread"), class_="first"),
        tag("p", WORDS["open_live"], class_="no-script"),
        tag("p", "", id="trouble", role="alert", hidden=True),
        tag("p", "", id="spoken", class_="unseen", role="status"),
        sections.sliders(made),
        tag(
            "section",
            tag("h2", WORDS["answer"]),
            sections.answers(results),
            tag("p", WORDS["others"].format(say(results, "plans"))),
            tag("p", WORDS["stale"], id="others-stale", class_="said", hidden=True),
            class_="answered",
        ),
        tag("section", tag("h2", "Pictures"), *drawn.values(), class_="pictures"),
        sections.keep(),
        sections.cautions(results),
        sections.before_the_first_batch(),
        sections.main_inputs(results, made),
        sections.to_settle(),
        sections.how(results),
        sections.sources(results),
        sections.all_inputs(results),
    )
    said = (("strong", "verdict", run["verdict"]), ("span", "npv", f"NPV {run['npv']}"),
            ("span", "loss", f"{run['loss']} {SCRIPT['below']}"))  # fmt: skip
    parts = (tag(name, text, id=f"bar-{part}") for name, part, text in said)
    bar = tag("div", *parts, class_="bar needs-script", hidden=True, aria_hidden="true")
    made_by = WORDS["made_by"].format(version(), inputs_code(results.scenario))
    return joined([main, tag("footer", tag("p", made_by)), bar])


def _data(results: Results, made: Data) -> dict[str, Any]:
    return {
        **made,
        "currency": results.scenario.currency,
        "words": SCRIPT,
        "rows": [[name, kind, missing] for name, _, kind, missing in answer_rows(results)],
        "blocks": WORDS["blocks"],
        "ton": WORDS["ton"][results.scenario.system][0],
        "run": {
            "npv": results.figures["npv"],
            "irr": as_run(results)["irr"],
            "lossOfFirst": float(np.mean(results.chances.kept["npv"][:FEW] < 0)),
        },
    }


def _digest(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")


def _text(name: str) -> str:
    return (files("econ.page") / name).read_text(encoding="utf-8")


def write_page(results: Results, path: Path, overwrite: bool = False) -> Path:
    """Write the page; returns its path.

    Raises FileRefused for another ending, for a file that is not a page exactly as kilncase wrote it unless
    `overwrite`, and where the folder cannot be written.
    """
    check_goal(path, ".html", ".htm")
    write_sealed(path, document(results).encode("utf-8"), REMARK, overwrite)
    return path
