"""Deciding facts: what must be settled before a kiln is bought, and what each can still do to the answer.

A fact is settled when its numbers were measured (a demonstration at a seller's or another owner's kiln counts) or
stand in writing. A fact that is not can turn the verdict when the rule says something else with the fact at its
P5 or at its P95, all other inputs sampled as they are; where none can, all that are open may together. The
headline says where the typed NPV stands among the same samples, and why.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache, cached_property, partial
from itertools import chain
from typing import Any

import numpy as np
from numpy.typing import NDArray

from econ.evidence.factors import how_known
from econ.fields import replace
from econ.inputs.lanes import beside, plants_now
from econ.inputs.records import Entry, Scenario
from econ.model.evaluate import evaluate
from econ.model.ledger import Quantity
from econ.model.plan import Plan
from econ.questions import found_rule as rule
from econ.questions.draws import Ties, inputs_drawn, is_share, kept_whole, made_whole, reader
from econ.questions.found import AGAINST_BEST, Chances
from econ.questions.found_rule import Bounds, Deciding, Fact, Headline, Limits, Look, Standing
from econ.questions.latin import CHUNK, Sampling
from econ.questions.plan_moves import SHARE
from econ.questions.samples import Drawn, percentiles

Numbers = NDArray[np.float64]
Held = dict[str, float]
"""Inputs at a place of their range, 0 to 1."""

SAMPLES = 2_048
"""Samples behind each look at a fact, or fewer where the run has fewer."""
ENDS = (0.05, 0.95)
"""A fact at its P5 and at its P95."""
SETTLED = frozenset({"measured", "quoted"})
MODELLED_YIELD = re.compile(r"kiln\.residue_ratio|bones\..*")
"""What the yield hangs on where none was weighed."""
WETNESS = re.compile(r"bones\.\d+\.(water|fat)_share")
CAUSES = 2
"""Inputs named as the cause of a typed value outside the middle half."""


def is_settled(entry: Entry) -> bool:
    """Whether a number was measured or stands in writing."""
    return not entry.is_default and how_known(entry.known) in SETTLED


def open_keys(scenario: Scenario, fact: Fact, plan: Plan) -> tuple[str, ...]:
    """The keys of a fact that the model reads and that are not settled."""
    fits = re.compile("|".join(fact.keys)).fullmatch
    return tuple(
        key for key, entry in scenario.entries.items()
        if entry.value is not None and not is_settled(entry) and fits(key)
        and not (plan.measured_yield and MODELLED_YIELD.fullmatch(key))
    )  # fmt: skip


def blank_facts(scenario: Scenario) -> tuple[str, ...]:
    """Of the amount sold and the price, what the first sheet was left without: slugs of facts."""
    asked = {"amount": ("product.1.market_limit", "product.1.customers"), "price": ("product.1.price",)}
    said = {key for key, entry in scenario.entries.items() if not entry.is_default}
    return tuple(slug for slug, keys in asked.items() if said.isdisjoint(keys))


class Looks:
    """One set of samples, looked at again and again with some inputs held; many plants on a first axis.

    `places`: those of every input in its range, where other looks at the same inputs have read them.
    """

    def __init__(
        self, scenario: Scenario, plan: Plan, sampling: Sampling, inputs: Sequence[Drawn],
        places: Mapping[str, Numbers] | None = None,
    ) -> None:  # fmt: skip
        samples = min(sampling.samples, SAMPLES)
        self._scenario, self._plan, self._samples = scenario, plan, samples
        alive = plants_now()
        self._plants = () if alive is None else (len(alive),)
        self._numbers: dict[str, Quantity] = {key: beside(one) for key, one in scenario.numbers().items()}
        self.places = reader(sampling, inputs, samples)(0, samples) if places is None else places
        self._raw = Ties(scenario, inputs).raw(self.places)
        self._inputs = {one.key: one for one in inputs}
        self._weighed = AGAINST_BEST if any(way.is_rival for way in plan.ways) else "npv"

    def npv(self, measure: str = "") -> Numbers:
        """The NPV [currency] the rule weighs, or `measure`, of every sample."""
        found: Numbers = self._whole[measure or self._weighed][0]
        return found

    @cached_property
    def _whole(self) -> dict[str, Numbers]:
        return self._under([{}])

    def _under(self, cases: Sequence[Held]) -> dict[str, Numbers]:
        """The answers of every sample in each of the cases, on the first axis."""
        shape, moved = (*self._plants, self._samples), dict[str, Numbers]()
        for key in dict.fromkeys(key for held in cases for key in held):
            one = self._inputs[key]
            columns = (one.inverse(np.array([held[key]])) if key in held else self._raw[key] for held in cases)
            moved[key] = np.stack([np.broadcast_to(column, shape) for column in columns])
        values = made_whole(self._scenario.entries, {**self._raw, **moved})
        return self._evaluated(kept_whole({**self._numbers, **values}, self._plan), self._samples, len(cases))

    def at_shares(self, shares: Numbers, samples: int) -> Numbers:
        """NPV against current practice [currency] at each share of the bones: (plants, shares, samples)."""
        count, first = np.shape(shares)[-1], {key: column[..., :samples] for key, column in self._raw.items()}
        made = {key: np.tile(column, count) for key, column in made_whole(self._scenario.entries, first).items()}
        column = np.repeat(shares if self._plants else np.ravel(shares), samples, axis=-1)
        numbers = {**self._numbers, **made, SHARE: column}
        found = self._evaluated(kept_whole(numbers, self._plan), count * samples)["npv"]
        return found.reshape((-1, count, samples))

    def within(self, limits: Bounds, shares: Numbers) -> tuple[Numbers, Numbers, NDArray[np.bool_]]:
        """Share of eligible bones, hours a week, limits kept; at the values typed, (plants, shares) each."""
        lines = evaluate({**self._numbers, SHARE: shares}, self._plan, rule.LIMITED).lines
        at = {name: np.broadcast_to(lines[name], shares.shape) for name in rule.LIMITED}
        weeks = self._numbers["kiln.weeks_per_year"]
        return rule.processed(at), at["hours_per_year"] / weeks, limits.kept(at, weeks)

    def held_at(self, cases: Sequence[Held]) -> Iterator[Look]:
        """What the rule sees in each of the cases, some inputs held; as many at once as are quick."""
        step = max(CHUNK // math.prod((*self._plants, self._samples)), 1)
        for first in range(0, len(cases), step):
            some = cases[first : first + step]
            yield from map(self.look, some, self._under(some)[self._weighed])

    def look(self, held: Held, npv: Numbers) -> Look:
        """What the rule sees of the samples of its NPV with some inputs held."""
        gains = [np.maximum(shift, 0.0) for key, shift in self.shifts[self._weighed].items() if key not in held]
        unearned = [math.fsum(row) for row in zip(*(np.atleast_1d(gain) for gain in gains), strict=True)] or [0.0]
        return Look.of(npv, np.array(unearned) if self._plants else unearned[0])

    def together(self, keys: frozenset[str]) -> Numbers:
        """P95 of the mean NPV [currency] of each plant as all open facts settle, of these keys: (plants,)."""
        (npv,) = self._under([self.held(self._inputs.keys() - keys, 0.5)])[self._weighed]
        best = percentiles(npv, (100 * ENDS[1],))[0] - np.mean(npv, axis=-1)
        return np.atleast_1d(best + np.mean(self.npv(), axis=-1))

    def values(self) -> dict[str, Numbers]:
        """The samples of every input, as the model reads them."""
        return made_whole(self._scenario.entries, self._raw)

    def held(self, keys: Iterable[str], place: float) -> Held:
        """Those of the keys that are drawn, at a place of their range; water and fat of bones go the other way."""
        return {
            key: 1 - place if WETNESS.fullmatch(key) else place
            for key in keys
            if key in self._inputs and self._inputs[key].shape != "fixed"
        }

    def made_of(self) -> dict[str, tuple[float, float]]:
        """P10 and P90 of every share of the bones [kg/kg], as drawn."""
        ends = {key: percentiles(column, (10, 90)) for key, column in self.values().items() if is_share(key)}
        return {key: (float(low), float(high)) for key, (low, high) in ends.items()}

    def _evaluated(self, numbers: Mapping[str, Quantity], cases: int, *first: int) -> dict[str, Numbers]:
        names = {"npv", self._weighed}
        lines = evaluate(numbers, self._plan, frozenset(names)).lines
        shape = (*first, *self._plants, cases)
        return {name: np.broadcast_to(np.asarray(lines[name], dtype=float), shape) for name in names}

    @cached_property
    def shifts(self) -> dict[str, dict[str, Any]]:
        """The answer with one input at its sampled mean, less it as typed; a stream's shares go by its ash."""
        means = {key: np.mean(column, axis=-1) for key, column in self.values().items()}
        groups: dict[str, list[str]] = {}
        for key in means:
            groups.setdefault(f"{key.rpartition('.')[0]}.ash_share" if is_share(key) else key, []).append(key)
        moved, cases = dict(self._numbers), len(groups) + 1
        for at, keys in enumerate(groups.values()):
            for key in keys:
                shape = (cases,) if np.ndim(means[key]) == np.ndim(moved[key]) == 0 else (*self._plants, cases)
                column = np.broadcast_to(np.asarray(moved[key], dtype=float), shape).copy()
                column[..., at] = means[key]
                moved[key] = column
        found = self._evaluated(kept_whole(moved, self._plan), cases)
        shifts = {name: npv - npv[..., -1:] for name, npv in found.items()}
        return {
            name: {key: npv[..., at] if self._plants else float(npv[at]) for at, key in enumerate(groups)}
            for name, npv in shifts.items()
        }


def deciding(scenario: Scenario, plan: Plan, sampling: Sampling, limits: Limits) -> tuple[Deciding, Looks]:
    """The deciding facts of a scenario, and the samples that they were looked at with."""
    looks = Looks(scenario, plan, sampling, inputs_drawn(scenario))
    (found,) = each_deciding(scenario, plan, looks, [limits])
    return found, looks


def each_deciding(scenario: Scenario, plan: Plan, looks: Looks, limits: Sequence[Limits]) -> Iterator[Deciding]:
    """The deciding facts of each plant that is looked at, by its limits."""
    whole, blank = looks.look({}, looks.npv()), blank_facts(scenario)
    asked = [(fact, open_keys(scenario, fact, plan)) for fact in rule.FACTS]
    ends = [[looks.held(keys, end) for end in ENDS] for _, keys in asked]
    seen_at = looks.held_at([held for both in ends if both[0] for held in both])
    found = [(next(seen_at), next(seen_at)) if both[0] else () for both in ends]
    of_case = cache(lambda case: next(looks.held_at([dict(case)])) if case else whole)
    best_of_all = cache(partial(looks.together, frozenset(chain.from_iterable(keys for _, keys in asked))))
    for at, own in enumerate(limits):
        look, standings, held = whole.of_plant(at), [], dict[str, float]()
        for (fact, keys), both, seen in zip(asked, ends, found, strict=True):
            low_high = tuple(one.of_plant(at) for one in seen)
            turns = any(rule.ruled(own, one) != rule.ruled(own, look) for one in low_high)
            standings.append(Standing(fact, keys, low_high or None, turns))  # type: ignore[arg-type]
            if turns:
                held |= both[low_high[1].mean > low_high[0].mean]
        best, is_no = of_case(frozenset(held.items())).of_plant(at).mean, rule.ruled(own, look) == "do not buy"
        if is_together := not held and is_no and best_of_all()[at] >= own.least_npv:
            best = float(best_of_all()[at])
        yield Deciding(tuple(standings), look, best, blank, is_together)


def headline(
    scenario: Scenario, plan: Plan, sampling: Sampling, typed: float, drawn: Chances, looks: Looks
) -> Headline:
    """The headline of a scenario whose NPV at its values is `typed`."""
    npv = drawn.spreads["npv"]
    place = float(np.mean(drawn.kept["npv"] < typed))
    toward = sorted(looks.shifts["npv"].items(), key=lambda one: one[1], reverse=place < 0.5)
    causes = tuple((key, shift) for key, shift in toward[:CAUSES] if shift and (shift > 0) == (place < 0.5))
    wider, wider_loss = scenario["rule.wider"].number, None
    wide = {key: _wide(entry, wider) if is_own_guess(entry) else entry for key, entry in scenario.entries.items()}
    if wide != scenario.entries:
        held = replace(scenario, entries=wide)
        wider_loss = float(np.mean(Looks(held, plan, sampling, inputs_drawn(held), looks.places).npv("npv") < 0))
    ends = npv.pair((10, 90))
    return Headline(typed, *ends, npv.mean, place, causes, wider, wider_loss, looks.made_of())


def is_own_guess(entry: Entry) -> bool:
    """Whether an entry carries a range that the user typed for an estimate."""
    own = entry.row.is_number and not (entry.is_default or entry.range_by or entry.row.fixed)
    return own and entry.has_range and how_known(entry.known) == "guessed"


def _wide(entry: Entry, wider: float) -> Entry:
    """The entry with its range `wider` times as wide, within the bounds of its row."""
    assert entry.low is not None
    assert entry.high is not None
    value, row = entry.number, entry.row
    low = max(value - wider * (value - entry.low), row.lowest if not row.above_lowest else entry.low / wider)
    high = min(value + wider * (entry.high - value), row.highest)
    return replace(entry, low=min(low, entry.low), high=max(high, entry.high))
