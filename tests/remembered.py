"""A plant asked for again gets the answer found before, for tests of pages, files and words that make many of it.

What is held is the answer to a scenario equal in every entry, warning and table, and to one sampling; a changed
digit is another scenario. Nothing of reading, refusing, writing to disk or printing to the screen is skipped.
Tests of the answer itself ask `econ.answer.appraisal`.
"""

from __future__ import annotations

import hashlib
import pickle
from typing import Any

import pytest

from econ.answer import appraisal
from econ.inputs.records import Scenario
from econ.workbook import results_book

MOST = 40
"""So many are kept, the oldest goes first."""
ANSWERS: dict[Any, Any] = {}
BOOKS: dict[Any, tuple[Any, bytes]] = {}
_appraise, _results_bytes = appraisal.appraise, results_book.results_bytes


def appraise(scenario: Scenario, sampling: Any = None, progress: Any = None, deep: bool = False) -> Any:
    """As `econ.answer.appraisal.appraise`."""
    key = (hashlib.sha256(pickle.dumps(scenario)).digest(), repr(sampling or appraisal.Sampling()), deep)
    if key not in ANSWERS:
        keep(ANSWERS, key, _appraise(scenario, sampling, progress, deep))
    return ANSWERS[key]


def results_bytes(results: Any, printed: Any = ()) -> bytes:
    """As `econ.workbook.results_book.results_bytes`."""
    key = (id(results), *printed)
    if key not in BOOKS:
        keep(BOOKS, key, (results, _results_bytes(results, printed)))  # the results too: their id stays theirs
    return BOOKS[key][1]


def keep(store: dict[Any, Any], key: Any, value: Any) -> None:
    if len(store) >= MOST:
        del store[next(iter(store))]
    store[key] = value


def remember(patch: pytest.MonkeyPatch) -> None:
    """Have the commands call the two functions above."""
    patch.setattr(appraisal, "appraise", appraise)
    patch.setattr(results_book, "results_bytes", results_bytes)
