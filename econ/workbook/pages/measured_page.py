"""What the pages of kiln log and lab assay share: headings, lines of words, and how the answer changed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from econ.inputs.records import Entry
from econ.questions.measuring import Gain, View
from econ.units import Unit
from econ.workbook.desk import Desk
from econ.workbook.style import number_format, row_height


def heading(desk: Desk, sheet: Any, at: int, text: str, columns: int) -> int:
    """A band across the page; returns the next row."""
    for column in range(columns):
        sheet.write_string(at, column, text if column == 0 else "", desk.styles("heading"))
    return at + 1


def titles(desk: Desk, sheet: Any, at: int, names: Sequence[str], words: frozenset[int] = frozenset({0})) -> int:
    """Titles of columns, right-aligned over numbers; `words` are the columns of text."""
    for column, name in enumerate(names):
        sheet.write_string(at, column, name, desk.styles(_title_look(column, words)))
    sheet.set_row(at, 14 * max(2, *(name.count("\n") + 1 for name in names)) + 2)
    return at + 1


def _title_look(column: int, words: frozenset[int]) -> str:
    if column not in words:
        return "column_right"
    return "column_word" if column else "column"


def put(desk: Desk, sheet: Any, at: int, column: int, value: float | None, look: str = "plain") -> None:
    """A number with about three figures that matter; nothing where there is none."""
    if value is not None:
        sheet.write_number(at, column, value, desk.styles(look, number_format(value, "")))


def note(desk: Desk, sheet: Any, at: int, text: str, widths: Sequence[float], look: str = "wrap") -> int:
    """A sentence across the page; returns the next row."""
    sheet.merge_range(at, 0, at, len(widths) - 1, text, desk.styles(look))
    sheet.set_row(at, row_height((text, sum(widths) - 2)) + 2)
    return at + 1


CHANGE_TITLES = (
    "Input", "Counts?", "Typed", "Low", "High", "Measured", "Low", "High", "Unit",
    "NPV\nas typed", "NPV as\nmeasured", "NPV swing\nbefore", "NPV swing\nafter",
    "Removal\nas typed\n[t CO2e/a]", "Removal as\nmeasured\n[t CO2e/a]",
)  # fmt: skip
CHANGE_WIDTHS = (46, 11, 11, 11, 11, 11, 11, 11, 11, 12, 12, 12, 12, 13, 13)


def change(desk: Desk, sheet: Any, at: int, table: str, widths: Sequence[float]) -> int:
    """How the answer and the worth of knowing more changed with the measurements of one table."""
    gains = [gain for gain in desk.results.measured.gains if gain.standing.target.table == table]
    if not gains:
        return at
    at = heading(desk, sheet, at, f"What it does to the answer [{desk.currency}]", len(widths))
    at = titles(desk, sheet, at, CHANGE_TITLES, frozenset({0, 1, 8}))
    for gain in gains:
        _gain(desk, sheet, at, gain)
        at += 1
    for gain in gains:
        if swing(gain.typed) or swing(gain.measured):
            at = note(desk, sheet, at, worth_sentence(gain, desk.currency), widths)
    found = desk.results.measured
    used = ", ".join(one.typed.row.label for one in found.readings.used) or "nothing"
    text = (
        f"Measured values that count now: {used}. NPV with everything as typed {found.npv_as_typed:,.0f}, as it "
        f"stands {desk.results.figures['npv']:,.0f} {desk.currency}. Swing: NPV from low to high of that input "
        "alone, the others as they stand."
    )
    return note(desk, sheet, at, text, widths) + 1


def _gain(desk: Desk, sheet: Any, at: int, gain: Gain) -> None:
    one = gain.standing
    sheet.write_string(at, 0, one.typed.row.label, desk.styles("label"))
    sheet.write_string(at, 1, "yes" if one.is_used else "no", desk.styles("word_bold" if one.is_used else "word"))
    for start, entry in ((2, one.typed), (5, one.measured)):
        _entry(desk, sheet, at, start, entry, one.measured)
    sheet.write_string(at, 8, plain_unit(one.measured.unit), desk.styles("faint"))
    for column, view in ((9, gain.typed), (10, gain.measured)):
        sheet.write_number(at, column, view.npv, desk.styles("plain", "money0"))
        if (moved := swing(view)) is not None:
            sheet.write_number(at, column + 2, moved, desk.styles("plain", "money0"))
        put(desk, sheet, at, column + 4, None if view.removal is None else view.removal / 1000)


def _entry(desk: Desk, sheet: Any, at: int, start: int, entry: Entry, shown_as: Entry) -> None:
    if entry.value is None:
        sheet.write_string(at, start, "modelled", desk.styles("faint"))
        return
    ends = (entry.low, entry.high) if entry.has_range else (None, None)
    for column, value in enumerate((entry.number, *ends), start=start):
        put(desk, sheet, at, column, shown_as.shown(value))


def plain_unit(found: Unit | None) -> str:
    """A unit as a person writes it in a table."""
    if found is None:
        return ""
    return {"degF": "°F", "degC": "°C", "hour": "hours", "short_ton": "short ton"}.get(found.short, found.short)


def swing(view: View) -> float | None:
    """NPV from low to high, or None without a range."""
    return None if view.at_low is None or view.at_high is None else abs(view.at_high - view.at_low)


def worth_sentence(gain: Gain, currency: str) -> str:
    """What knowing the input exactly was worth before measuring, and still is."""
    label = gain.standing.typed.row.label
    if gain.typed.at_low is None:
        return (
            f"{label}: no range was typed, so the worth of measuring it cannot be said; with the measured range "
            f"knowing it exactly is still worth at most {gain.measured.worth:,.0f} {currency}."
        )
    return (
        f"{label}: with the typed range, knowing it exactly before buying was worth at most "
        f"{gain.typed.worth:,.0f} {currency}; with the measured range it is {gain.measured.worth:,.0f} {currency}."
    )
