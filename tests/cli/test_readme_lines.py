"""Every line of the README that starts the command, with an empty HOME, no locale and no terminal."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from conftest import ROOT

LINE = re.compile(r"^ {4}\.venv/bin/kilncase (.+?)(?: {2,}#.*)?$", re.MULTILINE)
LINES = LINE.findall((ROOT / "README.md").read_text(encoding="utf-8"))
BARE = {"HOME": "", "USERPROFILE": "", "PATH": "", "LC_ALL": "C", "PYTHONPATH": str(ROOT)}


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


def test_the_readme_shows_how() -> None:
    assert {line.split()[0] for line in LINES} >= {"blank", "review", "run", "compare", "carbon-note", "folder"}


@pytest.mark.parametrize("line", LINES)
def test_the_line_runs_bare(line: str, place: Path) -> None:
    words = shlex.split(line)
    if words[0] == "blank":
        words[1] = "new.xlsx"
    done = subprocess.run(
        [sys.executable, "-m", "econ.cli", *words], cwd=place, env=BARE, stdin=subprocess.DEVNULL,
        capture_output=True, timeout=300,
    )  # fmt: skip
    said = done.stderr.decode("utf-8")
    if words[0] == "print":  # with an empty PATH there is no LibreOffice: it says how to print by hand
        assert (done.returncode, "to print by hand" in said) == (2, True), said
    else:
        assert done.returncode == 0, said
        assert done.stdout
    assert "\r" not in said, "no progress where nobody sees it"
    assert "Traceback" not in said
    if words[0] == "blank":
        (place / "new.xlsx").unlink()
