"""How a person comes in: no words, a workbook alone, --version."""

from __future__ import annotations

import platform
import re
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import pytest
from books import book
from conftest import ROOT
from typer.testing import CliRunner

from econ.cli import app, with_command
from econ.evidence import factors
from econ.evidence.edition import edition
from econ.inputs.schema import EDITION

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
    first, second = found.stdout.splitlines()
    assert first == f"kilncase {version('kilncase')}, Python {platform.python_version()}"
    assert (
        second == f"data edition {edition()}, {len(factors())} factors in the evidence; schema edition {EDITION}"
    )
    assert re.fullmatch("[0-9a-f]{8}", edition())


def test_the_edition_of_the_data_changes_with_any_figure(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """And with nothing else: not with the ends of lines that some systems write, nor with other files."""
    for table in (ROOT / "econ" / "evidence").glob("*.csv"):
        (tmp_path / table.name).write_bytes(table.read_bytes().replace(b"\n", b"\r\n"))
    (tmp_path / "remarks.txt").write_text("no table")
    own = edition()
    monkeypatch.setattr("econ.evidence.edition.files", lambda _: tmp_path)
    assert edition.__wrapped__() == own
    table = tmp_path / "factors.csv"
    table.write_bytes(table.read_bytes().replace(b"1", b"2", 1))
    assert edition.__wrapped__() != own
