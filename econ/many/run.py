"""Runs many plants, in this process, in several, or on a cluster; the results are the same."""

from __future__ import annotations

import hashlib
import os
import tempfile
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import dataclass, replace
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from importlib.resources import files
from importlib.resources.abc import Traversable
from itertools import islice
from typing import Any

from econ.errors import FileRefused, InputFault, InputFaults, KilncaseError
from econ.harmless import one_line
from econ.inputs.as_typed import Reading
from econ.inputs.build import build
from econ.inputs.put_over import put_over
from econ.inputs.records import Scenario
from econ.inputs.together import together
from econ.many.cluster import OPEN, Access, connected
from econ.many.columns import Listed, Record
from econ.many.figures import figures_of
from econ.many.journal import Done, Journal
from econ.many.plants import Asked, Plant, Source, named_temporary
from econ.many.table_rows import all_but_many, has, need
from econ.workbook.read import TypedBook, read_scenario

SHOWN_FAULTS = 3
LONGEST_FAULT = 3_000


def run_chunk(plants: Sequence[Plant], asked: Asked) -> Iterator[list[Record]]:
    """The records of some plants, some at a time; what one plant does never stops another."""
    if (book := asked.book) is None:
        yield [run_one(plant, asked) for plant in plants]
        return
    typed, said = put_over(book.rows, asked.sets)

    def walk(texts: Mapping[str, str], readings: Mapping[str, Reading]) -> dict[str, Any]:
        given = [f"{key}={text}" for key, text in texts.items()]
        whole, cautions = put_over(typed, given, readings)
        scenario = build(whole, warnings=(*book.warnings, *said, *cautions), tables=book.tables)
        return figures_of(scenario, texts, asked.samples)

    if odd := [plant for plant in plants if plant.fault]:
        yield [run_one(plant, asked) for plant in odd]
    good = [plant for plant in plants if not plant.fault]
    for places, found in together([plant.cells or {} for plant in good], walk):
        here = [good[at] for at in places]
        if found is None:
            yield [run_one(plant, asked) for plant in here]
        else:
            yield [_record(plant, one) for plant, one in zip(here, found, strict=True)]


def run_one(plant: Plant, asked: Asked) -> Record:
    """The record of one plant; a plant that cannot be used has a fault and no figures."""
    try:
        if plant.fault:
            raise FileRefused(plant.fault)
        return _record(plant, figures_of(scenario_of(plant, asked.book, asked.sets), plant.cells, asked.samples))
    except InputFaults as several:
        said = InputFaults([_in_table(one, plant) for one in several.faults]).sentences
        shown = all_but_many(len(said), SHOWN_FAULTS)
        fault = " ".join(said[:shown])
        if (more := len(said) - shown) > 0:
            fault += f" And {more} more: kilncase review names all."
    except KilncaseError as odd:
        fault = str(odd)
    except OSError as machine:  # a full disk is no fault of the plant, and must not be remembered as one
        raise FileRefused(
            f"{plant.place} was not run: the system said: {machine}; start again to go on"
        ) from machine
    except Exception as ours:  # one odd plant must not stop ten thousand others; the text says whose fault
        fault = f"an error of kilncase, please report it: {type(ours).__name__}: {ours}"
    return {"key": plant.key, "fault": one_line(fault, LONGEST_FAULT), "figures": {}, "inputs": {}}


def _in_table(fault: InputFault, plant: Plant) -> InputFault:
    """The error of a table's cell under its column; its row stands beside it, and may differ for equal rows."""
    key = fault.where.removeprefix("--set ")
    return InputFault(f"column {key}", fault.wrong, fault.do, fault.name) if key in (plant.cells or {}) else fault


def _record(plant: Plant, found: Record) -> Record:
    """The record of a plant that could be used, with what a tonne costs of the grant that it needs."""
    figures = found["figures"]
    for name, tonnes in (
        ("grant_per_t_p", (figures["p_t_per_year"] or 0.0) * figures["study_years"]),
        ("grant_per_t_net_co2e", figures["project_net_study_t_co2e"] or 0.0),
    ):
        figures[name] = figures["grant_needed"] / tonnes if figures["grant_needed"] and tonnes > 0 else None
    return {"key": plant.key, "fault": "", **found}


def scenario_of(plant: Plant, book: TypedBook | None, sets: tuple[str, ...]) -> Scenario:
    """The scenario of a workbook's bytes, or of a row put over the base workbook."""
    if isinstance(plant.content, bytes):
        with tempfile.TemporaryDirectory(prefix="kilncase-") as folder:
            return read_scenario(named_temporary(folder, plant.place, plant.content), sets)
    assert book is not None
    texts = [*sets, *(f"{key}={value}" for key, value in plant.content.items())]
    typed, cautions = put_over(book.rows, texts)
    return build(typed, warnings=(*book.warnings, *cautions), tables=book.tables)


@cache
def version_of_model() -> str:
    """Version of the package, and a hash of its code and tables: whatever can change a figure changes it."""
    digest = hashlib.sha256()
    for path, content in sorted(_parts(files("econ"), "")):
        digest.update(f"{path} {len(content)}\n".encode() + content)
    try:
        number = version("kilncase")
    except PackageNotFoundError:
        number = "unknown"
    return f"{number}+{digest.hexdigest()[:12]}"


def _parts(folder: Traversable, start: str) -> list[tuple[str, bytes]]:
    found = []
    for item in folder.iterdir():
        if item.is_dir():
            found += _parts(item, f"{start}{item.name}/")
        elif item.name.endswith((".py", ".csv", ".toml")):
            found.append((start + item.name, item.read_bytes()))
    return found


ROWS_A_CHUNK = 20_000
"""Rows that are worked out together by one process: the more, the less each costs, and the more are held."""
SAMPLED_A_CHUNK = 100
"""The same where each is sampled, which costs far more than its share of a walk."""
WORKBOOKS_A_CHUNK = 4
CHUNKS_OF_A_CLUSTER = 64
"""Parts at least of a table for a cluster, whose size nobody says beforehand."""
WORKERS_A_CORE = 4
LOOK_SECONDS = 0.5
"""How often a worker process looks whether the process that started it still lives."""

Progress = Callable[[int], None]
Chunks = Iterator[list[Plant]]


@dataclass(frozen=True, slots=True)
class Place:
    """Where the work is done: so many processes of this machine, or a cluster by its scheduler's address."""

    workers: int = 1
    cluster: str = ""
    access: Access = OPEN


def check_workers(workers: int) -> None:
    """Refuse a number of processes that cannot be meant; raises InputFault."""
    most = WORKERS_A_CORE * (os.cpu_count() or 1)
    if not 0 <= workers <= most:
        raise InputFault("--workers", str(workers), f"Give 1 to {most}, or 0 for all cores of this machine")


def work_through(
    source: Source,
    journal: Journal,
    place: Place = Place(),
    progress: Progress | None = None,
    recompute: bool = False,
    hides_names: bool = False,
) -> Done:
    """Run every plant that the journal does not hold; each chunk is on disk before the next is counted.

    With `recompute` all are run, and those of another record than the journal's are named. Raises InputFault
    where workers or a cluster are asked for that are not there.
    """
    done, size = Done(odd_lines=journal.odd_lines), ROWS_A_CHUNK if not source.samples else SAMPLED_A_CHUNK
    size = WORKBOOKS_A_CHUNK if source.base is None else size
    if place.workers > 1:
        need("joblib", f"--workers {place.workers}")
    count = len(source)
    size = min(size, -(-count // (CHUNKS_OF_A_CLUSTER if place.cluster else place.workers)))
    place = replace(place, workers=min(place.workers, -(-count // size)))
    told, changed = 0, list[str]()
    with _mapping(source, place) as mapped:
        for records in mapped(_chunks(_pending(source, journal, done, recompute), size)):
            changed += journal.append(records)
            done.run_now += len(records)
            if progress is not None:
                so_far = done.run_now + done.found_finished
                progress(so_far - told)
                told = so_far
    columns = journal.columns
    if not columns.settle(hides_names) or columns.count("listed") < count:
        raise FileRefused(  # an engine that lost its scheduler may end as if it had finished
            f"the work on {source.path.name} broke off; finished plants are kept, start again to go on"
        )
    done.changed, done.same_names = columns.names_of(changed), columns.names_twice()
    if progress is not None:
        progress(count - told)
    return done


def _pending(source: Source, journal: Journal, done: Done, recompute: bool) -> Iterator[Plant]:
    """The plants still to run, each content once; all are listed on the way."""
    for plant in source:
        if journal.columns.enter(Listed(plant.name, one_line(plant.place), plant.key, dict(plant.carried))):
            if plant.key in journal and not recompute:
                done.found_finished += 1
            else:
                yield plant


def _chunks(plants: Iterator[Plant], size: int) -> Chunks:
    while chunk := list(islice(plants, size)):
        yield chunk


def _mapping(source: Source, place: Place) -> AbstractContextManager[Callable[[Chunks], Iterable[list[Record]]]]:
    """What carries chunks of plants to chunks of records, in whatever order they are finished."""
    if place.cluster:
        return _on_cluster(source, place)
    if place.workers == 1:
        return nullcontext(lambda chunks: (part for chunk in chunks for part in run_chunk(chunk, source.asked)))
    joblib = need("joblib", f"--workers {place.workers}")
    parent = os.getpid()
    return nullcontext(lambda chunks: _parallel(joblib, source, chunks, place.workers, parent))


@contextmanager
def _on_cluster(source: Source, place: Place) -> Iterator[Callable[[Chunks], Iterable[list[Record]]]]:
    joblib = need("joblib", f"--cluster {place.cluster}")
    with connected(place.cluster, place.access, version_of_model), joblib.parallel_config(backend="dask"):
        yield lambda chunks: _parallel(joblib, source, chunks, -1, 0)


def _parallel(joblib: Any, source: Source, chunks: Chunks, workers: int, parent: int) -> Iterable[list[Record]]:
    pool = joblib.Parallel(
        n_jobs=workers, return_as="generator_unordered", batch_size=1, pre_dispatch="2*n_jobs", max_nbytes=None
    )
    found: Iterable[list[Record]] = pool(
        joblib.delayed(run_chunk_of)(parent, chunk, source.asked) for chunk in chunks
    )
    return found


def run_chunk_of(parent: int, plants: Sequence[Plant], asked: Asked) -> list[Record]:
    """As `run_chunk`, in a worker process that ends when the process `parent` does, however that ends."""
    if parent and os.getppid() == parent:
        _end_with(parent)
    return [record for part in run_chunk(plants, asked) for record in part]


@cache
def _end_with(parent: int) -> None:
    def look() -> None:
        while os.getppid() == parent:
            time.sleep(LOOK_SECONDS)
        os._exit(1)

    threading.Thread(target=look, daemon=True).start()


def workers_by_default() -> int:
    """As many processes as the machine has cores where joblib is installed, otherwise one."""
    return int(need("joblib", "--workers").cpu_count()) if has("joblib") else 1
