"""Plans as records, and the lists of moves that make another: first of each the plan typed, as no move."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from econ.fields import record, replace
from econ.inputs.as_typed import plain_figure
from econ.inputs.defaults import filled
from econ.inputs.records import Scenario
from econ.model.plan import Plan
from econ.questions.found_rule import Bounds
from econ.units import Unit, unit

Moves = Mapping[str, float]
"""Values of inputs by key, in canonical units, put over those typed."""

P10_TO_P90 = 2.5631
"""Standard deviations of a normal curve from its P10 to its P90."""
EACH = unit("each")
SHARE = "kiln.bones_share"
COARSE = (1.0, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
KILNS = (1, 2, 3)
PRICES = 5
"""Steps along a demand line."""
FIGURES_SAID = 3
"""Figures of a value that the search makes up: what is printed is what is run."""


@record(frozen=True, slots=True)
class Tried:
    """One plan: moves, figures as typed, NPV over the samples [currency], masses [kg a year]; net may be nan."""

    moves: Moves
    npv: float
    mean: float
    p10: float
    p90: float
    loss: float
    hours_per_week: float
    unsold_kg: float
    sold_kg: float
    net_kg_co2e: float
    capital: float
    bones_kg: float
    share: float
    batches: float
    is_allowed: bool


class Beside(NamedTuple):
    """A way that stands beside the plan typed, over the same samples: composting first, bones of others."""

    number: int
    kind: str
    mean: float
    p10: float
    loss: float
    taken_kg: float


@record(frozen=True, slots=True)
class Sign:
    """What would have to be seen to go on: a figure or key, at least or at most, and the bound."""

    name: str
    at_least: bool
    bound: float


@record(frozen=True, slots=True)
class Pace:
    """Mean present value of each way to start [currency]; `perfect`: with perfect news and free waiting."""

    buy: float
    pilot: float
    wait: float
    perfect: float
    batches: float
    signs: tuple[Sign, ...]

    @property
    def best(self) -> str:
        """The way of the highest mean: buy, pilot, wait, or no where none is above zero."""
        ways = {"buy": self.buy, "pilot": self.pilot, "wait": self.wait}
        name = max(ways, key=lambda one: ways[one])
        return name if ways[name] > 0 else "no"


@record(frozen=True, slots=True)
class Plans:
    """What was found: the plan typed, the coarse table, the best plan (None: none within limits) by a fresh seed.

    `curve`: the best, else the typed, at every share; `flat`: shares as good; `sets`: the best as options.
    """

    typed: Tried
    coarse: tuple[Tried, ...]
    best: Tried | None
    curve: tuple[Tried, ...]
    flat: tuple[float, float]
    beside: tuple[Beside, ...]
    bounds: Bounds
    tried: int
    pace: Pace | None = None
    sets: tuple[str, ...] = ()
    seed: int = 0
    samples: int = 0

    @property
    def is_better(self) -> bool:
        """Whether another plan has the higher mean NPV by two standard errors, P10 to P90 taken as normal."""
        if self.best is None or not self.best.moves:
            return False
        wide = math.hypot(*(one.p90 - one.p10 for one in (self.best, self.typed))) / P10_TO_P90
        return self.best.mean - self.typed.mean > 2 * wide / math.sqrt(self.samples)


def product(*choices: Sequence[Moves]) -> list[Moves]:
    """Every combination of one move of each list; the first of all stands first."""
    return [{key: at for one in combined for key, at in one.items()} for combined in itertools.product(*choices)]


def shares(scenario: Scenario, values: Sequence[float]) -> list[Moves]:
    """Moves of the share processed, in whole per cent; the one typed is no move, and a blank row is all."""
    typed = scenario.number_or(SHARE, 1.0)
    return [{} if value == typed else {SHARE: value} for value in (round(one, 2) for one in values)]


def sizes(scenario: Scenario, plan: Plan) -> list[Moves]:
    """One to three kilns, those typed first, and the size of a second quote where there is one."""
    numbers = scenario.numbers()
    count = numbers.get("kiln.number", 1.0)
    cost = {key: numbers[key] / count for key in ("kiln.price", "kiln.installation")}
    more: list[Moves] = [
        {"kiln.number": float(k)} | {key: round(each * k, 2) for key, each in cost.items()} for k in KILNS
    ]
    found: list[Moves] = [{}, *(one for one in more if one["kiln.number"] != count)]
    if not scenario.has("next.price"):
        return found
    load = numbers.get("next.batch_load", numbers["kiln.batch_load"])
    ratio = load / numbers["kiln.batch_load"]
    moved = {
        "kiln.price": numbers["next.price"],
        "kiln.installation": numbers.get("next.installation", cost["kiln.installation"]),
        "kiln.batch_load": load,
    } | {key: said(scenario, key, numbers[key] * numbers.get("next.fuel_times", ratio))
         for n in plan.fuels if (key := f"fuel.{n}.per_batch") in numbers}  # fmt: skip
    if not plan.hours_by_task:
        key = "labour.hours_per_batch"
        moved[key] = said(scenario, key, numbers[key] * numbers.get("next.hours_times", 1.0))
    return [*found, moved | ({"kiln.number": 1.0} if count != 1 else {})]


def batches(scenario: Scenario) -> list[Moves]:
    """Batches a week: as typed, one, and the most that may be."""
    key = "kiln.batches_per_week"
    typed = scenario[key].number
    most = scenario.number_or("plans.most_batches", 2 * typed)
    return [{}, *({key: value} for value in dict.fromkeys((1.0, most)) if value != typed and value <= most)]


def tiers(scenario: Scenario, plan: Plan) -> list[Moves]:
    """Shares of the tiers: as typed, and everything offered to one tier first; what is left goes to the last."""
    keys = {n: f"product.{n}.share" for n in plan.tiers if scenario.has(f"product.{n}.share")}
    first = [{key: float(m == n) for m, key in keys.items()} for n in keys]
    return [{}, *(one for one in first if any(scenario[key].number != at for key, at in one.items()))]


def demand(scenario: Scenario, plan: Plan) -> list[Moves]:
    """Prices and amounts along the line between the two points of each tier that has two; as typed first."""
    lists: list[list[Moves]] = []
    for n in plan.tiers:
        keys = [f"product.{n}.{word}" for word in ("price", "market_limit", "second_price", "second_mass")]
        if all(scenario.has(key) for key in keys):
            price, mass, other_price, other_mass = (scenario[key].number for key in keys)
            steps = [at / (PRICES - 1) for at in range(1, PRICES - 1)]
            along = [(price + at * (other_price - price), mass + at * (other_mass - mass)) for at in steps]
            made = [{key: said(scenario, key, at) for key, at in zip(keys, one, strict=False)} for one in along]
            lists.append([{}, *made, dict(zip(keys, (other_price, other_mass), strict=False))])
    return product(*lists)


def own_use(scenario: Scenario, plan: Plan, allowed_kg: float) -> list[Moves]:
    """Char on own ground [kg a year]: as typed, none, and all that soil tests allow unless planting sells less."""
    key = "own_use.mass"
    typed = scenario.number_or(key, 0.0)
    allowed_kg = said(scenario, key, allowed_kg, down=True)
    others = [] if plan.planting.leaves_sales else [at for at in dict.fromkeys((0.0, allowed_kg)) if at != typed]
    return [{}, *({key: at} for at in others)]


def best_by_kind(found: Sequence[Tried]) -> list[Tried]:
    """Of plans that differ in the share processed alone, the one of the highest mean NPV; as typed left out."""
    best: dict[tuple[tuple[str, float], ...], Tried] = {}
    for one in found:
        kind = tuple(item for item in one.moves.items() if item[0] != SHARE)
        best[kind] = max(best.get(kind, one), one, key=lambda plan: plan.mean)
    return [one for kind, one in best.items() if kind]


def grid(scenario: Scenario, plan: Plan) -> list[Moves]:
    """The coarse grid, the typed plan first."""
    first = [{}, *filter(None, shares(scenario, COARSE))]
    return product(first, sizes(scenario, plan), batches(scenario))


def unit_of(scenario: Scenario, key: str) -> Unit | None:
    """The unit that a move of this row is told in."""
    entry = scenario[key]
    return entry.unit or entry.row.start_unit(scenario.system, scenario.currency)


def said(scenario: Scenario, key: str, value: float, down: bool = False) -> float:
    """A canonical number with few figures in the unit of its row; `down` where it is a ceiling."""
    unit = unit_of(scenario, key) or EACH
    few = _few(shown := unit.from_canonical(value))
    if down and few > shown:
        few = _few(few - 10.0 ** (math.floor(math.log10(shown)) + 1 - FIGURES_SAID))
    return unit.to_canonical(few)


def _few(value: float) -> float:
    return float(f"{value:.{FIGURES_SAID}g}")


def as_set(scenario: Scenario, key: str, value: float) -> tuple[str, tuple[float, ...]]:
    """A move as an option of the command, and the canonical numbers that this text means: value, low, high.

    A typed range goes along with its value, by the same ratio; any other is not in the text, and filled again.
    """
    entry, unit = scenario[key], unit_of(scenario, key) or EACH
    row, low, high = entry.row, entry.low, entry.high
    numbers = [shown := float(f"{unit.from_canonical(value):.6g}")]
    is_typed = not (entry.range_by or row.fixed or row.kind == "whole")
    if is_typed and low is not None and high is not None and min(entry.number, value) > 0 <= low:
        ends = [min(max(end * value / entry.number, row.lowest), row.highest) for end in (low, high)]
        below, above = (_few(unit.from_canonical(end)) for end in ends)
        numbers += [min(below, shown), max(above, shown)]
    text, *range_ = (plain_figure(one).replace(",", "") for one in numbers)
    text += f" ({'-'.join(range_)})" if range_ else ""
    text += f" {unit.short}" if unit.short != EACH.short else ""
    return f'--set {key}="{text}"', tuple(map(unit.to_canonical, numbers))


def moved(scenario: Scenario, moves: Moves) -> Scenario:
    """The scenario with values put over it as the printed `--set` does."""
    choices = {key: entry.value for key, entry in scenario.entries.items() if isinstance(entry.value, str)}
    entries = dict(scenario.entries)
    for key, value in moves.items():
        old, ends = entries[key], as_set(scenario, key, value)[1][1:]
        known = f"{old.known}, set on the command line".lstrip(", ")
        low, high = ends or (None, None)
        new = replace(old, value=value, low=low, high=high, range_by="", known=known, is_default=False,
                      where=f"--set {key}")  # fmt: skip
        entries[key] = new if ends else filled(new, choices)
    return replace(scenario, entries=entries)
