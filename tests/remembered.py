"""A plant asked for again gets the answer found before, for tests of pages, files and words that make many of it.

What is held is the answer to a scenario equal in every entry, warning and table, and to one sampling; a changed
digit is another scenario. Nothing of reading, refusing, writing to disk or printing to the screen is skipped.
Tests of the answer itself ask `econ.answer.appraisal`.
"""

from __future__ import annotations

import hashlib
import io
import os
from collections.abc import Callable
from pathlib import Path
from typing import IO, Any

import pytest
from openpyxl.reader import excel

from econ.answer import appraisal
from econ.inputs.records import Scenario
from econ.workbook import read, results_book

MOST, MOST_SHEETS = 40, 100
"""So many are kept; that not asked for the longest goes first."""
SHARED = "KILNCASE_TESTS"
"""Names the folder of this session of tests (conftest.py) to its workers and to the programs they start."""
ANSWERS: dict[str, Any] = {}
BOOKS: dict[tuple[Any, ...], tuple[Any, bytes]] = {}
SHEETS: dict[tuple[bytes, ...], list[Any]] = {}
STRINGS: dict[bytes, list[str]] = {}
_appraise, _results_bytes, _bounded_rows = appraisal.appraise, results_book.results_bytes, read.bounded_rows
_read_strings = excel.read_string_table


def appraise(scenario: Scenario, sampling: Any = None, progress: Any = None, deep: bool = False) -> Any:
    """As `econ.answer.appraisal.appraise`."""
    if type(scenario) is not Scenario:
        return _appraise(scenario, sampling, progress, deep)  # one that holds more than its fields say
    asked = digest(scenario, sampling or appraisal.Sampling(), deep)
    return kept(ANSWERS, asked, lambda: _appraise(scenario, sampling, progress, deep))


def digest(scenario: Scenario, *more: object) -> str:
    """Of every field to the last digit, in words: equal scenarios have equal words, but not equal pickles."""
    parts = (scenario.entries, scenario.warnings, scenario.name, scenario.tables, *more)
    return hashlib.sha256(repr(parts).encode("utf-8", "surrogatepass")).hexdigest()


def results_bytes(results: Any, printed: Any = ()) -> bytes:
    """As `econ.workbook.results_book.results_bytes`."""
    asked = next((key for key, one in ANSWERS.items() if one is results), None)

    def book() -> bytes:
        return _results_bytes(results, printed)

    made = kept(BOOKS, (id(results), *printed),  # with the results: their id stays theirs
                lambda: (results, shared(f"{asked} {printed}", book) if asked else book()))  # fmt: skip
    return made[1]


def shared(name: str, make: Callable[[], bytes]) -> bytes:
    """What another process of this session of tests made under that name, or else made here, for all."""
    if SHARED not in os.environ:
        return make()
    place = Path(os.environ[SHARED], hashlib.sha256(name.encode()).hexdigest())
    if not place.exists():
        unfinished = place.with_suffix(f".{os.getpid()}")
        unfinished.write_bytes(make())
        unfinished.rename(place)
    return place.read_bytes()


def kept(store: dict[Any, Any], key: Any, make: Callable[[], Any], most: int = MOST) -> Any:
    store[key] = store.pop(key) if key in store else make()
    if len(store) > most:
        del store[next(iter(store))]
    return store[key]


def bounded_rows(sheet: Any) -> list[Any]:
    """As `bounded_rows` of guards.py: a sheet is told by its bytes and by all that its book has but sheets."""
    archive, name = sheet.parent._archive, sheet._worksheet_path
    others = [part for part in archive.namelist() if not part.startswith("xl/worksheets/")]
    told = (str((sheet.title, sheet.parent.data_only)).encode("utf-8", "surrogatepass"), archive.read(name))
    return kept(SHEETS, (*told, *map(archive.read, others)), lambda: list(_bounded_rows(sheet)), MOST_SHEETS)


def read_strings(part: IO[bytes]) -> list[str]:
    """As openpyxl's table of shared strings, a third of the time of opening a workbook."""
    data = part.read()
    return kept(STRINGS, data, lambda: _read_strings(io.BytesIO(data)))


def remember_sheets(patch: pytest.MonkeyPatch) -> None:
    """Have the reader read again only the sheets that it has not met; what it refuses is not kept."""
    patch.setattr(read, "bounded_rows", bounded_rows)
    patch.setattr(excel, "read_string_table", read_strings)


def remember(patch: pytest.MonkeyPatch) -> None:
    """Have the commands call the two functions above."""
    patch.setattr(appraisal, "appraise", appraise)
    patch.setattr(results_book, "results_bytes", results_bytes)
