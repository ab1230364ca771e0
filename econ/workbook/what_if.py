"""What a reader of the results workbook may change in it, and what follows.

The file holds every number that the model reads, blank ones too where blank is the same as a number. A number is
live if formulas read it and no coefficient rests on it, since coefficients stand in the file as values.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import Any

import numpy as np

from econ.answer.results import Results
from econ.fields import record, replace
from econ.inputs.schema import rows
from econ.model.coefficients import coefficients
from econ.model.evaluate import walk
from econ.model.ledger import Arrays
from econ.workbook.live import Cell, Place, Sheets, defined_name
from econ.workbook.marks import FIXED, IDLE, LIVE

MOVES = (0.35, 1.6)
"""Times the value of the run, to see whether anything follows; ends of the range are tried as well."""
SAME = 1e-12
"""Of a figure: what rounding may move it by."""
NAMES = re.compile(r"[a-z][a-z0-9_]+")

Numbers = dict[str, float]


@record(frozen=True)
class WhatIf:
    """The results with the parts that this plant does not have, all at zero; what blank rows are the same as."""

    results: Results
    absent: Numbers
    blank: tuple[str, ...]
    added: frozenset[str]
    """Names of the figures of absent parts."""

    @cached_property
    def numbers(self) -> Numbers:
        """Every number that the file holds, in canonical units."""
        return self.results.scenario.numbers() | self.absent

    @property
    def cells(self) -> dict[str, Cell]:
        """Every number and coefficient as a cell of the workbook."""
        known = {**self.numbers, **self.results.coefficients}
        return {key: Cell(defined_name(key), value) for key, value in known.items()}


def what_if(results: Results) -> WhatIf:
    """Every figure as found, and those of the parts that are not there."""
    known = {**results.scenario.numbers(), **results.coefficients}
    reads = walk(known, results.plan, Arrays()).reads
    blank = tuple(key for key, row in rows().items() if key in reads and key not in known and row.is_number)
    missing = _neutral(blank, known)
    found = Arrays()
    walk({**known, **missing}, results.plan, found)
    lines = {name: float(value) for name, value in found.lines.items() if name not in results.figures}
    years = {name: {t: float(value) for t, value in row.items()}
             for name, row in found.years.items() if name not in results.years}  # fmt: skip
    whole = replace(results, figures={**results.figures, **lines}, years={**results.years, **years})
    return WhatIf(whole, missing, blank, frozenset({*lines, *years}))


def _neutral(keys: Iterable[str], values: Mapping[str, Any]) -> dict[str, Any]:
    """What each blank row is the same as, for those that are the same as a number; sales start at 1 / years."""
    found: dict[str, Any] = {key: number for key in sorted(keys) if (number := rows()[key].neutral) is not None}
    if "market.first_year_share" in keys:
        found["market.first_year_share"] = 1 / {**values, **found}["market.years_to_full"]
    return found


def as_run(results: Results) -> WhatIf:
    """The parts that this plant has, and no others."""
    return WhatIf(results, {}, (), frozenset())


def print_model(case: WhatIf, place: Place) -> Sheets:
    """Run the model over cells; returns every printed figure."""
    sheets = Sheets(place)
    walk(case.cells, case.results.plan, sheets)
    return sheets


def absent_formulas(case: WhatIf) -> dict[str, str]:
    """What each blank row is read as while it is blank, as formula text."""
    found = _neutral(case.blank, case.cells)
    return {key: value.text if isinstance(value, Cell) else repr(value) for key, value in found.items()}


def states(case: WhatIf, sheets: Sheets) -> dict[str, str]:
    """Whether each number is live, fixed here, or live without effect at the other values of this plant."""
    read, numbers = names_read(sheets), case.numbers
    named = [key for key in numbers if defined_name(key) in read and not rows()[key].fixed]
    fixed = _behind_coefficients(case, named)
    live = [key for key in named if key not in fixed]
    moved = _moved(case, live)
    return {key: (LIVE if key in moved else IDLE) if key in live else FIXED for key in numbers}


def names_read(sheets: Sheets) -> set[str]:
    """Every workbook name in the printed formulas."""
    return {name for *_, printed in sheets.cells() for name in NAMES.findall(printed.formula or "")}


def _cases(case: WhatIf, keys: list[str]) -> tuple[dict[str, Any], list[str]]:
    """The numbers as arrays in which each key moves in cases of its own, and the key that moves in each case."""
    numbers, steps = case.numbers, []
    for key in keys:
        entry = case.results.scenario.entries[key]
        ends = (entry.low, entry.high) if entry.has_range else ()
        value = numbers[key]
        steps += [(key, end) for end in (*(value * move for move in MOVES), value + (value == 0), *ends)
                  if end is not None and end != value]  # fmt: skip
    arrays: dict[str, Any] = {**numbers, **{key: np.full(len(steps), numbers[key], float) for key in keys}}
    for at, (key, end) in enumerate(steps):
        arrays[key][at] = end
    return arrays, [key for key, _ in steps]


def _behind_coefficients(case: WhatIf, keys: list[str]) -> set[str]:
    """Keys on which any coefficient rests."""
    numbers = case.results.scenario.numbers()
    arrays, moved = _cases(case, [key for key in keys if key in numbers])
    found = coefficients({key: arrays[key] for key in numbers}, case.results.plan)
    return _movers(found, case.results.coefficients, moved)


def _moved(case: WhatIf, keys: list[str]) -> set[str]:
    """Keys that move a figure while the coefficients stay."""
    arrays, moved = _cases(case, keys)
    found = Arrays()
    with np.errstate(all="ignore"):
        walk({**arrays, **case.results.coefficients}, case.results.plan, found)
    years = {(name, t): value for name, row in found.years.items() for t, value in row.items()}
    base = {(name, t): value for name, row in case.results.years.items() for t, value in row.items()}
    figures: Mapping[Any, float] = {**case.results.figures, **base}
    return _movers({**found.lines, **years}, figures, moved)


def _movers(found: Mapping[Any, Any], base: Mapping[Any, float], moved: list[str]) -> set[str]:
    many = [(values, base[name]) for name, values in found.items() if np.ndim(values)]
    values = np.array([one for one, _ in many]).reshape(len(many), len(moved))
    was = np.array([one for _, one in many]).reshape(len(many), 1)
    near = np.where(np.isfinite(was), SAME * np.abs(was), -1.0)
    with np.errstate(invalid="ignore"):
        is_same = (values == was) | (np.abs(values - was) <= near) | (np.isnan(values) & np.isnan(was))
    return {key for key, stays in zip(moved, np.all(is_same, axis=0), strict=True) if not stays}
