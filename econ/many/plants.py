"""Where many plants come from, and the libraries that only many plants need."""

from __future__ import annotations

import difflib
import hashlib
import json
import os
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from econ.errors import FileRefused, InputFault, InputFaults
from econ.harmless import one_line
from econ.inputs.put_over import put_over
from econ.inputs.schema import rows
from econ.many.table_rows import CARRIED, MAX_HEADINGS, PLACES, headings, read_rows
from econ.workbook.guards import content_of
from econ.workbook.places import files_in, kind_of, real
from econ.workbook.read import TypedBook, read_typed

NAME_COLUMN = "plant"
"""The column of a table that names its plants; every other column is the key of an input."""
SKIPPED_ENDINGS = (".results.xlsx", ".summary.xlsx")
TABLE_ENDINGS = (".csv", ".parquet")


@dataclass(frozen=True, slots=True)
class Plant:
    """One plant not yet run: its name, the file or row it stands in, and its content.

    `content` is the bytes of a workbook, or the cells of a row by key. `key` is the hash of the content
    together with the version and whatever is put over it: the same key, the same results. `fault` says why a
    file could not even be read.
    """

    name: str
    place: str
    key: str
    content: bytes | dict[str, str]
    fault: str = ""
    carried: tuple[tuple[str, str | float], ...] = ()

    @property
    def cells(self) -> dict[str, str] | None:
        """The cells of a row by key; None for a workbook."""
        return self.content if isinstance(self.content, dict) else None


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of every plant: the base its rows are put over, `--set`, and how many samples (0: none)."""

    book: TypedBook | None
    sets: tuple[str, ...] = ()
    samples: int = 0


@dataclass(frozen=True, slots=True)
class Source:
    """A folder of workbooks or a table; iterating yields its plants in order, reading as it goes."""

    path: Path
    base: Path | None = None
    sets: tuple[str, ...] = ()
    version: str = ""
    skip: frozenset[Path] = frozenset()
    book: TypedBook | None = field(default=None, repr=False)
    rows: int = 0
    samples: int = 0

    @property
    def asked(self) -> Asked:
        """What is asked of every plant."""
        return Asked(self.book, self.sets, self.samples)

    @classmethod
    def of(
        cls, path: Path, base: Path | None, sets: tuple[str, ...], version: str, target: Path, samples: int = 0
    ) -> Source:
        """The source at `path`. Raises FileRefused or InputFaults before the first plant is run."""
        kind = kind_of(path)
        if kind == "folder":
            if base is not None:
                found = f"a folder and the base {base.name}"
                raise InputFault("--base", found, "Give a base only with a table of rows (.csv or .parquet)")
            return cls(path, None, sets, version, frozenset({real(target)}), samples=samples)
        if path.suffix.lower() not in TABLE_ENDINGS or kind != "file":
            raise FileRefused(f"{path.name} is neither a folder nor a table of rows (.csv or .parquet)")
        if base is None:
            raise InputFault(path.name, "no base workbook", "Give --base BASE.xlsx: the rows are put over it")
        book = read_typed(base)
        put_over(book.rows, sets)
        _checkheadings(path)
        count = sum(1 for _ in read_rows(path))  # a fault in the last row is found before the first is run
        return cls(path, base, sets, version, frozenset(), book, count, samples)

    def __len__(self) -> int:
        return len(self._workbooks()) if self.base is None else self.rows

    def __iter__(self) -> Iterator[Plant]:
        return self._from_folder() if self.base is None else self._from_rows()

    def _workbooks(self) -> list[Path]:
        return [
            found
            for found in files_in(self.path, ".xlsx")
            if not found.name.startswith(("~$", "."))
            and not found.name.endswith(SKIPPED_ENDINGS)
            and real(found) not in self.skip
        ]

    def _from_folder(self) -> Iterator[Plant]:
        for found in self._workbooks():
            content, fault = b"", ""
            try:
                content = content_of(found)
            except FileRefused as odd:
                fault = str(odd)
            yield Plant(one_line(found.stem), found.name, self._key(content or fault.encode()), content, fault)

    def _from_rows(self) -> Iterator[Plant]:
        assert self.base is not None
        common = hashlib.sha256(content_of(self.base)).hexdigest()
        for at, row in enumerate(read_rows(self.path), start=2):
            name = one_line(row.pop(NAME_COLUMN, "")) or f"row {at}"
            carried, fault = _carried(row)
            cells = json.dumps(row, sort_keys=True, ensure_ascii=False) + fault
            yield Plant(name, f"row {at}", self._key(f"{common}\n{cells}".encode()), row, fault, carried)

    def _key(self, content: bytes) -> str:
        settings = json.dumps([self.version, self.samples, *self.sets], ensure_ascii=False).encode()
        return hashlib.sha256(settings + b"\n" + content).hexdigest()[:32]


def _carried(row: dict[str, str]) -> tuple[tuple[tuple[str, str | float], ...], str]:
    """Take where a plant stands out of its cells; and the fault of degrees that are none."""
    found: list[tuple[str, str | float]] = []
    for name in CARRIED:
        if (text := row.pop(name, "")) and (most := PLACES.get(name)) is not None:
            with suppress(ValueError):
                if -most <= (degrees := float(text)) <= most:
                    found.append((name, degrees))
                    continue
            return (), f"{name}: {one_line(text, 40)!r}. Enter degrees from {-most:g} to {most:g}."
        if text:
            found.append((name, one_line(text)))
    return tuple(found), ""


def _checkheadings(path: Path) -> None:
    """Raise InputFaults naming every heading that is no key, and every one that stands twice."""
    names = headings(path)
    if len(names) > MAX_HEADINGS:
        raise FileRefused(
            f"{path.name} has {len(names):,} columns; a table of plants has at most {MAX_HEADINGS:,}"
        )
    faults = []
    for at, name in enumerate(names, start=1):
        where = f"{path.name}, column {at}"
        if names.index(name) != at - 1:
            faults.append(InputFault(where, f"the heading {name[:60]!r} a second time", "Keep each heading once"))
        elif name == "plant.currency":
            faults.append(InputFault(where, f"the heading {name!r}", "Give rows in the currency of the base"))
        elif name not in (NAME_COLUMN, *CARRIED) and name not in rows():
            near = " or ".join(difflib.get_close_matches(name, rows(), n=3)) or "kiln.price"
            asked = f"Use {NAME_COLUMN!r} or the key of an input, such as {near}"
            faults.append(InputFault(where, f"the heading {name[:60]!r}", asked))
    if faults:
        raise InputFaults(faults)


def named_temporary(folder: str, name: str, content: bytes) -> Path:
    """A workbook's bytes put under its own name in `folder`, so that faults name it as the person does."""
    path = Path(folder, os.path.basename(name))
    path.write_bytes(content)
    return path
