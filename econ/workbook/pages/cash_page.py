"""The cash page: the money figures, then every yearly row as live formulas."""

from __future__ import annotations

import math
from typing import Any

from xlsxwriter.utility import xl_rowcol_to_cell

from econ.model.lines import line
from econ.workbook.desk import CASH, FIGURES_TOP, FIRST_YEAR_COLUMN, Desk, figure_format
from econ.workbook.live import Printed
from econ.workbook.pages.rate_rows import write_rate
from econ.workbook.style import CLAY, INK, LEGEND, MIST, axis, row_height, title

WIDTHS = (52, 13)
YEAR_WIDTH = 12.5
CHART_WORDS = "Columns: net cash of each year. Line: its sum so far, which crosses zero at the payback."
LOUD = frozenset({"running_cost", "operating_cash", "net_cash", "npv_so_far"})


def write_cash(desk: Desk, rows: dict[str, int]) -> None:
    """Figures on top, years below, and the chart of cash by year with its running sum."""
    years = desk.results.plan.years
    widths = (*WIDTHS, *([YEAR_WIDTH] * (years + 1)))
    sheet = desk.sheet(CASH, "Does it pay? Cash by year against current practice", widths)
    basis = "today's money (real)" if desk.results.plan.is_real else "the money of each year (nominal)"
    sheet.write_string(3, 0, f"All amounts in {desk.currency}, in {basis}. Project before finance, no grant, "
                       "no carbon income. Year 0 is today.", desk.styles("plain"))  # fmt: skip
    _figures(desk, sheet, rows, years)
    _years(desk, sheet, rows, years)
    sheet.repeat_rows(FIGURES_TOP - 1)
    sheet.freeze_panes(FIGURES_TOP - 1, FIRST_YEAR_COLUMN)
    chart = cash_chart(desk, rows, years)
    chart.set_size({"width": 755, "height": 400})
    sheet.insert_chart(FIGURES_TOP, 5, chart, {"x_offset": 10, "description": CHART_WORDS})


def _figures(desk: Desk, sheet: Any, rows: dict[str, int], years: int) -> None:
    for column, head in enumerate(("Figure", "Unit", "Value, or\nyear 0")):
        look = ("column", "column_word", "column_right")[column]
        sheet.write_string(FIGURES_TOP - 1, column, head, desk.styles(look))
    for t in range(1, years + 1):
        sheet.write_number(FIGURES_TOP - 1, FIRST_YEAR_COLUMN + t, t, desk.styles("column_right", "year"))
    sheet.set_row(FIGURES_TOP - 1, row_height(("Value, or\nyear 0", YEAR_WIDTH), size=10.5))
    at = FIGURES_TOP
    section = ""
    first, last = FIRST_YEAR_COLUMN, FIRST_YEAR_COLUMN + years
    flows = f"{xl_rowcol_to_cell(rows['net_cash'], first)}:{xl_rowcol_to_cell(rows['net_cash'], last)}"
    rate = "money_discount_rate"
    mirr = desk.results.figures["mirr"]
    special = {
        "irr": write_rate(desk, sheet, rows["net_cash"], max(rows.values()) + 2),
        "mirr": Printed(
            f'IF(MAX({flows})<=0,"none",IFERROR(MIRR({flows},{rate},{rate}),"none"))',
            "none" if math.isnan(mirr) else mirr,
        ),
    }
    names = [name for name in desk.results.figures if line(name).page == "money"]
    for name in sorted(names, key=lambda name: line(name).order):
        found = line(name)
        if found.section != section:
            section = found.section
            for column in range(3):
                sheet.write_string(at, column, section if column == 0 else "", desk.styles("heading"))
            at += 1
        printed = special.get(name) or desk.sheets.lines[name]
        look = "bold" if name == "npv" else "plain"
        desk.lead(
            sheet, at, 0, desk.label(found.label), printed.formula or "", "bold_wrap" if name == "npv" else "label"
        )
        sheet.write_string(at, 1, desk.shown(found)[0], desk.styles("faint"))
        desk.figure(sheet, CASH, at, 2, name, look, special.get(name))
        reason = desk.results.reasons.get(name, "")
        if reason:
            sheet.merge_range(at, 3, at, 4, reason, desk.styles("faint_wrap"))
            sheet.sentences.add((at, 3))
        height = row_height((found.label, WIDTHS[0]), (reason, 1.8 * YEAR_WIDTH))
        sheet.set_row(at, height, None, desk.fold(name))
        at += 1


def _years(desk: Desk, sheet: Any, rows: dict[str, int], years: int) -> None:
    styles = desk.styles
    top = min(rows.values()) - 2
    sheet.write_string(top, 0, "Year", styles("column"))
    sheet.write_string(top, 1, "Unit", styles("column_word"))
    for t in range(years + 1):
        sheet.write_number(top, FIRST_YEAR_COLUMN + t, t, styles("column_right", "year"))
    section = ""
    for name, at in rows.items():
        found = line(name)
        if found.section != section:
            section = found.section
            for column in range(FIRST_YEAR_COLUMN + years + 1):
                sheet.write_string(at - 1, column, section if column == 0 else "", styles("heading"))
        look = "total" if name in LOUD else "plain"
        sheet.write_string(at, 0, found.label, styles(look if name in LOUD else "label"))
        sheet.write_string(at, 1, desk.shown(found)[0], styles("total_faint" if name in LOUD else "faint"))
        height = row_height((found.label, WIDTHS[0]))
        largest = max(abs(value) for value in desk.results.years[name].values())
        number = figure_format(found, largest)
        for t, printed in desk.sheets.years[name].items():
            desk.write(sheet, at, FIRST_YEAR_COLUMN + t, printed, look, number)
        for t in set(range(years + 1)) - desk.sheets.years[name].keys() if name in LOUD else ():
            sheet.write_blank(at, FIRST_YEAR_COLUMN + t, None, styles(look))
        sheet.set_row(at, height, None, {"level": 1} if section == "Supporting calculations" else desk.fold(name))


def cash_chart(desk: Desk, rows: dict[str, int], years: int) -> Any:
    """Columns of net cash by year with the line of their running sum."""
    first, last = FIRST_YEAR_COLUMN, FIRST_YEAR_COLUMN + years
    top = min(rows.values()) - 2
    chart = desk.book.add_chart({"type": "column"})
    chart.add_series(
        {
            "name": "net cash of the year",
            "categories": [CASH, top, first, top, last],
            "values": [CASH, rows["net_cash"], first, rows["net_cash"], last],
            "fill": {"color": MIST},
            "gap": 60,
        }
    )
    line_chart = desk.book.add_chart({"type": "line"})
    row = rows["payback_running_sum"]
    line_chart.add_series(
        {
            "name": "sum so far",
            "categories": [CASH, top, first, top, last],
            "values": [CASH, row, first, row, last],
            "line": {"color": CLAY, "width": 2.25},
            "marker": {"type": "circle", "size": 4, "fill": {"color": CLAY}, "border": {"color": CLAY}},
        }
    )
    chart.combine(line_chart)
    chart.set_title(title("Cash by year"))
    chart.set_x_axis({**axis("year (0 is today)"), "label_position": "low", "line": {"color": INK}})
    chart.set_y_axis(axis(desk.currency, "#,##0", has_grid=True))
    chart.set_legend(LEGEND)
    return chart
