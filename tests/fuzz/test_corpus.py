"""Every file that the fuzzing of workbooks kept: read or refused as its name says, within time and memory.

The files were made by tests/fuzz/target_workbook.py and thinned out by coverage. Their names begin with what
reading them comes to: refused, faults or read.
"""

from __future__ import annotations

import datetime as dt
import os
import subprocess
import sys
from pathlib import Path

from plain_reading import sheets_of

from econ.errors import KilncaseError
from econ.inputs.records import Uncalculated, is_empty
from econ.workbook.read import read_typed

FOLDER = Path(__file__).parent / "corpus"
FILES = sorted(FOLDER.iterdir())
KINDS = ("refused", "faults", "read")
LIMITED = """
import resource, sys
from pathlib import Path
MB = 2**20
resource.setrlimit(resource.RLIMIT_AS, (800 * MB, 800 * MB))
from reading import outcome
for path in map(Path, sys.argv[1:]):
    used = resource.getrusage(resource.RUSAGE_SELF)
    seconds = int(used.ru_utime + used.ru_stime) + 10
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, resource.RLIM_INFINITY))
    print(path.name, outcome(path).partition(":")[0], flush=True)
"""
"""Each file has ten seconds of processor time: the system ends the process that takes more."""


def test_the_corpus_is_small_and_covers_every_outcome() -> None:
    sizes = [path.stat().st_size for path in FILES]
    assert max(sizes) <= 20_000
    assert sum(sizes) <= 500_000
    assert {path.name.partition("-")[0] for path in FILES} == set(KINDS)


def test_every_file_of_the_corpus_comes_to_what_its_name_says() -> None:
    quiet = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "PYTHONIOENCODING": "utf-8"}
    paths = [str(path) for path in sys.path if path]
    done = subprocess.run(
        [sys.executable, "-c", LIMITED, *map(str, FILES)],
        capture_output=True, text=True, check=False, env={**quiet, "PYTHONPATH": os.pathsep.join(paths)},
    )  # fmt: skip
    found = [line.split() for line in done.stdout.splitlines()]
    assert done.returncode == 0, f"after {found[-1:]}: stopped with {done.returncode}: {done.stderr[-800:]}"
    assert found == [[path.name, path.name.partition("-")[0]] for path in FILES]


def test_what_is_read_from_the_corpus_is_what_stands_in_the_files() -> None:
    """Values at every address, read a second way from the bare XML (plain_reading.py)."""
    compared = 0
    for path in FILES:
        try:
            rows = read_typed(path).rows.values()
        except KilncaseError:
            continue
        sheets = sheets_of(path)
        for typed in rows:
            for column in ("value", "low", "high", "unit"):
                sheet, _, address = (typed.cells or {}).get(column, "").partition("!")
                cells, item = sheets.get(sheet), getattr(typed, column)
                if (
                    cells is None
                    or not address
                    or isinstance(item, dt.date | dt.time | dt.timedelta | Uncalculated)
                ):
                    continue
                written = cells.get(address)
                assert item == written or (is_empty(item) and is_empty(written)), f"{path.name} {sheet}!{address}"
                compared += 1
    assert compared > 500
