"""Tables and classes as the model reads them, against the same rules of pandas and of the standard library."""

from __future__ import annotations

from bisect import bisect_left

import numpy as np
import pytest
from conftest import plant
from hypothesis import given
from hypothesis import strategies as st
from test_inputs_matter import NEEDS, RICH

from econ.errors import InputFaults
from econ.inputs.schema import rows as rows_of_inputs
from econ.model.evaluate import evaluate
from econ.model.ledger import interp, power, step
from econ.model.plan import Plan

XS, YS = (300.0, 450.0, 600.0, 900.0), (0.5, 0.44, 0.39, 0.3)
ANY = st.floats(200, 1000)


@given(ANY)
def test_a_table_is_read_straight_between_its_rows_and_flat_outside(x):
    import pandas as pd

    series = pd.Series(YS, index=XS).reindex(sorted({*XS, x})).interpolate("index", limit_direction="both")
    assert interp(XS, YS, x) == pytest.approx(series[x], rel=1e-12)


@given(ANY)
def test_an_edge_belongs_to_the_class_below_it(x):
    import pandas as pd

    assert step(XS, (0.0, 1.0, 2.0, 3.0, 4.0), x) == bisect_left(XS, x)
    cut = pd.cut([x], [-np.inf, *XS, np.inf], labels=False)  # closed on the right
    assert step(XS, range(5), x) == cut[0]


@given(st.lists(ANY, min_size=2, max_size=40))
def test_a_case_among_many_is_the_case_alone(xs):
    for read in (lambda x: interp(XS, YS, x), lambda x: step(XS, (*YS, 0.1), x), lambda x: power(x, 0.6)):
        assert list(read(np.array(xs))) == [read(x) for x in xs]


def test_what_is_printed_brings_its_own():
    class Word:
        def interp(self, xs, ys):
            return f"table of {len(xs)}"

        def step(self, edges, values):
            return f"class of {len(values)}"

        def power(self, exponent):
            return f"to the {exponent}"

    found = interp(XS, YS, Word()), step(XS, (*YS, 0.1), Word()), power(Word(), 0.6)
    assert found == ("table of 4", "class of 5", "to the 0.6")


def rows(figure):
    """A single figure, or one by year, as lists."""
    by_time = figure if isinstance(figure, dict) else {0: figure}
    return [(t, *np.broadcast_to(one, 5).tolist()) for t, one in by_time.items()]


@pytest.mark.parametrize("name", ["thistle-flat", "alder-ford", "low-sedge"])
def test_a_figure_asked_for_alone_is_what_it_is_among_all(name):
    scenario, dice = plant(name), np.random.default_rng(1)
    plan = Plan.of(scenario)
    numbers = {key: one * dice.uniform(0.99, 1.0, 5) for key, one in scenario.numbers().items()}
    whole = evaluate(numbers, plan)
    some = dice.choice(sorted(whole.lines), 12).tolist()
    together = {*whole.lines, *whole.years, *whole.months}
    for asked in ({"npv"}, {"net_cash", "lowest_balance"}, together, *({one} for one in some)):
        for _ in range(2):  # the second time the walk is remembered
            found = evaluate(numbers, plan, frozenset(asked))
            for kind in ("lines", "years", "months"):
                part, all_of = getattr(found, kind), getattr(whole, kind)
                assert part.keys() == all_of.keys() & asked
                for name in part:
                    np.testing.assert_array_equal(rows(part[name]), rows(all_of[name]))


CHOICES = {key: row.choices for key, row in rows_of_inputs().items() if row.kind == "choice"}

CALLS_FOR_MORE = {
    "assay.use_available", "assay.use_calcium", "assay.use_h_corg", "assay.use_organic_carbon", "fuel.1.kind",
    "log.use_fuel", "log.use_hours", "log.use_yield", "plant.currency", "planting.1.kind",
    "ranges.special.1.shape",
}  # fmt: skip
"""Choices that call for more than the plant of many rows has."""


@pytest.mark.parametrize("key", sorted(key for key in CHOICES if ".1." in key or not any(map(str.isdigit, key))))
def test_no_choice_makes_the_model_branch_on_a_number(key):
    try:
        scenario = plant(**RICH | NEEDS.get(key, {}) | {key.replace(".", "__"): CHOICES[key][-1].label})
    except InputFaults:
        assert key in CALLS_FOR_MORE
        return
    plan, numbers, names = (
        Plan.of(scenario),
        scenario.numbers(),
        frozenset({"npv", "npv_owner", "planting_char_kg"}),
    )
    alone, whole = evaluate(numbers, plan, names).lines, evaluate(numbers, plan).lines
    np.testing.assert_equal(
        {name: float(alone[name]) for name in alone}, {name: float(whole[name]) for name in alone}
    )
