"""Facts, their sources, and the csv tables they are read from; rows that contradict themselves are refused.

All errors are FactorError and name the file and the line: these files ship with the program.
"""

from __future__ import annotations

import csv
import difflib
import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple, TypeVar

from econ.errors import FactorError

RUNGS = {
    "primary": "read in the source",
    "copy": "read in a copy",
    "memory": "not checked",
    "assumed": "assumed",
}
"""The ladder, best first, and what is printed: read in the source or in its authors' or agency's own data; read
in a copy made by others; recalled; chosen here."""
READ = ("primary", "copy")
COMPUTED = "computed here, "
"""Printed before the rung of a value with parts: it stands on the lowest rung of theirs."""
ENDS = {
    "": "",
    "extremes": "least and most read",
    "interval_90": "hold 90 % of the cases",
    "one_sd": "one standard deviation either way",
    "standard_error": "one standard error of the mean either way",
    "chosen": "chosen: one case in ten beyond each end",
}
"""What low and high of a factor are. Samples take them for P10 and P90 whichever they are."""


@dataclass(frozen=True, slots=True)
class Source:
    """A work that figures are taken from; `url` is a DOI or public address, empty if there is none."""

    key: str
    text: str
    year: str
    url: str


def mark_of(rung: str, parts: tuple[str, ...]) -> str:
    """The words printed beside a value of this rung, with or without parts."""
    return (COMPUTED if parts else "") + RUNGS[rung]


class Origin(NamedTuple):
    """The last columns of every row: source, place in the source, rung, date read, parts, remark."""

    source: Source
    locator: str
    rung: str
    read: str
    parts: tuple[str, ...]
    note: str


class Marked:
    """A row that knows how surely it is known: its rung, and the ids of the facts it is computed from."""

    rung: str
    parts: tuple[str, ...]

    @property
    def is_read(self) -> bool:
        """Whether the value, or all that it is computed from, was read in its source or in a copy."""
        return self.rung in READ

    @property
    def mark(self) -> str:
        """The words printed beside the value."""
        return mark_of(self.rung, self.parts)


def lowest(rungs: list[str]) -> str:
    """The lowest of some rungs of the ladder; of none the best."""
    return max(rungs, key=list(RUNGS).index, default="primary")


@dataclass(frozen=True, kw_only=True)
class Sourced(Marked):
    """A row with its origin: source, place in it, rung, date read, the facts it is computed from, a remark."""

    source: Source
    locator: str
    rung: str
    read: str
    parts: tuple[str, ...]
    note: str


@dataclass(frozen=True, slots=True)
class Ranged:
    """A number and its range if known, all in one unit."""

    value: float
    low: float | None
    high: float | None


@dataclass(frozen=True)
class Factor(Sourced):
    """One figure [unit], its range if known, what the ends of the range are, and its origin."""

    id: str
    label: str
    value: float
    low: float | None
    high: float | None
    ends: str
    unit: str


FOLDER = Path(__file__).parent
ORIGIN = ("source", "locator", "rung", "read", "parts", "note")
DATE = re.compile(r"20\d\d-\d\d(-\d\d)?")
SLUG = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Row:
    """The cells of one line, and `where` it stands for messages."""

    where: str
    cells: Mapping[str, str]

    def text(self, column: str) -> str:
        """Return a cell that must not be empty."""
        if not self.cells[column]:
            raise FactorError(f"{self.where}: {column} is empty")
        return self.cells[column]

    def slug(self, column: str) -> str:
        """Return a name of lower-case letters, digits and single underscores."""
        found = self.text(column)
        if not SLUG.fullmatch(found):
            raise FactorError(f"{self.where}: {column} {found!r} is not lower_snake")
        return found

    def optional(self, column: str) -> float | None:
        """Return a finite number, or None for an empty cell."""
        found = self.cells[column]
        if not found:
            return None
        try:
            number = float(found)
        except ValueError:
            number = math.nan
        if not math.isfinite(number):
            raise FactorError(f"{self.where}: {column} {found!r} is not a number")
        return number

    def number(self, column: str) -> float:
        """Return a finite number; an empty cell is refused."""
        self.text(column)
        return self.optional(column) or 0.0

    def ranged(self, value: str, low: str, high: str) -> tuple[float, float | None, float | None]:
        """Return a number and its range, either end of which may be empty; low <= value <= high."""
        found = self.number(value), self.optional(low), self.optional(high)
        check_range(self.where, *found)
        return found

    def between(self, above: str, up_to: str) -> tuple[float, float]:
        """Return the edges of a class; an empty lower edge is -inf, an empty upper edge is inf."""
        low, high = self.optional(above), self.optional(up_to)
        edges = -math.inf if low is None else low, math.inf if high is None else high
        if not edges[0] < edges[1]:
            raise FactorError(f"{self.where}: {above} {edges[0]:g} is not below {up_to} {edges[1]:g}")
        return edges

    def choice(self, column: str, known: Iterable[str]) -> str:
        """Return a cell that holds one of the known words."""
        found, words = self.text(column), tuple(known)
        if found not in words:
            raise FactorError(f"{self.where}: {column} {found!r} is not one of {', '.join(words)}")
        return found

    def origin(self, known: Mapping[str, Source]) -> Origin:
        """Return the source named in the row, its locator, rung, date read, parts and note.

        A row that was read has a date; one that was not has none.
        """
        key = self.text("source")
        if key not in known:
            raise FactorError(f"{self.where}: source {key!r} is not in sources.csv")
        rung, read = self.choice("rung", RUNGS), self.cells["read"]
        if (rung in READ) != bool(read) or (read and not DATE.fullmatch(read)):
            raise FactorError(f"{self.where}: rung {rung} with the date read {read!r}")
        parts = tuple(self.cells["parts"].split())
        return Origin(known[key], self.text("locator"), rung, read, parts, self.cells["note"])


def check_range(where: str, value: float, low: float | None, high: float | None) -> None:
    """Refuse a value outside its range, whichever ends are known."""
    if (low is not None and value < low) or (high is not None and value > high):
        raise FactorError(f"{where}: value {value:g} is outside its range {low} to {high}")


def read_rows(path: Path, columns: Sequence[str]) -> list[Row]:
    """Return the rows of a csv table whose header must be exactly `columns`; cells are stripped of blanks."""
    with path.open(encoding="utf-8", newline="") as handle:
        lines = csv.reader(handle)
        header = next(lines, [])
        if header != list(columns):
            raise FactorError(f"{path.name}: header {','.join(header)!r}, expected {','.join(columns)!r}")
        rows = []
        for cells in lines:
            where = f"{path.name} line {lines.line_num}"
            if len(cells) != len(header):
                raise FactorError(f"{where}: {len(cells)} cells under {len(header)} columns")
            rows.append(Row(where, dict(zip(header, (cell.strip() for cell in cells), strict=True))))
    return rows


def keyed(pairs: Iterable[tuple[Row, str, T]]) -> dict[str, T]:
    """Items by their key, in file order; a key that stands twice is refused."""
    found: dict[str, T] = {}
    for row, key, item in pairs:
        if key in found:
            raise FactorError(f"{row.where}: {key!r} stands twice")
        found[key] = item
    return found


Cell = Callable[[Row, str], Any]
BY_TYPE: Mapping[str, Cell] = {
    "str": Row.text,
    "float": Row.number,
    "float | None": Row.optional,
    "Ranged": lambda row, name: Ranged(*row.ranged(name, f"{name}_low", f"{name}_high")),
}
"""How a cell is read by the type of its field; a range stands in three columns."""


def one_of(*words: str) -> Cell:
    """A cell that holds one of these words."""
    return lambda row, column: row.choice(column, words)


def columns_of(kind: type[Any]) -> tuple[str, ...]:
    """The header of the table of a record: its own fields, a range as three, then the origin."""
    own = [one for one in fields(kind) if one.name not in ORIGIN]
    ends = {one.name: ("", "_low", "_high") if one.type == "Ranged" else ("",) for one in own}
    return (*(f"{name}{end}" for name in ends for end in ends[name]), *ORIGIN)


def read_table(
    path: Path, kind: type[T], known: Mapping[str, Source], cells: Mapping[str, Cell] | None = None
) -> Iterator[tuple[Row, T]]:
    """Each row of a table as a record of `kind`, read by the types of its fields, or as `cells` says."""
    own = {one.name: BY_TYPE[str(one.type)] for one in fields(kind) if one.name not in ORIGIN}  # type: ignore[arg-type]
    own |= cells or {}
    for row in read_rows(path, columns_of(kind)):
        values = {name: cell(row, name) for name, cell in own.items()}
        yield row, kind(**values, **row.origin(known)._asdict())


def pick(items: Mapping[str, T], key: str, what: str) -> T:
    """Return the item of that name (a hyphen counts as an underscore); the message lists what comes close."""
    plain = key.strip().lower().replace("-", "_")
    if plain in items:
        return items[plain]
    close = difflib.get_close_matches(plain, items, n=5, cutoff=0.5)
    known = ", ".join(close or items) if close or len(items) <= 12 else ""
    raise FactorError(f"no {what} {key!r}" + (f"; did you mean {known}?" if known else ""))


def load_sources(path: Path) -> dict[str, Source]:
    """Return sources by key, from a table key, text, year, url."""
    rows = read_rows(path, ("key", "text", "year", "url"))
    return keyed(
        (row, row.slug("key"), Source(row.slug("key"), row.text("text"), row.text("year"), row.cells["url"]))
        for row in rows
    )


@cache
def shipped_sources() -> Mapping[str, Source]:
    """The sources that ship with the program, by key."""
    return load_sources(FOLDER / "sources.csv")


def sources() -> tuple[Source, ...]:
    """Every source that ships with the program, in file order."""
    return tuple(shipped_sources().values())
