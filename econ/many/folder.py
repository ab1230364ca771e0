"""A folder or a table from end to end: run what is not finished, write the results, sum them up."""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

from econ.errors import FileRefused
from econ.harmless import in_csv
from econ.many.book import TITLE, write_summary_book
from econ.many.columns import FIGURES, OPENING, is_word
from econ.many.journal import Journal
from econ.many.plants import Source, need
from econ.many.run import OPEN, Access, Place, Progress, version_of_model, work_through
from econ.many.summary import Outcome, Summary, summarise
from econ.questions.latin import Sampling
from econ.workbook.guards import parts_of
from econ.workbook.places import check_goal, is_read_only, is_taken, kind_of, real
from econ.workbook.safe_write import clear_abandoned, replacing

ENDINGS = (".csv", ".parquet", ".xlsx")
ROWS_A_GROUP = 1_000
MOST_HEADINGS = 100_000

Bar = Callable[[int], Progress | None]
"""Given the number of plants, what hears of each finished chunk."""


@dataclass(frozen=True, slots=True)
class Task:
    """What to run and where to put it; `workers` 0 takes all cores, `cluster` is a scheduler's address.

    `recompute` runs what the journal holds again, and names what differs. `samples` a plant stand behind its
    finding; 0 asks for the base case alone. `hides_names` puts numbers for the names in all that is written.
    """

    path: Path
    to: Path | None = None
    base: Path | None = None
    sets: tuple[str, ...] = ()
    workers: int = 0
    cluster: str = ""
    overwrite: bool = False
    recompute: bool = False
    access: Access = OPEN
    samples: int = 1_000
    hides_names: bool = False

    @property
    def target(self) -> Path:
        """The results file: beside the table, or in the folder, where none was named."""
        if self.to is not None:
            return self.to
        is_folder = kind_of(self.path) == "folder"
        return self.path / "plants.results.csv" if is_folder else self.path.with_suffix(".results.csv")

    @property
    def journal(self) -> Path:
        """The journal, beside the results file and named after it."""
        return self.target.with_suffix(".journal")


def run_folder(task: Task, bar: Bar | None = None) -> Outcome:
    """Run many plants and write their results; a stop at any moment loses no finished plant.

    Raises FileRefused or InputFault(s) for a place, a table or a machine that cannot be used; a single bad
    workbook or row does not raise, it is listed.
    """
    target = task.target
    check_goal(target, *ENDINGS)
    place = Place(task.workers, task.cluster, task.access)
    if task.samples:
        Sampling(task.samples).checked()
    if real(target) in {real(path) for path in (task.path, task.base) if path is not None}:
        raise FileRefused(f"{target.name} is the input itself: give another name with --to")
    source = Source.of(task.path, task.base, task.sets, version_of_model(), target, task.samples)
    if not len(source):
        raise FileRefused(f"{task.path.name} holds no scenario workbooks and no rows")
    with Journal(task.journal, FIGURES) as journal:
        check_target(target, journal, task.overwrite)
        clear_abandoned(target)
        progress = bar(len(source)) if bar is not None else None
        done = work_through(source, journal, place, progress, task.recompute, task.hides_names)
        return Outcome(_write(target, journal), target, done)


def _write(target: Path, journal: Journal) -> Summary:
    """The results file in the order of the source, and the summary."""
    columns = journal.columns
    summary = summarise(columns)
    with replacing(target) as temporary:
        if target.suffix.lower() == ".xlsx":
            write_summary_book(temporary, summary, columns)
        else:
            write = write_csv if target.suffix.lower() == ".csv" else write_parquet
            write(temporary, columns.headings, columns.table())
    journal.wrote(target.name, sha256_of(target))
    return summary


def check_target(target: Path, journal: Journal, overwrite: bool) -> None:
    """Refuse to replace a file that is not exactly as an earlier run with this journal wrote it."""
    if overwrite or not is_taken(target):
        return
    is_told = journal.written.get(target.name) == sha256_of(target)
    if is_read_only(target) or not is_told or not _is_ours(target):  # a journal alone may be a stranger's word
        raise FileRefused(
            f"{target.name} was not written: the file there is not as kilncase wrote it; name another with"
            " --to, or replace it with --overwrite"
        )


def _is_ours(path: Path) -> bool:
    """Whether a file is a results table by its own look: the headings of one, or a book of that title."""
    if path.suffix.lower() == ".csv":
        with path.open("rb") as handle:
            return handle.readline(MOST_HEADINGS).startswith(",".join([*OPENING, *FIGURES]).encode())
    if path.suffix.lower() == ".parquet":
        try:
            names = need("pyarrow.parquet", path.name).read_schema(path).names
        except (OSError, ValueError):  # pyarrow's word for what is no parquet table
            return False
        return list(names[: len(OPENING) + len(FIGURES)]) == [*OPENING, *FIGURES]
    return TITLE.encode() in parts_of(path).get("docProps/core.xml", b"")


def sha256_of(path: Path) -> str:
    """SHA-256 [hex] of a file, read in parts."""
    with path.open("rb") as handle:
        return hashlib.file_digest(handle, "sha256").hexdigest()


def write_csv(path: Path, names: Sequence[str], found: Iterable[list[Any]]) -> None:
    """Write a csv table in UTF-8; a cell that a spreadsheet would take for a formula gets a quote in front."""
    words = [at for at, name in enumerate(names) if is_word(name)]
    with path.open("w", encoding="utf-8", newline="") as handle:
        writer = csv.writer(handle)
        writer.writerow(names)
        for row in found:
            for at in words:
                row[at] = in_csv(row[at] or "")
            writer.writerow(row)


def write_parquet(path: Path, names: Sequence[str], found: Iterable[list[Any]]) -> None:
    """Write a parquet table in groups of rows: text and float64 columns, null for what is missing."""
    pyarrow, parquet = need("pyarrow", "--to .parquet"), need("pyarrow.parquet", "--to .parquet")
    schema = pyarrow.schema([(name, pyarrow.string() if is_word(name) else pyarrow.float64()) for name in names])
    source = iter(found)
    with parquet.ParquetWriter(path, schema) as writer:
        while group := list(islice(source, ROWS_A_GROUP)):
            columns = [
                pyarrow.array([row[at] for row in group], type=field.type) for at, field in enumerate(schema)
            ]
            writer.write_table(pyarrow.Table.from_arrays(columns, schema=schema))
