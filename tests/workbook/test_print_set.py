"""The pages to hand over: what the command does, and what stands on paper."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from books import book
from typer.testing import CliRunner

from econ.cli import app
from econ.workbook import results_book
from econ.workbook.desk import PRINT_SET
from econ.workbook.safe_write import sealed

PDF = b"%PDF-1.7 in place of what LibreOffice makes\n"


def ask(*words: object) -> tuple[int, str]:
    found = CliRunner().invoke(app, ["print", *map(str, words)])
    return found.exit_code, " ".join(found.output.split())


def test_one_pdf_beside_the_workbook_and_never_over_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(results_book, "pdf_of", lambda workbook: PDF)
    scenario, target = book(tmp_path / "my-plant.xlsx", {}), tmp_path / "my-plant.print.pdf"
    assert ask(scenario)[0] == ask(scenario, "--set", "kiln.price=41000 USD")[0] == 0
    assert target.read_bytes() == sealed(PDF, "%{}")
    target.write_bytes(b"somebody's own")
    assert ask(scenario)[0] == ask(scenario, "--to", tmp_path / "x.doc")[0] == 2
    assert target.read_bytes() == b"somebody's own"
    assert ask(scenario, "--overwrite")[0] == 0


def test_without_libreoffice_it_says_how_to_print_by_hand(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def hangs(workbook: bytes) -> bytes:
        raise subprocess.TimeoutExpired("soffice", 180)

    scenario = book(tmp_path / "my-plant.xlsx", {})
    for program, words in ((lambda workbook: None, "is not installed"), (hangs, "did not finish")):
        monkeypatch.setattr(results_book, "pdf_of", program)
        code, said = ask(scenario)
        assert code == 2
        for part in (words, "by hand", f"tab {PRINT_SET[0]},", f"tab {PRINT_SET[-1]},"):
            assert part in said
    assert not list(tmp_path.glob("*.pdf"))
