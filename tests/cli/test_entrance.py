"""How a person comes in: no words, a workbook alone, --version."""

from __future__ import annotations

import platform
import subprocess
import sys
from pathlib import Path

from books import book
from typer.testing import CliRunner

from econ.cli import app, with_command

runner = CliRunner()


def test_without_words_it_says_what_to_do_next() -> None:
    found = runner.invoke(app, [])
    assert found.exit_code == 0
    assert "What to do next" in found.stdout
    assert max(map(len, found.stdout.splitlines())) <= 100


def test_a_workbook_alone_is_run(tmp_path: Path) -> None:
    path = book(tmp_path / "dragged.xlsx", {})
    program = str(Path(sys.executable).with_name("kilncase"))
    found = subprocess.run([program, str(path)], capture_output=True, text=True, check=True)
    assert "Net present value" in found.stdout
    assert (tmp_path / "dragged.results.xlsx").exists()


def test_other_words_are_left_alone() -> None:
    assert with_command(["factors", "propane"]) == ["factors", "propane"]
    assert with_command(["A.XLSX", "--quiet"]) == ["run", "A.XLSX", "--quiet"]
    assert with_command([]) == []


def test_version_names_python_and_the_data() -> None:
    found = runner.invoke(app, ["--version"])
    assert found.exit_code == 0
    assert platform.python_version() in found.stdout
    assert "schema edition 1" in found.stdout
