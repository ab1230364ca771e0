"""A results file is written whole or not at all, and a changed one is not replaced unasked.

The faults here are real: processes are killed by the system, disks refuse by their own error. The only thing
put in by the tests is a pause at a chosen step, so that the kill falls there.
"""

from __future__ import annotations

import contextlib
import io
import os
import signal
import stat
import subprocess
import sys
import time
import zipfile
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import IO

import openpyxl
import pytest
import xlsxwriter
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from econ.errors import FileRefused, KilncaseError
from econ.workbook import safe_write
from econ.workbook.guards import opening
from econ.workbook.safe_write import (
    FINGERPRINT_BLANK,
    FINGERPRINT_PROPERTY,
    is_as_written,
    stamp,
    write_atomically,
    write_results_file,
)

SHEETS = "xl/worksheets/sheet1.xml"
OLD, NEW = b"old " * 100_000, b"new " * 250_000


def results(npv: float = 1234.5, mark: str | None = FINGERPRINT_BLANK) -> bytes:
    """A small results workbook as the writer hands it over, its fingerprint still blank."""
    target = io.BytesIO()
    workbook = xlsxwriter.Workbook(target, {"in_memory": True})
    workbook.set_properties({"created": datetime(1980, 1, 1)})
    if mark is not None:
        workbook.set_custom_property(FINGERPRINT_PROPERTY, mark)
    sheet = workbook.add_worksheet("Finding")
    sheet.write_row(0, 0, ["NPV", npv])
    sheet.write_formula(1, 1, "=B1*2", value=npv * 2)
    workbook.define_name("npv_total", "=Finding!$B$1")
    workbook.close()
    return target.getvalue()


def left_in(folder: Path) -> list[str]:
    return sorted(os.listdir(folder))


def in_a_child(code: str, *arguments: object) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", code, *map(str, arguments)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


@pytest.fixture
def target(tmp_path: Path) -> Path:
    return tmp_path / "plant.results.xlsx"


# --- whole or not at all -----------------------------------------------------------------------------------


def test_a_file_is_written_and_nothing_else_is_left(target: Path):
    write_atomically(target, NEW)

    assert target.read_bytes() == NEW
    assert left_in(target.parent) == [target.name]


PAUSE = """
import os, sys, time
from pathlib import Path
from econ.workbook import safe_write

def pause(*_):
    print("here", flush=True)
    time.sleep(600)

step, path, size = sys.argv[1], Path(sys.argv[2]), int(sys.argv[3])
if step == "half written":
    whole = open
    class Slow:
        def __init__(self, handle): self.handle = handle
        def __enter__(self): self.handle.__enter__(); return self
        def __exit__(self, *fault): return self.handle.__exit__(*fault)
        def write(self, data): self.handle.write(data[:size // 2]); self.handle.flush(); pause()
    safe_write.open = lambda *a, **k: Slow(whole(*a, **k))
elif step == "before the disk has it":
    os.fsync = pause
elif step == "before the new name":
    os.replace = pause
elif step == "after the new name":
    safe_write.sync_folder = pause
safe_write.write_atomically(path, b"new " * (size // 4))
"""


@pytest.mark.parametrize(
    ("step", "kept"),
    [
        pytest.param("half written", OLD, id="half written"),
        pytest.param("before the disk has it", OLD, id="before fsync"),
        pytest.param("before the new name", OLD, id="before rename"),
        pytest.param("after the new name", NEW, id="after rename"),
    ],
)
def test_a_killed_run_leaves_a_whole_file(step: str, kept: bytes, target: Path):
    target.write_bytes(OLD)

    with in_a_child(PAUSE, step, target, len(NEW)) as child:
        assert child.stdout is not None
        assert child.stdout.readline() == "here\n"
        child.send_signal(signal.SIGKILL)

    assert child.returncode == -signal.SIGKILL
    assert target.read_bytes() == kept
    assert [name for name in left_in(target.parent) if not name.startswith(".kilncase-")] == [target.name]
    write_atomically(target, NEW)
    assert target.read_bytes() == NEW


def test_what_a_killed_run_left_of_a_file_goes_and_nothing_else(tmp_path: Path):
    one, other = tmp_path / "a.csv", tmp_path / "b.csv"
    with safe_write.replacing(one) as temporary:
        left = temporary.with_name(f"{temporary.stem}0.tmp")  # as a kill inside a write leaves it
        left.write_bytes(b"half")
    with safe_write.replacing(other) as temporary:
        assert left.exists()
        safe_write.clear_abandoned(one)
        assert sorted(left_in(tmp_path)) == sorted([temporary.name, one.name])


ENDLESS = """
import sys
from pathlib import Path
from econ.workbook.safe_write import write_atomically
path, letters = Path(sys.argv[1]), sys.argv[2].encode()
print("here", flush=True)
while True:
    for letter in letters:
        write_atomically(path, bytes([letter]) * 3_000_000)
"""


def test_runs_killed_at_any_moment_leave_a_whole_file(target: Path):
    """Twelve kills, each a little later than the last; the file always holds one letter, all of it."""
    for kill in range(12):
        with in_a_child(ENDLESS, target, "ab") as child:
            assert child.stdout is not None
            child.stdout.readline()
            while not target.exists():
                time.sleep(0.001)
            time.sleep(0.003 * kill)
            child.kill()

        content = target.read_bytes()
        assert content in (b"a" * 3_000_000, b"b" * 3_000_000)


def test_two_runs_at_once_do_not_mix(target: Path):
    """Whoever looks while two processes write the same file finds one of their files, whole."""
    whole = {bytes([letter]) * 3_000_000 for letter in b"abcd"}
    with in_a_child(ENDLESS, target, "ab") as one, in_a_child(ENDLESS, target, "cd") as other:
        for child in (one, other):
            assert child.stdout is not None
            child.stdout.readline()
        while not target.exists():
            time.sleep(0.001)
        seen = [target.read_bytes() for _ in range(150)]
        for child in (one, other):
            assert child.poll() is None, "stopped of itself"
            child.kill()

    assert set(seen) <= whole
    assert {content[:1] in b"ab" for content in seen} == {True, False}, "only one of the two was ever seen"


FILE_SIZE_LIMIT = """
import resource, sys
from pathlib import Path
from econ.errors import FileRefused
from econ.workbook.safe_write import write_atomically
resource.setrlimit(resource.RLIMIT_FSIZE, (500_000, 500_000))
try:
    write_atomically(Path(sys.argv[1]), bytes(1_000_000))
except FileRefused as refusal:
    print(refusal)
"""


def test_a_file_larger_than_the_system_allows_leaves_the_old_one(target: Path):
    target.write_bytes(OLD)

    said, errors = in_a_child(FILE_SIZE_LIMIT, target).communicate()

    assert "'plant.results.xlsx' was not written: the file would be larger than this system allows" in said, errors
    assert target.read_bytes() == OLD
    assert left_in(target.parent) == [target.name]


def test_a_full_disk_leaves_the_old_file(target: Path, monkeypatch: pytest.MonkeyPatch):
    """What is written goes to the device that is always full; the error is the system's own."""
    target.write_bytes(OLD)

    def on_full_disk(path: Path, mode: str) -> IO[bytes]:
        handle = open(path, mode)  # noqa: SIM115 (the code under test closes it)
        device = os.open("/dev/full", os.O_WRONLY)
        os.dup2(device, handle.fileno())
        os.close(device)
        return handle

    monkeypatch.setattr(safe_write, "open", on_full_disk, raising=False)

    with pytest.raises(FileRefused, match="the disk is full; make room, or write elsewhere with --to"):
        write_atomically(target, NEW)

    assert target.read_bytes() == OLD
    assert left_in(target.parent) == [target.name]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 512 kB, where mounting is allowed."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=512k", "tmpfs", str(folder)]
    if os.geteuid() != 0 or subprocess.run(mount, capture_output=True, check=False).returncode != 0:
        pytest.skip("mounting a small disk is not allowed here; /dev/full stands in for it")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def test_a_small_disk_that_fills_up_leaves_the_old_file(small_disk: Path):
    target = small_disk / "plant.results.xlsx"
    write_atomically(target, OLD)

    with pytest.raises(FileRefused, match="the disk is full"):
        write_atomically(target, NEW)

    assert target.read_bytes() == OLD
    assert left_in(small_disk) == [target.name]


def test_whoever_has_the_old_file_open_keeps_reading_it(target: Path):
    target.write_bytes(OLD)

    with target.open("rb") as reader:
        first = reader.read(1_000)
        write_atomically(target, NEW)

        assert first + reader.read() == OLD
    assert target.read_bytes() == NEW


def test_an_interrupted_run_leaves_nothing_behind(target: Path, monkeypatch: pytest.MonkeyPatch):
    target.write_bytes(OLD)

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_atomically(target, NEW)

    assert target.read_bytes() == OLD
    assert left_in(target.parent) == [target.name]


def test_the_disk_has_the_file_before_its_name_and_the_name_before_we_return(
    target: Path, monkeypatch: pytest.MonkeyPatch
):
    steps: list[str] = []
    sync, rename = os.fsync, os.replace

    def noted_sync(descriptor: int) -> None:
        status = os.fstat(descriptor)
        steps.append("folder" if stat.S_ISDIR(status.st_mode) else f"file of {status.st_size}")
        sync(descriptor)

    def noted_rename(source: Path, goal: Path) -> None:
        steps.append("name")
        rename(source, goal)

    monkeypatch.setattr(os, "fsync", noted_sync)
    monkeypatch.setattr(os, "replace", noted_rename)
    write_atomically(target, b"new")

    assert steps == ["file of 3", "name", "folder"]


def _folder_there(target: Path) -> Path:
    target.mkdir()
    return target


def _folder_is_a_file(target: Path) -> Path:
    target.write_bytes(b"")
    return target / "plant.results.xlsx"


@pytest.mark.parametrize(
    ("make", "says"),
    [
        pytest.param(lambda t: t.parent / "no" / t.name, "its folder does not exist", id="folder missing"),
        pytest.param(_folder_is_a_file, "its folder is a file", id="folder is a file"),
        pytest.param(_folder_there, "a folder has that name", id="name taken by a folder"),
        pytest.param(lambda t: Path("/dev/full"), "a device has that name", id="device"),
        pytest.param(lambda t: t.parent / ("n" * 300), "its name is too long", id="long name"),
        pytest.param(lambda t: t.parent / "a\0b", "the system said", id="zero byte"),
        pytest.param(lambda t: Path("/proc/plant.results.xlsx"), "with --to", id="place that takes no files"),
    ],
)
def test_where_nothing_can_be_written_a_sentence_says_so(make, says, target: Path):
    path = make(target)

    with pytest.raises(FileRefused, match=says) as refusal:
        write_atomically(path, NEW)

    assert "was not written: " in str(refusal.value)
    assert not list(target.parent.glob("**/.kilncase-*"))


AS_NOBODY = """
import os, sys
from pathlib import Path
from econ.errors import FileRefused
from econ.workbook.safe_write import write_atomically
if os.geteuid() == 0:
    os.setuid(65534)
try:
    write_atomically(Path(sys.argv[1]), b"new")
except FileRefused as refusal:
    print(refusal)
"""


def test_a_folder_we_may_not_write_in_leaves_the_old_file():
    """Root may write anywhere, so the child gives that up first; the folder is open to all for reading."""
    with TemporaryDirectory() as name:
        target = Path(name) / "plant.results.xlsx"
        target.write_bytes(OLD)
        target.parent.chmod(0o555)

        said, errors = in_a_child(AS_NOBODY, target).communicate()

        target.parent.chmod(0o755)
        assert "may not be written by you; close it, or write elsewhere with --to" in said, errors
        assert target.read_bytes() == OLD
        assert left_in(target.parent) == [target.name]


def test_a_link_is_followed_and_permissions_are_kept(tmp_path: Path, target: Path):
    kept = tmp_path / "kept" / "real.xlsx"
    kept.parent.mkdir()
    kept.write_bytes(OLD)
    kept.chmod(0o640)
    target.symlink_to(kept)

    write_atomically(target, NEW)

    assert target.is_symlink()
    assert kept.read_bytes() == NEW
    assert stat.S_IMODE(kept.stat().st_mode) == 0o640


# --- the fingerprint ---------------------------------------------------------------------------------------


def test_a_stamped_workbook_is_as_written_and_opens(target: Path):
    target.write_bytes(stamp(results()))

    assert is_as_written(target)
    with opening(target) as checked:
        assert openpyxl.load_workbook(checked, data_only=True)["Finding"]["B2"].value == 2469.0


def test_the_same_results_give_the_same_bytes():
    """Neither the hour nor the system that packed them shows."""
    entries = zipfile.ZipFile(io.BytesIO(stamp(results()))).infolist()

    assert stamp(results()) == stamp(results())
    assert {(entry.date_time, entry.create_system) for entry in entries} == {((1980, 1, 1, 0, 0, 0), 0)}


def test_stamping_changes_the_fingerprint_and_nothing_else():
    before, after = (zipfile.ZipFile(io.BytesIO(data)) for data in (results(), stamp(results())))

    assert before.namelist() == after.namelist()
    assert [name for name in before.namelist() if before.read(name) != after.read(name)] == ["docProps/custom.xml"]
    assert len(before.read("docProps/custom.xml")) == len(after.read("docProps/custom.xml"))


@pytest.mark.parametrize(
    "data",
    [
        pytest.param(results(mark=None), id="no fingerprint"),
        pytest.param(results(mark="f" * 64), id="fingerprint not blank"),
        pytest.param(stamp(results()), id="stamped already"),
    ],
)
def test_only_a_blank_fingerprint_is_stamped(data: bytes):
    with pytest.raises(KilncaseError, match="no blank document property"):
        stamp(data)


def repacked(data: bytes, part: str, old: bytes, new: bytes) -> bytes:
    """The same parts in backward order, with one of them changed."""
    target = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(target, "w") as copy:
        for name in reversed(source.namelist()):
            content = source.read(name)
            if name == part:
                assert old in content
                content = content.replace(old, new)
            copy.writestr(name, content)
    return target.getvalue()


STAMPED = stamp(results())


@pytest.mark.parametrize(
    ("data", "same"),
    [
        pytest.param(STAMPED, True, id="untouched"),
        pytest.param(repacked(STAMPED, "xl/styles.xml", b"Calibri", b"Carlito"), True, id="font only"),
        pytest.param(repacked(STAMPED, "xl/workbook.xml", b"x", b"x"), True, id="packed anew"),
        pytest.param(repacked(STAMPED, SHEETS, b"1234.5", b"1234.6"), False, id="a value"),
        pytest.param(repacked(STAMPED, SHEETS, b"B1*2", b"B1*3"), False, id="a formula"),
        pytest.param(repacked(STAMPED, "xl/sharedStrings.xml", b"NPV", b"npv"), False, id="a word"),
        pytest.param(repacked(STAMPED, "xl/workbook.xml", b"$B$1", b"$B$2"), False, id="a defined name"),
        pytest.param(repacked(STAMPED, "xl/workbook.xml", b'"Finding"', b'"Answer"'), False, id="a sheet's name"),
        pytest.param(results(), False, id="never stamped"),
        pytest.param(results(mark=None), False, id="of another program"),
        pytest.param(b"", False, id="empty"),
        pytest.param(b"NPV,1234.5", False, id="no workbook"),
        pytest.param(STAMPED[:-40], False, id="cut short"),
    ],
)
def test_what_counts_as_written(data: bytes, same: bool, target: Path):
    target.write_bytes(data)

    assert is_as_written(target) is same


def test_what_is_not_there_is_not_as_written(target: Path):
    assert not is_as_written(target)
    assert not is_as_written(target.parent)


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(at=st.integers(0, len(STAMPED) - 1), byte=st.integers(0, 255))
def test_one_byte_anywhere_never_changes_a_number_unseen(at: int, byte: int, target: Path):
    data = bytearray(STAMPED)
    data[at] = byte
    target.write_bytes(data)

    if is_as_written(target):
        with zipfile.ZipFile(target) as changed, zipfile.ZipFile(io.BytesIO(STAMPED)) as ours:
            assert changed.read(SHEETS) == ours.read(SHEETS)


# --- results files -----------------------------------------------------------------------------------------


def test_an_untouched_results_file_is_replaced(target: Path):
    write_results_file(target, results(1.0), overwrite=False)
    write_results_file(target, results(2.0), overwrite=False)

    assert is_as_written(target)
    assert openpyxl.load_workbook(target)["Finding"]["B1"].value == 2.0


def _edited_by_a_person(target: Path) -> None:
    write_results_file(target, results(), overwrite=False)
    workbook = openpyxl.load_workbook(target)
    workbook["Finding"]["C1"] = "the bank asked about this"
    workbook.save(target)


def _saved_by_another_program(target: Path) -> None:
    write_results_file(target, results(), overwrite=False)
    openpyxl.load_workbook(target).save(target)


def _foreign(target: Path) -> None:
    target.write_bytes(b"my notes")


def _link_to_nothing(target: Path) -> None:
    target.symlink_to(target.parent / "nothing")


@pytest.mark.parametrize("make", [_edited_by_a_person, _saved_by_another_program, _foreign, _link_to_nothing])
def test_a_changed_file_is_replaced_only_when_asked(make, target: Path):
    make(target)
    before = target.read_bytes() if target.exists() else None

    with pytest.raises(FileRefused, match=r"'plant.results.xlsx' was not written: .* --overwrite"):
        write_results_file(target, results(2.0), overwrite=False)
    assert (target.read_bytes() if target.exists() else None) == before

    write_results_file(target, results(2.0), overwrite=True)
    assert is_as_written(target)
    with contextlib.closing(openpyxl.load_workbook(target, read_only=True)) as workbook:
        assert workbook["Finding"]["B1"].value == 2.0


def test_results_that_cannot_be_stamped_touch_nothing(target: Path):
    target.write_bytes(OLD)

    with pytest.raises(KilncaseError):
        write_results_file(target, results(mark=None), overwrite=True)

    assert target.read_bytes() == OLD
