"""The results workbooks of the shipped plants, cell by cell, against values kept here.

Values, not bytes: numbers agree to 1e-9. Where a change is meant, `python tests/results/test_golden.py`
writes them anew, and the diff shows what moved.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from office import cells, same

from econ.answer.appraisal import appraise
from econ.inputs.build import build
from econ.inputs.examples import NAMES, example
from econ.workbook.results_book import results_bytes

KEPT = Path(__file__).parent / "golden"
PAGES = ("Answer", "Cash by year", "Carbon", "What comes out")


def found(name: str, work: Path) -> dict[str, object]:
    """The cells of the kept pages, numbers to 12 figures."""
    start = example(name)
    book = work / f"{name}.xlsx"
    book.write_bytes(results_bytes(appraise(build(start.rows, start.system, tables=start.tables))))
    return {
        at: float(f"{value:.12g}") if isinstance(value, float) else value
        for at, value in cells(book).items()
        if at.startswith(PAGES)
    }


@pytest.mark.parametrize("name", NAMES)
def test_values_are_those_kept(name: str, tmp_path: Path) -> None:
    kept = json.loads((KEPT / f"{name}.json").read_text(encoding="utf-8"))
    ours = found(name, tmp_path)
    both = sorted(ours.keys() | kept.keys())  # not compared as dicts: pytest takes minutes to show how they differ
    moved = [f"{at}: {ours.get(at)!r} | {kept.get(at)!r}" for at in both if not same(ours.get(at), kept.get(at))]
    assert not moved, "\n".join(moved[:20])


if __name__ == "__main__":
    import tempfile

    for plant in NAMES:
        with tempfile.TemporaryDirectory() as work:
            text = json.dumps(found(plant, Path(work)), indent=0, ensure_ascii=False, sort_keys=True)
        (KEPT / f"{plant}.json").write_text(text + "\n", encoding="utf-8")
