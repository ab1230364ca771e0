"""Sobol indices: shares of the variance of an answer, from two further sets of samples.

First-order share: how much of the variance would go if the input were known. Total share: how much would
stay if all others were known, so it also holds what the input does together with others. With independent
inputs the first-order shares make at most 1 together, the total ones at least 1.

From two independent sets of samples, A and B, and for every input a third set that is A but for this input
taken from B. First order: mean of f(B) (f(AB) - f(A)) over the variance (Saltelli and others 2010, Computer
Physics Communications 181, 259-270). Total: half the mean of (f(A) - f(AB))² over the variance (Jansen
1999, Computer Physics Communications 117, 35-43). Both from memory; the tests hold them against the
closed form of a known function and against an independent library.

Inputs that move together are exchanged together: only what is independent has a share of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from econ.inputs.ranges import Pair
from econ.inputs.records import Scenario
from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.questions.draws import Ties, inputs_drawn, kept_whole, made_whole, reader
from econ.questions.found_deep import VARIED, Indices, Shares
from econ.questions.latin import Sampling
from econ.questions.samples import Drawn, bound
from econ.questions.value_of_information import explained

Numbers = NDArray[np.float64]

BLOCKS = 16
"""Parts of the samples left out one at a time for the standard errors."""


def indices(a: Numbers, b: Numbers, mixed: Numbers) -> Indices | None:
    """The shares from answers at A and B, each of shape (n,), and at each AB, shape (inputs, n).

    None where the answer never varies, or where some of it does not exist (nan): shares of what is left
    would be shares of another question.
    """
    if not all(np.all(np.isfinite(part)) for part in (a, b, mixed)) or not np.ptp(np.concatenate([a, b])) > 0:
        return None
    first, total = _shares(a, b, mixed, np.ones(len(a), dtype=bool))
    part = np.arange(len(a)) * BLOCKS // len(a)
    left = [_shares(a, b, mixed, part != block) for block in range(BLOCKS)]
    return Indices(first, total, _jackknife([one for one, _ in left]), _jackknife([two for _, two in left]))


def _shares(a: Numbers, b: Numbers, mixed: Numbers, kept: NDArray[np.bool_]) -> tuple[Numbers, Numbers]:
    a, b, mixed = a[kept], b[kept], mixed[:, kept]
    both = np.concatenate([a, b])
    middle, variance = np.mean(both), np.var(both)
    first = np.mean((b - middle) * (mixed - a), axis=1) / variance
    total = np.mean((a - mixed) ** 2, axis=1) / 2 / variance
    return first, total


def _jackknife(left: list[Numbers]) -> Numbers:
    """Standard errors from estimates with one block left out each."""
    found = np.array(left)
    return np.asarray(np.sqrt((BLOCKS - 1) * np.mean((found - np.mean(found, axis=0)) ** 2, axis=0)))


MOST_BASE = 8_192
"""Samples in each set; the model is asked (inputs + 2) times as often."""


def base_of(sampling: Sampling) -> int:
    """Samples in each of the two sets for so many samples in the run."""
    return min(sampling.samples, MOST_BASE)


def calls_of(scenario: Scenario, sampling: Sampling) -> int:
    """How many cases `shares` puts to the model."""
    inputs = inputs_drawn(scenario)
    return base_of(sampling) * (len(groups(inputs, _pairs(scenario, inputs))) + 2) if inputs else 0


def _pairs(scenario: Scenario, inputs: Sequence[Drawn]) -> list[Pair]:
    return bound(scenario, [one.key for one in inputs])


def groups(inputs: Sequence[Drawn], pairs: Sequence[Pair]) -> tuple[tuple[str, ...], ...]:
    """The keys, those that are tied by pairs or by a common cause together, in the order of the inputs."""
    home = {one.key: one.stream for one in inputs}
    for pair in pairs:
        old, new = home[pair.second], home[pair.first]
        home = {key: new if group == old else group for key, group in home.items()}
    return tuple(tuple(key for key in home if home[key] == name) for name in dict.fromkeys(home.values()))


def shares(
    scenario: Scenario, plan: Plan, sampling: Sampling, progress: Callable[[int], None] | None = None
) -> Shares:
    """The shares of every drawn input or group on VARIED; `progress` hears of the cases done."""
    inputs, base = inputs_drawn(scenario), base_of(sampling)
    found = groups(inputs, _pairs(scenario, inputs))
    if not inputs:
        return Shares((), base, dict.fromkeys(VARIED))
    one, other = _two_sets(scenario, inputs, sampling, base)
    numbers, answers = scenario.numbers(), []
    for exchanged in ((), tuple(one), *found):
        mixed = made_whole(scenario.entries, {key: other[key] if key in exchanged else one[key] for key in one})
        lines = evaluate(kept_whole({**numbers, **mixed}, plan), plan, frozenset(VARIED)).lines
        answers.append([np.broadcast_to(np.asarray(lines[name], dtype=float), (base,)) for name in VARIED])
        if progress:
            progress(base)
    both = dict(zip(VARIED, np.swapaxes(np.array(answers), 0, 1), strict=True))
    return Shares(found, base, {name: indices(row[0], row[1], row[2:]) for name, row in both.items()})


def _two_sets(
    scenario: Scenario, inputs: Sequence[Drawn], sampling: Sampling, base: int
) -> tuple[dict[str, Numbers], dict[str, Numbers]]:
    """Two independent sets of values of every input, each by key.

    Pairs and causes tie inputs of one group only, so a group's values can be exchanged as they are; the drivers
    of the bones become shares afterwards.
    """
    names = list(dict.fromkeys(one.stream for one in inputs))
    again = [f"{name} once more" for name in names]
    ties, read = Ties(scenario, inputs), reader(sampling, inputs, base, again)(0, base)
    return ties.raw(read), ties.raw(dict(zip(names, map(read.__getitem__, again), strict=True)))


def alone(scenario: Scenario, sampling: Sampling, answer: Numbers) -> dict[tuple[str, ...], float]:
    """First-order share [1] of each drawn input or group, without asking the model: fits to the samples of a run.

    `answer`: one figure of each sample, in the order of the samples; samples in which it does not exist are left
    out. The same samples are drawn again, at most MOST_BASE. The share is the part of the variance that a
    polynomial in the group alone accounts for: errs low where the answer jumps, high by terms ÷ samples.
    """
    inputs, base = inputs_drawn(scenario), base_of(sampling)
    values = Ties(scenario, inputs).raw(reader(sampling, inputs, sampling.samples)(0, base))
    known = np.isfinite(answer[:base])
    first = {one.stream: one.key for one in reversed(inputs)}
    return {
        keys: explained(answer[:base][known], [values[key][known] for key in keys if key in first.values()])
        for keys in groups(inputs, _pairs(scenario, inputs))
    }
