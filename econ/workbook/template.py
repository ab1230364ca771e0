"""Writes scenario workbooks, blank or filled, from the one schema."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Collection, Mapping
from typing import Any

import xlsxwriter
from xlsxwriter.utility import xl_rowcol_to_cell

from econ.answer.practice import advice
from econ.inputs.records import Typed, TypedTable
from econ.inputs.rows import KNOWN, Row, Section, SheetPlan
from econ.inputs.schema import EDITION, sheets, table_plans
from econ.units import in_system, match
from econ.workbook.style import BOLD, BOOK, CLAY, LOOKS, SLATE, Styles, lines_of, one_line_width, page, row_height
from econ.workbook.template_tables import Lists, asked_for, number_only, shorten, write_table

COLUMNS = ("What", "Value", "Unit", "Low", "High", "How known", "Where from", "Remark", "Help", "Key")
WIDTHS = (42, 11, 23, 9, 9, 13, 18, 20, 160, 30)
"""Up to where a value is from they fill a page at nine tenths; the rest stays on the screen."""
FIRST_WIDTHS = (36, 11, 26, 9, 9, 13, 28, 18, 105, 30)
"""Of the first sheet: its columns up to "High" are printed; what stands right of them widens until it fits on one
line, since a higher row would not leave room for all on one page at nine tenths."""
WIDEST = 254
"""The widest column that a sheet may have."""
VALUE, UNIT, LOW, HIGH, KNOWN_AT, FROM, REMARK, HELP, KEY = range(1, 10)
PAPER_EDGES = (0.3, 0.3, 0.25, 0.45)
"""Inches of paper left free: left, right, top, bottom."""
FIXED_TIME = dt.datetime(2000, 1, 1)
"""Written as the creation time of every workbook, so that equal contents make equal files."""

EDITION_MARK = "kilncase scenario workbook, schema edition"
INPUTS_PAGE = "Inputs used"
"""The page of a results workbook that holds every input."""

LEGEND = (
    ("measured", "You weighed it, timed it, or have the invoices."),
    ("quoted", "Somebody put it in writing."),
    ("published", "A source that a reviewer can open; name it under 'Where from'."),
    ("guessed", "Everything else. A guess with a wide range is honest; a guess without one is not."),
)

STEPS = (
    "Fill the cells with a red edge: a number, or a range such as 2-3; 0 only where there is nothing.",
    "Low and high: one time in ten it is lower, one time in ten higher.",
)
SAFETY = "Before the first batch: SRM out, air office, fire marshal, CO alarms, hot char, dust."


def write_template(
    system: str = "us",
    currency: str = "USD",
    fill: Mapping[str, Typed] | None = None,
    title: str = "",
    tables: Mapping[str, TypedTable] | None = None,
    shown: Collection[str] = (),
) -> bytes:
    """A scenario workbook as bytes: blank in the given units and currency, or filled with rows and tables.

    What most plants do not need is folded or, a sheet without an open section, hidden, unless it is filled or a
    word of `shown` stands in its heading or the name of its sheet.
    """
    target = io.BytesIO()
    book = xlsxwriter.Workbook(target, BOOK)
    book.set_properties(
        {
            "title": title or "kilncase scenario",
            "author": "kilncase",
            "subject": "Inputs of a plant: bones, kiln, prices, current practice",
            "created": FIXED_TIME,
            "comments": f"{EDITION_MARK} {EDITION}",
        }
    )
    styles = Styles(book)
    made = [book.add_worksheet(plan.name) for plan in sheets()]
    wide = [(book.add_worksheet(plan.sheet), plan) for plan in table_plans().values()]
    lists = Lists(book, currency)
    for number, (sheet, plan) in enumerate(zip(made, sheets(), strict=True)):
        _Sheet(sheet, lists, styles, plan, system, fill or {}, shown, first=number == 0).write(title)
    for sheet, table in wide:
        is_shown = asked_for(shown, table.sheet, table.intro.rpartition(":")[0])
        write_table(sheet, lists, styles, table, system, (tables or {}).get(table.name), is_shown)
    lists.write()
    book.close()
    return target.getvalue()


def _more() -> tuple[str, ...]:
    later = [one.name for one in sheets() if one.late] + [one.sheet for one in table_plans().values()]
    return (
        "Rows that most plants leave blank are folded: open them with the + at the left edge.",
        f"Sheets for later are hidden where blank: right-click a tab, then Unhide. {', '.join(later)}.",
    )


class _Sheet:
    """Writes one input sheet from top to bottom."""

    def __init__(
        self,
        sheet: Any,
        lists: Lists,
        styles: Styles,
        plan: SheetPlan,
        system: str,
        fill: Mapping[str, Typed],
        shown: Collection[str],
        first: bool,
    ) -> None:
        self.sheet, self.lists, self.currency, self.shown = sheet, lists, lists.currency, shown
        self.styles, self.plan, self.system, self.fill = styles, plan, system, fill
        self.first, self.widths = first, self._first_widths() if first else WIDTHS
        self.line, self.height = 0, 18.0

    def write(self, title: str) -> None:
        """The whole sheet: title, legend and cautions on the first, then the rows."""
        sheet, first = self.sheet, self.first
        for column, width in enumerate(self.widths):
            sheet.set_column(column, column, width)
        sheet.set_tab_color(CLAY if first else SLATE)
        if first:
            self._title(title or "A kiln for our bones: the questions")
        else:
            self._put(0, self.plan.name, "title")
            sheet.set_row(self.line, 28)
        self.line += 1
        self._put(0, self.plan.intro, "intro")
        self.line += 1
        if first:
            self._put(HELP, f"{EDITION_MARK} {EDITION}", "faint")
            for step in STEPS:
                self._put(0, step, "plain")
                self.line += 1
        header = self.line
        for column, name in enumerate(COLUMNS):
            look = "column_right" if column in {LOW, HIGH} else "column_word" if column > VALUE else "column"
            self._put(column, name, look)
        sheet.set_row(header, 16 if first else 20)
        self.line += 1
        is_open = [self._section(section) for section in self.plan.sections]
        page(sheet, landscape=not first, repeat=None if first else header, is_letter=self.system == "us")
        sheet.set_margins(*PAPER_EDGES)
        if first:  # what is asked prints on one page; help and cautions stay on the screen
            self._put(0, SAFETY, "bold")
            self.line += 1
            sheet.fit_to_pages(1, 1)
            sheet.print_area(0, 0, self.line - 1, HIGH)
            self._last_lines()
        elif any(is_open):
            sheet.print_area(0, 0, self.line - 1, FROM)
        else:
            sheet.hide()  # without a print area: LibreOffice prints a hidden sheet that has one
            sheet.set_print_scale(90)
            sheet.set_v_pagebreaks([REMARK])
        sheet.freeze_panes(header + 1, 1)
        sheet.outline_settings(symbols_below=False)

    def _first_widths(self) -> tuple[float, ...]:
        widths = list[float](FIRST_WIDTHS)
        for row in (row for section in self.plan.sections for row in section.rows):
            typed = self.fill.get(row.key, Typed())
            for column, text in ((FROM, typed.source), (REMARK, typed.remark), (HELP, self._help(row))):
                widths[column] = min(max(widths[column], one_line_width(str(text or ""))), WIDEST)
        return tuple(widths)

    def _help(self, row: Row) -> str:
        blank = f"If left blank: {row.if_blank}." if row.if_blank and not row.required else ""
        return in_system(" ".join(filter(None, (row.help, blank))), self.system)

    def _title(self, title: str) -> None:
        """The title of the first sheet, as wide as its page, on as many lines as it needs; smaller on several."""
        width = sum(self.widths[: HIGH + 1])
        look = "title" if lines_of(title, width, LOOKS["title"]["font_size"] * BOLD) == 1 else "title_wrap"
        self.sheet.merge_range(self.line, 0, self.line, HIGH, title, self.styles(look))
        size = LOOKS[look]["font_size"] * BOLD
        self.sheet.set_row(self.line, row_height((title, width), size=size, least=24))

    def _put(self, column: int, text: str, look: str, number: str = "general") -> None:
        self.sheet.write_string(self.line, column, text, self.styles(look, number))

    def _last_lines(self) -> None:
        """Under what is printed: how each value is known, what stands elsewhere, cautions."""
        self._band("How known")
        for word, meaning in LEGEND:
            self._put(0, word, "bold")
            self.sheet.merge_range(self.line, 1, self.line, REMARK, meaning, self.styles("wrap"))
            self.line += 1
        cautions = [f"{known.about}: {known.text}" for known in advice("before")]
        for heading, look, texts in (("More rows and sheets", "wrap", _more()), ("Cautions", "caution", cautions)):
            self._band(heading)
            for text in texts:
                self.sheet.merge_range(self.line, 0, self.line, FROM, text, self.styles(look))
                self.sheet.set_row(self.line, row_height((text, sum(self.widths[:REMARK]) - 2)) + 3)
                self.line += 1

    def _band(self, heading: str) -> None:
        self.line += 1
        for column in range(KEY):
            self._put(column, "" if column else heading, "heading")
        self.line += 1

    def _section(self, section: Section) -> bool:
        """A heading and its rows, folded unless needed, spare repeats always; returns whether it is open."""
        filled = {(row.block, row.number) for row in section.rows if not self.fill.get(row.key, Typed()).is_blank}
        is_open = self.first or section.open or bool(filled)
        is_open = is_open or asked_for(self.shown, self.plan.name, section.heading)
        spare = [
            bool(row.block) and row.number > 2 and (row.block, row.number) not in filled for row in section.rows
        ]
        closed = "" if is_open else f"{len(section.rows)} rows: open them with the + at the left edge."
        self._put(0, section.heading, "heading")
        for column in range(1, len(COLUMNS)):
            self._put(column, closed or section.help if column == 1 else "", "heading")
        self.sheet.set_row(self.line, None, None, {"collapsed": not is_open})
        self.line += 1
        for row, is_spare, is_next_spare in zip(section.rows, spare, (*spare[1:], False), strict=True):
            self._row(row)
            fold = {"level": 2 if is_spare else 1, "hidden": is_spare or not is_open}
            if is_next_spare and not is_spare:
                fold["collapsed"] = True
            self.sheet.set_row(self.line - 1, self.height, None, fold)
        if section.stop:
            self._put(0, f"If you stop here: {section.stop}", "stop")
            self.sheet.set_row(self.line, 14)
            self.line += 1
        elif is_open:  # LibreOffice takes the row after a group for the sign of that group
            self.sheet.set_row(self.line, 6)
            self.line += 1
        return is_open

    def _row(self, row: Row) -> None:
        typed = self.fill.get(row.key, Typed(self.currency if row.key == "plant.currency" else None))
        sheet, at = self.sheet, self.line
        if row.key == "plant.currency":
            self.lists.chosen = f"'{self.plan.name}'!{xl_rowcol_to_cell(at, VALUE, True, True)}"
        help_text = self._help(row)
        unit_name = self._unit_name(row, typed)
        room = sum(self.widths[VALUE : HIGH + 1])
        cells = ((0, row.label), (UNIT, unit_name), (FROM, typed.source), (REMARK, typed.remark))
        texts = [(str(text or ""), self.widths[column]) for column, text in cells]
        texts += [] if row.is_number else [(str(typed.value or ""), room)]
        normal = row_height(*texts, least=14 if self.first else 17)
        self.height = max(normal, row_height((help_text, self.widths[HELP]), size=10))
        self._put(0, row.label, "label")
        if not row.is_number:
            look = "choice_required" if row.required or row.asked else "choice"
            sheet.merge_range(at, VALUE, at, HIGH, "", self.styles(look))
            sheet.write_string(at, VALUE, str(typed.value or ""), self.styles(look))
        else:
            self._value(VALUE, typed.value, "input_required" if row.required or row.asked else "input")
            self._value(LOW, typed.low, "input")
            self._value(HIGH, typed.high, "input")
            self._value(UNIT, unit_name, "input_text")
        for column, item in ((KNOWN_AT, typed.known), (FROM, typed.source), (REMARK, typed.remark)):
            self._value(column, item, "input_text")
        self._put(HELP, help_text, "faint_wrap")
        self._put(KEY, row.key, "faint")
        self._validate(row, help_text)
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

    def _validate(self, row: Row, help_text: str) -> None:
        """What may be typed, and the help that opens beside the cell."""
        sheet, at = self.sheet, self.line
        help_of = {"input_title": shorten(row.label, 32), "input_message": shorten(help_text, 255)}
        if row.kind == "choice":
            names = tuple(option.label for option in row.choices)
            sheet.data_validation(at, VALUE, at, VALUE, self.lists.validation(names) | help_of)
        elif row.is_number:
            sheet.data_validation(at, VALUE, at, VALUE, number_only("in its own column") | help_of)
            if len(row.units) > 1:
                names = tuple(choice.name for choice in row.unit_choices(self.currency))
                sheet.data_validation(at, UNIT, at, UNIT, self.lists.validation(names))
        else:
            sheet.data_validation(at, VALUE, at, VALUE, {"validate": "any", **help_of})
        meaning = "\n".join(f"{word}: {text}" for word, text in LEGEND)
        known = {"input_title": "How it is known", "input_message": shorten(meaning, 255)}
        sheet.data_validation(at, KNOWN_AT, at, KNOWN_AT, self.lists.validation(KNOWN, strict=False) | known)
