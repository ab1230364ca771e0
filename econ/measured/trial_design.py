"""A garden trial planned before it is sown: how many trays and beds, in which blocks, and what goes where."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

from econ import evidence
from econ.inputs.records import Scenario
from econ.measured.exact import ALPHA, beds_needed, seeds_needed, sides_needed
from econ.measured.garden_trials import GERMINATION_FRAC, MEAN_FRAC, TrialsReading, mean

SEEDS_PER_TRAY = 25
MOST_BLOCKS = 60
"""More blocks than a page can list are not laid out."""
PLACES = ("with char, without", "without, with char")


@dataclass(frozen=True, slots=True)
class Design:
    """The size of a trial on each side, and the order within each block of a pair.

    `alpha` is 5 % over the comparisons planned, the first step of Holm's correction. `seeds`, `trays` and `beds`
    are counts a side, None where more than 1,000 were needed; differences, germination and scatter are fractions.
    `order` names, block by block, what stands first and second; the same `seed` gives the same order.
    """

    seed: int
    comparisons: int
    alpha: float
    germination: float
    asked_germination: float
    seeds: int | None
    seeds_per_tray: int
    trays: int | None
    scatter: float
    asked_mean: float
    beds: int | None
    order: tuple[str, ...]

    @property
    def blocks(self) -> int:
        """Blocks to lay out: as many as trays or beds of one side, whichever are more."""
        return len(self.order)


def design_of(scenario: Scenario, reading: TrialsReading | None) -> Design | None:
    """The design that a workbook asks for, by a number for the plan or by trials it holds; None without either."""
    if reading is None and not scenario.has("trials.seed"):
        return None
    comparisons = int(scenario.number_or("trials.comparisons", 1))
    alpha = ALPHA / comparisons
    base = scenario.number_or("trials.germination_base", evidence.factor("germination_base").value / 100)
    asked = scenario.number_or("trials.germination_difference", GERMINATION_FRAC)
    other = base + asked if base + asked <= 1 + 1e-9 else max(base - asked, 0.0)
    per_tray = int(scenario.number_or("trials.seeds_per_tray", SEEDS_PER_TRAY))
    seeds = seeds_needed(base, min(other, 1.0), alpha)
    trays = None if seeds is None else max(math.ceil(seeds / per_tray), sides_needed())
    scatter = scenario.number_or("trials.bed_scatter", _seen(reading))
    asked_mean = scenario.number_or("trials.mean_difference", MEAN_FRAC)
    beds = beds_needed(scatter, asked_mean, alpha)
    seed = int(scenario.number_or("trials.seed", 1))
    blocks = min(max(trays or 0, beds or 0), MOST_BLOCKS)
    return Design(seed, comparisons, alpha, base, asked, seeds, per_tray, trays, scatter, asked_mean, beds,
                  randomised(seed, blocks))  # fmt: skip


def _seen(reading: TrialsReading | None) -> float:
    """The largest scatter over mean of harvests seen, and no less than the usual one: few beds flatter."""
    harvests = [found for one in (reading.comparisons if reading else ()) for found in one.means]
    seen = [found.scatter / mean(found.without) for found in harvests if found.of == "harvest" and found.scatter]
    return max([evidence.factor("bed_scatter").value / 100, *seen])


def randomised(seed: int, blocks: int) -> tuple[str, ...]:
    """Which of a pair comes first, block by block, from a seed; randomised complete blocks of two."""
    toss = random.Random(seed)
    return tuple(PLACES[toss.random() < 0.5] for _ in range(blocks))
