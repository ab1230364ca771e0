"""Chances: printed examples, closed forms, and what must hold whatever the samples."""

from __future__ import annotations

import tracemalloc
from dataclasses import replace

import numpy as np
import pytest
from ranged_plants import pair, plant, shaped
from scipy import stats  # noqa: TID253 (the oracle of this file)

from econ.errors import InputFaults
from econ.inputs.records import Scenario, Typed
from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.questions import latin
from econ.questions.chances import bars, chances, sampled, spread
from econ.questions.draws import draws, inputs_drawn, kept_whole
from econ.questions.found import Chances, round_width
from econ.questions.latin import Latin, Sampling
from econ.questions.samples import SHAPES, percentiles

PRICE = "product.2.price"


@pytest.mark.parametrize(
    "wanted", [("npv",), ("removal_kg_co2e", "project_net_kg_co2e"), ("lowest_balance", "npv")]
)
@pytest.mark.parametrize(
    "changes", [{}, pair(1, "carbon.soil_temperature", "product.2.price", 0.8)], ids=["alone", "in pairs"]
)
def test_what_is_drawn_beside_moves_no_figure(changes: dict[str, Typed], wanted: tuple[str, ...]) -> None:
    """Inputs that no figure hangs on are drawn only where their values are asked for."""
    scenario = plant(changes)
    plan, inputs = Plan.of(scenario), inputs_drawn(scenario)
    read: dict[str, np.ndarray] = {}
    few = sampled(scenario, plan, Sampling(1000), inputs, wanted)
    all_of_them = sampled(scenario, plan, Sampling(1000), inputs, wanted, read=read)
    assert {one.key for one in inputs} <= read.keys()
    for name in wanted:
        assert np.array_equal(few[name], all_of_them[name], equal_nan=True)


@pytest.mark.parametrize("places", [(10,), (10, 90), (0, 50, 100), (2.5, 5, 10, 50, 90, 95, 97.5)])
@pytest.mark.parametrize("shape", [(1,), (2,), (7,), (2048,), (9999,), (3, 1), (16, 1000)])
def test_percentiles_are_those_of_numpy_to_the_last_bit(shape: tuple[int, ...], places: tuple[float, ...]) -> None:
    figures = np.random.default_rng(len(places)).normal(size=shape) * 1e5
    assert np.array_equal(percentiles(figures, places), np.percentile(figures, places, axis=-1))


def of(scenario: Scenario, samples: int = 4000, **sampling: object) -> Chances:
    return chances(scenario, Plan.of(scenario), Sampling(samples, **sampling))  # type: ignore[arg-type]


# JCGM 101:2008, 9.2, additive model Y = X1 + X2 + X3 + X4, each of mean 0 and standard deviation 1, a
# million samples. Printed: normal inputs u = 2.00, 95 % interval ±3.92; rectangular inputs u = 2.00,
# ±3.88. The figures are from memory, not read in the document; 3.92 is 2 × 1.96 besides, and 3.88 was
# recomputed from the density of a sum of four rectangles.
ADDITIVE = (("normal", 2.00, 3.92), ("rectangular", 2.00, 3.88))


@pytest.mark.parametrize(("inputs", "deviation", "half_width"), ADDITIVE)
def test_additive_examples_of_the_guide(inputs: str, deviation: float, half_width: float) -> None:
    samples = 1_000_000
    shares = Latin(("x1", "x2", "x3", "x4"), samples, 1).read(0, samples)
    total = np.zeros(samples)
    for one in shares:
        total += latin.inverse(one) if inputs == "normal" else np.sqrt(12) * (one - 0.5)
    assert np.mean(total) == pytest.approx(0, abs=0.005)
    assert np.std(total) == pytest.approx(deviation, abs=0.005)
    assert np.quantile(total, (0.025, 0.975)) == pytest.approx([-half_width, half_width], abs=0.015)


@pytest.mark.parametrize("shape", ["triangular", "uniform", "pert"])
def test_chance_of_loss_of_one_price_equals_its_distribution(shape: str) -> None:
    """NPV is a straight line in the price, so the chance is the distribution function at the break-even."""
    turning = {"current.saving": Typed(100, 100, 100, "USD per month"), "ranges.shape": Typed(shape)}
    scenario = plant(turning, keep=(PRICE,))
    plan, entry = Plan.of(scenario), scenario[PRICE]
    start, end = SHAPES[shape](entry.low, entry.number, entry.high)(np.array([0.0, 1.0]))
    low, high = evaluate({**scenario.numbers(), PRICE: np.array([start, end])}, plan).lines["npv"]
    even = start - low * (end - start) / (high - low)
    part, span = (entry.number - start) / (end - start), end - start
    oracle = {
        "triangular": stats.triang(part, loc=start, scale=span),
        "uniform": stats.uniform(start, span),
        "pert": stats.beta(1 + 4 * part, 5 - 4 * part, loc=start, scale=span),
    }[shape]
    found = of(scenario, 10_000)
    assert 0.05 < found.loss < 0.95
    assert found.loss == pytest.approx(float(oracle.cdf(even)), abs=2e-4)
    assert found.spreads["npv"].mean == pytest.approx(
        low + (high - low) * (float(oracle.mean()) - start) / span, rel=2e-4
    )


@pytest.mark.parametrize("stream", ["latin", "sobol"])
@pytest.mark.parametrize("chunk", [101, 128, 1000, 1100])
def test_a_seed_gives_the_same_whatever_the_chunk(stream: str, chunk: int) -> None:
    scenario = plant(pair(1, "labour.wage", "fuel.1.price", 0.5) | {"ranges.shape": Typed("pert")})
    whole = of(scenario, 1100, seed=7, stream=stream, chunk=16_384)
    parts = of(scenario, 1100, seed=7, stream=stream, chunk=chunk)
    assert replace(parts, sampling=whole.sampling) == whole


def test_another_seed_moves_the_chances_within_their_standard_error() -> None:
    first, second = (of(plant(), 10_000, seed=seed) for seed in (1, 2))
    assert first.spreads["npv"].mean != second.spreads["npv"].mean
    assert abs(first.loss - second.loss) < 5 * max(first.loss_error, 1e-3)


def test_a_sample_alone_gives_what_it_gives_among_others() -> None:
    scenario = plant()
    plan, numbers = Plan.of(scenario), scenario.numbers()
    ((_, _, values),) = draws(scenario, Sampling(200), inputs_drawn(scenario))
    together = evaluate(kept_whole({**numbers, **values}, plan), plan).lines["npv"]
    for i in (0, 77, 199):
        alone = kept_whole({**numbers, **{key: column[i : i + 1] for key, column in values.items()}}, plan)
        assert evaluate(alone, plan).lines["npv"][0] == together[i]


def test_sobol_and_latin_agree() -> None:
    """Two unlike streams, one answer: within 5 standard errors of independent samples."""
    latin, sobol = (of(plant(), 8192, stream=stream) for stream in ("latin", "sobol"))
    assert latin.spreads["npv"].mean == pytest.approx(sobol.spreads["npv"].mean, abs=2_000)
    assert abs(latin.loss - sobol.loss) < 5 * latin.loss_error


def test_prices_that_move_together_widen_the_spread() -> None:
    """Independent samples understate the spread where inputs rise and fall as one."""
    keys = ("product.1.price", PRICE)

    def width(scenario: Scenario) -> float:
        ends = of(scenario).spreads["npv"].percentiles
        return ends[90] - ends[10]

    assert width(plant(pair(1, *keys, 0.9), keep=keys)) > 1.15 * width(plant(keep=keys))


def test_shares_of_the_tiers_stay_at_100_per_cent() -> None:
    """Two typed shares whose ranges together pass 100 %: what is offered is never more than the char made."""
    wide = {
        "product.1.share": Typed(50, 20, 90, "%"),
        "product.2.share": Typed(None),
        "product.3.share": Typed(40, 20, 90, "%"),
    }
    scenario = plant(wide)
    plan = Plan.of(scenario)
    ((_, _, values),) = draws(scenario, Sampling(4000), inputs_drawn(scenario))
    assert np.max(values["product.1.share"] + values["product.3.share"]) > 1.2
    lines = evaluate(kept_whole({**scenario.numbers(), **values}, plan), plan).lines
    shares = kept_whole(values, plan)["product.1.share"] + kept_whole(values, plan)["product.3.share"]
    assert np.max(shares) <= 1 + 1e-12
    assert shares + lines["share_of_rest"] == pytest.approx(np.ones(4000), abs=1e-12)
    for n in plan.tiers:
        assert np.min(lines[f"tier_{n}_offered_kg"]) >= -1e-9
    made = lines["product_kg"] - lines["own_use_kg"]  # own planting leaves what is for sale
    assert lines["char_sold_kg"] + lines["char_to_stock_kg"] == pytest.approx(made)


def test_end_uses_stay_at_100_per_cent() -> None:
    plan = Plan.of(plant())
    uses = {"carbon.in_scope_share": np.array([0.7, 0.9]), "carbon.beds_share": np.array([0.3, 0.6])}
    found = kept_whole(uses, plan)
    assert found["carbon.in_scope_share"].tolist() == [0.7, pytest.approx(0.6)]
    assert found["carbon.beds_share"].tolist() == [0.3, pytest.approx(0.4)]


def test_shares_below_100_per_cent_are_left_to_the_last_digit() -> None:
    scenario = plant()
    plan = Plan.of(scenario)
    numbers = scenario.numbers() | {"product.1.share": np.array([0.1, 0.2, 0.3])}
    assert kept_whole(numbers, plan)["product.1.share"].tolist() == [0.1, 0.2, 0.3]


def test_the_mass_balance_closes_in_every_sample() -> None:
    """Water, fat, protein and ash are drawn on their own; the model brings them back to the whole bone."""
    scenario = plant()
    plan = Plan.of(scenario)
    ((_, _, values),) = draws(scenario, Sampling(2000), inputs_drawn(scenario))
    assert {"bones.1.water_share", "bones.1.ash_share"} <= values.keys()
    lines = evaluate(kept_whole({**scenario.numbers(), **values}, plan), plan).lines
    assert np.max(np.abs(lines["mass_residual_kg"]) / lines["bones_fired_kg"]) < 1e-12


def test_no_ranges_at_all() -> None:
    scenario = plant(keep=())
    found = of(scenario, 200)
    base = float(evaluate(scenario.numbers(), Plan.of(scenario)).lines["npv"])
    assert found.shapes == {}
    assert set(found.spreads["npv"].percentiles.values()) == {base}
    assert found.loss == float(base < 0)
    assert found.loss_error == 0
    assert sum(bar.share for bar in found.bars) == pytest.approx(1)


def test_inputs_held_fixed_are_not_drawn() -> None:
    found = of(plant(shaped(1, PRICE, "fixed") | shaped(2, "labour.wage", "uniform"), keep=(PRICE, "labour.wage")))
    assert dict(found.shapes) == {"labour.wage": "uniform"}


def test_percentiles_say_what_share_was_withheld() -> None:
    """H/C_org of 0.5 to 0.9 passes the method's limit of 0.7: no durable carbon there."""
    changes = {
        "carbon.persistence_method": Typed("hydrogen-ratio"),
        "carbon.h_corg": Typed(0.6, 0.5, 0.9, "mol/mol"),
        "ranges.shape": Typed("uniform"),
    }
    found = of(plant(changes, keep=()), 8000)
    assert 0.05 < found.spreads["durable_c_kg"].withheld_frac < 0.6
    assert np.isfinite(found.spreads["durable_c_kg"].mean)
    assert found.spreads["npv"].withheld_frac == 0
    assert found.net_source == 1.0


def test_all_withheld() -> None:
    found = spread(np.full(10, np.nan))
    assert found.withheld_frac == 1
    assert all(np.isnan(value) for value in (found.mean, *found.percentiles.values()))


def test_chances_count_what_they_say() -> None:
    """Counted again from a few hundred samples evaluated one table at a time."""
    scenario = plant()
    plan, sampling = Plan.of(scenario), Sampling(500, seed=3)
    found = chances(scenario, plan, sampling)
    ((_, _, values),) = draws(scenario, sampling, inputs_drawn(scenario))
    lines = evaluate(kept_whole({**scenario.numbers(), **values}, plan), plan).lines
    assert found.loss == np.count_nonzero(lines["npv"] < 0) / 500
    assert found.char_is_cheapest == np.count_nonzero(lines["npv"] >= 0) / 500
    assert found.never_pays_back == np.count_nonzero(np.isnan(lines["payback_years"])) / 500
    assert found.net_source == np.count_nonzero(lines["project_net_kg_co2e"] < 0) / 500
    assert found.spreads["npv"].percentiles[90] == np.percentile(lines["npv"], 90)
    assert found.so_far[-1] == (500, found.loss)
    assert found.so_far[0] == (62, np.count_nonzero(lines["npv"][:62] < 0) / 62)


def test_memory_does_not_grow_with_the_chunks() -> None:
    """Beyond the few figures kept of each sample, six times the samples need no more memory.

    Kept: money and carbon, and copies when they are put in order.
    """
    scenario = plant()
    plan = Plan.of(scenario)

    def peak(samples: int) -> int:
        tracemalloc.start()
        chances(scenario, plan, Sampling(samples))
        found = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return found

    few, many = peak(20_000), peak(120_000)
    assert many - few < 100_000 * 8 * 40


@pytest.mark.parametrize(("samples", "seed"), [(99, 1), (0, 1), (-5, 1), (5_000_001, 1), (1000, -1)])
def test_numbers_that_make_no_sample_are_refused(samples: int, seed: int) -> None:
    with pytest.raises(InputFaults) as refused:
        Sampling(samples, seed).checked()
    assert "--samples" in str(refused.value) or "--seed" in str(refused.value)


@pytest.mark.parametrize(
    ("least", "width"), [(0.7, 1), (1, 1), (1.1, 2), (2.2, 2.5), (2.6, 5), (7, 10), (12_345, 20_000), (0.03, 0.05)]
)
def test_bars_are_of_a_round_width(least: float, width: float) -> None:
    assert round_width(least) == pytest.approx(width)


def test_bars_hold_every_sample_once_and_have_an_edge_at_nought() -> None:
    figures = np.sort(np.random.default_rng(1).normal(-3000, 9000, 5000))
    found = list(bars(figures))
    assert len(found) <= 37
    assert sum(bar.share for bar in found) == pytest.approx(1)
    assert 0.0 in {bar.start for bar in found}
    lost = sum(bar.share for bar in found if bar.end <= 0)
    assert lost == pytest.approx(float(np.mean(figures < 0)))
