"""The checks that hold the model's money against functions that know no plant: they hold, and they can fail."""

from __future__ import annotations

from dataclasses import replace

import pytest
from remembered import appraise

from econ.answer.results import Results
from econ.answer.second_look import second_look
from econ.inputs.build import build
from econ.inputs.examples import NAMES, example


@pytest.fixture(scope="module", params=NAMES)
def results(request: pytest.FixtureRequest) -> Results:
    start = example(request.param)
    return appraise(build(start.rows, start.system, tables=start.tables))


def test_every_check_of_a_shipped_plant_holds(results: Results) -> None:
    found = second_look(results)
    assert len(found) >= 10
    assert all(holds for _, holds, _ in found), found


@pytest.mark.parametrize("name", ["npv", "npv_per_year", "benefit_cost_ratio", "levelised_cost_per_kg_char"])
def test_a_figure_that_is_a_millionth_out_is_seen(results: Results, name: str) -> None:
    wrong = replace(results, figures={**results.figures, name: results.figures[name] * 1.000001})
    assert not all(holds for _, holds, _ in second_look(wrong))
