"""The lender's page: 24 months of cash, coverage of the debt, sources and uses."""

from __future__ import annotations

import math
from typing import Any

from xlsxwriter.utility import xl_rowcol_to_cell

from econ.model.lines import line
from econ.workbook.desk import CASH, FIRST_YEAR_COLUMN, LENDER, MONTHS_TOP, Desk, figure_format, month_columns
from econ.workbook.style import CLAY, INK, NO_LEGEND, axis, row_height, title

WIDTHS = (52, *[16] * 9)


def write_lender(desk: Desk, rows: dict[str, int]) -> None:
    """Months on top, then the figures, then coverage by year, all live."""
    sheet = desk.sheet(LENDER, "Is there enough cash, and can the loan be repaid?", WIDTHS, landscape=False)
    sheet.fit_to_pages(1, 1)
    basis = "today's money" if desk.results.plan.is_real else "the money of each year"
    text = (
        f"The owner after finance, in {desk.currency} and {basis}. Sales follow the season; tax and "
        "renewals fall in the last month of a year. A grant counts once it is awarded; until then the balance "
        "with it stands beside."
    )
    sheet.merge_range(3, 0, 3, len(WIDTHS) - 1, text, desk.styles("wrap"))
    sheet.set_row(3, row_height((text, sum(WIDTHS))))
    at = _months(desk, sheet) + 2
    at = _figures(desk, sheet, at) + 1
    at = _coverage(desk, sheet, at, rows) + 1
    at = _tried(desk, sheet, at) + 1
    chart = _chart(desk)
    chart.set_size({"width": 1340, "height": 330})
    sheet.insert_chart(at, 0, chart, {"x_offset": 4, "description": "Line: cash balance at the end of each month"})
    sheet.print_area(0, 0, at + 17, len(WIDTHS) - 1)
    sheet.freeze_panes(MONTHS_TOP, 1)


def _months(desk: Desk, sheet: Any) -> int:
    columns = month_columns(desk.results)
    sheet.write_string(MONTHS_TOP - 1, 0, "Month", desk.styles("column"))
    heads = [(line(name).label, WIDTHS[1]) for name in columns]
    sheet.set_row(MONTHS_TOP - 1, row_height(*heads, size=10.5))
    last = 0
    for name, column in columns.items():
        sheet.write_string(MONTHS_TOP - 1, column, line(name).label, desk.styles("column_right"))
        largest = max(abs(value) for value in desk.results.months[name].values())
        number = "n0" if name == "month_of_lowest" else figure_format(line(name), max(largest, 1000.0))
        for m, printed in desk.sheets.months[name].items():
            desk.write(sheet, MONTHS_TOP + m, column, printed, "plain", number)
            last = max(last, m)
    for m in range(last + 1):
        sheet.write_string(MONTHS_TOP + m, 0, _month_name(desk, m), desk.styles("label"))
    return MONTHS_TOP + last


def _month_name(desk: Desk, m: int) -> str:
    if m == 0:
        return "start"
    names = (
        "January", "February", "March", "April", "May", "June",
        "July", "August", "September", "October", "November", "December",
    )  # fmt: skip
    return f"{m}: {names[(desk.results.plan.first_month + m - 2) % 12]}"


def _figures(desk: Desk, sheet: Any, at: int) -> int:
    """Every single figure of the page, by section."""
    section = ""
    for key in sorted((k for k in desk.sheets.lines if line(k).page == "lender"), key=lambda k: line(k).order):
        found, printed = line(key), desk.sheets.lines[key]
        if found.section != section:
            section = found.section
            at = _heading(desk, sheet, at, section)
        sheet.write_string(at, 0, found.label, desk.styles("label"))
        sheet.set_row(at, row_height((found.label, WIDTHS[0])))
        number = "n0" if found.unit == "month" else figure_format(found, printed.value)
        desk.write(sheet, at, 1, printed, "plain", number)
        sheet.write_string(at, 2, desk.shown(found)[0], desk.styles("faint"))
        desk.define(key, LENDER, at, 1)
        at += 1
    extra = [
        ("Grant, paid after the bills", "grant_today"),
        ("What the kiln itself fetches at the end, in today's prices", "salvage_today"),
    ]
    at = _heading(desk, sheet, at, "Other NPV views")
    for label, key in extra:
        sheet.write_string(at, 0, label, desk.styles("label"))
        look = desk.styles("plain", figure_format(line(key), desk.results.figures[key]))
        sheet.write_formula(at, 1, f"={key}", look, desk.results.figures[key])
        sheet.write_string(at, 2, desk.currency, desk.styles("faint"))
        at += 1
    return at


def _heading(desk: Desk, sheet: Any, at: int, text: str) -> int:
    for column in range(len(WIDTHS)):
        sheet.write_string(at, column, text if column == 0 else "", desk.styles("heading"))
    return at + 1


def _coverage(desk: Desk, sheet: Any, at: int, rows: dict[str, int]) -> int:
    """Coverage of the debt by year, read from the cash page."""
    at = _heading(desk, sheet, at, "Debt service coverage")
    years = desk.results.years.get("debt_coverage")
    if years is None:
        sheet.write_string(at, 0, "No loan was typed: there is no debt to cover.", desk.styles("plain"))
        return at + 1
    for t, value in years.items():
        cell = xl_rowcol_to_cell(rows["debt_coverage"], FIRST_YEAR_COLUMN + t)
        sheet.write_string(at, 0, f"Year {t}", desk.styles("label"))
        sheet.write_formula(at, 1, f"='{CASH}'!{cell}", desk.styles("plain", "n2"), value)
        at += 1
    sheet.write_string(at, 0, "Lowest", desk.styles("bold"))
    lowest = desk.results.figures["lowest_coverage"]
    sheet.write_formula(at, 1, "=lowest_coverage", desk.styles("bold", "n2"), lowest)
    needed = [found for found in desk.results.breakeven if found.name == "tonnes_sold_for_coverage"]
    for found in needed:
        at += 1
        unit, factor = desk.shown_unit("t/year")
        words = f"{found.label} [{unit}] (a value; the whole plan sells {found.value * factor:,.2f})"
        sheet.write_string(at, 0, words, desk.styles("label"))
        sheet.set_row(at, row_height((words, WIDTHS[0])))
        if found.values:
            sheet.write_number(at, 1, found.values[-1] * factor, desk.styles("plain", "n2"))
        sheet.write_string(at, 2, found.words, desk.styles("faint"))
    return at + 1


def _tried(desk: Desk, sheet: Any, at: int) -> int:
    """What a lender tries, and how often the samples miss what is asked; values, not formulas."""
    at = _heading(desk, sheet, at, "What a lender tries (values)")
    heads = ("Trial", f"NPV [{desk.currency}]", "Lowest coverage (DSCR)", f"Lowest balance [{desk.currency}]")
    for column, head in enumerate(heads):
        sheet.write_string(at, column, head, desk.styles("column_right" if column else "column"))
    sheet.set_row(at, row_height(*((head, WIDTHS[1]) for head in heads[1:]), size=10.5))
    for one in desk.results.stress:
        at += 1
        sheet.write_string(at, 0, one.label, desk.styles("label"))
        for column, (value, number) in enumerate(
            ((one.npv, "n0"), (one.lowest_coverage, "n2"), (one.lowest_balance, "n0")), start=1
        ):
            _value(desk, sheet, at, column, value, number, "no loan")
    debt = desk.results.chances.debt
    samples = desk.results.chances.sampling.samples
    at = _heading(desk, sheet, at + 1, f"Probabilities, {samples:,} simulation runs (values)")
    for label, value, number in (
        ("Coverage (DSCR) below 1.25 in some year", debt.coverage_below_asked, "pct0"),
        ("Coverage (DSCR) below 1 in some year", debt.coverage_below_one, "pct0"),
        ("Balance below zero in some month", debt.balance_below_zero, "pct0"),
        ("Balance below zero, the grant requested counted", debt.balance_below_zero_with_award, "pct0"),
        ("P10 of the lowest balance", debt.lowest_balance_p10, "n0"),
    ):
        sheet.write_string(at, 0, label, desk.styles("label"))
        _value(desk, sheet, at, 1, value, number, "no such case")
        at += 1
    return at


def _value(desk: Desk, sheet: Any, at: int, column: int, value: float, number: str, word: str) -> None:
    if math.isnan(value):
        sheet.write_string(at, column, word, desk.styles("right"))
    else:
        sheet.write_number(at, column, value, desk.styles("plain", number))


def _chart(desk: Desk) -> Any:
    column = month_columns(desk.results)["month_balance"]
    last = MONTHS_TOP + max(desk.results.months["month_balance"])
    chart = desk.book.add_chart({"type": "line"})
    chart.add_series(
        {
            "name": "cash balance",
            "categories": [LENDER, MONTHS_TOP, 0, last, 0],
            "values": [LENDER, MONTHS_TOP, column, last, column],
            "line": {"color": CLAY, "width": 2.25},
        }
    )
    chart.set_title(title("Monthly cash balance"))
    months = axis("months from the start")
    chart.set_x_axis({**months, "label_position": "low", "interval_unit": 3, "line": {"color": INK}})
    chart.set_y_axis(axis(f"cash balance [{desk.currency}]", "#,##0", has_grid=True))
    chart.set_legend(NO_LEGEND)
    return chart
