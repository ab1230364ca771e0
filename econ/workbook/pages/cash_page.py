"""Cash by year: on one page to hand over, and every figure and yearly row of it as live formulas."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from xlsxwriter.utility import xl_range, xl_rowcol_to_cell

from econ.model.lines import line
from econ.workbook.desk import CASH, FIRST_YEAR_COLUMN, YEARS, Desk, figure_format
from econ.workbook.live import Printed, defined_name
from econ.workbook.page_plan import Figure, Found, Row, Slot, plans
from econ.workbook.pages.rate_rows import chart_ranges, write_rate

YEAR_WIDTH = 12.5
LOUD = frozenset({"running_cost", "operating_cash", "net_cash", "npv_so_far"})
SHOWN_AS = {"debt_coverage": "n2", "discount_factor": "n3"}
SUMS = frozenset({"operating_cash", "available_for_debt", "net_cash", "debt_coverage"})
AT_ONCE = 11
"""Columns of years on the page to hand over; a longer study ends in the sum of what is left."""


def cash(desk: Desk) -> Found:
    """Figures on top, years below, and the chart of cash by year with its running sum; keys last."""
    rows, plan = desk.year_rows, plans()[CASH]
    years = [Slot(t, "column_right year") for t in range(desk.results.plan.years + 1)]
    key = Slot("Key", "column_beside")
    return {
        "widths": (*plan.widths, *[YEAR_WIDTH] * len(years)),
        "has_keys": True,
        "basis": plan.words["real" if desk.results.plan.is_real else "nominal"],
        "figures": _figures(desk, rows),
        "figures_heads": ("Figure", "Unit", "Value, or\nyear 0", *years[1:], key),
        "by_year": _years(desk, rows),
        "by_year_heads": ("Year", "Unit", *years, key),
        **chart_ranges(desk),
    }


def _figures(desk: Desk, rows: Mapping[str, int]) -> list[Row]:
    """Every figure of money by section; why one is not there stands beside it."""
    results, years = desk.results, desk.results.plan.years
    flows = xl_range(rows["net_cash"], FIRST_YEAR_COLUMN, rows["net_cash"], FIRST_YEAR_COLUMN + years)
    mirr = results.figures["mirr"]
    rate = "money_discount_rate"
    special = {
        "irr": write_rate(desk, desk.pages[CASH], rows["net_cash"], max(rows.values()) + 2),
        "mirr": Printed(
            f'IF(MAX({flows})<=0,"none",IFERROR(MIRR({flows},{rate},{rate}),"none"))',
            "none" if mirr != mirr else mirr,
        ),
    }
    found, section = [], ""
    names = [name for name in results.figures if line(name).page == "money"]
    for name in sorted(names, key=lambda name: line(name).order):
        words, printed = line(name), special.get(name)
        if words.section != section:
            section = words.section
            found.append(Row((section,), "heading"))
        label = Slot(desk.label(words.label), leads=(printed or desk.sheets.lines[name]).formula or "")
        reason = Slot(results.reasons.get(name), span=min(2, years))
        cells = (label, desk.shown(words)[0], Figure(name, printed), reason, *[None] * (years - 2),
                 Slot(name, "beside"))  # fmt: skip
        found.append(Row(cells, "bold" if name == "npv" else "", desk.fold(name)))
    return found


def _years(desk: Desk, rows: Mapping[str, int]) -> list[Row]:
    """Every yearly row by section."""
    found, section = [], ""
    for name in rows:
        words, printed = line(name), desk.sheets.years[name]
        if words.section != section:
            section = words.section
            found.append(Row((section,), "heading"))
        number = figure_format(words, max(abs(value) for value in desk.results.years[name].values()))
        cells: list[Any] = [words.label, desk.shown(words)[0]]
        for t in range(desk.results.plan.years + 1):
            cells.append(Slot(printed[t], number) if t in printed else None)
        options = {"level": 1} if section == "Supporting calculations" else desk.fold(name)
        found.append(Row((*cells, Slot(name, "beside")), "total" if name in LOUD else "", options))
    return found


def cash_flow(desk: Desk) -> Found:
    """The years as a person reads them: what comes in, what goes out, what is left."""
    results, words, last = desk.results, plans()[YEARS].words, desk.results.plan.years
    is_long = last >= AT_ONCE
    years, rest = (
        range(AT_ONCE - 1 if is_long else last + 1),
        range(AT_ONCE - 1, last + 1) if is_long else range(0),
    )
    heads = [words["year"].format(t) for t in years] + [words["years"].format(AT_ONCE - 1, last)] * is_long
    cells = [fact(desk, name, label) for name, label in words["facts"].items() if name in results.figures]
    half = -(-len(cells) // 2)
    return {
        "basis": plans()[CASH].words["real" if results.plan.is_real else "nominal"],
        "facts": [(*one, *other) for one, other in zip(cells[:half], [*cells[half:], (None, None)], strict=False)],
        "yearly": list(yearly(desk, words["yearly"], years, rest)),
        "yearly_heads": (desk.currency, *(Slot(head, "column_right") for head in heads)),
        "rest_says": words["rest"] if is_long else "",
    }


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
