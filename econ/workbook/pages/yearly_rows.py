"""Figures and yearly rows of money as pages to hand over show them, live."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from xlsxwriter.utility import xl_rowcol_to_cell

from econ.model.lines import line
from econ.workbook.desk import CASH, FIRST_YEAR_COLUMN, Desk, figure_format
from econ.workbook.live import Printed, defined_name
from econ.workbook.page_plan import Found, Row, Slot, plans

SHOWN_AS = {"debt_coverage": "n2", "discount_factor": "n3"}
SUMS = frozenset({"operating_cash", "available_for_debt", "net_cash", "debt_coverage"})


def fact(desk: Desk, name: str, label: str) -> tuple[str, Slot]:
    """A figure as a live formula, and its label with the unit; a label that ends in "[$/t]" is per that unit."""
    label, _, metric = label.removesuffix("]").partition(" [")
    if metric:
        formula, value, unit = desk.amount(name, metric, 1000.0)
        return f"{label} [{unit}]", Slot(Printed(formula[1:], value), "money0")
    value, unit = desk.results.figures[name], desk.shown(line(name))[0]
    number = "n0" if line(name).unit == "month" else figure_format(line(name), value)
    named = label if unit in {"share", "%", "month", "index", ""} else f"{label} [{unit}]"
    word = "never" if "payback" in name else "none"
    return named, Slot(Printed(defined_name(name), word if value != value else value), number)


def yearly(desk: Desk, labels: Mapping[str, str], years: Sequence[int], rest: Sequence[int] = ()) -> Iterator[Row]:
    """Yearly rows as live formulas over the page of all rows; one that is zero in every year is left out.

    A label may stand for the first there is of several rows, as "financed_income_tax|owner_income_tax". The years
    of `rest` stand in one column: their sum, or of a running sum its last.
    """
    for names, label in labels.items():
        name = next((name for name in names.split("|") if name in desk.results.years), "")
        row = desk.results.years.get(name, {})
        if any(row.values()):
            look = SHOWN_AS.get(name, "n0")
            cells = [Slot(Printed(_cell(desk, name, t), row[t]), look) if t in row else None for t in years]
            there = [t for t in rest if t in row]
            if there and name.endswith("so_far"):
                cells.append(Slot(Printed(_cell(desk, name, there[-1]), row[there[-1]]), look))
            elif there:
                area = f"{_cell(desk, name, there[0])}:{_cell(desk, name, there[-1]).partition('!')[2]}"
                cells.append(Slot(Printed(f"SUM({area})", math.fsum(row[t] for t in there)), look))
            yield Row((label, *cells), "total" if name in SUMS else "")


def _cell(desk: Desk, name: str, year: int) -> str:
    """Where a yearly figure stands."""
    return f"'{CASH}'!{xl_rowcol_to_cell(desk.year_rows[name], FIRST_YEAR_COLUMN + year)}"


def chart_ranges(desk: Desk) -> Found:
    """What the chart of cash by year says, and where it finds the years, the net cash and its running sum."""
    at, payback, years = desk.year_rows, desk.results.figures["payback_years"], desk.results.plan.years
    says = plans()[CASH].words["never" if payback != payback else "paid"].format(payback, years)
    rows = {"cash_years": min(at.values()) - 2, "cash_net": at["net_cash"], "cash_sum": at["payback_running_sum"]}
    first, last = FIRST_YEAR_COLUMN, FIRST_YEAR_COLUMN + years
    return {"cash_says": says} | {name: [CASH, row, first, row, last] for name, row in rows.items()}
