"""What every page of the results shares: the book, styles, printed figures and where they stand."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING, Any

from xlsxwriter.utility import xl_rowcol_to_cell, xl_rowcol_to_cell_fast

from econ.answer.practice import unit_of_line
from econ.answer.results import VERSION, Results, inputs_code
from econ.fields import field, record
from econ.measured.garden_trials import design_of
from econ.model.ledger import Line, line
from econ.units import counted, shown_label, shown_unit
from econ.workbook.live import Printed, Sheets, defined_name, times
from econ.workbook.style import RIGHT, Styles, number_format
from econ.workbook.template import INPUTS_PAGE

if TYPE_CHECKING:
    from econ.workbook.what_if import WhatIf

ANSWER, MATTER, CARBON, CARBON_FIGURES = "Answer", "What comes out", "Carbon", "Carbon figures"
YEARS, CASH, MONTHLY = "Cash flow", "Cash by year", "Cash by month"
FLOW, KILN, MONTHS = "Material flow", "Kiln and hours", "Month by month"
LENDER, PLANS, BREAKEVEN, CHANCES = "For the lender", "Plans", "Break-even", "Risk"
LOG, ASSAY, OPTIONS = "Kiln log", "Lab assay", "Options"
BEFORE_BATCH, SETTLE = "Before the first batch", "To settle"
WORTH, VARIANCE = "Value of information", "Sources of variance"
LABEL, PLANTING, TRIALS, DESIGN = "Label", "Own planting", "Garden trials", "Trial design"
EFFECTS, INPUTS, SOURCES, CHECKS = "Sensitivity", INPUTS_PAGE, "Sources", "Checks"
PRINT_SET = (ANSWER, YEARS, LENDER, MONTHLY, PLANS, CARBON, LABEL, SETTLE, BEFORE_BATCH)
"""The pages to hand over, in order; the others trace their figures."""
TRACING = (
    CASH, MATTER, FLOW, KILN, MONTHS, CARBON_FIGURES, OPTIONS, EFFECTS, CHANCES, BREAKEVEN, INPUTS, SOURCES,
    CHECKS, LOG, ASSAY, TRIALS, DESIGN, PLANTING, WORTH, VARIANCE,
)  # fmt: skip
"""The pages behind them."""

LETTER = frozenset({"USD", "CAD", "MXN"})
"""Currencies of places that print on letter paper."""
FIRST_YEAR_COLUMN = 2
HIDDEN = 40
"""So many columns to the right of a figure stands its value in the model's units, where another is shown."""
MOST_SAID = 80
"""Letters of the plant's name in a footer, which holds 255 in all."""
MOST_NAMED = 6
"""So many inputs set on the command line are named on every page."""
FIGURES_TOP = 6
"""First row of figures on the cash page (counted from 0)."""
MONTHS_TOP = 5
"""Row of month 0 on the page of cash by month; month m stands m rows below, a figure in a column of its own."""


@record
class Desk:
    """One results workbook being written."""

    case: WhatIf
    unread: Mapping[str, str]
    """What each blank row is read as while it is blank, as formula text."""
    read: frozenset[str]
    """Workbook names that formulas read."""
    book: Any
    styles: Styles
    sheets: Sheets
    states: Mapping[str, str]
    """Of every number in the file: live, fixed here, or live without effect."""
    labels: Mapping[str, str]
    in_words: Callable[[str], str]
    year_rows: Mapping[str, int]
    """The row of each yearly figure on the cash page."""
    names: dict[str, str] = field(default_factory=dict)
    pages: dict[str, Any] = field(default_factory=dict)
    places: dict[tuple[str, str], tuple[int, int]] = field(default_factory=dict)
    """First and last row of each table, by page and name of the table."""

    @property
    def results(self) -> Results:
        """The results, with the figures of parts that this plant does not have."""
        return self.case.results

    @cached_property
    def set_by_command(self) -> str:
        """What was set on the command line, as the head of every page says it."""
        return set_by_command(self.results)

    @cached_property
    def currency(self) -> str:
        """The currency code."""
        return self.results.scenario.currency

    @cached_property
    def footer(self) -> str:
        """What every printed page says of itself: version, code of the inputs, date and plant."""
        scenario = self.results.scenario
        plant = scenario.name.replace("&", "&&")[:MOST_SAID]
        return f"kilncase {VERSION}, inputs {inputs_code(scenario)}, &D\n{plant}"

    def page_names(self) -> tuple[str, ...]:
        """The pages of this workbook in order; those of a deep run, data, label and planting if any."""
        found = self.results.measured.readings
        asked = {
            WORTH: self.results.deep, VARIANCE: self.results.deep,
            LOG: found.log, ASSAY: found.assay, TRIALS: found.trials,
            DESIGN: design_of(self.results.scenario, found.trials),
            PLANTING: self.results.plan.planting.grounds or None,
            LABEL: self.results.scenario["label.product"].value,
        }  # fmt: skip
        return tuple(name for name in PRINT_SET + TRACING if asked.get(name, name) is not None)

    def define(self, key: str, sheet: str, row: int, column: int, shown: int | None = None) -> None:
        """Give a cell its workbook name; links lead to the column `shown`, where that is another."""
        name = defined_name(key)
        if name in self.names:
            raise ValueError(f"two cells would be called {name!r}")
        self.names[name] = f"'{sheet}'!{xl_rowcol_to_cell_fast(row, column if shown is None else shown)}"
        address = xl_rowcol_to_cell(row, column, row_abs=True, col_abs=True)
        # as the library's define_name, which looks for faults that `defined_name` has refused
        self.book.defined_names.append([name, -1, f"'{sheet}'!{address}", False])

    def lead(self, sheet: Any, row: int, column: int, text: str, formula: str, look: str) -> None:
        """Write a text that leads to the first input, coefficient or figure that a formula reads, if any."""
        names = re.findall(r"[a-z][a-z0-9_]+", formula)
        target = next((name for name in names if name in self.names and name in self.labels), None)
        if target is None:
            sheet.write_string(row, column, text, self.styles(look))
            return
        where = self.names[target]
        tip = f"to: {self.labels[target]}, {where.replace(chr(39), '')}"
        sheet.write_url(row, column, f"internal:{where}", self.styles(look), text, tip)

    def write(self, sheet: Any, row: int, column: int, printed: Printed, look: str, number: str) -> None:
        """Write a printed cell: a formula with its value, a number, or a word."""
        shape, is_word = self.styles(look, number), isinstance(printed.value, str)
        if printed.formula is None:
            sheet.write_live(row, column, printed.value, self.styles("right") if is_word else shape)
            return
        if is_word:  # it stands where the number would
            shape = self.styles(RIGHT.get(look, look), "n1" if number == "general" else number)
        sheet.write_formula(row, column, f"={printed.formula}", shape, printed.value or 0.0)  # no minus nought

    def figure(
        self, sheet: Any, row: int, column: int, key: str, look: str, printed: Printed | None, number: str
    ) -> None:
        """Write a figure in the workbook's own units and name it.

        Where those are not the model's, the named cell with its formula stands in a hidden column of the row.
        """
        found, printed = line(key), printed or self.sheets.lines[key]
        factor = self.shown(found)[1]
        if factor == 1.0:
            self.write(sheet, row, column, printed, look, number or figure_format(found, printed.value))
            self.define(key, sheet.name, row, column)
            return
        hidden = column + HIDDEN
        sheet.set_column(hidden, hidden, None, None, {"hidden": True})
        self.write(sheet, row, hidden, printed, look, figure_format(found, printed.value))
        self.define(key, sheet.name, row, hidden, column)
        cell = xl_rowcol_to_cell(row, hidden)
        is_word = isinstance(printed.value, str) or '"' in (printed.formula or "")
        formula = f"IF(ISNUMBER({cell}),{cell}*{factor!r},{cell})" if is_word else f"{cell}*{factor!r}"
        value = printed.value if isinstance(printed.value, str) else printed.value * factor
        self.write(sheet, row, column, Printed(formula, value), look, number or figure_format(found, value))

    @property
    def span(self) -> str:
        """The study period: "12 years"."""
        return counted(self.results.plan.years, "years")

    def shown(self, found: Line) -> tuple[str, float]:
        """The unit in which a line is shown, and the factor from the figure to it."""
        return self.shown_unit(unit_of_line(self.results.scenario, found))

    def shown_unit(self, metric: str) -> tuple[str, float]:
        """The unit to show for a metric one, the currency filled in, and the factor to it."""
        return shown_unit(metric.replace("$", self.currency), self.results.scenario.system)

    def amount(self, name: str, metric: str, scale: float = 1.0) -> tuple[str, float, str]:
        """A figure times `scale` as a live formula without its "=", its value, and the unit it is shown in.

        `metric` is the unit that figure × scale has, such as "t/year" of a mass in kg with 0.001.
        """
        shown, factor = self.shown_unit(metric)
        found = self.results.figures[name]
        factor *= scale
        return times(defined_name(name), factor), found * factor, shown

    def label(self, text: str) -> str:
        """A label with its units in the workbook's own."""
        return shown_label(text, self.results.scenario.system)

    def fold(self, *names: str) -> dict[str, Any]:
        """Row options: folded where the figures are those of parts that this plant does not have."""
        return {"level": 1, "hidden": True} if self.case.added.issuperset(names) else {}


def set_by_command(results: Results) -> str:
    """Which inputs were set on the command line, and to what; nothing where none was."""
    entries = [entry for entry in results.scenario.entries.values() if entry.where.startswith("--set ")]
    if not entries:
        return ""
    said = [f"{one.row.label} {one.figure(one.value) if isinstance(one.value, float) else one.value or 'blank'}"
            for one in entries[:MOST_NAMED]]  # fmt: skip
    more = f", and {len(entries) - MOST_NAMED} more" if len(entries) > MOST_NAMED else ""
    return f" (set on the command line: {', '.join(said)}{more})"


def lay_out(results: Results) -> tuple[Callable[[str, int | None], str], dict[str, int]]:
    """Where each yearly row stands on the cash page, and the text that refers to any figure."""
    money = [name for name in results.figures if line(name).page == "money"]
    rows: dict[str, int] = {}
    at = FIGURES_TOP + len({line(name).section for name in money}) + len(money) + 3
    section = ""
    for name in sorted(results.years, key=lambda name: line(name).order):
        if line(name).section != section:
            section = line(name).section
            at += 1
        rows[name] = at
        at += 1

    columns = month_columns(results)

    def place(name: str, t: int | None) -> str:
        if t is None:
            return defined_name(name)
        if name in columns:
            return str(xl_rowcol_to_cell_fast(MONTHS_TOP + t, columns[name]))
        return str(xl_rowcol_to_cell_fast(rows[name], FIRST_YEAR_COLUMN + t))

    return place, rows


def month_columns(results: Results) -> dict[str, int]:
    """The column of each monthly figure on the page of cash by month, what the lowest is found by last."""
    names = sorted(results.months, key=lambda name: ("lowest" in name, line(name).order))
    return {name: column for column, name in enumerate(names, start=2)}


def figure_format(found: Line, value: float | str) -> str:
    """The number format of a figure."""
    if isinstance(value, str):
        return "general"
    if found.unit in {"flag", "factor", "index"}:
        return "n0" if found.unit == "flag" else "n3"
    return number_format(value, found.unit, money=found.unit.startswith("$"))
