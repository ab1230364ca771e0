"""What a lender reads: sources and uses, security, cash and coverage by year, trials; cash by month."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import zip_longest
from typing import Any

from econ.answer.quoted import how_known, value_words
from econ.model.lines import line
from econ.workbook.desk import LENDER, MONTHLY, Desk, figure_format, month_columns
from econ.workbook.page_plan import Found, Row, Slot, plans
from econ.workbook.pages.cash_rows import fact, yearly

FEWEST, MOST = 5, 8
"""Years of the table by year: those of the loan, within these."""
LABEL, ROOM = 42.0, 76.0
"""Widths of the labels, and of all figures beside them."""


def by_month(desk: Desk) -> Found:
    """The first 24 months; below them the single figures that are read off them."""
    results, columns = desk.results, month_columns(desk.results)
    shown = len([name for name in columns if "lowest" not in name])
    return {
        "basis": plans()[LENDER].words["real" if results.plan.is_real else "nominal"],
        "widths": (6, 11, *[70 / shown] * len(columns)),
        "balance_says": plans()[LENDER]
        .words["lowest"]
        .format(results.figures["lowest_balance"], desk.currency, results.figures["lowest_balance_month"]),
        "balance_draw": {"series": [{"value": columns["month_balance"]}]},
        "across": 2 + shown,
        "months": list(_months(desk, columns)),
        "months_heads": ("Month", "", *(line(name).label for name in columns)),
        "has_keys": True,
        "figures": list(_figures(desk, len(columns))),
        "figures_heads": (*plans()[MONTHLY].words["heads"], *[Slot(None, "plain")] * (len(columns) - 4),
                          Slot("Key", "column_beside")),
    }  # fmt: skip


def _months(desk: Desk, columns: dict[str, int]) -> Iterator[tuple[Any, ...]]:
    months, words = desk.sheets.months, plans()[LENDER].words
    numbers = {}
    for name in columns:
        largest = max(abs(value) for value in desk.results.months[name].values())
        numbers[name] = "n0" if "month_of" in name else figure_format(line(name), max(largest, 1000.0))
    for m in range(max(max(found) for found in months.values()) + 1):
        month = words["month_names"][(desk.results.plan.first_month + m - 2) % 12]
        yield (
            Slot(m, "left year"),
            month if m else words["start"],
            *(Slot(months[name][m], numbers[name]) if m in months[name] else None for name in columns),
        )


def _figures(desk: Desk, columns: int) -> Iterator[Any]:
    """Every single figure of cash by month, by section, with its key in the last column."""
    section = ""
    for key in sorted((k for k in desk.sheets.lines if line(k).page == "lender"), key=lambda k: line(k).order):
        found, printed = line(key), desk.sheets.lines[key]
        if found.section != section:
            section = found.section
            yield Row((section,), "heading")
        number = "n0" if found.unit == "month" else figure_format(found, printed.value)
        cells = (found.label, Slot(printed, number, name=key), desk.shown(found)[0])
        yield *cells, *[None] * (columns - 4), Slot(key, "beside")


def lender(desk: Desk) -> Found:
    """One page of cash, security and coverage; one of trials and of what it rests on."""
    results, words = desk.results, plans()[LENDER].words
    count = min(max(FEWEST, results.plan.loan_years), MOST, results.plan.years)
    return {
        "basis": words["real" if results.plan.is_real else "nominal"],
        "widths": (LABEL, *[ROOM / count] * count),
        "facts": list(_facts(desk, count)),
        "coverage_says": " ".join(_lowest_says(desk)),
        "yearly": list(yearly(desk, words["yearly"], range(1, count + 1))),
        "yearly_heads": (desk.currency, *(Slot(f"Year {t}", "column_right") for t in range(1, count + 1))),
        "tried": [
            (one.label, *(Slot(value, word=words["no_loan"])
                          for value in (one.npv, one.lowest_coverage, one.lowest_balance)))
            for one in results.stress
        ],
        "samples": results.chances.sampling.samples,
        "chances": [
            (label, _chance(desk, name)) for name, label in words["tried"].items() if not _counted(desk, name)
        ],
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
    right = [_fact(desk, name, label) for name, label in words["tests"].items() if not _counted(desk, name)]
    for one, other in zip_longest(left, right, fillvalue=(None, None)):
        yield Row((*one, Slot(other[0], span=count - 2), other[1]))


def _counted(desk: Desk, name: str) -> bool:
    """Whether a case with the grant is the plain one: the grant is awarded, and counted throughout."""
    return "award" in name and desk.results.plan.has_grant and desk.results.plan.grant_awarded


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
    turns = [one for one in desk.results.breakeven if one.name == name]
    if name.startswith("tonnes"):
        unit, factor = desk.shown_unit("t/year")
        values = [value for one in turns for value in one.values]
        return f"{label} [{unit}]", Slot(values[-1] * factor if values else words["none"], "plain")
    return label, Slot(words["no_loan" if "coverage" in name else "no_grant"], "right")


def _chance(desk: Desk, name: str) -> Slot:
    value = getattr(desk.results.chances.debt, name)
    return Slot(value, "plain n0" if "p10" in name else "plain pct0", word=plans()[LENDER].words["no_case"])


def _assumed(desk: Desk, count: int) -> Iterator[Row]:
    """The inputs that the cash rests on, as typed, and how each is known."""
    entries: Mapping[str, Any] = desk.results.scenario.entries
    for key in plans()[LENDER].words["assumed"]:
        entry = entries.get(key)
        if entry is not None and entry.value is not None:
            known = Slot(how_known(entry, with_source=True), span=count - 2)
            yield Row((entry.row.label, Slot(value_words(entry), span=2), known))
