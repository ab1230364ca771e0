"""Promised ranges held against what a period found, and the ranges to start the next year from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from econ.answer.year import Statement
from econ.inputs.records import TableData
from econ.measured.assay import read_assay
from econ.measured.calibration import Kept, calibration, next_range
from econ.measured.log import read_log
from econ.measured.record import missing_months
from econ.measured.sample import Sample, sample
from econ.measured.use import TARGETS
from econ.units import Unit, shown_unit

Cell = str | float | None


@dataclass(frozen=True, slots=True)
class Block:
    """One table: title, headings, rows of words and numbers, and a sentence under it."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Promise:
    """A promised figure and what was found, in the unit shown; `sample` where it was measured more than once."""

    label: str
    kept: Kept
    sample: Sample | None


VERDICTS = {
    "few": "Too few figures to judge the ranges.",
    "narrow": "The ranges were too narrow: fewer fell inside than P10 to P90 promise.",
    "shifted": "The ranges were shifted: most figures lie on one side of the middle.",
    "wide": "The ranges were wider than needed: more fell inside than P10 to P90 promise.",
    "sound": "The ranges were wide enough: nothing here speaks against them.",
}
RULES = {"bayes": "promise and sample weighed", "sample": "sample alone: it contradicts the promise",
         "stretched": "promise, stretched to hold the figure"}  # fmt: skip
SIDES = {-1: "below", 0: "inside", 1: "above"}
WHOLE = 330 / 365
"""From this share of a year on, sums are held against those of a year."""


def promised_and_found(found: Statement) -> Iterator[Promise]:
    """Every range that was promised, and what the period found: means of the log and the lab, and yearly sums."""
    samples = _samples(found)
    for target in TARGETS:
        entry = found.scenario.entries.get(target.key)
        if entry is not None and entry.has_range and entry.value is not None and target.sample in samples:
            yield _promise(entry.row.label, (entry.low or 0.0, entry.number, entry.high or 0.0),
                           samples[target.sample], entry.unit)  # fmt: skip
    load = found.scenario["kiln.batch_load"]
    if "load" in samples and load.has_range:
        yield _promise(
            load.row.label, (load.low or 0.0, load.number, load.high or 0.0), samples["load"], load.unit
        )
    if found.share_of_year < WHOLE or missing_months(found.record, found.period):
        return
    unit, factor = shown_unit("kg", found.scenario.system)
    hours = found.figures["batch_hours"]
    for label, line, value, scale in (
        (f"Bones processed [{unit}]", "bones_fired_kg", found.figures["bones_kg"], factor),
        ("Batches", "firings_per_year", found.figures["batches"], 1.0),
        (f"Dry char made [{unit}]", "char_kg", found.figures["char_made_kg"], factor),
        ("Labour hours of batches", "hours_per_year", hours, 1.0),
        (f"Sales of char [{found.scenario.currency}]", "sale_income_today", found.figures["sales"], 1.0),
    ):  # fmt: skip
        if value:
            times = found.share_of_year * scale
            low, middle, high = (float(end) * times for end in np.percentile(found.promised[line], (10, 50, 90)))
            yield Promise(label, Kept(low, middle, high, value * scale), None)


def _promise(label: str, ends: tuple[float, float, float], own: Sample, unit: Unit | None) -> Promise:
    """In the unit that the range was typed in."""

    def shown(value: float) -> float:
        return value if unit is None else unit.from_canonical(value)

    values = [shown(value) for value in own.values]
    name = f"{label} [{unit.symbol}]" if unit and unit.short not in {"fraction", "each"} else label
    return Promise(name, Kept(shown(ends[0]), shown(ends[1]), shown(ends[2]), shown(own.mean)), sample(values))


def _samples(found: Statement) -> dict[str, Sample]:
    """Samples of log and lab within the period."""
    tables = found.record.tables
    made: dict[str, Sample] = {}
    for name, read in (("assay", read_assay), ("log", read_log)):
        if name in tables and (lines := found.record.lines(name, found.period)):
            data = TableData(tables[name].plan, tables[name].units, lines)
            made |= dict(read(data).samples)
    return made


def kept(promises: tuple[Promise, ...]) -> Block:
    """Each promise with what was found, and what that says of the ranges."""
    rows = tuple(
        (one.label, one.kept.low, one.kept.middle, one.kept.high, one.kept.found,
         1.0 if one.sample is None else float(one.sample.n), SIDES[one.kept.side])
        for one in promises
    )  # fmt: skip
    counted = calibration([one.kept for one in promises])
    remark = (
        f"{counted.inside} of {counted.n} figures fell inside P10 to P90; eight of ten are expected. "
        f"{VERDICTS[counted.verdict]} Figures that share a cause count as separate."
    )
    heads = ("Figure", "Promised P10", "Middle", "Promised P90", "Found", "n", "Place")
    return Block("Promised ranges against what was found", heads, rows, remark)


def next_year(promises: tuple[Promise, ...]) -> Block:
    """Ranges to type in, each with the rule that made it."""
    rows = []
    for one in promises:
        own = one.sample or sample([one.kept.found])
        low, middle, high, rule = next_range(one.kept.low, one.kept.high, own)
        rows.append((one.label, low, middle, high, RULES[rule]))
    remark = "P10 to P90 of the mean. Type them in as low, value and high."
    return Block(
        "Ranges to start the next year from", ("Figure", "Low", "Value", "High", "Rule"), tuple(rows), remark
    )
