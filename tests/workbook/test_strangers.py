"""Every hostile and odd file through the real command: bounded time and memory, one clear sentence or the right
answer, and not a byte written when it refuses.

The bounds are set by the system on the process that reads (tests/bounded.py): it dies when it needs more.
"""

from __future__ import annotations

import csv
import json
import os
import re
import stat
from pathlib import Path

import hostile
import pytest
import sent
from bounded import MB, Answer, Command, alone, listing, warm

REFUSING = {"cpu_s": 6, "memory": 900 * MB}


@pytest.fixture(scope="module")
def command() -> Command:
    return warm()


@pytest.fixture(scope="module")
def answer(command: Command, tmp_path_factory: pytest.TempPathFactory) -> dict[str, object]:
    """What the shipped plant says."""
    path = tmp_path_factory.mktemp("shipped") / "plant.xlsx"
    path.write_bytes(sent.shipped_plant())
    return dict(json.loads(command.run("run", path, "--json").out))


def refuses(command: Command, path: Path, says: str | tuple[str, ...], *words: object) -> None:
    """Exit 2, a sentence with the name of the file or a cell, silence on stdout, nothing written."""
    before = listing(path.parent)
    found = command.run(*(words or ("run",)), path, where=path.parent, **REFUSING)
    assert found.code == 2, found
    assert found.out == ""
    assert [word for word in ([says] if isinstance(says, str) else says) if word not in found.err] == []
    assert re.search(r"plant\.xlsx|[A-Z][\w ]+( [A-Z]+\d+, [^:]+)?: .+[.?]$", found.err, re.MULTILINE)
    assert_plain(found)
    assert listing(path.parent) == before


def assert_plain(found: Answer) -> None:
    """No traceback, no endless echo, nothing that steers a terminal."""
    assert "Traceback" not in found.said
    assert "report it" not in found.said
    assert all(len(line) < 1_500 for line in found.said.splitlines())
    assert [c for c in found.said if c != "\n" and not c.isprintable() and c not in "\u200c\u200d"] == []


EVERY_REFUSED = [*hostile.REFUSED, *sent.REFUSED]


@pytest.mark.parametrize("file", EVERY_REFUSED, ids=[file.name for file in EVERY_REFUSED])
def test_run_refuses(file: sent.Sent, command: Command, tmp_path: Path) -> None:
    path = tmp_path / "plant.xlsx"
    path.write_bytes(file.build())
    refuses(command, path, file.says)


OTHERS = {
    "review": ("review",),
    "compare": ("compare", "--to", "both.xlsx", "sound.xlsx"),
    "carbon-note": ("carbon-note", "--to", "note.docx"),
    "base of a table": ("folder", "table.csv", "--workers", "1", "--to", "many.xlsx", "--base"),
}
SOME = (
    "1 GB that declares 100 bytes", "billion laughs", "protected by a password", "csv renamed", "cut in half",
    "macros", "every error value", "a date",
)  # fmt: skip


@pytest.mark.parametrize("words", OTHERS.values(), ids=list(OTHERS))
def test_the_other_commands_refuse_the_same_files(
    words: tuple[str, ...], command: Command, tmp_path: Path
) -> None:
    (tmp_path / "sound.xlsx").write_bytes(sent.shipped_plant())
    (tmp_path / "table.csv").write_text("kiln.price\n30000\n")
    path = tmp_path / "plant.xlsx"
    some = [file for file in EVERY_REFUSED if file.name in SOME]
    assert len(some) >= len(SOME)
    if words[0] == "compare":  # the sound one is appraised first, which takes its time
        some = some[:1] + some[-1:]
    if words[0] in ("review", "carbon-note"):
        some = some[::3]
    if words[0] == "folder":  # there a fault of a cell is one of every row, and listed
        some = [file for file in some if file not in sent.CELLS]
    for file in some:
        path.write_bytes(file.build())
        refuses(command, path, file.says, *words)


@pytest.mark.parametrize("file", sent.ACCEPTED, ids=[file.name for file in sent.ACCEPTED])
def test_run_gives_the_right_answer(
    file: sent.Sent, command: Command, answer: dict[str, object], tmp_path: Path
) -> None:
    path = tmp_path / "plant.xlsx"
    path.write_bytes(file.build())
    found = command.run("run", path, "--json", "--to", tmp_path / "plant.results.xlsx", where=tmp_path)
    assert found.code == 0, found
    assert_plain(found)
    said = json.loads(found.out)
    assert {**said, "warnings": None} == {**answer, "warnings": None}
    warnings = "\n".join(f"{one['where']}: {one['text']}" for one in said["warnings"])
    says = (file.says,) if isinstance(file.says, str) else file.says
    assert [words for words in says if words not in warnings] == []
    assert sorted(listing(tmp_path)) == ["plant.results.xlsx", "plant.xlsx"]
    assert stat.S_ISREG((tmp_path / "plant.results.xlsx").stat().st_mode)


def test_the_installed_program_does_as_its_forks_do(tmp_path: Path) -> None:
    """The warm process of the other tests stands in for it; here it starts from nothing."""
    bomb, sound = tmp_path / "plant.xlsx", tmp_path / "sound.xlsx"
    bomb.write_bytes(hostile.gigabyte(100))
    sound.write_bytes(sent.shipped_plant())
    before = listing(tmp_path)
    refused = alone("run", bomb, where=tmp_path, cpu_s=6, memory=900 * MB)
    assert (refused.code, refused.out) == (2, "")
    assert "more than it declares" in refused.err
    assert listing(tmp_path) == before
    assert alone("run", sound, "--samples", "500", where=tmp_path, memory=900 * MB).code == 0


# --- what is no workbook and no file at all ------------------------------------------------------------------


@pytest.mark.parametrize(
    "make",
    [
        pytest.param(lambda path: None, id="missing"),
        pytest.param(lambda path: path.mkdir(), id="folder"),
        pytest.param(os.mkfifo, id="pipe that never ends"),
        pytest.param(lambda path: path.symlink_to("/dev/zero"), id="link to an endless device"),
        pytest.param(lambda path: path.symlink_to(path), id="link to itself"),
    ],
)
def test_what_is_no_file_is_refused_by_run_and_listed_by_folder(make, command: Command, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "plant.xlsx"
    make(path)
    refuses(command, path, "'plant.xlsx'")
    (tmp_path / "sound.xlsx").write_bytes(sent.shipped_plant())
    many = command.run("folder", tmp_path, "--workers", "1", where=tmp_path)
    assert many.code == 0, many
    assert_plain(many)


# --- tables of plants ----------------------------------------------------------------------------------------

HEAD = "plant,kiln.price\n"
TABLES = {
    "empty": (b"", "holds no scenario workbooks and no rows"),
    "headings only": (HEAD.encode(), "no rows"),
    "zero bytes": (f"{HEAD}a,3\0\n".encode(), "a zero byte in line 2"),
    "UTF-16": ("plant,kiln.price\na,3\n".encode("utf-16"), "not written in UTF-8"),
    "UTF-16 without a mark": (f"{HEAD}a,3\n".encode("utf-16-le"), "a zero byte"),
    "another alphabet": (f"{HEAD}Öl,3\n".encode("latin-1"), "not written in UTF-8"),
    "another alphabet at the very end": (HEAD.encode() + b"a,3\n" * 5_000 + b"\xff,3\n", "not written in UTF-8"),
    "one field of 60 MB": (b"plant\n" + b"x" * 60_000_000, "characters in line 2"),
    "one field of 1 MB": (f"{HEAD}{'x' * 1_000_000},3\n".encode(), "more than 200,000 characters in line 2"),
    "one field of 150,000": (f"{HEAD}{'x' * 150_000},3\n".encode(), "field larger than"),
    "a heading of 150,000": (f"{'x' * 150_000},3\n".encode(), "field larger than"),
    "a field that never ends": (f'{HEAD}"{"a,3" * 70_000}\n'.encode(), "more than 200,000"),
    "a field over many lines": (HEAD.encode() + b'"' + b"a,3\n" * 70_000, "field larger than"),
    "5,000 headings": (b"a," * 5_000 + b"b\n", "5,001 columns"),
    "a heading twice": (b"kiln.price,kiln.price\n1,2\n", "a second time"),
    "headings that are formulas": (b"=cmd|'/C calc'!A0,@SUM(A1)\n1,2\n", "the heading"),
    "headings that steer": ("\x1b[31mkiln.price,\u202eplant\n1,2\n".encode(), "the heading"),
    "carriage returns alone": (b"plant,kiln.price\ra,3\r", "no rows"),
    "more cells than headings": (f"{HEAD}a,3,4\n".encode(), "more cells than headings"),
    "a workbook named csv": (b"PK\x03\x04" + bytes(range(256)), "not written in UTF-8"),
}


@pytest.mark.parametrize("name", TABLES)
def test_hostile_tables_are_refused_before_anything_is_written(
    name: str, command: Command, tmp_path: Path
) -> None:
    content, says = TABLES[name]
    (tmp_path / "base.xlsx").write_bytes(sent.shipped_plant())
    (tmp_path / "plants.csv").write_bytes(content)
    before = listing(tmp_path)
    found = command.run(
        "folder", "plants.csv", "--base", "base.xlsx", "--workers", "1", where=tmp_path, **REFUSING
    )
    if name == "carriage returns alone" and found.code == 0:
        return
    assert found.code == 2, found
    assert says in found.err
    assert "plants.csv" in found.err
    assert_plain(found)
    assert listing(tmp_path) == before


def test_hostile_cells_of_a_table_are_faults_of_their_rows(command: Command, tmp_path: Path) -> None:
    (tmp_path / "base.xlsx").write_bytes(sent.shipped_plant())
    cells = ["=1+1", "1.200,5", "1,2,3", "NaN", "inf", "-Infinity", "\x1b[31m", "\u202e12", "1e999", "x" * 100_000]
    rows = [f'"plant {at}","{cell}"' for at, cell in enumerate(cells)]
    (tmp_path / "plants.csv").write_text(HEAD + "\n".join([*rows, "sound,30000"]), encoding="utf-8")
    found = command.run("folder", "plants.csv", "--base", "base.xlsx", "--workers", "1", "--json", where=tmp_path)
    assert found.code == 0, found
    said = json.loads(found.out)
    assert (said["used"], said["not_used"]) == (1, len(cells))
    assert [fault["plant"] for fault in said["faults"]] == [f"plant {at}" for at in range(len(cells))]
    said_of_price = "column kiln.price, Price of the kiln: .+[.] .+[.]"
    assert all(re.match(said_of_price, fault["text"]) for fault in said["faults"])
    assert_plain(found)


def test_a_number_of_a_table_that_needs_reading_is_said_back(command: Command, tmp_path: Path) -> None:
    """A comma may be meant as a decimal mark: the row is used, and says that it was read."""
    (tmp_path / "base.xlsx").write_bytes(sent.shipped_plant())
    (tmp_path / "plants.csv").write_text('plant,kiln.price\na,"36,000"\nb,about 36000\nc,36000\n')
    words = ("folder", "plants.csv", "--base", "base.xlsx", "--workers", "1", "--to", "many.csv")
    found = command.run(*words, where=tmp_path)
    assert found.code == 0, found
    with (tmp_path / "many.csv").open(encoding="utf-8", newline="") as handle:
        lines = list(csv.DictReader(handle))
    assert len({line["npv"] for line in lines}) == 1
    assert ["read-as" in line["warnings"].split() for line in lines] == [True, True, False]


@pytest.mark.parametrize("damage", ["no parquet", "cut short", "bytes overwritten", "a bomb"])
def test_damaged_parquet_tables_are_refused(damage: str, command: Command, tmp_path: Path) -> None:
    pyarrow, parquet = pytest.importorskip("pyarrow"), pytest.importorskip("pyarrow.parquet")
    path = tmp_path / "plants.parquet"
    table = pyarrow.table(
        {"plant": [f"plant {at}" for at in range(500)], "kiln.price": [30000.5 + at for at in range(500)]}
    )
    parquet.write_table(table, path)
    whole = path.read_bytes()
    middle = len(whole) // 2
    endless = pyarrow.DictionaryArray.from_arrays([0] * 20_000, ["x" * 20_000_000])  # 400 GB in a few kilobytes
    parquet.write_table(pyarrow.table({"plant": endless}), tmp_path / "bomb", compression="zstd")
    bomb = (tmp_path / "bomb").read_bytes()
    (tmp_path / "bomb").unlink()
    path.write_bytes({
        "no parquet": b"PAR1 and nothing else", "cut short": whole[:-50],
        "bytes overwritten": whole[:40] + b"\xff" * 60 + whole[100:middle] + b"\xff" * 40 + whole[middle + 40 :],
        "a bomb": bomb,
    }[damage])  # fmt: skip
    (tmp_path / "base.xlsx").write_bytes(sent.shipped_plant())
    before = listing(tmp_path)
    words = ("folder", path, "--base", tmp_path / "base.xlsx", "--workers", "1")
    found = command.run(*words, where=tmp_path, cpu_s=10, memory=2_000 * MB)
    assert found.code == 2, found
    assert "plants.parquet" in found.err
    assert ("20,000,000 characters" in found.err) == (damage == "a bomb")
    assert_plain(found)
    assert listing(tmp_path) == before
