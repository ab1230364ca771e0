"""Run by `python -m econ.workbook.ship` in the repository: draws the pictures of the README anew.

It needs LibreOffice, poppler and Chromium. `drawn` tells without them whether the pictures are those of today.
"""

from __future__ import annotations

import hashlib
import io
import re
import tempfile
from collections.abc import Sequence
from pathlib import Path

import openpyxl

from econ.answer.appraisal import appraise
from econ.answer.results import Results
from econ.inputs.build import build
from econ.inputs.examples import NAMES, example
from econ.page.document import document
from econ.workbook.desk import ANSWER, FLOW
from econ.workbook.places import pdf_of, run
from econ.workbook.results_book import results_bytes
from econ.workbook.safe_write import write_atomically

SHEETS = {"answer.png": ANSWER, "material-flow.png": FLOW}
PAGE = "page.png"
FOLDER = Path("scenarios")
DIGEST = "pictures.txt"
"""Beside the pictures: the digest of what they show."""
PHONE = "--window-size=500,860"


def plant() -> Results:
    """The plant that is drawn: the first that ships."""
    start = example(NAMES[0])
    return appraise(build(start.rows, start.system, tables=start.tables))


def shown_cells(results: Results, names: Sequence[str]) -> list[str]:
    """What the cells of some pages show, page by page; numbers to six figures."""
    book = openpyxl.load_workbook(io.BytesIO(results_bytes(results)), read_only=True, data_only=True)
    rows = (row for name in names for row in book[name].iter_rows(values_only=True))
    return [f"{cell:.6g}" if isinstance(cell, float) else str(cell) for row in rows for cell in row if cell]


def drawn(results: Results) -> str:
    """A digest of all texts and numbers, to six figures, of the two sheets and of the page without its program."""
    cells = shown_cells(results, tuple(SHEETS.values()))
    page = re.sub(r"<script.*?</script>", "", document(results), flags=re.DOTALL)
    return hashlib.sha256("\n".join([*cells, page]).encode()).hexdigest()


def main() -> None:
    """Draw all three, and write down what they show; nothing where that is what was drawn last."""
    results = plant()
    digest = f"{drawn(results)}\n"
    if (FOLDER / DIGEST).read_text(encoding="utf-8") == digest:
        return
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for target, sheet in SHEETS.items():
            (folder / "sheet.pdf").write_bytes(pdf_of(results_bytes(results, [sheet])) or b"")
            words = ["pdftoppm", "-r", "80", "-f", "1", "-singlefile", "-png", "sheet.pdf", "sheet"]
            run(words, folder)
            write_atomically(FOLDER / target, (folder / "sheet.png").read_bytes())
        (folder / "page.html").write_text(document(results), encoding="utf-8")
        address = (folder / "page.html").as_uri()
        words = ["chromium", "--headless", "--no-sandbox", "--hide-scrollbars", "--screenshot=page.png"]
        run([*words, PHONE, address], folder)
        write_atomically(FOLDER / PAGE, (folder / "page.png").read_bytes())
    write_atomically(FOLDER / DIGEST, digest.encode())


if __name__ == "__main__":
    main()
