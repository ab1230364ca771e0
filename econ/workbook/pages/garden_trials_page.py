"""The page of the garden trials, to print: what was seen, what it shows, and what may be said of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from econ.answer.trial_words import LABELS, doubts, many, may_not_say, may_say, needed, title
from econ.inputs.records import Line, TableData
from econ.measured.garden_trials import SHOWN, Comparison, Germination, Means, mean
from econ.units import Unit
from econ.workbook.desk import TRIALS, Desk
from econ.workbook.page_plan import Found, Row, Slot, plans
from econ.workbook.pages.measured_page import plain_unit

TITLES = (
    "Measure", "Unit", "With char", "Without char", "Difference", "95 % interval of it", "p, corrected", "Verdict",
)  # fmt: skip
LEAST_P = 0.0001


def trials(desk: Desk) -> Found:
    """Every comparison with its verdict and sentences, then every tray and bed as typed."""
    reading, words = desk.results.measured.readings.trials, plans()[TRIALS].words
    assert reading is not None
    labels = {column.key: column.label for column in reading.data.plan.columns}
    heads = []
    for key in ("trial", *words["columns"]):
        unit = plain_unit(reading.data.units.get(f"trials.{key}"))
        heads.append(labels[f"trials.{key}"] + (f" [{unit}]" if unit else ""))
    return {
        "many": [text] if (text := many(reading)) else (),
        "comparisons": [row for one in reading.comparisons for row in _comparison(one, reading.data)],
        "lonely": [words["lonely"].format(trial or words["unnamed"]) for trial in reading.lonely],
        "trays": [_tray(reading.data, line) for line in reading.data.lines],
        "trays_heads": heads,
    }


def _comparison(one: Comparison, data: TableData) -> Iterator[Any]:
    """Each measure with its verdict, and below it what may be said of it."""
    yield Row((title(one),), "heading")
    looks = ("column", "column_word", *["column_right"] * 5, "column_word")
    yield [Slot(text, look) for text, look in zip(TITLES, looks, strict=True)]
    for found in one.found:
        own = None if isinstance(found, Germination) else data.units.get(f"trials.{found.of}")
        unit, scale = plain_unit(own), 1.0 / own.factor if isinstance(own, Unit) else 1.0
        verdict = Slot(found.verdict.upper(), "word_bold" if found.verdict == SHOWN else "")
        p = plans()[TRIALS].words["least_p"].format(LEAST_P) if found.p_holm < LEAST_P else found.p_holm
        cells = _seeds(found) if isinstance(found, Germination) else _means(found, unit, scale)
        yield *cells, Slot(p, "" if isinstance(p, str) or p >= 0.001 else "sig"), verdict
        said = (
            may_say(found, one.detail, unit, scale),
            may_not_say(found),
            needed(found, unit, scale),
            doubts(found),
        )
        yield from ((Slot(text, "wrap", len(TITLES)),) for text in said if text)
    yield ()


def _seeds(found: Germination) -> tuple[Any, ...]:
    words = plans()[TRIALS].words
    sides = (words["sprouted"].format(side) for side in (found.with_char, found.without))
    low, high = found.difference
    return words["seeds"], words["sown"], *sides, f"{found.gap:+.0%}", f"{low:+.0%} to {high:+.0%}"


def _means(found: Means, unit: str, scale: float) -> tuple[Any, ...]:
    words, name = plans()[TRIALS].words, LABELS[found.of]
    label = words["means"].format(f"{name[0].upper()}{name[1:]}", len(found.with_char), len(found.without))
    values = (value * scale for value in (mean(found.with_char), mean(found.without), found.gap))
    if found.difference is None:
        return label, unit, *values, words["few_beds"]
    low, high = (end * scale for end in found.difference)
    return label, unit, *values, f"{low:+.3g} to {high:+.3g}"


def _tray(data: TableData, line: Line) -> tuple[Any, ...]:
    """One tray or bed as typed."""
    treatment = line.text("trials.detail") or line.text("trials.treatment").replace("-", " ")
    cells: list[Any] = []
    for key in plans()[TRIALS].words["columns"]:
        value = line.number(f"trials.{key}")
        cells.append(line.text(f"trials.{key}") or None if value is None else data.shown(f"trials.{key}", value))
    return f"{line.text('trials.trial')}: {treatment}", *cells
