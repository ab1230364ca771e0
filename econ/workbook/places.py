"""Paths and the system: what stands at a path, or why that cannot be told; and all that differs between systems.

What the system says (no permission, a name too long, a full disk) becomes FileRefused with the name of the
file, the reason, and what to do. Locks, forcing a folder to disk, long names, files held open and other programs
stand here: nothing else in kilncase asks which system it runs on. The Windows side is tested with its parts
replaced, not on Windows.
"""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import stat
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any, Literal

from econ.errors import FileRefused, KilncaseError
from econ.shipped import described
from econ.workbook.package_parts import shown

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
ALONE = threading.RLock()
"""Held while a library is made other for the whole process, so that threads do not restore each other's."""
PATIENCE = 180
"""Seconds that another program may take."""

Kind = Literal["nothing", "file", "folder", "device"]

_NOT_ALLOWED = (errno.EACCES, errno.EPERM, errno.EBUSY)
_NOTHING_THERE = (errno.ENOENT, errno.ENOTDIR)


@contextlib.contextmanager
def in_words(path: Path, to_read: bool = False) -> Iterator[None]:
    """What the system says against writing (or reading) `path`, as FileRefused in a plain sentence."""
    try:
        yield
    except KilncaseError:
        raise
    except (OSError, ValueError) as odd:
        said = f": {_why_not_read(path, odd)}" if to_read else f" was not written: {_why_not_written(path, odd)}"
        raise FileRefused(f"{shown(path.name or str(path))}{said}") from odd


read_in_words = partial(in_words, to_read=True)


def _why_not_written(path: Path, odd: OSError | ValueError) -> str:
    number = getattr(odd, "errno", None) or 0
    said, name = described("refusals", "workbook")["written"], errno.errorcode.get(number, "")
    reason = str(said.get(name, f"the system said: {odd}"))
    if number in _NOT_ALLOWED and (program := holder(path, odd)):
        reason = f"{program} has it open; close it there, or write elsewhere with --to"
    where = str(getattr(odd, "filename", None))
    if number in (errno.ENOSPC, errno.EDQUOT) and where.startswith(tempfile.gettempdir()):
        reason = f"the folder for temporary files, {shown(tempfile.gettempdir())}, is full; make room there"
    return reason


def _why_not_read(path: Path, odd: OSError | ValueError) -> str:
    program = holder(path, odd) if isinstance(odd, PermissionError) else ""
    return f"{program} has it open; close it there" if program else why_not_read(odd)


def why_not_read(odd: OSError | ValueError) -> str:
    """Why a file cannot be read, and what to do."""
    reason = getattr(odd, "strerror", None) or odd
    said = f"it cannot be read ({reason}); check the name and your permission"
    name = errno.errorcode.get(getattr(odd, "errno", None) or 0, "")
    return str(described("refusals", "workbook")["read"].get(name, said))


def real(path: Path) -> Path:
    """The path behind links; one that links to itself stays as it is, and cannot be opened."""
    return openable(Path(os.path.realpath(path)))


def kind_of(path: Path, to_write: bool = False) -> Kind:
    """What stands at `path`, links followed. Raises FileRefused where the system does not tell."""
    with in_words(path) if to_write else read_in_words(path):
        try:
            mode = path.stat().st_mode
        except OSError as odd:
            if odd.errno not in _NOTHING_THERE:
                raise
            return "nothing"
    if stat.S_ISDIR(mode):
        return "folder"
    return "file" if stat.S_ISREG(mode) else "device"


def is_taken(path: Path) -> bool:
    """Whether anything, a broken link too, has the name that is to be written."""
    return kind_of(path, to_write=True) != "nothing" or os.path.lexists(path)


def is_read_only(path: Path) -> bool:
    """Whether a file stands at `path` that somebody made read-only (for everybody, its owner too)."""
    with in_words(path):
        return kind_of(path, to_write=True) == "file" and not path.stat().st_mode & 0o222


def check_goal(path: Path, *endings: str) -> None:
    """Refuse what cannot be the name of a file to write: no name, a folder, or another ending than asked.

    `endings` in lower case with their point, such as ".xlsx". Raises FileRefused.
    """
    if not path.name or path.name == "..":
        raise FileRefused("no file was named: give the name of a file with --to")
    if endings and path.suffix.lower() not in endings:
        names = " or ".join(endings)
        raise FileRefused(f"{shown(path.name)} was not written: its name must end in {names}")
    kind = kind_of(path, to_write=True)
    if kind in ("folder", "device"):
        raise FileRefused(f"{shown(path.name)} was not written: a {kind} has that name; name a file with --to")


def workbooks_in(folder: Path) -> list[Path]:
    """The workbooks of a folder, in the order of their names; raises FileRefused."""
    with read_in_words(folder):
        endings = (".xlsx", ".xlsm", ".xls", ".xlsb", ".ods")  # one that cannot be read is named, not passed over
        return sorted(found for found in folder.iterdir() if found.name.lower().endswith(endings))


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
