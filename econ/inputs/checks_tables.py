"""Faults of kiln log and lab assays: cells that contradict each other, switches without data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from econ.errors import InputFault
from econ.evidence import stoichiometry
from econ.inputs.checks_kiln import measures
from econ.inputs.checks_money import trial_faults
from econ.inputs.records import RECEIVED, Entry, Line, TableData
from econ.inputs.rows import TablePlan
from econ.inputs.schema import table_plans

Entries = Mapping[str, Entry]

NEEDS = {
    "log.use_yield": ("log.bones_in", "log.char_out"),
    "log.use_fuel": ("log.fuel_1",),
    "log.use_hours": ("log.hours",),
    "assay.use_p2o5": ("assay.p2o5",),
    "assay.use_available": ("assay.available",),
    "assay.use_calcium": ("assay.ca",),
    "assay.use_organic_carbon": ("assay.c_org",),
    "assay.use_h_corg": ("assay.h", "assay.c_org"),
}
"""The columns that one and the same line must hold before a switch may be on."""

WOOD_CHAR_C_FRAC = 0.50


def faults(entries: Entries, tables: Mapping[str, TableData]) -> Iterator[InputFault]:
    """Every contradiction within the tables, and between them and the rows."""
    for name, check in (("log", _firing), ("assay", _sample)):
        for line in tables[name].lines if name in tables else ():
            yield from check(line)
    for key in NEEDS:
        if entries[key].value == "yes":
            plan = table_plans()[key.partition(".")[0]]
            yield from _switch(entries[key], plan, tables.get(plan.name))
    yield from trial_faults(tables)
    if "log" in tables and entries["log.use_fuel"].value == "yes":
        yield from _fuels(entries, tables["log"])


def _switch(entry: Entry, plan: TablePlan, data: TableData | None) -> Iterator[InputFault]:
    needs = NEEDS[entry.row.key]
    if data and any(all(line.number(key) is not None for key in needs) for line in data.lines):
        return
    asked = " and ".join(f"'{plan.by_key[key].label}'" for key in needs)
    yield InputFault(
        entry.where, "a switch that is on, and nothing measured", f"{asked} on the sheet '{plan.sheet}'"
    )


def _firing(line: Line) -> Iterator[InputFault]:
    bones, char = line.number("log.bones_in"), line.number("log.char_out")
    if bones is not None and char is not None and char > bones:
        yield InputFault(
            line.at("log.char_out"), "more char out than bones in", "less char than bones: mind the units"
        )
    for key in ("log.bones_moisture", "log.char_moisture"):
        if (line.number(key) or 0.0) >= 1.0:
            yield InputFault(line.at(key), "nothing but water", "less than 100 % of water")


def _fuels(entries: Entries, log: TableData) -> Iterator[InputFault]:
    """A fuel in the log must be one of the scenario, and in a measure of its own."""
    for n in (1, 2, 3):
        key = f"log.fuel_{n}"
        first = next((at for at, used in log.filled(key) if used > 0), None)
        kind = entries.get(f"fuel.{n}.kind")
        if first is None:
            continue
        if kind is None or not isinstance(kind.value, str):
            yield InputFault(
                log.lines[first].at(key),
                f"a fuel {n} in the log",
                f"the kind of fuel {n} on the sheet 'Kiln and crew'",
            )
            continue
        counted = entries[f"fuel.{n}.per_batch"]
        yield from measures(replace(counted, unit=log.units[key], where=log.lines[first].at(key)), kind.value, 0)


def _sample(line: Line) -> Iterator[InputFault]:
    moisture = line.number("assay.moisture")
    if line.text("assay.basis") == RECEIVED and moisture is None:
        yield InputFault(
            line.at("assay.moisture"), "an assay as received without moisture", "the moisture of the sample"
        )
    if moisture is not None and moisture >= 1.0:
        yield InputFault(line.at("assay.moisture"), "nothing but water", "less than 100 % of water")
    for key in ("assay.p2o5", "assay.available"):
        value = line.number(key)
        if value is not None and value > stoichiometry.P2O5_IN_TRICALCIUM_PHOSPHATE * (1 + 1e-9):
            yield InputFault(
                line.at(key),
                f"{value:.1%} as P2O5",
                "no more than calcium phosphate holds (20 % P, 45.8 % P2O5): was P2O5 entered as P?",
            )
    carbon = line.number("assay.c_org")
    if carbon is not None and carbon >= WOOD_CHAR_C_FRAC:
        yield InputFault(
            line.at("assay.c_org"),
            f"{carbon:.0%} organic carbon",
            "a lab figure for bone char, usually 5 to 12 %; 60 to 90 % is wood char",
        )
