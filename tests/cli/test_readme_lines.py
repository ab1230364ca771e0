"""Every line of the README that starts the command, with an empty HOME, no locale and no terminal.

Those that start workers, and the first, are processes from nothing, the others forks of one that began so bare.
"""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from bounded import MEMORY, Answer, Command
from conftest import ROOT

LINE = re.compile(r"^ {4}\.venv/bin/kilncase (.+?)(?: {2,}#.*)?$", re.MULTILINE)
LINES = LINE.findall((ROOT / "README.md").read_text(encoding="utf-8"))
BARE = {"HOME": "", "USERPROFILE": "", "PATH": "", "LC_ALL": "C", "PYTHONPATH": str(ROOT)}
ALONE = ("blank", "folder")


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the workbooks that the lines name."""
    here = tmp_path_factory.mktemp("readme")
    (here / "plants").mkdir()
    for name in ("my-plant.xlsx", "a.xlsx", "plants/one.xlsx"):
        shutil.copyfile(ROOT / "scenarios" / "thistle-flat.xlsx", here / name)
    for name in ("b.xlsx", "plants/two.xlsx"):
        shutil.copyfile(ROOT / "scenarios" / "low-sedge.xlsx", here / name)
    return here


@pytest.fixture(scope="module")
def command() -> Iterator[Command]:
    found = Command({**BARE, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"})
    yield found
    found.close()


def from_nothing(words: list[str], place: Path) -> Answer:
    done = subprocess.run(
        [sys.executable, "-m", "econ.cli", *words], cwd=place, env=BARE, stdin=subprocess.DEVNULL,
        capture_output=True, timeout=300,
    )  # fmt: skip
    return Answer(done.returncode, done.stdout.decode("utf-8"), done.stderr.decode("utf-8"))


def test_the_readme_shows_how() -> None:
    assert {line.split()[0] for line in LINES} >= {"blank", "review", "run", "compare", "carbon-note", "folder"}


@pytest.mark.parametrize("line", LINES)
def test_the_line_runs_bare(line: str, command: Command, place: Path) -> None:
    words = shlex.split(line)
    if words[0] == "blank":
        words[1] = "new.xlsx"
    bare = words[0] in ALONE
    done = from_nothing(words, place) if bare else command.run(*words, where=place, memory=4 * MEMORY, cpu_s=60)
    said = done.err
    if words[0] == "print":  # with an empty PATH there is no LibreOffice: it says how to print by hand
        assert (done.code, "to print by hand" in said) == (2, True), said
    else:
        assert done.code == 0, said
        assert done.out
    assert "\r" not in said, "no progress where nobody sees it"
    assert "Traceback" not in said
    if words[0] == "blank":
        (place / "new.xlsx").unlink()
