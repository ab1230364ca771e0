"""What differs between systems: locks, forcing a folder to disk, long names, files held open, other programs.

Nothing else in kilncase asks which system it runs on. The Windows side is tested with its parts replaced,
not on Windows.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

WINDOWS = sys.platform == "win32"
LONG = 240
"""Characters from which on Windows wants a path marked as long (its limit is 260, with the folder's own part)."""
FAR = 1 << 30
"""A place in a file that no journal reaches: a lock there keeps nobody from reading on Windows."""
HELD = (32, 33)
"""Windows: another program holds the file, or a part of it."""
OFFICE = (
    "soffice", "libreoffice", "/Applications/LibreOffice.app/Contents/MacOS/soffice",
    r"C:\Program Files\LibreOffice\program\soffice.exe",
)  # fmt: skip
"""Names of LibreOffice, and where it stands on systems that do not put it on the search path."""
PATIENCE = 180
"""Seconds that another program may take."""


def lock(handle: Any) -> bool:
    """Take an open file for this process; False where another has it. The system gives it back at the end."""
    try:
        if WINDOWS:
            import msvcrt

            at = handle.tell()
            handle.seek(FAR)
            msvcrt.locking(handle.fileno(), msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
            handle.seek(at)
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def still_there(handle: Any, path: Path) -> bool:
    """Whether an open file still has its name."""
    with contextlib.suppress(OSError):
        return os.path.samestat(os.fstat(handle.fileno()), path.stat())
    return False


def remove_and_close(handle: Any, path: Path) -> None:
    """Take an open file away. Windows refuses that while it is open; elsewhere nobody may open it in between."""
    if WINDOWS:
        handle.close()
    with contextlib.suppress(OSError):
        path.unlink()
    handle.close()


def sync_folder(folder: Path) -> None:
    """Force a new name to disk where a folder can be opened; the file itself is whole by then."""
    if WINDOWS:
        return
    with contextlib.suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def openable(path: Path) -> Path:
    """The path as the system can open it: on Windows a long one with the mark of long paths."""
    text = str(path)
    if not WINDOWS or len(text) < LONG or text.startswith("\\\\"):
        return path
    return Path(f"\\\\?\\{os.path.abspath(text)}")


def holder(path: Path, odd: BaseException | None = None) -> str:
    """The kind of program that has a workbook open, by the mark it leaves beside it; empty where none is seen."""
    marks = {"Excel": path.with_name(f"~${path.name}"), "LibreOffice": path.with_name(f".~lock.{path.name}#")}
    for program, mark in marks.items():
        with contextlib.suppress(OSError, ValueError):
            if mark.exists():
                return program
    return "another program" if getattr(odd, "winerror", None) in HELD else ""


def pdf_of(workbook: bytes) -> bytes | None:
    """A workbook as LibreOffice prints it, in a profile of its own; None where it is not installed.

    Raises OSError where LibreOffice starts and makes nothing.
    """
    office = next((found for name in OFFICE if (found := shutil.which(name))), None)
    if office is None:
        return None
    with tempfile.TemporaryDirectory(prefix="kilncase-") as name:
        folder = Path(name)
        (folder / "set.xlsx").write_bytes(workbook)
        profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
        words = [office, profile, "--headless", "--convert-to", "pdf", "--outdir", name, str(folder / "set.xlsx")]
        run(words, folder)
        return (folder / "set.pdf").read_bytes()


def run(words: list[str], folder: Path) -> None:
    """Run another program of this machine, on words of our own alone; raises OSError where it fails or hangs."""
    try:
        subprocess.run(words, check=True, cwd=folder, capture_output=True, timeout=PATIENCE)
    except subprocess.SubprocessError as odd:
        raise OSError(f"{Path(words[0]).name} did not finish ({type(odd).__name__})") from odd
