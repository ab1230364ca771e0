"""What to measure before signing: the worth of knowing, by input and by what can be bought; shares of variance.

The choice is between the kiln, lessened by the least NPV that the owner would bother for, current practice and
every other way that is priced, each by its NPV against current practice over the samples of the chances.

Sobol indices come from two further, independent sets of samples, A and B, and for every input a third that is A
but for this input taken from B. First-order share: the variance that would go if the input were known, the mean
of f(B) (f(AB) - f(A)) over the variance (Saltelli and others 2010, Computer Physics Communications 181, 259-270).
Total share: what would stay if all others were known, so also what it does together with others, half the mean of
(f(A) - f(AB))² over the variance (Jansen 1999, Computer Physics Communications 117, 35-43). Both from memory; the
tests hold them against the closed form of a known function and an independent library. Inputs that move together
are exchanged together: only what is independent has a share of its own.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from econ.errors import InputFault, InputFaults
from econ.inputs.ranges import Pair
from econ.inputs.records import Scenario
from econ.measured.use import Readings
from econ.model.evaluate import evaluate
from econ.model.plan import CHAR, TODAY, Plan
from econ.questions import found_deep as worth
from econ.questions import value_of_information as trials
from econ.questions.chances import Progress, sampled
from econ.questions.draws import Ties, inputs_drawn, kept_whole, made_whole, reader
from econ.questions.found_deep import FIGURES, TRIALS, VARIED, Deep, Indices, Offer, Purchase, Shares, fuel_figures
from econ.questions.latin import Numbers, Sampling
from econ.questions.samples import Drawn, bound
from econ.questions.value_of_information import best_now, explained, of_everything, of_learning

MOST = 200_000
"""Samples that a deep run holds at once, all inputs of each."""
EXPLAINED = ("npv", "project_net_kg_co2e")
"""The answers of which each piece of evidence takes some doubt."""
BLOCKS = 16
"""Parts of the samples left out one at a time for the standard errors."""
MOST_BASE = 8_192
"""Samples in each set of the indices; the model is asked (inputs + 2) times as often."""


def checked(sampling: Sampling) -> Sampling:
    """The same, or InputFaults where a deep run cannot hold so many samples."""
    if sampling.checked().samples > MOST:
        raise InputFaults([InputFault("--samples", str(sampling.samples), f"Give at most {MOST:,} with --deep")])
    return sampling


def cases(scenario: Scenario, sampling: Sampling) -> int:
    """How many cases a deep run puts to the model, for a progress bar."""
    inputs = inputs_drawn(scenario)
    return sampling.samples + (base_of(sampling) * (len(_groups(scenario, inputs)) + 2) if inputs else 0)


def deep(
    scenario: Scenario, plan: Plan, sampling: Sampling, readings: Readings, outlay: float,
    progress: Progress | None = None,
) -> Deep:  # fmt: skip
    """Worth of knowing, shares of variance; `outlay`: of year 0 [currency]. Raises InputFaults as `chances`."""
    rivals = [f"option_{way.number}_npv" for way in plan.ways if way.is_rival]
    wanted, inputs = {*EXPLAINED, *rivals, *FIGURES, *fuel_figures(plan.fuels).values()}, dict[str, Numbers]()
    figures = sampled(scenario, plan, checked(sampling), inputs_drawn(scenario), wanted, progress, inputs)
    ways = {CHAR: figures["npv"] - scenario["rule.least_mean_npv"].number, TODAY: np.zeros(sampling.samples)}
    ways |= {line.removesuffix("_npv"): figures[line] for line in rivals if line in figures}
    values, names = np.array(list(ways.values())), tuple(ways)
    shown = worth.shown_by_trials(inputs, figures, plan.fuels)
    spreads, scatter, measured = trials.of_batches(scenario, readings.log, shown)
    price = scenario.number_or("measure.batch_price", None)

    def offer(purchase: Purchase) -> Offer:
        told = shown if purchase.slug == TRIALS else {key: inputs[key] for key in purchase.tells(tuple(inputs))}
        learnt = list(told.values())
        explains = {name: explained(figures[name], learnt) for name in EXPLAINED}
        limit = of_learning(values, learnt)
        return Offer(purchase, tuple(told), limit, scenario.number_or(purchase.price_key, None), explains)

    best_rival = values[1:][best_now(values[1:])]
    return Deep(
        sampling=sampling,
        means=dict(zip(names, map(float, np.mean(values, axis=1)), strict=True)),
        now=names[best_now(values)],
        ahead=float(np.mean(values[0]) - np.mean(best_rival)),
        behind=float(np.mean(figures["npv"] < best_rival)),
        total=of_everything(values),
        inputs={key: of_learning(values, [column]) for key, column in inputs.items()},
        offers=tuple(map(offer, worth.PURCHASES)),
        counts=trials.by_count(values, shown, scatter, price, sampling.seed) if shown else (),
        spreads=spreads,
        measured_spreads=measured,
        shares=shares(scenario, plan, sampling, progress),
        least_gain=scenario["rule.least_measuring_share"].number * outlay,
    )


def indices(a: Numbers, b: Numbers, mixed: Numbers) -> Indices | None:
    """The shares from answers at A, B (n,) and each AB (inputs, n); None: nothing varies or some do not exist."""
    if not all(np.all(np.isfinite(part)) for part in (a, b, mixed)) or not np.ptp(np.concatenate([a, b])) > 0:
        return None
    part = np.arange(len(a)) * BLOCKS // len(a)
    left = [np.array(one) for one in zip(*(_shares(a, b, mixed, part != at) for at in range(BLOCKS)), strict=True)]
    errors = (np.sqrt((BLOCKS - 1) * np.mean((one - np.mean(one, axis=0)) ** 2, axis=0)) for one in left)
    return Indices(*_shares(a, b, mixed, np.ones(len(a), dtype=bool)), *errors)


def _shares(a: Numbers, b: Numbers, mixed: Numbers, kept: NDArray[np.bool_]) -> tuple[Numbers, Numbers]:
    a, b, mixed = a[kept], b[kept], mixed[:, kept]
    both = np.concatenate([a, b])
    middle, variance = np.mean(both), np.var(both)
    first = np.mean((b - middle) * (mixed - a), axis=1) / variance
    total = np.mean((a - mixed) ** 2, axis=1) / 2 / variance
    return first, total


def base_of(sampling: Sampling) -> int:
    """Samples in each of the two sets for so many samples in the run."""
    return min(sampling.samples, MOST_BASE)


def groups(inputs: Sequence[Drawn], pairs: Sequence[Pair]) -> tuple[tuple[str, ...], ...]:
    """The keys, those that are tied by pairs or by a common cause together, in the order of the inputs."""
    home = {one.key: one.stream for one in inputs}
    for pair in pairs:
        old, new = home[pair.second], home[pair.first]
        home = {key: new if group == old else group for key, group in home.items()}
    return tuple(tuple(key for key in home if home[key] == name) for name in dict.fromkeys(home.values()))


def _groups(scenario: Scenario, inputs: Sequence[Drawn]) -> tuple[tuple[str, ...], ...]:
    return groups(inputs, bound(scenario, [one.key for one in inputs]))


def shares(scenario: Scenario, plan: Plan, sampling: Sampling, progress: Progress | None = None) -> Shares:
    """The shares of every drawn input or group on VARIED; `progress` hears of the cases done."""
    inputs, base = inputs_drawn(scenario), base_of(sampling)
    if not inputs:
        return Shares((), base, dict.fromkeys(VARIED))
    names, found = list(dict.fromkeys(one.stream for one in inputs)), _groups(scenario, inputs)
    again = [f"{name} once more" for name in names]
    ties, read = Ties(scenario, inputs), reader(sampling, inputs, base, again)(0, base)
    one, other = ties.raw(read), ties.raw(dict(zip(names, map(read.__getitem__, again), strict=True)))
    numbers, answers = scenario.numbers(), []
    for exchanged in ((), tuple(one), *found):
        mixed = made_whole(scenario.entries, {key: other[key] if key in exchanged else one[key] for key in one})
        lines = evaluate(kept_whole({**numbers, **mixed}, plan), plan, frozenset(VARIED)).lines
        answers.append([np.broadcast_to(np.asarray(lines[name], dtype=float), (base,)) for name in VARIED])
        if progress:
            progress(base)
    both = dict(zip(VARIED, np.swapaxes(np.array(answers), 0, 1), strict=True))
    return Shares(found, base, {name: indices(row[0], row[1], row[2:]) for name, row in both.items()})


def alone(scenario: Scenario, sampling: Sampling, answer: Numbers) -> dict[tuple[str, ...], float]:
    """First-order share [1] of each drawn input or group by fits to a run's own samples, no model asked.

    `answer`: (samples,), nan left out. Errs low where the answer jumps, high by terms ÷ samples.
    """
    inputs, base = inputs_drawn(scenario), base_of(sampling)
    values = Ties(scenario, inputs).raw(reader(sampling, inputs, sampling.samples)(0, base))
    known = np.isfinite(answer[:base])
    first = {one.stream: one.key for one in reversed(inputs)}
    return {
        keys: explained(answer[:base][known], [values[key][known] for key in keys if key in first.values()])
        for keys in _groups(scenario, inputs)
    }
