"""Samples of the inputs, chunk by chunk: shares, made to move together, turned into values."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from econ.errors import InputFault, InputFaults
from econ.inputs.ranges import Pair, shapes
from econ.inputs.records import Scenario
from econ.questions import together
from econ.questions.latin import Latin, Sobol
from econ.questions.samples import Drawn, drawn

Numbers = NDArray[np.float64]

CHUNK = 16_384
"""Samples put to the model at once; any other number gives the same results."""
LEAST, MOST = 100, 5_000_000
STREAMS: dict[str, type[Latin] | type[Sobol]] = {"latin": Latin, "sobol": Sobol}


@dataclass(frozen=True, slots=True)
class Sampling:
    """How many samples, from which seed, by which stream ("latin" or "sobol"), in chunks of what size."""

    samples: int = 10_000
    seed: int = 1
    stream: str = "latin"
    chunk: int = CHUNK

    def checked(self) -> Sampling:
        """The same, or InputFaults for numbers that make no sample."""
        faults = []
        if not LEAST <= self.samples <= MOST:
            faults.append(InputFault("--samples", str(self.samples), f"a whole number from {LEAST} to {MOST:,}"))
        if not 0 <= self.seed < 2**63:
            faults.append(InputFault("--seed", str(self.seed), "a whole number from 0"))
        if faults:
            raise InputFaults(faults)
        return self


def inputs_drawn(scenario: Scenario) -> list[Drawn]:
    """The inputs that are drawn, in sheet order; those held fixed are left out."""
    return [drawn(scenario[key], shape) for key, shape in shapes(scenario.entries).items() if shape != "fixed"]


def pair_faults(scenario: Scenario) -> list[InputFault]:
    """The fault of correlations that no inputs can have: their matrix is not positive semidefinite."""
    pairs = together.bound(scenario, [one.key for one in inputs_drawn(scenario)])
    if together.triangle(together.normal_correlations(pairs)) is not None:
        return []
    listed = "; ".join(f"{pair.first} with {pair.second} {pair.correlation:g}" for pair in pairs)
    return [
        InputFault(
            pairs[0].where,
            f"correlations that contradict each other: {listed}",
            "pairs that can hold at once (if a goes with b and b with c, a cannot go against c); make them "
            "smaller, or fill in the pair that is missing",
        )
    ]


def draws(
    scenario: Scenario, sampling: Sampling, inputs: list[Drawn]
) -> Iterator[tuple[int, int, dict[str, Numbers]]]:
    """Chunk by chunk: its first sample, the one after its last, and the values of every drawn input.

    Raises InputFaults where the inputs cannot move together as typed.
    """
    if faults := pair_faults(scenario):
        raise InputFaults(faults)
    names = [one.key for one in inputs]
    pairs: list[Pair] = together.bound(scenario, names)
    order = together.names(pairs)
    lower = together.triangle(together.normal_correlations(pairs))
    assert lower is not None
    stream = STREAMS[sampling.stream](names, sampling.samples, sampling.seed)
    for start in range(0, sampling.samples, sampling.chunk):
        stop = min(start + sampling.chunk, sampling.samples)
        shares = dict(zip(names, stream.read(start, stop), strict=True))
        shares |= together.joined(shares, lower, order)
        yield start, stop, {one.key: one.inverse(shares[one.key]) for one in inputs}
