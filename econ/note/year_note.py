"""The statement of a period as a Word document and as a workbook of one sheet; both print the same tables."""

from __future__ import annotations

from pathlib import Path

from econ.answer.results import inputs_code
from econ.answer.year import Statement
from econ.answer.year_tables import Block, Cell, blocks, summary
from econ.errors import FileRefused
from econ.harmless import one_line
from econ.note.parts import Heading, Note, Part, Table, Text, number
from econ.workbook.places import check_goal, is_taken
from econ.workbook.plain_book import Column, Sheet, write_plain_book
from econ.workbook.plain_book import Table as SheetTable
from econ.workbook.safe_write import replacing, write_atomically

NOT_CLAIMED = (
    "This statement is not verified by a third party. It is no carbon credit and no audit of accounts. It repeats "
    "what the plant wrote down."
)
WORDS, NUMBERS = 2.4, 1.0
"""Widths of columns of words and of numbers, relative."""


LINE = 60
"""Letters of a cell above which its text takes several lines."""


def year_note(found: Statement) -> Note:
    """The statement as a document: five lines, then every table."""
    parts: list[Part] = [Heading("Summary"), *(Text(line, "bullet") for line in summary(found)), Text(NOT_CLAIMED)]
    for at, block in enumerate(blocks(found), start=1):
        parts += [Heading(f"{at}. {block.title}"), _table(block), *([Text(block.remark)] if block.remark else [])]
    under = (
        f"{found.scenario.name}. From {found.period.first} to {found.period.last}. Version code of the inputs "
        f"{inputs_code(found.scenario)}. Made by kilncase."
    )
    return Note("Statement of the kiln's record", under, tuple(parts))


def _table(block: Block) -> Table:
    rows = tuple(tuple(_shown(cell) for cell in row) for row in block.rows)
    return Table(
        block.title, block.heads, rows, tuple(WORDS if wide else NUMBERS for wide in _wide(block)), small=True
    )


def _wide(block: Block) -> list[bool]:
    """Which columns hold words, or more words than numbers."""
    columns = list(zip(*block.rows, strict=True))
    return [2 * len([cell for cell in column if isinstance(cell, str)]) > len(column) for column in columns]


def _is_long(block: Block, at: int) -> bool:
    """Whether a text of a column takes several lines."""
    return any(isinstance(row[at], str) and len(str(row[at])) > LINE for row in block.rows)


def _shown(cell: Cell) -> str:
    if isinstance(cell, str) or cell is None:
        return cell or ""
    return f"{cell:.0f}" if cell == round(cell) and abs(cell) < 1000 else number(cell)


def year_sheet(found: Statement) -> Sheet:
    """The statement as one sheet; cells hold every digit."""
    made = blocks(found)
    most = max(len(block.heads) for block in made)
    tables = [
        SheetTable(block.title, tuple(
            Column(head, "wrap" if at and _is_long(block, at) else "text" if wide and at else "n2")
            for at, (head, wide) in enumerate(zip(block.heads, _wide(block), strict=True))
        ), block.rows, block.remark)
        for block in made
    ]  # fmt: skip
    first = SheetTable("Summary", (Column("", "text"),), [(line,) for line in summary(found)], NOT_CLAIMED)
    title = f"{found.scenario.name}, {found.period.first} to {found.period.last}"
    return Sheet("Record", title, (50.0, *[22.0] * (most - 1)), (first, *tables))


def targets(path: Path, overwrite: bool) -> tuple[Path, Path]:
    """Document and workbook beside each other. Raises FileRefused where one stands there, unless `overwrite`."""
    found = path.with_suffix(".docx"), path.with_suffix(".xlsx")
    check_goal(path, ".docx")
    standing = [str(target) for target in found if is_taken(target)]
    if standing and not overwrite:
        raise FileRefused(
            f"{', '.join(standing)} stands there already: give another name with --out, or --overwrite"
        )
    return found


def write_year(found: Statement, document: Path, book: Path) -> None:
    """Write document and workbook; raises FileRefused where the folder cannot be written."""
    from econ.note.write import word

    write_atomically(document, word(year_note(found)))
    with replacing(book) as temporary:
        write_plain_book(temporary, one_line(found.scenario.name), [year_sheet(found)])
