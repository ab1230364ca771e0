"""The page of the lab assays, to print: dry figures of every sample, what looks wrong, and the limits."""

from __future__ import annotations

from typing import Any

from econ.measured.assay import SHARES, TRACES, AssayReading
from econ.measured.limits import ABOVE, Compared, compared
from econ.workbook.desk import ASSAY, Desk
from econ.workbook.pages.measured_page import CHANGE_WIDTHS, change, heading, note, put, titles
from econ.workbook.style import row_height

WIDTHS = CHANGE_WIDTHS
SHOWN_SAMPLES = 5
"""The latest samples are printed one by one; all of them count."""

LABELS = {
    "p2o5": ("Total phosphate (P2O5)", "%", 100.0), "available": ("Available phosphate (P2O5)", "%", 100.0),
    "ca": ("Calcium (Ca)", "%", 100.0), "c_total": ("Total carbon", "%", 100.0),
    "c_org": ("Organic carbon", "%", 100.0), "h": ("Hydrogen", "%", 100.0), "n": ("Nitrogen", "%", 100.0),
    "h_corg": ("Hydrogen to organic carbon (H/C_org)", "mol/mol", 1.0),
    "ca_per_p": ("Calcium to phosphorus", "kg/kg", 1.0),
    "ph": ("pH", "", 1.0), "moisture": ("Moisture, as received", "%", 100.0),
    "pah16": ("PAH (tars), sum of 16", "mg/kg", 1e6), "pah8": ("PAH (tars), sum of 8", "mg/kg", 1e6),
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
    label, unit, scale = LABELS.get(name, (_full(name.capitalize()), "mg/kg", 1e6))
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
    at = heading(desk, sheet, at, "Against the limits of several sets of rules [mg/kg of dry char]", len(WIDTHS))
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
