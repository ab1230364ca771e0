"""What a person might type into any row, made from the schema alone: at the bounds, beyond them, and absurd.

A tame cell is one that the schema allows; a wild one may be anything a spreadsheet can hold.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping

from hypothesis import strategies as st

from econ.inputs.records import ErrorCell, Typed, TypedLine, TypedTable, Uncalculated
from econ.inputs.rows import KNOWN, Row, TablePlan
from econ.inputs.schema import rows, table_plans
from econ.units import Unit

CURRENCY = "USD"
TINY, HUGE = 1e-9, 1e12

WILD_NUMBERS: list[object] = [
    *(0, -0.0, -1, 1, 5e-324, -5e-324, 1e-300, 1e12, 1e300, 1.7e308, -1.7e308),
    *(math.nan, math.inf, -math.inf, 10**400, 2**63, 0.1 + 0.2),
]
WILD_CELLS: list[object] = [
    *(True, False, "", "   ", "twelve", "12,5", "1,200", "5 kg", "=1+1", "\x00\x1b", "🦴" * 9, "n" * 5_000),
    *(ErrorCell("#DIV/0!"), Uncalculated(), dt.datetime(2026, 3, 14), dt.time(1), dt.timedelta(1), None),
]
WILD_UNITS: list[object] = [
    *("", " ", "furlong", "%", "fraction", "kg", "USD", "per", " per ", "kg per", "/", "mol/mol", "degF"),
    *("kg per kg per kg", "x" * 3_000, 7, True, ErrorCell("#REF!"), None),
]
WORDS = ["", "a name", "=cmd", "\u202eback", "\x00", "é" * 300, 12, True, None, "kiln.price", "bones.1.mass"]
NAMED = [key for key, row in rows().items() if row.is_number]
"""Keys that a row on ranges may name."""


def units_of(row: Row) -> tuple[Unit | None, ...]:
    return row.unit_choices(CURRENCY) or (None,)


def ends(row: Row) -> list[float]:
    """Canonical values that the row allows, at and near its bounds."""
    low, high = max(row.lowest, -HUGE), min(row.highest, HUGE)
    found = [
        low,
        high,
        (low + high) / 2,
        low + (high - low) * 0.01,
        low + 1e-9 * max(abs(low), 2.0),
        0.0,
        1.0,
        TINY,
    ]
    if isinstance(row.default, int | float):
        unit = units_of(row)[0]
        found.append(unit.to_canonical(float(row.default)) if unit else float(row.default))
    if row.kind == "whole":
        found = [float(math.floor(value)) for value in found]
    return [value for value in found if low <= value <= high and not (row.above_lowest and value == low)]


def beyond(row: Row) -> list[float]:
    """Canonical values just and far outside of the bounds; none where there are no bounds."""
    outside = [(row.lowest, -1.0), (row.highest, 1.0)]
    return [
        bound + sign * step
        for bound, sign in outside
        if math.isfinite(bound)
        for step in (1e-9 * max(abs(bound), 1.0), 1.0, 1e6)
    ]


def shown(value: float, unit: Unit | None, whole: bool) -> float | int:
    """A canonical value as it would be typed in `unit`."""
    typed = unit.from_canonical(value) if unit else value
    return int(typed) if whole and float(typed).is_integer() else typed


@st.composite
def tame_number(draw: st.DrawFn, row: Row) -> Typed:
    """A number that the row allows, mostly with a range around it, in one of its units."""
    unit = draw(st.sampled_from(units_of(row)))
    values = sorted(draw(st.lists(st.sampled_from(ends(row)), min_size=3, max_size=3)))
    low, value, high = (shown(each, unit, row.kind == "whole") for each in values)
    ranged = draw(st.sampled_from((True, True, False)))
    spelled = draw(st.sampled_from((unit.short, unit.name))) if unit else None
    return Typed(value, low if ranged else None, high if ranged else None, spelled, "guessed", where=row.key)


@st.composite
def wild_number(draw: st.DrawFn, row: Row) -> Typed:
    """Anything in value, low, high and unit."""
    unit = draw(st.sampled_from(units_of(row)))
    near = [shown(value, unit, False) for value in (*ends(row), *beyond(row))]
    cell = st.sampled_from([*near, *WILD_NUMBERS, *WILD_CELLS])
    value, low, high = draw(cell), draw(st.none() | cell), draw(st.none() | cell)
    unit_cell = draw(st.sampled_from([unit.short if unit else None] * 9 + WILD_UNITS))
    said = st.sampled_from([*KNOWN, *WORDS])
    return Typed(value, low, high, unit_cell, draw(said), draw(said), draw(said), where=row.key)


def tame(row: Row) -> st.SearchStrategy[Typed]:
    """What the row allows."""
    if row.is_number:
        return tame_number(row)
    if row.kind == "choice":
        words = [word for option in row.choices for word in (option.slug, option.label, *option.aliases)]
        return st.sampled_from(words).map(lambda word: Typed(word, where=row.key))
    words = NAMED if row.key.startswith(("ranges", "together")) else ["a name", "an item"]
    return st.sampled_from(words).map(lambda word: Typed(word, where=row.key))


def wild(row: Row) -> st.SearchStrategy[Typed]:
    """Anything."""
    if row.is_number:
        return wild_number(row)
    return st.sampled_from([*WORDS, *WILD_CELLS, *WILD_NUMBERS]).map(lambda item: Typed(item, where=row.key))


ROWS = list(rows().values())


@st.composite
def rows_over(draw: st.DrawFn, most: int, wildness: float) -> dict[str, Typed]:
    """Up to `most` rows of the schema, of which about a share `wildness` may hold anything."""
    chosen = draw(st.lists(st.sampled_from(ROWS), min_size=1, max_size=most, unique_by=lambda row: row.key))
    return {
        row.key: draw(wild(row) if draw(st.floats(0, 1)) < wildness else tame(row))
        for row in chosen
        if row.key != "plant.currency" or wildness
    }


@st.composite
def table_over(draw: st.DrawFn, plan: TablePlan, wildness: float) -> TypedTable:
    """One to four lines of a table; a cell is empty, tame, or, by a share `wildness`, anything."""
    units = {column.key: draw(st.sampled_from(units_of(column))) for column in plan.columns}
    lines = []
    for at in range(draw(st.integers(1, 4))):
        cells = {column.key: draw(_table_cell(column, units[column.key], wildness)) for column in plan.columns}
        lines.append(TypedLine(cells, {key: f"{plan.sheet}!{key}.{at}" for key in cells}))
    above = {key: unit.short if unit else None for key, unit in units.items()}
    if draw(st.floats(0, 1)) < wildness / 4:
        above[draw(st.sampled_from(sorted(above)))] = draw(st.sampled_from(WILD_UNITS))
    return TypedTable(above, tuple(lines), {key: f"{plan.sheet}!unit of {key}" for key in above})


@st.composite
def _table_cell(draw: st.DrawFn, column: Row, unit: Unit | None, wildness: float) -> object:
    if draw(st.floats(0, 1)) < wildness / 4:
        return draw(st.sampled_from([*WILD_NUMBERS, *WILD_CELLS]))
    if not column.required and draw(st.booleans()):
        return None
    if column.kind == "choice":
        return draw(st.sampled_from([option.label for option in column.choices]))
    if column.kind == "date":
        return draw(st.sampled_from([dt.datetime(2026, 3, 14), dt.date(1980, 1, 1), "2100-12-31", None]))
    if column.kind == "text":
        return draw(st.sampled_from(["a", "b", "same", "\x00", "é" * 300]))
    return shown(draw(st.sampled_from(ends(column))), unit, column.kind == "whole")


def tables_over(wildness: float) -> st.SearchStrategy[Mapping[str, TypedTable]]:
    """No tables, or some of them filled."""
    plans = table_plans()
    some = st.lists(st.sampled_from(sorted(plans)), max_size=len(plans), unique=True)
    return some.flatmap(
        lambda names: st.fixed_dictionaries({name: table_over(plans[name], wildness) for name in names})
    )


SWITCHES = [row for key, row in rows().items() if key.startswith(("log.use_", "assay.use_"))]


@st.composite
def switches(draw: st.DrawFn) -> dict[str, Typed]:
    """Some of the switches that let what was measured stand in for what was typed."""
    chosen = draw(st.lists(st.sampled_from(SWITCHES), unique_by=lambda row: row.key))
    return {row.key: Typed("yes", where=row.key) for row in chosen}
