"""Where many plants come from, and the libraries that only many plants need."""

from __future__ import annotations

import csv
import difflib
import hashlib
import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from importlib import import_module, util
from itertools import count
from pathlib import Path
from typing import Any, TextIO

from econ.errors import FileRefused, InputFault, InputFaults, KilncaseError
from econ.harmless import one_line
from econ.inputs.put_over import put_over
from econ.inputs.schema import rows
from econ.workbook.guards import content_of
from econ.workbook.places import files_in, kind_of, real
from econ.workbook.read import TypedBook, read_typed

EXTRA = {"joblib": "folder", "pyarrow": "folder", "distributed": "cluster"}


def has(name: str) -> bool:
    """Whether a library is installed; it is not loaded."""
    return util.find_spec(name) is not None


def need(name: str, asked_by: str) -> Any:
    """A module of an extra, or raise InputFault saying how to install it."""
    top = name.split(".")[0]
    try:
        return import_module(name)
    except ImportError:
        install = f"pip install 'kilncase[{EXTRA[top]}]'"
        raise InputFault(asked_by, f"no library {top} installed", f"Run {install}, or do without") from None


NAME_COLUMN = "plant"
"""The column of a table that names its plants; every other column is the key of an input."""
SKIPPED_ENDINGS = (".results.xlsx", ".summary.xlsx")
TABLE_ENDINGS = (".csv", ".parquet")
MAX_TABLE_BYTES = 50 * 2**20
MAX_LINE = 200_000
"""Characters in a line of a csv table; a heading for every input there is takes some 20,000."""
MAX_HEADINGS = 1_000
MAX_ROWS = 1_000_000
MAX_UNPACKED_BYTES = 4 * MAX_TABLE_BYTES


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

    @property
    def cells(self) -> dict[str, str] | None:
        """The cells of a row by key; None for a workbook."""
        return self.content if isinstance(self.content, dict) else None


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

    @classmethod
    def of(cls, path: Path, base: Path | None, sets: tuple[str, ...], version: str, target: Path) -> Source:
        """The source at `path`. Raises FileRefused or InputFaults before the first plant is run."""
        kind = kind_of(path)
        if kind == "folder":
            if base is not None:
                found = f"a folder and the base {base.name}"
                raise InputFault("--base", found, "Give a base only with a table of rows (.csv or .parquet)")
            return cls(path, None, sets, version, frozenset({real(target)}))
        if path.suffix.lower() not in TABLE_ENDINGS or kind != "file":
            raise FileRefused(f"{path.name} is neither a folder nor a table of rows (.csv or .parquet)")
        if base is None:
            raise InputFault(path.name, "no base workbook", "Give --base BASE.xlsx: the rows are put over it")
        book = read_typed(base)
        put_over(book.rows, sets)
        _check_headings(path)
        count = sum(1 for _ in read_rows(path))  # a fault in the last row is found before the first is run
        return cls(path, base, sets, version, frozenset(), book, count)

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
            cells = json.dumps(row, sort_keys=True, ensure_ascii=False)
            yield Plant(name, f"row {at}", self._key(f"{common}\n{cells}".encode()), row)

    def _key(self, content: bytes) -> str:
        settings = json.dumps([self.version, *self.sets], ensure_ascii=False).encode()
        return hashlib.sha256(settings + b"\n" + content).hexdigest()[:32]


def read_rows(path: Path) -> Iterator[dict[str, str]]:
    """The rows of a table as text by heading, one at a time; empty cells are left out.

    A csv file is UTF-8, with commas or (where the heading has no comma) semicolons. Raises FileRefused.
    """
    found = _parquet_rows(path) if path.suffix.lower() == ".parquet" else _csv_rows(path)
    for number, row in enumerate(found, start=1):
        if number > MAX_ROWS:
            raise FileRefused(f"{path.name} has more than {MAX_ROWS:,} rows; split it into several tables")
        yield row


def _csv_rows(path: Path) -> Iterator[dict[str, str]]:
    with _lines(path) as lines:
        names, mark = _first_line(next(lines, ""))
        for cells in csv.reader(lines, delimiter=mark):
            if any(cell.strip() for cell in cells):
                yield _filled(names, cells, path.name)


@contextmanager
def _lines(path: Path) -> Iterator[Iterator[str]]:
    """The lines of a csv table; whatever is odd in it is FileRefused, in here and in what reads the lines."""
    try:
        with path.open(encoding="utf-8-sig", newline="") as handle:
            if path.stat().st_size > MAX_TABLE_BYTES:
                raise FileRefused(
                    f"{path.name} is larger than {MAX_TABLE_BYTES // 2**20} MB; split it into several tables"
                )
            yield _bounded(handle, path.name)
    except FileRefused:
        raise
    except UnicodeDecodeError:
        raise FileRefused(f"{path.name} is not written in UTF-8; save it again as 'CSV UTF-8'") from None
    except csv.Error as odd:
        raise FileRefused(f"{path.name} could not be read as a csv table: {odd}") from odd
    except OSError as odd:
        raise FileRefused(f"{path.name} cannot be read ({odd.strerror}); check your permission") from odd


def _bounded(handle: TextIO, name: str) -> Iterator[str]:
    for number in count(1):
        line = handle.readline(MAX_LINE + 1)
        if not line:
            return
        if len(line) > MAX_LINE:
            raise FileRefused(
                f"{name} has more than {MAX_LINE:,} characters in line {number}; this is no table of plants"
            )
        if "\0" in line:
            raise FileRefused(
                f"{name} has a zero byte in line {number}, so is no text in UTF-8; save it as 'CSV UTF-8'"
            )
        yield line


def _filled(names: list[str], cells: list[str], file: str) -> dict[str, str]:
    if len(cells) > len(names) and any(cell.strip() for cell in cells[len(names) :]):
        raise FileRefused(f"{file} has a row with more cells than headings: it begins {cells[0][:40]!r}")
    return {name: cell.strip() for name, cell in zip(names, cells, strict=False) if cell.strip()}


def _parquet_rows(path: Path) -> Iterator[dict[str, str]]:
    with _parquet(path) as table:
        for batch in table.iter_batches(batch_size=256):
            _check_lengths(batch, path.name)
            for row in batch.to_pylist():
                yield {name: _text(value) for name, value in row.items() if value is not None and value != ""}


def _check_lengths(batch: Any, name: str) -> None:
    """Refuse an endless text while it stands there once: a dictionary can name it in a million rows."""
    compute = need("pyarrow.compute", name)
    for column in batch.columns:
        values = getattr(column, "dictionary", column)
        if str(values.type) in {"string", "large_string", "binary", "large_binary"}:
            longest = compute.max(compute.binary_length(values)).as_py()
            if longest is not None and longest > MAX_LINE:
                raise FileRefused(f"{name} has a cell of {longest:,} characters; this is no table of plants")


@contextmanager
def _parquet(path: Path) -> Iterator[Any]:
    """An open parquet table of a size that can be read; whatever is odd in it is FileRefused."""
    parquet = need("pyarrow.parquet", path.name)
    try:
        with parquet.ParquetFile(path) as table:
            names = table.schema_arrow.names
            groups = (table.metadata.row_group(at) for at in range(table.metadata.num_row_groups))
            unpacked = sum(group.total_byte_size for group in groups)
            if unpacked > MAX_UNPACKED_BYTES or path.stat().st_size > MAX_TABLE_BYTES:
                raise FileRefused(f"{path.name} is too large for a table of plants; split it into several tables")
        with parquet.ParquetFile(path, read_dictionary=names) as table:
            yield table
    except KilncaseError:
        raise
    except Exception as odd:  # pyarrow has a dozen kinds of its own
        said = " ".join(str(odd).split())[:200]
        raise FileRefused(f"{path.name} could not be read as a parquet table: {said}") from odd


def _text(value: Any) -> str:
    """A parquet value as it would be typed; whole floats lose their point, so that csv and parquet agree."""
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return repr(value) if isinstance(value, float) else str(value).strip()


def _headings(path: Path) -> list[str]:
    if path.suffix.lower() == ".parquet":
        with _parquet(path) as table:
            return [str(name) for name in table.schema_arrow.names]
    with _lines(path) as lines:
        return _first_line(next(lines, ""))[0]


def _first_line(text: str) -> tuple[list[str], str]:
    """The headings of a csv table, and what stands between cells."""
    mark = "," if "," in text or ";" not in text else ";"
    return [name.strip() for name in next(csv.reader([text], delimiter=mark), [])], mark


def _check_headings(path: Path) -> None:
    """Raise InputFaults naming every heading that is no key, and every one that stands twice."""
    names = _headings(path)
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
        elif name != NAME_COLUMN and name not in rows():
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
