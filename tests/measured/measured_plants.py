"""Plants with kiln log and assays put over them, for the tests of measured values."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from conftest import put_in, shipped

from econ.inputs.records import Scenario, TypedLine, TypedTable

US_LOG = {
    "log.bones_in": "lb", "log.char_out": "lb", "log.fuel_1": "gal", "log.hours": "hours", "log.peak": "degF",
    "log.char_moisture": "%", "log.bones_moisture": "%",
}  # fmt: skip
PER_CENT = {f"assay.{name}": "%" for name in ("moisture", "ca", "c_total", "c_org", "h", "n")}
ASSAY_UNITS = PER_CENT | {
    "assay.p2o5": "% P2O5",
    "assay.available": "% P2O5",
    "assay.cd": "mg/kg",
    "assay.pb": "mg/kg",
    "assay.pah8": "mg/kg",
    "assay.pah16": "mg/kg",
}


def table(name: str, units: Mapping[str, str], lines: Iterable[Mapping[str, object]]) -> TypedTable:
    """A typed table from lines of {last word of the key: value}."""
    made = tuple(
        TypedLine(
            {f"{name}.{word}": value for word, value in line.items()},
            {key: f"{name} line {at}, {key}" for key in (*units, f"{name}.basis", f"{name}.date")},
        )
        for at, line in enumerate(lines, start=1)
    )
    return TypedTable(dict(units), made, {key: f"unit of {key}" for key in units})


def log(*lines: Mapping[str, object]) -> TypedTable:
    """A kiln log in US units."""
    return table("log", US_LOG, lines)


def assay(*lines: Mapping[str, object]) -> TypedTable:
    """Lab assays in per cent and mg/kg."""
    return table("assay", ASSAY_UNITS, lines)


def with_data(tables: Mapping[str, TypedTable] | None = None, *sets: str) -> Scenario:
    """The plant that pays with tables, its own where none are given, and rows put over it."""
    start = shipped("thistle-flat")
    return put_in(start, sets, start.tables if tables is None else tables)
