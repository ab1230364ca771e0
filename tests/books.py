"""Scenario workbooks for tests: a shipped plant with cells changed by key and column, as a person would.

Cells are put straight into the parts of the file: loading and saving it whole by openpyxl takes two seconds.
"""

from __future__ import annotations

import datetime as dt
import io
import re
import zipfile
from collections.abc import Mapping
from functools import cache
from itertools import groupby
from pathlib import Path
from string import ascii_uppercase, digits
from typing import Any
from xml.sax.saxutils import escape

import in_parts
from openpyxl.utils.cell import coordinate_to_tuple

from econ.inputs.examples import example
from econ.workbook.template import write_template

HEADINGS = ("Value", "Low", "High", "Unit", "Key")


@cache
def filled(name: str = "thistle-flat") -> bytes:
    """The scenario workbook of a plant as shipped."""
    plant = example(name)
    return write_template(plant.system, plant.currency, plant.rows, plant.title, plant.tables)


def book(path: Path, changes: Mapping[tuple[str, str], Any], name: str = "thistle-flat") -> Path:
    """Write the plant `name` to `path` with cells changed: {("kiln.price", "Value"): 42000}."""
    data = filled(name)
    here = places(data)
    absent = changes.keys() - here.keys()
    assert not absent, f"no such rows: {absent}"
    path.write_bytes(put_in(data, {here[at]: value for at, value in changes.items()}))
    return path


@cache
def places(data: bytes) -> dict[tuple[str, str], tuple[str, str]]:
    """Sheet and address of every cell of a row with a key, by key and heading; of results as well."""
    found = {}
    for sheet, cells in groupby(in_parts.read(data), lambda cell: cell.sheet):
        where: dict[object, str] = {}
        for line, row in groupby(cells, lambda cell: cell.address.lstrip(ascii_uppercase)):
            texts = {cell.address.rstrip(digits): cell.value for cell in row if isinstance(cell.value, str)}
            names = {text: column for column, text in texts.items() if text in HEADINGS}
            if {"Value", "Key"} <= names.keys():
                where = names
            elif where and (key := texts.get(where["Key"])):
                found |= {(key, heading): (sheet, column + line) for heading, column in where.items()}
    return found


def put_in(data: bytes, cells: Mapping[tuple[str, str], Any]) -> bytes:
    """The workbook with cells replaced: {("Kiln", "B7"): 3}; each keeps its style. `data` by XlsxWriter."""
    if not cells:
        return data
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    names = re.findall(r'<sheet name="([^"]+)"', parts["xl/workbook.xml"].decode())
    by_part: dict[str, dict[str, Any]] = {}
    for (sheet, address), value in cells.items():
        part = f"xl/worksheets/sheet{names.index(escape(sheet)) + 1}.xml"
        by_part.setdefault(part, {})[address] = value
    for part, here in by_part.items():
        text = parts[part].decode()
        for address, value in here.items():
            text = _put(text, address, value)
        parts[part] = text.encode()
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w") as package:
        for part, content in parts.items():
            package.writestr(part, content)
    return target.getvalue()


def _put(sheet: str, address: str, value: Any) -> str:
    start = sheet.find(f'<c r="{address}"')
    if start < 0:
        return _added(sheet, address, value)
    head = sheet[start : sheet.index(">", start) + 1]
    end = start + len(head) if head.endswith("/>") else sheet.index("</c>", start) + 4
    style = re.search(r' s="\d+"', head)
    return f'{sheet[:start]}<c r="{address}"{style[0] if style else ""}{_content(value)}{sheet[end:]}'


def _added(sheet: str, address: str, value: Any) -> str:
    """A cell that was not there, in its place among those of its row, or in a row of its own at the end."""
    line, column = coordinate_to_tuple(address)
    cell = f'<c r="{address}"{_content(value)}'
    row = re.search(rf'<row r="{line}"[^>]*?(/>|>(.*?)</row>)', sheet, re.S)
    if row is None:
        assert line > max(map(int, re.findall(r'<row r="(\d+)"', sheet)))
        return sheet.replace("</sheetData>", f'<row r="{line}">{cell}</row></sheetData>')
    if row[1] == "/>":
        return f"{sheet[: row.end() - 2]}>{cell}</row>{sheet[row.end() :]}"
    later = (found for found in re.finditer(r'<c r="([A-Z]+\d+)"', row[2])
             if coordinate_to_tuple(found[1])[1] > column)  # fmt: skip
    at = row.start(2) + next((found.start() for found in later), len(row[2]))
    return f"{sheet[:at]}{cell}{sheet[at:]}"


def _content(value: Any) -> str:
    match value:
        case None:
            return "/>"
        case bool():
            return f' t="b"><v>{value:d}</v></c>'
        case dt.date():
            return f' t="d"><v>{value.isoformat()}</v></c>'
        case str() if value.startswith("#"):
            return f' t="e"><v>{value}</v></c>'
        case str() if value.startswith("="):
            return f"><f>{escape(value[1:])}</f></c>"
        case str():
            return f' t="inlineStr"><is><t xml:space="preserve">{escape(value)}</t></is></c>'
        case _:
            return f"><v>{value!r}</v></c>"
