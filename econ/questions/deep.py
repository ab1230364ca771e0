"""What to measure before signing: the worth of knowing, by input and by what an owner can buy.

The choice is between the kiln, today's way and every other way that is priced. Each is worth its NPV against
today's way; the kiln's is lessened by the least NPV that the owner would bother for. All values come from
one set of samples, that of the chances.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from econ.errors import InputFault, InputFaults
from econ.inputs.records import Scenario
from econ.measured.use import Readings
from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.model.plan_parts import CHAR, TODAY
from econ.questions import sobol
from econ.questions import value_of_information as trials
from econ.questions.draws import draws, inputs_drawn, kept_whole
from econ.questions.found_deep import FIGURES, PURCHASES, TRIALS, Deep, Offer, fuel_figures, shown_by_trials
from econ.questions.latin import Sampling
from econ.questions.value_of_information import best_now, explained, of_everything, of_learning

Numbers = NDArray[np.float64]
Progress = Callable[[int], None]

MOST = 200_000
"""Samples that a deep run holds at once, all inputs of each."""
EXPLAINED = ("npv", "project_net_kg_co2e")
"""The answers of which each piece of evidence takes some doubt."""


@dataclass(frozen=True, slots=True)
class _Drawn:
    """The samples: inputs and figures by name, and the worth of each way, shape (ways, samples)."""

    inputs: Mapping[str, Numbers]
    figures: Mapping[str, Numbers]
    names: tuple[str, ...]
    values: Numbers


def checked(sampling: Sampling) -> Sampling:
    """The same, or InputFaults where a deep run cannot hold so many samples."""
    if sampling.checked().samples > MOST:
        raise InputFaults([InputFault("--samples", str(sampling.samples), f"Give at most {MOST:,} with --deep")])
    return sampling


def deep(
    scenario: Scenario,
    plan: Plan,
    sampling: Sampling,
    readings: Readings,
    outlay: float,
    progress: Progress | None = None,
) -> Deep:
    """The worth of knowing, and the shares of variance.

    `outlay`: what is bought in year 0 [currency]; `progress` hears of the cases put to the model. Raises
    InputFaults as `chances` does, and for more samples than can be held.
    """
    found = _drawn(scenario, plan, checked(sampling), progress)
    values, names = found.values, found.names
    total = of_everything(values)
    shown = shown_by_trials(found.inputs, found.figures, plan.fuels)
    spreads = _spreads(scenario, readings, tuple(shown))
    price = scenario.number_or("measure.batch_price", None)
    rivals = values[1:]
    best_rival = int(np.argmax(np.mean(rivals, axis=1)))
    return Deep(
        sampling=sampling,
        means=dict(zip(names, map(float, np.mean(values, axis=1)), strict=True)),
        now=names[best_now(values)],
        ahead=float(np.mean(values[0]) - np.mean(rivals[best_rival])),
        behind=float(np.mean(values[0] < rivals[best_rival])),
        total=total,
        inputs={key: of_learning(values, [column]) for key, column in found.inputs.items()},
        offers=tuple(_offers(scenario, found, shown)),
        counts=trials.by_count(
            values,
            shown,
            {name: spread * abs(float(np.mean(shown[name]))) for name, spread in spreads.items()},
            price,
            sampling.seed,
        )
        if shown
        else (),
        spreads=spreads,
        measured_spreads=tuple(_measured(readings, tuple(shown))),
        shares=sobol.shares(scenario, plan, sampling, progress),
        least_gain=scenario["rule.least_measuring_share"].number * outlay,
    )


def cases(scenario: Scenario, sampling: Sampling) -> int:
    """How many cases a deep run puts to the model, for a progress bar."""
    return sampling.samples + sobol.calls_of(scenario, sampling)


def _drawn(scenario: Scenario, plan: Plan, sampling: Sampling, progress: Progress | None) -> _Drawn:
    inputs = inputs_drawn(scenario)
    others = {f"option_{way.number}": f"option_{way.number}_npv" for way in plan.ways if way.is_rival}
    wanted = frozenset({*EXPLAINED, *others.values(), *FIGURES, *fuel_figures(plan.fuels).values()})
    kept: dict[str, Numbers] = {}
    read: dict[str, Numbers] = {}
    for start, stop, values in draws(scenario, sampling, inputs):
        numbers = kept_whole({**scenario.numbers(), **values}, plan)
        for into, found in ((kept, evaluate(numbers, plan, wanted).lines), (read, values)):
            for name, figure in found.items():
                into.setdefault(name, np.empty(sampling.samples))[start:stop] = figure
        if progress:
            progress(stop - start)
    ways = {CHAR: kept["npv"] - scenario["rule.least_mean_npv"].number, TODAY: np.zeros(sampling.samples)}
    ways |= {name: kept[line] for name, line in others.items() if line in kept}
    return _Drawn(read, kept, tuple(ways), np.array(list(ways.values())))


def _offers(scenario: Scenario, found: _Drawn, shown: Mapping[str, Numbers]) -> list[Offer]:
    offers = []
    for purchase in PURCHASES:
        told = (
            shown
            if purchase.slug == TRIALS
            else {key: found.inputs[key] for key in purchase.tells(tuple(found.inputs))}
        )
        learnt = list(told.values())
        limit, price = of_learning(found.values, learnt), scenario.number_or(purchase.price_key, None)
        explains = {name: explained(found.figures[name], learnt) for name in EXPLAINED}
        offers.append(Offer(purchase, tuple(told), limit, price, explains))
    return offers


def _measured(readings: Readings, names: Sequence[str]) -> dict[str, float]:
    """Scatter of the firings of the log as a share of their mean, where two or more were weighed."""
    samples = readings.log.samples if readings.log else {}
    known = ((name, samples[name]) for name in names if name in samples)
    return {name: one.sd / abs(one.mean) for name, one in known if one.sd is not None and one.mean}


def _spreads(scenario: Scenario, readings: Readings, names: Sequence[str]) -> dict[str, float]:
    typed = scenario["measure.batch_spread_share"].number
    return dict.fromkeys(names, typed) | _measured(readings, names)
