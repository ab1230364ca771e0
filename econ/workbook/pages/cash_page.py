"""Cash by year: on one page to hand over, and every figure and yearly row of it as live formulas."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from xlsxwriter.utility import xl_range

from econ.model.lines import line
from econ.workbook.desk import CASH, FIRST_YEAR_COLUMN, YEARS, Desk, figure_format
from econ.workbook.live import Printed
from econ.workbook.page_plan import Figure, Found, Row, Slot, plans
from econ.workbook.pages.cash_rows import chart_ranges, fact, write_rate, yearly

YEAR_WIDTH = 12.5
LOUD = frozenset({"running_cost", "operating_cash", "net_cash", "npv_so_far"})
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
