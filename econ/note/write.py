"""Writes the carbon note as .docx or .md and the statement of a year as .docx and .xlsx, whole or not at all."""

from __future__ import annotations

import datetime
import io
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from econ.answer.results import Results, inputs_code
from econ.answer.year import Statement
from econ.answer.year_tables import PLAN, Block, Cell, blocks, summary
from econ.errors import FileRefused
from econ.harmless import in_markdown, one_line
from econ.note.content import BANNER, note
from econ.note.parts import Note, Part, Picture, Table, Text, heading, number
from econ.shipped import described
from econ.workbook import plain_book
from econ.workbook.places import check_goal, is_taken
from econ.workbook.safe_write import repacked, replacing, write_atomically

PALE = "E4EBEE"
FONT = "Arial"
LONGEST_PROPERTY = 255
FIXED_TIME = datetime.datetime(2000, 1, 1)
"""The same inputs make the same file; the date of the note stands in its text."""
TOGETHER = 16
"""Tables of so few rows are kept on one page."""
LOOKS: dict[str, list[str]] = described("note", "note")["look"]
"""How a paragraph looks: its style in Word, and its form in Markdown."""
WIDTHS = {True: 2.4, False: 1.0}
"""Widths of columns of words and of numbers, relative."""
LINE = 22
"""Letters of a cell above which its text takes several lines: the width of a column."""


def word(note: Note) -> bytes:
    """The document as bytes."""
    from docx import Document

    document = Document()
    _set_up(document, note)
    document.add_paragraph(note.title, style="Title")
    document.add_paragraph(note.under, style="Subtitle")
    for part in note.parts:
        _add(document, part)
    _page_numbers(document, note)
    target = io.BytesIO()
    document.save(target)
    return repacked(target.getvalue())


def _set_up(document: Any, note: Note) -> None:
    from docx.oxml.ns import qn
    from docx.shared import Cm, Pt, RGBColor

    section = document.sections[0]
    section.page_width, section.page_height = Cm(21.0), Cm(29.7)
    section.left_margin = section.right_margin = Cm(2.0)
    section.top_margin = section.bottom_margin = Cm(1.6)
    for name, (size, colour, after) in described("note", "note")["style"].items():
        style = document.styles[name]
        style.font.name, style.font.size = FONT, Pt(size)
        style.font.color.rgb = RGBColor.from_string(colour)
        style.paragraph_format.space_after = Pt(after)
        style.paragraph_format.space_before = Pt(6 if name == "Heading 2" else 0)
        fonts = style.element.get_or_add_rPr().get_or_add_rFonts()  # one typeface for all scripts, not the theme's
        fonts.attrib.clear()
        for one in ("ascii", "hAnsi", "cs", "eastAsia"):
            fonts.set(qn(f"w:{one}"), FONT)
    document.styles["Caption"].paragraph_format.keep_with_next = True
    properties = document.core_properties
    properties.title, properties.author = note.title, "kilncase"
    properties.comments = note.under[:LONGEST_PROPERTY]
    properties.created = properties.modified = FIXED_TIME


def _add(document: Any, part: Part) -> None:
    if isinstance(part, Text):
        paragraph = document.add_paragraph(part.text, style=LOOKS[part.look][0])
        if part.look == "heading":
            paragraph.paragraph_format.page_break_before = part.text.startswith("Annex")
    elif isinstance(part, Picture):
        _picture(document, part)
    else:
        _table(document, part)


def _picture(document: Any, part: Picture) -> None:
    from docx.shared import Cm

    document.add_picture(io.BytesIO(part.png), width=Cm(14.5))
    document.paragraphs[-1].paragraph_format.keep_with_next = True
    shape = document.inline_shapes[-1]._inline.docPr
    shape.set("descr", part.alt)
    shape.set("title", part.caption)
    _caption(document, "Figure", part.caption).paragraph_format.keep_with_next = False


def _caption(document: Any, kind: str, text: str) -> Any:
    """A caption numbered by the program that opens the document; the number is also written out."""
    paragraph = document.add_paragraph(f"{kind} ", style="Caption")
    number = len([p for p in document.paragraphs if p.style.name == "Caption" and p.text.startswith(kind)])
    _field(paragraph, f"SEQ {kind} \\* ARABIC", str(number))
    paragraph.add_run(f". {text}.")
    return paragraph


def _mark(parent: Any, tag: str, text: str = "", **attributes: str) -> Any:
    """An element of WordprocessingML put under its parent, which python-docx has no words for."""
    from docx.oxml import OxmlElement
    from docx.oxml.ns import qn

    made = OxmlElement(f"w:{tag}")
    for name, value in attributes.items():
        made.set(qn(f"w:{name}"), value)
    if text:
        made.text = text
    parent.append(made)
    return made


def _field(paragraph: Any, code: str, shown: str) -> None:
    """A field that the program which opens the document computes; `shown` until then."""
    _mark(_mark(_mark(paragraph._p, "fldSimple", instr=code), "r"), "t", shown)


def _table(document: Any, part: Table) -> None:
    from docx.enum.text import WD_ALIGN_PARAGRAPH
    from docx.shared import Cm, Pt

    _caption(document, "Table", part.caption)
    table = document.add_table(rows=1, cols=len(part.header), style="Table Grid")
    table.autofit = False
    scale = 17.0 / sum(part.widths)
    for column, width in zip(table.columns, part.widths, strict=True):
        column.width = Cm(width * scale)
    for cells in (part.header, *part.rows):
        row = table.rows[0] if cells is part.header else table.add_row()
        _mark(row._tr.get_or_add_trPr(), "cantSplit")
        for column, text in enumerate(cells):
            cell = row.cells[column]
            cell.width = Cm(part.widths[column] * scale)
            paragraph = cell.paragraphs[0]
            paragraph.paragraph_format.space_after = Pt(0)
            paragraph.paragraph_format.keep_with_next = len(part.rows) <= TOGETHER and cells is not part.rows[-1]
            run = paragraph.add_run(text)
            run.font.size = Pt(7 if part.small else 8.5)
            run.bold = cells is part.header
            if column and not part.small:
                paragraph.alignment = WD_ALIGN_PARAGRAPH.RIGHT
            if cells is part.header:
                _mark(cell._tc.get_or_add_tcPr(), "shd", val="clear", fill=PALE)
    _mark(table.rows[0]._tr.get_or_add_trPr(), "tblHeader")  # again on every page
    document.add_paragraph().paragraph_format.space_after = Pt(0)


def _page_numbers(document: Any, note: Note) -> None:
    from docx.shared import Pt

    paragraph = document.sections[0].footer.paragraphs[0]
    paragraph.style.font.size = Pt(8)
    is_draft = any(isinstance(part, Text) and part.look == "banner" for part in note.parts)
    paragraph.add_run(f"{f'{BANNER}. ' if is_draft else ''}Page ")
    _field(paragraph, "PAGE", "1")
    paragraph.add_run(" of ")
    _field(paragraph, "NUMPAGES", "1")


def markdown(note: Note, picture_name: str) -> str:
    """The text of the file, ending in a newline; tables and pictures are numbered in order."""
    blocks = [f"# {note.title}", in_markdown(note.under)]
    for at, part in enumerate(note.parts, start=1):
        nth = len([one for one in note.parts[:at] if type(one) is type(part)])
        blocks.append(_part(part, picture_name, nth))
    text = "\n\n".join(blocks) + "\n"
    return text.replace("\n\n- ", "\n- ").replace("\n- ", "\n\n- ", 1)


def _part(part: Part, picture_name: str, nth: int) -> str:
    if isinstance(part, Text):
        return LOOKS[part.look][1].format(part.text)
    if isinstance(part, Picture):
        return f"![{part.alt}]({picture_name})\n\n*Figure {nth}. {part.caption}.*"
    cells = ([cell.replace("|", "\\|") for cell in row] for row in (part.header, *part.rows))
    head, *rows = (f"| {' | '.join(row)} |" for row in cells)
    return "\n".join([f"*Table {nth}. {part.caption}.*", "", head, f"|{' --- |' * len(part.header)}", *rows])


def write_note(results: Results, path: Path, date: str, overwrite: bool = False) -> tuple[Path, ...]:
    """Write the note, a Markdown one with its chart beside it; raises FileRefused for what cannot stand there."""
    check_goal(path, ".docx", ".md")
    made = note(results, date)
    if path.suffix.lower() == ".docx":
        files = {path: word(made)}
    else:
        chart = path.with_name(f"{path.stem}.chart.png")
        picture = next(part for part in made.parts if isinstance(part, Picture))
        files = {chart: picture.png, path: markdown(made, chart.name).encode("utf-8")}
    _not_taken(files, "--to", overwrite)
    for target, content in files.items():
        write_atomically(target, content)
    return tuple(files)


def _not_taken(targets: Iterable[Path], option: str, overwrite: bool) -> None:
    standing = ", ".join(str(target) for target in targets if is_taken(target))
    if standing and not overwrite:
        raise FileRefused(f"{standing} stands there already: give another name with {option}, or --overwrite")


def year_note(found: Statement) -> Note:
    """The statement as a document: five lines, then every table."""
    said, lines = PLAN["document"], (Text(line, "bullet") for line in summary(found))
    parts: list[Part] = [heading("Summary"), *lines, Text(said["not_claimed"])]
    for at, block in enumerate(blocks(found), start=1):
        rows = tuple(tuple(map(_shown, row)) for row in block.rows)
        widths = tuple(WIDTHS[wide] for wide in _wide(block))
        parts += [heading(f"{at}. {block.title}"), Table(block.title, block.heads, rows, widths, small=True)]
        parts += [Text(block.remark)] if block.remark else []
    under = said["under"].format(name=found.scenario.name, period=found.period, code=inputs_code(found.scenario))
    return Note(said["title"], under, tuple(parts))


def _wide(block: Block) -> list[bool]:
    """Which columns hold words, or more words than numbers."""
    columns = list(zip(*block.rows, strict=True))
    return [2 * len([cell for cell in column if isinstance(cell, str)]) > len(column) for column in columns]


def _look(cells: list[Cell], wide: bool) -> str:
    """A text that takes several lines is wrapped; the first column has its own width."""
    is_long = any(isinstance(cell, str) and len(cell) > LINE for cell in cells)
    number = "n2" if any(isinstance(cell, float) and cell != round(cell) for cell in cells) else "n0"
    return "wrap" if is_long else "text" if wide else number


def _shown(cell: Cell) -> str:
    if isinstance(cell, str) or cell is None:
        return cell or ""
    return f"{cell:.0f}" if cell == round(cell) and abs(cell) < 1000 else number(cell)


def year_sheet(found: Statement) -> plain_book.Sheet:
    """The statement as one sheet; cells hold every digit."""
    made = blocks(found)
    most = max(len(block.heads) for block in made)
    tables = [
        plain_book.Table(block.title, tuple(
            plain_book.Column(head, _look([row[at] for row in block.rows], wide) if at else "n2")
            for at, (head, wide) in enumerate(zip(block.heads, _wide(block), strict=True))
        ), block.rows, block.remark)
        for block in made
    ]  # fmt: skip
    first = plain_book.Table("Summary", (plain_book.Column("", "text"),), [(line,) for line in summary(found)],
                       PLAN["document"]["not_claimed"])  # fmt: skip
    title = f"{found.scenario.name}, {found.period.first} to {found.period.last}"
    return plain_book.Sheet("Record", title, (50.0, *[22.0] * (most - 1)), (first, *tables))


def targets(path: Path, overwrite: bool) -> tuple[Path, Path]:
    """Document and workbook beside each other. Raises FileRefused where one stands there, unless `overwrite`."""
    found = path.with_suffix(".docx"), path.with_suffix(".xlsx")
    check_goal(path, ".docx")
    _not_taken(found, "--out", overwrite)
    return found


def write_year(found: Statement, document: Path, book: Path) -> None:
    """Write document and workbook; raises FileRefused where the folder cannot be written."""
    write_atomically(document, word(year_note(found)))
    with replacing(book) as temporary:
        plain_book.write_plain_book(temporary, one_line(found.scenario.name), [year_sheet(found)])
