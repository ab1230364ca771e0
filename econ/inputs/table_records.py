"""Tables of data, kiln log and lab assays: the plan of one, what a person typed, and what it means."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from econ.inputs.rows import TablePlan
from econ.units import Unit

DRY, RECEIVED = "dry", "as-received"
"""The slugs of the two bases of an assay."""

Value = float | str | None
"""A cell of a built table: canonical number, slug, ISO date or text; None where empty."""


@dataclass(frozen=True, slots=True)
class TypedLine:
    """One line as typed: raw objects and their addresses, by column key."""

    cells: Mapping[str, object]
    where: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class TypedTable:
    """A table as typed: the unit above each column with its address, and the lines that are not blank."""

    units: Mapping[str, object]
    lines: tuple[TypedLine, ...]
    unit_where: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Line:
    """One observation: values by column key, and the address of each cell."""

    values: Mapping[str, Value]
    where: Mapping[str, str]

    def number(self, key: str) -> float | None:
        """A number in canonical units, or None where the cell is empty."""
        value = self.values.get(key)
        return float(value) if isinstance(value, int | float) else None

    def at(self, key: str) -> str:
        """The address of a cell; the key where the workbook lacks the column."""
        return self.where.get(key, key)

    def text(self, key: str) -> str:
        """A text, slug or ISO date; empty where the cell is."""
        value = self.values.get(key)
        return value if isinstance(value, str) else ""


@dataclass(frozen=True, slots=True)
class TableData:
    """A table that means something: its lines in canonical units, and the units that were typed."""

    plan: TablePlan
    units: Mapping[str, Unit | None]
    lines: tuple[Line, ...]

    def shown(self, key: str, value: float) -> float:
        """A canonical number in the unit of its column."""
        unit = self.units.get(key)
        return unit.from_canonical(value) if unit is not None else value

    def filled(self, key: str) -> Iterator[tuple[int, float]]:
        """Number of the line and canonical number, for each line whose cell is filled."""
        for at, line in enumerate(self.lines):
            if (value := line.number(key)) is not None:
                yield at, value
