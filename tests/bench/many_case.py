"""Tables of plants: what a row costs beside a plain run, and beside bare arithmetic with reading and writing."""

from __future__ import annotations

import csv
import random
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import numpy as np
from timing import ROOT, Row, kilncase, peak

from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.workbook.read import read_scenario

BASE = ROOT / "scenarios" / "thistle-flat.xlsx"
SPANS = {
    "bones.1.mass": (300, 3000, " lb per week"), "kiln.price": (15_000, 70_000, ""),
    "labour.wage": (14, 30, " USD per hour"), "product.1.price": (0.3, 2, ""),
    "current.fee": (0.03, 0.25, " USD per lb"),
}  # fmt: skip
"""Columns of an invented table: least, most, and the unit behind the number."""


def table(path: Path, rows: int, seed: int = 1) -> Path:
    """A csv table of invented plants."""
    chance = random.Random(seed)
    with path.open("w", encoding="utf-8", newline="") as handle:
        writer = csv.writer(handle)
        writer.writerow(["plant", *SPANS])
        for at in range(rows):
            writer.writerow(
                [f"county {at}", *(f"{chance.uniform(a, b):.4g}{unit}" for a, b, unit in SPANS.values())]
            )
    return path


def bare(path: Path, target: Path) -> None:
    """Read a table, put its columns to the model in one call, and write as wide a table."""
    with path.open(encoding="utf-8", newline="") as handle:
        rows = list(csv.DictReader(handle))
    scenario = read_scenario(BASE)
    numbers: dict[str, object] = dict(scenario.numbers())
    for key in SPANS:
        numbers[key] = np.array([float(row[key].split()[0]) for row in rows])
    lines = evaluate(numbers, Plan.of(scenario)).lines  # type: ignore[arg-type]
    columns = [
        np.broadcast_to(np.asarray(value, dtype=float), (len(rows),)).tolist()
        for value in list(lines.values())[:40]
    ]
    with target.open("w", encoding="utf-8", newline="") as handle:
        csv.writer(handle).writerows(zip(*columns, strict=True))


def user_s(words: Sequence[str]) -> float:
    """User processor time [s] of a whole Python process, imports included: the machine is shared."""
    return peak(words)[0]


def quickest(*both: Callable[[], Sequence[str]]) -> list[float]:
    """The least user time [s] of three turns of each command."""
    turns = [[user_s(words()) for words in both] for _ in range(3)]
    return [min(one) for one in zip(*turns, strict=True)]


def many(work: Path, rows: int = 10_000) -> Iterator[Row | str]:
    """The lines of the table about many plants: ours and the other in turn, the quickest of three."""

    def folder(count: int, samples: int) -> tuple[str, ...]:
        path = table(work / f"{count}-{samples}.csv", count)
        for old in work.glob(f"{path.stem}.results*"):  # no finished plants, no file in the way
            old.unlink()
        return kilncase(
            "folder", str(path), "--base", str(BASE), "--quiet", "--workers", "1", "--samples", str(samples)
        )

    plain = min(
        user_s(kilncase("run", str(BASE), "--quiet", "--to", str(work / f"p{at}.xlsx"))) for at in range(3)
    )
    frame = f"pandas.read_csv({str(table(work / '2000-0.csv', 2_000))!r}).drop(columns='plant')"
    code = f"import econ, pandas; econ.appraise_many({frame}, base={str(BASE)!r})"
    whole, called = quickest(lambda: folder(2_000, 0), lambda: ("-c", code))
    yield Row("folder, 2,000 rows, base case | a plain run", whole, plain, "<= 4")
    yield Row("econ.appraise_many of that frame | folder", called, whole, "<= 1")
    bare_words = (__file__, "bare", str(table(work / f"{rows}-0.csv", rows)), str(work / "bare.csv"))
    seconds, alone = quickest(lambda: folder(rows, 0), lambda: bare_words)
    yield Row(f"folder, {rows:,} rows, base case | reading, arithmetic, writing", seconds, alone, "<= 3")
    yield f"    peak {peak(folder(rows, 0))[1]:.0f} MB"
    few, more = (user_s(folder(count, 1_000)) for count in (50, 150))
    yield f"    with 1,000 samples a plant more takes {1000 * (more - few) / 100:.0f} ms"


if __name__ == "__main__" and sys.argv[1:2] == ["bare"]:
    bare(*map(Path, sys.argv[2:]))
elif __name__ == "__main__":
    import tempfile

    with tempfile.TemporaryDirectory() as place:
        for one in many(Path(place), int(sys.argv[1]) if len(sys.argv) > 1 else 10_000):
            print(one, flush=True)
