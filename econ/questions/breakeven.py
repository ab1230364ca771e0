"""Break-even: the value of one input at which the NPV is zero, all else at its value.

A scan of the range finds where the sign turns; bisection closes in on each turn. Firings are whole and
capacity ends, so that the NPV may jump across zero or turn more than once: every turn is told, and so is
none.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from econ.inputs.records import Scenario
from econ.model.evaluate import evaluate
from econ.model.ledger import Quantity
from econ.model.plan import Plan
from econ.questions.found import AGAINST_BEST, COVERAGE_ASKED, BreakEven
from econ.questions.latin import Numbers
from econ.units import canonical_measure

POINTS = 161
ROUNDS = 10
STEPS = (np.arange(1, 32) / 32)[:, None]
"""Each round cuts a bracket into 32 parts and keeps the first that turns: 32¹⁰ is fifty halvings."""
MOST = 4.0
"""The scan goes from nothing to this many times the value; of money also as far as so many times what is short."""
JUMP_SHARE = 1e-3
"""Of the NPV's span over the scan: a turn whose two sides differ by more is a jump."""
WHERE_NIL = {"$/kg": 10.0, "t/week": 1.0, "$": 100000.0, "hours": 20.0}
"""The top of the scan where the value is nil."""
LEVER_FIGURES = frozenset({
    "char_sold_kg", "sale_income_today", "char_to_stock_kg", "bones_received_kg", "contract_saving_today",
    "bones_fired_share", "npv_per_year",
})  # fmt: skip

SALES = "market.sales_share"
"""The row that moves all that is sold."""


class Lever(NamedTuple):
    """One input, or several: the keys, and the figure that is reported for them.

    They move in proportion to it, or with a slope by so much for each unit that it is off its value.
    """

    name: str
    label: str
    keys: tuple[str, ...]
    value: float
    unit: str
    lowest: float
    highest: float
    slope: float = 0.0


Answer = tuple[Lever, str, float]
"""What is moved, the figure that is looked at, and the value at which it turns."""


def breakeven(scenario: Scenario, plan: Plan) -> tuple[BreakEven, ...]:
    """The break-even of every lever for NPV = 0, and of the sales for a coverage of 1.25 if there is a loan."""
    found = levers(scenario, plan)
    answers = [(lever, "npv", 0.0) for lever in found]
    if plan.loan_years:
        answers += [(lever, "lowest_coverage", COVERAGE_ASKED) for lever in found if lever.name == "tonnes_sold"]
    return _told(scenario, plan, answers)


def better_than_best(scenario: Scenario, plan: Plan) -> tuple[BreakEven, ...]:
    """Bones a week and char sold at which the kiln becomes better than the best other option; none unpriced."""
    if not any(way.is_rival for way in plan.ways):
        return ()
    names = {"bones_per_week", "tonnes_sold"}
    return _told(scenario, plan, [(one, AGAINST_BEST, 0.0) for one in levers(scenario, plan) if one.name in names])


def _told(scenario: Scenario, plan: Plan, answers: Sequence[Answer]) -> tuple[BreakEven, ...]:
    found = []
    turns = _turns(scenario.numbers(), plan, answers)
    for (lever, measure, target), (values, jumps) in zip(answers, turns, strict=True):
        name, label = lever.name, lever.label
        if measure == "lowest_coverage":
            name, label = "tonnes_sold_for_coverage", f"Char sold at a DSCR of {target}"
        several = f"{len(values)} break-even values: the sign changes more than once"
        one = "the answer jumps across here" if any(jumps) else "1 break-even value"
        words = several if len(values) > 1 else one if values else "none in range"
        range_ = lever.value, lever.lowest, lever.highest
        found.append(BreakEven(name, label, lever.unit, *range_, values, jumps, words))
    return tuple(found)


def levers(scenario: Scenario, plan: Plan) -> tuple[Lever, ...]:
    """What may be moved, its range; prices of several fuels as a share of today's. Money reaches what is short."""
    base = {name: float(one) for name, one in evaluate(scenario.numbers(), plan, LEVER_FIGURES).lines.items()}
    sold, bones = base["char_sold_kg"], base["bones_received_kg"]
    short = MOST * max(-base["npv_per_year"], 0.0)

    def lever(name: str, label: str, keys: Sequence[str], value: float, unit: str, **more: float) -> Lever:
        most = max(MOST * value if value else WHERE_NIL[unit], more.get("most", 0.0))
        slope = more.get("slope", 0.0 if value else 1.0)
        return Lever(name, label, tuple(keys), value, unit, more.get("least", 0.0) * value, most, slope)

    prices = [f"product.{n}.price" for n in plan.tiers]
    masses = [f"bones.{n}.{'heads' if n in plan.matter.by_head else 'mass'}" for n in plan.streams]
    bones_label = "Bones per week" if plan.by_contract else "Bones per week, current bill unchanged"
    fuels = [f"fuel.{n}.price" for n in plan.fuels]
    fuel = lever("fuel_price", "Fuel prices, as a share of today's", fuels, 1.0, "share")
    only = scenario[fuels[0]]
    if len(fuels) == 1 and only.number and only.unit is not None:
        measure = canonical_measure(only.unit.dimension.split("/")[1])
        fuel = lever("fuel_price", "Price of the fuel", fuels, only.number, f"$/{measure}")
    found = [
        lever("char_price", "Char price, average of what is sold", prices,
              base["sale_income_today"] / max(sold, 1e-9), "$/kg", most=short / sold if sold else 0.0),
        Lever("tonnes_sold", "Char sold", (SALES,), sold / 1000, "t/year", 0.0,
              (sold + base["char_to_stock_kg"]) / 1000),
        lever("bones_per_week", bones_label, masses, bones / 52000, "t/week", least=0.01),
        _bill(scenario, plan, base, short),
        lever("kiln_price", "Price of the kiln", ["kiln.price"], scenario["kiln.price"].number, "$", slope=1),
        fuel,
    ]  # fmt: skip
    if not plan.hours_by_task:
        keys = ["labour.hours_per_batch"]
        hours = scenario[keys[0]].number
        found.append(lever("hours_per_firing", "Labour hours for one batch", keys, hours, "hours", slope=1))
    return tuple(found)


def _bill(scenario: Scenario, plan: Plan, base: Mapping[str, float], short: float) -> Lever:
    """The avoided disposal cost: as typed, or as the contract makes it, less what the rest of the bill rises."""
    key, saving, slope = "current.saving", base.get("contract_saving_today"), 1.0
    if saving is None:
        saving = scenario[key].number
    else:
        key, kept = "current.price_rise", 1 - scenario.numbers().get("costs.downtime_share", 0.0)
        slope = -base["bones_fired_share"] * kept
    span = MOST * max(abs(saving), 1000.0)
    most = max(span, saving + short / abs(slope) if slope else 0.0)
    return Lever("hauler_bill", "Avoided disposal cost", (key,), saving, "$/year", -span, most, slope)


def _evaluate(
    numbers: Mapping[str, float], plan: Plan, answers: Sequence[Answer], at: list[Numbers]
) -> list[Numbers]:
    """Each answer less its target, one lever off its value in each case; one call of the model."""
    moved: dict[str, Quantity] = dict(numbers)
    ends = np.cumsum([len(values) for values in at])
    parts = [slice(end - len(values), end) for end, values in zip(ends.tolist(), at, strict=True)]
    for (lever, _, _), values, part in zip(answers, at, parts, strict=True):
        for key in lever.keys:
            base = numbers.get(key, 1.0 if key == SALES else 0.0)
            moved[key] = np.array(np.broadcast_to(moved.get(key, base), (ends[-1],)), dtype=float)
            if lever.slope:
                moved[key][part] = base + (values - lever.value) * lever.slope
            elif lever.value:
                moved[key][part] = base * values / lever.value
    found = evaluate(moved, plan, frozenset(measure for _, measure, _ in answers)).lines
    return [np.broadcast_to(found[measure], (ends[-1],))[part] - target
            for (_, measure, target), part in zip(answers, parts, strict=True)]  # fmt: skip


def _turns(
    numbers: Mapping[str, float], plan: Plan, answers: Sequence[Answer]
) -> list[tuple[tuple[float, ...], tuple[bool, ...]]]:
    """Every turn of every answer: scan once, then halve all brackets together."""
    grids = [np.linspace(lever.lowest, lever.highest, POINTS) for lever, _, _ in answers]
    scanned = _evaluate(numbers, plan, answers, grids)
    edges = [np.flatnonzero((row[:-1] >= 0) != (row[1:] >= 0)) for row in scanned]
    low, high = ([grid[edge + on] for grid, edge in zip(grids, edges, strict=True)] for on in (0, 1))
    starts_up = [row[edge] >= 0 for row, edge in zip(scanned, edges, strict=True)]
    for _ in range(ROUNDS):
        inner = [a + (z - a) * STEPS for a, z in zip(low, high, strict=True)]
        value = _evaluate(numbers, plan, answers, [points.ravel() for points in inner])
        for i, (points, row) in enumerate(zip(inner, value, strict=True)):
            low[i], high[i] = _narrowed(low[i], high[i], points, row.reshape(points.shape), starts_up[i])
    at_low, at_high = (_evaluate(numbers, plan, answers, ends) for ends in (low, high))
    return [
        (tuple(((a + z) / 2).tolist()),
         tuple((np.abs(up - down) > JUMP_SHARE * max(float(np.ptp(row)), 1e-12)).tolist()))
        for a, z, down, up, row in zip(low, high, at_low, at_high, scanned, strict=True)
    ]  # fmt: skip


def _narrowed(
    low: Numbers, high: Numbers, points: Numbers, row: Numbers, up: NDArray[np.bool_]
) -> tuple[Numbers, Numbers]:
    """Each bracket cut down to the first of its parts in which the answer turns; points on axis 0."""
    turned = np.vstack([(row >= 0) != up, np.ones((1, len(low)), dtype=bool)])
    first = np.argmax(turned, axis=0)
    ends = np.vstack([low, points, high])
    case = np.arange(len(low))
    return ends[first, case], ends[first + 1, case]
