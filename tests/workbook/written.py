"""All that a person reads of the invented plants: workbooks, screen, note, page; and every scenario workbook."""

from __future__ import annotations

import io
from collections.abc import Mapping
from functools import cache
from html.parser import HTMLParser

import openpyxl
from remembered import appraise, results_bytes
from shipping import SHIPPED, now

from econ.answer.report import Appraisal
from econ.answer.screen import screen
from econ.inputs.build import build
from econ.inputs.examples import NAMES, example
from econ.note.content import note
from econ.note.write import markdown
from econ.page.document import document
from econ.questions.latin import Sampling

DEEP = "thistle-flat, deep"
"""With the two pages of a deep run, from few samples; all other pages are those of a plain run."""
RESULTS = (DEEP, *NAMES[1:])
SCENARIOS = SHIPPED
ALL = (*RESULTS, *SCENARIOS)


@cache
def results(name: str) -> Appraisal:
    """What the program found for a plant."""
    plant = example(name.split(",")[0])
    scenario = build(plant.rows, plant.system, tables=plant.tables)
    return appraise(scenario, Sampling(512), deep=True) if name == DEEP else appraise(scenario)


class Words(HTMLParser):
    """The texts of a page of html in order, and those that only a screen reader says; no script."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.silent = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.silent = tag in {"script", "style"}
        self.found += [text for name, text in attrs if text and name in {"aria-label", "title", "alt"}]

    def handle_endtag(self, tag: str) -> None:
        self.silent = False

    def handle_data(self, data: str) -> None:
        if data.strip() and not self.silent:
            self.found.append(data.strip())


@cache
def told(name: str) -> Mapping[str, tuple[str, ...]]:
    """The lines of screen, note, page and cautions of a plant."""
    found, words = results(name), Words()
    words.feed(document(found))
    return {
        "screen": tuple(screen(found).splitlines()),
        "note": tuple(markdown(note(found, "2026-11-25"), "p.png").splitlines()),
        "page": tuple(words.found),
        "cautions": tuple(caution.text for caution in found.cautions),
    }


@cache
def content(name: str) -> bytes:
    """The bytes of a results workbook (by plant) or of a scenario workbook (by file)."""
    if name in SCENARIOS:
        return now(name)
    return results_bytes(results(name))


@cache
def shown(name: str) -> openpyxl.Workbook:
    """With cached values, as a viewer that never calculates shows it."""
    return openpyxl.load_workbook(io.BytesIO(content(name)), data_only=True)


@cache
def live(name: str) -> openpyxl.Workbook:
    """With formulas."""
    return openpyxl.load_workbook(io.BytesIO(content(name)))
