"""The note as Markdown; the chart becomes a file beside it."""

from __future__ import annotations

from econ.harmless import in_markdown
from econ.note.parts import Heading, Note, Part, Picture, Table, Text

LOOKS = {"plain": "{}", "banner": "**{}**", "formula": "    {}", "bullet": "- {}"}


def markdown(note: Note, picture_name: str) -> str:
    """The text of the file, ending in a newline; tables and pictures are numbered in order."""
    blocks = [f"# {note.title}", in_markdown(note.under)]
    tables = pictures = 0
    for part in note.parts:
        tables += isinstance(part, Table)
        pictures += isinstance(part, Picture)
        blocks.append(_part(part, picture_name, tables, pictures))
    text = "\n\n".join(blocks) + "\n"
    return text.replace("\n\n- ", "\n- ").replace("\n- ", "\n\n- ", 1)


def _part(part: Part, picture_name: str, tables: int, pictures: int) -> str:
    if isinstance(part, Heading):
        return f"## {part.text}"
    if isinstance(part, Text):
        return LOOKS[part.look].format(part.text)
    if isinstance(part, Picture):
        return f"![{part.alt}]({picture_name})\n\n*Figure {pictures}. {part.caption}.*"
    rule = "| --- |" + " --- |" * (len(part.header) - 1)
    rows = [_row(part.header), rule, *map(_row, part.rows)]
    return f"*Table {tables}. {part.caption}.*\n\n" + "\n".join(rows)


def _row(cells: tuple[str, ...]) -> str:
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"
