"""Results files are written whole or not at all, and know whether someone has changed them since.

A file is made beside its goal under a hidden name, forced to disk, and renamed over the goal: whoever opens
the goal at any moment, or after a power cut, finds all of the old file or all of the new one.

The fingerprint is the SHA-256 of the sheet parts, kept in the document property FINGERPRINT_PROPERTY. It
shows that a spreadsheet program has saved the file; it is no signature against forgery.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import stat
import zipfile
from collections.abc import Iterator, Mapping
from io import BytesIO
from pathlib import Path

from econ.errors import FileRefused, KilncaseError
from econ.workbook.guards import parts_of
from econ.workbook.package_parts import shown
from econ.workbook.places import check_goal, in_words, is_read_only, is_taken, read_in_words, real, sync_folder

FINGERPRINT_PROPERTY = "kilncase sheet fingerprint"
FINGERPRINT_BLANK = "0" * 64  # what the writer puts into the property before stamp()

_PROPERTIES_PART = "docProps/custom.xml"
_FINGERPRINTED = re.compile(r"xl/(worksheets/[^/]+\.xml|sharedStrings\.xml|workbook\.xml)")
_MARK = re.compile(rf'(name="{FINGERPRINT_PROPERTY}"><vt:lpwstr>)([0-9a-f]{{64}})(</vt:lpwstr>)'.encode())
_ZIP_DATE = (1980, 1, 1, 0, 0, 0)  # the first a zip file knows: the same results give the same bytes

WRITTEN: list[Path] = []
"""Every file that this process put in place, oldest first: what a broken-off run must name."""


@contextlib.contextmanager
def replacing(path: Path) -> Iterator[Path]:
    """A hidden empty file beside `path`, to be filled; then forced to disk and renamed over `path`.

    A link is followed, permissions of an old file are kept. Raises FileRefused with a plain sentence where the
    system refuses; the old file is then untouched and nothing is left behind, as after any error inside. (A
    process killed on the way leaves a hidden .kilncase-*.tmp, which may be deleted: `clear_abandoned`.)
    """
    with in_words(path):
        goal, mode = _goal_of(path)
        temporary = goal.with_name(f"{_hidden(goal)}{os.urandom(8).hex()}.tmp")
        try:
            with open(temporary, "xb"):
                if mode is not None:  # nobody may read it who may not read the old one
                    temporary.chmod(mode | stat.S_IWUSR)
            yield temporary
            with open(temporary, "r+b") as handle:
                os.fsync(handle.fileno())
            if mode is not None:
                temporary.chmod(mode)
            os.replace(temporary, goal)
        except BaseException:
            with contextlib.suppress(OSError):
                temporary.unlink()
            raise
        WRITTEN.append(path)
        sync_folder(goal.parent)


def clear_abandoned(path: Path) -> None:
    """Delete what killed processes left of `path`; only for who holds a lock that keeps others from writing it."""
    goal = real(path)
    for left in goal.parent.glob(f"{_hidden(goal)}*.tmp"):
        with contextlib.suppress(OSError):
            left.unlink()


def _hidden(goal: Path) -> str:
    """How the hidden names of the files that are to become `goal` begin."""
    return f".kilncase-{hashlib.sha256(os.fsencode(goal.name)).hexdigest()[:8]}-"


def write_atomically(path: Path, data: bytes) -> None:
    """Put `data` at `path`, whole or not at all; raises FileRefused as `replacing` does."""
    with replacing(path) as temporary, open(temporary, "wb") as handle:
        handle.write(data)


def write_results_file(path: Path, data: bytes, overwrite: bool) -> None:
    """Stamp a results workbook and write it, but never over a file that is not exactly as kilncase wrote it.

    data: the workbook with FINGERPRINT_PROPERTY set to FINGERPRINT_BLANK. Raises FileRefused when `path`
    holds a changed or foreign file and overwrite is false, and as write_atomically does.
    """
    stamped, said = stamp(data), f"{shown(path.name)} was not written: the file there is"
    check_goal(path)
    if not overwrite and is_read_only(path):
        raise FileRefused(f"{said} read-only; name another with --to, or replace it with --overwrite")
    if not overwrite and is_taken(path) and not is_as_written(path):
        raise FileRefused(f"{said} not as kilncase wrote it, so someone may have worked in it; keep it and name "
                          "another with --to, or replace it with --overwrite")  # fmt: skip
    write_atomically(path, stamped)


def stamp(data: bytes) -> bytes:
    """Pack a workbook again with its fingerprint in place of the blank one; the same input, the same bytes.

    Raises KilncaseError when the workbook has no single blank fingerprint.
    """
    with zipfile.ZipFile(BytesIO(data)) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    marks = _MARK.findall(parts.get(_PROPERTIES_PART, b""))
    if [mark[1].decode() for mark in marks] != [FINGERPRINT_BLANK]:
        raise KilncaseError(f"the workbook has no blank document property {FINGERPRINT_PROPERTY!r} to stamp")
    marked = _MARK.sub(rb"\g<1>" + fingerprint(parts).encode() + rb"\g<3>", parts[_PROPERTIES_PART])
    return _packed({**parts, _PROPERTIES_PART: marked})


def is_as_written(path: Path) -> bool:
    """Tell whether the sheets of the file are exactly as stamped; False for any file that cannot be read."""
    try:
        parts = parts_of(path)
    except FileRefused:
        return False
    marks = _MARK.findall(parts.get(_PROPERTIES_PART, b""))
    return [mark[1].decode() for mark in marks] == [fingerprint(parts)]


def sealed(data: bytes, remark: str) -> bytes:
    """A text or PDF with the digest of all of it in a last remark, written as {} within `remark`."""
    return data + f"{remark.format(hashlib.sha256(data).hexdigest())}\n".encode("ascii")


def write_sealed(path: Path, data: bytes, remark: str, overwrite: bool) -> None:
    """Write a file of one of our kinds, but never over one that is not exactly as kilncase wrote it.

    Raises FileRefused for that, unless `overwrite`, and as write_atomically does.
    """
    check_goal(path)
    if is_taken(path) and not overwrite:
        with read_in_words(path):
            found = path.read_bytes()
        if found != sealed(found[: -len(sealed(b"", remark))], remark):
            raise FileRefused(f"{shown(path.name)} stands there already and is not as kilncase wrote it: name "
                              "another with --to, or --overwrite")  # fmt: skip
    write_atomically(path, sealed(data, remark))


def fingerprint(parts: Mapping[str, bytes]) -> str:
    """SHA-256 [64 hex digits] over the names and bytes of the sheets, their strings and the workbook part.

    parts: name and bytes of every part. Styles, charts and document properties do not count.
    """
    digest = hashlib.sha256()
    for name in sorted(name for name in parts if _FINGERPRINTED.fullmatch(name)):
        # lengths in front, so that no two packages run together to the same bytes
        digest.update(f"{len(name)} {name} {len(parts[name])} ".encode() + parts[name])
    return digest.hexdigest()


def repacked(data: bytes) -> bytes:
    """A zip file with neither the hour nor the system that packed it: the same parts give the same bytes."""
    with zipfile.ZipFile(BytesIO(data)) as archive:
        return _packed({name: archive.read(name) for name in archive.namelist()})


def _packed(parts: Mapping[str, bytes]) -> bytes:
    target = BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            entry = zipfile.ZipInfo(name, date_time=_ZIP_DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = 0  # else it tells Windows from Linux
            archive.writestr(entry, content, compresslevel=4)  # 6, the default, takes half as long again for 5 %
    return target.getvalue()


def _goal_of(path: Path) -> tuple[Path, int | None]:
    """The file behind links, and its permissions where it exists; refuse a folder, a device, an odd name."""
    check_goal(path)
    goal = real(path)
    try:
        return goal, stat.S_IMODE(goal.stat().st_mode)
    except FileNotFoundError:
        return goal, None
