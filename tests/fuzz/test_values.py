"""Any values in any rows: either faults that name their place, or an answer without a hole.

Values come from the schema (typed_rows.py): at its bounds, beyond, tiny, huge, text, blanks, wrong units and
ranges the wrong way round, over the invented plants. KILNCASE_FUZZ=long, or a number of examples, looks longer
and from a new seed each time; see DEVELOPERS.md.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from functools import cache

import in_parts
import pytest
from full_plants import full_rows
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from plants import BARE
from reading import is_usable, name_their_places
from sound import appraised, cells_are_sound, is_sound, no_numpy_remarks
from typed_rows import rows_over, switches, tables_over

from econ.answer.results import Results
from econ.errors import InputFaults
from econ.inputs.build import build
from econ.inputs.examples import NAMES, example
from econ.inputs.records import Scenario, Typed, TypedTable
from econ.inputs.schema import rows
from econ.workbook.results_book import results_bytes

ASKED = os.environ.get("KILNCASE_FUZZ", "")
TIMES = 100 if ASKED == "long" else int(ASKED or 1)
BASES = (*NAMES, "bare", "full", "by task")


@cache
def base(name: str) -> dict[str, Typed]:
    """The rows of a plant to start from."""
    match name:
        case "bare":
            return {key: Typed(value=value, unit=unit, where=key) for key, (value, unit) in BARE.items()}
        case "full":
            return full_rows(tuple(base("thistle-flat").items()))
        case "by task":
            return {key: row for key, row in base("full").items() if key != "labour.hours_per_batch"}
    return dict(example(name).rows)


Rows = Mapping[str, Typed]
Tables = Mapping[str, TypedTable]


def examples(count: int) -> settings:
    return settings(
        max_examples=count * TIMES,
        derandomize=not ASKED,
        database=None,
        phases=(Phase.explicit, Phase.generate, Phase.shrink),  # tracing each line to explain is slow here
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )


def built(rows: Rows, tables: Tables) -> Scenario | InputFaults:
    """The scenario, or its faults, each of which must name its place; any other error passes through."""
    with no_numpy_remarks():
        try:
            return build(rows, tables=tables)
        except InputFaults as several:
            name_their_places(several)
            return several


def mended(start: Rows, over: Rows, tables: Tables) -> Scenario | InputFaults:
    """The scenario when rows and tables at fault are taken out again, so that most examples reach the model."""
    left = dict(over)
    for _ in range(8):
        found = built({**start, **left}, tables)
        if not isinstance(found, InputFaults):
            return found
        faulty = {fault.where for fault in found.faults}
        if any("!" in where for where in faulty):
            tables = {}
        kept = {key: typed for key, typed in left.items() if key not in faulty}
        left = kept if len(kept) < len(left) else dict(list(left.items())[: len(left) // 2])
    return found


base_rows = st.sampled_from(sorted(BASES)).map(base)


@examples(60)
@given(start=base_rows, over=rows_over(40, wildness=0.5), tables=tables_over(0.5))
def test_anything_typed_is_a_scenario_or_faults_that_name_their_place(
    start: Rows, over: Rows, tables: Tables
) -> None:
    found = built({**start, **over}, tables)
    if isinstance(found, Scenario):
        is_usable(found)


@examples(15)
@given(start=base_rows, over=rows_over(60, wildness=0.0), tables=tables_over(0.0))
def test_any_allowed_values_have_an_answer_without_a_hole(start: Rows, over: Rows, tables: Tables) -> None:
    scenario = mended(start, over, tables)
    if isinstance(scenario, Scenario):
        results = appraised(scenario)
        if isinstance(results, Results):
            is_sound(results)


@examples(15)
@given(start=base_rows, over=rows_over(5, wildness=0.0))
def test_a_few_rows_at_their_bounds_have_an_answer_without_a_hole(start: Rows, over: Rows) -> None:
    scenario = mended(start, over, {})
    if isinstance(scenario, Scenario):
        results = appraised(scenario)
        if isinstance(results, Results):
            is_sound(results)


@examples(3)
@given(over=switches(), tables=tables_over(0.0))
def test_anything_measured_has_an_answer_without_a_hole(over: Rows, tables: Tables) -> None:
    scenario = mended(base("full"), over, tables)
    if isinstance(scenario, Scenario):
        results = appraised(scenario)
        if isinstance(results, Results):
            is_sound(results)


def book_is_sound(results: Results) -> None:
    with no_numpy_remarks():
        cells_are_sound(in_parts.values(results_bytes(results)))


@examples(2)
@given(start=base_rows, over=rows_over(60, wildness=0.0), tables=tables_over(0.0))
def test_the_results_workbook_of_any_allowed_values_holds_no_error(
    start: Rows, over: Rows, tables: Tables
) -> None:
    scenario = mended(start, over, tables)
    if isinstance(scenario, Scenario):
        results = appraised(scenario)
        if isinstance(results, Results):
            book_is_sound(results)


@pytest.mark.parametrize("name", BASES)
def test_the_plants_to_start_from_work_and_can_be_printed(name: str) -> None:
    scenario = built(base(name), {})
    assert isinstance(scenario, Scenario)
    results = appraised(scenario)
    assert isinstance(results, Results)
    is_sound(results)
    book_is_sound(results)


def test_a_full_plant_is_full() -> None:
    assert len(base("full")) > 0.8 * len(rows())
