"""IronCalc as an independent calculator of results workbooks: tens of milliseconds, not seconds of LibreOffice.

What is read off the file itself (formulas, kept values) is read from its parts by pattern, since the files of
XlsxWriter always have one form.
"""

from __future__ import annotations

import html
import math
import re
import zipfile
from functools import cache
from pathlib import Path

import ironcalc
import openpyxl
from openpyxl.utils.cell import coordinate_to_tuple

CELL = re.compile(r'<c r="([A-Z]+\d+)"[^>]*?(?: t="(\w+)")?><f>(.*?)</f><v>(.*?)</v></c>', re.S)

WHOLE = re.compile(r"(?<![.\d])\d+(?![.\d])")


def sheets_of(path: Path) -> list[tuple[str, str]]:
    """Every sheet of a file by XlsxWriter, by name, as it is written there."""
    with zipfile.ZipFile(path) as package:
        names = re.findall(r'<sheet name="([^"]+)"', package.read("xl/workbook.xml").decode())
        return [(html.unescape(name), package.read(f"xl/worksheets/sheet{number}.xml").decode())
                for number, name in enumerate(names, start=1)]  # fmt: skip


@cache
def kept(path: Path) -> dict[str, tuple[str, object]]:
    """Every formula with the value kept beside it, as {"Sheet!A1": ("=...", 3.0)}; the file does not change."""
    found: dict[str, tuple[str, object]] = {}
    for name, sheet in sheets_of(path):
        for address, kind, formula, value in CELL.findall(sheet):
            text = html.unescape(value)
            found[f"{name}!{address}"] = (
                f"={html.unescape(formula)}", text if kind == "str" else float(value)
            )  # fmt: skip
    return found


NAME = re.compile(r'<definedName name="([a-z]\w+)">([^<]+)</definedName>')
AS_CELL = re.compile(r"[a-z]{1,3}[0-9]+|r[0-9]*(c[0-9]*)?|c[0-9]*")
WORD = re.compile(r"\"[^\"]*\"|'[^']*'!|[A-Za-z_][\w.]*")
"""A text, a sheet, or a word of a formula: of these only words may be names."""


def plain(path: Path) -> Path:
    """A copy beside the file in which formulas read cells, not names of cells, and no look hangs on a condition.

    IronCalc looks through all names at every use of one: this is loaded and calculated in a tenth of the time.
    What the names stand for is read from the file; a name that would read as a cell is none.
    """
    target = path.with_suffix(".plain.xlsx")
    with zipfile.ZipFile(path) as package, zipfile.ZipFile(target, "w") as copy:
        where = dict(NAME.findall(package.read("xl/workbook.xml").decode()))
        assert not [*filter(AS_CELL.fullmatch, where)]
        for name in package.namelist():
            data = package.read(name)
            if name.startswith("xl/worksheets/sheet"):
                text = re.sub("<conditionalFormatting.*</conditionalFormatting>", "", data.decode(), flags=re.S)
                data = re.sub("<f>.*?</f>", lambda cell: _read(cell[0], where), text, flags=re.S).encode()
            copy.writestr(name, data)
    return target


def _read(formula: str, where: dict[str, str]) -> str:
    return WORD.sub(lambda word: where.get(word[0], word[0]), formula)


class Iron:
    """A workbook loaded once, to be changed and calculated again as often as asked; `path` names what it holds."""

    def __init__(self, path: Path, loaded: Path | None = None) -> None:
        self.path = path
        self._model = ironcalc.load_from_xlsx(str(loaded or path), "en", "UTC", "en")
        self._sheets = {sheet["name"]: at for at, sheet in enumerate(self._model.get_worksheets_properties())}
        self._model.evaluate()

    def put(self, at: str, value: object) -> None:
        """Type a value, or None for an empty cell, into "Sheet!A1"."""
        place = self._place(at)
        if value is None:
            self._model.clear_cell_contents(*place)
        elif isinstance(value, str):
            self._model.update_cell_with_text(*place, value)
        else:
            self._model.update_cell_with_number(*place, float(value))  # type: ignore[arg-type]

    def calculate(self) -> None:
        """Recalculate every formula."""
        self._model.evaluate()

    def value(self, at: str) -> object:
        """What "Sheet!A1" now shows."""
        return self._model.get_cell_value(*self._place(at))

    def _place(self, at: str) -> tuple[int, int, int]:
        sheet, _, address = at.rpartition("!")
        return (self._sheets[sheet], *coordinate_to_tuple(address))

    def all(self) -> dict[str, object]:
        """What every formula now shows."""
        return {at: self.value(at) for at in kept(self.path)}


def calculated(path: Path) -> openpyxl.Workbook:
    """A workbook written by any library, with what IronCalc finds in place of every formula."""
    found, book = Iron(path), openpyxl.load_workbook(path)
    for sheet in book.worksheets:
        for cell in (cell for row in sheet.iter_rows() for cell in row if cell.data_type == "f"):
            value = found.value(f"{sheet.title}!{cell.coordinate}")
            assert not str(value).startswith("#"), f"{sheet.title}!{cell.coordinate}: {value}"
            cell.value = None if value == "" else value
    return book


def differences(path: Path, nil: float = 1e-9, by_name: bool = False) -> list[str]:
    """Formulas whose kept value is not what IronCalc finds, and cells that show an error.

    `by_name` leaves it to IronCalc to find the cell behind every name.
    """
    found = Iron(path, None if by_name else plain(path)).all()
    return [f"{at} {text}: {value!r} | {found[at]!r}" for at, (text, value) in kept(path).items()
            if not same(value, found[at], nil) or str(found[at]).startswith("#")]  # fmt: skip


def same(one: object, other: object, nil: float = 1e-9) -> bool:
    """Whether two cells agree: numbers to 1e-9, or both within `nil` of each other; texts to the letter.

    A whole number inside a text may differ by 1: programs round a half up or to the even number.
    """
    if isinstance(one, str) and isinstance(other, str) and one != other:
        if WHOLE.sub("0", one) != WHOLE.sub("0", other):
            return False
        pairs = zip(WHOLE.findall(one), WHOLE.findall(other), strict=True)
        return all(abs(int(left) - int(right)) <= 1 for left, right in pairs)
    if isinstance(one, int | float) and isinstance(other, int | float):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=nil)
    return one == other


@cache
def defined(path: Path) -> dict[str, str]:
    """The cell of every workbook name, as "Sheet!A1"."""
    with zipfile.ZipFile(path) as package:
        book = package.read("xl/workbook.xml").decode()
    found = re.findall(r"<definedName name=\"([a-z]\w+)\">'?([^<!]+?)'?!([^<]+)</definedName>", book)
    return {name: f"{html.unescape(sheet)}!{cell.replace('$', '')}" for name, sheet, cell in found}


def is_mark(formula: str) -> bool:
    """Whether a formula says that inputs differ from the run."""
    return "inputs_changed" in formula or "as_run" in formula
