"""What was measured: put in the place of what was typed where a switch says so, and held against promises."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from statistics import NormalDist
from typing import NamedTuple

from econ.fields import record, replace
from econ.inputs.defaults import filled
from econ.inputs.records import DRY, Caution, Entry, Scenario, TableData
from econ.inputs.schema import rows
from econ.measured import garden_trials
from econ.measured import readings as tables
from econ.measured.exact import at_most
from econ.measured.readings import AssayReading, LogReading, read_assay, read_log, told
from econ.measured.sample import Sample, two_sided
from econ.shipped import described

BASIS = "product.analysis_basis"
"""The row that says what the available phosphate is of; a measured one is of the dry char."""
OUTSIDE = 0.05
"""Circumstances this share beyond those of the log count as unseen."""
SHARE = 0.8
"""What P10 to P90 promise: eight of ten figures inside."""
DEVIATIONS = NormalDist().inv_cdf(0.5 + SHARE / 2)
UNLIKELY = 0.1
"""A count less likely than this, were the ranges right, speaks against them."""
LEAST = 4
"""From fewer figures nothing is told."""
LEAST_WEIGHED = 3
"""From fewer measurements the standard error is too rough to weigh them."""
CONFLICT = 2.0
"""Promise and sample further apart than so many deviations of both are not averaged."""


class Target(NamedTuple):
    """An input that a measurement can stand in for: its switch, the sample, the row."""

    switch: str
    sample: str
    key: str
    table: str


TARGETS = tuple(Target(*row) for row in described("words", "measured")["targets"])


class Standing(NamedTuple):
    """One input that was measured: the entry as typed, as measured, the sample, its table, whether it is used."""

    target: Target
    typed: Entry
    measured: Entry
    sample: Sample
    data: TableData
    is_used: bool


@record(frozen=True, slots=True)
class Readings:
    """What the tables of a scenario say: the log, the assays, and each input that they bear on."""

    log: LogReading | None
    assay: AssayReading | None
    standings: tuple[Standing, ...]
    trials: garden_trials.TrialsReading | None = None

    @property
    def used(self) -> tuple[Standing, ...]:
        """The inputs whose measured value counts."""
        return tuple(one for one in self.standings if one.is_used)


class View(NamedTuple):
    """NPV with an input at its value, low, high (None: no range), removal, `worth`: expected gain of knowing."""

    npv: float
    removal: float | None
    at_low: float | None
    at_high: float | None
    worth: float


class Gain(NamedTuple):
    """One measured input: the answer with what was typed and with what was measured."""

    standing: Standing
    typed: View
    measured: View


@record(frozen=True, slots=True)
class Measured:
    """All that the tables brought: readings, gains by input, and the NPV with nothing measured."""

    readings: Readings
    gains: tuple[Gain, ...]
    npv_as_typed: float


def read(scenario: Scenario) -> Readings:
    """The readings of the tables of a scenario; all empty where there is no data."""
    log = read_log(scenario.tables["log"]) if "log" in scenario.tables else None
    assay = read_assay(scenario.tables["assay"]) if "assay" in scenario.tables else None
    return Readings(log, assay, tuple(_standings(scenario, log, assay)), garden_trials.read_trials(scenario))


def put_in(scenario: Scenario, readings: Readings) -> Scenario:
    """The scenario with every measured input that is switched on in place of the typed one."""
    if not readings.used:
        return scenario
    entries = dict(scenario.entries)
    for one in readings.used:
        entries |= overrides(scenario, one, measured=True)
    return replace(scenario, entries=entries)


def overrides(typed: Scenario, one: Standing, measured: bool) -> dict[str, Entry]:
    """The entries that one measured input changes, as measured or as `typed` has them."""
    found = {one.target.key: one.measured if measured else one.typed}
    if one.target.sample == "available":
        basis = typed[BASIS]
        dry = replace(basis, value=DRY, known="measured", remark="assays are read as dry", is_default=False)
        found[BASIS] = dry if measured else basis
    return found


def _standings(scenario: Scenario, log: LogReading | None, assay: AssayReading | None) -> Iterator[Standing]:
    for target in TARGETS:
        reading = log if target.table == "log" else assay
        entry = scenario.entries.get(target.key)
        if reading is None or entry is None or target.sample not in reading.samples:
            continue
        found = reading.samples[target.sample]
        is_used = scenario.choice(target.switch) == "yes"
        own = reading.data.units.get(f"log.{target.sample}")
        # a fuel in another measure than the scenario's is passed over; where it is used the reader has refused it
        is_other = own is None or entry.unit is None or own.dimension != entry.unit.dimension
        if is_used or not (target.sample.startswith("fuel") and is_other):
            yield Standing(target, entry, measured(entry, found, target, reading), found, reading.data, is_used)


def measured(entry: Entry, found: Sample, target: Target, reading: LogReading | AssayReading) -> Entry:
    """The entry with mean and 95 % range of the mean within bounds; of one alone the range it had, stretched.

    Where none was typed either, one alone gets the range of a number that is measured (`default_ranges.csv`).
    """
    row = entry.row
    mean = min(max(found.mean, row.lowest), row.highest)
    was_blank = None in (entry.low, entry.high)
    alone = filled(replace(entry, value=mean, known="measured"), {}) if was_blank else entry
    ends = found.mean_range or (alone.low or 0.0, alone.high or 0.0)
    low, high = min(max(ends[0], row.lowest), mean), max(min(ends[1], row.highest), mean)
    if row.above_lowest and low <= row.lowest:
        low = mean
    own, unit = reading.data.units.get(f"log.{target.sample}"), entry.unit
    if own is not None and (unit is None or unit.dimension != own.dimension):
        unit = own
    span = f", {' to '.join(dict.fromkeys(dates))}" if (dates := reading.data.dates) else ""
    was = "nothing typed" if entry.value is None else f"typed: {entry.figure(entry.number, 4)}"
    return replace(
        entry, value=mean, low=low, high=high, unit=unit, known=f"measured, n = {found.n}",
        source=f"sheet '{reading.data.plan.sheet}'{span}", remark=was, is_default=False,
        range_by="" if found.mean_range else alone.range_by,
    )  # fmt: skip


def cautions(readings: Readings, circumstances: Mapping[str, float]) -> Iterator[Caution]:
    """What to mind of the measurements; `circumstances`: `load` [kg] and `peak` [°C] of the firings."""
    idle = [one for one in readings.standings if not one.is_used and one.sample.n >= LEAST_WEIGHED]
    for place in dict.fromkeys(one.data.plan.sheet for one in idle):
        some = [one for one in idle if one.data.plan.sheet == place]
        label, name = "; ".join(one.typed.row.label for one in some), rows()[some[0].target.switch].sheet
        yield from told("idle", place, label=label, samples=min(one.sample.n for one in some), name=name)
    for one in (one for one in readings.standings if not one.is_used and one.typed.has_range):
        typed, mean = one.typed, one.measured.number
        if not (typed.low or 0.0) <= mean <= (typed.high or 0.0):
            words = {
                "label": typed.row.label,
                "name": typed.figure(mean, 3),
                "asked": typed.figure(typed.number, 3),
            }
            yield from told("beyond", typed.where, samples=one.sample.n, **words)
    for one in readings.used:
        label, place, outlier = one.typed.row.label, one.data.plan.sheet, one.sample.outlier_line
        if outlier is not None:
            place = next(iter(one.data.lines[outlier - 1].where.values()), place)
        yield from told("measured", place, label=label, samples=one.sample.n, outlier=outlier)
    if readings.log is not None and any(one.target.table == "log" for one in readings.used):
        yield from _other_firings(readings.log, circumstances)
    if readings.assay is not None:
        yield from readings.assay.cautions
        yield from tables.cautions(readings.assay)
    yield from garden_trials.cautions(readings.trials)


def _other_firings(log: LogReading, circumstances: Mapping[str, float]) -> Iterator[Caution]:
    """The firings counted lie outside what the log has seen."""
    for name, key in (("load", "log.bones_in"), ("peak", "log.peak")):
        unit = log.data.units.get(key)
        if name not in log.samples or name not in circumstances or unit is None:
            continue
        seen, now = log.samples[name].values, circumstances[name]
        reach = OUTSIDE * max(abs(value) for value in seen)
        if not min(seen) - reach <= now <= max(seen) + reach:
            low, high, asked = (unit.from_canonical(x) for x in (min(seen), max(seen), now))
            said = {"name": name, "low": low, "high": high, "asked": asked, "unit": unit.symbol}
            yield from told("other-batches", log.data.plan.sheet, **said)


class Kept(NamedTuple):
    """A promised range [low = P10, high = P90] with its middle, and the figure found, all in one unit."""

    low: float
    middle: float
    high: float
    found: float

    @property
    def side(self) -> int:
        """0 inside the range, -1 below it, 1 above it."""
        return (self.found > self.high) - (self.found < self.low)


class Calibration(NamedTuple):
    """How many of `n` figures fell inside, and how many lay above the middle of what was promised."""

    n: int
    inside: int
    above: int

    @property
    def verdict(self) -> str:
        """One of few, narrow, shifted, wide and sound, by binomial tails below UNLIKELY at eight of ten inside.

        Shifted: too many on one side of the middle. Figures of one plant share causes: this reads as rough.
        """
        if self.n < LEAST:
            return "few"
        if at_most(self.inside, self.n, SHARE) < UNLIKELY:
            return "narrow"
        if 2 * at_most(min(self.above, self.n - self.above), self.n, 0.5) < UNLIKELY:
            return "shifted"
        return "wide" if at_most(self.n - self.inside, self.n, 1 - SHARE) < UNLIKELY else "sound"


def calibration(found: Sequence[Kept]) -> Calibration:
    """The counts of figures held against their promised ranges."""
    inside, above = [one.side == 0 for one in found], [one.found > one.middle for one in found]
    return Calibration(len(found), inside.count(True), above.count(True))


def next_range(low: float, high: float, found: Sample) -> tuple[float, float, float, str]:
    """P10, middle and P90 to start from, and the rule: "bayes", "sample" or "stretched".

    Bayes: promise and mean weighed by one over their variance (conjugate normal, any textbook; from memory). Where
    they contradict: mean ± t s/√n for 80 %. From fewer than LEAST_WEIGHED: the promise stretched to hold the mean.
    """
    centre, spread = (low + high) / 2, (high - low) / (2 * DEVIATIONS)
    if not found.se or not spread or found.n < LEAST_WEIGHED:
        return min(low, found.mean), found.mean, max(high, found.mean), "stretched"
    if abs(found.mean - centre) > CONFLICT * math.hypot(spread, found.se):
        half = two_sided(SHARE, found.n - 1) * found.se
        return found.mean - half, found.mean, found.mean + half, "sample"
    weight = spread**2 / (spread**2 + found.se**2)
    middle, half = centre + weight * (found.mean - centre), DEVIATIONS * math.sqrt(weight) * found.se
    return middle - half, middle, middle + half, "bayes"
