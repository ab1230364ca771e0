"""One writer for every page: walks a description and writes heads, rows, heights, charts and print set-up."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from econ.model.ledger import Line
from econ.model.ledger import line as words_of
from econ.workbook import page_plan, style
from econ.workbook.desk import ANSWER, LETTER, PRINT_SET, Desk
from econ.workbook.live import Printed
from econ.workbook.page_plan import Figure, Found, Row, Slot, plans, sectioned, split_look
from econ.workbook.style import LOOKS, NOISE, RIGHT, ROW, lines_of, number_format, page, room_of_page, row_height

TOP = 3
"""First row of the blocks: title, scenario and the way back stand above."""
PADDING = {"caution": 3.0, "finding": 4.0, "wrap": 2.0}
"""Points more than the lines of a text need, by its look."""
NUMBERS = (int, float)
LONG, SAFE, LEAST = 70.0, 0.97, 0.92
"""For another face: points from which on a text may take a line more; the share of a page that is filled; how far
10 points may shrink for a page to be one."""
LISTING = {
    "heads": ("Figure", "Value", "Unit", "How it is computed", "Key"),
    "looks": ("label", "plain", "faint", "faint_wrap", "beside"),
    "repeat": 1,
}
"""A listing of figures is a table of these columns; the formula takes all that is left of the printed page."""
KEYS = 40.0
"""Width of a column of keys, as JSON calls the figures: the last, beside what is printed."""

BARE = Slot(None)
"""What is said of a cell that is nothing but its content."""

Block = Mapping[str, Any]


def write_page(desk: Desk, name: str, found: Found) -> None:
    """Write a page as described, with the rows and values found for it."""
    writer = _Writer(desk, name, found)
    writer.title()
    writer.print_set_up(writer.blocks())
    if "after" in found:
        found["after"](writer.sheet)


class _Writer:
    def __init__(self, desk: Desk, name: str, found: Found) -> None:
        self.desk, self.plan, self.sheet = desk, plans()[name], desk.pages[name]
        self.widths: Sequence[float] = found.get("widths", self.plan.widths)
        self.across = found.get("across", self.plan.print_columns or len(self.widths))
        if any("figures" in block for block in self.plan.block) or found.get("has_keys"):
            self.widths = (*self.widths, KEYS)
        results, asked = desk.results, desk.results.chances.sampling
        always = {"years": results.plan.years, "npv": results.figures["npv"], "currency": desk.currency,
                  "span": desk.span, "results": results, "samples": asked.samples, "seed": asked.seed}  # fmt: skip
        self.values: dict[Any, Any] = {**always, **self.plan.words, **found}
        self.printed: int | None = None
        self.breaks: list[int] = []
        self.tables: dict[int, int] = {}
        self.heads: dict[int, int] = {}  # first rows of tables to their last, and to the row of their heads

    def say(self, text: Any) -> Any:
        """A text of the description with the values of the run; all else as it is."""
        return text.format_map(self.values) if isinstance(text, str) else text

    def title(self) -> None:
        """Widths, the question, the scenario's name and the way back."""
        desk, sheet, styles = self.desk, self.sheet, self.desk.styles
        for column, width in enumerate(self.widths):
            sheet.set_column(column, column, width)
        sheet.write_string(0, 0, self.plan.question, styles("title"))
        sheet.set_row(0, 28)
        said, printed = desk.results.scenario.name + desk.set_by_command, self.widths[: self.across]
        sheet.merge_range(1, 0, 1, len(printed) - 1, said, styles("scenario"))
        sheet.set_row(1, row_height((said, math.fsum(printed)), size=11))
        if self.plan.name == ANSWER:
            sheet.set_row(2, 13)
        else:
            sheet.write_url(2, 0, f"internal:'{ANSWER}'!A1", styles("link"), "back to the answer")

    def blocks(self) -> int:
        """Write the blocks from top to bottom, then the charts; returns the first free row."""
        start = end = TOP
        charts = []
        for block in self.plan.block:
            if not self.values.get(block.get("if", "currency")) or self.values.get(block.get("unless", "")):
                continue
            at = (start if block.get("beside") else end) + block.get("above", 0)
            after = self._block(block, at)
            if after == at:
                continue
            if at == end + 1 and not block.get("beside"):
                self.sheet.set_row(end, 8)
            if "draw" in block or "of" in block:
                charts.append((at, block))
                self.tables[at] = max(after - 1, self.tables.get(at, 0))
            if block.get("break"):
                self.breaks.append(at)
            self.printed = self.printed or (at if block.get("unprinted") else None)
            start, end = at, max(end, after) if block.get("beside") else after
        for at, block in charts:
            self._draw(at, block)
        return end

    def print_set_up(self, end: int) -> None:
        """Paper, footer, pages, breaks and what is printed."""
        page(self.sheet, self.plan.landscape, is_letter=self.desk.currency in LETTER, said=self.desk.footer)
        self.sheet.set_header("" if self.plan.name in PRINT_SET else "&R&10Annex: tracing page", {"margin": 0.15})
        last, paper = self.printed or end, (self.plan.landscape, self.desk.currency in LETTER)
        tall = math.fsum(self.sheet.heights.get(row, ROW) for row in range(last))
        is_fit = self.plan.fitted and LEAST * tall <= room_of_page((1.0,), *paper)
        is_one = is_fit or end <= self.plan.one_page_rows
        self.sheet.fit_to_pages(1, self.plan.high or int(is_one))
        self.sheet.print_area(0, 0, last - 1, self.across - 1)
        if self.plan.noise:
            nil = {"type": "cell", "criteria": "between", "minimum": -NOISE, "maximum": NOISE}
            shape = self.desk.styles.laid_over(num_format="0;0;0")
            self.sheet.conditional_format(4, 1, 400, 60, {**nil, "format": shape})
        if not self.plan.high and not is_one:
            room = SAFE * room_of_page(self.widths[: self.across], *paper)
            self.breaks, long = page_plan.page_breaks(self.sheet.heights, self.tables, self.breaks, last, room)
            if repeated := [self.heads[row] for row in long if row in self.heads][-1:]:
                self.sheet.repeat_rows(*repeated)
        if self.breaks:
            self.sheet.set_h_pagebreaks(self.breaks)

    def _block(self, block: Block, at: int) -> int:
        """Write heading, texts, rows and note of a block from a row on; returns the next free row."""
        if "figures" in block:
            block = {**LISTING, "table": "", "spans": (1, 1, 1, self.across - 3), **block}
        rows = list(self._listing(block) if "figures" in block else self.values.get(block.get("table"), ()))
        if "table" in block and not rows and "empty" not in block:
            return at
        top = at
        if "heading" in block:
            at = self._line(at, block, Row((self.say(block["heading"]),), "heading"))
        texts = self.values[block["texts"]] if "texts" in block else [self.say(block.get("text", ""))]
        texts = texts if rows or "table" not in block else [*texts, self.say(block["empty"])]
        at = self._texts(at, block, texts, block.get("look", "wrap"))
        if rows:
            heads, at = at, self._table(at, block, rows)
            self.tables[top] = at - 1
            if "repeat" not in block and ("heads" in block or f"{block['table']}_heads" in self.values):
                self.heads[top] = heads
        at = self._texts(at, block, [self.say(block.get("note", ""))], block.get("note_look", "faint_wrap"))
        at += self.values.get(f"{block.get('chart')}_rows") or block.get("rows", 0)
        if "source" in block:  # a small line below the chart
            self._write(at, block.get("place", (0,))[0], self.say(block["source"]), BARE, "beside", "", 1)
        return at + ("source" in block)

    def _texts(self, at: int, block: Block, texts: Sequence[str], look: str) -> int:
        """Texts one below the other; those that wrap take the width of the page."""
        span = self.across - block.get("column", 0) if LOOKS[look].get("text_wrap") else 1
        for text in filter(None, texts):
            at = self._line(at, {**block, "table": "", "looks": (look,), "spans": (span,)}, (text,))
        return at

    def _table(self, at: int, block: Block, rows: Sequence[Any]) -> int:
        """Heads and rows; what the heads are for (a frozen top, a filter) goes with them."""
        found = self.values.get(f"{block['table']}_heads")  # may hold what a person typed: taken as it is
        heads: Sequence[Any] = found or [self.say(head) for head in block.get("heads", ())]
        if heads:
            heads = (*heads, *[""] * (len(self.widths) - len(heads)) * bool(block.get("fill")))
            first, plain = block.get("column", 0) == 0, enumerate(self._looks(block, len(heads)))
            looks = [block.get("head") or page_plan.head_look(first and not i, look) for i, look in plain]
            at = self._line(at, {**block, "table": "", "looks": looks}, Row(heads))
        if "freeze" in block:
            self.sheet.freeze_panes(at, block["freeze"])
        if "repeat" in block:
            self.sheet.repeat_rows(at - block["repeat"], at - 1)
        first = at
        for row in rows:
            at = self._line(at, block, row)
        self.desk.places[self.plan.name, block["table"]] = (first, at - 1)
        if block.get("filter"):
            self.sheet.autofilter(first - 1, 0, at - 1, len(heads) - 1)
        if "choices" in block:
            column, *choices = block["choices"]
            self.sheet.data_validation(first, column, at - 1, column, {"validate": "list", "source": choices})
        return at

    def _looks(self, block: Block, count: int) -> list[str]:
        """The looks of columns, the last of them for all that follow."""
        looks = list(self.values.get(f"{block.get('table')}_looks") or block.get("looks", ("label", "plain")))
        return looks + [looks[-1]] * (count - len(looks))

    def _listing(self, block: Block) -> Iterator[Row]:
        """All figures of the given pages by section, with formula in words; `labels` replaces labels.

        The formula leads to what it reads first; one of several lines leaves that to the label, since some
        programs cut links that wrap.
        """
        desk, printed, labels = self.desk, self.desk.sheets.lines, self.values.get("labels", {})

        def row(key: str, found: Line) -> Row:
            formula = printed[key].formula or ""
            text = f"= {desk.in_words(formula)}" if formula else "a value"
            is_long = lines_of(text, sum(self.widths[3 : self.across]), 10) > 1
            label = Slot(desk.label(labels.get(key, found.label)), "link_plain" * is_long, leads=formula * is_long)
            words = Slot(text, leads=formula * (not is_long))
            return Row((label, Figure(key), desk.shown(found)[0], words, key), options=desk.fold(key))

        return sectioned(sorted(key for key in printed if words_of(key).page in block["figures"]), row, desk.fold)

    def _line(self, at: int, block: Block, row: Any) -> int:
        """Write one row of the sheet, as high as its texts need; returns the next."""
        row = row if isinstance(row, Row) else Row(row)
        column, need = block.get("column", 0), row.height or block.get("height", 15.0)
        for content, slot, look, number, span in self._cells(block, row):
            if (high := self._height(column, content, look, span)) > need:
                need = high
            if look:
                self._write(at, column, content, slot, look, number, span)
            column += span
        if need != 15 or row.options:
            self.sheet.set_row(at, need if need != 15 else None, None, row.options)
        return at + 1

    def _cells(self, block: Block, row: Row) -> Iterator[tuple[Any, Slot, str, str, int]]:
        """The cells of a row: content, what else is said of it, look (none: not written), number format, span."""
        if row.loud == "heading":
            texts = (*row.cells, *[""] * (block.get("band", self.across) - 1))
            yield from ((text, BARE, "heading", "", 1) for text in texts)
            return
        looks, spans, is_total = self._looks(block, len(row.cells)), block.get("spans", ()), row.loud == "total"
        columns = page_plan.columns_of(tuple(looks), tuple(spans), row.loud)
        cells = (*row.cells, *[None] * (len(columns) - len(row.cells)) * is_total)
        for i, (content, (louder, number, span)) in enumerate(zip(cells, columns, strict=False)):
            slot, own, own_number = BARE, "", ""
            if isinstance(content, Slot):
                slot, content = content, content.content
                own, own_number = split_look(slot.look) if slot.look else ("", "")
            is_word = isinstance(content, str) and louder in RIGHT and (i or number)
            found = own or (RIGHT[louder] if is_word else "" if content is None and not is_total else louder)
            yield content, slot, found, own_number or number, slot.span or span

    def _height(self, column: int, content: Any, name: str, span: int) -> float:
        """Points that a cell needs to show its text whole."""
        on_one_line, size, indent = style.need_of(name or "plain")
        if not size or not isinstance(content, str):
            return on_one_line
        width = self.widths[column] if span == 1 else sum(self.widths[column : column + span])
        need = style.height_of(lines_of(content, width - 1.5 * indent, size), size) + PADDING.get(name, 0)
        return need + 12 * (name == "caution" and need > LONG)  # another face may take a line more

    def _write(self, at: int, column: int, content: Any, slot: Slot, look: str, number: str, span: int) -> None:
        """Write one cell, merged with those beside it where it spans them."""
        desk, sheet = self.desk, self.sheet
        if slot is BARE and span == 1 and isinstance(content, str):  # every second cell
            sheet.write_string(at, column, content, desk.styles(look, number or "general"))
            return
        printed = content if isinstance(content, Printed) else None
        if printed and printed.formula and "{row}" in printed.formula:
            printed = Printed(printed.formula.replace("{row}", str(at + 1)), printed.value)
        value: Any = printed.value if printed else content
        is_number = isinstance(value, NUMBERS)
        number = style.fitted(number, value) if is_number else number
        size = number or (number_format(value, "") if is_number else "general")
        shape = desk.styles(look, size if number or not printed else "general", slot.edges)
        if slot.link:  # the cell leads there, whatever is written into it below
            sheet.write_url(at, column, f"internal:{slot.link}", shape, "", slot.tip or None)
        if is_merged := span != 1:
            text = content if isinstance(content, str) and not slot.leads else ""
            sheet.merge_range(at, column, at, column + span - 1, text, shape)
        if is_number and value != value:
            shape = desk.styles(RIGHT["total"] if "total" in look else "right")
            sheet.write_string(at, column, slot.word or "not reported", shape)
        elif slot.leads:
            desk.lead(sheet, at, column, content, slot.leads, look)
        elif printed:
            desk.write(sheet, at, column, printed, look, size)
        elif is_number:
            sheet.write_number(at, column, content, shape)
        elif isinstance(content, Figure):
            desk.figure(sheet, at, column, content.key, look, content.printed, number)
        elif not is_merged:
            (sheet.write_blank if content is None else sheet.write_string)(at, column, content, shape)
        if slot.name:
            desk.define(slot.name, self.plan.name, at, column)

    def _draw(self, at: int, block: Block) -> None:
        """Draw a chart with its corner in a row; one that another page describes as well is laid over that."""
        page_name, own = page_plan.description(block, self.plan.name, self.values)

        def area(one: Mapping[str, Any], which: str) -> Any:
            if isinstance(one[which], str):
                return self.values[one[which]]
            first, last = self.desk.places[page_name, one["table"]]
            last = min(last, first + one.get("most", last) - 1)
            return [page_name, first, one[which], last, one[which]]

        column, *offsets = block.get("place", (0, 4))
        shift = dict(zip(("x_offset", "y_offset"), offsets, strict=False))
        chart = page_plan.chart_of(self.desk.book, own, area, self.say)
        self.sheet.insert_chart(at, column, chart, {**shift, "description": self.say(own["said"])})
