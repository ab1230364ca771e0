"""Makes the blank and example workbooks, those with inputs taken back out of results, and the files that ship."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from econ.errors import FileRefused, InputFault, InputFaults
from econ.fields import replace
from econ.harmless import one_line
from econ.inputs.examples import NAMES, example, in_units
from econ.inputs.records import ErrorCell, Typed, TypedTable, Uncalculated, is_empty
from econ.inputs.rows import KNOWN
from econ.inputs.schema import rows, sheets, table_plans
from econ.workbook.places import check_goal, is_taken
from econ.workbook.read import Grid, grids_of, read_typed, rows_of
from econ.workbook.safe_write import write_atomically
from econ.workbook.template import INPUTS_PAGE, write_template
from econ.workbook.template_tables import asked_for

SYSTEMS = ("us", "metric")
PARTS = "Give words of a heading or of a sheet, such as loan, label, kiln log, record; or all"
AS_RUN = ("value as run", "unit as run", "low as run", "high as run")
CHANGED = "changed in the results workbook"
SWITCHES = ("log.use_", "assay.use_", "trials.use_")
"""Rows that take a figure out of a table; the results hold the figure, and not the table."""


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
    if source is None:
        content, changed = blank_bytes(system, currency.upper(), filled, shown), list[str]()
    else:
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


def scenario_bytes(path: Path, shown: Sequence[str] = ()) -> tuple[bytes, list[str]]:
    """A scenario workbook with the inputs of another or of results, and the labels of what was changed in results.

    A default that nobody changed stays blank, so that it goes on being one; `shown` as for `write_template`.
    Tables come along from a scenario. Raises FileRefused where the file is neither, InputFaults for cells of a
    scenario without a value.
    """
    grids, _, names = grids_of(path, (INPUTS_PAGE,))
    tables: Mapping[str, TypedTable] = {}
    if INPUTS_PAGE in grids:
        typed, changed = _typed(grids[INPUTS_PAGE])
    elif sheets()[0].name in names:
        book = read_typed(path)
        typed, tables, changed = dict(book.rows), book.tables, []
        cells = [(one.at(name), getattr(one, name)) for one in typed.values()
                 for name in ("value", "low", "high", "unit")]  # fmt: skip
        cells += [(line.where[key], item) for table in tables.values() for line in table.lines
                  for key, item in line.cells.items()]  # fmt: skip
        faults = [InputFault(where, "an error, or a formula never calculated", "Type the value")
                  for where, item in cells if isinstance(item, ErrorCell | Uncalculated)]  # fmt: skip
        if faults:
            raise InputFaults(faults)
    else:
        there = ", ".join(repr(one_line(name)) for name in names)
        raise FileRefused(
            f"{path.name} is no results workbook and no scenario of kilncase: it holds the sheets {there}"
        )
    currency = str(typed.get("plant.currency", Typed()).value or "USD")
    title = one_line(str(typed.get("plant.name", Typed()).value or ""))
    us = rows()["bones.1.mass"].start_unit("us", currency)
    system = "us" if us is not None and typed.get("bones.1.mass", Typed()).unit == us.name else "metric"
    content = write_template(system, currency, typed, title, tables, shown)
    return content, [rows()[key].label for key in changed]


def _typed(grid: Grid) -> tuple[dict[str, Typed], list[str]]:
    """Every row that was typed, or changed in the results, and the keys of the latter."""
    found: dict[str, Typed] = {}
    changed = []
    for (key, typed), kept in zip(rows_of(INPUTS_PAGE, grid), _as_run(grid), strict=True):
        if key not in rows() or is_empty(typed.value) or key.startswith(SWITCHES):
            continue
        now = (None if is_empty(one) else one for one in (typed.value, typed.unit, typed.low, typed.high))
        differs = rows()[key].kind != "text" and tuple(now) != kept
        if differs:
            changed.append(key)
        elif str(typed.known).startswith("default") or (
            rows()[key].kind == "choice"
            and (option := rows()[key].option(str(typed.value)))
            and option.slug == rows()[key].default
        ):
            continue
        found[key] = _tidy(typed, differs)
    return found, changed


def _tidy(typed: Typed, differs: bool) -> Typed:
    """How known only where it is one of the words of the scenario; a change says that it is one.

    A range that does not hold the changed value is left out, as with --set.
    """
    known = typed.known if typed.known in KNOWN and not differs else None
    found = replace(typed, known=known, remark=CHANGED if differs else None)
    ends = (typed.low, typed.value, typed.high)
    numbers = [end for end in ends if isinstance(end, int | float)]
    return replace(found, low=None, high=None) if differs and numbers != sorted(numbers) else found


def _as_run(grid: Grid) -> Iterator[tuple[Any, ...]]:
    """Value, unit, low and high of the run, row by row of those with a key."""
    columns: Mapping[str, int] = {}
    for row in grid:
        heads = {str(item).lower(): place for place, item in enumerate(row) if isinstance(item, str)}
        if {"key", *AS_RUN} <= heads.keys():
            columns = heads
        elif columns and _cell(row, columns["key"]) is not None:
            yield tuple(_cell(row, columns[name]) for name in AS_RUN)


def _cell(row: tuple[Any, ...], place: int) -> Any:
    return row[place] if place < len(row) and not is_empty(row[place]) else None
