"""Cash by year: on one page to hand over, and every figure and yearly row of it as live formulas."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from xlsxwriter.utility import xl_range

from econ.model.lines import line
from econ.workbook.desk import CASH, FIRST_YEAR_COLUMN, YEARS, Desk, figure_format
from econ.workbook.live import Printed
from econ.workbook.page_plan import Figure, Found, Row, Slot, plans
from econ.workbook.pages.rate_rows import write_rate
from econ.workbook.pages.yearly_rows import chart_ranges, fact, yearly

YEAR_WIDTH = 12.5
LOUD = frozenset({"running_cost", "operating_cash", "net_cash", "npv_so_far"})


def cash(desk: Desk) -> Found:
    """Figures on top, years below, and the chart of cash by year with its running sum."""
    rows = desk.year_rows
    plan, years = plans()[CASH], [Slot(t, "column_right year") for t in range(desk.results.plan.years + 1)]
    return {
        "widths": (*plan.widths, *[YEAR_WIDTH] * len(years)),
        "basis": plan.words["real" if desk.results.plan.is_real else "nominal"],
        "figures": _figures(desk, rows),
        "figures_heads": ("Figure", "Unit", "Value, or\nyear 0", *years[1:]),
        "by_year": _years(desk, rows),
        "by_year_heads": ("Year", "Unit", *years),
        **chart_ranges(desk),
    }


def _figures(desk: Desk, rows: Mapping[str, int]) -> list[Row]:
    """Every figure of money by section; why one is not there stands beside it."""
    results = desk.results
    flows = xl_range(rows["net_cash"], FIRST_YEAR_COLUMN, rows["net_cash"], FIRST_YEAR_COLUMN + results.plan.years)
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
        reason = results.reasons.get(name)
        label = Slot(desk.label(words.label), leads=(printed or desk.sheets.lines[name]).formula or "")
        cells = (label, desk.shown(words)[0], Figure(name, printed), reason and Slot(reason, span=2))
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
        found.append(Row(cells, "total" if name in LOUD else "", options))
    return found


AT_ONCE = 11
"""Columns of years on the page to hand over; a longer study ends in the sum of what is left."""


def cash_flow(desk: Desk) -> Found:
    """The years as a person reads them: what comes in, what goes out, what is left."""
    results, words = desk.results, plans()[YEARS].words
    last = results.plan.years
    is_long = last >= AT_ONCE
    years, rest = (
        range(AT_ONCE - 1 if is_long else last + 1),
        range(AT_ONCE - 1, last + 1) if is_long else range(0),
    )
    heads = [words["year"].format(t) for t in years]
    heads += [words["years"].format(AT_ONCE - 1, last)] * is_long
    return {
        "basis": plans()[CASH].words["real" if results.plan.is_real else "nominal"],
        "facts": list(_money(desk, words["facts"])),
        "yearly": list(yearly(desk, words["yearly"], years, rest)),
        "yearly_heads": (desk.currency, *(Slot(head, "column_right") for head in heads)),
        "rest_says": words["rest"] if is_long else "",
    }


def _money(desk: Desk, labels: Mapping[str, str]) -> Iterator[tuple[Any, ...]]:
    """The figures of money, two beside each other, each with its unit."""
    cells = [fact(desk, name, label) for name, label in labels.items() if name in desk.results.figures]
    half = -(-len(cells) // 2)
    for one, other in zip(cells[:half], [*cells[half:], (None, None)], strict=False):
        yield (*one, *other)
