"""A plant counted by hand a second time: a workbook of formulas made from the written rules alone.

Nothing of the program's model is used or imitated here. The rows stand in `second_hand_rows.py`, each with
its rule. Years are columns from 0 (today). LibreOffice does the arithmetic.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

import openpyxl
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet
from second_hand_rows import A_YEAR, CASH, PLANT, Given, Value

FIRST_YEAR_COLUMN = 3


def plant(changes: Mapping[str, Value] | None = None) -> dict[str, Given]:
    """The plant with other values for some of its names."""
    found = dict(PLANT)
    for name, value in (changes or {}).items():
        found[name] = Given(found[name].key, value, found[name].unit)
    return found


def write_workbook(path: Path, typed: Mapping[str, Given]) -> None:
    """The second counting of the plant as a workbook of formulas."""
    book = openpyxl.Workbook()
    inputs = book.active
    inputs.title = "Inputs"
    single = _inputs(inputs, typed)
    _a_year(book.create_sheet("A year"), single)
    _loan(book.create_sheet("Loan"), single, int(float(typed["loan_years"].value)) * 12)
    _cash(book.create_sheet("Cash"), single, int(float(typed["years"].value)))
    book.save(path)


def _inputs(sheet: Worksheet, typed: Mapping[str, Given]) -> dict[str, str]:
    single = {}
    for row, (name, item) in enumerate(typed.items(), start=1):
        for column, content in enumerate((name, item.key, item.value, item.unit), start=1):
            sheet.cell(row, column, content)
        single[name] = f"Inputs!$C${row}"
    last = len(typed) + 1
    sheet.cell(last, 1, "carried")
    sheet.cell(last, 2, "1 where losses are carried forward")
    sheet.cell(last, 3, f'=IF({single["losses"]}="carried-forward",1,0)')
    return {**single, "carried": f"Inputs!$C${last}"}


def _a_year(sheet: Worksheet, single: dict[str, str]) -> None:
    """One line each; every line may use the lines above it."""
    for row, (name, label, rule, formula) in enumerate(A_YEAR, start=1):
        for column, content in enumerate((label, rule, _filled(formula, single, {}, {})), start=1):
            sheet.cell(row, column, content)
        single[name] = f"'A year'!$C${row}"


def _loan(sheet: Worksheet, single: dict[str, str], months: int) -> None:
    """Month, its year, what is owed before it, interest, repayment."""
    for column, title in enumerate(("Month", "Year", "Owed before", "Interest", "Repayment"), start=1):
        sheet.cell(1, column, title)
    for month in range(1, months + 1):
        row = month + 1
        owed = "=#loan" if month == 1 else f"=C{row - 1}-E{row - 1}"
        repaid = f"=IF(A{row}<=#loan_grace,0,#payment-D{row})"
        for column, content in enumerate(
            (month, f"=ROUNDUP(A{row}/12,0)", owed, f"=C{row}*#month_rate", repaid), start=1
        ):
            sheet.cell(row, column, _filled(content, single, {}, {}) if isinstance(content, str) else content)
    sheet.cell(months + 2, 1, "Owed at the end")
    sheet.cell(months + 2, 3, f"=C{months + 1}-E{months + 1}")


def _cash(sheet: Worksheet, single: dict[str, str], years: int) -> None:
    """Years as columns; year 0 has its own formula. The two totals stand below."""
    names = ["year", *(line[0] for line in CASH)]
    rows = {name: number for number, name in enumerate(names, start=1)}
    for label_column, title in enumerate(("Year", "Rule"), start=1):
        sheet.cell(1, label_column, title)
    for year in range(years + 1):
        sheet.cell(1, FIRST_YEAR_COLUMN + year, year)
    for name, label, rule, at_first, later in CASH:
        sheet.cell(rows[name], 1, label)
        sheet.cell(rows[name], 2, rule)
        for year in range(years + 1):
            here, before = (get_column_letter(FIRST_YEAR_COLUMN + year - back) for back in (0, 1))
            now = {word: f"{here}${row}" for word, row in rows.items()}
            past = {word: f"{before}${row}" for word, row in rows.items()}
            formula = _filled(later if year else at_first, single, now, past)
            sheet.cell(rows[name], FIRST_YEAR_COLUMN + year, formula)
    ends = [get_column_letter(FIRST_YEAR_COLUMN + year) for year in (0, years)]
    for extra, (label, name) in enumerate((("Project: NPV", "worth"), ("Owner: NPV", "owner_worth")), start=1):
        row = len(rows) + extra
        sheet.cell(row, 1, label)
        sheet.cell(row, FIRST_YEAR_COLUMN, f"=SUM({ends[0]}{rows[name]}:{ends[1]}{rows[name]})")


def _filled(formula: str, single: Mapping[str, str], now: Mapping[str, str], past: Mapping[str, str]) -> str:
    """The formula with cell addresses in place of the marked names."""
    where = {"#": single, "@": now, "@@": past}
    return re.sub(r"(@@|@|#)(\w+)", lambda found: where[found[1]][found[2]], formula)


def row_of(cells: Mapping[str, object], label: str) -> list[float]:
    """The numbers of a row of the recalculated sheet "Cash", found by what it is called."""
    place = next(key for key, content in cells.items() if key.startswith("Cash!A") and content == label)
    number = place.removeprefix("Cash!A")
    found: list[float] = []
    while True:
        content = cells.get(f"Cash!{get_column_letter(FIRST_YEAR_COLUMN + len(found))}{number}")
        if content is None:
            return found
        assert isinstance(content, int | float), f"{label}, year {len(found)}: {content!r}"
        found.append(float(content))
