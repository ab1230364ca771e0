"""Shared by all tests: hypothesis profiles, and plants to start from."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping
from functools import cache, lru_cache, partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

# before numpy is loaded, and for the programs that are started: where every core has a worker, the threads of the
# linear algebra only wait for each other
os.environ.update(OPENBLAS_NUM_THREADS="1", OMP_NUM_THREADS="1")
# as in the command: openpyxl reads with the very parser that looked for document types (test_document_types.py)
os.environ.update(OPENPYXL_DEFUSEDXML="False", OPENPYXL_LXML="False")
# every program that the tests start, and every session after this one, would compile all modules anew
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

import openpyxl
import pytest
from hypothesis import settings

sys.path.insert(0, str(Path(__file__).parent))

from econ.errors import InputFault
from econ.inputs import build as building
from econ.inputs.build import build
from econ.inputs.cells import Manner
from econ.inputs.examples import Example, example
from econ.inputs.put_over import put_over
from econ.inputs.records import Caution, Entry, Scenario, Typed, TypedTable
from econ.inputs.rows import Row
from econ.inputs.schema import rows

sys.dont_write_bytecode = False
gc.disable()  # while tests are collected: what is loaded stays

settings.register_profile("ci", derandomize=True, deadline=None)
settings.register_profile("here", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") == "true" else "here")

openpyxl.worksheet.merge.MergedCellRange.format = lambda cells: None
"""It lays the border of a first cell around all that are merged with it, which nobody here looks at: two fifths of
the time of loading a workbook."""

SLOW = """
test_in_other_hands test_strangers test_print_set test_user_text test_same_numbers test_guards test_page
test_values test_readme_lines test_many_resume test_whole_files test_year test_reproducible test_deep
test_places test_many_cluster test_contract test_recalculation test_table_sheets test_many_equal
test_carbon_note test_looks test_schema_valid test_outside_corpus test_fold test_taken_back test_bad_input
test_inputs_matter test_measured_use test_words test_first_sheet test_carbon_page test_carbon_blocks
test_own_units test_many_together test_many_summary test_plans test_compare test_money_live test_worth_of_more
test_kiln_book test_after_pages test_plant_properties test_matter_properties test_odd_plants
test_links_and_cached_values test_assays test_journal test_rule test_chances test_golden test_found
test_capacity test_heat test_run_samples test_flow_page test_question_pages test_safe_write test_corpus
test_one_question_in_money test_system test_door test_entrance test_variance test_leaning test_deep_by_bayes
test_options_page test_hours test_editions test_lender_page test_firing_rows test_failing_calls test_trace
test_knowing test_together test_second_look test_in_words
"""
"""Files that read, write or recalculate whole workbooks, draw many samples or start programs, the
dearest first: so they are begun first, and no worker is left alone with one at the end."""


def pytest_configure(config: pytest.Config) -> None:
    """One folder for what the workers make once for all (remembered.py); it goes at the end of the session."""
    if not hasattr(config, "workerinput"):
        folder = TemporaryDirectory(prefix="kilncase-tests-")
        os.environ["KILNCASE_TESTS"] = folder.name
        config.add_cleanup(folder.cleanup)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark the tests of SLOW files, so that `pytest -m "not slow"` leaves them out, and run them first."""
    order = {name: at for at, name in enumerate(SLOW.split())}
    for item in items:
        if item.path.stem in order:
            item.add_marker("slow")
    order["test_house"] = len(order)  # the longest of the others
    items.sort(key=lambda item: (order.get(item.path.stem, len(order)), item.path))


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(collector: pytest.Collector) -> Generator[None, Any, Any]:
    """Every second worker collects from the end: what one compiled, with its asserts, the other then reads."""
    report = yield
    if isinstance(collector, pytest.Directory) and os.environ.get("PYTEST_XDIST_WORKER", "gw0")[-1] in "13579":
        report.result.reverse()
    return report


def pytest_collection_finish() -> None:
    """What is loaded by now stays: looking through it for garbage took a fifth of the time of the suite."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 50, 100)
    gc.enable()


ROOT = Path(__file__).resolve().parents[1]

Plant = Callable[..., Scenario]
shipped = cache(example)


def plant(name: str = "thistle-flat", **sets: str) -> Scenario:
    """A shipped plant with rows put over it; `bones__1__mass="500 kg"` spells bones.1.mass."""
    return _plant(name, tuple(f"{key.replace('__', '.')}={value}" for key, value in sets.items()))


@lru_cache(maxsize=40)
def _plant(name: str, sets: tuple[str, ...]) -> Scenario:
    """A property asks a hundred examples of one plant."""
    start = shipped(name)
    return put_in(start, sets)


def put_in(start: Example, sets: Iterable[str], tables: Mapping[str, TypedTable] | None = None) -> Scenario:
    """A shipped plant with rows put over it as by `--set`, and tables."""
    typed, cautions = put_over(start.rows, sets)
    return built(typed, start.system, cautions, tables)


TypedRows = Mapping[str, Typed]


def built(
    typed: TypedRows,
    system: str = "metric",
    cautions: Iterable[Caution] = (),
    tables: Mapping[str, TypedTable] | None = None,
) -> Scenario:
    """As `econ.inputs.build.build`, with the entries that another plant had in the same words."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(building, "_entry", partial(_entry, typed))
        return build(typed, system, cautions, tables)


MOST_ENTRIES = 10_000
ENTRIES: dict[tuple[str, str, Manner], Entry] = {}
_made_entry = building._entry


def _entry(given: TypedRows, row: Row, typed: Typed, manner: Manner, faults: list[InputFault]) -> Entry:
    """The entry of a row that was given so before is made once: half the time of a plant."""
    asked, before = (row.key, repr(typed) if row.key in given else "", manner), len(faults)
    if asked in ENTRIES and row is rows()[row.key]:  # and not one that another row makes needless
        return ENTRIES[asked]
    entry = _made_entry(row, typed, manner, faults)
    if len(faults) == before and row is rows()[row.key] and len(ENTRIES) < MOST_ENTRIES:
        ENTRIES[asked] = entry
    return entry


@pytest.fixture(scope="module")
def reading_once() -> Iterator[None]:
    """For tests that read the same workbook again and again, where reading is not the point."""
    from remembered import remember_sheets

    with pytest.MonkeyPatch.context() as patch:
        remember_sheets(patch)
        yield


@pytest.fixture(scope="module")
def remembering(reading_once: None) -> Iterator[None]:
    """For tests that appraise the same plants again and again as well, where the answer is not the point."""
    from remembered import remember

    with pytest.MonkeyPatch.context() as patch:
        remember(patch)
        yield


@pytest.fixture(scope="session")
def root() -> Path:
    """The top of the repository."""
    return ROOT
