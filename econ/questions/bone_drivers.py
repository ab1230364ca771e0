"""The make-up of the bones as a few things that vary by themselves, so that the four shares stay one whole.

Water (wet or drained, meaty or bare) and fat vary over their own ranges; what is left is mineral and protein,
and their proportion varies with age and with the meat left on. Of the rows, water and fat keep their meaning;
the row of the ash stands for the share of mineral in mineral and protein; protein follows. Streams take the
same place in their ranges: what makes one lot wet makes the other wet.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from econ.evidence.default_ranges import default_range
from econ.inputs.lanes import beside, summed
from econ.inputs.records import Entry
from econ.questions.samples import Drawn, drawn

Numbers = NDArray[np.float64]
Entries = Mapping[str, Entry]

MOST_WET = 0.95
"""Water and fat together, at most [kg/kg]: something is left to cook."""
CONSTITUENTS = ("water", "fat", "protein", "ash")


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

    Where the range of the ash is the user's own, the ends are those that bring the ash to its typed ends at
    the typed water and fat, less what water and fat already bring (parts that vary by themselves add by their
    squares). Else they are those of clean bone.
    """
    shares = {name: entries[f"{stream}.{name}_share"] for name in CONSTITUENTS}
    ash = shares["ash"]
    solid = ash.number + shares["protein"].number
    part = ash.number / solid
    low, high = default_range("driver.mineral", "guessed", {}).ends(part)
    if not (ash.is_default or ash.range_by) and ash.number > 0:
        by_others = [_arm(shares[name], up) / solid for name in ("water", "fat") for up in (True, False)]
        less, more = (math.sqrt(a * a + b * b) for a, b in (by_others[0::2], by_others[1::2]))
        low = part * (1 - _rest(_arm(ash, up=False) / ash.number, less))
        high = part * (1 + _rest(_arm(ash, up=True) / ash.number, more))
    return replace(ash, value=part, low=low, high=min(high, 1.0), row=replace(ash.row, lowest=0.0, highest=1.0))


def _arm(entry: Entry, up: bool) -> float:
    assert entry.low is not None
    assert entry.high is not None
    return entry.high - entry.number if up else entry.number - entry.low


def _rest(whole: float, taken: float) -> float:
    """What is left of a spread when an independent part of it is taken away."""
    return math.sqrt(max(whole * whole - taken * taken, 0.0))


def made_whole(entries: Entries, values: Mapping[str, Numbers]) -> dict[str, Numbers]:
    """The values with the drivers of each stream turned into its four shares [kg/kg], which add up to 1."""
    found = dict(values)
    for stream in dict.fromkeys(key.rpartition(".")[0] for key in values if is_share(key)):
        found |= _shares(entries, stream, values)
    return found


def _shares(entries: Entries, stream: str, values: Mapping[str, Numbers]) -> dict[str, Numbers]:
    keys = {name: f"{stream}.{name}_share" for name in CONSTITUENTS}
    whole = beside(summed(entries[key].number for key in keys.values()))
    typed = {name: beside(entries[key].number) for name, key in keys.items()}
    water, fat = (values.get(keys[name], typed[name]) / whole for name in ("water", "fat"))
    part = values.get(keys["ash"], typed["ash"] / (typed["ash"] + typed["protein"]))
    wet = np.minimum(1.0, MOST_WET / np.maximum(water + fat, 1e-12))
    water, fat = water * wet, fat * wet
    solid = 1 - water - fat
    made = {"water": water, "fat": fat, "protein": (1 - part) * solid, "ash": part * solid}
    return {keys[name]: share for name, share in made.items()}
