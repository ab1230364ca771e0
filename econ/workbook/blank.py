"""Makes the blank and example workbooks, and the files that ship."""

from __future__ import annotations

from pathlib import Path

from econ.errors import FileRefused, InputFault, InputFaults
from econ.inputs.examples import NAMES, example, in_units
from econ.inputs.schema import rows
from econ.workbook.places import check_goal, is_taken
from econ.workbook.safe_write import write_atomically
from econ.workbook.take_back import scenario_bytes
from econ.workbook.template import write_template

SYSTEMS = ("us", "metric")


def write_blank(
    path: Path, system: str, currency: str, filled: bool, overwrite: bool, results: Path | None = None
) -> list[str]:
    """Write a scenario workbook; raises InputFaults for an unknown unit system or currency.

    With `results` it holds the inputs of that results workbook; returns the labels of those changed there.
    An existing file is never replaced unless `overwrite`: it may hold a person's work.
    """
    faults = []
    if system not in SYSTEMS:
        faults.append(InputFault("--units", repr(system), f"Choose {' or '.join(SYSTEMS)}"))
    known = rows()["plant.currency"]
    if known.option(currency) is None:
        codes = ", ".join(option.slug for option in known.choices)
        faults.append(InputFault("--currency", repr(currency), f"Choose one of {codes}"))
    if faults:
        raise InputFaults(faults)
    check_goal(path, ".xlsx")
    if is_taken(path) and not overwrite:
        raise FileRefused(f"{path} exists and may hold your work: choose another name, or add --overwrite")
    content, changed = blank_bytes(system, currency.upper(), filled), list[str]()
    if results is not None:
        content, changed = scenario_bytes(results)
    write_atomically(path, content)
    return changed


def blank_bytes(system: str, currency: str, filled: bool = False) -> bytes:
    """A blank workbook, or one filled with the first invented plant."""
    if not filled:
        return write_template(system, currency)
    plant = in_units(example(NAMES[0]), system, currency)
    return write_template(system, currency, plant.rows, plant.title, plant.tables)


def shipped() -> dict[str, bytes]:
    """Every generated file of the repository by its path: both blanks and the example scenarios."""
    found = {f"templates/blank-{system}.xlsx": blank_bytes(system, "USD") for system in SYSTEMS}
    for name in NAMES:
        plant = example(name)
        content = write_template(plant.system, plant.currency, plant.rows, plant.title, plant.tables)
        found[f"scenarios/{name}.xlsx"] = content
    return found
