"""Scenario workbooks for tests: a shipped plant with cells changed by key and column, as a person would."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl

from econ.workbook.blank import shipped

HEADINGS = ("Value", "Low", "High", "Unit", "Key")


def book(path: Path, changes: dict[tuple[str, str], Any], name: str = "thistle-flat") -> Path:
    """Write the plant `name` to `path` with cells changed: {("kiln.price", "Value"): 42000}."""
    path.write_bytes(shipped()[f"scenarios/{name}.xlsx"])
    found = openpyxl.load_workbook(path)
    left = dict(changes)
    for sheet in found.worksheets:
        where: dict[str, int] = {}
        for row in sheet.iter_rows():
            names = {cell.value: cell.column for cell in row if cell.value in HEADINGS}
            if {"Value", "Key"} <= names.keys():
                where = names
            elif where:
                key = sheet.cell(row[0].row, where["Key"]).value
                for column in HEADINGS:
                    if (key, column) in left:
                        sheet.cell(row[0].row, where[column]).value = left.pop((key, column))
    assert not left, f"no such rows: {left}"
    found.save(path)
    return path
