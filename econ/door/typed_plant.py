"""Plants made in Python: validated like a workbook, changed like one, without a file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields
from pathlib import Path

from econ.errors import InputFault, InputFaults
from econ.harmless import one_line
from econ.inputs.as_typed import Reading
from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.put_over import put_over
from econ.inputs.records import Caution, Scenario, Typed, TypedTable
from econ.workbook.read import read_typed

Values = Mapping[str, float | str]


@dataclass(frozen=True, slots=True)
class Plant(Scenario):
    """A scenario that remembers what was typed, so that values can be put over it."""

    typed: Mapping[str, Typed] = field(default_factory=dict, repr=False)
    typed_tables: Mapping[str, TypedTable] = field(default_factory=dict, repr=False)
    start: str = "metric"
    """The unit system of rows that name no unit."""

    def with_values(self, values: Values) -> Plant:
        """The plant with values put over it: {"kiln.price": 42000, "bones.1.mass": "1900 lb per week"}.

        A number is in the row's own unit; a text may carry a unit, a choice or a range as in a workbook. A range
        of the row is kept where it holds the new value. Raises InputFaults with every value that is not allowed.
        """
        return self.put_over({key: text_of(value) for key, value in values.items()})

    def put_over(self, texts: Mapping[str, str], readings: Mapping[str, Reading] | None = None) -> Plant:
        """As `with_values`, of texts; `readings` are those of their numbers that were read before."""
        return _plant(self.typed, texts, self.start, self.typed_tables, readings)

    def __repr__(self) -> str:
        ranged = len(self.ranged())
        return f"<Plant {self.name!r}: {len(self.numbers())} numbers, {ranged} with a range, in {self.currency}>"


def text_of(value: float | str) -> str:
    """A value as it would be typed, every digit kept."""
    return repr(float(value)) if isinstance(value, float) else str(value)


def scenario(values: Values, base: str | Plant | None = None, units: str = "us") -> Plant:
    """A plant from values by key, over a shipped example ("thistle-flat"), over another plant, or over nothing.

    `units`: us or metric, for rows without a unit where there is no base. `econ.inputs.schema.rows()` lists the
    keys with label, units, bounds and help. Raises InputFaults naming every row that is missing or not allowed,
    and FactorError for an example that is not shipped.
    """
    if isinstance(base, Plant):
        return base.with_values(values)
    texts = {key: text_of(value) for key, value in values.items()}
    if base is None:
        return _plant({}, texts, units, {})
    start = example(base)
    return _plant(start.rows, texts, start.system, start.tables)


def read_scenario(path: str | Path, sets: Iterable[str] = ()) -> Plant:
    """The plant of a workbook, with `sets` such as "kiln.price=42000 USD" put over it.

    Raises FileRefused for a file that is missing, unsafe or no scenario, InputFaults with every fault of a cell.
    """
    book = read_typed(Path(path))
    typed, cautions = put_over(book.rows, sets)
    return _built(typed, "metric", [*book.warnings, *cautions], book.tables, one_line(Path(path).stem))


def _plant(
    typed: Mapping[str, Typed], texts: Mapping[str, str], system: str, tables: Mapping[str, TypedTable],
    readings: Mapping[str, Reading] | None = None,
) -> Plant:  # fmt: skip
    try:
        typed, cautions = put_over(typed, [f"{key}={text}" for key, text in texts.items()], readings)
        return _built(typed, system, cautions, tables)
    except InputFaults as several:
        faults = [(one.where.replace("--set ", ""), one.wrong, one.do, one.name) for one in several.faults]
        raise InputFaults([InputFault(*fault) for fault in faults], several.cautions) from None


def _built(
    typed: Mapping[str, Typed], system: str, cautions: Iterable[Caution], tables: Mapping[str, TypedTable],
    name: str = "",
) -> Plant:  # fmt: skip
    found = build(typed, system, tuple(cautions), tables)
    kept = {one.name: getattr(found, one.name) for one in fields(found)}
    return Plant(**{**kept, "name": found.name or name}, typed=typed, typed_tables=tables, start=system)
