"""Writes scenario workbooks, blank or filled, from the one schema."""

from __future__ import annotations

import io
from collections.abc import Collection, Mapping
from typing import Any

from xlsxwriter.utility import xl_rowcol_to_cell

from econ.answer.practice import advice
from econ.inputs.records import Typed, TypedTable
from econ.inputs.rows import KNOWN, Row, Section, SheetPlan
from econ.inputs.schema import EDITION, sheets, table_plans
from econ.units import in_system
from econ.workbook import style
from econ.workbook.marks import Sheet
from econ.workbook.style import BOLD, CLAY, LOOKS, SLATE, Styles, fitted, lines_of, new_book, page, row_height
from econ.workbook.template_tables import WORDS, Lists, asked_for, number_only, shorten, unit_name_of, write_table

COLUMNS, WIDTHS, FIRST_WIDTHS = zip(*WORDS["columns"], strict=True)
WIDEST = 254
"""The widest column that a sheet may have."""
VALUE, UNIT, LOW, HIGH, KNOWN_AT, FROM, REMARK, HELP, KEY = range(1, 10)
PAPER_EDGES = (0.3, 0.3, 0.25, 0.45)
"""Inches of paper left free: left, right, top, bottom."""
EDITION_MARK = "kilncase scenario workbook, schema edition"
INPUTS_PAGE = "Inputs used"
"""The page of a results workbook that holds every input."""


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
    book = new_book(
        target,
        title or "kilncase scenario",
        author="kilncase",
        subject=WORDS["subject"],
        comments=f"{EDITION_MARK} {EDITION}",
    )
    styles = Styles(book)
    made = [(book.add_worksheet(plan.name, Sheet), plan) for plan in sheets()]
    wide = [(book.add_worksheet(table.sheet, Sheet), table) for table in table_plans().values()]
    lists = Lists(book, currency)
    for sheet, plan in made:
        _Sheet(sheet, lists, styles, plan, system, fill or {}, shown).write(title)
    for sheet, table in wide:
        is_shown = asked_for(shown, table.sheet, table.intro.rpartition(":")[0])
        write_table(sheet, lists, styles, table, system, (tables or {}).get(table.name), is_shown)
    lists.write()
    book.close()
    return target.getvalue()


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
    ) -> None:
        self.sheet, self.lists, self.currency, self.shown = sheet, lists, lists.currency, shown
        self.styles, self.plan, self.system, self.fill = styles, plan, system, fill
        self.first = plan is sheets()[0]
        self.widths = self._first_widths() if self.first else list(WIDTHS)
        self.line, self.height = 0, 18.0

    def write(self, title: str) -> None:
        """The whole sheet: title, legend and cautions on the first, then the rows."""
        sheet, first = self.sheet, self.first
        for column, width in enumerate(self.widths):
            sheet.set_column(column, column, width)
        sheet.set_tab_color(CLAY if first else SLATE)
        if first:
            self._title(title or WORDS["title"])
        else:
            self._put(0, self.plan.name, "title")
            sheet.set_row(self.line, 28)
        self.line += 1
        self._put(0, self.plan.intro, "intro")
        self.line += 1
        if first:
            self._put(HELP, f"{EDITION_MARK} {EDITION}", "faint")
            for step in WORDS["steps"]:
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
            self._put(0, WORDS["safety"], "bold")
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

    def _first_widths(self) -> list[float]:
        widths = list[float](FIRST_WIDTHS)
        for row in (row for section in self.plan.sections for row in section.rows):
            typed = self.fill.get(row.key, Typed())
            for column, text in ((FROM, typed.source), (REMARK, typed.remark), (HELP, self._help(row))):
                widths[column] = min(max(widths[column], style.one_line_width(str(text or ""))), WIDEST)
        return widths

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
        for word, meaning in WORDS["legend"].items():
            self._put(0, word, "bold")
            self.sheet.merge_range(self.line, 1, self.line, REMARK, meaning, self.styles("wrap"))
            self.line += 1
        later = [one.name for one in sheets() if one.late] + [one.sheet for one in table_plans().values()]
        more = [text.format(", ".join(later)) for text in WORDS["more"]]
        cautions = [f"{about}: {text}" for about, text, _ in advice("before")]
        for heading, look, texts in (("More rows and sheets", "wrap", more), ("Cautions", "caution", cautions)):
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
        closed = "" if is_open else WORDS["closed"].format(len(section.rows))
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
        unit_name = unit_name_of(row, self.system, self.currency, typed.unit)
        cells = ((0, row.label), (UNIT, unit_name), (FROM, typed.source), (REMARK, typed.remark))
        texts = [(str(text or ""), self.widths[column]) for column, text in cells]
        texts += [] if row.is_number else [(str(typed.value or ""), sum(self.widths[VALUE : HIGH + 1]))]
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
            self.sheet.write_number(self.line, column, float(item), self.styles(look, fitted("typed", item)))
        elif item:
            self.sheet.write_string(self.line, column, str(item), self.styles(look))
        else:
            self.sheet.write_blank(self.line, column, None, self.styles(look, "typed"))

    def _validate(self, row: Row, help_text: str) -> None:
        """What may be typed, and the help that opens beside the cell."""
        sheet, at = self.sheet, self.line
        help_of = {"input_title": shorten(row.label, 32), "input_message": shorten(help_text, 255)}
        rule = {"validate": "any"} if not row.is_number else number_only("in its own column")
        if row.kind == "choice":
            rule = self.lists.validation(tuple(option.label for option in row.choices))
        sheet.data_validation(at, VALUE, at, VALUE, rule | help_of)
        if row.is_number and len(row.units) > 1:
            names = tuple(choice.name for choice in row.unit_choices(self.currency))
            sheet.data_validation(at, UNIT, at, UNIT, self.lists.validation(names))
        meaning = "\n".join(f"{word}: {text}" for word, text in WORDS["legend"].items())
        known = {"input_title": "How it is known", "input_message": shorten(meaning, 255)}
        sheet.data_validation(at, KNOWN_AT, at, KNOWN_AT, self.lists.validation(KNOWN, strict=False) | known)
