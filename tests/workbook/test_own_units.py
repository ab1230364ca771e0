"""A workbook speaks one system of units: what a US plant reads holds no kg, tonne, L or °C, and the reverse.

Factors: NIST SP 811, appendix B (exact ones); remembered, then read against `econ/units.csv`.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from typing import Any

import in_parts
import pytest
from conftest import plant
from remembered import appraise
from written import NAMES, SCENARIOS, behind, content, results, shown, told

from econ.answer.practice import figure_words
from econ.questions.latin import Sampling
from econ.units import said, shown_label, shown_unit

METRIC = re.compile(r"(?<!\w)(kg|g|t|tonnes?|L|m³|m²|m|km|MJ|°C|ha|litres?|metres?)(?![\w])")
US = re.compile(r"(?<!\w)(lb|oz|tons?|gal|cu ft|sq ft|ft|acres?|Btu|°F)(?!\w)")
LEFT_OUT = re.compile(
    r"Student's t|± t s"
    r"|t CO2e/\(kg m\)|\S*\b(?:kg|t) CO2e?\S*(?: bones| char| N)?|\bt C\b|[Mm]etric tons?\b"
    r"|\b(?:kg|g|mg|ng TEQ)(?:/| per )kg\b|\bkg per (?:t|kWh)\b|kilogram \(kg\) per tonne|USD per tonne"
    r"|(?:US EPA|Label of a retail bone char|default: |EN 1993).*"
    r"|\([^)]*\)"
)
"""Student's t; carbon, metric for all, with its factors; a source as it is called; in parentheses."""
EXEMPT = {
    "Sources": "facts keep the unit of their source",
    "Label": "a label states the rate in several units",
    "Lists": "what may be chosen in a unit cell, of both systems",
}
FACTS = {"note": ("Annex A.", "\n"), "page": ("Facts in use", "All inputs")}
"""Where the facts begin and end, which keep the unit of their source."""


def texts(name: str) -> Iterator[tuple[str, str]]:
    """Every text that is shown, but for the column that names the source of an input."""
    hidden = in_parts.hidden_columns(content(name))
    for cell in in_parts.read(content(name)):
        column = cell.address.rstrip("0123456789")
        if (
            isinstance(cell.value, str)
            and cell.sheet not in EXEMPT
            and column not in hidden[cell.sheet]
            and (cell.sheet != "Inputs used" or column != "G")
        ):
            yield f"{cell.sheet}!{cell.address}", cell.value
    yield from behind(name)


def wrong(name: str, units: re.Pattern[str]) -> list[str]:
    return [f"{at}: {text}" for at, text in texts(name) if units.search(LEFT_OUT.sub("", text))]


@pytest.mark.parametrize("name", [*NAMES, *SCENARIOS])
def test_a_workbook_shows_one_system(name: str) -> None:
    is_us = "us" in name or any(plant in name for plant in NAMES if results(plant).scenario.system == "us")
    assert not wrong(name, METRIC if is_us else US)


@pytest.mark.parametrize("kind", ["screen", "note", "page", "year", "cautions"])
@pytest.mark.parametrize("name", NAMES)
def test_screen_note_page_and_cautions_show_the_system_of_the_plant(name: str, kind: str) -> None:
    pattern = METRIC if results(name).scenario.system == "us" else US
    begin, end = FACTS.get(kind, ("\n", "\n"))
    lines, is_fact = [], False
    for line in told(name)[kind]:
        is_fact = (is_fact or begin in line) and end not in line
        lines += [] if is_fact else [line]
    assert len(lines) > 5
    assert not [line for line in lines if pattern.search(LEFT_OUT.sub("", line))]


@pytest.mark.parametrize(
    ("metric", "us", "factor"),
    [
        ("kg/year", "lb/year", 1 / 0.45359237),
        ("t/year", "ton/year", 1 / 0.90718474),
        ("g", "oz", 1 / 28.349523125),
        ("L/min", "gal/min", 1 / 3.785411784),
        ("m²", "sq ft", 1 / 0.09290304),
        ("kg/ha", "lb/acre", 0.40468564224 / 0.45359237),
        ("MJ", "million Btu", 1 / 1055.05585262),
        ("$/kg", "$/lb", 0.45359237),
        ("kg CO2e/year", "t CO2e/year", 0.001),
        ("kg CO2e/t", "t CO2e/ton", 0.90718474 / 1000),
        ("t CO2e/year", "t CO2e/year", 1.0),
        ("t C/year", "t C/year", 1.0),  # × 44/12 is the CO2e beside it
        ("mg/kg", "ppm", 1.0),
        ("hours/year", "hours/year", 1.0),
    ],
)
def test_a_figure_moves_to_us_units_by_exact_factors(metric: str, us: str, factor: float) -> None:
    assert shown_unit(metric, "us") == (us, pytest.approx(factor, rel=1e-9))
    assert shown_unit(metric, "metric") == (metric, 1.0)


def test_a_figure_in_words_has_its_unit_and_three_figures() -> None:
    """A share is said in per cent, a flag without a unit; a pound is 0.45359237 kg (NIST SP 811)."""
    said = [figure_words(*one) for one in (
        ("share", "us", 0.2512), ("kg/year", "us", 1000.0), ("kg/year", "metric", 1000.0), ("flag", "us", 1.0),
        ("$", "us", "none"), ("years", "us", float("nan")),
    )]  # fmt: skip
    assert said == ["25.1 %", "2,205 lb/year", "1,000 kg/year", "1", "none", "none"]


def test_words_go_with_the_unit() -> None:
    assert shown_label("Net cost per kg of bones", "us") == "Net cost per lb of bones"
    assert said(1000, "kg", "us") == "2,205 lb"
    assert said(1000, "kg", "metric") == "1,000 kg"


def cells(sheet: Any) -> dict[str, float]:
    return {str(row[0].value): row[1].value for row in sheet.iter_rows(min_row=6)}


def test_a_us_page_shows_what_the_model_holds() -> None:
    book = shown("thistle-flat")
    page = book["What comes out"]
    name = book.defined_names["char_kg"].attr_text.split("!")[1].replace("$", "")
    assert cells(page)["Dry char made"] == pytest.approx(page[name].value / 0.45359237, rel=1e-12)


def test_carbon_that_stays_has_one_unit_on_screen_and_sheets() -> None:
    """Metric tons as the CO2e it becomes; the rows that trace it are in lb, and say so."""
    found = [
        (at, text) for at, text in texts("thistle-flat") if text.startswith("Carbon remaining after 100 years")
    ]
    assert {at.partition("!")[0] for at, _ in found} >= {"Sensitivity", "Risk"}
    assert {text.partition("[")[2] for _, text in found if "[" in text} == {"t C/year]"}
    assert not [text for _, text in texts("thistle-flat") if "ton C" in text or "tons C" in text]


TYPED = ("Every factor", "Numbers behind", "Not checked", "Largest causes")
"""Tables of a note that keep the unit of a source or of a typed row."""


@pytest.mark.parametrize(("name", "other"), [("thistle-flat", METRIC), ("low-sedge", US)])
def test_the_note_in_word_keeps_to_the_units_of_the_plant(name: str, other: re.Pattern[str]) -> None:
    """Paragraphs, headings of columns and cells of the document itself, not of its Markdown."""
    from docx import Document

    from econ.note.content import note
    from econ.note.write import word

    document = Document(io.BytesIO(word(note(appraise(plant(name), Sampling(samples=200)), "2026-11-25"))))
    said_there = [paragraph.text for paragraph in document.paragraphs]
    captions = [text for text in said_there if text.startswith("Table ")]
    for caption, table in zip(captions, document.tables, strict=True):
        if not any(words in caption for words in TYPED):
            said_there += [cell.text for row in table.rows for cell in row.cells]
    found = [text for text in said_there if other.search(LEFT_OUT.sub("", text)) and "formula" not in text]
    assert not found
