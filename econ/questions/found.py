"""What the questions find, as records: effects, tables, break-even, ranges, chances, doubt, what was measured."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from econ.inputs.ranges import Pair
from econ.inputs.records import Caution, Entry
from econ.measured.use import Readings, Standing
from econ.questions.latin import Sampling

Numbers = NDArray[np.float64]

CASES = 400
"""Cases over which the carbon ranges are drawn."""
PERCENTILES = (10, 50, 90)
"""Percentiles shown of every answer."""
STEPS = 3
"""Steps from low to the value, and from the value to high."""
AGAINST_BEST = "npv_against_best"
"""The line for NPV against the best other option; where there is none, today's way is the only other."""
MEASURES = (
    "npv",
    "payback_years",
    "net_cost_per_kg_bones",
    "durable_c_kg",
    "project_net_kg_co2e",
    "char_kg",
)
"""The answers that effects are shown for."""
WHERE_MODELLED = ("difference_kg_co2e", AGAINST_BEST)
"""Further answers, shown where the model writes such a line; the first is that to current practice."""
DOUBTED = {
    "npv": "NPV",
    "project_net_kg_co2e": "removal less kiln emissions",
    "char_kg": "char made",
    "available_p2o5_kg": "available phosphate",
}
"""The answers in which a doubtful default is looked for, and how a sentence names them."""


@dataclass(frozen=True, slots=True)
class Effect:
    """One input moved to its low and its high: the answers there, by measure; nan where withheld.

    `edges` are the class edges inside the range, in the canonical unit of the input: the answer jumps
    there, so low and high do not say what lies between.
    """

    entry: Entry
    at_low: Mapping[str, float]
    at_high: Mapping[str, float]
    edges: tuple[float, ...] = ()

    def swing(self, measure: str) -> float:
        """How far the answer moves between low and high; 0 where either is withheld."""
        moved = abs(self.at_high[measure] - self.at_low[measure])
        return float(moved) if np.isfinite(moved) else 0.0

    @property
    def turns(self) -> bool:
        """Whether the kiln beats the best other option at one end of the range and not at the other."""
        measure = AGAINST_BEST if AGAINST_BEST in self.at_low else "npv"
        ends = self.at_low[measure], self.at_high[measure]
        return min(ends) < 0 <= max(ends)


@dataclass(frozen=True, slots=True)
class TwoWay:
    """NPV over a grid: `across` moves along the columns, `down` along the rows, canonical units.

    `npv` has shape (rows, columns); the value of each input is one of its steps.
    """

    across: Entry
    down: Entry
    across_steps: Numbers
    down_steps: Numbers
    npv: Numbers

    def zeros(self) -> list[float]:
        """Where NPV first passes nought going down each column, canonical; nan where it does not.

        Straight between two rows of the grid.
        """
        return [_first_zero(self.down_steps, self.npv[:, j]) for j in range(len(self.across_steps))]


def _first_zero(at: Numbers, npv: Numbers) -> float:
    for i in range(len(at) - 1):
        if (npv[i] < 0) != (npv[i + 1] < 0):
            part = npv[i] / (npv[i] - npv[i + 1])
            return float(at[i] + part * (at[i + 1] - at[i]))
    return float("nan")


@dataclass(frozen=True, slots=True)
class BreakEven:
    """Where an answer turns when one lever moves from `lowest` to `highest`.

    `values` are all the turns, ascending, in `unit` ("$" is the currency); `jumps` says of each whether the
    answer jumps across there instead of passing through. `value` is the lever's own value. `words` says it
    in a sentence: none in range, one, or several.
    """

    name: str
    label: str
    unit: str
    value: float
    lowest: float
    highest: float
    values: tuple[float, ...]
    jumps: tuple[bool, ...]
    words: str


@dataclass(frozen=True, slots=True)
class Span:
    """Low, middle and high of a figure; nan where it is withheld. `withheld_share` of the cases had none."""

    low: float
    middle: float
    high: float
    withheld_share: float = 0.0


@dataclass(frozen=True, slots=True)
class Spread:
    """One answer over all samples: mean and percentiles where it exists, and the share withheld."""

    mean: float
    percentiles: Mapping[int, float]
    withheld_frac: float


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar of the histogram of NPV: from `start` up to `end`, and the share of samples in it.

    The first bar also holds what lies below it, the last what lies above.
    """

    start: float
    end: float
    share: float


@dataclass(frozen=True, slots=True)
class Chances:
    """What all ranges together say. Chances are shares of all samples, 0 to 1.

    `loss`: NPV against today's way below nought. `never_pays_back`: no payback within the study.
    `decisive`: the line that the rule weighs, NPV against the best other option. `char_is_cheapest`:
    that line is not below nought; `char_is_dearer`: it is. `net_source`: the kiln emits more than the
    char stores, out of the samples in which that figure exists (nan where there are none). `so_far`: the
    chance of a loss after the first samples, as (samples, chance). `quantiles`: (NPV, share of samples
    up to it).
    """

    sampling: Sampling
    shapes: Mapping[str, str]
    pairs: tuple[Pair, ...]
    spreads: Mapping[str, Spread]
    loss: float
    never_pays_back: float
    decisive: str
    char_is_cheapest: float
    char_is_dearer: float
    net_source: float
    so_far: tuple[tuple[int, float], ...]
    bars: tuple[Bar, ...]
    quantiles: tuple[tuple[float, float], ...]

    @property
    def decisive_mean(self) -> float:
        """Mean NPV against the best other option [currency]."""
        return self.spreads[self.decisive].mean

    @property
    def loss_error(self) -> float:
        """Standard error of the chance of a loss: sqrt(p (1 - p)/n), that of independent samples.

        Samples that cover every Nth of each range scatter less, so this is on the safe side.
        """
        return math.sqrt(self.loss * (1 - self.loss) / self.sampling.samples)


@dataclass(frozen=True, slots=True)
class Doubt:
    """One default nobody verified, moved over its range: an answer at its low and at its high."""

    entry: Entry
    at_low: float
    at_high: float

    @property
    def swing(self) -> float:
        """How far the answer moves; 0 where it is withheld."""
        moved = abs(self.at_high - self.at_low)
        return float(moved) if np.isfinite(moved) else 0.0


@dataclass(frozen=True, slots=True)
class Leaning:
    """Facts in use and those unverified, defaults of the house, and the worst doubt by measure."""

    in_use: int
    unverified: int
    defaults: int
    worst: Mapping[str, Doubt]

    def caution(self, currency: str) -> Caution:
        """The count in a sentence, with what matters most for money and for carbon."""
        text = f"{self.in_use} factors are in use and {self.unverified} of them are unverified (sheet Sources)"
        words = []
        for measure, unit, scale in (("npv", currency, 1.0), ("project_net_kg_co2e", "t CO2e a year", 0.001)):
            doubt = self.worst.get(measure)
            if doubt is not None:
                low, high = sorted((doubt.at_low * scale, doubt.at_high * scale))
                words.append(
                    f"{DOUBTED[measure]} {low:,.0f} to {high:,.0f} {unit} by '{doubt.entry.row.label}'"
                    if measure == "npv"
                    else f"{DOUBTED[measure]} {low:,.1f} to {high:,.1f} {unit} by '{doubt.entry.row.label}'"
                )
        if words:
            text += f". Of the defaults not verified these matter most: {'; '.join(words)}"
        return Caution("unverified-factors", text + ".")


@dataclass(frozen=True, slots=True)
class View:
    """The NPV with an input at its value, low and high, and the most that knowing it exactly is worth.

    `removal` is that at the value [kg CO2e a year], None where withheld. Low and high are None where the input
    has no range. `worth` is the expected gain of learning the input,
    all else as given, before the choice to buy or not; a triangle over low, value, high stands for what is known.
    """

    npv: float
    removal: float | None
    at_low: float | None
    at_high: float | None
    worth: float


@dataclass(frozen=True, slots=True)
class Gain:
    """One measured input: the answer with what was typed and with what was measured."""

    standing: Standing
    typed: View
    measured: View


@dataclass(frozen=True, slots=True)
class Measured:
    """All that the tables brought: readings, gains by input, and the NPV with nothing measured."""

    readings: Readings
    gains: tuple[Gain, ...]
    npv_as_typed: float
