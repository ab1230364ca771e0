"""Tables of rows, csv or parquet, as text by heading; and the libraries that only many plants need."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module, util
from itertools import count
from pathlib import Path
from typing import Any, TextIO

from econ.errors import FileRefused, InputFault, KilncaseError

MAX_TABLE_BYTES = 500 * 2**20
"""A million rows of some inputs; they are read one at a time."""
MAX_LINE = 200_000
"""Characters in a line of a csv table; a heading for every input there is takes some 20,000."""
MAX_HEADINGS = 1_000
MAX_ROWS = 1_000_000
MAX_PARQUET_BYTES, MAX_UNPACKED_BYTES = 50 * 2**20, 200 * 2**20
PLACES = {"latitude": 90.0, "longitude": 180.0}
"""Columns of degrees, with the most there are."""
CARRIED = ("region", *PLACES)
"""Columns that say where a plant stands; they are carried through to the results."""
EXTRA = {"joblib": "folder", "pyarrow": "folder", "distributed": "cluster"}


def all_but_many(count: int, most: int) -> int:
    """How many of a list to show: `most`, or one above rather than to say "and 1 more"."""
    return count if count == most + 1 else most


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
        names, mark = first_line(next(lines, ""))
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
            if unpacked > MAX_UNPACKED_BYTES or path.stat().st_size > MAX_PARQUET_BYTES:
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


def headings(path: Path) -> list[str]:
    """The headings of a table. Raises FileRefused."""
    if path.suffix.lower() == ".parquet":
        with _parquet(path) as table:
            return [str(name) for name in table.schema_arrow.names]
    with _lines(path) as lines:
        return first_line(next(lines, ""))[0]


def first_line(text: str) -> tuple[list[str], str]:
    """The headings of a csv table, and what stands between cells."""
    mark = "," if "," in text or ";" not in text else ";"
    return [name.strip() for name in next(csv.reader([text], delimiter=mark), [])], mark
