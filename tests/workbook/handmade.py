"""Puts workbooks together by hand, part by part, so that a test can make them lie."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import xlsxwriter

SHEET = "xl/worksheets/sheet1.xml"
BOOK = "xl/workbook.xml"
STYLES = "xl/styles.xml"
STRINGS = "xl/sharedStrings.xml"
LINKS = "xl/_rels/workbook.xml.rels"
TYPES = "[Content_Types].xml"

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
REL = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"
HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'


def book(*fills: Callable[[xlsxwriter.Workbook], object]) -> bytes:
    """A sound workbook with one sheet, "Bones", holding a heading and one input, then what `fills` add."""
    target = io.BytesIO()
    workbook = xlsxwriter.Workbook(target, {"in_memory": True})
    sheet = workbook.add_worksheet("Bones")
    sheet.write_row(0, 0, ["Key", "Value"])
    sheet.write_row(1, 0, ["bones.1.mass", 1200])
    for fill in fills:
        fill(workbook)
    workbook.close()
    return target.getvalue()


def parts_in(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def packed(parts: dict[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", method, compresslevel=1) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return target.getvalue()


def changed(changes: dict[str, str | bytes | None], base: bytes | None = None) -> bytes:
    """The sound workbook with parts put in place of its own, added, or (None) left out."""
    parts = parts_in(base or book())
    for name, content in changes.items():
        if content is None:
            parts.pop(name)
        else:
            parts[name] = content.encode() if isinstance(content, str) else content
    return packed(parts)


def edited(name: str, old: str, new: str, base: bytes | None = None) -> bytes:
    """The sound workbook with one piece of text of a part replaced; fails when it is not there."""
    base = base or book()
    text = parts_in(base)[name].decode()
    assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {name}"
    return changed({name: text.replace(old, new)}, base)


def sheet_xml(rows: str, after: str = "") -> str:
    return f'{HEAD}<worksheet xmlns="{MAIN}"><sheetData>{rows}</sheetData>{after}</worksheet>'


def cells(values: Iterable[tuple[str, object]]) -> str:
    """Cells of one row as XML: (address, number)."""
    return "".join(f'<c r="{address}"><v>{value}</v></c>' for address, value in values)


@dataclass(frozen=True)
class Entry:
    """One entry of a zip file put together by hand, so that it can lie."""

    name: bytes
    packed: bytes
    size: int
    crc: int = 0
    method: int = zipfile.ZIP_DEFLATED
    flags: int = 0


def honest(name: str, content: bytes, flags: int = 0, method: int = zipfile.ZIP_DEFLATED) -> Entry:
    raw = deflated(content) if method == zipfile.ZIP_DEFLATED else content
    return Entry(name.encode(), raw, len(content), zlib.crc32(content), method, flags)


def deflated(content: bytes) -> bytes:
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    return packer.compress(content) + packer.flush()


def endless(piece: bytes, times: int) -> bytes:
    """A packed stream that unpacks to `piece` over and over, made without ever holding the whole."""
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    block = packer.compress(piece) + packer.flush(zlib.Z_FULL_FLUSH)
    return block * times + packer.flush()


def handmade(entries: Iterable[Entry]) -> bytes:
    body, directory, count = b"", b"", 0
    for entry in entries:
        shared = struct.pack(
            *("<HHHHHLLLHH", 20, entry.flags, entry.method, 0, 33, entry.crc),
            *(len(entry.packed), entry.size, len(entry.name), 0),
        )
        directory += b"PK\x01\x02" + struct.pack("<H", 20) + shared
        directory += struct.pack("<HHHLL", 0, 0, 0, 0, len(body)) + entry.name
        body += b"PK\x03\x04" + shared + entry.name + entry.packed
        count += 1
    end = struct.pack("<HHHHLLH", 0, 0, count, count, len(directory), len(body), 0)
    return body + directory + b"PK\x05\x06" + end


def sound_entries() -> list[Entry]:
    return [honest(name, content) for name, content in parts_in(book()).items()]


def with_entry(entry: Entry) -> bytes:
    """The sound workbook, put together by hand, with one entry put in or in place of its namesake."""
    return handmade([*(each for each in sound_entries() if each.name != entry.name), entry])
