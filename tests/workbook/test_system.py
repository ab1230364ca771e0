"""Windows, as far as it can be tried elsewhere: its parts replaced, names that it allows, calls kept in one place.

The rules of names and of the 260 characters: Microsoft, "Naming Files, Paths, and Namespaces" (from memory);
winerror 32 and 33 are ERROR_SHARING_VIOLATION and ERROR_LOCK_VIOLATION.
"""

from __future__ import annotations

import ast
import errno
import subprocess
import sys
from collections import Counter
from pathlib import Path, PureWindowsPath

import pytest

from econ.errors import FileRefused
from econ.many.journal import Journal
from econ.workbook import places, safe_write

POSIX_ONLY = {"fcntl", "resource", "pwd", "grp", "termios", "tty", "pty", "syslog"}
POSIX_CALLS = {
    "fork", "getuid", "geteuid", "getgid", "chown", "fchmod", "mkfifo", "uname", "O_DIRECTORY", "O_NOFOLLOW",
    "SIGALRM", "SIGHUP", "SIGKILL", "setrlimit", "flock", "nice",
}  # fmt: skip
ONE_SYSTEM = POSIX_ONLY | POSIX_CALLS | {"msvcrt", "winreg"}
RESERVED = {"con", "prn", "aux", "nul", *(f"{name}{n}" for name in ("com", "lpt") for n in range(1, 10))}


class FakeLocks:
    """What msvcrt does: a byte range is taken once."""

    LK_NBLCK = 2

    def __init__(self) -> None:
        self.taken: set[tuple[int, int]] = set()

    def locking(self, descriptor: int, mode: int, count: int) -> None:
        import os

        place = (os.fstat(descriptor).st_ino, os.lseek(descriptor, 0, os.SEEK_CUR))
        if place in self.taken:
            raise OSError(errno.EACCES, "Permission denied")
        self.taken.add(place)


@pytest.fixture
def windows(monkeypatch: pytest.MonkeyPatch) -> FakeLocks:
    """The Windows side of the house: no fcntl, another library for locks, no folder that can be opened."""
    locks = FakeLocks()
    monkeypatch.setattr(places, "WINDOWS", True)
    monkeypatch.setitem(sys.modules, "fcntl", None)
    monkeypatch.setitem(sys.modules, "msvcrt", locks)
    return locks


@pytest.mark.usefixtures("windows")
def test_one_process_at_a_time_writes_a_journal(tmp_path: Path) -> None:
    path = tmp_path / "plants.kilncase-journal"
    with Journal(path) as first:
        first.append([{"key": "a", "fault": "", "figures": {}, "inputs": {}}])
        with pytest.raises(FileRefused, match="is in use"):
            Journal(path)
        assert first["a"]["key"] == "a"
    assert path.exists()


@pytest.mark.usefixtures("windows")
def test_an_empty_journal_goes_again(tmp_path: Path) -> None:
    path = tmp_path / "plants.kilncase-journal"
    Journal(path).close()
    assert not path.exists()


@pytest.mark.usefixtures("windows")
def test_a_file_is_written_whole_without_opening_its_folder(tmp_path: Path) -> None:
    safe_write.write_atomically(tmp_path / "a.xlsx", b"whole")
    assert [path.name for path in tmp_path.iterdir()] == ["a.xlsx"]


@pytest.mark.parametrize(
    ("mark", "odd", "says"),
    [
        ("~$plant.xlsx", {}, "Excel has it open; close it there"),
        (".~lock.plant.xlsx#", {}, "LibreOffice has it open; close it there"),
        ("", {"winerror": 32}, "another program has it open; close it there"),
        ("", {}, "open in another program or may not be written by you"),
    ],
)
def test_a_file_held_open_has_its_own_sentence(
    mark: str, odd: dict[str, int], says: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        fault = PermissionError(errno.EACCES, "Access is denied")
        for name, value in odd.items():
            setattr(fault, name, value)
        raise fault

    if mark:
        (tmp_path / mark).touch()
    monkeypatch.setattr(safe_write.os, "replace", refuse)
    with pytest.raises(FileRefused, match=says):
        safe_write.write_atomically(tmp_path / "plant.xlsx", b"new")
    assert not list(tmp_path.glob(".kilncase-*"))


@pytest.mark.usefixtures("windows")
def test_long_paths_carry_the_mark_of_long_paths() -> None:
    short, long = Path("a") / "b.xlsx", Path("/", *["d" * 50] * 6) / "plant.xlsx"
    assert places.openable(short) == short
    assert str(places.openable(long)).startswith("\\\\?\\")


def test_elsewhere_a_path_stays_as_it_is() -> None:
    assert places.real(Path("/tmp")) == Path("/tmp").resolve()


def names_in(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module.split(".")[0])
        elif isinstance(node, ast.Attribute):
            found.add(node.attr)
    return found


def test_calls_of_one_system_stand_in_one_module(root: Path) -> None:
    wrong = {
        str(path.relative_to(root)): used
        for path in (root / "econ").rglob("*.py")
        if path.name != "places.py"
        and (used := names_in(path) & (POSIX_ONLY | POSIX_CALLS | {"msvcrt", "winreg"}))
    }
    assert not wrong


def test_every_text_file_is_opened_with_its_encoding(root: Path) -> None:
    """Windows would take its own code page: every open and read_text in text mode names UTF-8."""
    wrong = []
    for path in (root / "econ").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            name = getattr(node.func, "attr", getattr(node.func, "id", ""))
            words = [ast.unparse(arg) for arg in (*node.args, *(keyword.value for keyword in node.keywords))]
            has_mode = any(word.strip("'") in {"rb", "wb", "ab", "xb", "r+b", "a+b"} for word in words)
            encoded = any(keyword.arg == "encoding" for keyword in node.keywords)
            if name in {"read_text", "write_text"} and not encoded:
                wrong.append(f"{path.relative_to(root)}:{node.lineno}")
            if isinstance(node.func, ast.Name) and name == "open" and not (has_mode or encoded):
                wrong.append(f"{path.relative_to(root)}:{node.lineno}")
    assert not wrong


def test_every_file_name_is_legal_on_windows(root: Path) -> None:
    tracked = subprocess.run(["git", "ls-files"], cwd=root, capture_output=True, text=True, check=True).stdout
    names = tracked.splitlines()
    assert not [name for name in names if set('<>:"\\|?*') & set(name)]
    parts = {part for name in names for part in PureWindowsPath(name).parts}
    assert not [part for part in parts if part.split(".")[0].lower() in RESERVED or part.endswith((".", " "))]
    assert not [name for name, count in Counter(name.lower() for name in names).items() if count > 1]
    assert max(map(len, names)) < 120


def test_the_command_runs_with_the_parts_of_windows_replaced(root: Path, tmp_path: Path) -> None:
    """A whole run and a whole folder in one process that has no fcntl, HOME, locale or terminal."""
    program = (
        "import sys, types, typer, joblib\n"  # they ask for the system themselves
        "sys.modules['fcntl'] = None\n"
        "sys.modules['msvcrt'] = types.SimpleNamespace(LK_NBLCK=2, locking=lambda *_: None)\n"
        "from econ.workbook import places; places.WINDOWS = True\n"
        "from econ.cli import main\n"
        f"sys.argv = ['kilncase', 'folder', {str(tmp_path / 'in')!r}, '--to', {str(tmp_path / 'out.csv')!r},"
        " '--workers', '1']\n"
        "main()\n"
    )
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "low-sedge.xlsx").write_bytes((root / "scenarios" / "low-sedge.xlsx").read_bytes())
    env = {"PYTHONPATH": str(root), "HOME": "", "LC_ALL": "C", "PATH": ""}
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, env=env)
    assert done.returncode == 0, done.stderr.decode()
    assert (tmp_path / "out.csv").exists()


def test_a_lock_file_of_a_spreadsheet_program_is_no_plant(tmp_path: Path) -> None:
    assert places.holder(tmp_path / "plant.xlsx") == ""
