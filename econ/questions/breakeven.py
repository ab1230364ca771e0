"""Break-even: the value of one input at which the NPV is zero, all else at its value.

A scan of the range finds where the sign turns; bisection closes in on each turn. Firings are whole and
capacity ends, so that the NPV may jump across zero or turn more than once: every turn is told, and so is
none.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from econ.inputs.records import CONTRACT, Scenario
from econ.model.evaluate import evaluate
from econ.model.ledger import Quantity
from econ.model.plan import Plan
from econ.questions.found import AGAINST_BEST, BreakEven
from econ.units import canonical_measure

POINTS = 161
ROUNDS = 10
STEPS = (np.arange(1, 32) / 32)[:, None]
"""Each round cuts a bracket into 32 parts and keeps the first that turns: 32¹⁰ is fifty halvings."""
MOST = 4.0
"""The scan goes from nothing to this many times the value."""
JUMP_SHARE = 1e-3
"""Of the NPV's span over the scan: a turn whose two sides differ by more is a jump."""
WHERE_NIL = {"$/kg": 10.0, "t/week": 1.0, "$": 100000.0, "hours": 20.0}
"""The top of the scan where the value is nil."""
COVERAGE = 1.25
"""Coverage of the debt that lenders commonly ask for (common practice, no source)."""

DIRECT = frozenset({"current.saving", "kiln.price", "labour.hours_per_batch"})
"""Inputs whose own value a lever reports; others move in proportion to what is reported."""

LEVER_FIGURES = frozenset({
    "char_sold_kg", "sale_income_today", "char_to_stock_kg", "bones_received_kg", "contract_saving_today",
})  # fmt: skip

SALES = "market.sales_share"
"""The row that moves all that is sold."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Lever:
    """One input, or several moved in proportion: the keys, and the figure that is reported for them."""

    name: str
    label: str
    keys: tuple[str, ...]
    value: float
    unit: str
    lowest: float
    highest: float


def breakeven(scenario: Scenario, plan: Plan) -> tuple[BreakEven, ...]:
    """The break-even of every lever for NPV = 0, and of the sales for a coverage of 1.25 if there is a loan."""
    numbers = scenario.numbers()
    found = levers(scenario, plan)
    answers = [(lever, "npv", 0.0) for lever in found]
    if plan.loan_years:
        sales = next((lever for lever in found if lever.name == "tonnes_sold"), None)
        if sales is not None:
            answers.append((sales, "lowest_coverage", COVERAGE))
    turns = _turns(numbers, plan, answers)
    return tuple(
        _told(lever, measure, values, jumps)
        for (lever, measure, _), (values, jumps) in zip(answers, turns, strict=True)
    )


def better_than_best(scenario: Scenario, plan: Plan) -> tuple[BreakEven, ...]:
    """Bones a week and char sold at which the kiln becomes better than the best other option; none unpriced."""
    if not any(way.is_rival for way in plan.ways):
        return ()
    found = [lever for lever in levers(scenario, plan) if lever.name in {"bones_per_week", "tonnes_sold"}]
    turns = _turns(scenario.numbers(), plan, [(lever, AGAINST_BEST, 0.0) for lever in found])
    return tuple(
        _told(lever, AGAINST_BEST, values, jumps) for lever, (values, jumps) in zip(found, turns, strict=True)
    )


def levers(scenario: Scenario, plan: Plan) -> tuple[Lever, ...]:
    """What may be moved, with its range: nothing to four times the value, or a range of its own."""
    base = evaluate(scenario.numbers(), plan, LEVER_FIGURES)
    sold, income, stock = (
        float(base.lines[name]) for name in ("char_sold_kg", "sale_income_today", "char_to_stock_kg")
    )
    prices = tuple(f"product.{n}.price" for n in plan.tiers)
    masses = tuple(f"bones.{n}.{'heads' if n in plan.matter.by_head else 'mass'}" for n in plan.streams)
    fuels = tuple(f"fuel.{n}.price" for n in plan.fuels)
    bones = float(base.lines["bones_received_kg"])
    bones_label = "Bones per week" if plan.by_contract else "Bones per week, current bill unchanged"
    found = [
        _lever("char_price", "Char price, average of what is sold", prices, income / max(sold, 1e-9), "$/kg"),
        Lever("tonnes_sold", "Char sold", (SALES,), sold / 1000, "t/year", 0.0, (sold + stock) / 1000),
        _lever("bones_per_week", bones_label, masses, bones / 52000, "t/week", 0.01),
        _bill(scenario, plan, base.lines),
        _lever("kiln_price", "Price of the kiln", ("kiln.price",), scenario["kiln.price"].number, "$"),
        _fuel(scenario, fuels),
    ]
    if not plan.hours_by_task:
        hours = "labour.hours_per_batch"
        label = "Labour hours for one batch"
        found.append(_lever("hours_per_firing", label, (hours,), scenario[hours].number, "hours"))
    return tuple(found)


def _lever(
    name: str, label: str, keys: tuple[str, ...], value: float, unit: str, least_share: float = 0.0
) -> Lever:
    highest = MOST * value if value else WHERE_NIL[unit]
    return Lever(name, label, keys, value, unit, least_share * value, highest)


def _fuel(scenario: Scenario, keys: tuple[str, ...]) -> Lever:
    """The price of the only fuel in its canonical measure, or all fuel prices as a share of today's."""
    entry = scenario[keys[0]]
    if len(keys) > 1 or not entry.number or entry.unit is None:
        return _lever("fuel_price", "Fuel prices, as a share of today's", keys, 1.0, "share")
    measure = canonical_measure(entry.unit.dimension.split("/")[1])
    return _lever("fuel_price", "Price of the fuel", keys, entry.number, f"$/{measure}")


def _bill(scenario: Scenario, plan: Plan, base: Mapping[str, Quantity]) -> Lever:
    """The saving on the hauler's bill, which may be negative; by contract all its amounts move in proportion."""
    name, label, unit = "hauler_bill", "Avoided disposal cost", "$/year"
    if plan.by_contract:
        keys = tuple(key for key in CONTRACT if scenario.has(key))
        value = float(base["contract_saving_today"])
        return Lever(name, label, keys, value, unit, min(0.0, MOST * value), max(0.0, MOST * value))
    saving = scenario["current.saving"]
    span = MOST * max(abs(saving.number), 1000.0)
    return Lever(name, label, (saving.row.key,), saving.number, unit, -span, span)


Answer = tuple[Lever, str, float]


def _moved(numbers: Mapping[str, float], answers: Sequence[tuple[Lever, Floats]]) -> dict[str, Quantity]:
    """The numbers with each lever's own cases moved: case by case one lever stands off its value."""
    cases = sum(len(values) for _, values in answers)
    moved: dict[str, Quantity] = dict(numbers)
    at = 0
    for lever, values in answers:
        for key in lever.keys:
            base = numbers.get(key, 1.0)
            column = np.array(np.broadcast_to(moved.get(key, base), (cases,)), dtype=float)
            column[at : at + len(values)] = _number(lever, base, values)
            moved[key] = column
        at += len(values)
    return moved


def _number(lever: Lever, base: float, values: Floats) -> Floats:
    """The input that stands for the reported values of a lever: in proportion, or the values themselves."""
    if lever.keys[0] in DIRECT:
        return values
    if lever.value:
        return base * values / lever.value
    return values if lever.name == "char_price" else np.full_like(values, base)


def _evaluate(
    numbers: Mapping[str, float], plan: Plan, answers: Sequence[Answer], at: list[Floats]
) -> list[Floats]:
    """Each answer less its target, at the given values of its lever; one call of the model."""
    wanted = frozenset(measure for _, measure, _ in answers)
    moved = _moved(numbers, [(lever, values) for (lever, _, _), values in zip(answers, at, strict=True)])
    cases = sum(len(values) for values in at)
    found = evaluate(moved, plan, wanted)
    parts, start = [], 0
    for (_, measure, target), values in zip(answers, at, strict=True):
        answer = np.broadcast_to(found.lines[measure], (cases,))
        parts.append(answer[start : start + len(values)] - target)
        start += len(values)
    return parts


def _turns(
    numbers: Mapping[str, float], plan: Plan, answers: Sequence[Answer]
) -> list[tuple[tuple[float, ...], tuple[bool, ...]]]:
    """Every turn of every answer: scan once, then halve all brackets together."""
    grids = [np.linspace(lever.lowest, lever.highest, POINTS) for lever, _, _ in answers]
    scanned = _evaluate(numbers, plan, answers, grids)
    spans = [max(float(np.ptp(values)), 1e-12) for values in scanned]
    edges = [np.flatnonzero((row[:-1] >= 0) != (row[1:] >= 0)) for row in scanned]
    low = [grid[edge] for grid, edge in zip(grids, edges, strict=True)]
    high = [grid[edge + 1] for grid, edge in zip(grids, edges, strict=True)]
    starts_up = [row[edge] >= 0 for row, edge in zip(scanned, edges, strict=True)]
    for _ in range(ROUNDS):
        inner = [a + (z - a) * STEPS for a, z in zip(low, high, strict=True)]
        value = _evaluate(numbers, plan, answers, [points.ravel() for points in inner])
        for i, (points, row) in enumerate(zip(inner, value, strict=True)):
            low[i], high[i] = _narrowed(low[i], high[i], points, row.reshape(points.shape), starts_up[i])
    at_low, at_high = (_evaluate(numbers, plan, answers, ends) for ends in (low, high))
    return [
        (
            tuple(float(x) for x in (a + z) / 2),
            tuple(bool(x) for x in np.abs(up - down) > JUMP_SHARE * span),
        )
        for a, z, down, up, span in zip(low, high, at_low, at_high, spans, strict=True)
    ]


def _narrowed(
    low: Floats, high: Floats, points: Floats, row: Floats, up: NDArray[np.bool_]
) -> tuple[Floats, Floats]:
    """Each bracket cut down to the first of its parts in which the answer turns; points on axis 0."""
    turned = np.vstack([(row >= 0) != up, np.ones((1, len(low)), dtype=bool)])
    first = np.argmax(turned, axis=0)
    ends = np.vstack([low, points, high])
    case = np.arange(len(low))
    return ends[first, case], ends[first + 1, case]


def _told(lever: Lever, measure: str, values: tuple[float, ...], jumps: tuple[bool, ...]) -> BreakEven:
    name, label = lever.name, lever.label
    if measure == "lowest_coverage":
        name, label = "tonnes_sold_for_coverage", f"Char sold at a DSCR of {COVERAGE}"
    if not values:
        words = "none in range"
    elif len(values) > 1:
        words = f"{len(values)} break-even values: the sign changes more than once"
    else:
        words = "the answer jumps across here" if jumps[0] else "1 break-even value"
    return BreakEven(name, label, lever.unit, lever.value, lever.lowest, lever.highest, values, jumps, words)
