"""A folder or a table from end to end: run what is not finished, write the results, sum them up."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from econ.errors import FileRefused
from econ.many.book import write_summary_book
from econ.many.cluster import OPEN, Access
from econ.many.columns import gather
from econ.many.journal import FIGURES, Done, Journal
from econ.many.plants import Source
from econ.many.run import Place, Progress, check_workers, version_of_model, work_through, workers_by_default
from econ.many.summary import Outcome, Summary, summarise
from econ.many.tables_out import ENDINGS, check_target, headings, sha256_of, table, write_csv, write_parquet
from econ.questions.latin import Sampling
from econ.workbook.places import check_goal, kind_of, real
from econ.workbook.safe_write import replacing

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
    check_workers(task.workers)
    if task.samples:
        Sampling(task.samples).checked()
    if real(target) in {real(path) for path in (task.path, task.base) if path is not None}:
        raise FileRefused(f"{target.name} is the input itself: give another name with --to")
    source = Source.of(task.path, task.base, task.sets, version_of_model(), target, task.samples)
    if not len(source):
        raise FileRefused(f"{task.path.name} holds no scenario workbooks and no rows")
    with Journal(task.journal, FIGURES) as journal:
        check_target(target, journal, task.overwrite)
        progress = bar(len(source)) if bar is not None else None
        place = Place(task.workers or workers_by_default(), task.cluster, task.access)
        done = work_through(source, journal, place, progress, task.recompute)
        if task.hides_names:
            done.listed = [one.unnamed(at) for at, one in enumerate(done.listed, start=1)]
        return Outcome(_write(target, done, journal), target, done)


def _write(target: Path, done: Done, journal: Journal) -> Summary:
    """The results file in the order of the source, and the summary."""
    columns = gather(done.listed, journal)
    summary = summarise(columns)
    inputs, places = columns.varying(), columns.carried()
    names, found = headings(inputs, places), table(done.listed, journal, inputs, places)
    with replacing(target) as temporary:
        if target.suffix.lower() == ".csv":
            write_csv(temporary, names, found)
        elif target.suffix.lower() == ".parquet":
            write_parquet(temporary, names, found)
        else:
            write_summary_book(temporary, summary, columns, names, found)
    journal.wrote(target.name, sha256_of(target))
    return summary
