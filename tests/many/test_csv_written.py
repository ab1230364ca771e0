"""Results of many plants as csv: to the byte what Python's csv module makes of them."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from econ.harmless import in_csv
from econ.many.folder import write_csv

ODD = ("", ",", '"', 'a "b"', "two\nlines", "\r", "=1+1", "-5", "a;b", " led", "1.5", "Ω")
WRITABLE = st.text(st.characters(exclude_categories=("Cs",)), max_size=12)
CELLS = st.one_of(st.none(), st.floats(), st.integers(), WRITABLE, st.sampled_from(ODD))


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("tables") / "t.csv"


@given(rows=st.lists(st.lists(CELLS, min_size=3, max_size=3), max_size=8))
def test_a_table_is_written_as_the_csv_module_does(path: Path, rows: list[list[object]]) -> None:
    told = io.StringIO(newline="")
    writer = csv.writer(told)
    writer.writerow("abc")
    writer.writerows([in_csv(cell) if isinstance(cell, str) else cell for cell in row] for row in rows)
    write_csv(path, "abc", rows)
    assert path.read_bytes().decode() == told.getvalue()
