"""Worth of firings and of inputs on a whole plant, by other methods: Bayes' rule over the samples, and bins."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
from conftest import plant

from econ.answer.base_case import base_case
from econ.model.evaluate import evaluate
from econ.questions.deep import deep
from econ.questions.draws import draws, inputs_drawn, kept_whole
from econ.questions.found_deep import Deep
from econ.questions.latin import Sampling

SAMPLING = Sampling(4_000, 3)
SCATTER = 0.3
"""Standard deviation from firing to firing as a share of the mean: wide, so that many samples keep a weight."""
BINS = 25


@cache
def samples() -> tuple[dict[str, np.ndarray], np.ndarray, Deep]:
    """What firings show and the inputs, by name; NPV; and what the deep run says of the same samples."""
    sets = {"current__saving": "1050 USD per month", "measure__batch_spread_share": f"{SCATTER} fraction"}
    base = base_case(plant(**sets))
    ((_, _, inputs),) = draws(base.scenario, SAMPLING, inputs_drawn(base.scenario))
    wanted = frozenset({"npv", "char_kg", "bones_fired_kg"})
    found = evaluate(kept_whole({**base.scenario.numbers(), **inputs}, base.plan), base.plan, wanted).lines
    shown = {"yield": found["char_kg"] / found["bones_fired_kg"], **inputs}
    outlay = base.figures["capital_total_today"]
    said = deep(base.scenario, base.plan, SAMPLING, base.readings, outlay)
    return {name: np.asarray(values) for name, values in shown.items()}, np.asarray(found["npv"]), said


def by_bayes(firings: int) -> tuple[float, float]:
    """Gain and its standard error: each sample in turn is the truth, makes up means of its firings, and the
    other samples are weighed by how likely they would have made the same (importance weights)."""
    shown, npv, _ = samples()
    deviates = np.random.default_rng(11).standard_normal((3, len(npv)))
    logs = np.zeros((len(npv), len(npv)))
    for name, deviate in zip(("yield", "fuel.1.per_batch", "labour.hours_per_batch"), deviates, strict=True):
        true = shown[name]
        scatter = SCATTER * np.mean(true) / math.sqrt(firings)
        means = true + scatter * deviate
        logs -= ((means[:, None] - true[None, :]) / scatter) ** 2 / 2
    weights = np.exp(logs - logs.max(axis=1, keepdims=True))
    expected = weights @ npv / weights.sum(axis=1)
    gains = np.maximum(expected, 0) - (expected if np.mean(npv) > 0 else 0)
    return float(np.mean(gains)), float(np.std(gains) / math.sqrt(len(npv)))


@pytest.mark.parametrize("firings", [1, 5, 20])
def test_firings_by_bayes_rule(firings: int) -> None:
    said = next(one.worth for one in samples()[2].counts if one.firings == firings)
    gain, error = by_bayes(firings)
    assert gain > 0
    assert abs(said.raw - gain) <= 2 * math.hypot(said.error, error)


@pytest.mark.parametrize(
    "key", ["product.1.price", "bones.1.ash_share", "labour.hours_per_batch", "product.2.price"]
)
def test_single_inputs_by_bins(key: str) -> None:
    """Mean NPV within each of 25 equal parts of the samples by that input; a choice in each part.

    Bins err high where an input hardly matters, so only those that do are compared.
    """
    shown, npv, said = samples()
    parts = np.array_split(npv[np.argsort(shown[key], kind="stable")], BINS)
    gain = float(np.mean([max(float(np.mean(part)), 0.0) for part in parts])) - max(float(np.mean(npv)), 0.0)
    assert abs(said.inputs[key].raw - gain) <= 2 * max(said.inputs[key].error, 1.0)
