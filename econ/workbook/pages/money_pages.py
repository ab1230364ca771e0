"""Cash by year and by month, every figure of it as live formulas, and what a lender reads."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from itertools import zip_longest
from typing import Any

from xlsxwriter.utility import xl_range

from econ.answer.results import how_known, value_words
from econ.model.ledger import Line, line
from econ.workbook.desk import CASH, FIRST_YEAR_COLUMN, LENDER, MONTHLY, YEARS, Desk, figure_format, month_columns
from econ.workbook.live import Printed
from econ.workbook.page_plan import Figure, Found, Row, Slot, paired, plans, sectioned
from econ.workbook.pages.cash_rows import chart_ranges, fact, write_rate, yearly

YEAR_WIDTH, ALL_YEARS = 12.5, 75.0
"""Widths: of a year at least, and of all together, so that reasons beside the figures of a short study fit."""
LOUD = frozenset({"running_cost", "operating_cash", "net_cash", "npv_so_far"})
LEAST_LETTERS = 8
"""Letters that a column of cash by month has room for at least."""
AT_ONCE = 11
"""Columns of years on the page to hand over; a longer study ends in the sum of what is left."""


def cash(desk: Desk) -> Found:
    """Figures on top, years below, and the chart of cash by year with its running sum; keys last."""
    rows, plan = desk.year_rows, plans()[CASH]
    years = [Slot(t, "column_right year") for t in range(desk.results.plan.years + 1)]
    key = Slot("Key", "column_beside")
    return {
        "widths": (*plan.widths, *[max(YEAR_WIDTH, ALL_YEARS / len(years))] * len(years)),
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
    results, years, mirr = desk.results, desk.results.plan.years, desk.results.figures["mirr"]
    flows = xl_range(rows["net_cash"], FIRST_YEAR_COLUMN, rows["net_cash"], FIRST_YEAR_COLUMN + years)
    found = f'IFERROR(MIRR({flows},money_discount_rate,money_discount_rate),"none")'
    special = {
        "irr": write_rate(desk, desk.pages[CASH], rows["net_cash"], max(rows.values()) + 2),
        "mirr": Printed(f'IF(MAX({flows})<=0,"none",{found})', "none" if mirr != mirr else mirr),
    }

    def row(name: str, words: Line) -> Row:
        printed = special.get(name)
        label = Slot(desk.label(words.label), leads=(printed or desk.sheets.lines[name]).formula or "")
        reason = Slot(results.reasons.get(name), span=min(2, years))
        cells = (label, desk.shown(words)[0], Figure(name, printed), reason, *[None] * (years - 2),
                 Slot(name, "beside"))  # fmt: skip
        return Row(cells, "bold" if name == "npv" else "", desk.fold(name))

    return list(sectioned([name for name in results.figures if line(name).page == "money"], row))


def _years(desk: Desk, rows: Mapping[str, int]) -> list[Row]:
    """Every yearly row by section."""

    def row(name: str, words: Line) -> Row:
        printed = desk.sheets.years[name]
        number = figure_format(words, max(abs(value) for value in desk.results.years[name].values()))
        cells = (Slot(printed[t], number) if t in printed else None for t in range(desk.results.plan.years + 1))
        options = {"level": 1} if words.section == "Supporting calculations" else desk.fold(name)
        shown = (words.label, desk.shown(words)[0], *cells, Slot(name, "beside"))
        return Row(shown, "total" if name in LOUD else "", options)

    return list(sectioned(rows, row))


def cash_flow(desk: Desk) -> Found:
    """The years as a person reads them: what comes in, what goes out, what is left."""
    results, words, last = desk.results, plans()[YEARS].words, desk.results.plan.years
    is_long = last >= AT_ONCE
    years = range(AT_ONCE - 1 if is_long else last + 1)
    rest = range(years.stop, last + 1)
    heads = [words["year"].format(t) for t in years] + [words["years"].format(AT_ONCE - 1, last)] * is_long
    return {
        "basis": plans()[CASH].words["real" if results.plan.is_real else "nominal"],
        "facts": paired([fact(desk, *one) for one in words["facts"].items() if one[0] in results.figures]),
        "yearly": list(yearly(desk, words["yearly"], years, rest)),
        "yearly_heads": (desk.currency, *(Slot(head, "column_right") for head in heads)),
        "rest_says": words["rest"] if is_long else "",
    }


FEWEST, MOST = 5, 8
"""Columns of the table by year: those of the loan, within these; a shorter study leaves some empty."""
LABEL, ROOM = 42.0, 76.0
"""Widths of the labels, and of all figures beside them."""


def by_month(desk: Desk) -> Found:
    """The first 24 months; below them the single figures that are read off them."""
    results, columns, words = desk.results, month_columns(desk.results), plans()[LENDER].words
    keys = [key for key in desk.sheets.lines if line(key).page == "lender"]
    shown = len([name for name in columns if "lowest" not in name])
    longest = [
        max(LEAST_LETTERS, *map(len, line(name).label.split())) for name in columns
    ]  # no head breaks a word
    letter = (75 - shown) / math.fsum(longest[:shown])
    return {
        "basis": words["real" if results.plan.is_real else "nominal"],
        "widths": (6, 12.5, *(letter * count for count in longest)),
        "balance_says": words["lowest"].format(
            results.figures["lowest_balance"], desk.currency, results.figures["lowest_balance_month"]),
        "balance_draw": {"series": [{"value": columns["month_balance"]}]},
        "across": 2 + shown,
        "months": list(_months(desk, columns)),
        "months_heads": ("Month", "", *(line(name).label for name in columns)),
        "has_keys": True,
        "figures": list(sectioned(keys, lambda key, _: _figure(desk, len(columns), key))),
        "figures_heads": (*plans()[MONTHLY].words["heads"], *[Slot(None, "plain")] * (len(columns) - 4),
                          Slot("Key", "column_beside")),
    }  # fmt: skip


def _months(desk: Desk, columns: dict[str, int]) -> Iterator[tuple[Any, ...]]:
    months, words, values = desk.sheets.months, plans()[LENDER].words, desk.results.months
    sizes = {name: max(1000.0, *map(abs, values[name].values())) for name in columns}
    numbers = {name: "n0" if "month_of" in name else figure_format(line(name), sizes[name]) for name in columns}
    for m in range(max(max(found) for found in months.values()) + 1):
        month = words["month_names"][(desk.results.plan.first_month + m - 2) % 12] if m else words["start"]
        cells = (Slot(months[name][m], numbers[name]) if m in months[name] else None for name in columns)
        yield Slot(m, "left year"), month, *cells


def _figure(desk: Desk, columns: int, key: str) -> tuple[Any, ...]:
    """A single figure of cash by month, with its key in the last column."""
    found, printed = line(key), desk.sheets.lines[key]
    number = "n0" if found.unit == "month" else figure_format(found, printed.value)
    cells = (found.label, Slot(printed, number, name=key), desk.shown(found)[0])
    return *cells, *[None] * (columns - 4), Slot(key, "beside")


def lender(desk: Desk) -> Found:
    """One page of cash, security and coverage; one of trials and of what it rests on."""
    results, words = desk.results, plans()[LENDER].words
    count = min(max(FEWEST, results.plan.loan_years), MOST)
    years = range(1, min(count, results.plan.years) + 1)
    return {
        "basis": words["real" if results.plan.is_real else "nominal"],
        "widths": (LABEL, *[ROOM / count] * count),
        "facts": list(_facts(desk, count)),
        "coverage_says": " ".join(_lowest_says(desk)),
        "yearly": list(yearly(desk, words["yearly"], years)),
        "yearly_heads": (desk.currency, *(Slot(f"Year {t}", "column_right") for t in years)),
        "tried": [
            (one.label, *(Slot(value, word=words["no_loan"])
                          for value in (one.npv, one.lowest_coverage, one.lowest_balance)))
            for one in results.stress
        ],
        "chances": [(label, _chance(desk, name)) for name, label in _uncounted(desk, words["tried"])],
        "assumed": list(_assumed(desk, count)),
        "assumed_heads": (
            "Assumption", Slot("Value", "column_right", span=2),
            Slot("How it is known, and from where", "column", span=count - 2),
        ),
    }  # fmt: skip


def _facts(desk: Desk, count: int) -> Iterator[Row]:
    """Sources, uses and security on the left; what a lender tests on the right."""
    words = plans()[LENDER].words
    sources = words["sources"] | ({} if desk.results.scenario.has("money.salvage_share") else words["untyped"])
    left = [_fact(desk, name, label) for name, label in sources.items() if name in desk.results.figures]
    right = [_fact(desk, name, label) for name, label in _uncounted(desk, words["tests"])]
    for one, other in zip_longest(left, right, fillvalue=(None, None)):
        yield Row((*one, Slot(other[0], span=count - 2), other[1]))


def _uncounted(desk: Desk, labels: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Without cases that are the plain one, since the grant is awarded and counted throughout."""
    is_counted = desk.results.plan.has_grant and desk.results.plan.grant_awarded
    return ((name, label) for name, label in labels.items() if not (is_counted and "award" in name))


def _lowest_says(desk: Desk) -> Iterator[str]:
    """That resale is not typed; what one single year has to bear, where the lowest coverage is of that year."""
    years, plan, words = desk.results.years, desk.results.plan, plans()[LENDER].words["once"]
    if not desk.results.scenario.has("money.salvage_share"):
        yield words["untyped"]
    coverage = years.get("debt_coverage", {})
    if not coverage:
        return
    worst = min(coverage, key=lambda year: coverage[year])
    if plan.loan_term > plan.loan_years == worst:
        others = [ratio for year, ratio in coverage.items() if year != worst]
        yield words["repaid"].format(plan.loan_term, worst)
        if others:
            yield words["others"].format(min(others))
    if any(years.get(name, {}).get(worst) for name in ("bought", "renewal", "parts_paid")):
        yield words["replaced"].format(worst)


def _fact(desk: Desk, name: str, label: str) -> tuple[str, Any]:
    """A label with its unit, and its figure as a live formula, or as a value of the run where it is one."""
    words = plans()[LENDER].words
    if name in desk.results.figures:
        return fact(desk, name, label)
    if name.startswith("coverage"):
        return label, _chance(desk, name)
    if name.startswith("tonnes"):
        unit, factor = desk.shown_unit("t/year")
        values = [value for one in desk.results.breakeven if one.name == name for value in one.values]
        return f"{label} [{unit}]", Slot(values[-1] * factor if values else words["none"], "plain")
    return label, Slot(words["no_loan" if "coverage" in name else "no_grant"], "right")


def _chance(desk: Desk, name: str) -> Slot:
    value = getattr(desk.results.chances.debt, name)
    return Slot(value, "plain n0" if "p10" in name else "plain chance", word=plans()[LENDER].words["no_case"])


def _assumed(desk: Desk, count: int) -> Iterator[Row]:
    """The inputs that the cash rests on, as typed, and how each is known."""
    for key in plans()[LENDER].words["assumed"]:
        if (entry := desk.results.scenario.entries.get(key)) and entry.value is not None:
            known = Slot(how_known(entry, with_source=True), span=count - 2)
            yield Row((entry.row.label, Slot(value_words(entry), span=2), known))
