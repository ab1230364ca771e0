"""Samples of the inputs, chunk by chunk: shares, made to move together, turned into values.

The one sampler: chances, carbon, deciding facts and the worth of measuring all read these samples. For
sample i of an input: the share of its stream (`latin.py`), for inputs in pairs moved through normal deviates,
turned into a value by the shape of the input (`samples.py`); then the drivers of the bones
become shares of one whole (`bone_drivers.py`), and shares of tiers and end uses are kept whole (`edges.py`).
A port needs the stream keys of each input (seven words of 64 bits), low, value, high, shape, bounds, pairs.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from econ.errors import InputFault, InputFaults
from econ.inputs.ranges import Pair, pairs, shapes
from econ.inputs.records import Scenario
from econ.questions.bone_drivers import driver, is_share, made_whole
from econ.questions.latin import Latin, Sampling, Sobol
from econ.questions.samples import Drawn, bound, drawn, joined, normal_correlations, paired, triangle

Numbers = NDArray[np.float64]

STREAMS: dict[str, type[Latin] | type[Sobol]] = {"latin": Latin, "sobol": Sobol}

CAUSES = (
    (r"bones\.\d+\.(mass|heads)", "how many bones come"),
    (r"bones\.\d+\.excluded_share", "what is excluded"),
    (r"fuel\.\d+\.per_batch", "how wet the load is"),
    (r"handling\.compost_(ch4|n2o)", "how the pile is kept"),
    (r"handling\.lf_(doc|docf|rots|decay)", "how the landfill rots"),
    (r"handling\.(meal|tallow)_credit", "what feed and fat displace"),
    (r"(haul|handling\.haul)[._]distance", "roads"),
)
"""Inputs that share a cause, by pattern: they take the same place in their ranges, low with low."""


def cause(key: str) -> str:
    """The cause that an input shares with others, or its own key."""
    return next((name for pattern, name in CAUSES if re.fullmatch(pattern, key)), key)


def inputs_drawn(scenario: Scenario) -> list[Drawn]:
    """The inputs that are drawn, in sheet order; those held fixed are left out.

    An input that the user ties to another by a pair leaves its common cause.
    """
    entries = scenario.entries
    tied = {key for pair in pairs(entries) for key in (pair.first, pair.second)}
    found = []
    for key, shape in shapes(entries).items():
        if shape == "fixed":
            continue
        one = driver(entries, key, shape) if is_share(key) else drawn(entries[key], shape, cause(key))
        if one is not None:
            found.append(drawn(one.entry, shape, key) if key in tied else one)
    return found


def pair_faults(scenario: Scenario) -> list[InputFault]:
    """The fault of correlations that no inputs can have: their matrix is not positive semidefinite."""
    pairs = bound(scenario, [one.key for one in inputs_drawn(scenario)])
    if triangle(normal_correlations(pairs)) is not None:
        return []
    label = {key: entry.row.label for key, entry in scenario.entries.items()}.__getitem__
    listed = "; ".join(f"{label(pair.first)} with {label(pair.second)} {pair.correlation:g}" for pair in pairs)
    return [
        InputFault(
            pairs[0].where,
            f"correlations that contradict each other: {listed}",
            "If a goes with b and b with c, a cannot go against c. Make them smaller, or fill in the missing pair",
        )
    ]


def refuse_bad_pairs(scenario: Scenario) -> None:
    """Raise InputFaults where the inputs cannot move together as typed."""
    if faults := pair_faults(scenario):
        raise InputFaults(faults)


def draws(
    scenario: Scenario, sampling: Sampling, inputs: Sequence[Drawn]
) -> Iterator[tuple[int, int, dict[str, Numbers]]]:
    """Chunk by chunk: its first sample, the one after its last, and the values of every drawn input.

    Raises InputFaults where the inputs cannot move together as typed.
    """
    refuse_bad_pairs(scenario)
    ties = Ties(scenario, inputs)
    names = list(dict.fromkeys(one.stream for one in inputs))
    stream = STREAMS[sampling.stream](names, sampling.samples, sampling.seed)
    for start in range(0, sampling.samples, sampling.chunk):
        stop = min(start + sampling.chunk, sampling.samples)
        yield start, stop, ties.values(dict(zip(names, stream.read(start, stop), strict=True)))


class Ties:
    """What joins the inputs of a scenario: their common causes, their pairs, and the wholes they make."""

    def __init__(self, scenario: Scenario, inputs: Sequence[Drawn]) -> None:
        self._scenario, self._inputs = scenario, inputs
        self.pairs: list[Pair] = bound(scenario, [one.key for one in inputs])
        self._order = paired(self.pairs)
        lower = triangle(normal_correlations(self.pairs))
        assert lower is not None  # pairs that cannot be are refused before
        self._lower = lower

    def raw(self, by_stream: Mapping[str, Numbers]) -> dict[str, Numbers]:
        """The values of every input by key, from shares by stream; drivers of the bones still as drivers."""
        shares = self.shares(by_stream)
        return {one.key: one.inverse(shares[one.key]) for one in self._inputs}

    def shares(self, by_stream: Mapping[str, Numbers]) -> dict[str, Numbers]:
        """The place of every input in its range by key, 0 to 1, those in pairs moved together."""
        shares = {one.key: by_stream[one.stream] for one in self._inputs}
        return shares | joined(shares, self._lower, self._order)

    def values(self, by_stream: Mapping[str, Numbers]) -> dict[str, Numbers]:
        """The values of every input by key, as the model reads them."""
        return made_whole(self._scenario.entries, self.raw(by_stream))
