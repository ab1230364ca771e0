"""One plant among many: the figures of the contract, the carbon blocks, and what went in."""

from __future__ import annotations

import hashlib
import tempfile
from collections.abc import Mapping, Sequence
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any

from econ.answer.appraisal import base_case
from econ.answer.report import contract
from econ.errors import FileRefused, InputFaults, KilncaseError
from econ.harmless import one_line
from econ.inputs.build import build
from econ.inputs.records import Scenario
from econ.many.journal import Record
from econ.many.plants import Plant, named_temporary
from econ.workbook.read import TypedBook, put_over, read_scenario

KG_PER_T = 1000.0
BLOCKS = {
    "process_t_co2e_per_year": "process_kg_co2e",
    "avoided_t_co2e_per_year": "avoided_kg_co2e",
    "credits_lost_t_co2e_per_year": "credits_lost_kg_co2e",
    "difference_t_co2e_per_year": "difference_kg_co2e",
}
"""Carbon blocks beside those of the contract, by the figure they come from."""

SHOWN_FAULTS = 3
LONGEST_FAULT = 3_000
LEANS = "unverified-factors"
"""The caution that closes every list; its text asks questions of the model, so only its id stands here."""


def run_chunk(plants: Sequence[Plant], book: TypedBook | None, sets: tuple[str, ...]) -> list[Record]:
    """The records of some plants, in their order; what one plant does never stops another."""
    return [run_one(plant, book, sets) for plant in plants]


def run_one(plant: Plant, book: TypedBook | None, sets: tuple[str, ...]) -> Record:
    """The record of one plant; a plant that cannot be used has a fault and no figures."""
    try:
        if plant.fault:
            raise FileRefused(plant.fault)
        return {"key": plant.key, "fault": "", **figures_of(scenario_of(plant, book, sets), plant)}
    except InputFaults as several:
        fault = "; ".join(str(found) for found in several.faults[:SHOWN_FAULTS])
        if (more := len(several.faults) - SHOWN_FAULTS) > 0:
            fault += f"; and {more} more (kilncase review names all)"
    except KilncaseError as odd:
        fault = str(odd)
    except OSError as machine:  # a full disk is no fault of the plant, and must not be remembered as one
        raise FileRefused(
            f"{plant.place} was not run: the system said: {machine}; start again to go on"
        ) from machine
    except Exception as ours:  # one odd plant must not stop ten thousand others; the text says whose fault
        fault = f"a fault of kilncase, please report it: {type(ours).__name__}: {ours}"
    return {"key": plant.key, "fault": one_line(fault, LONGEST_FAULT), "figures": {}, "inputs": {}}


def scenario_of(plant: Plant, book: TypedBook | None, sets: tuple[str, ...]) -> Scenario:
    """The scenario of a workbook's bytes, or of a row put over the base workbook."""
    if isinstance(plant.content, bytes):
        with tempfile.TemporaryDirectory(prefix="kilncase-") as folder:
            return read_scenario(named_temporary(folder, plant.place, plant.content), sets)
    assert book is not None
    texts = [*sets, *(f"{key}={value}" for key, value in plant.content.items())]
    typed, cautions = put_over(book.rows, texts)
    return build(typed, warnings=(*book.warnings, *cautions), tables=book.tables)


def figures_of(scenario: Scenario, plant: Plant) -> Record:
    """Figures of the contract and carbon blocks [t, money], ids of the cautions, inputs in canonical units.

    Of a table only its own columns are kept as inputs: the rest is the same for every row.
    """
    base = base_case(scenario)
    found: dict[str, Any] = contract(base.scenario, base.figures)
    for name, line in BLOCKS.items():
        value = base.figures[line]
        found[name] = value / KG_PER_T if value == value else None
    found["warnings"] = " ".join([*(caution.id for caution in base.cautions()), LEANS])
    keys = plant.content if isinstance(plant.content, dict) else base.scenario.entries
    return {"figures": found, "inputs": _inputs(base.scenario, keys)}


def _inputs(scenario: Scenario, keys: Mapping[str, object]) -> dict[str, float | str]:
    found: dict[str, float | str] = {}
    for key in keys:
        entry = scenario.entries.get(key)
        if entry is not None and entry.value is not None and entry.row.kind != "text":
            found[key] = entry.value
    return found


@cache
def version_of_model() -> str:
    """Version of the package, and a hash of its code and tables: whatever can change a figure changes it."""
    digest = hashlib.sha256()
    for path, content in sorted(_parts(files("econ"), "")):
        digest.update(f"{path} {len(content)}\n".encode() + content)
    try:
        number = version("kilncase")
    except PackageNotFoundError:
        number = "unknown"
    return f"{number}+{digest.hexdigest()[:12]}"


def _parts(folder: Traversable, start: str) -> list[tuple[str, bytes]]:
    found = []
    for item in folder.iterdir():
        if item.is_dir():
            found += _parts(item, f"{start}{item.name}/")
        elif item.name.endswith((".py", ".csv", ".toml")):
            found.append((start + item.name, item.read_bytes()))
    return found
