"""Listed plants and their records as columns, in a private file of the system: memory does not grow with plants.

The file has no name and is gone when the process ends, however it ends.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache, cached_property
from itertools import chain
from threading import Lock
from typing import TYPE_CHECKING, Any

from econ.errors import FileRefused
from econ.inputs.schema import rows
from econ.shipped import listed
from econ.units import Unit

if TYPE_CHECKING:
    import pandas

Record = dict[str, Any]  # what is kept of a plant: key, fault (empty for none), figures by name, inputs by key

ABOUT = {row["name"]: row for row in listed("figures", "many")}
"""Figures of a record with kind, unit and label: those of `run --json` by the same names, the carbon blocks, and
what the samples say."""
FIGURES = tuple(ABOUT)
WORDS = frozenset(name for name, row in ABOUT.items() if row["kind"] == "word")
OF_LINES = {name: row["of"] for name, row in ABOUT.items() if row["of"]}  # beside the contract [t], by line [kg]
PLACES = {"latitude": 90.0, "longitude": 180.0}  # columns of degrees, with the most there are
CARRIED = ("region", *PLACES)  # where a plant stands; carried through to the results
OPENING = ("plant", "place", "fault")
TWICE = "{0} IN (SELECT {0} FROM plants GROUP BY {0} HAVING count(*) > 1)"
OF_KEYS = "key IN (SELECT value FROM json_each(?))"
UNUSUAL = "' ' || warnings || ' ' LIKE '% odd-number %'"
HIDDEN = "not used; run without --hide-names to see why"
FEWEST, OTHERS = 3, "other regions"
"""Where names are hidden, a region of fewer plants would name them (common practice, no source)."""


def quoted(names: Iterable[str]) -> str:
    """Names of columns as SQL takes them."""
    return ", ".join(f'"{name}"' for name in names)


class Columns:
    """Plants as they are listed and records as they are found; after `settle` one row a plant, in listed order."""

    def __init__(self) -> None:
        self._lock = Lock()  # an engine of processes lists plants from a thread of its own
        self._db = sqlite3.connect("", check_same_thread=False)
        self._inputs: dict[str, None] = {}
        self._ask("PRAGMA journal_mode = OFF")
        self._ask(f"CREATE TABLE listed (number INTEGER PRIMARY KEY, plant, place, key, {quoted(CARRIED)})")
        self._ask("CREATE TABLE taken (key PRIMARY KEY, number) WITHOUT ROWID")
        self._ask(f"CREATE TABLE record (key PRIMARY KEY, at, fault, {quoted(FIGURES)})")

    def _ask(self, words: str, values: Sequence[Any] = (), each: Iterable[Sequence[Any]] | None = None) -> Any:
        """A cursor; raises FileRefused where the system has no room."""
        with self._lock:
            try:
                return self._db.execute(words, values) if each is None else self._db.executemany(words, each)
            except sqlite3.OperationalError as odd:
                raise FileRefused(f"the system's folder of temporary files cannot be used: {odd}") from odd

    def enter(self, found: Sequence[tuple[str, str, str, Mapping[str, str | float]]]) -> list[tuple[int, bool]]:
        """Take in plants by name, place, key and where they stand as their table has it.

        Returns places in `found` of those whose key is new, each with whether a record of it is there.
        """
        start = self.count("listed") + 1
        given = [(*one, *map(carried.get, CARRIED)) for *one, carried in found]
        self._ask("INSERT INTO listed VALUES (NULL, ?, ?, ?, ?, ?, ?)", each=given)
        self._ask("INSERT OR IGNORE INTO taken SELECT key, number FROM listed WHERE number >= ?", (start,))
        new = "listed JOIN taken USING (key, number) LEFT JOIN record USING (key) WHERE number >= ?"
        return list(self._ask(f"SELECT number - ?, at IS NOT NULL FROM {new} ORDER BY number", (start, start)))

    def put(self, records: Sequence[tuple[Record, int]]) -> None:
        """Take in records, each with its place in the journal; a later one of the same key counts."""
        for key in dict.fromkeys(key for record, _ in records for key in record["inputs"]):
            if key not in self._inputs and key in rows():
                self._inputs[key] = None
                self._ask(f'ALTER TABLE record ADD COLUMN "{key}"')
        keys = self._inputs
        marks = ", ".join("?" * (3 + len(FIGURES) + len(keys)))
        made = (
            (one["key"], at, one["fault"], *map(one["figures"].get, FIGURES), *map(one["inputs"].get, keys))
            for one, at in records
        )
        self._ask(f"INSERT OR REPLACE INTO record VALUES ({marks})", each=made)

    def places(self, keys: Iterable[str]) -> dict[str, int]:
        """Where the records of some keys stand in the journal, of those that have one."""
        asked = "SELECT key, at FROM record WHERE key IN (SELECT value FROM json_each(?))"
        return dict(self._ask(asked, (json.dumps([*keys]),)))

    def count(self, what: str) -> int:
        """How many plants are `listed`, or how many a `record` there is of."""
        return int(self._ask(f"SELECT count(*) FROM {what}").fetchone()[0])

    def settle(self, hides_names: bool = False, of_files: bool = False) -> bool:
        """Put every plant beside its record; whether each has one. Names, also `of_files`, may become numbers."""
        place = "'workbook ' || number" if of_files else "place"
        hidden = f"'plant ' || number, {place}, iif(fault = '', '', '{HIDDEN}'), key, region, NULL, NULL"
        opening = hidden if hides_names else f"plant, place, fault, key, {quoted(CARRIED)}"
        self._ask(f"CREATE TABLE plants ({quoted([*OPENING, 'key', *CARRIED, *FIGURES, *self._inputs])})")
        self._ask(f"INSERT INTO plants SELECT {opening}, {quoted([*FIGURES, *self._inputs])} "
                  "FROM listed JOIN record USING (key) ORDER BY number")  # fmt: skip
        if hides_names:
            self._join_small_regions()
        return self.count("plants") == self.count("listed")

    def _join_small_regions(self) -> None:
        """Make one of the regions of fewer than FEWEST plants in use, and of the next until it has as many."""
        few, so_far = list[str](), 0
        for region, count in reversed(self.counts("region").items()):
            if count >= FEWEST and (so_far >= FEWEST or not few):
                break
            few, so_far = [*few, region], so_far + count
        joined = OTHERS if so_far >= FEWEST else None
        which = "fault <> '' OR region IN (SELECT value FROM json_each(?))"
        self._ask(f"UPDATE plants SET region = ? WHERE {which}", (joined, json.dumps(few)))

    def named(self, which: str, *keys: str) -> list[str]:
        """The plants of a condition, which may ask for keys; each name once, in listed order."""
        asked = f"SELECT plant FROM plants WHERE {which} GROUP BY plant ORDER BY min(rowid)"
        return [*chain.from_iterable(self._ask(asked, (json.dumps(keys),) if which == OF_KEYS else ()))]

    def usable(self, what: str, currency: str = "", more: str = "") -> Any:
        """A cursor over the plants that could be used, of one currency if named; `more`: conditions and order."""
        of, given = (" AND currency = ?", (currency,)) if currency else ("", ())
        return self._ask(f"SELECT {what} FROM plants WHERE fault = ''{of} {more}", given)

    def faults(self) -> Iterator[Record]:
        """Plant, place and text of the others, one at a time."""
        found = self._ask("SELECT plant, place, fault FROM plants WHERE fault <> ''")
        return (dict(zip(("plant", "place", "text"), one, strict=True)) for one in found)

    @cached_property
    def varying(self) -> list[str]:
        """Keys of the inputs that differ between plants, in the order of the sheets."""
        keys = [key for key in rows() if key in self._inputs]
        asks = [f'min("{key}") IS NOT max("{key}") OR count("{key}") BETWEEN 1 AND count(*) - 1' for key in keys]
        found = self.usable(", ".join(asks)).fetchone() if asks else ()
        return [key for key, differs in zip(keys, found, strict=True) if differs]

    @cached_property
    def carried(self) -> list[str]:
        """The places that some plant has, such as its region."""
        found = self._ask(f"SELECT {', '.join(f'count({name})' for name in CARRIED)} FROM plants").fetchone()
        return [name for name, count in zip(CARRIED, found, strict=True) if count]

    @property
    def headings(self) -> list[str]:
        """Of the results table; inputs by key, then where the plants stand."""
        return [*OPENING, *FIGURES, *self.varying, *self.carried]

    def table(self) -> Iterator[list[Any]]:
        """The rows of the results table in listed order, None for what is missing; inputs in metric units."""
        names = self.headings
        units = [(at, unit) for at, name in enumerate(names) if (unit := metric(name)) is not None]
        for found in self._ask(f"SELECT {quoted(names)} FROM plants ORDER BY rowid"):
            row = list(found)
            for at, unit in units:
                if isinstance(row[at], int | float):
                    row[at] = unit.from_canonical(row[at])
            yield row

    def numbers(self, names: Sequence[str], currency: str = "", most: int = 0) -> pandas.DataFrame:
        """Figures or inputs of the plants that could be used, in listed order; nan: missing.

        Of more than `most` plants as many, taken evenly; 0: all.
        """
        import numpy as np
        import pandas

        found = self.usable(quoted(names), currency, "ORDER BY rowid")
        if most and (size := self.usable("count(*)", currency).fetchone()[0]) > most:
            found = (row for at, row in enumerate(found) if at * most // size < (at + 1) * most // size)
        read = np.fromiter(chain.from_iterable(found), dtype=float)
        return pandas.DataFrame(read.reshape(-1, len(names)), columns=list(names), copy=False)

    def words(self, name: str, blank: str = "") -> pandas.Categorical:
        """A column of words of the same plants, each kept once: a million take some 4 MB; `blank`: for none."""
        import numpy as np
        import pandas

        codes: dict[str, int] = {}
        found = chain.from_iterable(self.usable(f'"{name}"', "", "ORDER BY rowid"))
        read = np.fromiter((codes.setdefault(word or blank, len(codes)) for word in found), dtype=np.int32)
        return pandas.Categorical.from_codes(read, list(codes)).reorder_categories(sorted(codes))

    def counts(self, name: str) -> dict[str, int]:
        """How many plants have each word of a column, the commonest first; blanks are left out."""
        return dict(self.usable(f"{name}, count(*)", "", f"AND {name} <> '' GROUP BY 1 ORDER BY 2 DESC, 1"))


@cache
def is_word(name: str) -> bool:
    """Whether a column of the results table holds words."""
    named = {*OPENING, *WORDS, *CARRIED} - {*PLACES}
    return name in named or (name in rows() and not rows()[name].is_number)


@cache
def metric(key: str) -> Unit | None:
    """The first metric unit of an input; None for words and bare numbers."""
    row = rows().get(key)
    return row.unit_choices("currency")[0] if row is not None and row.units else None


def unit_of(name: str) -> str:
    """The unit of a column, with "currency" for the plant's own; empty where it has none."""
    if name in ABOUT:
        return ABOUT[name]["unit"]
    unit = metric(name)
    return "degrees" if name in PLACES else unit.short if unit is not None else ""
