"""Paths, streams and interrupts: one sentence, the right exit code, nothing left behind.

The system itself refuses: tests run without the powers that let root read what is locked.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import openpyxl
import pytest
from bounded import alone, environment, listing, warm
from conftest import ROOT
from handmade import BOOK, edited

from econ.workbook import places

LONG = "x" * 300
PROGRAM = [sys.executable, "-m", "econ.cli"]


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A folder with the plant that the warm process knows, and one that nobody may enter."""
    (tmp_path / "p.xlsx").write_bytes((ROOT / "scenarios" / "thistle-flat.xlsx").read_bytes())
    (tmp_path / "locked").mkdir(mode=0o000)
    return tmp_path


NO_NAME = "no file was named: give the name of a file with --to"
TOO_LONG = "was not written: its name is too long; choose a shorter one with --to"
NOT_YOURS = "was not written: it is open in another program or may not be written by you"
NOT_READ = "cannot be read (Permission denied); check the name and your permission"
PATHS = [
    pytest.param(("run", "locked/p.xlsx"), NOT_READ, id="run, locked folder"),
    pytest.param(("run", f"{LONG}.xlsx"), "its name is too long for this system", id="run, long name"),
    pytest.param(("run", "p.xlsx", "--quiet", "--to", ""), NO_NAME, id="run to nothing"),
    pytest.param(("run", "p.xlsx", "--quiet", "--to", "."), NO_NAME, id="run to here"),
    pytest.param(("run", "p.xlsx", "--quiet", "--to", "locked"), "must end in .xlsx", id="run to a folder"),
    pytest.param(("run", "p.xlsx", "--quiet", "--to", "locked/r.xlsx"), NOT_YOURS, id="run to a locked folder"),
    pytest.param(("run", "p.xlsx", "--quiet", "--to", f"{LONG}.xlsx"), TOO_LONG, id="run to a long name"),
    pytest.param(("carbon-note", "p.xlsx", "--to", "locked/n.docx"), NOT_YOURS, id="note, locked"),
    pytest.param(("carbon-note", "p.xlsx", "--to", f"{LONG}.docx"), TOO_LONG, id="note, long name"),
    pytest.param(("carbon-note", "p.xlsx", "--to", ""), NO_NAME, id="note to nothing"),
    pytest.param(("blank", "locked/b.xlsx"), NOT_YOURS, id="blank, locked"),
    pytest.param(("blank", f"{LONG}.xlsx"), TOO_LONG, id="blank, long name"),
    pytest.param(("blank", ""), NO_NAME, id="blank, nothing"),
    pytest.param(("blank", "b.xls"), "its name must end in .xlsx", id="blank, another kind of file"),
    pytest.param(("folder", ".", "--to", "locked/x.csv"), NOT_YOURS, id="folder, locked results"),
    pytest.param(("folder", "locked/p.csv", "--base", "p.xlsx"), NOT_READ, id="folder, locked table"),
    pytest.param(("folder", LONG), "its name is too long for this system", id="folder, long name"),
    pytest.param(("folder", ".", "--to", ""), NO_NAME, id="folder to nothing"),
    pytest.param(("compare", "p.xlsx", "locked/q.xlsx"), NOT_READ, id="compare, locked"),
]


@pytest.mark.skipif(sys.platform != "linux", reason="root lays down its powers as Linux has it")
@pytest.mark.parametrize(("words", "says"), PATHS)
def test_a_path_that_cannot_be_used_is_one_sentence(words: tuple[str, ...], says: str, place: Path) -> None:
    before = listing(place)
    found = warm().run(*words, where=place, powerless=os.geteuid() == 0)
    assert found.code == 2, found
    assert says in found.err
    assert found.err.count("\n") == 1, "one sentence"
    assert len(found.err) < 300
    assert listing(place) == before


def test_read_only_results_are_replaced_only_when_asked(place: Path) -> None:
    assert warm().run("run", "p.xlsx", "--quiet", where=place).code == 0
    results = place / "p.results.xlsx"
    results.chmod(0o444)
    refused = warm().run("run", "p.xlsx", "--quiet", where=place)
    assert refused.code == 2
    assert "'p.results.xlsx' was not written: the file there is read-only" in refused.err
    assert warm().run("run", "p.xlsx", "--quiet", "--overwrite", where=place).code == 0


FULL = "The output could not be written (No space left on device). "
STREAMS = [
    pytest.param("run p.xlsx --samples 500 >/dev/full", 1,
                 FULL + "Written before that: p.results.xlsx; nothing else.\n",
                 id="a full output after the results are written"),
    pytest.param("factors >/dev/full", 1, FULL + "Nothing was written.\n", id="a full output, nothing written"),
    pytest.param("--help >/dev/full", 1, FULL + "Nothing was written.\n", id="help into a full output"),
    pytest.param("factors >&-", 1, "The output could not be written (it is closed). Nothing was written.\n",
                 id="a closed output"),
    pytest.param("run p.xlsx --samples 500 --quiet >&-", 0, "", id="nothing to say, so nothing lost"),
    pytest.param("factors | head -1 >/dev/null", 0, "", id="a reader who has read enough"),
    pytest.param("factors 2>&- >/dev/null", 0, "", id="nowhere for errors"),
]  # fmt: skip


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="needs /dev/full")
@pytest.mark.parametrize(("line", "code", "says"), STREAMS)
def test_an_output_that_takes_no_more(line: str, code: int, says: str, place: Path) -> None:
    shell = f"{sys.executable} -m econ.cli {line}"
    done = subprocess.run(["sh", "-c", shell], cwd=place, env=environment(), capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (code, says)


STOP_AFTER_S = (0.6, 1.2, 2.4)


@pytest.mark.skipif(os.name != "posix", reason="sends a signal")
@pytest.mark.parametrize("seconds", STOP_AFTER_S)
def test_an_interrupt_says_what_was_written(seconds: float, place: Path) -> None:
    before = listing(place)
    words = ["run", "p.xlsx", "--samples", "5000000"]  # far longer than any of the waits
    with subprocess.Popen([*PROGRAM, *words], cwd=place, env=environment(), stderr=subprocess.PIPE) as running:
        time.sleep(seconds)
        running.send_signal(signal.SIGINT)
        _, err = running.communicate(timeout=60)
    assert (running.returncode, err.decode()) == (130, "Stopped. Nothing was written.\n")
    assert listing(place) == before


def test_quiet_still_says_why_nothing_was_usable(tmp_path: Path) -> None:
    (tmp_path / "a.xlsx").write_text("no workbook")
    (tmp_path / "b.xlsx").write_text("no workbook")
    found = warm().run("folder", ".", "--quiet", "--to", "x.csv", "--workers", "1", where=tmp_path)
    assert found.code == 2
    assert found.err.startswith("None of the plants could be used. a (a.xlsx): ")
    assert found.err.endswith("; and 1 more\n")
    assert found.err.count("\n") == 1


def test_one_wrong_file_is_one_sentence(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.save(tmp_path / "other.xlsx")
    found = warm().run("run", "other.xlsx", where=tmp_path)
    assert found.code == 2
    assert len(found.err.splitlines()) == 2, found.err  # how many errors, and the one


@pytest.mark.parametrize("state", ["hidden", "veryHidden"])
def test_a_hidden_input_sheet_is_read_with_a_caution(state: str, place: Path) -> None:
    named, plant = '<sheet name="Carbon" ', (place / "p.xlsx").read_bytes()
    (place / "h.xlsx").write_bytes(edited(BOOK, named, f'{named}state="{state}" ', plant))
    found = warm().run("review", "h.xlsx", where=place)
    assert found.code == 0
    assert "The sheet 'Carbon' is hidden, and was read all the same" in found.out


def test_a_full_folder_for_temporary_files_is_blamed_as_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(places.tempfile, "gettempdir", lambda: "/somewhere/tmp")
    blamed = "the folder for temporary files, '/somewhere/tmp', is full"
    with pytest.raises(places.FileRefused, match=blamed), places.in_words(Path("r.xlsx")):
        raise OSError(28, "No space left on device", "/somewhere/tmp/tmpabc")
    with pytest.raises(places.FileRefused, match="the disk is full"), places.in_words(Path("r.xlsx")):
        raise OSError(28, "No space left on device", "/elsewhere/r.xlsx")


def test_the_installed_program_starts_and_stops(place: Path) -> None:
    assert alone("run", "p.xlsx", "--quiet", "--samples", "500", where=place).code == 0
