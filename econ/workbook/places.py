"""Every question about a path goes through here: what stands there, or one sentence why that cannot be told.

What the system says (no permission, a name too long, a full disk) becomes FileRefused with the name of the
file, the reason, and what to do. Nothing here writes.
"""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Literal

from econ.errors import FileRefused, KilncaseError
from econ.workbook.package_parts import shown
from econ.workbook.system import holder, openable

Kind = Literal["nothing", "file", "folder", "device"]

_TO = "write elsewhere with --to"
_NOT_ALLOWED = f"it is open in another program or may not be written by you; close it, or {_TO}"
_NOT_WRITTEN = {
    errno.ENOSPC: f"the disk is full; make room, or {_TO}",
    errno.EDQUOT: f"your share of the disk is full; make room, or {_TO}",
    errno.EFBIG: f"the file would be larger than this system allows; {_TO}",
    errno.EROFS: f"this disk is read-only; {_TO}",
    errno.EACCES: _NOT_ALLOWED,
    errno.EPERM: _NOT_ALLOWED,
    errno.EBUSY: _NOT_ALLOWED,
    errno.ENOENT: f"its folder does not exist; make the folder, or {_TO}",
    errno.ENOTDIR: f"its folder is a file; {_TO}",
    errno.ENAMETOOLONG: "its name is too long; choose a shorter one with --to",
}
_NOT_READ = {
    errno.ENOENT: "there is no such file; check the name and the folder",
    errno.ENOTDIR: "its folder is a file; check the name and the folder",
    errno.ENAMETOOLONG: "its name is too long for this system; check the name",
}
_NOTHING_THERE = (errno.ENOENT, errno.ENOTDIR)


@contextlib.contextmanager
def in_words(path: Path) -> Iterator[None]:
    """What the system says against writing `path`, as FileRefused in a plain sentence."""
    try:
        yield
    except KilncaseError:
        raise
    except (OSError, ValueError) as odd:
        number = getattr(odd, "errno", None) or 0
        reason = _NOT_WRITTEN.get(number, f"the system said: {odd}")
        if reason == _NOT_ALLOWED and (program := holder(path, odd)):
            reason = f"{program} has it open; close it there, or {_TO}"
        where = str(getattr(odd, "filename", None))
        if number in (errno.ENOSPC, errno.EDQUOT) and where.startswith(tempfile.gettempdir()):
            reason = f"the folder for temporary files, {shown(tempfile.gettempdir())}, is full; make room there"
        raise FileRefused(f"{shown(path.name or str(path))} was not written: {reason}") from odd


@contextlib.contextmanager
def read_in_words(path: Path) -> Iterator[None]:
    """What the system says against reading `path`, as FileRefused in a plain sentence."""
    try:
        yield
    except KilncaseError:
        raise
    except (OSError, ValueError) as odd:
        program = holder(path, odd) if isinstance(odd, PermissionError) else ""
        why = f"{program} has it open; close it there" if program else why_not_read(odd)
        raise FileRefused(f"{shown(path.name or str(path))}: {why}") from odd


def why_not_read(odd: OSError | ValueError) -> str:
    """Why a file cannot be read, and what to do."""
    reason = getattr(odd, "strerror", None) or odd
    said = f"it cannot be read ({reason}); check the name and your permission"
    return _NOT_READ.get(getattr(odd, "errno", None) or 0, said)


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


def files_in(folder: Path, ending: str) -> list[Path]:
    """The files of a folder whose names end so, in the order of their names; raises FileRefused."""
    with read_in_words(folder):
        return sorted(found for found in folder.iterdir() if found.name.endswith(ending))
