"""Speed as ratios on one machine in one run: `python tests/bench/bench.py` prints the table.

Nothing here is a test: times depend on the machine, ratios of the same run much less. Each figure is the
median of five processes, or of five calls where it says so.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import numpy_financial as npf

from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.questions.effects import table
from econ.scenario.build import build
from econ.scenario.examples import example

ROOT = Path(__file__).resolve().parents[2]

FLOOR = """
import openpyxl, xlsxwriter, numpy, io
book = openpyxl.load_workbook({scenario!r}, read_only=True, data_only=True)
for sheet in book.worksheets:
    for row in sheet.iter_rows(values_only=True):
        pass
out = xlsxwriter.Workbook(io.BytesIO(), {{"in_memory": True}})
sheet = out.add_worksheet()
for at in range({cells}):
    sheet.write_formula(at // 20, at % 20, "=1+1", None, 2.0)
out.close()
"""


def process(*words: str) -> float:
    """Median seconds of five runs of a Python process."""
    return _median(lambda: subprocess.run([sys.executable, *words], check=True, capture_output=True))


def _median(call: Callable[[], object]) -> float:
    times = []
    for _ in range(5):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def command(*words: str) -> tuple[str, ...]:
    """The words that run kilncase in a Python process."""
    return ("-c", f"import sys; sys.argv = ['kilncase', *{list(words)!r}]; from econ.cli import main; main()")


def rows() -> list[tuple[str, float, float]]:
    """What is timed, ours [s], and what it is held against [s]."""
    scenario = str(ROOT / "scenarios" / "thistle-flat.xlsx")
    start = example("thistle-flat")
    plant = build(start.rows, start.system, tables=start.tables)
    plan, numbers, ranged = Plan.of(plant), plant.numbers(), plant.ranged()
    flows = [float(evaluate(numbers, plan).years["net_cash"][t]) for t in range(plan.years + 1)]
    one = _median(lambda: evaluate(numbers, plan, frozenset({"npv"})))
    together = _median(lambda: table(numbers, plan, ranged, ("npv",)))
    return [
        ("kilncase --help | import typer", process(*command("--help")), process("-c", "import typer")),
        (
            "kilncase run, all sheets, 10,000 samples | libraries, same file, same cells",
            process(*command("run", scenario, "--quiet", "--overwrite", "--to", "/tmp/kilncase-bench.xlsx")),
            process("-c", FLOOR.format(scenario=scenario, cells=9000)),
        ),
        ("one case of the whole model | numpy-financial npv and irr alone", one, _median(lambda: _npf(flows))),
        (f"{2 * len(ranged) + 1} single calls | one call with arrays", one * (2 * len(ranged) + 1), together),
        ("a million samples, chunks of 16,384 (seconds per chunk × 61) | a case", _million(plan, numbers), one),
    ]


def _npf(flows: list[float]) -> None:
    npf.npv(0.07, flows)
    npf.irr(flows)


def _million(plan: Plan, numbers: dict[str, float]) -> float:
    chunk = {key: np.full(16384, value) for key, value in numbers.items()}
    return 61 * _median(lambda: evaluate(chunk, plan, frozenset({"npv"})))


def main() -> None:
    """Print the table."""
    for name, ours, other in rows():
        print(f"{name:<80} {ours:9.4f} s {other:9.4f} s   ratio {ours / other:8.2f}")


if __name__ == "__main__":
    main()
