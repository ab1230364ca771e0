"""Results do not depend on workers, order or cluster."""

from __future__ import annotations

from pathlib import Path

import pytest
from many_plants import BASE, HEADINGS, fill_folder, plant_rows, read_results, write_table

from econ.errors import InputFault
from econ.many import plants, run
from econ.many.folder import Task, run_folder


def test_a_real_local_cluster_gives_the_same_bytes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A Dask scheduler and two worker processes on this machine, reached by address as any other."""
    pytest.importorskip("joblib")
    distributed = pytest.importorskip("distributed")
    monkeypatch.setattr(run, "ROWS_A_CHUNK", 3)
    folder = fill_folder(tmp_path / "county", ["36000", "40000"])
    table = write_table(tmp_path / "t.csv", plant_rows(20))
    run_folder(Task(table, tmp_path / "alone.csv", BASE, workers=1))
    run_folder(Task(folder, tmp_path / "folder-alone.csv", workers=1))
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, host="127.0.0.1"
    ) as cluster:
        address = cluster.scheduler_address
        outcome = run_folder(Task(table, tmp_path / "cluster.csv", BASE, cluster=address))
        with distributed.Client(address) as client:
            ran = client.run(lambda dask_worker: dask_worker.state.transition_counter)
        run_folder(Task(folder, tmp_path / "folder-cluster.csv", cluster=address))
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
        run_folder(Task(table, tmp_path / f"{workers}.csv", BASE, workers=workers))
    assert (tmp_path / "1.csv").read_bytes() == (tmp_path / "2.csv").read_bytes()


def test_the_order_of_the_rows_is_that_of_the_results_and_changes_no_figure(tmp_path: Path) -> None:
    rows = plant_rows(6)
    for name, found in (("forth", rows), ("back", rows[::-1])):
        table = write_table(tmp_path / f"{name}.csv", found, HEADINGS)
        run_folder(Task(table, base=BASE, workers=1))
    forth, back = (read_results(tmp_path / f"{name}.results.csv") for name in ("forth", "back"))
    assert [row["plant"] for row in forth] == [row[0] for row in rows]
    for one, other in zip(forth, back[::-1], strict=True):
        assert {**one, "place": ""} == {**other, "place": ""}


def test_without_the_extras_csv_and_one_process_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> object:
        raise ImportError(name)

    monkeypatch.setattr(plants, "import_module", missing)
    monkeypatch.setattr(run, "has", lambda name: False)
    table = write_table(tmp_path / "t.csv", plant_rows(2))
    assert run_folder(Task(table, base=BASE)).summary.used == 2
    assert run_folder(Task(table, tmp_path / "s.xlsx", BASE)).summary.used == 2
    for task, install in (
        (Task(table, tmp_path / "a.csv", BASE, workers=2), r"kilncase\[folder\]"),
        (Task(table, tmp_path / "b.parquet", BASE), r"kilncase\[folder\]"),
        (Task(table, tmp_path / "c.csv", BASE, cluster="tcp://127.0.0.1:1"), r"kilncase\[folder\]"),
    ):
        with pytest.raises(InputFault, match=install):
            run_folder(task)


def test_a_cluster_that_does_not_answer_is_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("joblib")
    pytest.importorskip("distributed")
    monkeypatch.setattr(run, "CONNECT_SECONDS", 1)
    table = write_table(tmp_path / "t.csv", plant_rows(1))
    with pytest.raises(InputFault, match="no answer at"):
        run_folder(Task(table, base=BASE, cluster="tcp://127.0.0.1:1"))
