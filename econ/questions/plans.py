"""How much to process, with what kiln, and to whom to sell: every plan over the same samples.

A plan is a set of moves: values of inputs by key, in canonical units, put over the typed ones. Plans stand along
the first axis, samples along the second; the first sample is the typed values themselves, so that limits of
hours, capital and stock hold for the run that a person can repeat. Search: a coarse grid of share processed,
kilns and batches, then a fine one about its best with the tiers, own use and the demand line. The best, the
highest mean NPV within the user's limits, was chosen by these samples and is flattered by them, so its own come
from a fresh seed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from econ.fields import field, record, replace
from econ.inputs.ranges import shapes
from econ.inputs.records import Scenario
from econ.measured.readings import read_log
from econ.model.evaluate import ONES, evaluate
from econ.model.ledger import Quantity
from econ.model.plan import GATE_FEE, Plan, Way
from econ.questions import plan_moves
from econ.questions.chances import behind, sampled, spread
from econ.questions.draws import Ties, inputs_drawn, kept_whole, reader
from econ.questions.found import Chances, Spread
from econ.questions.found_deep import FIGURES as OF_BATCHES
from econ.questions.found_deep import fuel_figures, shown_by_trials
from econ.questions.found_rule import LIMITED, Bounds, processed
from econ.questions.latin import Sampling
from econ.questions.plan_moves import SHARE, Beside, Moves, Pace, Plans, Tried, demand, own_use, tiers
from econ.questions.samples import Drawn, drawn, percentiles
from econ.questions.value_of_information import SALES, of_batches, paced

Numbers = NDArray[np.float64]

SAMPLES = 1000
"""Samples of a search, or fewer where the run has fewer."""
CELLS = 32_768
"""Cases put to the model at once."""
FINE = 0.01
"""Steps of the share processed."""
FIGURES = (*sorted(LIMITED), "npv", "project_net_kg_co2e", "char_sold_kg", "firings_per_year")
EQUAL = 1e-9
FLAT = 0.05
"""A plan within this share of the best mean NPV is as good as the best."""


@record
class Search:
    """One set of samples, the typed values first, that every plan is put to; counts the plans."""

    scenario: Scenario
    plan: Plan
    sampling: Sampling
    bounds: Bounds = field(default_factory=Bounds)
    count: int = 0

    def __post_init__(self) -> None:
        self.typed: dict[str, float] = {**ONES, **self.scenario.numbers()}
        inputs: Sequence[Drawn] = inputs_drawn(self.scenario)
        if not self.scenario.has("pilot.cost"):  # a pilot asks of them all
            asked = map(frozenset, (FIGURES, _figures_beside(_priced(self.plan))))
            inputs = behind(self.scenario, self.plan, self.sampling, inputs, *asked)
        samples = min(self.sampling.samples, SAMPLES)
        ties, by_stream = Ties(self.scenario, inputs), reader(self.sampling, inputs, samples)(0, samples)
        self.cases = samples + 1
        self.shares, self.shapes = ties.shares(by_stream), shapes(self.scenario.entries)
        self.values = {
            key: self._first(self.typed[key], one)[None, :] for key, one in ties.values(by_stream).items()
        }
        self.columns: dict[tuple[str, float], Numbers] = {}

    def _first(self, typed: float, column: Numbers | float) -> Numbers:
        """A column of samples with the typed value before it."""
        return np.concatenate(([typed], np.broadcast_to(column, self.cases - 1)))

    def column(self, key: str, value: float) -> Numbers:
        """An input moved to a value, over the samples: as `--set` does, so with the range that it then has."""
        if (key, value) not in self.columns:
            entry, shape = plan_moves.moved(self.scenario, {key: value})[key], None
            if key in self.shares and key in self.shapes:
                shape = drawn(entry, self.shapes[key], key)
            samples = value if shape is None else shape.inverse(self.shares[key])
            self.columns[key, value] = self._first(value, samples)
        return self.columns[key, value]

    def tried(self, moves: Sequence[Moves]) -> list[Tried]:
        """Every plan of the list, in its order."""
        step = max(CELLS // self.cases, 1)
        self.count += len(moves)
        return [one for at in range(0, len(moves), step) for one in self._chunk(moves[at : at + step])]

    def numbers(self, moves: Sequence[Moves]) -> dict[str, Quantity]:
        """Every input of the plans: a float, or an array that broadcasts to (plans, samples)."""
        found: dict[str, Quantity] = {**self.scenario.numbers(), **self.values}
        for key in dict.fromkeys(key for one in moves for key in one):
            old = np.broadcast_to(found.get(key, ONES.get(key, 0.0)), (1, self.cases))[0]
            found[key] = np.array([self.column(key, one[key]) if key in one else old for one in moves])
        return kept_whole(found, self.plan)

    def figures(self, moves: Sequence[Moves], wanted: Sequence[str]) -> dict[str, Numbers]:
        """Figures of shape (plans, samples + 1), the typed values first."""
        lines = evaluate(self.numbers(moves), self.plan, frozenset(wanted)).lines
        return {name: np.broadcast_to(found, (len(moves), self.cases)) for name, found in lines.items()}

    def _chunk(self, moves: Sequence[Moves]) -> list[Tried]:
        found = self.figures(moves, FIGURES)
        npv = found["npv"][:, 1:]
        p10, p90 = percentiles(npv, (10, 90))
        means, losses = np.mean(npv, axis=1), np.mean(npv < 0, axis=1)
        at = {name: figure[:, 0] for name, figure in found.items()}
        hours = at["hours_per_year"] / self.typed["kiln.weeks_per_year"]
        stock = np.maximum(at["char_to_stock_kg"], 0.0)
        kept = self.bounds.kept(at, self.typed["kiln.weeks_per_year"]) & (losses <= self.bounds.loss)
        told = [
            at[name] for name in ("char_sold_kg", "project_net_kg_co2e", "capital_total_today", "bones_fired_kg")
        ]
        columns = (at["npv"], means, p10, p90, losses, hours, stock, *told, processed(at), at["firings_per_year"])
        rows = zip(moves, *(column.tolist() for column in columns), kept.tolist(), strict=True)
        return [Tried(*row) for row in rows]


def best_of(found: Sequence[Tried]) -> Tried | None:
    """The highest mean NPV within the limits, of equals the nearest to the typed; an overridden share is none."""
    kept = [one for one in found if one.is_allowed]
    allowed = [one for one in kept if one.moves.get(SHARE, 1.0) == 1 or one.share > one.moves[SHARE] - FINE / 2]
    allowed = allowed or kept
    top = max((one.mean for one in allowed), default=math.nan)
    equals = [one for one in allowed if one.mean >= top - EQUAL * max(abs(top), 1.0)]
    return min(equals, key=lambda one: len(one.moves), default=None)


def plans(scenario: Scenario, plan: Plan, sampling: Sampling, drawn: Chances) -> Plans:
    """Every plan tried, the best, and the pace; `drawn`: chances of the plan typed. Raises as `chances` does."""
    search = Search(scenario, plan, sampling, Bounds.of(scenario))
    coarse = search.tried(plan_moves.grid(scenario, plan))
    typed, best = _as_drawn(coarse[0], drawn.spreads["npv"], drawn.loss), best_of(coarse)
    around = {} if best is None else dict(best.moves)
    at = around.pop(SHARE, typed.share if best is None else best.share)
    fixed: list[Moves] = [around]
    if best is not None:
        near = np.arange(max(at - 0.1, FINE), min(at + 0.1, 1.0) + FINE / 2, 2 * FINE)
        own = search.figures([{}], ("planting_char_kg", "as_sold_per_kg"))
        planted = math.prod(float(one[0, 0]) for one in own.values()) if "planting_char_kg" in own else 0.0
        ways = tiers(scenario, plan), demand(scenario, plan), own_use(scenario, plan, planted)
        as_best = {key: one for key, one in best.moves.items() if key == SHARE}
        near_by = [as_best, *(one for one in plan_moves.shares(scenario, near.tolist()) if one != as_best)]
        best = best_of([best, *search.tried(plan_moves.product(near_by, fixed, *ways))])
        assert best is not None
        fixed = [{key: value for key, value in best.moves.items() if key != SHARE}]
    across = search.tried(plan_moves.product(plan_moves.shares(scenario, sorted(plan_moves.COARSE)), fixed))
    curve = {round(one.share, 2): one for one in across}
    if best is not None:
        curve[round(best.share, 2)] = best
    line = tuple(curve[at] for at in sorted(curve))
    good = [one.share for one in line if best is not None and one.mean >= best.mean - FLAT * abs(best.mean)]
    flat = min(good, default=math.nan), max(good, default=math.nan)
    found = Plans(
        typed, tuple(coarse), best, line, flat, _beside(search), search.bounds, search.count, _pace(search)
    )
    return found if best is None else _fresh(scenario, found, best, sampling)


def _as_drawn(plan: Tried, npv: Spread, loss: float) -> Tried:
    """The plan with the NPV that the samples of a run found."""
    return replace(plan, mean=npv.mean, p10=npv.percentiles[10], p90=npv.percentiles[90], loss=loss)


def _priced(plan: Plan) -> list[Way]:
    return [way for way in plan.ways if way.priced and way.kind in {GATE_FEE, "compost-char"}]


def _figures_beside(ways: Sequence[Way]) -> list[str]:
    return [f"option_{way.number}_{word}" for way in ways for word in ("npv", "taken_kg")]


def _beside(search: Search) -> tuple[Beside, ...]:
    """Composting first, and bones of others, at the plan typed: they are ways of the sheet Options."""
    ways = _priced(search.plan)
    if not ways:
        return ()
    found = search.figures([{}], _figures_beside(ways))

    def row(number: int, kind: str) -> Beside:
        npv = found[f"option_{number}_npv"][0, 1:]
        taken = float(found[f"option_{number}_taken_kg"][0, 0]) if kind == GATE_FEE else 0.0
        mean, p10, loss = float(np.mean(npv)), float(percentiles(npv, (10,))[0]), float(np.mean(npv < 0))
        return Beside(number, kind, mean, p10, loss, taken)

    return tuple(row(way.number, way.kind) for way in ways)


def _pace(search: Search) -> Pace | None:
    """Buy, pilot or wait, over the samples of the plan typed; None where no pilot is priced."""
    scenario, typed = search.scenario, search.typed
    if not scenario.has("pilot.cost"):
        return None
    load, weekly = typed["kiln.batch_load"], typed.get("pilot.batches_per_week", 1.0)
    small = typed.get("pilot.batch_load", load)
    moves = {"kiln.batches_per_week": weekly, "kiln.batch_load": small, "kiln.number": 1.0}
    moves |= {f"fuel.{n}.per_batch": typed[f"fuel.{n}.per_batch"] * small / load
              for n in search.plan.fuels if f"fuel.{n}.per_batch" in typed}  # fmt: skip
    cash = evaluate(search.numbers([moves]), search.plan, frozenset({"operating_cash"})).years["operating_cash"][1]
    whole = search.figures([{}], ("npv", *OF_BATCHES, *fuel_figures(search.plan.fuels).values()))
    inputs = {key: column[0, 1:] for key, column in search.values.items()}
    shown = shown_by_trials(inputs, {name: one[0, 1:] for name, one in whole.items()}, search.plan.fuels)
    log = read_log(scenario.tables["log"]) if "log" in scenario.tables else None
    resale = typed["pilot.cost"] * typed.get("pilot.resale_share", 0.0)
    money = {"cost": typed["pilot.cost"], "resale": resale, "rate": typed["money.discount_rate"],
             "rise": 0.0 if search.plan.is_real else typed["money.inflation"],
             "batches": max(weekly * typed["kiln.weeks_per_year"], 1.0)}  # fmt: skip
    sold = {key: one for key, one in inputs.items() if re.fullmatch(SALES, key) and float(np.ptp(one)) > 0}
    pilot = np.broadcast_to(cash, (1, search.cases))[0, 1:]
    return paced(
        whole["npv"][0, 1:], pilot, money, (shown, of_batches(scenario, log, shown)[1]), sold, search.sampling.seed
    )


def _fresh(scenario: Scenario, found: Plans, best: Tried, sampling: Sampling) -> Plans:
    """The best plan as a run of its own would give it, and the options of the command that make it."""
    sets = [plan_moves.as_set(scenario, key, value) for key, value in best.moves.items()]
    moves = {key: numbers[0] for key, (_, numbers) in zip(best.moves, sets, strict=True)}
    made = plan_moves.moved(scenario, moves)
    plan = Plan.of(made)
    again = replace(sampling, seed=sampling.seed + 1)
    npv = sampled(made, plan, again, inputs_drawn(made), ["npv"])["npv"]
    at = {name: float(one) for name, one in evaluate(made.numbers(), plan).lines.items()}
    own = replace(
        _as_drawn(best, spread(npv), float(np.mean(npv < 0))), moves=moves, npv=at["npv"],
        unsold_kg=at["char_to_stock_kg"], sold_kg=at["char_sold_kg"], bones_kg=at["bones_fired_kg"],
        batches=at["firings_per_year"],
        hours_per_week=at["hours_per_year"] / made["kiln.weeks_per_year"].number,
    )  # fmt: skip
    return replace(found, best=own, sets=tuple(text for text, _ in sets), seed=again.seed, samples=again.samples)
