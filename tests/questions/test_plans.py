"""How much to process: the search against single runs, hand arithmetic, and the limits it must keep.

House arithmetic over the bare plant of `plants.py`: 27.04 t of bones a year, 6.76 t of char, two batches a week of
260 kg, five years at 10 %. Five batches in six months of keeping never force more than the mass does here.
"""

from __future__ import annotations

import math
from dataclasses import replace
from statistics import NormalDist

import numpy as np
import numpy_financial as npf
import pytest
from conftest import plant as thistle
from hypothesis import given, settings
from hypothesis import strategies as st
from plants import CHAR_KG, plant

from econ.answer.appraisal import appraise
from econ.answer.base_case import base_case
from econ.answer.finding import moves_words, say
from econ.answer.screen import screen
from econ.inputs.as_typed import Reading, read_number
from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.put_over import put_over
from econ.inputs.records import Scenario
from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.questions.chances import chances
from econ.questions.each_plant import OfPlant, _is_near, of_each
from econ.questions.found_rule import Bounds, Limits, Look
from econ.questions.latin import Sampling
from econ.questions.plan_moves import (
    SHARE,
    Plans,
    Tried,
    as_set,
    batches,
    demand,
    grid,
    moved,
    own_use,
    said,
    sizes,
    tiers,
)
from econ.questions.plans import Search, _pace, best_of, plans
from econ.questions.value_of_information import signs, two_stage

Rows = dict[str, tuple[object, str | None]]
FEW = Sampling(200)
WORTH = -float(npf.pv(0.1, 5, 1))
STILL: Rows = {"money.inflation": (0, "%"), "bones.storage_days": (14, "days"), "kiln.life": (40, "years")}
THIRD: Rows = STILL | {
    "fuel.1.per_batch": (20, "L"), "fuel.1.price": (1, "USD per L"), "product.1.price": (1, "USD per kg"),
    "product.1.market_limit": (CHAR_KG / 3, "kg per year"), "current.saving": (300, "USD per year"),
}  # fmt: skip
"""Fuel of 20 a batch of 65 kg of char: char without a buyer only costs; a third of the char sells at 1."""


def held(scenario: Scenario) -> Scenario:
    """The scenario with no range at all."""
    entries = {
        key: replace(entry, low=entry.value, high=entry.value)
        if entry.row.is_number and isinstance(entry.value, float) else entry
        for key, entry in scenario.entries.items()
    }  # fmt: skip
    return replace(scenario, entries=entries)


def found(scenario: Scenario, sampling: Sampling = FEW) -> Plans:
    plan = Plan.of(scenario)
    return plans(scenario, plan, sampling, chances(scenario, plan, sampling))


def test_a_third_is_right_where_a_third_sells() -> None:
    """All: 104 batches, 2,253 sold + 300 saved - 2,080 of fuel. A third: 35 batches, 2,253 + 100 - 700."""
    found_ = found(held(plant(THIRD)))
    best = found_.best
    assert best is not None
    assert best.share == pytest.approx(1 / 3, abs=0.011)
    assert best.sold_kg <= CHAR_KG / 3 + 1e-6
    kg, batches = best.share * 520 * 52, math.ceil(best.share * 104 - 1e-9)
    sold = min(kg / 4, CHAR_KG / 3)
    assert best.npv == pytest.approx((sold + 300 * best.share - 20 * batches) * WORTH, rel=1e-9)
    assert found_.typed.npv == pytest.approx((CHAR_KG / 3 + 300 - 2080) * WORTH, rel=1e-9)
    assert found_.is_better
    assert [text.partition("=")[0] for text in found_.sets] == ["--set kiln.bones_share"]


GRID = {"product__1__second_price": "1.1 USD per lb", "product__1__second_mass": "9000 lb per year",
        "next__price": "52000 USD", "next__batch_load": "1400 lb"}  # fmt: skip


def test_the_best_of_the_grid_is_that_of_single_runs() -> None:
    """Every plan of the coarse grid, and every tier and price, as a run of its own over the same samples."""
    scenario = thistle(**GRID)
    plan = Plan.of(scenario)
    moves = [*grid(scenario, plan), *tiers(scenario, plan), *demand(scenario, plan)]
    assert len(moves) > 11 * 4 * 3  # shares, kilns and the next size, batches a week
    together = Search(scenario, plan, Sampling(100)).tried(moves)
    singles = []
    for one in together:
        made = moved(scenario, one.moves)
        npv = chances(made, Plan.of(made), Sampling(100)).spreads["npv"]
        singles.append(npv.mean)
        assert (one.mean, one.p10, one.p90) == pytest.approx(
            (npv.mean, npv.percentiles[10], npv.percentiles[90]), rel=1e-9
        )
        alone = evaluate(made.numbers(), plan, frozenset({"npv", "hours_per_year"})).lines
        weeks = made["kiln.weeks_per_year"].number
        assert (one.npv, one.hours_per_week) == pytest.approx((alone["npv"], alone["hours_per_year"] / weeks))
    best = best_of(together)
    assert best is not None
    assert best.mean == pytest.approx(max(singles), rel=1e-9)


def test_a_search_draws_the_inputs_its_figures_hang_on_and_finds_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    scenario = thistle(**GRID)
    plan = Plan.of(scenario)
    moves = [*grid(scenario, plan)[:40], *tiers(scenario, plan), *own_use(scenario, plan, 4.0)]
    few = Search(scenario, plan, Sampling(100))
    found = few.tried(moves)
    monkeypatch.setattr("econ.questions.plans.behind", lambda scenario, plan, sampling, inputs, *wanted: inputs)
    every = Search(scenario, plan, Sampling(100))
    assert every.tried(moves) == found
    assert few.values.keys() < every.values.keys()


def test_the_best_share_of_one_of_many_plants_is_that_of_single_runs() -> None:
    """Of tenths, where a third sells: 2,028 + 90 - 32 x 20 = 1,478 at three, 2,253 + 120 - 840 = 1,533 at four."""

    def best(scenario: Scenario) -> OfPlant:
        return of_each(scenario, Plan.of(scenario), FEW, base_case(scenario).figures["npv"])[0]

    third = best(held(plant(THIRD)))
    assert third.best_share == pytest.approx(0.4, abs=1e-6)
    scenario = plant(THIRD)
    runs = {}
    for share in (None, *range(10, 101, 10)):
        one = plant(THIRD | ({} if share is None else {SHARE: (share, "%")}))
        figures, weeks = base_case(one).figures, one["kiln.weeks_per_year"].number
        runs[chances(one, Plan.of(one), FEW).spreads["npv"].mean] = figures["hours_per_year"] / weeks
    assert best(scenario).best_mean_npv == pytest.approx(max(runs), rel=1e-9)
    assert best(scenario).best_hours_per_week == pytest.approx(runs[max(runs)], rel=1e-9)
    nobody = best(
        plant(THIRD | {"plans.hours_per_week": (0.01, "hour per week"), "labour.hours_per_batch": (5, "hours")})
    )
    assert (nobody.best_share, nobody.best_mean_npv, nobody.best_loss_chance) == (None, None, None)
    assert nobody.best_hours_per_week is None
    loser = THIRD | {"product.1.price": (0, "USD per kg")}
    always = best(held(plant(loser)))
    assert (always.best_loss_chance, always.npv_loss_chance) == (1.0, 1.0)
    assert always.best_share is not None, "without a limit a plan that always loses is still the best"
    assert best(held(plant(loser | {"plans.loss_chance": (99, "%")}))).best_share is None


@pytest.mark.parametrize(
    ("mean", "loss", "error", "is_near"),
    [
        (1000.0, 0.05, 300.0, False),  # 3 errors of 300 are 900
        (1000.0, 0.05, 340.0, True),
        (-1000.0, 0.9, 340.0, True),
        (1e6, 0.20 + 0.034, 1.0, True),  # of 1,200 samples one in five: an error of 1.15 %, and 3.46 % are near
        (1e6, 0.20 - 0.034, 1.0, True),
        (1e6, 0.20 + 0.036, 1.0, False),
        (1e6, 0.20 - 0.036, 1.0, False),
    ],
)
def test_a_finding_is_near_a_limit_within_three_standard_errors(
    mean: float, loss: float, error: float, is_near: bool
) -> None:
    """Of a mean, and of a share p of n samples: √(p (1 - p) / n)."""
    assert _is_near(Limits(0.20, 0.0), Look(mean, loss, mean, loss), error, 1200) is is_near


@settings(max_examples=12, deadline=None)
@given(
    hours=st.floats(1, 12), most=st.floats(20_000, 120_000), batch_hours=st.floats(1, 8),
    limit=st.floats(100, 9000), out=st.floats(0, 0.5), none=st.booleans(), loss=st.floats(0, 1),
)  # fmt: skip
def test_no_plan_breaks_what_it_may_not(
    hours: float, most: float, batch_hours: float, limit: float, out: float, none: bool, loss: float
) -> None:
    scenario = plant(THIRD | {
        "plans.hours_per_week": (hours, "hour per week"), "plans.capital": (most, "USD"),
        "plans.loss_chance": (loss, "fraction"), "plans.unsold": ("none" if none else "allowed", None),
        "labour.hours_per_batch": (batch_hours, "hours"), "kiln.price": (30_000, "USD"),
        "product.1.market_limit": (limit, "kg per year"), "bones.1.excluded_share": (out, "fraction"),
    })  # fmt: skip
    search = found(scenario, Sampling(100))
    for one in (*search.coarse, *search.curve):
        assert one.bones_kg <= 520 * 52 * (1 - out) * (1 + 1e-9)
        assert one.sold_kg <= limit * (1 + 1e-9)
    best = search.best
    if best is not None:
        assert best.hours_per_week <= hours * (1 + 1e-6)
        assert best.capital <= most
        assert not none or best.unsold_kg <= 1e-5
    else:
        assert not any(one.is_allowed for one in search.coarse)


def test_the_printed_options_make_the_best_plan() -> None:
    """Run with them and the seed named: the same figures, ranges and all; JSON and screen hold them."""
    typed = {"product__1__second_price": "1.1 USD per lb", "product__1__second_mass": "9000 lb per year",
             "product__1__market_limit": "2000 lb per year", "plans__unsold": "none"}  # fmt: skip
    results = appraise(thistle(**typed), Sampling(1000))
    best, sets = results.plans().best, results.plans().sets
    assert best is not None
    assert results.to_json()["details"]["plans"]["sets"] == list(sets) != []
    assert all(f"  {text}" in screen(results) for text in sets)
    start = example("thistle-flat")
    first = [f"{key.replace('__', '.')}={value}" for key, value in typed.items()]
    rows, _ = put_over(start.rows, [*first, *(text.removeprefix("--set ").replace('"', "") for text in sets)])
    again = appraise(build(rows, start.system), Sampling(1000, results.plans().seed))
    npv = again.chances.spreads["npv"]
    assert again.figures["npv"] == pytest.approx(best.npv, rel=1e-12)
    assert (npv.mean, npv.percentiles[10], npv.percentiles[90], again.chances.loss) == pytest.approx(
        (best.mean, best.p10, best.p90, best.loss), rel=1e-12
    )
    assert again.figures["char_to_stock_kg"] == pytest.approx(best.unsold_kg, abs=1e-6)


def test_a_demand_line_ends_at_its_two_points() -> None:
    """1,000 kg at 2.00 and 3,000 kg at 1.00: five points, 500 kg for 0.25 each, none beyond."""
    rows: Rows = {
        "product.1.price": (2, "USD per kg"), "product.1.market_limit": (1000, "kg per year"),
        "product.1.second_price": (1, "USD per kg"), "product.1.second_mass": (3000, "kg per year"),
    }  # fmt: skip
    scenario = held(plant(STILL | rows))
    points = [(one.get("product.1.price", 2), one.get("product.1.market_limit", 1000))
              for one in demand(scenario, Plan.of(scenario))]  # fmt: skip
    assert points == [(2, 1000), (1.75, 1500), (1.5, 2000), (1.25, 2500), (1, 3000)]
    best = found(scenario).best
    assert best is not None
    assert best.moves == {"product.1.price": 1.25, "product.1.market_limit": 2500}  # m (2.5 - m / 2000) is most


LINE: Rows = {
    "product.1.price": (2, "USD per kg"), "product.1.market_limit": (1000, "kg per year"),
    "product.1.second_price": (1.1, "USD per kg"), "product.1.second_mass": (3050, "kg per year"),
}  # fmt: skip


def test_a_typed_range_goes_along_with_its_value_and_figures_are_few() -> None:
    """A price of 2.00 (1.50-2.50) moved to 1.55: x 0.775 is 1.16 to 1.94; half of 1,000 to 3,050 kg is 2,025."""
    scenario = plant(STILL | LINE)
    key = "product.1.price"
    entries = scenario.entries | {key: replace(scenario[key], low=1.5, high=2.5, range_by="")}
    scenario = replace(scenario, entries=entries)
    half = demand(scenario, Plan.of(scenario))[2]
    assert half[key] == 1.55
    assert half["product.1.market_limit"] in (2020.0, 2030.0)
    assert as_set(scenario, key, 1.55) == (
        '--set product.1.price="1.55 (1.16-1.94) USD per kg"',
        (1.55, 1.16, 1.94),
    )
    made = moved(scenario, {key: 1.55})[key]
    assert (made.low, made.number, made.high, made.range_by) == (1.16, 1.55, 1.94, "")
    reading = read_number("1.55 (1.16-1.94) USD per kg")
    assert reading == Reading(1.55, (1.16, 1.94), "USD per kg")
    assert read_number("1.55 (1.6-1.94)") is None


def test_a_share_that_the_batches_override_is_no_plan() -> None:
    """One batch of 260 kg a week takes half of 520 kg: no share above it is named, and none stands twice."""
    results = appraise(plant(STILL | {"fuel.1.per_batch": (400, "L"), "fuel.1.price": (1, "USD per L")}), FEW)
    found_ = results.plans()
    best = found_.best
    assert best is not None
    assert best.share <= 0.5
    assert best.moves.get(SHARE, best.share) == pytest.approx(best.share, abs=0.005)
    shares = [round(one.share, 2) for one in found_.curve]
    assert shares == sorted(set(shares))
    assert found_.flat[0] - 1e-9 <= best.share <= found_.flat[1] + 1e-9
    one = next(one for one in found_.coarse if one.moves == {"kiln.batches_per_week": 1.0})
    assert moves_words(results, one) == "up to 1 batch a week; that takes 50% of the bones"
    assert "e+" not in moves_words(results, replace(one, moves={"product.1.market_limit": 123456.0}))


def test_own_use_is_tried_up_to_what_soil_tests_allow() -> None:
    """Typed, none, and the doses of own planting under their ceilings; where these leave sales they stand."""
    scenario = thistle(own_use__mass="50 lb per year", own_use__soil_test="below-optimum")
    plan = Plan.of(scenario)
    assert not plan.planting.leaves_sales
    lines = evaluate(scenario.numbers(), plan).lines
    allowed = float(lines["planting_char_kg"] * lines["as_sold_per_kg"])
    masses = [one.get("own_use.mass") for one in own_use(scenario, plan, allowed)]
    assert masses[:2] == [None, 0.0]
    assert masses[2] == pytest.approx(allowed, rel=0.01)
    assert masses[2] <= allowed  # three figures, rounded down: it is a ceiling
    leaving = replace(plan, planting=replace(plan.planting, leaves_sales=True))
    assert own_use(scenario, leaving, allowed) == [{}]


# -- pace: two stages

PATTERN = [(100.0, 1.0)] * 48 + [(100.0, 0.0)] * 12 + [(-200.0, 1.0)] * 8 + [(-200.0, 0.0)] * 32
LATER, NEWS = (np.repeat([one[at] for one in PATTERN], 5) for at in (0, 1))
"""Later is +100 in 60 of 100 and -200 in 40; the news says "good" in 80 % of the good and 20 % of the bad."""


def test_a_tree_of_two_points_by_hand() -> None:
    """No news: -20, so stop, 0. Perfect: 0.6 x 100. Four in five right: 0.48 x 100 - 0.08 x 200 = 32."""
    stop = np.zeros_like(LATER)
    assert two_stage(LATER, stop, []) == pytest.approx(0)
    assert two_stage(LATER, stop) == pytest.approx(60)
    assert two_stage(LATER, stop, [NEWS]) == pytest.approx(32)
    assert two_stage(LATER, stop + 10, [NEWS]) == pytest.approx(32 + 10 * 0.44)


def test_perfect_news_with_free_waiting_is_evpi() -> None:
    """EVPI = E max(NPV, 0) - max(E NPV, 0), by its definition."""
    npv = np.random.default_rng(3).normal(5_000, 40_000, 2_000)
    evpi = float(np.mean(np.maximum(npv, 0)) - max(float(np.mean(npv)), 0.0))
    assert two_stage(npv, np.zeros_like(npv)) - max(float(np.mean(npv)), 0.0) == pytest.approx(evpi, rel=1e-12)


def test_what_must_be_seen_is_where_going_on_breaks_even() -> None:
    """NPV = 4 sales - 1,000 and noise: going on pays from sales of 250 on."""
    sales = np.random.default_rng(4).uniform(100, 500, 5_000)
    later = 4 * sales - 1000 + np.random.default_rng(5).normal(0, 50, 5_000)
    (one,) = signs(later, np.zeros_like(later), {"sales": sales})
    assert one.at_least
    assert one.bound == pytest.approx(250, abs=5)


def test_a_pilot_of_no_cost_is_worth_no_less_than_waiting_and_no_pilot_beats_perfect_news() -> None:
    results = appraise(thistle(pilot__cost="6000 USD", pilot__resale_share="50 %"), Sampling(500))
    pace = results.plans().pace
    assert pace is not None
    assert pace.perfect >= max(pace.buy, pace.wait) - 1e-6
    assert pace.buy == pytest.approx(float(np.mean(results.chances.kept["npv"])), rel=1e-9)
    assert "Go on after the pilot if" in say(results, "pace")
    dearer = appraise(thistle(pilot__cost="9000 USD", pilot__resale_share="0 %"), Sampling(500)).plans().pace
    assert dearer is not None
    assert dearer.pilot < pace.pilot


def test_the_scatter_of_weighed_batches_stands_in_for_the_one_typed() -> None:
    """One question, one answer: a pilot takes it from the log, as a deep run does."""
    shipped = example("thistle-flat")
    typed, _ = put_over(shipped.rows, ["pilot.cost=6000 USD", "measure.batch_spread_share=60 %"])
    scenario = build(typed, shipped.system, tables=shipped.tables)
    paces = [_pace(Search(one, Plan.of(one), Sampling(200))) for one in (scenario, replace(scenario, tables={}))]
    assert paces[0] is not None
    assert paces[1] is not None
    assert paces[0].pilot != paces[1].pilot


def test_bones_of_others_are_bounded_by_the_store_and_cautioned() -> None:
    """Room for 27,040 kg a year more; a store of 100 kg emptied every 7 days of 52 weeks holds 5,200."""
    rows: Rows = STILL | {
        "kiln.batches_per_week": (4, "a week"), "bones.storage_days": (7, "days"),
        "option.1.kind": ("gate-fee", None),
        "option.1.mass": (20_000, "kg per year"), "option.1.fee": (-0.1, "USD per kg"),
        "option.1.haul": (0.04, "USD per kg"), "option.1.store": (100, "kg"),
    }  # fmt: skip
    scenario = plant(rows)
    lines = evaluate(scenario.numbers(), Plan.of(scenario)).lines
    assert lines["option_1_taken_kg"] == pytest.approx(5200)
    assert lines["option_1_fee_paid"] == pytest.approx(-0.06 * 5200)
    assert lines["option_1_npv"] - lines["npv"] == pytest.approx(0.06 * 5200 * WORTH)
    assert "bones-of-others" in {one.id for one in base_case(scenario).cautions()}
    assert found(held(scenario)).beside[0].taken_kg == pytest.approx(5200)


def tried(mean: float, spread: float, moves: dict[str, float]) -> Tried:
    """A plan of this mean whose P10 and P90 lie `spread` apart."""
    ends = mean - spread / 2, mean + spread / 2
    return Tried(moves, 0.0, mean, *ends, 0.5, 40.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0, 10.0, True)


@pytest.mark.parametrize(("gain", "is_better"), [(2.0, True), (1.9, False), (1.0, False), (-2.0, False)])
def test_a_better_plan_is_so_by_two_standard_errors(gain: float, is_better: bool) -> None:
    """Both spread by a standard deviation of 300 over 900 runs: of their difference √2 × 300 / √900 = 14.14."""
    spread = 300 * 2 * NormalDist().inv_cdf(0.9)
    typed, best = tried(0.0, spread, {}), tried(gain * 14.15, spread, {SHARE: 0.5})
    found = Plans(typed, (), best, (), (0.0, 1.0), (), Bounds(), 2, samples=900)
    assert found.is_better is is_better
    assert not replace(found, best=replace(best, moves={})).is_better, "the plan typed is no other"


def test_a_second_quote_burns_by_its_load_and_takes_the_same_hours_unless_it_says_otherwise() -> None:
    """Of 50,000 for twice the load: twice the fuel of a batch; by the maker 1.5 times, and 1.2 times the hours."""
    quote = {"next__price": "50000 USD", "next__batch_load": "2000 lb"}
    typed = thistle().numbers()
    for more, fuel, hours in (({}, 2.0, 1.0), ({"next__fuel_times": "1.5", "next__hours_times": "1.2"}, 1.5, 1.2)):
        scenario = thistle(**quote, **more)
        *_, second = sizes(scenario, Plan.of(scenario))
        assert second["kiln.price"] == 50000
        assert second["kiln.batch_load"] == pytest.approx(2 * typed["kiln.batch_load"])
        assert second["fuel.1.per_batch"] == pytest.approx(fuel * typed["fuel.1.per_batch"], rel=1e-3)
        assert second["labour.hours_per_batch"] == pytest.approx(hours * typed["labour.hours_per_batch"])


def test_a_move_is_said_in_three_figures_and_a_ceiling_never_above_itself() -> None:
    scenario, pound = thistle(), 0.45359237
    for pounds, near, below in ((1236.0, 1240.0, 1230.0), (1234.0, 1230.0, 1230.0), (1230.0, 1230.0, 1230.0)):
        assert said(scenario, "own_use.mass", pounds * pound) == pytest.approx(near * pound, rel=1e-9)
        assert said(scenario, "own_use.mass", pounds * pound, down=True) == pytest.approx(below * pound, rel=1e-9)


@pytest.mark.parametrize(
    ("most", "moves"), [("6 a week", [1, 6]), ("2 a week", [1]), ("1 a week", [1]), ("0.5 a week", [0.5])]
)
def test_batches_are_tried_up_to_the_most_and_not_beyond(most: str, moves: list[float]) -> None:
    """Two a week are typed: one and the most are tried beside them, one only where that many may be."""
    found = [list(one.values()) for one in batches(thistle(plans__most_batches=most))]
    assert found == [[], *([pytest.approx(value)] for value in moves)]
