"""How the bench times: medians of processes and of calls, ours and the other in turn, by processor time."""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TURNS = 7


@dataclass(frozen=True)
class Row:
    """A line of the table: ours and the other [s], and the ratio asked for: at most, or at least."""

    name: str
    ours_s: float
    other_s: float
    asked: str = ""
    upside: bool = False  # how many times slower the other is, instead of how many times slower we are

    def __str__(self) -> str:
        ratio = self.other_s / self.ours_s if self.upside else self.ours_s / self.other_s
        return f"{self.name:<84} {self.ours_s:11.6f} {self.other_s:11.6f} {ratio:9,.2f}  {self.asked}"


def environment() -> dict[str, str]:
    """The environment of a timed process: this econ, compiled once and kept, as installed."""
    kept = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    return kept | {"PYTHONPATH": str(ROOT)}


def process_s(words: Sequence[str]) -> float:
    """Seconds of processor that one Python process takes for itself (user time), from start to end."""
    return peak(words)[0]


def peak(words: Sequence[str]) -> tuple[float, float]:
    """Seconds of processor (user time) and peak memory [MB] of one Python process, as the system counts them."""
    child = subprocess.Popen([sys.executable, *words], stdout=subprocess.DEVNULL, env=environment(), cwd=ROOT)
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise SystemExit(f"{words} ended with {child.returncode}")
    return used.ru_utime, used.ru_maxrss / 1024


def report(program: str, *words: str) -> dict[str, float]:
    """What a Python program of the bench prints as JSON, run in a process of its own."""
    run = subprocess.run(
        [sys.executable, str(Path(__file__).with_name(program)), *words],
        check=True, capture_output=True, text=True, env=environment(), cwd=ROOT,
    )  # fmt: skip
    found: dict[str, float] = json.loads(run.stdout)
    return found


def in_turn(ours: Callable[[], object], other: Callable[[], object]) -> tuple[float, float]:
    """Median seconds of both, called one after the other so that a busy moment meets both; once before."""
    times: tuple[list[float], list[float]] = ([], [])
    for turn in range(TURNS + 1):
        for call, found in zip((ours, other), times, strict=True):
            start = time.process_time()
            call()
            if turn:
                found.append(time.process_time() - start)
    return statistics.median(times[0]), statistics.median(times[1])


def processes(ours: Sequence[str], other: Sequence[str]) -> tuple[float, float]:
    """Median seconds of two Python processes run in turn; once before."""
    _, *times = [(process_s(ours), process_s(other)) for _ in range(TURNS + 1)]
    return statistics.median(one for one, _ in times), statistics.median(one for _, one in times)


def kilncase(*words: str) -> tuple[str, ...]:
    """The words that run kilncase in a Python process."""
    return ("-c", f"import sys; sys.argv = ['kilncase', *{list(words)!r}]; from econ.cli import main; main()")
