"""The frozen records: what a person typed in rows and tables, what it means, and the scenario that is read."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, TypeGuard, TypeVar

from econ.errors import InputFault
from econ.fields import field, record, replace
from econ.inputs.as_typed import plain_figure
from econ.inputs.lanes import asked, is_column
from econ.inputs.rows import Row, TablePlan
from econ.units import Unit, counted

DRY, RECEIVED = "dry", "as-received"
"""The slugs of the two bases of an assay."""
CONTRACT = ("contract.fixed", "contract.per_mass", "contract.per_piece")
"""The amounts of a hauler's contract: with any of them the saving is computed where none is typed."""

Blank = TypeVar("Blank")
Value = float | str | None
"""A cell of a built table: canonical number, slug, ISO date or text; None where empty."""


WORDS = (str, type(None))  # what stands in a row without a number
MOST_OF_A_BLOCK = 20  # a table of rows that repeats a block more often is refused
US_MASSES = frozenset({"lb", "short_ton"})


@record(frozen=True, slots=True)
class TypedLine:
    """One line as typed: raw objects and their addresses, by column key."""

    cells: Mapping[str, object]
    where: Mapping[str, str]


@record(frozen=True, slots=True)
class TypedTable:
    """A table as typed: the unit above each column with its address, and the lines that are not blank."""

    units: Mapping[str, object]
    lines: tuple[TypedLine, ...]
    unit_where: Mapping[str, str] = field(default_factory=dict)


@record(frozen=True, slots=True)
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


@record(frozen=True, slots=True)
class TableData:
    """A table that means something: its lines in canonical units, and the units that were typed."""

    plan: TablePlan
    units: Mapping[str, Unit | None]
    lines: tuple[Line, ...]

    def shown(self, key: str, value: float) -> float:
        """A canonical number in the unit of its column."""
        unit = self.units.get(key)
        return unit.from_canonical(value) if unit is not None else value

    @property
    def dates(self) -> tuple[str, str] | None:
        """The first and the last date, or None where no line has one."""
        found = sorted(text for line in self.lines if (text := line.text(f"{self.plan.name}.date")))
        return (found[0], found[-1]) if found else None

    def filled(self, key: str) -> Iterator[tuple[int, float]]:
        """Number of the line and canonical number, for each line whose cell is filled."""
        for at, line in enumerate(self.lines):
            if (value := line.number(key)) is not None:
                yield at, value


class Uncalculated:
    """Stands for a cell whose formula was never calculated by the program that saved the workbook."""


class ErrorCell(str):
    """The text of a cell that holds a spreadsheet error, such as #DIV/0!."""


@record(frozen=True, slots=True)
class Typed:
    """One row as a person typed it: raw objects, and where they stand ("Money!C7" or "--set")."""

    value: object = None
    low: object = None
    high: object = None
    unit: object = None
    known: object = None
    source: object = None
    remark: object = None
    where: str = ""
    cells: Mapping[str, str] | None = None
    dropped: float = 0.0
    """Not 0 where the range was dropped, of many plants a column; they then have an end at the value."""

    def at(self, column: str) -> str:
        """The address of one of the columns, for a fault."""
        return self.cells.get(column, self.where) if self.cells else self.where

    @property
    def is_blank(self) -> bool:
        """Whether value, low and high are all empty."""
        return is_empty(self.value) and is_empty(self.low) and is_empty(self.high)


def is_text(item: object) -> TypeGuard[str]:
    """Whether a cell holds a text that is no error of a spreadsheet."""
    return isinstance(item, str) and not isinstance(item, ErrorCell)


def is_number(item: object) -> TypeGuard[float]:
    """Whether a cell holds a number; TRUE and FALSE are none."""
    return isinstance(item, int | float) and not isinstance(item, bool)


def is_empty(item: object) -> bool:
    """Whether a cell holds nothing, or nothing but blanks."""
    return item is None or (is_text(item) and not item.strip())


@record(frozen=True, slots=True)
class Entry:
    """One row of a scenario: the value in canonical units, its range, and where it comes from.

    `value`: a number, the slug of a choice, a text, None where blank without default. `typed` and `unit` echo what
    was typed; `is_default`: not given by the person; `factor`: the evidence id that gave it.
    """

    row: Row
    value: float | str | None
    low: float | None = None
    high: float | None = None
    unit: Unit | None = None
    known: str = ""
    source: str = ""
    remark: str = ""
    where: str = ""
    is_default: bool = False
    factor: str = ""
    range_by: str = ""
    said: str = ""
    dropped: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a value outside its own range, as InputFault: `replace(entry, value=...)` keeps low and high."""
        value, low, high = self.value, self.low, self.high
        if value is None or isinstance(value, str) or low is None or high is None:
            return
        if any(map(is_column, (value, low, high))):  # of many plants the reader has asked it
            return
        slack = 1e-9 * (abs(value) + 1)
        if not low - slack <= value <= high + slack:
            found, *ends = (f"{self.shown(one):g}" for one in (value, low, high))
            wrong = f"{found} outside its range of {ends[0]} to {ends[1]}"
            ask = "Enter a low and a high with the value between them"
            raise InputFault(self.place, wrong, ask, self.row.label)

    @property
    def number(self) -> float:
        """The value of a number row in canonical units; raises TypeError for any other."""
        if isinstance(self.value, float):
            return self.value
        if not isinstance(self.value, int):
            raise TypeError(f"{self.row.key} holds no number")
        return float(self.value)

    @property
    def place(self) -> str:
        """Where it stands, for a fault: the address, or sheet and row where a workbook lacks it."""
        return self.where or f"{self.row.sheet}, {self.row.label}"

    @property
    def has_range(self) -> bool:
        """Whether low and high differ, so that the row takes part in sensitivity."""
        return self.low is not None and self.high is not None and self.low < self.high

    @property
    def words(self) -> str:
        """The value for a person where it is no number: the label of a choice, a text as it stands."""
        return self.row.words(self.value)

    def shown(self, canonical: float | None) -> float | None:
        """A canonical number in the unit that was typed."""
        if canonical is None or self.unit is None:
            return canonical
        return self.unit.from_canonical(canonical)

    def figure(self, canonical: float, figures: int = 6) -> str:
        """A canonical number in the unit that was typed, with its symbol; a count has none."""
        symbol = "" if self.unit is None or self.unit.short == "each" else self.unit.symbol
        return counted(plain_figure(self.shown(canonical) or 0.0, figures), symbol)


def system_of(entries: Mapping[str, Entry]) -> str:
    """The units of the results, "us" or "metric": as chosen, else those of the kiln's load."""
    chosen, load = entries.get("plant.units"), entries.get("kiln.batch_load")
    if chosen is not None and chosen.value is not None:
        return str(chosen.value)
    return "us" if load is not None and load.unit is not None and load.unit.short in US_MASSES else "metric"


@record(frozen=True, slots=True)
class Caution:
    """Something a trade expert would frown at: stable `id`, the sentence, the place."""

    id: str
    text: str
    where: str = ""
    plants: Any = field(default=None, compare=False, repr=False)
    """Of many plants worked out together, those it is said of; None for all."""


def cautions_asked(*asks: Callable[[], Iterable[Caution]]) -> list[Caution]:
    """What some questions that do not touch each other find, in order."""
    return [one if plants is None else replace(one, plants=plants) for one, plants in asked(*asks)]


@record(frozen=True, slots=True)
class Scenario:
    """A whole scenario: entries by key, warnings of the reading, tables of data by name."""

    entries: Mapping[str, Entry]
    warnings: tuple[Caution, ...] = ()
    name: str = ""
    tables: Mapping[str, TableData] = field(default_factory=dict)

    @property
    def currency(self) -> str:
        """The currency code that names all money."""
        return self.choice("plant.currency")

    @property
    def system(self) -> str:
        """The units of the results, "us" or "metric": as chosen, else those of the kiln's load."""
        return system_of(self.entries)

    def __getitem__(self, key: str) -> Entry:
        return self.entries[key]

    def choice(self, key: str) -> str:
        """The slug of a choice row."""
        value = self.entries[key].value
        if not isinstance(value, str):
            raise TypeError(f"{key} holds no choice")
        return value

    def has(self, key: str) -> bool:
        """Whether the row holds a value, typed or default."""
        return key in self.entries and self.entries[key].value is not None

    def number_or(self, key: str, blank: Blank) -> float | Blank:
        """The number of a row in canonical units, `blank` where it holds none."""
        return self.entries[key].number if self.has(key) else blank

    def numbers(self) -> dict[str, float]:
        """Every number row that holds a value, in canonical units: what the model reads."""
        return {key: e.number for key, e in self.entries.items() if type(e.value) not in WORDS}

    def ranged(self) -> tuple[Entry, ...]:
        """The number rows that carry a range, in sheet order."""
        return tuple(entry for entry in self.entries.values() if entry.row.is_number and entry.has_range)

    def active(self, block: str, trigger: str) -> tuple[int, ...]:
        """The numbers of the filled instances of a block."""
        return tuple(instances(self.entries, block, trigger))


def instances(entries: Mapping[str, Entry], block: str, *words: str) -> list[int]:
    """Numbers of the instances of a block in which one of the rows that end in `words` holds a value."""
    numbers = {n for word in words for n in range(1, MOST_OF_A_BLOCK + 1)
               if (one := entries.get(f"{block}.{n}.{word}")) and one.value is not None}  # fmt: skip
    return sorted(numbers)


def by_age(entries: Mapping[str, Entry], stream: str) -> bool:
    """Whether the share kept out of a stream ("bones.1") follows from the age of the cattle."""
    return entries[f"{stream}.older_share"].value is not None and entries[f"{stream}.excluded_share"].is_default
