"""Shares of variance of a scenario's answers: two sets of samples, and one with each input exchanged.

Inputs that move together are exchanged together: only what is independent has a share of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from econ.inputs.ranges import Pair
from econ.inputs.records import Scenario
from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.questions import together
from econ.questions.draws import STREAMS, Sampling, inputs_drawn
from econ.questions.samples import Drawn
from econ.questions.shares import kept_whole
from econ.questions.sobol import Indices, indices

Numbers = NDArray[np.float64]

MEASURES = ("npv", "net_cost_per_kg_bones", "project_net_kg_co2e")
MOST_BASE = 8_192
"""Samples in each set; the model is asked (inputs + 2) times as often."""
WORTH_NAMING = 0.01
"""A total share from which an input is named."""


@dataclass(frozen=True, slots=True)
class Shares:
    """Shares of variance by answer (None where withheld or constant), in the order of `groups`.

    Each group is the keys that move together, most often a single one.
    """

    groups: tuple[tuple[str, ...], ...]
    base: int
    by_measure: Mapping[str, Indices | None]

    def named(self) -> list[int]:
        """Places of the groups that matter for any answer, the largest total share on NPV first."""
        known = [one.total for one in self.by_measure.values() if one is not None]
        matter = [i for i in range(len(self.groups)) if any(total[i] >= WORTH_NAMING for total in known)]
        first = known[0] if known else np.zeros(len(self.groups))
        return sorted(matter, key=lambda i: -float(first[i]))


def base_of(sampling: Sampling) -> int:
    """Samples in each of the two sets for so many samples in the run."""
    return min(sampling.samples, MOST_BASE)


def calls_of(scenario: Scenario, sampling: Sampling) -> int:
    """How many cases `shares` puts to the model."""
    inputs = inputs_drawn(scenario)
    return base_of(sampling) * (len(groups(inputs, _pairs(scenario, inputs))) + 2) if inputs else 0


def _pairs(scenario: Scenario, inputs: Sequence[Drawn]) -> list[Pair]:
    return together.bound(scenario, [one.key for one in inputs])


def groups(inputs: Sequence[Drawn], pairs: Sequence[Pair]) -> tuple[tuple[str, ...], ...]:
    """The keys, those that are tied by pairs together, in the order of the inputs."""
    home = {one.key: one.key for one in inputs}
    for pair in pairs:
        old, new = home[pair.second], home[pair.first]
        home = {key: new if group == old else group for key, group in home.items()}
    return tuple(tuple(key for key in home if home[key] == name) for name in dict.fromkeys(home.values()))


def shares(
    scenario: Scenario, plan: Plan, sampling: Sampling, progress: Callable[[int], None] | None = None
) -> Shares:
    """The shares of every drawn input or group on MEASURES; `progress` hears of the cases done."""
    inputs, base = inputs_drawn(scenario), base_of(sampling)
    found = groups(inputs, _pairs(scenario, inputs))
    if not inputs:
        return Shares((), base, dict.fromkeys(MEASURES))
    one, other = _two_sets(scenario, inputs, sampling, base)
    numbers, answers = scenario.numbers(), []
    for exchanged in ((), tuple(one), *found):
        mixed = {key: other[key] if key in exchanged else one[key] for key in one}
        lines = evaluate(kept_whole({**numbers, **mixed}, plan), plan, frozenset(MEASURES)).lines
        answers.append([np.broadcast_to(np.asarray(lines[name], dtype=float), (base,)) for name in MEASURES])
        if progress:
            progress(base)
    both = dict(zip(MEASURES, np.swapaxes(np.array(answers), 0, 1), strict=True))
    return Shares(found, base, {name: indices(row[0], row[1], row[2:]) for name, row in both.items()})


def _two_sets(
    scenario: Scenario, inputs: Sequence[Drawn], sampling: Sampling, base: int
) -> tuple[dict[str, Numbers], dict[str, Numbers]]:
    """Two independent sets of values of every input, each by key.

    Pairs tie inputs of one group only, so a group's values can be exchanged as they are.
    """
    names = [one.key for one in inputs]
    stream = STREAMS[sampling.stream]([*names, *(f"{name} once more" for name in names)], base, sampling.seed)
    read = list(stream.read(0, base))
    first, second = read[: len(names)], read[len(names) :]
    return _values(scenario, inputs, first), _values(scenario, inputs, second)


def _values(scenario: Scenario, inputs: Sequence[Drawn], read: Sequence[Numbers]) -> dict[str, Numbers]:
    found = {one.key: share for one, share in zip(inputs, read, strict=True)}
    pairs = _pairs(scenario, inputs)
    lower = together.triangle(together.normal_correlations(pairs))
    assert lower is not None  # pairs that cannot be have been refused with the samples
    found |= together.joined(found, lower, together.names(pairs))
    return {one.key: one.inverse(found[one.key]) for one in inputs}
