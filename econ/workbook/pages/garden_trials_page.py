"""The page of the garden trials, to print: what was seen, what it shows, and what may be said of it."""

from __future__ import annotations

from typing import Any

from econ.answer.trial_words import LABELS, doubts, many, may_not_say, may_say, needed, title
from econ.inputs.records import TableData
from econ.measured.garden_trials import SHOWN, Comparison, Germination, Means, mean
from econ.units import Unit
from econ.workbook.desk import TRIALS, Desk
from econ.workbook.pages.lab_assay_page import heading, note, plain_unit
from econ.workbook.style import number_format

WIDTHS = (36, 13, 16, 16, 13, 20, 12, 16)
TITLES = (
    "Measure",
    "Unit",
    "With char",
    "Without char",
    "Difference",
    "95 % interval of it",
    "Chance p",
    "Verdict",
)
LEAST_P = 0.0001


def write_trials(desk: Desk) -> None:
    """Every comparison with its verdict and sentences; only where the workbook holds trials."""
    reading = desk.results.measured.readings.trials
    if reading is None:
        return
    sheet = desk.sheet(TRIALS, "What do the garden trials show, and what may be said?", WIDTHS)
    at = 3
    if text := many(reading):
        at = note(desk, sheet, at, text, WIDTHS, "caution") + 1
    for one in reading.comparisons:
        at = _comparison(desk, sheet, at, one, reading.data)
    for trial in reading.lonely:
        at = note(desk, sheet, at, f"{trial or 'A trial without a name'}: nothing to compare.", WIDTHS, "caution")
    at = _method(desk, sheet, at)
    at = _lines(desk, sheet, at, reading.data)
    sheet.print_area(0, 0, at, len(WIDTHS) - 1)


def _comparison(desk: Desk, sheet: Any, at: int, one: Comparison, data: TableData) -> int:
    at = heading(desk, sheet, at, title(one), len(WIDTHS))
    for column, name in enumerate(TITLES):
        look = "column" if column == 0 else "column_word" if column in {1, 7} else "column_right"
        sheet.write_string(at, column, name, desk.styles(look))
    at += 1
    for found in one.found:
        unit, scale = _unit(found, data)
        if isinstance(found, Germination):
            _germination(desk, sheet, at, found)
        else:
            _means(desk, sheet, at, found, unit, scale)
        shown = found.verdict == SHOWN
        sheet.write_string(at, 7, found.verdict.upper(), desk.styles("word_bold" if shown else "word"))
        at += 1
        words = (
            may_say(found, one.detail, unit, scale),
            may_not_say(found),
            needed(found, unit, scale),
            doubts(found),
        )
        for text in words:
            if text:
                at = note(desk, sheet, at, text, WIDTHS)
    return at + 1


def _unit(found: Germination | Means, data: TableData) -> tuple[str, float]:
    """The unit a measure is shown in, and the factor to it."""
    if isinstance(found, Germination):
        return "", 1.0
    own = data.units.get(f"trials.{found.of}")
    return plain_unit(own), 1.0 / own.factor if isinstance(own, Unit) else 1.0


def _p(desk: Desk, sheet: Any, at: int, p: float) -> None:
    if p < LEAST_P:
        sheet.write_string(at, 6, f"below {LEAST_P:g}", desk.styles("right"))
    else:
        sheet.write_number(at, 6, p, desk.styles("plain", "n3" if p >= 0.001 else "sig"))


def _germination(desk: Desk, sheet: Any, at: int, found: Germination) -> None:
    styles = desk.styles
    sheet.write_string(at, 0, "Seeds that sprouted", styles("label"))
    sheet.write_string(at, 1, "of those sown", styles("word"))
    for column, side in ((2, found.with_char), (3, found.without)):
        text = f"{side.sprouted} of {side.sown} ({side.share:.0%})"
        sheet.write_string(at, column, text, styles("right"))
    sheet.write_string(at, 4, f"{found.gap:+.0%}", styles("right"))
    low, high = found.difference
    sheet.write_string(at, 5, f"{low:+.0%} to {high:+.0%}", styles("right"))
    _p(desk, sheet, at, found.p)


def _means(desk: Desk, sheet: Any, at: int, found: Means, unit: str, scale: float) -> None:
    styles, name = desk.styles, LABELS[found.of]
    label = f"{name[0].upper()}{name[1:]} (mean of {len(found.with_char)} and {len(found.without)})"
    sheet.write_string(at, 0, label, styles("label"))
    sheet.write_string(at, 1, unit, styles("word"))
    values = (mean(found.with_char), mean(found.without), found.gap)
    for column, value in enumerate(values, start=2):
        sheet.write_number(at, column, value * scale, styles("plain", number_format(value * scale, "")))
    if found.difference is None:
        sheet.write_string(at, 5, "too few beds", styles("right"))
    else:
        low, high = (end * scale for end in found.difference)
        sheet.write_string(at, 5, f"{low:+.3g} to {high:+.3g}", styles("right"))
    _p(desk, sheet, at, found.p)


METHOD = (
    "Seeds: Fisher's exact test, two-sided, and the score interval of the difference. Where four trays a side or "
    "more can vouch for themselves, they must agree. Days and yields: labels are shuffled over the beds, all ways "
    "where they can be counted. Shown means p below 5 %; a trial of the least size finds the difference four "
    "times in five. p is the chance of as much difference, either way, if char did nothing."
)


def _method(desk: Desk, sheet: Any, at: int) -> int:
    at = heading(desk, sheet, at, "How it was judged", len(WIDTHS))
    return note(desk, sheet, at, METHOD, WIDTHS) + 1


def _lines(desk: Desk, sheet: Any, at: int, data: TableData) -> int:
    """Every tray and bed as typed."""
    styles = desk.styles
    at = heading(desk, sheet, at, "Every tray and bed", len(WIDTHS))
    columns = ("trial", "replicate", "sown", "sprouted", "days_sprout", "days_fruit", "harvest", "remark")
    units = {key: plain_unit(data.units.get(f"trials.{key}")) for key in columns}
    labels = {column.key: column.label for column in data.plan.columns}
    for column, key in enumerate(columns):
        label = labels[f"trials.{key}"] + (f" [{units[key]}]" if units[key] else "")
        look = "column" if column == 0 else "column_word" if column in {1, 7} else "column_right"
        sheet.write_string(at, column, label, styles(look))
    sheet.set_row(at, 44)
    for line in data.lines:
        at += 1
        treatment = line.text("trials.detail") or line.text("trials.treatment").replace("-", " ")
        sheet.write_string(at, 0, f"{line.text('trials.trial')}: {treatment}", styles("label"))
        for column, key in enumerate(columns[1:], start=1):
            value = line.number(f"trials.{key}")
            if value is not None:
                sheet.write_number(at, column, data.shown(f"trials.{key}", value), styles("plain", "typed"))
            elif text := line.text(f"trials.{key}"):
                sheet.write_string(at, column, text, styles("word" if column == 1 else "faint_wrap"))
    return at
