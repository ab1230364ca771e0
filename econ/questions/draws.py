"""Samples of the inputs, chunk by chunk: shares, made to move together, turned into values, kept within wholes.

The one sampler: chances, carbon, deciding facts and the worth of measuring all read these samples. For sample i
of an input: the share of its stream (`latin.py`), for inputs in pairs moved through normal deviates, turned into
a value by the shape of the input (`samples.py`); then the drivers of the bones become shares of one whole, and
shares of tiers and end uses are kept whole. A port needs the stream keys of each input, low, value, high, shape,
bounds, pairs.

The make-up of the bones is told by what varies by itself. Water (wet or drained, meaty or bare) and fat vary over
their own ranges; what is left is mineral and protein, whose proportion varies with age and meat left on: the row
of the ash stands for it, protein follows. Streams take the same place in their ranges: what makes one lot wet
makes the other wet.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Container, Iterator, Mapping, Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from econ.errors import InputFault, InputFaults
from econ.evidence import curves
from econ.evidence.factors import default_range, factor
from econ.fields import replace
from econ.inputs.defaults import CONSTITUENTS
from econ.inputs.lanes import beside, summed
from econ.inputs.ranges import pairs, shapes
from econ.inputs.records import Entry, Scenario
from econ.model.ledger import Quantity, total
from econ.model.plan import Plan
from econ.questions.found_deep import asked
from econ.questions.latin import Latin, Sampling, Sobol
from econ.questions.samples import Drawn, bound, drawn, joined, normal_correlations, paired, triangle

Numbers = NDArray[np.float64]
Entries = Mapping[str, Entry]

SMALLER = "If a goes with b and b with c, a cannot go against c. Make them smaller, or fill in the missing pair"

MOST_WET = 0.95
"""Water and fat together, at most [kg/kg]: something is left to cook."""
END_USES = ("carbon.in_scope_share", "carbon.beds_share", "carbon.blends_share", "carbon.other_share")
"""Where the char ends up; what they leave of the whole is not said."""
TIER = re.compile(r"product\.\d+\.share")
STREAMS: dict[str, type[Latin] | type[Sobol]] = {"latin": Latin, "sobol": Sobol}


def edges_inside(entry: Entry, plan: Plan) -> tuple[float, ...]:
    """The class edges between low and high of an input [its canonical unit]; empty where there are none.

    Peak: classes of lasting carbon; H/C_org, soil: limits of the method. From low (included) to high (left out).
    """
    key, low, high = entry.row.key, entry.low, entry.high
    edges: Sequence[float] | Numbers = ()
    if low is None or high is None:
        return ()
    if key == "kiln.peak_temperature" and plan.persistence != "hydrogen-ratio":
        edges = curves.persistence_classes().edges_c
    elif key == "carbon.h_corg" and plan.persistence == "hydrogen-ratio":
        edges = (factor("hc_lim").value,)
    elif key == "carbon.soil_temperature" and plan.persistence != "inventory-class":
        edges = curves.persistence_by_hc().soil_c[:: len(curves.persistence_by_hc().soil_c) - 1]
    return tuple(float(edge) for edge in edges if low <= edge < high)


def kept_whole(
    numbers: Mapping[str, Quantity], plan: Plan, base: Mapping[str, Quantity] | None = None
) -> dict[str, Quantity]:
    """The numbers with shares scaled wherever a question moved some of one whole.

    The product tiers other than the one that takes the rest, and the end uses of the char, are scaled down
    where they pass 100 % together. Water, fat, protein and ash of a stream: with `base`, the numbers before
    anything moved, a share that differs from it stands as it is and the others keep their proportion. Shares
    that add up to no more than 1 are returned as they were, to the last digit.
    """
    found = dict(numbers)
    tiers = [key for n in plan.tiers if n != plan.rest_tier and (key := f"product.{n}.share") in numbers]
    for group in (tiers, [key for key in END_USES if key in numbers]):
        if any(np.ndim(numbers[key]) for key in group):
            over = np.maximum(total(numbers[key] for key in group), 1.0)
            found |= {key: numbers[key] / over for key in group}
    if base is not None:
        for n in plan.streams:
            found |= _in_proportion(numbers, base, [f"bones.{n}.{name}_share" for name in CONSTITUENTS])
    return found


def _in_proportion(
    numbers: Mapping[str, Quantity], base: Mapping[str, Quantity], keys: list[str]
) -> dict[str, Quantity]:
    """The shares of one stream: those moved as they are, the others filling the rest in their proportion."""
    if not any(np.ndim(numbers[key]) for key in keys):
        return {}
    is_moved = {key: np.not_equal(numbers[key], base[key]) for key in keys}
    moved = total(np.where(is_moved[key], numbers[key], 0.0) for key in keys)
    others = total(np.where(is_moved[key], 0.0, base[key]) for key in keys)
    untouched = ~np.any(np.broadcast_arrays(*is_moved.values()), axis=0)
    scale = np.where(untouched, 1.0, np.maximum(1 - moved, 0.0) / np.maximum(others, 1e-12))
    return {key: np.where(is_moved[key], numbers[key], base[key] * scale) for key in keys}


def is_share(key: str) -> bool:
    """Whether a key is one of the four shares of a stream."""
    return key.startswith("bones.") and key.rpartition(".")[2].removesuffix("_share") in CONSTITUENTS


def driver(entries: Entries, key: str, shape: str) -> Drawn | None:
    """The driver that a share stands for; None for protein, which follows from the others."""
    name = key.rpartition(".")[2].removesuffix("_share")
    if name == "protein":
        return None
    stream = f"the bones: {name}"
    return drawn(mineral(entries, key.rpartition(".")[0]) if name == "ash" else entries[key], shape, stream)


def mineral(entries: Entries, stream: str) -> Entry:
    """The mineral in mineral and protein of one stream [kg/kg], with P10 and P90, as an entry of the ash row.

    An own range of the ash is kept at typed water and fat, less what these bring (by squares); else clean bone's.
    """
    shares = {name: entries[f"{stream}.{name}_share"] for name in CONSTITUENTS}
    ash = shares["ash"]
    solid = ash.number + shares["protein"].number
    part = ash.number / solid
    low, high = default_range("driver.mineral", "guessed", {}).ends(part)

    def arm(name: str, up: bool) -> float:
        entry = shares[name]
        assert entry.low is not None
        assert entry.high is not None
        return entry.high - entry.number if up else entry.number - entry.low

    def rest(up: bool) -> float:
        """What is left of the spread of the ash when the parts of water and fat are taken away."""
        whole, by_others = arm("ash", up) / ash.number, [arm(name, not up) / solid for name in ("water", "fat")]
        taken = math.sqrt(by_others[0] * by_others[0] + by_others[1] * by_others[1])
        return math.sqrt(max(whole * whole - taken * taken, 0.0))

    if not (ash.is_default or ash.range_by) and ash.number > 0:
        low, high = part * (1 - rest(up=False)), part * (1 + rest(up=True))
    return replace(ash, value=part, low=low, high=min(high, 1.0), row=replace(ash.row, lowest=0.0, highest=1.0))


def made_whole(entries: Entries, values: Mapping[str, Numbers]) -> dict[str, Numbers]:
    """The values with the drivers of each stream turned into its four shares [kg/kg], which add up to 1."""
    found = dict(values)
    for stream in dict.fromkeys(key.rpartition(".")[0] for key in values if is_share(key)):
        keys = {name: f"{stream}.{name}_share" for name in CONSTITUENTS}
        whole = beside(summed(entries[key].number for key in keys.values()))
        typed = {name: beside(entries[key].number) for name, key in keys.items()}
        water, fat = (values.get(keys[name], typed[name]) / whole for name in ("water", "fat"))
        part = values.get(keys["ash"], typed["ash"] / (typed["ash"] + typed["protein"]))
        wet = np.minimum(1.0, MOST_WET / np.maximum(water + fat, 1e-12))
        water, fat = water * wet, fat * wet
        solid = 1 - water - fat
        made = {"water": water, "fat": fat, "protein": (1 - part) * solid, "ash": part * solid}
        found |= {keys[name]: share for name, share in made.items()}
    return found


@cache
def cause(key: str) -> str:
    """The cause that an input shares with others, or its own key."""
    return next((name for pattern, name in asked()["causes"].items() if re.fullmatch(pattern, key)), key)


def inputs_drawn(scenario: Scenario) -> list[Drawn]:
    """The inputs that are drawn, in sheet order; one that the user ties by a pair leaves its common cause."""
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


def those_behind(scenario: Scenario, inputs: Sequence[Drawn], needed: Container[str]) -> list[Drawn]:
    """Of the inputs those that are needed, and what is drawn or kept whole together with others."""
    tied = {*paired(bound(scenario, [one.key for one in inputs])), *END_USES}
    return [one for one in inputs
            if one.key in needed or one.key in tied or is_share(one.key) or TIER.fullmatch(one.key)]  # fmt: skip


def pair_faults(scenario: Scenario) -> list[InputFault]:
    """The fault of correlations that no inputs can have: their matrix is not positive semidefinite."""
    try:
        Ties(scenario, inputs_drawn(scenario))
    except InputFaults as found:
        return list(found.faults)
    return []


def draws(
    scenario: Scenario, sampling: Sampling, inputs: Sequence[Drawn]
) -> Iterator[tuple[int, int, dict[str, Numbers]]]:
    """Chunk by chunk: first sample, end, values by key. Raises InputFaults where inputs cannot move so."""
    ties, read = Ties(scenario, inputs), reader(sampling, inputs, sampling.samples)
    for start in range(0, sampling.samples, sampling.chunk):
        stop = min(start + sampling.chunk, sampling.samples)
        yield start, stop, ties.values(read(start, stop))


def reader(
    sampling: Sampling, inputs: Sequence[Drawn], samples: int, also: Sequence[str] = ()
) -> Callable[[int, int], dict[str, Numbers]]:
    """What reads the shares of samples start..stop-1 by stream: those of the inputs, and `also` others."""
    names = [*dict.fromkeys(one.stream for one in inputs), *also]
    stream = STREAMS[sampling.stream](names, samples, sampling.seed)
    return lambda start, stop: dict(zip(names, stream.read(start, stop), strict=True))


class Ties:
    """What joins the inputs: causes, pairs, wholes. Raises InputFaults where they cannot move so."""

    def __init__(self, scenario: Scenario, inputs: Sequence[Drawn]) -> None:
        self._scenario, self._inputs = scenario, inputs
        pairs = bound(scenario, [one.key for one in inputs])
        self._order, lower = paired(pairs), triangle(normal_correlations(pairs))
        if lower is None:
            label = {key: entry.row.label for key, entry in scenario.entries.items()}
            listed = "; ".join(f"{label[one.first]} with {label[one.second]} {one.correlation:g}" for one in pairs)
            wrong = f"correlations that contradict each other: {listed}"
            raise InputFaults([InputFault(pairs[0].where, wrong, SMALLER)])
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
