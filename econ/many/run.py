"""Works through many plants: in this process, in several, or on a cluster; the results are the same."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from itertools import islice
from typing import Any

from econ.errors import InputFault
from econ.harmless import one_line
from econ.many.extras import has, need
from econ.many.journal import Journal, Listed, Record
from econ.many.one import run_chunk, version_of_model
from econ.many.plants import Plant, Source

ROWS_A_CHUNK = 50
WORKBOOKS_A_CHUNK = 4
CONNECT_SECONDS = 15

Progress = Callable[[int], None]
Chunks = Iterator[list[Plant]]


@dataclass(slots=True)
class Done:
    """What a run did: the plants in order, how many it ran now and how many it found finished."""

    listed: list[Listed]
    run_now: int = 0
    found_finished: int = 0


def work_through(
    source: Source, journal: Journal, workers: int = 1, cluster: str = "", progress: Progress | None = None
) -> Done:
    """Run every plant that the journal does not hold; each chunk is on disk before the next is counted.

    Raises InputFault where workers or a cluster are asked for that are not there.
    """
    done = Done([])
    size = WORKBOOKS_A_CHUNK if source.base is None else ROWS_A_CHUNK
    told = 0
    with _mapping(source, workers, cluster) as mapped:
        for records in mapped(_chunks(_pending(source, journal, done), size)):
            journal.append(records)
            done.run_now += len(records)
            if progress is not None:
                so_far = done.run_now + done.found_finished
                progress(so_far - told)
                told = so_far
    if progress is not None:
        progress(len(done.listed) - told)
    return done


def _pending(source: Source, journal: Journal, done: Done) -> Iterator[Plant]:
    """The plants still to run, each content once; all are listed on the way."""
    taken: set[str] = set()
    for plant in source:
        done.listed.append(Listed(plant.name, one_line(plant.place), plant.key))
        if plant.key in taken or plant.key in journal:
            done.found_finished += plant.key not in taken
            continue
        taken.add(plant.key)
        yield plant


def _chunks(plants: Iterator[Plant], size: int) -> Chunks:
    while chunk := list(islice(plants, size)):
        yield chunk


def _mapping(
    source: Source, workers: int, cluster: str
) -> AbstractContextManager[Callable[[Chunks], Iterable[list[Record]]]]:
    """What carries chunks of plants to chunks of records, in whatever order they are finished."""
    if cluster:
        return _OnCluster(source, cluster)
    if workers == 1:
        return nullcontext(lambda chunks: (run_chunk(chunk, source.book, source.sets) for chunk in chunks))
    joblib = need("joblib", f"--workers {workers}")
    return nullcontext(lambda chunks: _parallel(joblib, source, chunks, workers))


def _parallel(joblib: Any, source: Source, chunks: Chunks, workers: int) -> Iterable[list[Record]]:
    pool = joblib.Parallel(n_jobs=workers, return_as="generator_unordered", batch_size=1, pre_dispatch="2*n_jobs")
    found: Iterable[list[Record]] = pool(
        joblib.delayed(run_chunk)(chunk, source.book, source.sets) for chunk in chunks
    )
    return found


class _OnCluster:
    """A Dask cluster by the address of its scheduler, used through joblib."""

    def __init__(self, source: Source, address: str) -> None:
        self._source, self._address = source, address
        self._joblib = need("joblib", f"--cluster {address}")
        self._client: Any = None
        self._config: Any = None

    def __enter__(self) -> Callable[[Chunks], Iterable[list[Record]]]:
        distributed = need("distributed", f"--cluster {self._address}")
        try:
            self._client = distributed.Client(self._address, timeout=CONNECT_SECONDS)
        except (OSError, ValueError) as odd:
            expected = "the address of a running scheduler, such as tcp://10.0.0.5:8786"
            raise InputFault("--cluster", f"no answer at {self._address!r} ({odd})", expected) from odd
        self._same_version()
        self._config = self._joblib.parallel_config(backend="dask")
        self._config.__enter__()
        return lambda chunks: _parallel(self._joblib, self._source, chunks, -1)

    def __exit__(self, *odd: object) -> None:
        self._config.unregister()
        self._client.close()

    def _same_version(self) -> None:
        """Refuse workers that would find other figures than this machine."""
        own = version_of_model()
        others = {str(found) for found in self._client.run(version_of_model).values()} - {own}
        if others:
            self._client.close()
            found = f"workers with kilncase {', '.join(sorted(others))}"
            raise InputFault("--cluster", found, f"the version of this machine, {own}, on every worker")


def workers_by_default() -> int:
    """As many processes as the machine has cores where joblib is installed, otherwise one."""
    return int(need("joblib", "--workers").cpu_count()) if has("joblib") else 1
