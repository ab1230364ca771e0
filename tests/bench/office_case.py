"""A spreadsheet calculating the same plant: LibreOffice over the results workbook, made to recalculate.

One run converts a number of copies, so its start goes into neither figure: seconds a copy are those of
COPIES + 1 files less those of one, divided by COPIES. With recalculation and without; the second is loading
and saving, the difference is the calculation alone.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from office import RECALCULATE_ALWAYS, soffice

COPIES = 3
NEVER = RECALCULATE_ALWAYS.replace("<value>0</value>", "<value>1</value>")


def convert_s(book: Path, copies: int, settings: str, work: Path) -> float:
    """Seconds of one LibreOffice run over so many copies."""
    user = work / f"profile-{'always' if settings == RECALCULATE_ALWAYS else 'never'}" / "user"
    user.mkdir(parents=True, exist_ok=True)
    (user / "registrymodifications.xcu").write_text(settings, encoding="utf-8")
    files = [Path(shutil.copy(book, work / f"copy-{n}.xlsx")) for n in range(copies)]
    start = time.perf_counter()
    subprocess.run(
        [soffice(), f"-env:UserInstallation=file://{user.parent}", "--headless", "--convert-to", "xlsx",
         "--outdir", str(work / "out"), *map(str, files)],
        check=True, capture_output=True,
    )  # fmt: skip
    return time.perf_counter() - start


def case_s(book: Path, work: Path) -> tuple[float, float]:
    """Seconds a case with recalculation and without, start of the program left out."""
    found = []
    for settings in (RECALCULATE_ALWAYS, NEVER):
        convert_s(book, 1, settings, work)  # makes the profile
        one = min(convert_s(book, 1, settings, work) for _ in range(2))
        many = min(convert_s(book, COPIES + 1, settings, work) for _ in range(2))
        found.append((many - one) / COPIES)
    return found[0], found[1]
