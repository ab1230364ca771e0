"""Writes scenario workbooks, blank or filled, from the one schema."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Mapping
from typing import Any

import xlsxwriter
from xlsxwriter.utility import xl_col_to_name

from econ.scenario.records import Typed
from econ.scenario.schema import EDITION, KNOWN, Row, Section, SheetPlan, sheets
from econ.scenario.table_records import TypedTable, table_plans
from econ.units import match
from econ.workbook.style import CLAY, SLATE, Styles, lines_of, page
from econ.workbook.template_tables import write_table

COLUMNS = ("What", "Value", "Unit", "Low", "High", "How known", "Where from", "Remark", "Help", "Key")
WIDTHS = (46, 17, 28, 10, 10, 12, 32, 22, 66, 28)
VALUE, UNIT, LOW, HIGH, KNOWN_AT, FROM, REMARK, HELP, KEY = range(1, 10)
FIXED_TIME = dt.datetime(2000, 1, 1)
"""Written as the creation time of every workbook, so that equal contents make equal files."""

EDITION_MARK = "kilncase scenario workbook, schema edition"

LEGEND = (
    ("measured", "You weighed it, timed it, or have the invoices."),
    ("quoted", "Somebody put it in writing."),
    ("published", "A source that a reviewer can open; name it under 'Where from'."),
    ("guessed", "Everything else. A guess with a wide range is honest; a guess without one is not."),
)

CAUTIONS = (
    "Keep out of the kiln: skull and most of the backbone of cattle of 30 months and over and other "
    "specified risk material (US: 9 CFR 310.22). No kiln of this kind is claimed to inactivate prions.",
    "Ask the air-permit office before the first firing, and the fire marshal about site, stack and gas line.",
    "Carbon monoxide kills: fire outdoors, with alarms. Never open a hot kiln. Char can rekindle for a day: "
    "cool it sealed, keep it in metal, outside. Grinding makes dust: treat it as combustible until tested.",
    "Char is not feed. Print on the bag: not for animal feed, keep from livestock. Selling with a nutrient "
    "claim usually needs registration and a lab's available-phosphate figure.",
    "Soil test first: phosphorus, not carbon, limits how much char a field may get. Treat untested compost "
    "tea like raw manure.",
    "Carbon figures are estimates, not credits. Local codes and licensed practice go before this workbook.",
)


def write_template(
    system: str = "us",
    currency: str = "USD",
    fill: Mapping[str, Typed] | None = None,
    title: str = "",
    tables: Mapping[str, TypedTable] | None = None,
) -> bytes:
    """A scenario workbook as bytes: blank in the given units and currency, or filled with rows and tables."""
    target = io.BytesIO()
    book = xlsxwriter.Workbook(target, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties(
        {
            "title": title or "kilncase scenario",
            "created": FIXED_TIME,
            "comments": f"{EDITION_MARK} {EDITION}",
        }
    )
    styles = Styles(book)
    made = [book.add_worksheet(plan.name) for plan in sheets()]
    wide = [(book.add_worksheet(plan.sheet), plan) for plan in table_plans().values()]
    lists = _Lists(book)
    for number, (sheet, plan) in enumerate(zip(made, sheets(), strict=True)):
        one = _Sheet(sheet, lists, styles, plan, system, currency, fill or {})
        one.write(first=number == 0, title=title)
    for sheet, table in wide:
        write_table(sheet, lists, styles, table, system, currency, (tables or {}).get(table.name))
    book.close()
    return target.getvalue()


class _Sheet:
    """Writes one input sheet from top to bottom."""

    def __init__(
        self,
        sheet: Any,
        lists: _Lists,
        styles: Styles,
        plan: SheetPlan,
        system: str,
        currency: str,
        fill: Mapping[str, Typed],
    ) -> None:
        self.sheet, self.lists = sheet, lists
        self.styles, self.plan, self.system, self.currency, self.fill = styles, plan, system, currency, fill
        self.line = 0
        self.height = 18.0

    def write(self, first: bool, title: str) -> None:
        """The whole sheet: title, legend and cautions on the first, then the rows."""
        sheet = self.sheet
        for column, width in enumerate(WIDTHS):
            sheet.set_column(column, column, width)
        sheet.set_tab_color(CLAY if first else SLATE)
        self._put(0, self.plan.name if not first else (title or "A kiln for our bones: the questions"), "title")
        sheet.set_row(self.line, 28)
        self.line += 1
        self._put(0, self.plan.intro, "intro")
        self.line += 1
        if first:
            self._first_lines()
        self.line += 1
        header = self.line
        for column, name in enumerate(COLUMNS):
            self._put(column, name, "column")
        sheet.set_row(header, 20)
        self.line += 1
        for section in self.plan.sections:
            self._section(section)
        if first:
            self._last_lines()
        sheet.freeze_panes(header + 1, 1)
        page(sheet, repeat=header)
        if first:
            sheet.fit_to_pages(1, 1)
        sheet.print_area(0, 0, self.line, HELP)

    def _put(self, column: int, text: str, look: str, number: str = "general") -> None:
        self.sheet.write_string(self.line, column, text, self.styles(look, number))

    def _first_lines(self) -> None:
        self._put(0, f"{EDITION_MARK} {EDITION}", "faint")
        self.line += 1
        self._put(
            0,
            "Cells with a red edge must be filled: type 0 where there is nothing. Low and high are your own "
            "range; both blank means held fixed. Read the cautions at the foot of this sheet.",
            "plain",
        )
        self.line += 1

    def _last_lines(self) -> None:
        self.line += 1
        self._put(0, "How known", "heading")
        for column in range(1, KEY):
            self._put(column, "", "heading")
        self.line += 1
        for word, meaning in LEGEND:
            self._put(0, word, "bold")
            self._put(1, meaning, "plain")
            self.line += 1
        self.line += 1
        self._put(0, "Cautions", "heading")
        for column in range(1, KEY):
            self._put(column, "", "heading")
        self.line += 1
        for caution in CAUTIONS:
            self.sheet.merge_range(self.line, 0, self.line, FROM, caution, self.styles("caution"))
            self.sheet.set_row(self.line, 13.5 * lines_of(caution, sum(WIDTHS[:REMARK])) + 4)
            self.line += 1

    def _section(self, section: Section) -> None:
        self._put(0, section.heading, "heading")
        for column in range(1, len(COLUMNS)):
            self._put(column, section.help if column == 1 else "", "heading")
        self.line += 1
        shown = {(row.block, row.number) for row in section.rows if row.block and self._is_filled(row)}
        for row in section.rows:
            spare = row.block and row.number > 1 and (row.block, row.number) not in shown
            self._row(row)
            if spare:
                self.sheet.set_row(self.line - 1, self.height, None, {"level": 1, "hidden": row.number > 2})

    def _is_filled(self, row: Row) -> bool:
        return row.key in self.fill and not self.fill[row.key].is_blank

    def _row(self, row: Row) -> None:
        typed = self.fill.get(row.key, Typed(self.currency if row.key == "plant.currency" else None))
        sheet, at = self.sheet, self.line
        words = [row.help, f"If left blank: {row.if_blank}." if row.if_blank and not row.required else ""]
        help_text = " ".join(word for word in words if word)
        tallest = max(
            lines_of(text, WIDTHS[column])
            for column, text in (
                (0, row.label), (HELP, help_text), (FROM, str(typed.source or "")),
                (REMARK, str(typed.remark or "")),
            )
        )  # fmt: skip
        self.height = 12.5 * tallest + 5
        sheet.set_row(at, self.height)
        self._put(0, row.label, "label")
        if not row.is_number:
            look = "choice_required" if row.required else "choice"
            sheet.merge_range(at, VALUE, at, HIGH, "", self.styles(look))
            sheet.write_string(at, VALUE, str(typed.value or ""), self.styles(look))
        else:
            self._value(VALUE, typed.value, "input_required" if row.required else "input")
            self._value(LOW, typed.low, "input")
            self._value(HIGH, typed.high, "input")
            self._value(UNIT, self._unit_name(row, typed), "input_text")
        for column, item in ((KNOWN_AT, typed.known), (FROM, typed.source), (REMARK, typed.remark)):
            self._value(column, item, "input_text")
        self._put(HELP, help_text, "faint_wrap")
        self._put(KEY, row.key, "faint")
        self._validate(row)
        self.line += 1

    def _value(self, column: int, item: object, look: str) -> None:
        if isinstance(item, int | float):
            self.sheet.write_number(self.line, column, float(item), self.styles(look, "typed"))
        elif item:
            self.sheet.write_string(self.line, column, str(item), self.styles(look))
        else:
            self.sheet.write_blank(self.line, column, None, self.styles(look, "typed"))

    def _unit_name(self, row: Row, typed: Typed) -> str:
        own = row.start_unit(self.system, self.currency)
        if own is None:
            return ""
        if isinstance(typed.unit, str):
            own = match(typed.unit, own, row.unit_choices(self.currency), self.currency) or own
        return own.name

    def _validate(self, row: Row) -> None:
        sheet, at = self.sheet, self.line
        if row.kind == "choice":
            names = tuple(option.label for option in row.choices)
            sheet.data_validation(at, VALUE, at, VALUE, self.lists.validation(names))
        elif row.is_number:
            sheet.data_validation(
                at,
                VALUE,
                at,
                VALUE,
                {
                    "validate": "decimal",
                    "criteria": "between",
                    "minimum": -1e12,
                    "maximum": 1e12,
                    "error_title": "A number, please",
                    "error_message": "Type a plain number; the unit stands in its own column.",
                },
            )
            if len(row.units) > 1:
                names = tuple(choice.name for choice in row.unit_choices(self.currency))
                sheet.data_validation(at, UNIT, at, UNIT, self.lists.validation(names))
        sheet.data_validation(at, KNOWN_AT, at, KNOWN_AT, self.lists.validation(KNOWN, strict=False))


class _Lists:
    """The hidden sheet of drop-down lists: names with commas do not fit into a validation itself."""

    def __init__(self, book: Any) -> None:
        self.sheet = book.add_worksheet("Lists")
        self.sheet.hide()
        self.made: dict[tuple[str, ...], str] = {}

    def validation(self, names: tuple[str, ...], strict: bool = True) -> dict[str, Any]:
        """A drop-down of names; not strict lets other words stand."""
        if names not in self.made:
            column = len(self.made)
            for at, name in enumerate(names):
                self.sheet.write_string(at, column, name)
            letter = xl_col_to_name(column)
            self.made[names] = f"=Lists!${letter}$1:${letter}${len(names)}"
        return {
            "validate": "list",
            "source": self.made[names],
            "error_type": "stop" if strict else "information",
            "error_title": "Choose from the list",
            "error_message": "Pick one of the choices of the drop-down.",
        }
