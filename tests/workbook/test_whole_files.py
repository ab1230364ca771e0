"""Every file that a command writes is whole or not there: killed, on a full disk, open elsewhere, two at once.

The faults are the system's own: it kills the process at a byte or a step, refuses a file beyond a size, and fills
a disk. tests/workbook/test_safe_write.py has the one writer alone; here each command is run to the end.
"""

from __future__ import annotations

import ast
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest
import sent
from bounded import Command, environment, listing, warm
from conftest import ROOT

from econ.workbook.safe_write import is_as_written

OLD = b"an older file, all of it"
PLANTS = 12


class Writer(NamedTuple):
    """A command, the files it writes, and a size [bytes] that none of them fits in."""

    words: tuple[str, ...]
    files: tuple[str, ...]
    too_small: int = 4_000


MANY = ("folder", "plants.csv", "--base", "plant.xlsx", "--workers", "1", "--quiet")
NOTE = ("carbon-note", "plant.xlsx", "--date", "2026-11-25")
WRITERS = {
    "results": Writer(("run", "plant.xlsx", "--quiet"), ("plant.results.xlsx",)),
    "blank": Writer(("blank", "new.xlsx"), ("new.xlsx",)),
    "note": Writer((*NOTE, "--to", "note.docx"), ("note.docx",)),
    "note as text": Writer((*NOTE, "--to", "note.md"), ("note.md", "note.chart.png")),
    "comparison": Writer(
        ("compare", "plant.xlsx", "plant.xlsx", "--to", "both.xlsx", "--quiet"), ("both.xlsx",), 2_000
    ),
    "many, csv": Writer((*MANY, "--to", "many.csv"), ("many.csv",), 1_000),
    "many, parquet": Writer((*MANY, "--to", "many.parquet"), ("many.parquet",), 1_000),
    "many, workbook": Writer((*MANY, "--to", "many.xlsx"), ("many.xlsx",)),
}


@pytest.fixture(scope="module")
def command() -> Command:
    return warm()


@pytest.fixture(scope="module")
def finished(command: Command, tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """A folder with scenario and table, and the journals of the finished table."""
    place = tmp_path_factory.mktemp("finished")
    (place / "plant.xlsx").write_bytes(sent.shipped_plant())
    rows = "".join(f"plant {at},{30_000 + at}\n" for at in range(PLANTS))
    (place / "plants.csv").write_text(f"plant,kiln.price\n{rows}")
    assert command.run(*MANY, "--to", "many.csv", where=place).code == 0
    (place / "many.csv").unlink()
    return listing(place)


@pytest.fixture
def place(finished: dict[str, bytes], tmp_path: Path) -> Path:
    for name, content in finished.items():
        (tmp_path / name).write_bytes(content)
    return tmp_path


def old_files(place: Path, writer: Writer) -> dict[str, bytes]:
    """The folder before the run: an old file under every name that will be written."""
    for name in writer.files:
        (place / name).write_bytes(OLD)
    return listing(place)


def beside_hidden(found: dict[str, bytes]) -> dict[str, bytes]:
    """What a person sees: a killed run may leave a hidden file, which harms nothing."""
    return {name: content for name, content in found.items() if not name.startswith(".kilncase-")}


@pytest.mark.parametrize("name", WRITERS)
def test_a_disk_that_takes_no_more_leaves_the_old_file(name: str, command: Command, place: Path) -> None:
    writer = WRITERS[name]
    before = old_files(place, writer)
    found = command.run(*writer.words, "--overwrite", where=place, file_bytes=writer.too_small)
    assert found.code == 2, found
    assert any(f"'{file}' was not written: the file would be larger" in found.err for file in writer.files)
    assert found.err.count("\n") == 1, "one sentence"
    assert listing(place) == before


@pytest.mark.parametrize("name", ["results", "many, workbook"])
def test_killed_in_the_middle_of_a_byte_stream_leaves_the_old_file(
    name: str, command: Command, place: Path
) -> None:
    writer = WRITERS[name]
    before = old_files(place, writer)
    found = command.run(*writer.words, "--overwrite", where=place, file_bytes=writer.too_small, deadly=True)
    assert found.code == -signal.SIGXFSZ, found
    assert beside_hidden(listing(place)) == before


def test_a_journal_on_a_full_disk_loses_no_finished_plant(command: Command, place: Path) -> None:
    """Refused in the middle of a line; the next start goes on and ends with the same bytes as one undisturbed."""
    words = (*MANY[:-1], "--set", "labour.wage=25", "--to", "new.csv")
    whole = command.run(*words, where=place)
    assert whole.code == 0, whole
    undisturbed = (place / "new.csv").read_bytes()
    length = (place / "new.journal").stat().st_size
    for name in ("new.csv", "new.journal"):
        (place / name).unlink()
    refused = command.run(*words, where=place, file_bytes=length // 2)
    assert refused.code == 2, refused
    assert "'new.journal' was not written: the file would be larger" in refused.err
    assert "new.csv" not in listing(place)
    assert command.run(*words, where=place).code == 0
    assert (place / "new.csv").read_bytes() == undisturbed


STEPS = ("made", "its permissions", "filled", "forced to disk", "its permissions at last", "renamed")


@pytest.mark.parametrize("step", range(1, len(STEPS) + 1), ids=STEPS)
def test_killed_at_any_step_leaves_the_old_file(step: int, command: Command, place: Path) -> None:
    before = old_files(place, WRITERS["blank"])
    found = command.run(*WRITERS["blank"].words, "--overwrite", where=place, kill_at=step)
    assert found.code == -signal.SIGKILL, found
    assert beside_hidden(listing(place)) == before


def test_there_are_no_more_steps(command: Command, place: Path) -> None:
    old_files(place, WRITERS["blank"])
    words = (*WRITERS["blank"].words, "--overwrite")
    assert command.run(*words, where=place, kill_at=len(STEPS) + 1).code == 0
    assert (place / "new.xlsx").read_bytes() != OLD


@pytest.mark.parametrize("name", ["results", "many, csv"])
def test_killed_just_before_the_new_name(name: str, command: Command, place: Path) -> None:
    """The new file is whole on the disk, and the old one still has the name."""
    writer = WRITERS[name]
    before = old_files(place, writer)
    found = command.run(*writer.words, "--overwrite", where=place, kill_at=len(STEPS))
    assert found.code == -signal.SIGKILL, found
    left = listing(place)
    assert beside_hidden(left) == before
    assert len(left) == len(before) + 1


@pytest.fixture
def full_disk(place: Path) -> Iterator[Path]:
    """A disk of 256 kB that has 2 kB left, where mounting is allowed."""
    disk = place / "disk"
    disk.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", str(disk)]
    if os.geteuid() != 0 or subprocess.run(mount, capture_output=True, check=False).returncode != 0:
        pytest.skip("mounting a small disk is not allowed here; the limit on the size of files stands in for it")
    try:
        yield disk
    finally:
        subprocess.run(["umount", str(disk)], check=True)


def test_a_disk_that_is_really_full(full_disk: Path, command: Command) -> None:
    place = full_disk.parent
    target = full_disk / "old.xlsx"
    target.write_bytes(OLD)
    with (full_disk / "filler").open("wb") as filler:
        filler.write(bytes(256 * 1024 - 4 * 4096))
    before = listing(full_disk)
    for words in (("blank", target), (*MANY, "--to", target)):
        found = command.run(*words, "--overwrite", where=place)
        assert found.code == 2, found
        assert "was not written: the disk is full; make room" in found.err
        assert listing(full_disk) == before


def test_a_file_that_the_system_holds_fast_is_left_alone(command: Command, place: Path) -> None:
    """As an office program on another system holds the file it has open: no one may replace it."""
    target = place / "plant.results.xlsx"
    target.write_bytes(OLD)
    if subprocess.run(["chattr", "+i", str(target)], capture_output=True, check=False).returncode != 0:
        pytest.skip("files cannot be held fast on this disk; test_safe_write.py has a folder closed to us")
    try:
        before = listing(place)
        found = command.run("run", "plant.xlsx", "--overwrite", where=place)
        assert listing(place) == before
    finally:
        subprocess.run(["chattr", "-i", str(target)], check=True)
    assert found.code == 2, found
    assert "it is open in another program or may not be written by you; close it, or write elsewhere" in found.err


def test_two_programs_at_once_leave_one_whole_file(place: Path) -> None:
    programs = [
        subprocess.Popen(
            [sys.executable, "-m", "econ.cli", "run", "plant.xlsx", "--quiet", "--to", "plant.results.xlsx",
             "--samples", "500", "--set", f"kiln.price={price}"],
            cwd=place, env=environment(),
        )
        for price in (30_000, 50_000)
    ]  # fmt: skip
    assert [program.wait(timeout=120) for program in programs] == [0, 0]
    assert is_as_written(place / "plant.results.xlsx")
    assert [name for name in listing(place) if "kilncase" in name] == []


# --- nothing else writes -------------------------------------------------------------------------------------

MAY_WRITE = {
    "econ/workbook/safe_write.py": "the one writer",
    "econ/many/journal.py": "appends whole lines and cuts off a torn one",
    "econ/many/folder.py": "fills the hidden file that safe_write renames",
    "econ/many/plant_records.py": "a copy of a workbook in the system's folder of temporary files",
    "econ/workbook/places.py": "what LibreOffice prints, in a folder of its own that goes again",
    "econ/workbook/ship.py": "starts the program that draws the pictures of the README",
}
WRITES = {"write_bytes", "write_text", "rename", "touch", "truncate", "symlink_to"}


def writes(call: ast.Call) -> bool:
    """Whether a call opens a file to write, or puts one in place."""
    function = call.func
    name = function.attr if isinstance(function, ast.Attribute) else getattr(function, "id", "")
    if name == "open":
        modes = [arg.value for arg in (*call.args, *(key.value for key in call.keywords))
                 if isinstance(arg, ast.Constant) and isinstance(arg.value, str)]  # fmt: skip
        return any(set(mode) & set("wax+") and len(mode) <= 3 for mode in modes)
    module = getattr(function.value, "id", "") if isinstance(function, ast.Attribute) else ""
    of_table = any(key.arg == "columns" for key in call.keywords)
    return (
        (name in WRITES and not of_table)
        or module == "shutil"
        or (module == "os" and name in {"replace", "link", "symlink"})
    )


def test_only_the_safe_writer_writes() -> None:
    found = {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "econ").rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and writes(node)
    }
    assert found == set(MAY_WRITE)
