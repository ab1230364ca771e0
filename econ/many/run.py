"""Runs many plants, in this process, in several, or on a cluster; the results are the same.

A Dask cluster is reached by the address of its scheduler. Connecting means trust: client, scheduler and workers
send each other Python objects, so whoever can join the scheduler can run code here, and we there. Even the check
of versions unpickles what a worker sends. So an unencrypted connection to another machine needs the person's
word, and TLS files are passed through.
"""

from __future__ import annotations

import contextlib
import hashlib
import ipaddress
import logging
import math
import os
import threading
import time
import warnings
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from importlib.util import find_spec
from itertools import islice
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from econ.answer.results import VERSION
from econ.errors import FileRefused, InputFault
from econ.fields import record
from econ.harmless import one_line
from econ.many.columns import OF_KEYS, TWICE, UNUSUAL, Record
from econ.many.journal import Done, Journal
from econ.many.plant_records import run_chunk
from econ.many.plants import Plant, Source, need
from econ.questions.latin import Sampling
from econ.workbook.places import kind_of

ROWS_A_CHUNK = 2_500  # worked out together by one process: the more, the less each costs, and the more are held
SAMPLED_A_CHUNK = 100  # the same where each is sampled, which costs far more than its share of a walk
WORKBOOKS_A_CHUNK = 4
CHUNKS_OF_A_CLUSTER = 64  # at least: nobody says beforehand how large it is
WORKERS_A_CORE = 4
LOOK_SECONDS = 0.5  # how often a worker process looks whether the process that started it still lives
KEPT = "finished plants are kept, start again to go on"
CONNECT_SECONDS = 2  # to load the library may take as long again
EXPECTED = "Give the address of a running scheduler, such as tls://10.0.0.5:8786"
OPTIONS = {"--tls-ca": "tls_ca_file", "--tls-cert": "tls_client_cert", "--tls-key": "tls_client_key"}
Progress = Callable[[int], None]  # hears how many plants more are finished


@record(frozen=True, slots=True)
class Access:
    """How a cluster is reached: the files of TLS, and the person's word for a connection without it."""

    ca: Path | None = None
    certificate: Path | None = None
    key: Path | None = None
    is_trusted: bool = False

    @property
    def files(self) -> list[tuple[str, str, Path]]:
        """The TLS files given: option, the engine's name for it, path."""
        paths = zip(OPTIONS.items(), (self.ca, self.certificate, self.key), strict=True)
        return [(*names, path) for names, path in paths if path is not None]


OPEN = Access()


@contextlib.contextmanager
def connected(address: str, access: Access) -> Iterator[Any]:
    """A client of the scheduler at `address`, closed in the end.

    Raises InputFault for an address that does not answer in CONNECT_SECONDS or has workers of another version;
    FileRefused where it breaks off on the way.
    """
    distributed, shown = need("distributed", f"--cluster {address}"), one_line(address, 80)
    for name in [name for name in logging.root.manager.loggerDict if name.startswith("distributed")]:
        logging.getLogger(name).setLevel(logging.CRITICAL)  # what it says of a lost scheduler we say in a line
    files = {name: str(path) for _, name, path in access.files}
    security = distributed.Security(**files, require_encryption=True) if files else None  # None: its own settings
    answers: list[Any] = []

    def reach() -> None:
        try:
            answers.append(distributed.Client(address, timeout=CONNECT_SECONDS, security=security))
        except Exception as odd:
            answers.append(odd)

    alone = threading.Thread(target=reach, daemon=True)  # a port that says something else holds it for ever
    alone.start()
    alone.join(CONNECT_SECONDS + 0.5)
    client = answers[0] if answers else TimeoutError()
    if isinstance(client, Exception):
        said = "" if isinstance(client, MemoryError) or not str(client) else f" ({one_line(client, 120)})"
        raise InputFault("--cluster", f"no answer of a scheduler at {shown!r}{said}", EXPECTED) from client
    try:
        own = version_of_model()
        if others := {one_line(found, 60) for found in client.run(version_of_model).values()} - {own}:
            found = f"workers with kilncase {', '.join(sorted(others))}"
            raise InputFault("--cluster", found, f"Install the version of this machine, {own}, on every worker")
        yield client
    except (OSError, RuntimeError, distributed.CancelledError) as odd:
        raise FileRefused(f"the cluster at {shown} broke off ({type(odd).__name__}); {KEPT}") from odd
    finally:
        with contextlib.suppress(Exception):
            client.close(timeout=CONNECT_SECONDS)


def check_address(address: str, access: Access) -> None:
    """Refuse an address that no scheduler has, TLS files that are not there, and trust not given."""
    shown = one_line(address, 80)
    try:
        found = urlsplit(address)
        host, port = found.hostname, found.port
    except ValueError:
        raise InputFault("--cluster", f"the address {shown!r}", EXPECTED) from None
    if found.scheme not in ("tcp", "tls"):
        raise InputFault("--cluster", f"the scheme {found.scheme!r} in {shown!r}", f"Use tcp or tls. {EXPECTED}")
    if not host or not port:
        raise InputFault("--cluster", f"no host or no port in {shown!r}", EXPECTED)
    for option, _, path in access.files:
        if kind_of(path) != "file":
            raise InputFault(option, f"no file {one_line(path, 80)!r}", "Name a file of TLS settings")
        if found.scheme != "tls":
            raise InputFault(option, f"a file of TLS with {shown!r}", "Use tls://, or leave the file out")
    is_here = host == "localhost"  # this machine by its very name: nothing is looked up
    with contextlib.suppress(ValueError):
        is_here = ipaddress.ip_address(host).is_loopback
    if found.scheme == "tcp" and not is_here and not access.is_trusted:
        raise InputFault(
            "--cluster", f"{shown!r}, which is neither encrypted nor this machine",
            "Use tls://, or --trust-cluster: whoever can join that scheduler can run code on this machine",
        )  # fmt: skip


@cache
def version_of_model() -> str:
    """Version of the package, and a hash of its code and tables: whatever can change a figure changes it."""
    digest, root = hashlib.sha256(), Path(__file__).parents[1]
    for path in sorted(path for path in root.rglob("*") if path.suffix in {".py", ".csv", ".toml"}):
        content = path.read_bytes()
        digest.update(f"{path.relative_to(root).as_posix()} {len(content)}\n".encode() + content)
    return f"{VERSION}+{digest.hexdigest()[:12]}"


@record(frozen=True, slots=True)
class Task:
    """What to run and where to put it; `workers` 0 takes all cores, `cluster` is a scheduler's address.

    `recompute` runs what the journal holds again, and names what differs. `samples` a plant stand behind its
    finding; 0 asks for the base case alone. `hides_names` puts numbers for the names in results and summary.
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

    def check(self) -> None:
        """Raise InputFault for workers, samples or a cluster that cannot be, before anything is read."""
        most = WORKERS_A_CORE * (os.cpu_count() or 1)
        if not 0 <= self.workers <= most:
            ask = f"Give 1 to {most}, or 0 for all cores of this machine"
            raise InputFault("--workers", str(self.workers), ask)
        if self.workers > 1:
            need("joblib", f"--workers {self.workers}")
        if self.cluster:
            check_address(self.cluster, self.access)
        if self.samples:
            Sampling(self.samples).checked()


def work_through(source: Source, journal: Journal, task: Task, progress: Progress) -> Done:
    """Run every plant that the journal does not hold; each chunk is on disk before the next is counted."""
    done, count, told, changed = Done(odd_lines=journal.odd_lines), len(source), 0, list[str]()
    workers = task.workers or (need("joblib", "--workers").cpu_count() if find_spec("joblib") else 1)
    most = WORKBOOKS_A_CHUNK if source.base is None else SAMPLED_A_CHUNK if source.samples else ROWS_A_CHUNK
    size = min(most, -(-count // (CHUNKS_OF_A_CLUSTER if task.cluster else workers)))
    waiting = _pending(source, journal, done, task.recompute, size)
    chunks = iter(lambda: list(islice(waiting, size)), [])
    for records in _found(source, task, min(workers, -(-count // size)), chunks):
        changed += journal.append(records)
        done.run_now += len(records)
        before, told = told, done.run_now + done.found_finished
        progress(told - before)
    columns = journal.columns
    if not columns.settle(task.hides_names, source.base is None) or columns.count("listed") < count:
        raise FileRefused(f"the work on {source.path.name} broke off; {KEPT}")  # or its scheduler was lost
    asked = {"plants of one name, not taken as one": TWICE.format("plant"), "an input of unusual size in": UNUSUAL}
    copies = " AND ".join(("fault=''", TWICE.format("key")))
    asked |= {"these workbooks are copies, and each counts": copies} if source.base is None else {}
    done.changed = columns.named(OF_KEYS, *changed)
    done.to_see = {why: columns.named(of) for why, of in asked.items()}
    progress(count - told)
    return done


def _pending(source: Source, journal: Journal, done: Done, recompute: bool, size: int) -> Iterator[Plant]:
    """The plants still to run, each content once; all are listed on the way, `size` at a time."""
    left = iter(source)
    while some := list(islice(left, size)):
        listed = [(one.name, one_line(one.place), one.key, one.carried) for one in some]
        for at, is_finished in journal.columns.enter(listed):
            if is_finished and not recompute:
                done.found_finished += 1
            else:
                yield some[at]


def _found(source: Source, task: Task, workers: int, chunks: Iterator[list[Plant]]) -> Iterator[list[Record]]:
    """Chunks of records out of chunks of plants, in whatever order they are finished."""
    if task.cluster:
        with connected(task.cluster, task.access) as client:
            yield from _of_cluster(client, source, chunks)
    elif workers == 1:
        for chunk in chunks:
            yield from run_chunk(chunk, source)
    else:
        joblib = need("joblib", f"--workers {workers}")
        warnings.filterwarnings("ignore", module="joblib")  # of work cut short we say why ourselves
        asked = {"return_as": "generator_unordered", "batch_size": 1, "max_nbytes": None,
                 "initializer": end_with, "initargs": (os.getpid(),)}  # fmt: skip
        jobs = (joblib.delayed(run_chunk_of)(chunk, source) for chunk in chunks)
        yield from joblib.Parallel(n_jobs=workers, **asked)(jobs)


def _of_cluster(client: Any, source: Source, chunks: Iterator[list[Plant]]) -> Iterator[list[Record]]:
    """The same by the workers of a cluster, each with a chunk in hand and one waiting."""
    running = need("distributed", "--cluster").as_completed()
    most = 2 * max(int(math.fsum(client.nthreads().values())), 1)

    def send(at_most: int) -> None:
        for chunk in islice(chunks, at_most):
            running.add(client.submit(run_chunk_of, chunk, source, pure=False))

    send(most)
    for future in running:
        yield future.result()  # raises where the scheduler is lost
        send(1)


def run_chunk_of(plants: Sequence[Plant], source: Source) -> list[Record]:
    """As `run_chunk`, in another process."""
    return [record for part in run_chunk(plants, source) for record in part]


def end_with(parent: int) -> None:
    """Let this worker end with the process `parent`, however that ends; before it has anything to do."""

    def look() -> None:
        while os.getppid() == parent:
            time.sleep(LOOK_SECONDS)
        os._exit(1)

    if os.getpid() != parent:
        threading.Thread(target=look, daemon=True).start()
