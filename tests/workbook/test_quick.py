"""The quick reading of an ordinary workbook against openpyxl, another library's reading of the same file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from conftest import ROOT
from hostile import REFUSED
from odd import ODD

from econ.errors import FileRefused
from econ.inputs.schema import sheet_names, table_sheets
from econ.workbook import read
from econ.workbook.guards import check_before_opening
from econ.workbook.quick import quick_grids
from econ.workbook.read_tables import Grid

WANTED = (*sheet_names(), *table_sheets())
SHIPPED = [ROOT / "scenarios" / "alder-ford.xlsx", ROOT / "templates" / "blank-us.xlsx"]
CORPUS = sorted((ROOT / "tests" / "fuzz" / "corpus").iterdir())
MADE = [*ODD, *REFUSED]


def said(grids: dict[str, Grid]) -> dict[str, Any]:
    """Every cell with its kind: 1, 1.0, True and "1" are told apart."""
    return {name: [[(type(cell), repr(cell)) for cell in row] for row in grid] for name, grid in grids.items()}


def compared(path: Path, monkeypatch: pytest.MonkeyPatch) -> bool:
    """Whether the file is read quickly; if so, as openpyxl reads it."""
    try:
        found = quick_grids(check_before_opening(path), WANTED)
    except FileRefused:
        return False
    if found is None:
        return False
    monkeypatch.setattr(read, "quick_grids", lambda *_: None)
    slowly = read.grids_of(path, WANTED)
    assert (said(found[0]), found[1:]) == (said(slowly[0]), slowly[1:])
    return True


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_what_we_ship_is_read_quickly_and_the_same(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert compared(path, monkeypatch)


def test_odd_hostile_and_damaged_files_give_the_same_or_are_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = [(tmp_path / f"{at}.xlsx", one.build()) for at, one in enumerate(MADE)]
    for path, content in made:
        path.write_bytes(content)
    quickly = 0
    for path in (*(path for path, content in made if len(content) < 100_000), *CORPUS):
        with monkeypatch.context() as each:
            quickly += compared(path, each)
    assert quickly > 20
