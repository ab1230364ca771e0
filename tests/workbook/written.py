"""All that a person reads of the invented plants: every workbook, screen, document and page there is."""

from __future__ import annotations

import html
import io
import re
import tempfile
import zipfile
from collections.abc import Iterator, Mapping
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import openpyxl
import pytest
from conftest import ROOT
from remembered import appraise, digest, remember, results_bytes, shared
from shipping import SHIPPED, now
from typer.testing import CliRunner

from econ.answer.base_case import base_case
from econ.answer.comparison import Comparison, as_text, compare
from econ.answer.report import Appraisal
from econ.answer.screen import screen
from econ.answer.year import Statement, promised, statement
from econ.answer.year_tables import period_of
from econ.cli import app
from econ.inputs.build import build
from econ.inputs.examples import NAMES, example
from econ.inputs.records import Scenario
from econ.many.folder import Task, in_lines, run_folder
from econ.note.content import note
from econ.note.write import markdown, year_note, year_sheet
from econ.page.document import document
from econ.questions.latin import Sampling
from econ.workbook.plain_book import comparison_bytes, write_plain_book

DEEP = "thistle-flat, deep"
"""With the two pages of a deep run, from few samples; all other pages are those of a plain run."""
RESULTS = (DEEP, *NAMES[1:])
SCENARIOS = SHIPPED
ALL = (*RESULTS, *SCENARIOS)
OTHERS = ("year", "compare", "folder")
"""Workbooks of other commands: the statement of a year, two plants side by side, a table of plants."""
COMMANDS = ("blank", "run", "review", "explain", "factors", "folder", "compare", "carbon-note", "print", "page",
            "year")  # fmt: skip


@cache
def asked(name: str) -> tuple[Scenario, Sampling, bool]:
    """A plant, its samples, and whether it is asked deeply."""
    plant = example(name.split(",")[0])
    scenario = build(plant.rows, plant.system, tables=plant.tables)
    return (scenario, Sampling(512), True) if name == DEEP else (scenario, Sampling(), False)


@cache
def results(name: str) -> Appraisal:
    """What the program found for a plant."""
    scenario, sampling, is_deep = asked(name)
    return appraise(scenario, sampling, deep=is_deep)


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
    """The lines of screen, note, page, statement of a year and cautions of a plant."""
    found, words = results(name), Words()
    words.feed(document(found))
    return {
        "screen": tuple(screen(found).splitlines()),
        "note": tuple(markdown(note(found, "2026-11-25"), "p.png").splitlines()),
        "page": tuple(words.found),
        "year": tuple(markdown(year_note(year(name)), "p.png").splitlines()),
        "cautions": tuple(caution.text for caution in found.cautions),
    }


@cache
def year(name: str) -> Statement:
    """The statement of the year of a plant's batches."""
    found = results(name)
    return statement(found, found.scenario, period_of("2026-01-01", "2026-12-31"), promised(found.scenario))


@cache
def answered(*words: str) -> tuple[str, ...]:
    """The lines that the command says to these words."""
    with pytest.MonkeyPatch.context() as patch:
        remember(patch)
        return tuple(CliRunner().invoke(app, list(words), env={"COLUMNS": "100"}).output.splitlines())


def commands() -> Iterator[tuple[str, str]]:
    """What the command says of itself, of a workbook, of a figure, of many plants, and of two side by side."""
    scenario = str(ROOT / "scenarios" / f"{NAMES[0]}.xlsx")
    yield from (("help", line) for word in COMMANDS for line in answered(word, "--help"))
    yield from (("review", line) for line in answered("review", scenario))
    yield from (("explain", line) for name in ("npv", "char_kg") for line in answered("explain", name, scenario))
    yield from (("compare", line) for line in as_text(compared()).splitlines())
    yield from (("folder", line) for line in many()[1])


@cache
def compared() -> Comparison:
    """All invented plants side by side."""
    plants = [build(one.rows, one.system, tables=one.tables) for one in map(example, NAMES)]
    return compare(NAMES, [appraise(one) for one in plants], lambda one: base_case(one).figures["npv"])


@cache
def many() -> tuple[bytes, tuple[str, ...]]:
    """The workbook of some plants of a table, one of them bad, and what the command says of them."""
    prices = ("0.6 USD per lb", "1.2", "2.4", "3", "a lot")
    with tempfile.TemporaryDirectory() as place:
        table = Path(place) / "plants.csv"
        table.write_text("plant,product.1.price\n" + "".join(f"{at},{one}\n" for at, one in enumerate(prices)))
        base, to = ROOT / "scenarios" / f"{NAMES[0]}.xlsx", table.with_suffix(".xlsx")
        outcome = run_folder(Task(table, to, base, workers=1, samples=200))
        return to.read_bytes(), tuple("\n".join(in_lines(outcome)).splitlines())


@cache
def content(name: str) -> bytes:
    """The bytes of a results workbook (by plant), of a scenario workbook (by file), or of another command."""
    if name in SCENARIOS:
        return now(name)
    if name == "compare":
        return comparison_bytes(compared())
    if name == "folder":
        return many()[0]
    if name == "year":
        with tempfile.TemporaryDirectory() as place:
            path = Path(place) / "year.xlsx"
            write_plain_book(path, "Statement", [year_sheet(year(NAMES[0]))])
            return path.read_bytes()
    return shared(f"results of {digest(*asked(name))}", lambda: results_bytes(results(name)))


@cache
def shown(name: str) -> openpyxl.Workbook:
    """With cached values, as a viewer that never calculates shows it."""
    return openpyxl.load_workbook(io.BytesIO(content(name)), data_only=True)


BEHIND = re.compile(
    r"<a:t>([^<]*)</a:t>|<c:tx>(?:(?!</c:tx>).)*<c:v>([^<]*)</c:v>|<odd(?:Header|Footer)>([^<]*)<"
    r"|\b(?:descr|tooltip|prompt|promptTitle|error|errorTitle)=\"([^\"]*)\"|<(?:dc|cp):\w+>([^<]*)<",
    re.DOTALL,
)


def behind(name: str) -> Iterator[tuple[str, str]]:
    """What a workbook says outside its cells: charts, texts for readers, tips, prompts, footers, properties."""
    with zipfile.ZipFile(io.BytesIO(content(name))) as package:
        for part in package.namelist():
            if part.endswith(".xml") and "sharedStrings" not in part:
                for found in BEHIND.findall(package.read(part).decode("utf-8")):
                    text = re.sub(r"&[LCRADPN]|&\d+", " ", html.unescape("".join(found))).strip()
                    if text:
                        yield f"{name} {part}", text
