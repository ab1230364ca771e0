"""Stopped at any moment and started again: nothing twice, nothing lost, and the same bytes in the end."""

from __future__ import annotations

import errno
import json
import os
import random
import signal
import subprocess
import time
from collections import Counter
from itertools import cycle
from multiprocessing import get_context
from multiprocessing.process import BaseProcess
from pathlib import Path

import pytest
from many_plants import BASE, HEADINGS, command, environment, fill_folder, plant_rows, read_results, write_table

from econ.cli import main
from econ.errors import FileRefused
from econ.many import plant_records
from econ.many.folder import Task, run_folder
from econ.many.journal import Journal

pytestmark = pytest.mark.usefixtures("reading_once")
needs_kill = pytest.mark.skipif(not hasattr(os, "killpg"), reason="no process groups on this system")


def keys(journal: Path) -> list[str]:
    """Keys of the whole lines, in the order in which plants were finished."""
    lines = journal.read_bytes().splitlines(keepends=True)
    found = [json.loads(line) for line in lines if line.endswith(b"\n")]
    return [item["key"] for item in found if "key" in item]


def killed_among(count: int, to: Path, workers: int) -> tuple[Path, list[str]]:
    """A table of so many plants, and the keys finished when SIGKILL met the whole process group."""
    ways = ("compost", "render", "landfill", "composting", "renderer")  # other words: worked out apart
    rows = [(*row, way) for row, way in zip(plant_rows(count), cycle(ways), strict=False)]
    table = write_table(to.with_name("plants.csv"), rows, (*HEADINGS, "current.option"))
    journal = to.with_suffix(".journal")
    words = command(table, "--base", BASE, "--to", to, "--workers", workers, "--quiet")
    process = subprocess.Popen(words, env=environment(), start_new_session=True)
    until = time.monotonic() + 120
    while not (journal.exists() and keys(journal)):
        assert process.poll() is None, "it ended before it could be killed"
        assert time.monotonic() < until
        time.sleep(0.01)
    os.killpg(process.pid, signal.SIGKILL)
    assert process.wait() in (0, -signal.SIGKILL)
    return table, keys(journal)


@needs_kill
@pytest.mark.parametrize("workers", [1, 2])
def test_killed_in_the_middle_and_started_again(tmp_path: Path, workers: int) -> None:
    """SIGKILL to the whole process group as soon as some plants, and not all, are in the journal."""
    if workers > 1:
        pytest.importorskip("joblib")
    to, journal = tmp_path / "r.csv", tmp_path / "r.journal"
    for count in (200, 1_000, 5_000):  # on a busy machine a small table may be done before the signal comes
        journal.unlink(missing_ok=True)
        to.unlink(missing_ok=True)
        table, before = killed_among(count, to, workers)
        if len(before) < count:
            break
    assert 0 < len(before) < count
    assert not to.exists()

    outcome = run_folder(Task(table, to, BASE, workers=1, samples=0))
    after = keys(journal)
    assert (outcome.done.found_finished, outcome.done.run_now) == (len(before), count - len(before))
    assert after[: len(before)] == before
    assert set(Counter(after).values()) == {1}
    assert len(after) == count
    run_folder(Task(table, tmp_path / "undisturbed.csv", BASE, workers=1, samples=0))
    assert to.read_bytes() == (tmp_path / "undisturbed.csv").read_bytes()


def folder(table: Path, to: Path) -> list[str]:
    return [str(word) for word in
            ("folder", "--samples", 0, table, "--base", BASE, "--to", to, "--workers", 1, "--quiet")]  # fmt: skip


def begun(patch: pytest.MonkeyPatch, *words: str) -> BaseProcess:
    """The command in a fork of one warm process, which has loaded its modules: kills fall on its work."""
    forks = get_context("forkserver")
    forks.set_forkserver_preload(["econ.cli", "econ.many.folder", "econ.many.book", "openpyxl", "xlsxwriter"])
    patch.setattr("sys.argv", ["kilncase", *words])  # a process starts with those of its parent
    process = forks.Process(target=main)
    process.start()
    return process


@needs_kill
@pytest.mark.slow
def test_killed_at_ten_random_places_and_started_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """SIGKILL at any moment, before the first plant or while results are written: the same bytes in the end."""
    chance, kills = random.Random(31), 0
    table = write_table(tmp_path / "plants.csv", plant_rows(120))
    begun(monkeypatch, "--version").join()  # so that the one warm process is there
    start = time.monotonic()
    for ending in ("csv", "xlsx"):
        process = begun(monkeypatch, *folder(table, tmp_path / f"whole.{ending}"))
        process.join()
        assert process.exitcode == 0
    usual = (time.monotonic() - start) / 2
    for ending in ("csv", "xlsx"):
        for at in range(5):
            to = tmp_path / f"{at}.{ending}"
            process = begun(monkeypatch, *folder(table, to))
            process.join(chance.uniform(0.1, 1.0) * usual)
            process.kill()
            process.join()
            kills += process.exitcode == -signal.SIGKILL
            run_folder(Task(table, to, BASE, workers=1, samples=0))
            assert to.read_bytes() == (tmp_path / f"whole.{ending}").read_bytes()
    assert kills >= 5
    assert {path.suffix for path in tmp_path.iterdir()} == {".csv", ".xlsx", ".journal"}


def test_a_journal_cut_at_any_byte_loses_only_the_line_it_cuts(tmp_path: Path) -> None:
    """A power cut may leave any beginning of the file."""
    whole = tmp_path / "whole.journal"
    with Journal(whole) as journal:
        journal.append({"key": f"k{at}", "fault": "", "figures": {"npv": at / 3}, "inputs": {}} for at in range(4))
    data = whole.read_bytes()
    for cut in range(len(data) + 1):
        torn = tmp_path / "torn.journal"
        torn.write_bytes(data[:cut])
        lines = max(data[:cut].count(b"\n") - 1, 0)
        with Journal(torn) as journal:
            assert len(journal) == lines
            journal.append(
                {"key": f"k{at}", "fault": "", "figures": {"npv": at / 3}, "inputs": {}} for at in range(4)
            )
            assert [journal[f"k{at}"]["figures"]["npv"] for at in range(4)] == [at / 3 for at in range(4)]
        assert torn.read_bytes() == data


def test_a_second_start_runs_nothing_and_a_changed_or_new_file_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = fill_folder(tmp_path / "county", ["36000", "40000"])
    first = run_folder(Task(folder, workers=1, samples=0))
    kept = first.target.read_bytes()
    again = run_folder(Task(folder, workers=1, samples=0))
    assert (again.done.run_now, again.done.found_finished) == (0, 3)
    assert again.target.read_bytes() == kept
    fill_folder(tmp_path / "other", ["42000"])
    (tmp_path / "other" / "plant-0.xlsx").replace(folder / "plant-1.xlsx")
    assert run_folder(Task(folder, workers=1, samples=0)).done.run_now == 1
    monkeypatch.setattr("econ.many.folder.version_of_model", lambda: "another version")
    assert run_folder(Task(folder, workers=1, samples=0)).done.run_now == 3
    assert run_folder(Task(folder, sets=("labour.wage=25",), workers=1, samples=0)).done.run_now == 3


def test_plants_of_the_same_content_are_run_once_and_listed_each(tmp_path: Path) -> None:
    rows = [("a", "30000"), ("b", "30000"), ("c", "20000")]
    table = write_table(tmp_path / "t.csv", rows, ("plant", "kiln.price"))
    outcome = run_folder(Task(table, base=BASE, workers=1, samples=0))
    found = read_results(outcome.target)
    assert outcome.done.run_now == 2
    assert [row["plant"] for row in found] == ["a", "b", "c"]
    assert found[0]["npv"] == found[1]["npv"] != found[2]["npv"]


def test_an_edited_results_file_and_a_foreign_journal_are_left_alone(tmp_path: Path) -> None:
    table = write_table(tmp_path / "t.csv", [("30000",)], ("kiln.price",))
    task = Task(table, base=BASE, workers=1, samples=0)
    run_folder(task)
    task.target.write_text("my own remarks")
    with pytest.raises(FileRefused, match="--overwrite"):
        run_folder(task)
    assert task.target.read_text() == "my own remarks"
    run_folder(Task(table, base=BASE, workers=1, overwrite=True, samples=0))
    assert read_results(task.target)
    task.journal.write_text("a diary\n")
    with pytest.raises(FileRefused, match="no journal of kilncase"):
        run_folder(task)
    assert task.journal.read_text() == "a diary\n"


def test_two_at_once_are_refused(tmp_path: Path) -> None:
    pytest.importorskip("fcntl")
    path = tmp_path / "r.journal"
    with Journal(path), pytest.raises(FileRefused, match="in use"):
        Journal(path)
    Journal(path).close()


def test_our_own_fault_in_one_plant_is_named_and_the_others_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = write_table(tmp_path / "t.csv", [("30000",), ("20000",)], ("kiln.price",))
    true_case = plant_records.base_case

    def odd(scenario: object) -> object:
        if scenario["kiln.price"].number == 30000:  # type: ignore[index]
            raise ZeroDivisionError("a slip")
        return true_case(scenario)  # type: ignore[arg-type]

    monkeypatch.setattr(plant_records, "base_case", odd)
    outcome = run_folder(Task(table, base=BASE, workers=1, samples=0))
    (fault,) = outcome.summary.faults()
    assert fault["place"] == "row 2"
    assert fault["text"] == "an error of kilncase, please report it: ZeroDivisionError: a slip"
    assert outcome.summary.used == 1


def test_a_full_disk_is_not_remembered_as_a_fault_of_the_plant(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The copy of a workbook did not fit into the folder of temporary files; the next start runs it."""
    folder = fill_folder(tmp_path / "county", ["36000"])

    def full(*_: object) -> Path:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as broken:
        broken.setattr(plant_records, "named_temporary", full)
        with pytest.raises(FileRefused, match="No space left on device; start again"):
            run_folder(Task(folder, workers=1, samples=0))
    assert run_folder(Task(folder, workers=1, samples=0)).summary.used == 1


def test_a_refused_start_leaves_no_journal(tmp_path: Path) -> None:
    table = write_table(tmp_path / "t.csv", [("30000",)], ("kiln.price",))
    (tmp_path / "r.csv").write_text("my own remarks")
    with pytest.raises(FileRefused, match="--overwrite"):
        run_folder(Task(table, tmp_path / "r.csv", BASE, workers=1, samples=0))
    assert sorted(path.name for path in tmp_path.iterdir()) == ["r.csv", "t.csv"]


def test_what_is_read_stays_right_between_writes(tmp_path: Path) -> None:
    """Lines appended past the reader's buffer are found by it, in any order."""
    with Journal(tmp_path / "r.journal") as journal:
        for at in range(300):
            journal.append([{"key": f"k{at}", "fault": "é" * at, "figures": {}, "inputs": {}}])
            assert len(journal[f"k{at // 2}"]["fault"]) == at // 2
            assert len(journal[f"k{at}"]["fault"]) == at
