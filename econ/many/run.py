"""Runs many plants, in this process, in several, or on a cluster; the results are the same."""

from __future__ import annotations

import hashlib
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from importlib.resources import files
from importlib.resources.abc import Traversable
from itertools import islice
from typing import Any

from econ.answer.base_case import base_case
from econ.answer.report import contract
from econ.errors import FileRefused, InputFault, InputFaults, KilncaseError
from econ.harmless import one_line
from econ.inputs.build import build
from econ.inputs.records import Scenario
from econ.many.journal import Done, Journal, Listed, Record
from econ.many.plants import Plant, Source, has, named_temporary, need
from econ.model.derived import clean, tonnes
from econ.workbook.read import TypedBook, put_over, read_scenario

BLOCKS = {
    "process_t_co2e_per_year": "process_kg_co2e",
    "avoided_t_co2e_per_year": "avoided_kg_co2e",
    "credits_lost_t_co2e_per_year": "credits_lost_kg_co2e",
    "difference_t_co2e_per_year": "difference_kg_co2e",
}
"""Carbon blocks beside those of the contract, by the figure they come from."""

SHOWN_FAULTS = 3
LONGEST_FAULT = 3_000
LEANS = "unverified-factors"
"""The caution that closes every list; its text asks questions of the model, so only its id stands here."""


def run_chunk(plants: Sequence[Plant], book: TypedBook | None, sets: tuple[str, ...]) -> list[Record]:
    """The records of some plants, in their order; what one plant does never stops another."""
    return [run_one(plant, book, sets) for plant in plants]


def run_one(plant: Plant, book: TypedBook | None, sets: tuple[str, ...]) -> Record:
    """The record of one plant; a plant that cannot be used has a fault and no figures."""
    try:
        if plant.fault:
            raise FileRefused(plant.fault)
        return {"key": plant.key, "fault": "", **figures_of(scenario_of(plant, book, sets), plant)}
    except InputFaults as several:
        fault = "; ".join(str(found) for found in several.faults[:SHOWN_FAULTS])
        if (more := len(several.faults) - SHOWN_FAULTS) > 0:
            fault += f"; and {more} more (kilncase review names all)"
    except KilncaseError as odd:
        fault = str(odd)
    except OSError as machine:  # a full disk is no fault of the plant, and must not be remembered as one
        raise FileRefused(
            f"{plant.place} was not run: the system said: {machine}; start again to go on"
        ) from machine
    except Exception as ours:  # one odd plant must not stop ten thousand others; the text says whose fault
        fault = f"a fault of kilncase, please report it: {type(ours).__name__}: {ours}"
    return {"key": plant.key, "fault": one_line(fault, LONGEST_FAULT), "figures": {}, "inputs": {}}


def scenario_of(plant: Plant, book: TypedBook | None, sets: tuple[str, ...]) -> Scenario:
    """The scenario of a workbook's bytes, or of a row put over the base workbook."""
    if isinstance(plant.content, bytes):
        with tempfile.TemporaryDirectory(prefix="kilncase-") as folder:
            return read_scenario(named_temporary(folder, plant.place, plant.content), sets)
    assert book is not None
    texts = [*sets, *(f"{key}={value}" for key, value in plant.content.items())]
    typed, cautions = put_over(book.rows, texts)
    return build(typed, warnings=(*book.warnings, *cautions), tables=book.tables)


def figures_of(scenario: Scenario, plant: Plant) -> Record:
    """Figures of the contract and carbon blocks [t, money], ids of the cautions, inputs in canonical units.

    Of a table only its own columns are kept as inputs: the rest is the same for every row.
    """
    base = base_case(scenario)
    found: dict[str, Any] = contract(base.scenario, base.figures)
    for name, line in BLOCKS.items():
        value = base.figures[line]
        found[name] = tonnes(clean(value))
    found["warnings"] = " ".join([*(caution.id for caution in base.cautions()), LEANS])
    keys = plant.content if isinstance(plant.content, dict) else base.scenario.entries
    return {"figures": found, "inputs": _inputs(base.scenario, keys)}


def _inputs(scenario: Scenario, keys: Mapping[str, object]) -> dict[str, float | str]:
    found: dict[str, float | str] = {}
    for key in keys:
        entry = scenario.entries.get(key)
        if entry is not None and entry.value is not None and entry.row.kind != "text":
            found[key] = entry.value
    return found


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


ROWS_A_CHUNK = 50
WORKBOOKS_A_CHUNK = 4
CONNECT_SECONDS = 15

Progress = Callable[[int], None]
Chunks = Iterator[list[Plant]]


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
