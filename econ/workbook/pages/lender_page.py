"""The lender's page: 24 months of cash, coverage of the debt, sources and uses."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from xlsxwriter.utility import xl_rowcol_to_cell

from econ.model.lines import line
from econ.workbook.desk import CASH, FIRST_YEAR_COLUMN, LENDER, Desk, figure_format, month_columns
from econ.workbook.live import Printed
from econ.workbook.page_plan import Found, Row, Slot, plans


def lender(desk: Desk) -> Found:
    """Months on top, then the figures, coverage by year, what a lender tries, and how often samples miss it."""
    results, words = desk.results, plans()[LENDER].words
    columns, debt = month_columns(results), results.chances.debt
    return {
        "basis": words["real" if results.plan.is_real else "nominal"],
        "months": list(_months(desk, columns)),
        "months_heads": ("Month", *(line(name).label for name in columns)),
        "balance_draw": {"series": [{"value": columns["month_balance"]}]},
        "figures": list(_figures(desk)),
        "coverage": list(_coverage(desk)),
        "tried": [
            (one.label, *(Slot(value, word=words["no_loan"])
                          for value in (one.npv, one.lowest_coverage, one.lowest_balance)))
            for one in results.stress
        ],
        "samples": results.chances.sampling.samples,
        "chances": [
            (label, Slot(getattr(debt, name), "n0" if "p10" in name else "", word=words["no_case"]))
            for name, label in words["tried"].items()
        ],
    }  # fmt: skip


def _months(desk: Desk, columns: dict[str, int]) -> Iterator[tuple[Any, ...]]:
    months, words = desk.sheets.months, plans()[LENDER].words
    numbers = {}
    for name in columns:
        largest = max(abs(value) for value in desk.results.months[name].values())
        number = figure_format(line(name), max(largest, 1000.0))
        numbers[name] = "n0" if name == "month_of_lowest" else number
    for m in range(max(max(found) for found in months.values()) + 1):
        month = words["month_names"][(desk.results.plan.first_month + m - 2) % 12]
        label = f"{m}: {month}" if m else words["start"]
        yield label, *(Slot(months[name][m], numbers[name]) if m in months[name] else None for name in columns)


def _figures(desk: Desk) -> Iterator[Any]:
    """Every single figure of the page by section, and the parts of other views of the NPV."""
    section, words = "", plans()[LENDER].words
    for key in sorted((k for k in desk.sheets.lines if line(k).page == "lender"), key=lambda k: line(k).order):
        found, printed = line(key), desk.sheets.lines[key]
        if found.section != section:
            section = found.section
            yield Row((section,), "heading")
        number = "n0" if found.unit == "month" else figure_format(found, printed.value)
        yield found.label, Slot(printed, number, name=key), desk.shown(found)[0]
    yield Row((words["other"],), "heading")
    for key, label in words["views"].items():
        value = desk.results.figures[key]
        yield label, Slot(Printed(key, value), figure_format(line(key), value)), desk.currency


def _coverage(desk: Desk) -> Iterator[Any]:
    """Coverage of the debt by year, read from the cash page, and the tonnes to be sold for it."""
    years, figures = desk.results.years.get("debt_coverage"), desk.results.figures
    if years is None:
        return
    for t, value in years.items():
        cell = xl_rowcol_to_cell(desk.year_rows["debt_coverage"], FIRST_YEAR_COLUMN + t)
        yield f"Year {t}", Printed(f"'{CASH}'!{cell}", value)
    yield Row(("Lowest", Printed("lowest_coverage", figures["lowest_coverage"])), "bold")
    unit, factor = desk.shown_unit("t/year")
    for found in desk.results.breakeven:
        if found.name == "tonnes_sold_for_coverage":
            label = plans()[LENDER].words["needed"].format(found.label, unit, found.value * factor)
            yield label, found.values[-1] * factor if found.values else None, found.words
