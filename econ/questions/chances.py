"""Chances: all ranges moved at once over many samples, read in chunks through the same model.

Money and carbon come from the same samples. Money is told by P10 to P90, carbon by P5 to P95 (nine cases in
ten), the pair of inventories of this kind; both pairs stand for the same figure everywhere.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from econ.inputs.records import Scenario
from econ.model.evaluate import evaluate, hang_on
from econ.model.plan import Plan
from econ.questions import found as asked
from econ.questions.draws import draws, inputs_drawn, kept_whole, those_behind
from econ.questions.found import AGAINST_BEST, CENT, MEASURES, PERCENTILES, Bar, Chances, DebtChances, Spread
from econ.questions.latin import Sampling
from econ.questions.samples import Drawn, bound, percentiles

Numbers = NDArray[np.float64]
Progress = Callable[[int], None]

MOST_BARS = 36
DEBT = ("lowest_coverage", "lowest_balance", "lowest_balance_awarded")
"""Figures of every sample that a lender asks about."""
KEPT = (*MEASURES, *asked.WHERE_MODELLED, *asked.CARBON, *DEBT)
QUANTILES = 100
PARTS = (8, 4, 2, 1)
"""The chance of a loss is also given after an eighth, a quarter and half of the samples."""


def chances(scenario: Scenario, plan: Plan, sampling: Sampling, progress: Progress | None = None) -> Chances:
    """The chances of a scenario; `progress` hears of each chunk. Raises InputFaults for bad counts or pairs."""
    samples, inputs = sampling.checked().samples, inputs_drawn(scenario)
    kept = sampled(scenario, plan, sampling, inputs, KEPT, progress)
    npv, net = kept["npv"], kept["project_net_kg_co2e"]
    known = np.isfinite(net)
    ordered = np.sort(npv)
    decisive = AGAINST_BEST if AGAINST_BEST in kept else "npv"
    return Chances(
        sampling=sampling,
        shapes={one.key: one.shape for one in inputs},
        pairs=tuple(bound(scenario, [one.key for one in inputs])),
        spreads={name: spread(figure) for name, figure in kept.items() if name not in DEBT},
        loss=float(np.mean(npv < 0)),
        debt=debt(kept),
        never_pays_back=float(np.mean(~np.isfinite(kept["payback_years"]))),
        decisive=decisive,
        char_is_cheapest=float(np.mean(kept[decisive] >= 0)),
        char_is_dearer=float(np.mean(kept[decisive] < 0)),
        net_source=float(np.mean(net[known] < 0)) if np.any(known) else math.nan,
        so_far=tuple((samples // part, float(np.mean(npv[: samples // part] < 0))) for part in PARTS),
        bars=tuple(bars(ordered)),
        quantiles=tuple((float(ordered[round((samples - 1) * i / QUANTILES)]), i / QUANTILES)
                        for i in range(QUANTILES + 1)),
        kept=kept,
    )  # fmt: skip


def sampled(
    scenario: Scenario, plan: Plan, sampling: Sampling, inputs: Sequence[Drawn], wanted: Iterable[str],
    progress: Progress | None = None, read: dict[str, Numbers] | None = None,
) -> dict[str, Numbers]:  # fmt: skip
    """The `wanted` figures that the model writes, (samples,) in their units; values of inputs go into `read`."""
    kept: dict[str, Numbers] = {}
    numbers, names = scenario.numbers(), frozenset(wanted)
    inputs = behind(scenario, plan, sampling, inputs, names) if read is None else inputs
    for start, stop, values in draws(scenario, sampling, inputs):
        lines = evaluate(kept_whole({**numbers, **values}, plan), plan, names).lines
        for into, found in ((kept, lines), *(() if read is None else ((read, values),))):
            for name, figure in found.items():
                into.setdefault(name, np.empty(sampling.samples))[start:stop] = figure
        if progress:
            progress(stop - start)
    return kept


def behind(
    scenario: Scenario, plan: Plan, sampling: Sampling, inputs: Sequence[Drawn], *wanted: frozenset[str]
) -> Sequence[Drawn]:
    """Of the inputs those that `wanted` figures hang on, if their samples are the same without the others."""
    if sampling.stream != "latin":
        return inputs
    numbers = scenario.numbers()
    return those_behind(scenario, inputs, frozenset[str]().union(*(hang_on(numbers, plan, one) for one in wanted)))


def debt(kept: Mapping[str, Numbers]) -> DebtChances:
    """What the samples say to a lender."""

    def below(name: str, limit: float) -> float:
        return float(np.mean(kept[name] < limit)) if name in kept else math.nan

    coverage = below("lowest_coverage", asked.COVERAGE_ASKED), below("lowest_coverage", 1.0)
    balance = below("lowest_balance", -CENT), below("lowest_balance_awarded", -CENT)
    return DebtChances(*coverage, *balance, float(percentiles(kept["lowest_balance"], (10,))[0]))


def spread(figure: Numbers) -> Spread:
    """Mean and percentiles of the samples in which a figure of shape (samples,) exists."""
    known = figure[np.isfinite(figure)]
    mean, places = math.nan, [math.nan] * len(PERCENTILES)
    if len(known):
        mean, places = float(np.mean(known)), percentiles(known, PERCENTILES).tolist()
    return Spread(mean, dict(zip(PERCENTILES, places, strict=True)), 1 - len(known) / len(figure))


def bars(ordered: Numbers) -> Iterator[Bar]:
    """The histogram: round widths, zero on an edge; half a per cent at either end is in the outermost bars."""
    last = len(ordered) - 1
    low, high = float(ordered[round(last * 0.005)]), float(ordered[round(last * 0.995)])
    width = asked.round_width((high - low) / (MOST_BARS - 2) or abs(low) / 10 or 1.0)
    first, end = math.floor(low / width), math.floor(high / width) + 1
    edges = [width * i for i in range(first, end + 1)]
    below = [0, *np.searchsorted(ordered, edges[1:-1]).tolist(), len(ordered)]
    for start, stop, under, upto in zip(edges, edges[1:], below, below[1:], strict=False):
        yield Bar(start, stop, (upto - under) / len(ordered))
