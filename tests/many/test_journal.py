"""A journal may come from a stranger: what is no record in it is not believed, and nothing in it crashes."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from many_plants import BASE, plant_rows, read_results, write_table

from econ.errors import FileRefused
from econ.many.columns import FIGURES, WORDS
from econ.many.folder import Task, run_folder
from econ.many.journal import HEADER, Journal, fits

pytestmark = pytest.mark.usefixtures("reading_once")
FIRST = json.dumps(HEADER).encode() + b"\n"
FIGURE_VALUES: dict[str, Any] = {name: "USD" if name in WORDS else 1.5 for name in FIGURES}
GOOD: dict[str, Any] = {"key": "a1", "fault": "", "figures": FIGURE_VALUES, "inputs": {"kiln.price": 4.0}}


def but(**more: Any) -> dict[str, Any]:
    return {**GOOD, **more}


def figures(**more: Any) -> dict[str, Any]:
    return but(figures={**FIGURE_VALUES, **more})


ODD = [
    pytest.param({"key": []}, id="a list for a key"),
    pytest.param({"wrote": "x"}, id="written, without its digest"),
    pytest.param({"wrote": 1, "sha256": "x"}, id="a number for a name"),
    pytest.param(but(key="../x"), id="a key that is a path"),
    pytest.param(but(key="k" * 65), id="a key too long"),
    pytest.param(but(fault=None), id="no word of a fault"),
    pytest.param(but(fault="x\x1b[2J"), id="a fault that steers the terminal"),
    pytest.param(but(figures=[1]), id="figures as a list"),
    pytest.param(but(figures={}), id="no figures"),
    pytest.param(figures(npv="much"), id="a text for a number"),
    pytest.param(figures(npv=True), id="true for a number"),
    pytest.param(figures(npv=[1]), id="a list for a number"),
    pytest.param(figures(currency="\x1b[31mUSD"), id="escape in the currency"),
    pytest.param(figures(currency=3), id="a number for a currency"),
    pytest.param(but(inputs={"npv": 2.0}, figures={**FIGURE_VALUES, "npv": [1]}), id="an input over a bad figure"),
    pytest.param(
        but(inputs={"currency": "USD"}, figures={**FIGURE_VALUES, "currency": "\x1b[31mX"}),
        id="an input over a word that steers",
    ),
    pytest.param(but(inputs={"x": {}}), id="a thing for an input"),
    pytest.param(but(inputs={"X Y": 1}), id="an input of an odd name"),
    pytest.param(but(inputs={"kiln.price": "much"}), id="a text for an input that is a number"),
    pytest.param(but(inputs={"current.option": 3}), id="a number for an input that is a choice"),
    pytest.param(figures(npv=1e200), id="a number larger than any of ours"),
    pytest.param({**GOOD, "more": 1}, id="more than a record holds"),
]


def journal_of(path: Path, *lines: bytes) -> Path:
    path.write_bytes(FIRST + b"".join(lines))
    return path


@pytest.mark.parametrize("item", ODD)
def test_what_is_no_record_is_named_and_not_believed(item: dict[str, Any], tmp_path: Path) -> None:
    good = json.dumps(GOOD).encode() + b"\n"
    path = journal_of(tmp_path / "j.journal", json.dumps(item).encode() + b"\n", good)
    with Journal(path, FIGURES) as journal:
        assert journal.odd_lines == [2]
        assert len(journal) == 1
        assert journal["a1"] == GOOD
        assert journal.written == {}


@pytest.mark.parametrize(
    "line",
    [
        pytest.param(b"[" * 200_000, id="two hundred thousand brackets"),
        pytest.param(b"{" * 200_000, id="two hundred thousand braces"),
        pytest.param(b"x" * 5_000_000, id="one endless word"),
        pytest.param(b"\xff\xfe\x00", id="no text"),
        pytest.param(json.dumps(GOOD).replace("1.5", "Infinity").encode(), id="infinity"),
        pytest.param(json.dumps(GOOD).replace("1.5", "NaN").encode(), id="not a number"),
        pytest.param(json.dumps(GOOD).replace("1.5", "1e999").encode(), id="a number beyond all"),
        pytest.param(json.dumps(GOOD).replace("1.5", "9" * 5_000).encode(), id="a number of 5,000 digits"),
        pytest.param(b"", id="an empty line"),
    ],
)
def test_lines_that_are_no_json_of_a_record(line: bytes, tmp_path: Path) -> None:
    path = journal_of(tmp_path / "j.journal", line + b"\n", json.dumps(GOOD).encode() + b"\n")
    with Journal(path, FIGURES) as journal:
        assert journal.odd_lines == [2]
        assert journal["a1"] == GOOD


@given(st.lists(st.one_of(st.binary(max_size=60), st.recursive(
    st.none() | st.booleans() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(
        st.sampled_from(["key", "fault", "figures", "inputs", "wrote", "sha256", "npv"]), inner, max_size=4),
    max_leaves=12,
).map(lambda item: json.dumps(item).encode())), max_size=8))  # fmt: skip
def test_any_lines_at_all_leave_a_journal_that_works(lines: list[bytes]) -> None:
    import tempfile

    with tempfile.TemporaryDirectory() as place:
        path = journal_of(Path(place, "j.journal"), *(line + b"\n" for line in lines))
        with Journal(path, FIGURES) as journal:
            journal.append([GOOD])
            assert journal["a1"] == GOOD
        with Journal(path, FIGURES) as again:
            assert again["a1"] == GOOD


def test_a_record_of_a_fault_needs_no_figures() -> None:
    assert fits({"key": "a", "fault": "no sheet", "figures": {}, "inputs": {}}, FIGURES)
    assert fits(GOOD, FIGURES)


@pytest.mark.skipif(os.name != "posix", reason="makes links and pipes")
@pytest.mark.parametrize("make", [lambda path, to: path.symlink_to(to), lambda path, to: os.mkfifo(path),
                                  lambda path, to: path.mkdir()], ids=["link", "pipe", "folder"])  # fmt: skip
def test_a_journal_must_be_a_file(make: Any, tmp_path: Path) -> None:
    other = journal_of(tmp_path / "other.journal")
    make(tmp_path / "j.journal", other)
    with pytest.raises(FileRefused, match=r"j\.journal"):
        Journal(tmp_path / "j.journal", FIGURES)
    assert other.read_bytes() == FIRST


def test_a_forged_line_is_run_again_and_a_forged_figure_found_by_recomputing(tmp_path: Path) -> None:
    table, to = write_table(tmp_path / "t.csv", plant_rows(3)), tmp_path / "r.csv"
    run_folder(Task(table, to, BASE, workers=1, samples=0))
    true, journal = read_results(to), tmp_path / "r.journal"
    lines = journal.read_bytes().splitlines(keepends=True)
    forged = json.loads(lines[2])
    forged["figures"]["npv"] = 1e9
    broken = lines[1].replace(b'"fault": ""', b'"fault": []')
    journal.write_bytes(b"".join([lines[0], broken, json.dumps(forged).encode() + b"\n", *lines[3:]]))

    believed = run_folder(Task(table, to, BASE, workers=1, samples=0))
    assert (believed.done.odd_lines, believed.done.run_now) == ([2], 1)
    assert read_results(to)[1]["npv"] == "1000000000.0"  # a figure of the right kind is believed
    proved = run_folder(Task(table, to, BASE, workers=1, recompute=True, samples=0))
    assert proved.done.changed == [true[1]["plant"]]
    assert read_results(to) == true
    assert run_folder(Task(table, to, BASE, workers=1, recompute=True, samples=0)).done.changed == []


@pytest.mark.parametrize("ending", ["csv", "parquet", "xlsx"])
def test_a_journal_alone_never_lets_another_file_be_replaced(ending: str, tmp_path: Path) -> None:
    """A stranger's journal may say that a letter of yours was written by it, with the right digest."""
    import hashlib

    table, to = write_table(tmp_path / "t.csv", plant_rows(1)), tmp_path / f"r.{ending}"
    letter = BASE.read_bytes() if ending == "xlsx" else b"dear all, plant,place,fault\n"
    to.write_bytes(letter)
    said = {"wrote": to.name, "sha256": hashlib.sha256(letter).hexdigest()}
    journal_of(tmp_path / "r.journal", json.dumps(said).encode() + b"\n")
    with pytest.raises(FileRefused):
        run_folder(Task(table, to, BASE, workers=1, samples=0))
    assert to.read_bytes() == letter
