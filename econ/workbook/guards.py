"""Guards around a workbook that a stranger may have sent.

They say what is refused before it is opened, and bound how far a sheet is read. Every refusal is a
FileRefused with one sentence: the file, what was found, what to do. Time and memory are bounded by the sizes
below, whatever the file says about itself. Nothing in a workbook is executed and nothing is fetched.
"""

from __future__ import annotations

import copy
import os
import re
import stat
import struct
import sys
import warnings
import zipfile
import zlib
from collections.abc import Collection, Iterator
from contextlib import closing, contextmanager, redirect_stdout, suppress
from functools import lru_cache
from io import BytesIO, StringIO
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from xml.etree import ElementTree

from econ.errors import FileRefused, KilncaseError
from econ.workbook.package_parts import RESAVE, WORKBOOK_PART, Unfit, check_parts, sheet_parts, shown, xml_parts
from econ.workbook.places import ALONE, why_not_read

MAX_FILE_BYTES = 10 * 1024 * 1024
MAX_ENTRIES = 1_000
MAX_UNPACKED_BYTES = 20 * 1024 * 1024
MAX_ROWS = 5_000
MAX_COLS = 60
MAX_BLANK_ROWS = 2_000  # blank rows read beyond the last allowed one before the rest is taken for blank
SHEET_ROWS = 1_048_576  # the last row of an .xlsx sheet

_OLE_SIGNATURE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_ZIP_SIGNATURES = (b"PK\x03\x04", b"PK\x05\x06")
_ENTRY_SIGNATURE = b"PK\x01\x02"
_PROTECTED_STREAM = "EncryptedPackage".encode("utf-16-le")
_ENCRYPTED_FLAGS = 0x1 | 0x40 | 0x2000
_EMPTY_CELL = re.compile(rb'<c r="[A-Z]+[0-9]+"(?: s="[0-9]+")? ?/>(?!</row>)')
_DAMAGED_ZIP = (
    *(zipfile.BadZipFile, zlib.error, struct.error, EOFError, OSError),
    *(ValueError, LookupError, ArithmeticError, RuntimeError, MemoryError),
)


@contextmanager
def opening(path: Path) -> Iterator[BytesIO]:
    """Check a workbook, then hand out the very bytes that were checked, for openpyxl to load.

    Refuses a file that is no ordinary .xlsx, or that could hang, exhaust or deceive a reader: raises FileRefused,
    and nothing else, with one sentence naming the file and what to do.

    Whatever openpyxl raises inside the block becomes FileRefused and its remarks are silenced, so nothing but
    openpyxl's own work belongs inside: the load (read_only=True, data_only=True, keep_links=False) and the
    loop over `bounded_rows`. Errors of the kilncase tree pass unchanged.
    """
    with _named(path):
        data = _read(path)
        damaged = check_parts(_unpack(data))
        # it prints, too, where a cell's style is not there: that would stand before the JSON of a run
        with ALONE, warnings.catch_warnings(), redirect_stdout(StringIO()), _spared(damaged):
            warnings.simplefilter("ignore")
            try:
                yield BytesIO(data)
            except KilncaseError:
                raise
            except Exception as odd:  # openpyxl raises any of a dozen kinds on a file it cannot follow
                raise Unfit(f"it could not be read as a workbook; {RESAVE}") from odd


@contextmanager
def _spared(damaged: Collection[str]) -> Iterator[None]:
    """Within it openpyxl reads what is asked for: grids alone, but of parts that are `damaged`; no sizes.

    Lists of choices, 1,800, are two thirds of a file. An empty cell is none; the last says how wide a row is. A
    text without looks is taken as it stands. A grid of another shape than most are goes element by element.
    """
    with _lean():
        from openpyxl.reader import strings
        from openpyxl.worksheet import _read_only, _reader

    text, parsed, sized = strings.Text, _reader.iterparse, _read_only.ReadOnlyWorksheet._get_size

    def text_of(node: Any) -> Any:
        is_plain = len(node) == 1 and not node.attrib and node[0].tag == f"{{{_reader.SHEET_MAIN_NS}}}t"
        return SimpleNamespace(content=node[0].text or "") if is_plain else text.from_tree(node)

    def grid_of(source: Any) -> Iterator[tuple[str, Any]]:
        grid, end, rest = source.read().partition(b"</sheetData>")
        if end and b"<!" not in grid and source.name not in damaged:
            with suppress(ElementTree.ParseError):  # as with prefixes of its own
                whole = ElementTree.XML(_EMPTY_CELL.sub(b"", grid) + end + b"</worksheet>")
                yield from (("end", row) for row in whole.iter(_reader.ROW_TAG))
                return
        for event, element in parsed(BytesIO(grid + end + rest)):
            if element.tag == _reader.ROW_TAG:
                element[:-1] = [one for one in element[:-1] if len(one) or "r" not in one.attrib]
            yield event, element
            if element.tag == _reader.DATA_TAG and source.name not in damaged:
                return

    strings.Text, _reader.iterparse = SimpleNamespace(from_tree=text_of), grid_of
    _read_only.ReadOnlyWorksheet._get_size = lambda _: None
    try:
        yield
    finally:
        strings.Text, _reader.iterparse, _read_only.ReadOnlyWorksheet._get_size = text, parsed, sized


@contextmanager
def _lean() -> Iterator[None]:
    """Within it openpyxl is loaded without what it draws and writes with, 10 ms, where the command asks for it.

    Who imports econ may need pictures of openpyxl later: nothing is hidden from it.
    """
    away = {"PIL", "lxml"}.difference(sys.modules) if os.environ.get("OPENPYXL_LXML") == "False" else set[str]()
    sys.modules |= dict.fromkeys(away)  # type: ignore[arg-type]  # none: not to be found
    try:
        yield
    finally:
        for name in away:
            del sys.modules[name]


def content_of(path: Path) -> bytes:
    """The bytes of an ordinary file; raises FileRefused for anything else, and beyond MAX_FILE_BYTES."""
    with _named(path):
        return _read(path)


def parts_of(path: Path) -> dict[str, bytes]:
    """Return name and bytes of every entry of a zip file, unpacked within the bounds but not looked into.

    Raises FileRefused when the file is missing, no zip, damaged, or beyond the bounds.
    """
    with _named(path):
        return _unpack(_read(path))


def has_formulas(path: Path, wanted: Collection[str] = ()) -> bool:
    """Tell whether a worksheet holds a formula, any or one of those `wanted`; raises FileRefused as others do."""
    with _named(path):
        parts = _unpack(_read(path))
        found = xml_parts(parts)
        sheets = sheet_parts(parts).items()
        return any(
            found[part].formulas for name, part in sheets if part in found and (name in wanted or not wanted)
        )


def bounded_rows(worksheet: Any) -> Iterator[tuple[Any, ...]]:
    """Yield the rows of an openpyxl read-only worksheet, from row 1 to the last that holds a value.

    The nth tuple is row n: its cells from column A, at most MAX_COLS of them, or () when the row is blank.
    The sheet's own statement of its size is ignored. Blank formatted cells beyond the caps are passed over;
    MAX_BLANK_ROWS such rows below MAX_ROWS end the reading. A value beyond the caps raises FileRefused, as
    does a sheet that openpyxl cannot follow.
    """
    sheet = f"sheet {shown(worksheet.title)}"
    worksheet.reset_dimensions()
    waiting = blank_beyond = 0
    for number, row in enumerate(_raw_rows(worksheet, sheet), start=1):
        if number > SHEET_ROWS:
            raise Unfit(f"{sheet} has rows below row {SHEET_ROWS:,}, which no sheet may have; {RESAVE}")
        if not row:  # a gap, which openpyxl fills up row by row: there may be a million of them
            waiting += 1
            continue
        if _blank(row):
            waiting += 1
            blank_beyond += number > MAX_ROWS
            if blank_beyond > MAX_BLANK_ROWS:
                return
            continue
        if number > MAX_ROWS:
            raise Unfit(
                f"{sheet} has a value in row {number:,}; only {MAX_ROWS:,} rows are read: move or delete it"
            )
        if not _blank(row[MAX_COLS:]):
            raise Unfit(f"{sheet} has a value beyond column {MAX_COLS} in row {number:,}; move or delete it")
        yield from ((),) * waiting
        waiting = 0
        yield tuple(row[:MAX_COLS])


def _raw_rows(worksheet: Any, sheet: str) -> Iterator[tuple[Any, ...]]:
    with closing(worksheet.iter_rows()) as rows:
        try:
            yield from rows
        except Exception as odd:  # as in opening: a reader may read its rows outside that block
            raise Unfit(f"{sheet} could not be read; {RESAVE}") from odd


def _blank(row: tuple[Any, ...]) -> bool:
    return all(cell.value is None or cell.value == "" for cell in row)


@contextmanager
def _named(path: Path) -> Iterator[None]:
    """Put the name of the file before the reason it is refused for."""
    try:
        yield
    except Unfit as reason:
        raise FileRefused(f"{shown(path.name or str(path))}: {reason}") from reason


def _read(path: Path) -> bytes:
    """Read an ordinary file of at most MAX_FILE_BYTES."""
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise Unfit("this is a folder; name the workbook inside it")
        if not stat.S_ISREG(status.st_mode):
            raise Unfit("this is a device, not a file; name an .xlsx workbook")
        with path.open("rb") as handle:
            data = handle.read(MAX_FILE_BYTES + 1)
    except Unfit:
        raise
    except (OSError, ValueError) as odd:
        raise Unfit(why_not_read(odd)) from odd
    if len(data) > MAX_FILE_BYTES:
        raise Unfit(f"it is larger than {MAX_FILE_BYTES // 1024**2} MB; remove pictures and unused sheets")
    return data


@lru_cache(maxsize=1)
def _unpack(data: bytes) -> dict[str, bytes]:
    """Return name and bytes of every entry of a zip file, within the bounds."""
    if not data:
        raise Unfit("the file is empty; copy or save it again")
    if data.startswith(_OLE_SIGNATURE):
        if _PROTECTED_STREAM in data:
            raise Unfit("it is protected by a password; take the password off and save it again as .xlsx")
        raise Unfit(f"it is in the old .xls format or protected by a password; {RESAVE} without a password")
    if not data.startswith(_ZIP_SIGNATURES):
        raise Unfit(f"this is not an Excel workbook, whatever its name; {RESAVE}")
    # each entry of the directory starts with this mark, so the directory cannot be longer than the count
    if data.count(_ENTRY_SIGNATURE) > MAX_ENTRIES:
        raise Unfit(f"it holds more than {MAX_ENTRIES:,} parts; {RESAVE}")
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            _check_entries(archive.infolist())
            return {info.filename: _unpacked(archive, info) for info in archive.infolist()}
    except Unfit:
        raise
    except _DAMAGED_ZIP as fault:
        raise Unfit("the file is damaged or was cut short; copy or save it again") from fault


def _check_entries(entries: list[zipfile.ZipInfo]) -> None:
    """Refuse what the directory of the zip file gives away before anything is unpacked."""
    names = [entry.filename.lower() for entry in entries]
    if any(name.endswith("vbaproject.bin") for name in names):
        raise Unfit("it holds macros, which are never opened; save it as .xlsx, which leaves them out")
    if any(entry.flag_bits & _ENCRYPTED_FLAGS for entry in entries):
        raise Unfit("parts of it are encrypted; save it again as .xlsx without a password")
    if len(set(names)) < len(names):
        raise Unfit(f"it holds two parts of the same name, so programs may disagree on what it says; {RESAVE}")
    paths = [entry.orig_filename.replace("\\", "/") for entry in entries]
    if any(path.startswith("/") or ":" in path or "\0" in path or ".." in path.split("/") for path in paths):
        raise Unfit(f"a part in it is named like a file outside of it; {RESAVE}")
    if sum(entry.file_size for entry in entries) > MAX_UNPACKED_BYTES:
        limit = MAX_UNPACKED_BYTES // 1024**2
        raise Unfit(f"it unpacks to more than {limit} MB; copy only the filled rows into a fresh workbook")
    if any(entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) for entry in entries):
        raise Unfit(f"it is packed in a way no spreadsheet program uses; {RESAVE}")
    if WORKBOOK_PART not in {entry.filename for entry in entries}:
        raise Unfit(f"it is a zip file without an Excel workbook in it; {RESAVE}")


def _unpacked(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes:
    """Unpack one entry; refuse it when it is more or other than declared."""
    probe = copy.copy(entry)
    probe.file_size += 1  # zipfile stops at the size it is told: one byte more shows a lie
    del probe.CRC  # and checks the sum too early; it is checked below
    with archive.open(probe) as part:
        data = part.read(probe.file_size)
    if len(data) > entry.file_size:
        raise Unfit("a part of it unpacks to more than it declares; do not trust this file")
    if len(data) < entry.file_size or zlib.crc32(data) != entry.CRC:
        raise zipfile.BadZipFile(entry.filename)
    return data
