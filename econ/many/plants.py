"""Where many plants come from: workbooks or rows of a table; and the libraries that only many plants need."""

from __future__ import annotations

import csv
import difflib
import hashlib
import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from functools import cached_property
from importlib import import_module
from pathlib import Path
from typing import Any, TextIO

from econ.errors import FileRefused, InputFault, InputFaults, KilncaseError
from econ.fields import field, record
from econ.harmless import one_line
from econ.inputs.as_typed import THREE_BEHIND
from econ.inputs.put_over import put_over
from econ.inputs.rows import plain
from econ.inputs.schema import rows
from econ.many.columns import CARRIED, PLACES
from econ.workbook.guards import content_of
from econ.workbook.places import kind_of, real, workbooks_in
from econ.workbook.read import TypedBook, read_typed

NAME_COLUMN = "plant"  # names the plants of a table; every other column is the key of an input
SKIPPED_ENDINGS = (".results.xlsx", ".summary.xlsx")
TABLE_ENDINGS = (".csv", ".parquet")
SUMS = ("total", "totals", "grand total", "subtotal", "sum", "average", "mean")  # common practice, no source
MAX_TABLE_BYTES = 500 * 2**20  # a million rows of some inputs; they are read one at a time
MAX_LINE = 200_000  # characters of a csv table; a heading for every input there is takes some 20,000
MAX_HEADINGS = 1_000
SPLIT = "split it into several tables"
MAX_ROWS = 1_000_000
MAX_PARQUET_BYTES, MAX_UNPACKED_BYTES = 50 * 2**20, 200 * 2**20


@record(frozen=True, slots=True)
class Plant:
    """One plant not yet run: its name, its file or row, the bytes of a workbook or the cells of a row.

    `key` is the hash of content, version and whatever is put over it: the same key, the same results. `fault` says
    why a file could not even be read.
    """

    name: str
    place: str
    key: str
    fault: str
    content: bytes = b""
    cells: Mapping[str, str] | None = None
    carried: Mapping[str, str | float] = field(default_factory=dict)


@record(frozen=True)
class Source:
    """A folder of workbooks or a table; iterating yields its plants in order, reading as it goes.

    `book` is the base that rows are put over, `sets` what is put over every plant, `samples` 0 for the base case;
    with `hides_names` no error names a file.
    """

    path: Path
    base: Path | None = None
    sets: tuple[str, ...] = ()
    version: str = ""
    target: Path | None = None
    book: TypedBook | None = field(default=None, repr=False)
    rows: int = 0
    samples: int = 0
    hides_names: bool = False

    @classmethod
    def of(cls, path: Path, base: Path | None, sets: tuple[str, ...], version: str, target: Path) -> Source:
        """The source at `path`. Raises FileRefused or InputFaults before the first plant is run."""
        if (kind := kind_of(path)) == "folder":
            if base is not None:
                ask = "Give a base only with a table of rows (.csv or .parquet)"
                raise InputFault("--base", f"a folder and the base {base.name}", ask)
            return cls(path, None, sets, version, real(target))
        if path.suffix.lower() not in TABLE_ENDINGS or kind != "file":
            raise FileRefused(f"{path.name} is neither a folder nor a table of rows (.csv or .parquet)")
        if base is None:
            raise InputFault(path.name, "no base workbook", "Give --base BASE.xlsx: the rows are put over it")
        book = read_typed(base)
        put_over(book.rows, sets)
        _checkheadings(path)
        count = sum(1 for _ in read_rows(path))  # a fault in the last row is found before the first is run
        return cls(path, base, sets, version, None, book, count)

    def __len__(self) -> int:
        return len(self._workbooks()) if self.base is None else self.rows

    def __iter__(self) -> Iterator[Plant]:
        return self._from_folder() if self.base is None else self._from_rows(self.base)

    def _workbooks(self) -> list[Path]:
        names = ((one, one.name.lower()) for one in workbooks_in(self.path) if real(one) != self.target)
        return [one for one, name in names if not (name.startswith(("~$", ".")) or name.endswith(SKIPPED_ENDINGS))]

    def _from_folder(self) -> Iterator[Plant]:
        for found in self._workbooks():
            content, fault = b"", ""
            try:
                content = content_of(found)
            except FileRefused as odd:
                fault = str(odd)
            yield Plant(one_line(found.stem), found.name, self._key(content or fault.encode()), fault, content)

    def _from_rows(self, base: Path) -> Iterator[Plant]:
        common, text_of = hashlib.sha256(content_of(base)).hexdigest(), json.JSONEncoder(sort_keys=True).encode
        spelt: dict[str, str] = {}
        for at, row in read_rows(self.path):
            place = f"row {at}"
            name = one_line(row.pop(NAME_COLUMN, "")) or place
            carried, fault = _carried(name, row, spelt)
            key = self._key(f"{common}\n{text_of(row)}{fault}".encode())
            yield Plant(name, place, key, fault, cells=row, carried=carried)

    def _key(self, content: bytes) -> str:
        return hashlib.sha256(self._settings + b"\n" + content).hexdigest()[:32]

    @cached_property
    def _settings(self) -> bytes:
        return json.dumps([self.version, self.samples, *self.sets]).encode()


def _carried(plant: str, row: dict[str, str], spelt: dict[str, str]) -> tuple[dict[str, str | float], str]:
    """Take where a plant stands out of its cells; and the fault of a row that is no plant, or of its degrees.

    A region is spelt as it was first: "South" and "south" are one.
    """
    if row and all(heading == text.lower() for heading, text in row.items()):
        return {}, "the headings a second time. Take the row out."
    if plain(plant).strip(" :.=") in SUMS:
        return {}, f"{NAME_COLUMN}: {plant!r}, as a sum is called. Take the row out, or name the plant."
    found: dict[str, str | float] = {}
    if region := one_line(row.pop("region", "")):
        found["region"] = spelt.setdefault(plain(region), region)
    for name, most in [one for one in PLACES.items() if one[0] in row]:
        text = row.pop(name)
        with suppress(ValueError):
            if -most <= (degrees := float(text)) <= most:
                found[name] = degrees
                continue
        return {}, f"{name}: {one_line(text, 40)!r}. Enter degrees from {-most:g} to {most:g}."
    return found, ""


def _checkheadings(path: Path) -> None:
    """Raise InputFaults naming every heading that is no key, and every one that stands twice."""
    if len(names := headings(path)) > MAX_HEADINGS:
        most = f"a table of plants has at most {MAX_HEADINGS:,}"
        raise FileRefused(f"{path.name} has {len(names):,} columns; {most}")
    faults = []
    for at, name in enumerate(names, start=1):
        found, asked = f"the heading {name[:60]!r}", ""
        if names.index(name) != at - 1:
            found, asked = f"{found} a second time", "Keep each heading once"
        elif name == "plant.currency":
            asked = "Give rows in the currency of the base"
        elif name not in (NAME_COLUMN, *CARRIED) and name not in rows():
            labelled = [key for key, row in rows().items() if row.label.lower() == name]
            near = labelled or difflib.get_close_matches(name, rows(), n=3) or ["kiln.price"]
            asked = f"Use {NAME_COLUMN!r} or the key of an input, such as {' or '.join(near)}"
        if asked:
            faults.append(InputFault(f"{path.name}, column {at}", found, asked))
    if faults:
        raise InputFaults(faults)


def need(name: str, asked_by: str) -> Any:
    """A module of an extra, or raise InputFault saying how to install it."""
    try:
        return import_module(name)
    except ImportError:
        top = name.partition(".")[0]
        install = f"pip install 'kilncase[{'cluster' if top == 'distributed' else 'folder'}]'"
        raise InputFault(asked_by, f"no library {top} installed", f"Run {install}, or do without") from None


def read_rows(path: Path) -> Iterator[tuple[int, dict[str, str]]]:
    """The rows of a table that hold anything, one at a time: number as a spreadsheet shows it, texts by heading.

    A csv file is UTF-8, with commas or (where the heading has none) semicolons or tabs. Raises FileRefused.
    """
    found = _parquet_rows(path) if path.suffix.lower() == ".parquet" else _csv_rows(path)
    for number, row in enumerate(found, start=1):
        if number > MAX_ROWS:
            raise FileRefused(f"{path.name} has more than {MAX_ROWS:,} rows; {SPLIT}")
        if row:
            yield number + 1, row


def _csv_rows(path: Path) -> Iterator[dict[str, str]]:
    with _lines(path) as lines:
        names, mark = first_line(next(lines, ""))
        for cells in csv.reader(lines, delimiter=mark, strict=True):
            if len(cells) > len(names) and any(cell.strip() for cell in cells[len(names) :]):
                begin = repr(cells[0][:40])
                raise FileRefused(f"{path.name} has a row with more cells than headings: it begins {begin}")
            found = {name: text for name, cell in zip(names, cells, strict=False) if (text := cell.strip())}
            numbers = (text for name, text in found.items() if name in rows() and rows()[name].is_number)
            if mark == ";" and (odd := next(filter(THREE_BEHIND.match, numbers), "")):
                raise FileRefused(f"{path.name}: {odd[:40]!r} may be thousands or decimals; write no comma")
            yield found


@contextmanager
def _lines(path: Path) -> Iterator[Iterator[str]]:
    """The lines of a csv table; whatever is odd in it is FileRefused, in here and in what reads the lines."""
    name = path.name
    try:
        with path.open(encoding="utf-8-sig", newline="") as handle:
            if path.stat().st_size > MAX_TABLE_BYTES:
                raise FileRefused(f"{name} is larger than {MAX_TABLE_BYTES // 2**20} MB; {SPLIT}")
            yield _bounded(handle, name)
    except FileRefused:  # an OSError too, with its own sentence
        raise
    except UnicodeDecodeError:
        raise FileRefused(f"{name} is not written in UTF-8; save it again as 'CSV UTF-8'") from None
    except csv.Error as odd:
        raise FileRefused(f"{name} could not be read as a csv table: {odd}; is a quotation mark open?") from odd
    except OSError as odd:
        raise FileRefused(f"{name} cannot be read ({odd.strerror}); check your permission") from odd


def _bounded(handle: TextIO, name: str) -> Iterator[str]:
    for number, line in enumerate(iter(lambda: handle.readline(MAX_LINE + 1), ""), start=1):
        if len(line) > MAX_LINE:
            much = f"more than {MAX_LINE:,} characters in line {number}"
            raise FileRefused(f"{name} has {much}; this is no table of plants")
        if "\0" in line:
            raise FileRefused(f"{name} has a zero byte in line {number}, so is no UTF-8; save it as 'CSV UTF-8'")
        yield line


def _parquet_rows(path: Path) -> Iterator[dict[str, str]]:
    with _parquet(path) as table:
        for batch in table.iter_batches(batch_size=256):
            _check_lengths(batch, path.name)
            for row in batch.to_pylist():
                found = {name.strip().lower(): value for name, value in row.items() if value is not None}
                yield {name: _text(value) for name, value in found.items() if value != ""}


def _check_lengths(batch: Any, name: str) -> None:
    """Refuse an endless text while it stands there once: a dictionary can name it in a million rows."""
    compute = need("pyarrow.compute", name)
    for values in (getattr(column, "dictionary", column) for column in batch.columns):
        if str(values.type) in {"string", "large_string", "binary", "large_binary"}:
            longest = compute.max(compute.binary_length(values)).as_py()
            if longest is not None and longest > MAX_LINE:
                raise FileRefused(f"{name} has a cell of {longest:,} characters; this is no table of plants")


@contextmanager
def _parquet(path: Path) -> Iterator[Any]:
    """An open parquet table of a size that can be read; whatever is odd in it is FileRefused."""
    parquet = need("pyarrow.parquet", path.name)
    try:
        about = parquet.read_metadata(path)
        unpacked = sum(about.row_group(at).total_byte_size for at in range(about.num_row_groups))
        if unpacked > MAX_UNPACKED_BYTES or path.stat().st_size > MAX_PARQUET_BYTES:
            raise FileRefused(f"{path.name} is too large for a table of plants; {SPLIT}")
        with parquet.ParquetFile(path, read_dictionary=about.schema.to_arrow_schema().names) as table:
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
            return [str(name).strip().lower() for name in table.schema_arrow.names]
    with _lines(path) as lines:
        return first_line(next(lines, ""))[0]


def first_line(text: str) -> tuple[list[str], str]:
    """The headings of a csv table in small letters, blank ones at the end left out, and what parts them."""
    mark = next((mark for mark in ",;\t" if mark in text), ",")
    found = next(csv.reader([text.rstrip(f"{mark} \r\n").lower()], delimiter=mark), [])
    return [name.strip() for name in found], mark
