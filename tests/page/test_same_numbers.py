"""The page computes what the program computes: every figure, every sample, every move of a slider."""

from __future__ import annotations

import json
from collections.abc import Iterator
from importlib.resources import files
from typing import Any

import numpy as np
import pytest
from chromium import browser
from conftest import plant
from hypothesis import given
from hypothesis import strategies as st

from econ.answer.appraisal import appraise, base_case
from econ.inputs.records import Scenario
from econ.model.coefficients import coefficients
from econ.model.evaluate import evaluate, walk
from econ.model.plan import Plan
from econ.page.document import document
from econ.page.javascript import HEAD, Pages, Tape, inputs
from econ.questions import series
from econ.questions.draws import draws, inputs_drawn
from econ.questions.edges import kept_whole
from econ.questions.found import Sampling

MOVES = 30
RUNS = 400
ROUGH = {"landfill", "larger"}
"""Figures that hang on an exponential or a power, which languages round in ways of their own."""
SHAPES = {
    "triangular": {},
    "uniform": {"ranges__shape": "uniform"},
}


@pytest.fixture(scope="module")
def tab() -> Iterator[Any]:
    with browser() as found:
        yield found.new_page()


def opened(tab: Any, scenario: Scenario) -> Any:
    """The page of a plant, opened from its text; its own numbers have been found equal when it is live."""
    results = appraise(scenario)
    tab.goto("about:blank")
    tab.set_content(document(results))
    tab.wait_for_selector("body.live", timeout=30_000)
    return results


@pytest.mark.parametrize("name", ["thistle-flat", "low-sedge"])
def test_every_figure_of_the_walk_over_many_samples(tab: Any, name: str) -> None:
    """Every line and every year, over samples of all inputs at once: the same last bit."""
    scenario = plant(name)
    plan, numbers = Plan.of(scenario), scenario.numbers()
    drawn = inputs_drawn(scenario)
    tape, ledger = Tape(), Pages()
    moving = [*(one.key for one in drawn), "bones.1.protein_share"]
    values = kept_whole(inputs(numbers, moving, tape), plan)
    walk({**values, **coefficients(values, plan)}, plan, ledger)
    _, _, sampled = next(iter(draws(scenario, Sampling(RUNS), drawn)))
    names = list(ledger.lines)
    years = [(row, t) for row, flows in ledger.years.items() for t in flows]
    text = tape.function("model", [*ledger.lines.values(), *(ledger.years[row][t] for row, t in years)])
    engine = (files("econ.page") / "engine.js").read_text(encoding="utf-8").partition("// 64-bit")[0]
    tab.goto("about:blank")
    found = tab.evaluate(
        f"(cases) => {{{HEAD}{engine}{text}; return cases.map((x) => {{const y=[];model(x,y);"
        "return y.map((one) => one !== one ? null : one);});}",
        [[float(sampled[key][i]) for key in moving] for i in range(RUNS)],
    )
    ours = evaluate(kept_whole({**numbers, **sampled}, plan), plan)
    expected = [*(ours.lines[one] for one in names), *(ours.years[row][t] for row, t in years)]
    table = np.array([[np.nan if one is None else one for one in case] for case in found])
    for at, label in enumerate([*names, *years]):
        column = np.broadcast_to(np.asarray(expected[at], dtype=float), (RUNS,))
        if any(word in str(label) for word in ROUGH):
            np.testing.assert_allclose(table[:, at], column, rtol=1e-12, err_msg=str(label))
        else:
            np.testing.assert_array_equal(table[:, at], column, err_msg=str(label))


@pytest.mark.parametrize("shape", SHAPES)
def test_the_samples_are_the_same_to_the_last_bit(tab: Any, shape: str) -> None:
    scenario = plant(**SHAPES[shape])
    opened(tab, scenario)
    keys = tab.evaluate("DATA.keys")
    drawn = inputs_drawn(scenario)
    assert keys == [*(one.key for one in drawn), "bones.1.protein_share"]
    _, _, ours = next(iter(draws(scenario, Sampling(), drawn)))
    theirs = tab.evaluate(f"columnsOf({{}}, {RUNS}).map((one) => Array.from(one))")
    for at, key in enumerate(keys):
        assert theirs[at] == list(ours[key][:RUNS]), key


def test_thirty_moves_of_the_sliders_are_the_model(tab: Any) -> None:
    """Figures to 1e-9 (the issue asks no more; they are the same); the probability on five of them exactly."""
    opened(tab, plant())
    sliders = tab.evaluate("DATA.sliders")
    figures = tab.evaluate("DATA.figures")
    dice = np.random.default_rng(7)
    for turn in range(MOVES):
        chosen = dice.choice(len(sliders), size=1 + turn % 3, replace=False)
        typed = {}
        for at in chosen:
            low, high = sliders[at]["low"], sliders[at]["high"]
            typed[int(at)] = float(f"{low + (high - low) * dice.random():.4g}")
            assert tab.evaluate(f"setSlider({at}, {typed[int(at)]})")
        sets = {
            sliders[at]["key"].replace(".", "__"): f"{value!r} {sliders[at]['unit']}"
            for at, value in typed.items()
        }
        moved = plant(**sets)
        base = base_case(moved)
        theirs = dict(
            zip(
                figures,
                tab.evaluate("Array.from(walked(based(moves())), (x) => isFinite(x) ? x : null)"),
                strict=True,
            )
        )
        for name, value in theirs.items():
            ours = base.years["net_cash"][int(name[5:])] if name.startswith("cash ") else base.figures[name]
            assert value == pytest.approx(ours, rel=1e-9, nan_ok=True) or (value is None and np.isnan(ours)), name
        if turn % 6 == 0:
            ours = appraise(moved)
            theirs = tab.evaluate(
                "(({loss, verdict, p10, p90, irr}) => ({loss, verdict, p10, p90, irr}))"
                "(answer(moves(), DATA.samples))"
            )
            assert theirs["loss"] == ours.chances.loss
            assert theirs["verdict"] == "run again"
            npv = ours.chances.spreads["npv"].percentiles
            assert (theirs["p10"], theirs["p90"]) == pytest.approx((npv[10], npv[90]), rel=1e-12)
            assert theirs["irr"] == pytest.approx(ours.figures["irr"], abs=1e-12)
        for at in typed:
            tab.evaluate(f"setSlider({at}, DATA.sliders[{at}].value)")


@given(st.floats(-700, 700))
def test_exponential_and_logarithm_by_their_series(x: float) -> None:
    """Against numpy's, within two units of the last place."""
    there = series.exp(np.array([x]))[0]
    assert there == pytest.approx(np.exp(x), rel=5e-16)
    assert series.log(np.array([there]))[0] == pytest.approx(np.log(there), rel=5e-16, abs=1e-15)


@given(st.floats(0, np.pi / 2))
def test_sine_by_its_series(x: float) -> None:
    from scipy import special

    assert series.sine(np.array([x]))[0] == pytest.approx(special.sindg(np.degrees(x)), abs=1e-15)


def test_a_number_is_written_so_that_it_reads_back() -> None:
    from econ.page.javascript import number

    dice = np.random.default_rng(1)
    for one in [0.0, -0.0, 1e300, 5e-324, 0.1, -2.0, 1e15, 123456789.125, *(dice.standard_normal(200) * 1e5)]:
        assert json.loads(number(one).strip("()")) == one
