"""A spreadsheet calculating the same plant: LibreOffice over the results workbook, made to recalculate.

One run converts a number of copies, so its start goes into neither figure: seconds a copy are those of
COPIES + 1 files less those of one, divided by COPIES. With recalculation and without; the second is loading
and saving, the difference is the calculation alone. Seconds of processor time: a run is long enough for others
on the machine to disturb the clock on the wall.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from office import RECALCULATE_ALWAYS, soffice

COPIES = 3
NEVER = RECALCULATE_ALWAYS.replace("<value>0</value>", "<value>1</value>")


def convert_s(book: Path, copies: int, settings: str, work: Path) -> float:
    """Processor seconds of one LibreOffice run over so many copies."""
    user = work / f"profile-{'always' if settings == RECALCULATE_ALWAYS else 'never'}" / "user"
    user.mkdir(parents=True, exist_ok=True)
    (user / "registrymodifications.xcu").write_text(settings, encoding="utf-8")
    files = [Path(shutil.copy(book, work / f"copy-{n}.xlsx")) for n in range(copies)]
    run = subprocess.Popen(
        [soffice(), f"-env:UserInstallation=file://{user.parent}", "--headless", "--convert-to", "xlsx",
         "--outdir", str(work / "out"), *map(str, files)],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    _, status, used = os.wait4(run.pid, 0)
    run.returncode = os.waitstatus_to_exitcode(status)
    if run.returncode:
        raise SystemExit(f"LibreOffice ended with {run.returncode}")
    return used.ru_utime + used.ru_stime


def case_s(book: Path, work: Path) -> tuple[float, float]:
    """Processor seconds a case with recalculation and without, start of the program left out."""
    found = []
    for settings in (RECALCULATE_ALWAYS, NEVER):
        convert_s(book, 1, settings, work)  # makes the profile
        one = min(convert_s(book, 1, settings, work) for _ in range(2))
        many = min(convert_s(book, COPIES + 1, settings, work) for _ in range(2))
        found.append((many - one) / COPIES)
    return found[0], found[1]
