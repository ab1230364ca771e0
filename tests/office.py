"""LibreOffice as an independent calculator: forced to recalculate, never trusting cached values."""

from __future__ import annotations

import csv
import os
import shutil
import subprocess
import zipfile
from functools import cache
from pathlib import Path

import in_parts
import openpyxl
import pytest
from books import places, put_in
from iron import same as same
from iron import sheets_of
from openpyxl.utils import get_column_letter

RECALCULATE_ALWAYS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>
"""


def soffice() -> str:
    """The program; its absence fails under CI=true and skips elsewhere."""
    found = shutil.which("soffice") or shutil.which("libreoffice")
    if found is None:
        if os.environ.get("CI") == "true":
            pytest.fail("LibreOffice is not installed")
        pytest.skip("LibreOffice is not installed")
    return found


CSV = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false,false,false,false,{}"
"""The sheet of that number, every digit: a third of the time of a workbook."""


def convert(paths: list[Path], kind: str, work: Path) -> list[Path]:
    """The files converted to `kind` ("xlsx", "pdf" or CSV) by one run with a private profile."""
    profile = work / "profile"
    (profile / "user").mkdir(parents=True, exist_ok=True)
    (profile / "user" / "registrymodifications.xcu").write_text(RECALCULATE_ALWAYS)
    ending = kind.partition(":")[0]
    out = work / ending
    out.mkdir(exist_ok=True)
    subprocess.run(
        [soffice(), f"-env:UserInstallation=file://{profile}", "--headless", "--convert-to", kind,
         "--outdir", str(out), *map(str, paths)],
        check=True, capture_output=True, timeout=300,
    )  # fmt: skip
    return [out / f"{path.stem}.{ending}" for path in paths]


def recalculated(paths: list[Path], sheet: str, work: Path) -> list[dict[str, float | str]]:
    """What the cells of one sheet of each workbook, all alike, show by address, recalculated."""
    number = [name for name, _ in sheets_of(paths[0])].index(sheet) + 1
    names = [path.with_name(f"{path.stem}-{sheet}.csv") for path in convert(paths, CSV.format(number), work)]
    tables = [list(csv.reader(name.read_text(encoding="utf-8").splitlines(keepends=True))) for name in names]
    return [
        {f"{get_column_letter(column)}{at}": _number_or_text(text)
         for at, row in enumerate(table, start=1) for column, text in enumerate(row, start=1)}
        for table in tables
    ]  # fmt: skip


def _number_or_text(text: str) -> float | str:
    try:
        return float(text.removesuffix("%")) / (100 if text.endswith("%") else 1)
    except ValueError:
        return text


@cache
def cells(path: Path) -> dict[str, object]:
    """Every cell with a value as {"Sheet!A1": value}; days are numbers."""
    return in_parts.values(path)


def same_cells(one: Path, other: Path) -> bool:
    """Whether two workbooks hold the same in every cell: read only where a part of the files differs."""
    with zipfile.ZipFile(one) as left, zipfile.ZipFile(other) as right:
        parts = [[(name, package.read(name)) for name in package.namelist()] for package in (left, right)]
    return parts[0] == parts[1] or cells(one) == cells(other)


def values(book: openpyxl.Workbook) -> dict[str, object]:
    """The same of a workbook that is open."""
    return {
        f"{sheet.title}!{cell.coordinate}": cell.value
        for sheet in book.worksheets
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None
    }


@cache
def formulas(path: Path) -> dict[str, str]:
    """Every formula as {"Sheet!A1": "=..."}."""
    return in_parts.formulas(path)


def recalculate(written: dict[str, Path], work: Path) -> dict[str, tuple[Path, Path]]:
    """Each workbook as written and as LibreOffice recalculated it, from one conversion."""
    back = convert(list(written.values()), "xlsx", work)
    return {name: (path, out) for (name, path), out in zip(written.items(), back, strict=True)}


def with_inputs(start: Path, target: Path, values: dict[str, float]) -> Path:
    """The results workbook `start` with typed values changed on its page of inputs, as a lender would."""
    data = start.read_bytes()
    target.write_bytes(put_in(data, {places(data)[key, "Value"]: value for key, value in values.items()}))
    return target
