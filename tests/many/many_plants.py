"""Tables and folders of invented plants for the tests of many plants."""

from __future__ import annotations

import csv
import os
import random
import sys
from pathlib import Path

from books import book
from conftest import ROOT

BASE = ROOT / "scenarios" / "thistle-flat.xlsx"
HEADINGS = ("plant", "bones.1.mass", "kiln.price", "labour.wage", "product.1.price", "current.fee")


def plant_rows(count: int, seed: int = 1) -> list[tuple[str, ...]]:
    """Invented rows: values with and without units."""
    chance = random.Random(seed)
    return [
        (
            f"county {at}",
            f"{chance.uniform(300, 3000):.0f} lb per week",
            f"{chance.uniform(15000, 70000):.0f}",
            f"{chance.uniform(14, 30):.2f} USD per hour",
            f"{chance.uniform(0.3, 2):.2f}",
            f"{chance.uniform(0.03, 0.25):.3f} USD per lb",
        )
        for at in range(count)
    ]


def write_table(path: Path, found: list[tuple[str, ...]], headings: tuple[str, ...] = HEADINGS) -> Path:
    """A csv table of rows."""
    with path.open("w", encoding="utf-8", newline="") as handle:
        writer = csv.writer(handle)
        writer.writerow(headings)
        writer.writerows(found)
    return path


def fill_folder(path: Path, prices: list[str]) -> Path:
    """A folder of workbooks that differ in the price of the kiln, and the faults beside them."""
    path.mkdir()
    for at, price in enumerate(prices):
        book(path / f"plant-{at}.xlsx", {("kiln.price", "Value"): float(price)})
    (path / "broken.xlsx").write_bytes(b"no workbook at all")
    (path / "~$plant-0.xlsx").write_bytes(b"left by an office program")
    return path


def read_results(path: Path) -> list[dict[str, str]]:
    """The rows of a csv results table."""
    with path.open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def command(*words: object) -> list[str]:
    """The command line as a program of its own, with this tree's code."""
    return [
        sys.executable,
        "-c",
        "from econ.cli import main; main()",
        "folder",
        "--samples",
        "0",
        *map(str, words),
    ]


def environment() -> dict[str, str]:
    """The environment of such a program."""
    return {**os.environ, "PYTHONPATH": str(ROOT)}
