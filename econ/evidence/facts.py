"""Facts, their sources, and the csv tables they are read from; rows that contradict themselves are refused.

All errors are FactorError and name the file and the line: these files ship with the program.
"""

from __future__ import annotations

import csv
import difflib
import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache, cached_property
from pathlib import Path
from typing import Any, Generic, TypeVar

from econ.errors import FactorError
from econ.fields import field, fields, record
from econ.shipped import described

FOLDER = Path(__file__).parent
WORDS: Mapping[str, dict[str, str]] = described("words", "evidence")
RUNGS = WORDS["rungs"]
"""The ladder, best first, and what is printed: read in the source or in its authors' or agency's own data; read
in a copy made by others; recalled; chosen here."""
READ = ("primary", "copy")


@record(frozen=True, slots=True)
class Source:
    """A work that figures are taken from; `url` is a DOI or public address, empty if there is none."""

    key: str
    text: str
    year: str
    url: str


@record(frozen=True, kw_only=True)
class Sourced:
    """A row with its origin: source, place in it, rung, date read, the facts it is computed from, a remark."""

    source: Source
    locator: str
    rung: str
    read: str
    parts: tuple[str, ...]
    note: str

    @property
    def is_read(self) -> bool:
        """Whether the value, or all that it is computed from, was read in its source or in a copy."""
        return self.rung in READ

    @property
    def mark(self) -> str:
        """The words printed beside the value; one with parts stands on the lowest rung of theirs."""
        return ("computed here, " if self.parts else "") + RUNGS[self.rung]


@record(frozen=True, slots=True)
class Ranged:
    """A number and its range if known, all in one unit."""

    value: float
    low: float | None
    high: float | None


@record(frozen=True, slots=True)
class Share(Ranged):
    """A share of fresh mass [kg/kg]: normalised value, range if known, and the figure as printed."""

    raw: float


ORIGIN = tuple(one.name for one in fields(Sourced))
"""The last columns of every table."""
DATE = re.compile(r"20\d\d-\d\d(-\d\d)?")
SLUG = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")

T = TypeVar("T")


@record(frozen=True, slots=True)
class Row:
    """The cells of one line, and `where` it stands for messages."""

    where: str
    cells: Mapping[str, str]

    def any(self, column: str) -> str:
        """Return a cell that may be empty."""
        return self.cells[column]

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

    def ranged(self, name: str, *ends: str) -> tuple[float, float | None, float | None]:
        """Return a number and its range, in columns of one name and three ends; either end may be empty."""
        value, low, high = (name + end for end in ends)
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

    def origin(self, known: Mapping[str, Source]) -> Sourced:
        """Return the source named in the row, its locator, rung, date read, parts and note.

        A row that was read has a date; one that was not has none.
        """
        key = self.text("source")
        if key not in known:
            raise FactorError(f"{self.where}: source {key!r} is not in sources.csv")
        rung, read = self.choice("rung", RUNGS), self.cells["read"]
        if (rung in READ) != bool(read) or (read and not DATE.fullmatch(read)):
            raise FactorError(f"{self.where}: rung {rung} with the date read {read!r}")
        return Sourced(source=known[key], locator=self.text("locator"), rung=rung, read=read,
                       parts=tuple(self.cells["parts"].split()), note=self.cells["note"])  # fmt: skip


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
            rows.append(Row(where, dict(zip(header, map(str.strip, cells), strict=True))))
    return rows


Cell = Callable[[Row, str], Any]
ENDS = {"Ranged": ("", "_low", "_high"), "Share": ("_frac", "_low", "_high")}
"""The three columns of a range, behind the name of its field."""
BY_TYPE: Mapping[str, Cell] = {
    "str": Row.text,
    "float": Row.number,
    "float | None": Row.optional,
    "Ranged": lambda row, name: Ranged(*row.ranged(name, *ENDS["Ranged"])),
    "Share": lambda row, name: Share(*row.ranged(name, *ENDS["Share"]), row.number(f"{name}_frac")),
}
"""How a cell is read by the type of its field."""


def one_of(*words: str) -> Cell:
    """A cell that holds one of these words."""
    return lambda row, column: row.choice(column, words)


def columns_of(kind: type) -> tuple[str, ...]:
    """The columns that make a record; those of its origin come last."""
    own = [one for one in fields(kind) if one.name not in ORIGIN]
    columns = [one.name + end for one in own for end in ENDS.get(str(one.type), ("",))]
    return (*columns, *(ORIGIN if issubclass(kind, Sourced) else ()))


def read_as(
    path: Path, kind: type[T], cells: Mapping[str, Cell], known: Mapping[str, Source] | None = None
) -> Iterator[tuple[Row, T]]:
    """Each row of a table with the record it makes: cells read as `cells` says, else by the type of the field."""
    own = [one for one in fields(kind) if one.name not in ORIGIN]  # type: ignore[arg-type]
    how = {one.name: cells.get(one.name) or BY_TYPE[str(one.type)] for one in own}
    for row in read_rows(path, columns_of(kind)):
        origin = {} if known is None else vars(row.origin(known))
        yield row, kind(**{name: cell(row, name) for name, cell in how.items()}, **origin)


def keyed(read: Iterable[tuple[Row, T]], key: Callable[[T], str]) -> dict[str, T]:
    """Records by their key, in file order; a key that stands twice is refused."""
    found: dict[str, T] = {}
    for row, one in read:
        if found.setdefault(key(one), one) is not one:
            raise FactorError(f"{row.where}: {key(one)!r} stands twice")
    return found


@record(eq=False)
class Table(Generic[T]):
    """A csv table of facts: records of one `kind` by key, in file order; the one that ships loads at first use.

    `cells` as in `read_as`; `finish` refuses or mends a record.
    """

    file: str
    kind: type[T]
    key: Callable[[T], str]
    what: str = ""
    cells: Mapping[str, Cell] = field(default_factory=dict)
    finish: Callable[[Row, T], T] = lambda row, one: one

    def load(self, path: Path, known: Mapping[str, Source]) -> dict[str, T]:
        """The records of a table with the columns of the kind; FactorError names the line of a bad row."""
        read = read_as(path, self.kind, self.cells, known)
        return keyed(((row, self.finish(row, one)) for row, one in read), self.key)

    @cached_property
    def shipped(self) -> dict[str, T]:
        """The records that ship with the program."""
        return self.load(FOLDER / self.file, shipped_sources())

    def pick(self, name: str) -> T:
        """The shipped record of that name; FactorError tells what comes close."""
        return pick(self.shipped, name, self.what)

    def all(self) -> tuple[T, ...]:
        """Every shipped record, in file order."""
        return tuple(self.shipped.values())


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
    return keyed(read_as(path, Source, {"key": Row.slug, "url": Row.any}), lambda one: one.key)


@cache
def shipped_sources() -> Mapping[str, Source]:
    """The sources that ship with the program, by key."""
    return load_sources(FOLDER / "sources.csv")
