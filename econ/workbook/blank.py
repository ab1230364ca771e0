"""Makes the blank and example workbooks, and the files that ship."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from econ.errors import FileRefused, InputFault, InputFaults
from econ.inputs.examples import NAMES, example, in_units
from econ.inputs.schema import rows, sheets, table_plans
from econ.workbook.places import check_goal, is_taken
from econ.workbook.safe_write import write_atomically
from econ.workbook.take_back import scenario_bytes
from econ.workbook.template import write_template
from econ.workbook.template_tables import asked_for

SYSTEMS = ("us", "metric")
PARTS = "Give words of a heading or of a sheet, such as loan, label, kiln log, record; or all"


def write_blank(
    path: Path,
    system: str,
    currency: str,
    filled: bool,
    overwrite: bool,
    source: Path | None = None,
    shown: Sequence[str] = (),
) -> list[str]:
    """Write a scenario workbook; raises InputFaults for an unknown unit system, currency, or part to show.

    With `source` it holds the inputs of that results or scenario workbook; returns the labels of those changed in
    results. `shown`: words of the headings and sheets that stand open from the start. An existing file is never
    replaced unless `overwrite`: it may hold a person's work.
    """
    codes = sorted(option.slug for option in rows()["plant.currency"].choices)
    asked = [
        ("--units", system, system in SYSTEMS, f"Choose {' or '.join(SYSTEMS)}"),
        ("--currency", currency, rows()["plant.currency"].option(currency), f"Choose one of {', '.join(codes)}"),
        *(("--with", word, any(asked_for([word], *part) for part in parts()), PARTS) for word in shown),
    ]
    faults = [InputFault(option, repr(given), do) for option, given, is_known, do in asked if not is_known]
    if faults:
        raise InputFaults(faults)
    check_goal(path, ".xlsx")
    if is_taken(path) and not overwrite:
        raise FileRefused(f"{path} exists and may hold your work: choose another name, or add --overwrite")
    content, changed = blank_bytes(system, currency.upper(), filled, shown), list[str]()
    if source is not None:
        content, changed = scenario_bytes(source, shown)
    write_atomically(path, content)
    return changed


def parts() -> list[tuple[str, str]]:
    """Sheet and heading of all that is folded or hidden unless needed."""
    folded = [(plan.name, section.heading) for plan in sheets()[1:] for section in plan.sections]
    return folded + [(table.sheet, table.intro.rpartition(":")[0]) for table in table_plans().values()]


def blank_bytes(system: str, currency: str, filled: bool = False, shown: Sequence[str] = ()) -> bytes:
    """A blank workbook, or one filled with the first invented plant."""
    if not filled:
        return write_template(system, currency, shown=shown)
    plant = in_units(example(NAMES[0]), system, currency)
    return write_template(system, currency, plant.rows, plant.title, plant.tables, shown)


def shipped() -> dict[str, bytes]:
    """Every generated file of the repository by its path: both blanks and the example scenarios."""
    found = {f"templates/blank-{system}.xlsx": blank_bytes(system, "USD") for system in SYSTEMS}
    for name in NAMES:
        plant = example(name)
        content = write_template(plant.system, plant.currency, plant.rows, plant.title, plant.tables)
        found[f"scenarios/{name}.xlsx"] = content
    return found
