"""What the garden trials say, trays and beds with char against those without; and the next trial planned."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

from econ.evidence import factors
from econ.fields import record, replace
from econ.inputs.records import Caution, Line, Scenario, TableData
from econ.inputs.schema import table_plans
from econ.measured import exact
from econ.measured.readings import told

SHOWN, NOT_SHOWN = "shown", "not shown"
WITH, WITHOUT = "with-char", "without"
"""The slugs of the two treatments."""
GERMINATION_FRAC, MEAN_FRAC = 0.15, 0.20
"""The differences a trial is asked to show where the rows are blank."""
MEANS = ("days_sprout", "days_fruit", "harvest")
FEWER_IS_BETTER = frozenset({"days_sprout", "days_fruit"})
SEEDS_PER_TRAY = 25
MOST_BLOCKS = 60
"""More blocks than a page can list are not laid out."""
PLACES = ("with char, without", "without, with char")


class Counted(NamedTuple):
    """Seeds of one side: trays (sown, sprouted), and all of them together."""

    trays: tuple[tuple[int, int], ...]
    sown: int
    sprouted: int

    @property
    def share(self) -> float:
        """Share that sprouted [0..1]."""
        return self.sprouted / self.sown

    @property
    def range(self) -> tuple[float, float]:
        """The exact 95 % interval of that share."""
        return exact.exact_range(self.sprouted, self.sown)


@record(frozen=True, slots=True)
class Germination:
    """Seeds with and without char: Fisher's p, of trays as wholes (None: too few), among all comparisons."""

    with_char: Counted
    without: Counted
    p: float
    tray_p: float | None
    difference: tuple[float, float]
    asked: float
    seeds: int | None
    p_holm: float = 1.0

    @property
    def gap(self) -> float:
        """Share with char less share without [-1..1]."""
        return self.with_char.share - self.without.share

    @property
    def verdict(self) -> str:
        """Shown only if both the seeds and, where they can tell, the trays say so."""
        by_trays = self.tray_p is None or self.tray_p < exact.ALPHA
        return SHOWN if self.p_holm < exact.ALPHA and by_trays else NOT_SHOWN

    @property
    def is_better(self) -> bool:
        """Whether more sprouted with char."""
        return self.gap > 0

    can_show = True
    """Seeds sown on both sides always count among the comparisons."""


@record(frozen=True, slots=True)
class Means:
    """Days or yields of beds, canonical; `difference`, `scatter`, `beds` are None where too few can tell."""

    of: str
    with_char: tuple[float, ...]
    without: tuple[float, ...]
    p: float
    difference: tuple[float, float] | None
    scatter: float | None
    asked: float
    beds: int | None
    p_holm: float = 1.0

    @property
    def gap(self) -> float:
        """Mean with char less mean without [unit of the trial]."""
        return mean(self.with_char) - mean(self.without)

    @property
    def verdict(self) -> str:
        """Shown where shuffled labels rarely do as much."""
        return SHOWN if self.p_holm < exact.ALPHA else NOT_SHOWN

    @property
    def is_better(self) -> bool:
        """Whether the beds with char did better: fewer days, or more yield."""
        return self.gap < 0 if self.of in FEWER_IS_BETTER else self.gap > 0

    @property
    def can_show(self) -> bool:
        """Whether so many beds could show anything at all."""
        return exact.least_p(len(self.with_char), len(self.without)) < exact.ALPHA


@record(frozen=True, slots=True)
class Comparison:
    """One treatment of one trial against the same trial without char."""

    trial: str
    detail: str
    germination: Germination | None
    means: tuple[Means, ...]

    @property
    def found(self) -> tuple[Germination | Means, ...]:
        """Every measure compared."""
        return (self.germination, *self.means) if self.germination else self.means


@record(frozen=True, slots=True)
class TrialsReading:
    """The garden trials as read: every comparison, and trials with nothing to compare."""

    data: TableData
    comparisons: tuple[Comparison, ...]
    lonely: tuple[str, ...]

    @property
    def looks(self) -> int:
        """How many comparisons that could show anything were made: those that share the chance of an error."""
        return len([found for one in self.comparisons for found in one.found if found.can_show])


def mean(values: Sequence[float]) -> float:
    """The mean of one or more values [their unit]."""
    return math.fsum(values) / len(values)


def read_trials(scenario: Scenario) -> TrialsReading | None:
    """The reading of the garden trials, or None where the workbook holds none."""
    data = scenario.tables.get("trials")
    if data is None:
        return None
    of_share = scenario.number_or("trials.germination_difference", GERMINATION_FRAC)
    of_mean = scenario.number_or("trials.mean_difference", MEAN_FRAC)
    groups: dict[tuple[str, str, str], list[Line]] = {}
    for line in data.lines:
        treatment = line.text("trials.treatment")
        detail = line.text("trials.detail") if treatment == WITH else ""
        groups.setdefault((line.text("trials.trial"), treatment, detail), []).append(line)
    made: list[Comparison] = []
    alone: list[Comparison] = []
    for (trial, treatment, detail), lines in groups.items():
        others = groups.get((trial, WITHOUT, ""), [])
        if treatment == WITH:
            means = tuple(_means(lines, others, of_mean))
            found = Comparison(trial, detail, _germination(lines, others, of_share), means)
            (made if found.found else alone).append(found)
        elif not any(key[:2] == (trial, WITH) for key in groups):
            alone.append(Comparison(trial, detail, None, ()))
    # each p among all that could show anything; the others cannot err, and keep 1
    family = [found for one in made for found in one.found if found.can_show]
    chances = dict(zip(map(id, family), exact.holm([found.p for found in family]), strict=True))

    def told(found: Any) -> Any:
        return None if found is None else replace(found, p_holm=chances.get(id(found), 1.0))

    adjusted = [replace(one, germination=told(one.germination), means=tuple(map(told, one.means))) for one in made]
    return TrialsReading(data, tuple(adjusted), tuple(dict.fromkeys(one.trial for one in alone)))


def _germination(lines: list[Line], others: list[Line], asked: float) -> Germination | None:
    sides = [_counted(side) for side in (lines, others)]
    if not all(side.trays for side in sides):
        return None
    ours, theirs = sides
    counts, base = (ours.sprouted, ours.sown, theirs.sprouted, theirs.sown), theirs.share
    shares = [[sprouted / sown for sown, sprouted in side.trays] for side in sides]
    tray_p = exact.shuffled_p(*shares) if exact.least_p(*map(len, shares)) < exact.ALPHA else None
    seeds = exact.seeds_to_show(base, asked)
    p, between = exact.two_sided_p(*counts), exact.difference_range(*counts)
    return Germination(ours, theirs, p, tray_p, between, asked, seeds)


def _counted(lines: list[Line]) -> Counted:
    found = [(line.number("trials.sown"), line.number("trials.sprouted")) for line in lines]
    trays = tuple((int(sown), int(up)) for sown, up in found if sown is not None and up is not None)
    return Counted(trays, sum(sown for sown, _ in trays), sum(sprouted for _, sprouted in trays))


def _means(lines: list[Line], others: list[Line], asked: float) -> Iterator[Means]:
    for name in MEANS:
        ours, theirs = (
            tuple(value for line in side if (value := line.number(f"trials.{name}")) is not None)
            for side in (lines, others)
        )
        if ours and theirs:
            gap, scatter, degrees = asked * mean(theirs), None, len(ours) + len(theirs) - 2
            if degrees > 0:
                squares = math.fsum((value - mean(side)) ** 2 for side in (ours, theirs) for value in side)
                scatter = math.sqrt(squares / degrees)
            beds = None if scatter is None else exact.beds_needed(scatter, gap)
            yield Means(name, ours, theirs, *_shuffled(ours, theirs), scatter, gap, beds)


@lru_cache(maxsize=256)
def _shuffled(ours: tuple[float, ...], theirs: tuple[float, ...]) -> tuple[float, tuple[float, float] | None]:
    """The chance p by shuffling labels, and the interval of the difference; asked once of many plants."""
    return exact.shuffled_p(ours, theirs), exact.shuffled_range(ours, theirs)


def cautions(reading: TrialsReading | None) -> Iterator[Caution]:
    """What to mind before anything is said of the trials."""
    if reading is None:
        return
    sheet = table_plans()["trials"].sheet
    for trial in reading.lonely:
        yield from told("alone", sheet, trial=repr(trial or "without a name"))
    unsaid = [one for one in reading.comparisons if any(found.verdict == NOT_SHOWN for found in one.found)]
    if names := ", ".join(one.trial or "without a name" for one in unsaid[:3]):
        yield from told("unsaid", sheet, trials=names)


@record(frozen=True, slots=True)
class Design:
    """A garden trial planned before it is sown: counts a side (None: above 1,000), and the order within each pair.

    `alpha`: 5 % over the comparisons (Holm's first step); differences, germination, scatter are fractions.
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


def design_of(scenario: Scenario, reading: TrialsReading | None) -> Design | None:
    """The design that a workbook asks for, by a number for the plan or by trials it holds; None without either."""
    if reading is None and not scenario.has("trials.seed"):
        return None
    alpha = exact.ALPHA / (comparisons := int(scenario.number_or("trials.comparisons", 1)))
    base = scenario.number_or("trials.germination_base", factors.factor("germination_base").value / 100)
    asked = scenario.number_or("trials.germination_difference", GERMINATION_FRAC)
    per_tray = int(scenario.number_or("trials.seeds_per_tray", SEEDS_PER_TRAY))
    seeds = exact.seeds_to_show(base, asked, alpha)
    trays = None if seeds is None else max(math.ceil(seeds / per_tray), exact.sides_needed())
    harvests = [found for one in (reading.comparisons if reading else ()) for found in one.means]
    seen = [found.scatter / mean(found.without) for found in harvests if found.of == "harvest" and found.scatter]
    # of the harvests seen, and no less than the usual one: few beds flatter
    scatter = scenario.number_or("trials.bed_scatter", max(factors.factor("bed_scatter").value / 100, 0.0, *seen))
    asked_mean = scenario.number_or("trials.mean_difference", MEAN_FRAC)
    beds = exact.beds_needed(scatter, asked_mean, alpha)
    seed = int(scenario.number_or("trials.seed", 1))
    order = randomised(seed, min(max(trays or 0, beds or 0), MOST_BLOCKS))
    return Design(seed, comparisons, alpha, base, asked, seeds, per_tray, trays, scatter, asked_mean, beds, order)


def randomised(seed: int, blocks: int) -> tuple[str, ...]:
    """Which of a pair comes first, block by block, from a seed; randomised complete blocks of two."""
    toss = random.Random(seed)
    return tuple(PLACES[toss.random() < 0.5] for _ in range(blocks))
