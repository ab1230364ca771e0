"""Writes the page of a plant, whole or not at all."""

from __future__ import annotations

from pathlib import Path

from econ.answer.results import Results
from econ.page.document import document
from econ.workbook.places import check_goal
from econ.workbook.safe_write import write_sealed

REMARK = "<!-- {} -->"


def write_page(results: Results, path: Path, overwrite: bool = False) -> Path:
    """Write the page; returns its path.

    Raises FileRefused for another ending, for a file that is not a page exactly as kilncase wrote it unless
    `overwrite`, and where the folder cannot be written.
    """
    check_goal(path, ".html", ".htm")
    write_sealed(path, document(results).encode("utf-8"), REMARK, overwrite)
    return path
