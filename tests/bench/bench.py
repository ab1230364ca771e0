"""Speed as ratios on one machine in one run: `python tests/bench/bench.py` prints the table.

Nothing here is a test: times depend on the machine, ratios of the same run much less. Ours and the other take
turns; each figure is the median of seven processes or calls, but where a million samples or LibreOffice run.
"""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import Any

import numpy as np
import numpy_financial as npf
from floor import program
from many_case import many
from office_case import case_s
from page_case import page_ms
from plant import NAME, SETS, taxed
from timing import ROOT, Row, in_turn, kilncase, peak, processes, report

from econ.inputs.records import Entry, Scenario
from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.questions.draws import draws, inputs_drawn, kept_whole
from econ.questions.effects import table
from econ.questions.latin import CHUNK, Sampling
from econ.questions.plan_moves import batches, product, shares, sizes
from econ.questions.plans import FIGURES, Search

SCENARIO = ROOT / "scenarios" / f"{NAME}.xlsx"
SAMPLES = 1_000_000
INPUTS = 60


def run_words(results: Path, *more: str) -> tuple[str, ...]:
    """A run with all its sheets."""
    return kilncase("run", str(SCENARIO), "--quiet", "--overwrite", "--to", str(results), *more)


def commands(work: Path) -> Iterator[Row | str]:
    """The command line against the least it could cost."""
    yield Row("kilncase --help | import typer", *processes(kilncase("--help"), ("-c", "import typer")), "<= 1.5")
    results = work / "bench.results.xlsx"
    peak(run_words(results))
    text, words = program(SCENARIO, results, work / "floor.xlsx")
    yield Row("kilncase run, all sheets, 10,000 samples | libraries, same file, like cells",
              *processes(run_words(results), ("-c", text)), "<= 1.5")  # fmt: skip
    yield f"    the results hold {words}"


def samples(work: Path) -> Iterator[Row | str]:
    """A million samples against their arithmetic, and what they cost as a command."""
    million = report("million.py", str(SAMPLES))
    operations = f"{million['operations']:,.0f} numpy operations"
    yield Row(f"a million samples, whole model | the same {operations} as a plain program",
              million["ours_s"], million["bare_s"], "<= 3")  # fmt: skip
    yield f"    drawing the samples of {million['inputs']:.0f} inputs takes {million['drawing_s']:.2f} s more"
    sets = [word for one in SETS for word in ("--set", one)]
    for number in (10_000, SAMPLES):
        seconds, mb = peak(run_words(work / "bench.results.xlsx", "--samples", str(number), *sets))
        yield f"    kilncase run --samples {number:,} with tax and renewal: {seconds:.2f} s, peak {mb:.0f} MB"


def calls() -> Iterator[Row | str]:
    """Single calls of the model: against numpy-financial, and against one call with arrays."""
    scenario = taxed()
    plan, numbers = Plan.of(scenario), scenario.numbers()
    flows = [float(evaluate(numbers, plan).years["net_cash"][t]) for t in range(plan.years + 1)]
    rate = numbers["money.discount_rate"]
    prices = count(numbers["kiln.price"])  # a case that was asked before is remembered
    one = in_turn(
        lambda: evaluate({**numbers, "kiln.price": next(prices)}, plan, frozenset({"npv"})),
        lambda: (npf.npv(rate, flows), npf.irr(flows)),
    )
    yield Row("one case of the whole model for its NPV | numpy-financial npv and irr on its flows alone", *one)
    ranged = sixty(scenario)
    moved = [numbers, *({**numbers, e.row.key: end} for e in ranged for end in (e.low, e.high))]
    together = in_turn(
        lambda: table(numbers, plan, ranged, ("npv",)),
        lambda: [evaluate(kept_whole(case, plan), plan, frozenset({"npv"})) for case in moved],
    )
    yield Row(
        f"effects of {len(ranged)} inputs, one call | {len(moved)} single calls", *together, ">= 20", upside=True
    )
    search = Search(scenario, plan, Sampling())
    each = shares(scenario, [at / 100 for at in range(4, 101, 4)])
    moves = product(each, sizes(scenario, plan), batches(scenario))[:125]
    tried = in_turn(
        lambda: search.tried(moves),
        lambda: [evaluate(search.numbers([one]), plan, frozenset(FIGURES)) for one in moves],
    )
    yield Row(f"{len(moves)} plans x 1,000 samples, by 16 plans at once | one plan at a time", *tried, "<= 0.3 s")


def sixty(scenario: Scenario) -> list[Entry]:
    """Sixty inputs with a range: those of the plant, then others with a tenth either way."""
    ranged = list(scenario.ranged())
    for entry in scenario.entries.values():
        if entry.row.is_number and entry.row.kind != "whole" and not entry.has_range and entry.value:
            ranged.append(replace(entry, low=entry.number * 0.9, high=entry.number * 1.1))
    return ranged[:INPUTS]


def spreadsheet(work: Path) -> Iterator[Row | str]:
    """The results workbook recalculated by LibreOffice, against a case in a call with arrays."""
    scenario = taxed()
    plan, numbers = Plan.of(scenario), scenario.numbers()
    _, _, values = next(draws(scenario, Sampling(CHUNK), inputs_drawn(scenario)))
    chunk: dict[str, Any] = kept_whole({**numbers, **values}, plan)
    all_s, npv_s = in_turn(lambda: evaluate(chunk, plan), lambda: evaluate(chunk, plan, frozenset({"npv"})))
    recalculated, loaded = case_s(work / "bench.results.xlsx", work)
    yield Row("a case, every figure, in a call with arrays | LibreOffice, load, calculate, save (CPU s)",
              all_s / CHUNK, recalculated, upside=True)  # fmt: skip
    yield f"    of which calculating alone {recalculated - loaded:.2f} s (with and without recalculation)"
    yield f"    for NPV alone a case takes {1e6 * npv_s / CHUNK:.2f} microseconds"


def on_the_page() -> Iterator[Row | str]:
    """The page of a phone: a slider moves, and the answer is there again."""
    cold, warm = page_ms(taxed())
    yield f"    page: slider to answer, 2,000 runs and the rule: {cold:.0f} ms the first time, {warm:.0f} ms then"


def main() -> None:
    """Print the table."""
    print(f"load of the machine before: {os.getloadavg()[0]:.2f} on {os.cpu_count()} cores, "
          f"Python {sys.version.split()[0]}, numpy {np.__version__}")  # fmt: skip
    print(f"{'ours | the other':<84} {'ours s':>11} {'other s':>11} {'ratio':>9}  asked")
    with tempfile.TemporaryDirectory() as folder:
        work = Path(folder)
        for part in (commands(work), samples(work), calls(), spreadsheet(work), many(work), on_the_page()):
            for row in part:
                print(row, flush=True)
    print(f"load of the machine after: {os.getloadavg()[0]:.2f}")


if __name__ == "__main__":
    main()
