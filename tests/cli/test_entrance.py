"""How a person comes in: no words, a workbook alone, --version."""

from __future__ import annotations

import platform
import re
import subprocess
import sys
from collections.abc import Iterator
from importlib.metadata import version
from pathlib import Path

import pytest
from books import book
from conftest import ROOT, plant
from typer.testing import CliRunner

from econ.answer.appraisal import appraise
from econ.answer.second_look import second_look
from econ.cli import app, with_command
from econ.evidence.factors import factors
from econ.evidence.used import edition, shipped_edition
from econ.inputs.schema import EDITION
from econ.questions.latin import Sampling

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


@pytest.fixture
def own_tables(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[Path]:
    """A copy of the package's tables that may be edited, with other ends of lines, in place of the package."""
    for table in [*(ROOT / "econ").rglob("*.csv"), *(ROOT / "econ").rglob("*.toml")]:
        copy = tmp_path / table.relative_to(ROOT / "econ")
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_bytes(table.read_bytes().replace(b"\n", b"\r\n"))
    (tmp_path / "evidence" / "edition.txt").write_text(shipped_edition())
    (tmp_path / "remarks.txt").write_text("no table")
    monkeypatch.setattr("econ.evidence.used.HOME", tmp_path)
    edition.cache_clear()
    yield tmp_path
    monkeypatch.undo()
    edition.cache_clear()


def test_the_tables_are_those_that_ship() -> None:
    """Mend with `python -m econ.workbook.ship`."""
    assert edition() == shipped_edition()


def test_ends_of_lines_and_other_files_make_no_edition(own_tables: Path) -> None:
    assert edition() == shipped_edition()


@pytest.mark.parametrize("name", ["evidence/factors.csv", "units.csv", "inputs/sheets/money.toml"])
def test_a_table_edited_in_an_installed_copy_is_noticed(name: str, own_tables: Path) -> None:
    """In --version, on the page Checks, and as a caution."""
    table = own_tables / name
    table.write_bytes(table.read_bytes() + b"# \r\n")
    words = f"{edition()} (edited here: this version shipped with {shipped_edition()})"
    assert edition() != shipped_edition()
    assert words in runner.invoke(app, ["--version"]).stdout
    results = appraise(plant("low-sedge"), Sampling(200))
    assert ("Data tables are those of this version", False, f"data edition {words}") in second_look(results)
    assert [one.id for one in results.cautions].count("data-edited") == 1
