"""Results do not depend on workers, order or cluster."""

from __future__ import annotations

import contextlib
import socket
import subprocess
import threading
import time
from dataclasses import replace
from pathlib import Path

import pytest
from many_plants import BASE, HEADINGS, command, environment, fill_folder, plant_rows, read_results, write_table

from econ.errors import FileRefused, InputFault
from econ.many import plants, run
from econ.many.folder import Task, run_folder
from econ.many.run import Access, check_address

pytestmark = pytest.mark.usefixtures("reading_once")


def test_a_real_local_cluster_gives_the_same_bytes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A Dask scheduler and two workers of three threads on this machine, reached by address as any other."""
    pytest.importorskip("joblib")
    distributed = pytest.importorskip("distributed")
    monkeypatch.setattr(run, "ROWS_A_CHUNK", 3)
    folder = fill_folder(tmp_path / "county", ["36000", "40000"])
    table = write_table(tmp_path / "t.csv", plant_rows(20))
    run_folder(Task(table, tmp_path / "alone.csv", BASE, workers=1, samples=0))
    run_folder(Task(folder, tmp_path / "folder-alone.csv", workers=1, samples=0))
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=3, processes=True, dashboard_address=None, host="127.0.0.1"
    ) as here:
        address = here.scheduler_address
        outcome = run_folder(Task(table, tmp_path / "cluster.csv", BASE, cluster=address, samples=0))
        with distributed.Client(address) as client:
            ran = client.run(lambda dask_worker: dask_worker.state.transition_counter)
        run_folder(Task(folder, tmp_path / "folder-cluster.csv", cluster=address, samples=0))
        late = Task(table, tmp_path / "late.csv", BASE, cluster=address, samples=0)
        with pytest.raises(FileRefused, match=r"broke off .* start again to go on"):
            run_folder(late, lambda _: lambda _: here.close())  # after the first plant
    assert run_folder(replace(late, cluster="", workers=1)).done.found_finished > 0
    assert late.target.read_bytes() == (tmp_path / "alone.csv").read_bytes()
    assert outcome.done.run_now == 20
    assert len(ran) == 2
    assert sum(ran.values()) > 0
    for name in ("alone", "folder-alone"):
        assert (tmp_path / f"{name}.csv").read_bytes() == (
            tmp_path / f"{name.replace('alone', 'cluster')}.csv"
        ).read_bytes()


def test_two_processes_give_the_same_bytes_as_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("joblib")
    monkeypatch.setattr(run, "ROWS_A_CHUNK", 3)
    table = write_table(tmp_path / "t.csv", plant_rows(20))
    for workers in (1, 2):
        run_folder(Task(table, tmp_path / f"{workers}.csv", BASE, workers=workers, samples=0))
    assert (tmp_path / "1.csv").read_bytes() == (tmp_path / "2.csv").read_bytes()


def test_the_order_of_the_rows_is_that_of_the_results_and_changes_no_figure(tmp_path: Path) -> None:
    rows = plant_rows(6)
    for name, found in (("forth", rows), ("back", rows[::-1])):
        table = write_table(tmp_path / f"{name}.csv", found, HEADINGS)
        run_folder(Task(table, base=BASE, workers=1, samples=0))
    forth, back = (read_results(tmp_path / f"{name}.results.csv") for name in ("forth", "back"))
    assert [row["plant"] for row in forth] == [row[0] for row in rows]
    for one, other in zip(forth, back[::-1], strict=True):
        assert {**one, "place": ""} == {**other, "place": ""}


def test_without_the_extras_csv_and_one_process_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> object:
        raise ImportError(name)

    monkeypatch.setattr(plants, "import_module", missing)
    monkeypatch.setattr(run, "find_spec", lambda name: None)
    table = write_table(tmp_path / "t.csv", plant_rows(2))
    assert run_folder(Task(table, base=BASE, samples=0)).summary.used == 2
    assert run_folder(Task(table, tmp_path / "s.xlsx", BASE, samples=0)).summary.used == 2
    for task, install in (
        (Task(table, tmp_path / "a.csv", BASE, workers=2, samples=0), r"kilncase\[folder\]"),
        (Task(table, tmp_path / "b.parquet", BASE, samples=0), r"kilncase\[folder\]"),
        (Task(table, tmp_path / "c.csv", BASE, cluster="tcp://127.0.0.1:1", samples=0), r"kilncase\[cluster\]"),
    ):
        with pytest.raises(InputFault, match=install):
            run_folder(task)


def test_a_cluster_that_does_not_answer_is_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("joblib")
    pytest.importorskip("distributed")
    monkeypatch.setattr(run, "CONNECT_SECONDS", 0.3)
    table = write_table(tmp_path / "t.csv", plant_rows(1))
    with pytest.raises(InputFault, match="no answer of a scheduler at"):
        run_folder(Task(table, base=BASE, cluster="tcp://127.0.0.1:1", samples=0))
    with pytest.raises(InputFault, match="no answer of a scheduler at"):
        run_folder(Task(table, base=BASE, cluster="tls://no-such-host.invalid:1", samples=0))


@pytest.mark.parametrize("says", [b"", b"HTTP/1.1 400 Bad Request\r\n\r\n" + bytes(4096)], ids=["nothing", "http"])
def test_a_port_that_says_nothing_or_something_else_is_a_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, says: bytes
) -> None:
    """The first bytes of a foreign answer would be taken for the size of what follows."""
    pytest.importorskip("joblib")
    pytest.importorskip("distributed")
    monkeypatch.setattr(run, "CONNECT_SECONDS", 0.3)
    table = write_table(tmp_path / "t.csv", plant_rows(1))
    with socket.create_server(("127.0.0.1", 0)) as server:

        def answer() -> None:
            with contextlib.suppress(OSError):
                while True:
                    held.append(server.accept()[0])
                    held[-1].sendall(says)

        held: list[socket.socket] = []
        threading.Thread(target=answer, daemon=True).start()
        with pytest.raises(InputFault, match="no answer of a scheduler at") as found:
            run_folder(Task(table, base=BASE, cluster=f"tcp://127.0.0.1:{server.getsockname()[1]}", samples=0))
    assert "allocate" not in str(found.value)


REMOTE = "tcp://192.0.2.7:8786"  # RFC 5737: an address for documents, which no machine has


@pytest.mark.parametrize(
    ("address", "access", "says"),
    [
        pytest.param("10.0.0.5:8786", Access(), "the scheme ''", id="no scheme"),
        pytest.param("http://127.0.0.1:8786", Access(), "the scheme 'http'", id="another scheme"),
        pytest.param("tcp://127.0.0.1", Access(), "no host or no port", id="no port"),
        pytest.param("tcp://127.0.0.1:99999999", Access(), "the address", id="no such port"),
        pytest.param("tcp://:8786", Access(), "no host", id="no host"),
        pytest.param("tls://127.0.0.1:8786", Access(ca=Path("/none/ca.pem")), "--tls-ca: no file", id="no TLS"),
        pytest.param("tcp://127.0.0.1:1", Access(ca=BASE), "--tls-ca: a file of TLS", id="TLS without tls"),
        pytest.param(REMOTE, Access(), "neither encrypted nor this machine", id="plain to another machine"),
        pytest.param("tcp://scheduler.example:1", Access(), "neither encrypted", id="plain to another by name"),
    ],
)
def test_an_address_that_cannot_be_one_is_a_sentence_before_anything_is_sent(
    address: str, access: Access, says: str
) -> None:
    with pytest.raises(InputFault, match=says) as found:
        check_address(address, access)
    assert "\n" not in str(found.value)


@pytest.mark.parametrize(
    ("address", "access"),
    [("tcp://127.0.0.1:1", Access()), ("tcp://localhost:1", Access()), ("tcp://[::1]:1", Access()),
     (REMOTE, Access(is_trusted=True)), ("tls://192.0.2.7:1", Access())],
)  # fmt: skip
def test_trust_is_not_asked_for_this_machine_nor_for_tls_nor_twice(address: str, access: Access) -> None:
    check_address(address, access)


@pytest.mark.parametrize("workers", [100_000, -1])
def test_more_processes_than_can_be_meant_and_fewer_than_none_are_refused(tmp_path: Path, workers: int) -> None:
    table = write_table(tmp_path / "t.csv", plant_rows(1))
    with pytest.raises(InputFault, match=f"--workers: {workers}"):
        run_folder(Task(table, base=BASE, workers=workers, samples=0))


@pytest.mark.skipif(not Path("/proc").is_dir(), reason="looks at the processes of Linux")
def test_workers_end_with_the_process_that_started_them(tmp_path: Path) -> None:
    """Killed so that it can say nothing to them: a second later nobody of its session lives."""
    pytest.importorskip("joblib")
    table = write_table(tmp_path / "plants.csv", plant_rows(400))
    words = command(table, "--base", BASE, "--to", tmp_path / "r.csv", "--workers", 2, "--quiet")
    process = subprocess.Popen(words, env=environment(), start_new_session=True)
    journal, until = tmp_path / "r.journal", time.monotonic() + 120
    while not (journal.exists() and journal.read_bytes().count(b"\n") > 1):
        assert process.poll() is None
        assert time.monotonic() < until
        time.sleep(0.02)
    process.kill()
    process.wait()
    while time.monotonic() < until and (left := of_session(process.pid)):
        time.sleep(0.1)
    assert not left


def of_session(number: int) -> list[str]:
    """Processes of a session that do not only wait to be buried."""
    found = []
    for place in Path("/proc").glob("[0-9]*"):
        try:
            state = (place / "stat").read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(state[3]) == number and state[0] != "Z":
            found.append(place.name)
    return found
