"""Writes the carbon note as .docx or .md, whole or not at all."""

from __future__ import annotations

from pathlib import Path

from econ.answer.results import Results
from econ.errors import FileRefused
from econ.note.content import note
from econ.note.markdown import markdown
from econ.note.parts import Picture
from econ.note.word import word
from econ.workbook.safe_write import write_atomically


def write_note(results: Results, path: Path, date: str, overwrite: bool = False) -> tuple[Path, ...]:
    """Write the note; returns the files written (a Markdown note has its chart beside it).

    Raises FileRefused for another ending, for a file that stands there unless `overwrite`, and where the
    folder cannot be written.
    """
    if path.suffix.lower() not in {".docx", ".md"}:
        raise FileRefused(f"{path} ends in neither .docx nor .md: give --to a name that does")
    made = note(results, date)
    if path.suffix.lower() == ".docx":
        files = {path: word(made)}
    else:
        chart = path.with_name(f"{path.stem}.chart.png")
        picture = next(part for part in made.parts if isinstance(part, Picture))
        files = {chart: picture.png, path: markdown(made, chart.name).encode("utf-8")}
    standing = [str(target) for target in files if target.exists()]
    if standing and not overwrite:
        raise FileRefused(
            f"{', '.join(standing)} stands there already: give another name with --to, or --overwrite"
        )
    for target, content in files.items():
        write_atomically(target, content)
    return tuple(files)
