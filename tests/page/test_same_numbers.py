"""The page computes what the program computes: every figure, every sample, every move of a slider."""

from __future__ import annotations

import base64
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
from plants import first_sheet_guessed

from econ.answer.appraisal import appraise, base_case
from econ.answer.results import Results
from econ.inputs.records import Scenario
from econ.model.coefficients import coefficients
from econ.model.evaluate import evaluate, walk
from econ.model.plan import Plan
from econ.page.document import document, moving_keys
from econ.page.javascript import HEAD, Pages, Tape, inputs
from econ.questions import latin
from econ.questions.draws import draws, inputs_drawn, kept_whole
from econ.questions.latin import Sampling

MOVES = 30
RUNS = 400
ROUGH = {"landfill", "larger"}
"""Figures that hang on an exponential or a power, which languages round in ways of their own."""
SHAPES = ("triangular", "pert", "uniform", "lognormal")


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


BITS = """(cases) => { const all = new Uint8Array(Float64Array.from(cases.flat()).buffer), parts = [];
for (let at = 0; at < all.length; at += 32768) parts.push(String.fromCharCode(...all.subarray(at, at + 32768)));
return btoa(parts.join("")); }"""
"""A table of numbers as the text of its bits: the browser's driver needs seconds for a million numbers."""


def numbers_of(tab: Any, script: str) -> np.ndarray:
    """What a script returns, a table of RUNS lines."""
    return np.frombuffer(base64.b64decode(tab.evaluate(f"() => ({BITS})({script})")), dtype="<f8").reshape(
        RUNS, -1
    )


@pytest.mark.parametrize("name", ["thistle-flat", "low-sedge", "alder-ford"])
def test_every_figure_of_the_walk_over_many_samples(tab: Any, name: str) -> None:
    """Every line and every year, over samples of all inputs at once: the same last bit."""
    plan = Plan.of(plant(name))
    scenario = plant(name)
    numbers, drawn = scenario.numbers(), inputs_drawn(scenario)
    tape, ledger = Tape(), Pages()
    moving = moving_keys(scenario, drawn)
    values = kept_whole(inputs(numbers, moving, tape), plan)
    walk({**values, **coefficients(values, plan)}, plan, ledger)
    _, _, sampled = next(iter(draws(scenario, Sampling(RUNS), drawn)))
    sampled = {key: sampled.get(key, np.full(RUNS, numbers[key])) for key in moving}
    names = list(ledger.lines)
    years = [(row, t) for row, flows in ledger.years.items() for t in flows]
    text = tape.function("model", [*ledger.lines.values(), *(ledger.years[row][t] for row, t in years)])
    engine = (files("econ.page") / "engine.js").read_text(encoding="utf-8").partition("// 64-bit")[0]
    tab.goto("about:blank")
    cases = json.dumps([[float(sampled[key][i]) for key in moving] for i in range(RUNS)])
    table = numbers_of(
        tab, f"(() => {{{HEAD}{engine}{text}; return {cases}.map((x) => {{const y=[];model(x,y);return y;}});}})()"
    )
    ours = evaluate(kept_whole({**numbers, **sampled}, plan), plan)
    expected = [*(ours.lines[one] for one in names), *(ours.years[row][t] for row, t in years)]
    for at, label in enumerate([*names, *years]):
        column = np.broadcast_to(np.asarray(expected[at], dtype=float), (RUNS,))
        if any(word in str(label) for word in ROUGH):
            np.testing.assert_allclose(table[:, at], column, rtol=1e-12, err_msg=str(label))
        else:
            np.testing.assert_array_equal(table[:, at], column, err_msg=str(label))


@pytest.mark.parametrize("shape", SHAPES)
def test_the_samples_are_the_same_to_the_last_bit(tab: Any, shape: str) -> None:
    """Streams, shapes, pairs and the bones as one whole, as the model reads them."""
    scenario = plant(ranges__shape=shape)
    opened(tab, scenario)
    _, _, ours = next(iter(draws(scenario, Sampling(), inputs_drawn(scenario))))
    table = numbers_of(
        tab,
        f"""(() => {{const columns = drawn({{}}, {RUNS}, DATA.samples), found = [];
        for (let i = 0; i < {RUNS}; i++) {{
          const x = DATA.x.slice();
          DATA.drawn.forEach(({{ranged}}, j) => {{ x[DATA.ranged[ranged].at] = columns[j][i]; }});
          madeWhole(x, DATA.x, sumsOf(DATA.x));
          found.push(x);
        }}
        return found;}})()""",
    )
    for at, key in enumerate(moving_keys(scenario, inputs_drawn(scenario))):
        if key in ours:
            np.testing.assert_array_equal(table[:, at], ours[key][:RUNS], err_msg=key)


@pytest.mark.parametrize("name", ["thistle-flat", "alder-ford"])
def test_thirty_moves_of_the_sliders_are_the_model(tab: Any, name: str) -> None:
    """Figures to 1e-9; probability, finding and its open facts exactly, on every fifth move."""
    opened(tab, plant(name))
    sliders, figures = tab.evaluate("DATA.sliders"), tab.evaluate("DATA.figures")
    dice = np.random.default_rng(7)
    for turn in range(MOVES):
        typed = {}
        for at in dice.choice(len(sliders), size=1 + turn % 3, replace=False):
            low, high = sliders[at]["low"], sliders[at]["high"]
            value = min(max(float(f"{low + (high - low) * dice.random():.4g}"), low), high)
            if tab.evaluate(f"setSlider({at}, {value})"):
                typed[sliders[at]["key"].replace(".", "__")] = f"{value!r} {sliders[at]['unit']}"
        moved = plant(name, **typed)
        base = base_case(moved)
        y = tab.evaluate("Array.from(walked(based(moves())), (x) => isFinite(x) ? x : null)")
        ours = [base.years["net_cash"][int(figure[5:])] if figure.startswith("cash ") else base.figures[figure]
                for figure in figures]  # fmt: skip
        same = np.isclose(np.array(y, dtype=float), ours, rtol=1e-9, atol=1e-12, equal_nan=True)
        assert same.all(), [(figures[at], y[at], ours[at]) for at in np.flatnonzero(~same)[:5]]
        if turn % 5 == 0:
            whole(tab, appraise(moved))
        tab.evaluate("DATA.sliders.forEach((one, i) => setSlider(i, one.value))")


def whole(tab: Any, ours: Results) -> None:
    """The answer of the page at its moves against that of the program."""
    theirs = tab.evaluate(
        "(({loss, verdict, missing, p10, p90, irr, look}) => ({loss, verdict, missing, p10, p90, irr, look}))"
        "(answer(moves(), DATA.samples))"
    )
    assert theirs["loss"] == ours.chances.loss
    assert theirs["verdict"] == ours.finding.verdict
    assert [one["label"] for one in theirs["missing"]] == [one.fact.label for one in ours.finding.missing]
    look = ours.finding.deciding.look
    assert (theirs["look"]["loss"], theirs["look"]["soberLoss"]) == (look.loss, look.sober_loss)
    assert theirs["look"]["mean"] == pytest.approx(look.mean, rel=1e-12)
    assert (theirs["p10"], theirs["p90"]) == pytest.approx((ours.headline.p10, ours.headline.p90), rel=1e-12)
    if theirs["irr"] is not None:
        assert theirs["irr"] == pytest.approx(ours.figures["irr"], abs=1e-12)


def test_guesses_that_turn_the_finding_together_alone(tab: Any) -> None:
    whole(tab, opened(tab, first_sheet_guessed()))


@given(st.floats(-700, 700))
def test_exponential_and_logarithm_by_their_series(x: float) -> None:
    """Against numpy's, within two units of the last place."""
    there = latin.exp(np.array([x]))[0]
    assert there == pytest.approx(np.exp(x), rel=5e-16)
    assert latin.log(np.array([there]))[0] == pytest.approx(np.log(there), rel=5e-16, abs=1e-15)


@given(st.floats(0, np.pi / 2))
def test_sine_by_its_series(x: float) -> None:
    from scipy import special

    assert latin.sine(np.array([x]))[0] == pytest.approx(special.sindg(np.degrees(x)), abs=1e-15)


def test_a_number_is_written_so_that_it_reads_back() -> None:
    from econ.page.javascript import number

    dice = np.random.default_rng(1)
    for one in [0.0, -0.0, 1e300, 5e-324, 0.1, -2.0, 1e15, 123456789.125, *(dice.standard_normal(200) * 1e5)]:
        assert json.loads(number(one).strip("()")) == one
