"""Reads a workbook a second way, with nothing but zip and XML, as far as it is in plain order.

An oracle for the values that the reader takes from a damaged file. It gives up (None) on a sheet whose rows
and cells do not all have their place written in them, once each and in order.
"""

from __future__ import annotations

import posixpath
import re
import zipfile
from pathlib import Path
from xml.etree import ElementTree

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
REL = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
PLACE = re.compile(r"([A-Z]{1,3})([1-9][0-9]{0,6})")
Cells = dict[str, object]


def sheets_of(path: Path) -> dict[str, Cells | None]:
    """Values by address of every sheet by name; None for a sheet out of plain order."""
    with zipfile.ZipFile(path) as archive:
        book = ElementTree.fromstring(archive.read("xl/workbook.xml"))
        links = ElementTree.fromstring(archive.read("xl/_rels/workbook.xml.rels"))
        target = {link.get("Id"): link.get("Target", "") for link in links}
        strings = _strings(archive)
        found: dict[str, Cells | None] = {}
        for sheet in book.iter(f"{MAIN}sheet"):
            name = posixpath.normpath(posixpath.join("xl", target.get(sheet.get(REL), "")))
            if name in archive.namelist():
                found[sheet.get("name", "")] = _cells(ElementTree.fromstring(archive.read(name)), strings)
        return found


def _strings(archive: zipfile.ZipFile) -> list[str]:
    if "xl/sharedStrings.xml" not in archive.namelist():
        return []
    return [_text(item) for item in ElementTree.fromstring(archive.read("xl/sharedStrings.xml"))]


def _text(item: ElementTree.Element) -> str:
    """Plain text or runs, without readings beside them."""
    direct = [node.text or "" for node in item.findall(f"{MAIN}t")]
    return "".join(direct + [node.text or "" for node in item.findall(f"{MAIN}r/{MAIN}t")])


def _cells(sheet: ElementTree.Element, strings: list[str]) -> Cells | None:
    found: Cells = {}
    last = (0, 0)
    for row in sheet.findall(f"{MAIN}sheetData/{MAIN}row"):
        for cell in row.findall(f"{MAIN}c"):
            place = PLACE.fullmatch(cell.get("r", ""))
            if place is None or place[2] != row.get("r"):
                return None
            at = (int(place[2]), _column(place[1]))
            if at <= last:
                return None
            last = at
            found[place[0]] = _value(cell, strings)
    return found


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number


def _value(cell: ElementTree.Element, strings: list[str]) -> object:
    kind, values = cell.get("t", "n"), cell.findall(f"{MAIN}v")
    if kind == "inlineStr":
        return "".join(_text(item) for item in cell.findall(f"{MAIN}is")) or None
    text = values[0].text if values else None
    if text is None:
        return None
    if kind == "s":
        return strings[int(text)]
    return text if kind in {"str", "e"} else bool(int(text)) if kind == "b" else float(text)
