"""The page of the lab assays, and what the pages of measured data share."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from econ.inputs.records import Entry
from econ.measured.assay import ABOVE, SHARES, TRACES, AssayReading, Compared, compared
from econ.questions.found import Gain, View
from econ.units import Unit
from econ.workbook.desk import ASSAY, Desk
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
    return found.symbol if found else ""


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


WIDTHS = CHANGE_WIDTHS
SHOWN_SAMPLES = 5
"""The latest samples are printed one by one; all of them count."""

LABELS = {
    "p2o5": ("Total phosphate (P2O5)", "%", 100.0), "available": ("Available phosphate (P2O5)", "%", 100.0),
    "ca": ("Calcium (Ca)", "%", 100.0), "c_total": ("Total carbon", "%", 100.0),
    "c_org": ("Organic carbon", "%", 100.0), "h": ("Hydrogen", "%", 100.0), "n": ("Nitrogen", "%", 100.0),
    "h_corg": ("Hydrogen to organic carbon (H/C_org)", "mol/mol", 1.0),
    "ca_per_p": ("Calcium to phosphorus", "ratio", 1.0),
    "ph": ("pH", "", 1.0), "moisture": ("Moisture, as received", "%", 100.0),
    "pah16": ("PAH (tars), sum of 16", "ppm", 1e6), "pah8": ("PAH (tars), sum of 8", "ppm", 1e6),
}  # fmt: skip


ELEMENTS = {
    "As": "arsenic", "Cd": "cadmium", "Cl": "chlorine", "Co": "cobalt", "Cr": "chromium", "CrVI": "chromium VI",
    "Cu": "copper", "Hg": "mercury", "Mo": "molybdenum", "Ni": "nickel", "Pb": "lead", "Se": "selenium",
    "Zn": "zinc", "PAH16": "tars, sum of 16", "PAH8": "tars, sum of 8", "PCB6": "biphenyls, sum of 6",
    "PCDDF": "dioxins and furans",
}  # fmt: skip


def _full(symbol: str) -> str:
    """A symbol with its name."""
    return f"{symbol} ({ELEMENTS[symbol]})" if symbol in ELEMENTS else symbol


def write_assay(desk: Desk) -> None:
    """Dry figures, doubts, limits and the change of the answer; only where the workbook holds assays."""
    reading = desk.results.measured.readings.assay
    if reading is None:
        return
    sheet = desk.sheet(ASSAY, "What does the lab say of the char?", WIDTHS)
    at = _figures(desk, sheet, 3, reading)
    at = _doubts(desk, sheet, at, reading)
    at = change(desk, sheet, at, "assay", WIDTHS)
    at = _limits(desk, sheet, at, compared(reading))
    sheet.print_area(0, 0, at, len(WIDTHS) - 1)


def _figures(desk: Desk, sheet: Any, at: int, reading: AssayReading) -> int:
    at = heading(desk, sheet, at, "Figures of the dry char", len(WIDTHS))
    first = max(len(reading.dry) - SHOWN_SAMPLES, 0)
    names = [f"Sample {number + 1}" for number in range(first, len(reading.dry))]
    at = titles(
        desk, sheet, at, ("", "Unit", "Samples", "Mean", "Standard\nerror", "Mean,\n95 % from", "to", *names),
        frozenset({0, 1}),
    )  # fmt: skip
    for name in (*SHARES, "h_corg", "ca_per_p", "ph", "moisture", *TRACES):
        if name in reading.samples:
            _figure(desk, sheet, at, reading, name, first)
            at += 1
    for number, line in enumerate(reading.data.lines, start=1):
        words = (line.text("assay.date"), line.text("assay.sample"), line.text("assay.remark"))
        basis = line.text("assay.basis").replace("-", " ")
        text = f"Sample {number}: {'; '.join(word for word in words if word)} (reported {basis})."
        at = note(desk, sheet, at, text, WIDTHS)
    text = (
        "Figures reported as received are divided by their dry share. A mean below zero at its low end is cut "
        "at zero where it is used. Two samples make a wide range; a third helps most."
    )
    return note(desk, sheet, at, text, WIDTHS) + 1


def _figure(desk: Desk, sheet: Any, at: int, reading: AssayReading, name: str, first: int) -> None:
    label, unit, scale = LABELS.get(name, (_full(name.capitalize()), "ppm", 1e6))
    found = reading.samples[name]
    sheet.write_string(at, 0, label, desk.styles("label"))
    sheet.write_string(at, 1, unit, desk.styles("faint"))
    sheet.write_number(at, 2, found.n, desk.styles("plain", "n0"))
    put(desk, sheet, at, 3, found.mean * scale, "bold")
    put(desk, sheet, at, 4, None if found.se is None else found.se * scale)
    for column, end in enumerate(found.mean_range or (None, None), start=5):
        put(desk, sheet, at, column, None if end is None else end * scale)
    for column, values in enumerate(reading.dry[first:], start=7):
        put(desk, sheet, at, column, values[name] * scale if name in values else None)


def _doubts(desk: Desk, sheet: Any, at: int, reading: AssayReading) -> int:
    at = heading(desk, sheet, at, "What looks wrong", len(WIDTHS))
    if not reading.cautions:
        at = note(desk, sheet, at, "Nothing: the figures fit each other and bone mineral.", WIDTHS)
    for caution in reading.cautions:
        at = note(desk, sheet, at, f"{caution.text}  [{caution.where}]", WIDTHS, "caution")
    return at + 1


def _limits(desk: Desk, sheet: Any, at: int, rows: tuple[Compared, ...]) -> int:
    at = heading(desk, sheet, at, "Against the limits of several sets of rules [ppm of dry char]", len(WIDTHS))
    text = (
        "Which of these rules hold for you is for your state or country to say. Limits per 1 % of P2O5 are "
        "counted on the mean available P2O5 of the assays; the highest sample is compared."
    )
    at = note(desk, sheet, at, text, WIDTHS)
    rules = ""
    for row in rows:
        if row.rules != rules:
            rules = row.rules
            at = note(desk, sheet, at, f"{rules}: {row.whose}.", WIDTHS, "bold")
            at = titles(
                desk,
                sheet,
                at,
                ("Substance", "Limit", "Highest", "Verdict", "", "Source", *[""] * (len(WIDTHS) - 6)),
                frozenset({0, 3, 5}),
            )
            sheet.set_row(at - 1, 16)
        _limit(desk, sheet, at, row)
        at += 1
    return at


def _limit(desk: Desk, sheet: Any, at: int, row: Compared) -> None:
    sheet.write_string(at, 0, _full(row.limit.substance), desk.styles("label"))
    put(desk, sheet, at, 1, row.allowed)
    put(desk, sheet, at, 2, row.highest)
    sheet.write_string(at, 3, row.verdict, desk.styles("word_bold" if row.verdict == ABOVE else "word"))
    limit = row.limit
    words = (f"{limit.source.text}, {limit.locator}", limit.mark, limit.note)
    origin = "; ".join(word for word in words if word)
    sheet.merge_range(at, 5, at, len(WIDTHS) - 1, origin, desk.styles("faint_wrap"))
    sheet.set_row(at, row_height((origin, sum(WIDTHS[5:])), size=9))
