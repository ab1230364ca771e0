"""The page of the kiln log, to print and pin up: firings, means and ranges, trends, what it changes."""

from __future__ import annotations

from typing import Any

from econ.inputs.records import Line, TableData
from econ.measured.log import FUELS, LogReading, dry_char_kg
from econ.measured.sample import Sample, Trend
from econ.units import Unit, unit
from econ.workbook.desk import LOG, Desk
from econ.workbook.pages.lab_assay_page import CHANGE_WIDTHS, change, heading, note, plain_unit, put, titles

WIDTHS = CHANGE_WIDTHS
TOP = 3


def write_log(desk: Desk) -> None:
    """Firings, statistics, trends and the change of the answer; only where the workbook holds a log."""
    reading = desk.results.measured.readings.log
    if reading is None:
        return
    sheet = desk.sheet(LOG, "What do the weighed batches say?", WIDTHS)
    at = _statistics(desk, sheet, TOP, reading)
    at = _trends(desk, sheet, at, reading)
    at = change(desk, sheet, at, "log", WIDTHS)
    at = _firings(desk, sheet, at, reading)
    sheet.print_area(0, 0, at, len(WIDTHS) - 1)


def _mass(data: TableData) -> Unit:
    return data.units.get("log.bones_in") or unit("kg")


def _big(data: TableData) -> Unit:
    """The large mass that rates are given for: a short ton beside pounds, a tonne beside kilograms."""
    return unit("short_ton") if _mass(data).short in {"lb", "short_ton"} else unit("tonne")


def _shown(data: TableData, name: str) -> tuple[str, str, float, float]:
    """Label, unit, and slope and offset from the canonical number to the number shown."""
    big = _big(data)
    per_big = big.factor / 1000
    peak = data.units.get("log.peak") or unit("degC")
    found = {
        "yield": ("Dry char of raw bones", "%", 100.0, 0.0),
        "yield_of_dry": ("Dry char of dry bones", "%", 100.0, 0.0),
        "load": ("Raw bones in one batch", plain_unit(_mass(data)), 1 / _mass(data).factor, 0.0),
        "peak": ("Peak temperature", plain_unit(peak), 1 / peak.factor, -peak.offset),
        "hours": ("Labour hours, a batch", "hours", 1.0, 0.0),
        "hours_per_t": (f"Labour hours, a {plain_unit(big)} of bones", "hours", per_big, 0.0),
    }
    for n in FUELS:
        own = data.units.get(f"log.fuel_{n}") or unit("L")
        found[f"fuel_{n}"] = (f"Fuel {n}, a batch", own.symbol, 1 / own.factor, 0.0)
        found[f"fuel_{n}_per_t"] = (
            f"Fuel {n}, a {plain_unit(big)} of bones",
            own.symbol,
            per_big / own.factor,
            0.0,
        )
    return found[name]


def _statistics(desk: Desk, sheet: Any, at: int, reading: LogReading) -> int:
    at = heading(desk, sheet, at, "Mean of the batches, and how well it is known", len(WIDTHS))
    at = titles(
        desk, sheet, at,
        ("", "Batches", "Mean", "Unit", "Standard\ndeviation", "Standard\nerror", "Mean,\n95 % from", "to",
         "Next batch,\n95 % from", "to", "Stands out"), frozenset({0, 3, 10}),
    )  # fmt: skip
    for name, found in reading.samples.items():
        _sample(desk, sheet, at, reading.data, name, found)
        at += 1
    if reading.yield_of_totals is not None:
        text = (
            f"All char ÷ all bones: {reading.yield_of_totals:.1%}. Where it differs from the mean of the batches, "
            "large loads yield otherwise than small ones. "
        )
    else:
        text = ""
    text += (
        "Ranges hold 95 % by Student's t: for the mean ± t s/√n, for the next batch ± t s √(1 + 1/n). They take "
        "the batches for independent. A batch that stands out (Grubbs' test, from 7 batches on) is counted "
        "all the same: look what happened."
    )
    return note(desk, sheet, at, text, WIDTHS) + 1


def _sample(desk: Desk, sheet: Any, at: int, data: TableData, name: str, found: Sample) -> None:
    label, unit_name, slope, offset = _shown(data, name)
    sheet.write_string(at, 0, label, desk.styles("label"))
    sheet.write_number(at, 1, found.n, desk.styles("plain", "n0"))
    put(desk, sheet, at, 2, found.mean * slope + offset, "bold")
    sheet.write_string(at, 3, unit_name, desk.styles("faint"))
    for column, spread in ((4, found.sd), (5, found.se)):
        put(desk, sheet, at, column, None if spread is None else spread * slope)
    ends = (*(found.mean_range or (None, None)), *(found.next_range or (None, None)))
    for column, end in enumerate(ends, start=6):
        put(desk, sheet, at, column, None if end is None else end * slope + offset)
    if found.outlier is not None:
        sheet.write_string(at, 10, f"batch {found.lines[found.outlier] + 1}", desk.styles("word_bold"))


def _trends(desk: Desk, sheet: Any, at: int, reading: LogReading) -> int:
    at = heading(desk, sheet, at, "Does it move with load or temperature?", len(WIDTHS))
    if not reading.trends:
        text = "These batches cannot tell: it takes five at loads or temperatures that differ, eight for both."
        return note(desk, sheet, at, text, WIDTHS) + 1
    for trend in reading.trends:
        at = note(desk, sheet, at, trend_sentence(reading.data, trend), WIDTHS)
    return at + 1


def trend_sentence(data: TableData, trend: Trend) -> str:
    """A trend in words, in the units of the log."""
    label, of_unit, of_slope, _ = _shown(data, trend.of)
    over, over_unit, over_slope, _ = _shown(data, trend.over)
    step = 100.0 if trend.over == "load" else 10.0
    scale = of_slope / over_slope * step
    slope, low, high = (value * scale for value in (trend.slope, trend.low, trend.high))
    points = "points" if of_unit == "%" else of_unit
    beside = " at like load" if trend.beside == "load" else " at like temperature" if trend.beside else ""
    if not trend.is_told:
        return (
            f"{label}: no trend with {over.lower()} that {trend.n} batches could tell ({low:+.2g} to {high:+.2g} "
            f"{points} for {step:g} {over_unit} more{beside})."
        )
    word = "rises" if slope > 0 else "falls"
    return (
        f"{label} {word} by {abs(slope):.2g} {points} for {step:g} {over_unit} more {over.lower()}{beside} "
        f"(95 %: {low:+.2g} to {high:+.2g}; n = {trend.n})."
    )


def _firings(desk: Desk, sheet: Any, at: int, reading: LogReading) -> int:
    data = reading.data
    keys = [column.key for column in data.plan.columns if column.is_number
            and any(line.number(column.key) is not None for line in data.lines)]  # fmt: skip
    at = heading(desk, sheet, at, f"The {reading.n} batches", len(WIDTHS))
    names = ["Batch, date, remark"]
    for key in keys:
        own = data.units[key]
        names.append(f"{data.plan.by_key[key].label.split(',')[0]}\n[{plain_unit(own)}]")
    at = titles(desk, sheet, at, [*names, "Dry char\nof bones\n[%]"])
    sheet.set_row(at - 1, 58)
    for number, line in enumerate(data.lines, start=1):
        _firing(desk, sheet, at, data, number, line, keys)
        at += 1
    return at


def _firing(desk: Desk, sheet: Any, at: int, data: TableData, number: int, line: Line, keys: list[str]) -> None:
    words = "  ".join(text for text in (str(number), line.text("log.date"), line.text("log.remark")) if text)
    sheet.write_string(at, 0, words, desk.styles("plain"))
    for column, key in enumerate(keys, start=1):
        value = line.number(key)
        put(desk, sheet, at, column, None if value is None else data.shown(key, value))
    char, bones = dry_char_kg(line), line.number("log.bones_in")
    if char is not None and bones:
        put(desk, sheet, at, len(keys) + 1, 100 * char / bones)
