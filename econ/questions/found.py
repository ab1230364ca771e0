"""What the questions find, as records: effects, tables, break-even, ranges, chances, doubt, what was measured."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from econ.evidence.factors import how_known
from econ.evidence.facts import READ
from econ.fields import field, record
from econ.inputs.ranges import Pair
from econ.inputs.records import Entry
from econ.questions.found_deep import asked
from econ.questions.latin import Numbers, Sampling

PERCENTILES = (2.5, 5, 10, 50, 90, 95, 97.5)
"""Percentiles shown of every answer."""
AGAINST_BEST = "npv_against_best"
"""The line for NPV against the best other option; where there is none, today's way is the only other."""
MEASURES: tuple[str, ...] = tuple(asked()["measures"])
"""The answers that effects are shown for."""
WHERE_MODELLED = ("difference_kg_co2e", AGAINST_BEST)
"""Further answers, shown where the model writes such a line; the first is that to current practice."""
MONEY_PAIR, CARBON_PAIR = (10, 90), (5, 95)
"""The percentiles called low and high of money, and of carbon."""
CARBON: tuple[str, ...] = tuple(asked()["carbon"])
"""The carbon figures that carry a range."""
DOUBTED: dict[str, str] = asked()["doubted"]
"""The answers in which a doubtful fact is looked for, and how a sentence names them."""
QUOTED: tuple[str, ...] = tuple(asked()["quoted"])
"""Carbon figures that a text quotes."""
MUCH = 0.1
"""Share of the range of a quoted figure above which a fact that nobody read makes a text a draft."""
LITTLE = 0.01
"""Less than this share of what the largest mover does is not worth naming."""
COVERAGE_ASKED = 1.25
"""Debt service coverage that lenders commonly ask for (common practice, no source)."""
CENT = 0.01
"""A balance not below this much under zero is zero."""


class Effect(NamedTuple):
    """One input moved to its low and its high: the answers there, by measure; nan where withheld.

    `edges`: the class edges inside the range [canonical unit]: the answer jumps there, so low and high do not say
    what lies between. `bill_stays`: bones move, the typed saving does not.
    """

    entry: Entry
    at_low: Mapping[str, float]
    at_high: Mapping[str, float]
    edges: tuple[float, ...] = ()
    bill_stays: bool = False

    @property
    def label(self) -> str:
        """The input as a bar names it."""
        return f"{self.entry.row.label}, bill unchanged" if self.bill_stays else self.entry.row.label

    def swing(self, measure: str) -> float:
        """How far the answer moves between low and high [its unit]; 0 where either is withheld."""
        moved = abs(self.at_high[measure] - self.at_low[measure])
        return float(moved) if np.isfinite(moved) else 0.0

    @property
    def turns(self) -> bool:
        """Whether the kiln beats the best other option at one end of the range and not at the other."""
        measure = AGAINST_BEST if AGAINST_BEST in self.at_low else "npv"
        ends = self.at_low[measure], self.at_high[measure]
        return min(ends) < 0 <= max(ends)


class TwoWay(NamedTuple):
    """NPV of shape (rows, columns) over two inputs, canonical units; the value of each is one of its steps."""

    across: Entry
    down: Entry
    across_steps: Numbers
    down_steps: Numbers
    npv: Numbers

    def zeros(self) -> list[float]:
        """Where NPV first passes zero down each column [unit of the row], straight between rows; or nan."""
        at, found = self.down_steps, []
        for npv in self.npv.T:
            turns = np.flatnonzero((npv[:-1] < 0) != (npv[1:] < 0))
            zeros = (at[i] + npv[i] / (npv[i] - npv[i + 1]) * (at[i + 1] - at[i]) for i in turns.tolist())
            found.append(float(next(zeros, math.nan)))
        return found


class BreakEven(NamedTuple):
    """Where an answer turns when one lever moves from `lowest` to `highest`.

    `values`: all the turns, ascending, in `unit` ("$" is the currency); `jumps`: of each whether the answer jumps
    across there instead of passing through; `value`: the lever's own; `words`: none in range, one, or several.
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


class Spread(NamedTuple):
    """One answer over all samples: mean and percentiles where it exists, and the share withheld."""

    mean: float
    percentiles: Mapping[float, float]
    withheld_frac: float

    def pair(self, ends: tuple[float, float]) -> tuple[float, float, float]:
        """Low, middle (P50) and high, by the percentiles called low and high."""
        return self.percentiles[ends[0]], self.percentiles[50], self.percentiles[ends[1]]

    @property
    def by_name(self) -> dict[str, float]:
        """The percentiles as "p10" and so on."""
        return {f"p{percent:g}": value for percent, value in self.percentiles.items()}


class Bar(NamedTuple):
    """One bar of the histogram of NPV, and the share of samples in it; the outermost hold what lies beyond."""

    start: float
    end: float
    share: float


class Stress(NamedTuple):
    """One trial of a lender: NPV, lowest debt service coverage (nan without a loan), lowest monthly balance."""

    name: str
    label: str
    npv: float
    lowest_coverage: float
    lowest_balance: float


class DebtChances(NamedTuple):
    """Shares of samples that miss a lender's figure, P10 of the lowest balance; nan without a loan or award."""

    coverage_below_asked: float
    coverage_below_one: float
    balance_below_zero: float
    balance_below_zero_with_award: float
    lowest_balance_p10: float


@record(frozen=True, slots=True)
class Chances:
    """What all ranges together say. Chances are shares of all samples, 0 to 1.

    `loss`: NPV against current practice below zero. `never_pays_back`: no payback within the study. `decisive`:
    the line that the rule weighs, NPV against the best other option; `char_is_cheapest`: it is not below zero,
    `char_is_dearer`: it is. `net_source`: the kiln emits more than the char stores, out of the samples in which
    that figure exists (nan: none). `so_far`: the chance of a loss after the first samples, as (samples, chance).
    `quantiles`: (NPV, share of samples up to it). `kept`: the answers of every sample by name, in order.
    """

    sampling: Sampling
    shapes: Mapping[str, str]
    pairs: tuple[Pair, ...]
    spreads: Mapping[str, Spread]
    loss: float
    debt: DebtChances
    never_pays_back: float
    decisive: str
    char_is_cheapest: float
    char_is_dearer: float
    net_source: float
    so_far: tuple[tuple[int, float], ...]
    bars: tuple[Bar, ...]
    quantiles: tuple[tuple[float, float], ...]
    kept: Mapping[str, Numbers] = field(compare=False, repr=False, default_factory=dict)

    @property
    def loss_error(self) -> float:
        """Standard error [1] of that probability as of independent samples; those used scatter less."""
        return math.sqrt(self.loss * (1 - self.loss) / self.sampling.samples)


@record(frozen=True, slots=True)
class Mover:
    """One fact or input moved alone: its id or row, its words, its rung ("" for the plant's own), the answers."""

    id: str
    label: str
    rung: str
    known: str
    at_low: Mapping[str, float]
    at_high: Mapping[str, float]

    @property
    def is_read(self) -> bool:
        """Whether it is the plant's own, or was read in its source or in a copy."""
        return not self.rung or self.rung in READ

    @property
    def is_guess(self) -> bool:
        """Whether the plant itself guesses it, or does not say how it is known."""
        return not self.rung and how_known(self.known) == how_known("")

    def swing(self, measure: str) -> float:
        """How far the answer moves [its unit]; 0 where it is withheld."""
        moved = abs(self.at_high[measure] - self.at_low[measure])
        return float(moved) if np.isfinite(moved) else 0.0

    def share(self, measure: str, low: float, high: float) -> float:
        """The same as a share of the answer's own range."""
        return self.swing(measure) / (high - low) if high > low else 0.0


@record(frozen=True, slots=True)
class Leaning:
    """Facts in use, how many of them nobody read, how many of these have a range, and everything moved alone."""

    in_use: int
    unverified: int
    defaults: int
    movers: tuple[Mover, ...]

    def most(self, measure: str) -> list[Mover]:
        """Everything that moves an answer, the most first."""
        sizes = ((one, max(abs(one.at_low[measure]), abs(one.at_high[measure]))) for one in self.movers)
        found = [one for one, size in sizes if one.swing(measure) > 1e-9 * size]
        return sorted(found, key=lambda mover: -mover.swing(measure))

    @property
    def worst(self) -> dict[str, Mover]:
        """By measure, what moves it most of all that nobody read; nothing where that is next to nothing."""
        found = {}
        for measure in DOUBTED:
            ordered = self.most(measure)
            unread = next((one for one in ordered if not one.is_read), None)
            if unread and unread.swing(measure) >= LITTLE * ordered[0].swing(measure):
                found[measure] = unread
        return found


def round_width(least: float, steps: Sequence[float] = (1, 2, 2.5, 5, 10, 20)) -> float:
    """The smallest of the steps times a power of ten that is not below `least` [unit of `least`, above 0]."""
    power: float = 10.0 ** math.floor(math.log10(least))
    return next(step * power for step in steps if step * power >= least)
