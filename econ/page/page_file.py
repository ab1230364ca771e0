"""Writes the page of a plant, whole or not at all."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

from econ.answer.results import Results
from econ.errors import FileRefused
from econ.page.document import document
from econ.workbook.safe_write import write_atomically

SEAL = re.compile(rb"<!-- ([0-9a-f]{64}) -->\n\Z")


def write_page(results: Results, path: Path, overwrite: bool = False) -> Path:
    """Write the page; returns its path.

    Raises FileRefused for another ending, for a file that is not a page exactly as kilncase wrote it unless
    `overwrite`, and where the folder cannot be written.
    """
    if path.suffix.lower() not in {".html", ".htm"}:
        raise FileRefused(f"{path} ends in neither .html nor .htm: give --to a name that does")
    if path.exists() and not overwrite and not is_as_written(path):
        raise FileRefused(f"{path} stands there already and is no page of kilncase, or was changed: give another "
                          "name with --to, or --overwrite")  # fmt: skip
    write_atomically(path, sealed(document(results).encode("utf-8")))
    return path


def sealed(page: bytes) -> bytes:
    """A page with the digest of its own text in a last remark."""
    return page + f"<!-- {hashlib.sha256(page).hexdigest()} -->\n".encode("ascii")


def is_as_written(path: Path) -> bool:
    """Whether a file ends in the digest of all that stands before."""
    try:
        found = path.read_bytes()
    except OSError:
        return False
    seal = SEAL.search(found)
    return seal is not None and sealed(found[: seal.start()]) == found
