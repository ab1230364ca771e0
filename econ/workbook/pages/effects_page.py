"""The page of effects: the chart, the two-way table, then every input with a range, moved alone."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from econ.answer.finding import short_name
from econ.inputs.records import Entry
from econ.questions.found import AGAINST_BEST, WHERE_MODELLED, Effect, TwoWay
from econ.workbook.desk import EFFECTS, Desk
from econ.workbook.page_plan import Found, Row, Slot, plans
from econ.workbook.style import FACE, number_format

CHARTED = 12
NUMBER_WIDTH = 13
Measure = tuple[str, str, str, float]
MEASURES: tuple[Measure, ...] = (
    ("npv", "NPV", "$", 1.0),
    ("payback_years", "Payback", "years", 1.0),
    ("net_cost_per_kg_bones", "Net cost of bones", "$/t", 1000.0),
    ("durable_c_kg", "Durable carbon", "t C/year", 0.001),
    ("project_net_kg_co2e", "CO2 removal less process emissions", "t CO2e/year", 0.001),
    (WHERE_MODELLED[0], "Difference to current practice", "t CO2e/year", 0.001),
    (AGAINST_BEST, "NPV against the best alternative", "$", 1.0),
)
ALL_TYPED = "All inputs at their value"
SIDES = ("at low", "at high")


def measures(desk: Desk) -> list[Measure]:
    """The measures that the model writes."""
    found = []
    for name, label, metric, scale in MEASURES:
        if name in desk.results.figures:
            unit, factor = ("$", 1.0) if metric == "$" else desk.shown_unit(metric)
            found.append((name, label, unit, scale * factor))
    return found


def answer(value: float, unit: str, look: str = "") -> Slot:
    """A figure in the form of its unit; a payback that does not come is never."""
    number = "money0" if unit == "$" else "n1" if unit == "years" else number_format(value, unit)
    return Slot(value, f"{look} {number}", word="never" if unit == "years" else "")


def effects(desk: Desk) -> Found:
    """One row an input, the largest effect on NPV on top, below the row of all inputs at their value.

    NPV, its change and the payback stand first, then the remark, and the other measures right of it.
    """
    results, shown = desk.results, measures(desk)
    more, base = 2 * (len(shown) - 2), results.figures["npv"]
    titles = [f"{label} [{unit}]".replace("$", desk.currency) for _, label, unit, _ in shown]
    npv, change, payback, *others = (
        Slot(text, "column", 2) for text in (titles[0], f"Change of NPV [{desk.currency}]", *titles[1:])
    )
    blank = Slot(None, "column")
    typed, *rest = _sides(shown, results.figures, results.figures, base)
    return {
        "widths": (*plans()[EFFECTS].widths, *[NUMBER_WIDTH] * more, 30.0, 30.0),
        "over": [(*[blank] * 5, npv, change, payback, blank, *others, blank)],
        "base": [Row((ALL_TYPED, *[None] * 4, *typed, None, None, *rest[1], None, *rest[2]), "bold")],
        "base_heads": ("Input", "Value", "Low", "High", "Unit", *SIDES * 3, "Remark", *SIDES * (more // 2),
                       "Key", "In short"),
        "base_looks": (looks := ["label", *["plain"] * 3, "faint_wrap", *["plain"] * 6, "faint_wrap",
                                 *["plain"] * more, "beside", "beside"]),
        "effects": [_row(desk, effect, shown, base) for effect in results.effects],
        "effects_looks": looks,
        "effects_draw": bars(desk, CHARTED, 1.3) if results.effects else {},
        "two_way": list(two_way(results.two_way)) if results.two_way else (),
    }  # fmt: skip


def _sides(
    shown: Sequence[Measure], low: Mapping[str, float], high: Mapping[str, float], base: float
) -> tuple[list[Slot], ...]:
    """NPV, its change, the payback, and all other measures, each at low and at high."""
    npv, payback, *others = (
        [answer(side[name] * scale, unit) for side in (low, high)] for name, _, unit, scale in shown
    )
    change = [answer(side["npv"] - base, "$") for side in (low, high)]
    return npv, change, payback, [slot for pair in others for slot in pair]


def _row(desk: Desk, effect: Effect, shown: Sequence[Measure], base: float) -> tuple[Any, ...]:
    entry = effect.entry
    npv, change, payback, others = _sides(shown, effect.at_low, effect.at_high, base)
    ends = (entry.shown(number) for number in (entry.number, entry.low, entry.high))
    unit = entry.unit.symbol if entry.unit else ""
    return (
        effect.label,
        *ends,
        unit,
        *npv,
        *change,
        *payback,
        edge_words(effect),
        *others,
        entry.row.key,
        _short(desk, effect),
    )


def _short(desk: Desk, effect: Effect) -> str:
    name = short_name(desk.results, effect.entry.row.key)
    return name[0].upper() + name[1:]


def edge_words(effect: Effect) -> str:
    """Says that a class edge lies inside the range, and where, in the unit typed."""
    if not effect.edges:
        return ""
    unit = effect.entry.unit.symbol if effect.entry.unit else ""
    shown = ", ".join(f"{effect.entry.shown(edge):,.4g}" for edge in effect.edges)
    return f"jumps at a class edge: {shown} {unit}"


def bars(desk: Desk, most: int, margin: float) -> dict[str, Any]:
    """What the chart of effects takes from the run: NPV itself at the bar ends, and how far the axis goes.

    `margin` is the room for those labels: the axis over the longest bar. A small chart takes more.
    """
    effects, base = desk.results.effects[:most], desk.results.figures["npv"]
    sides = ([effect.at_low["npv"] for effect in effects], [effect.at_high["npv"] for effect in effects])
    short, series = 13 + 2 * (len(measures(desk)) - 2), []
    for ends in sides:
        labels = [{"value": f"{end:,.0f}"} if end != base else {"delete": True} for end in ends]
        font = {"font": {**FACE, "size": 10}}
        series.append(
            {
                "most": most,
                "category": short,
                "data_labels": {"value": True, "custom": labels, "position": "outside_end"} | font,
            }
        )
    reach = _reach(margin * max(abs(end - base) for ends in sides for end in ends))
    first, *more = dict.fromkeys(_short(desk, effect) for effect in effects[:2])
    says = " and ".join((first, *(name.lower() for name in more)))
    return {
        "title": f"{says} move NPV most [{desk.currency}]: light at low, dark at high",
        "series": series,
        "x": {"min": -reach, "max": reach, "major_unit": reach / 2},
    }


def _reach(least: float) -> float:
    """A round figure of at least so much."""
    if not least > 0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(least))
    return next(step * power for step in (1, 1.2, 1.6, 2, 2.4, 3, 4, 5, 6, 8, 10, 20) if step * power >= least)


def two_way(table: TwoWay) -> Iterator[Any]:
    """The two-way table: losses tinted, a thick edge where NPV changes sign, zeros between rows below."""
    yield Slot(None, "column"), Slot(f"across: {_name(table.across)}", "column", len(table.across_steps))
    yield Slot(f"down: {_name(table.down)}"), *(_step(table.across, float(step)) for step in table.across_steps)
    for i, step in enumerate(table.down_steps):
        values = [float(value) for value in table.npv[i]]
        looks = ["loss money0" if value < 0 else "gain money0" for value in values]
        cells = zip(values, looks, (_edges(table, i, j) for j in range(len(values))), strict=True)
        yield _step(table.down, float(step)), *(Slot(value, look, edges=sides) for value, look, sides in cells)
    zeros = [math.nan if math.isnan(zero) else table.down.shown(zero) for zero in table.zeros()]
    yield Slot("NPV is zero at", "total"), *(Slot(zero, "total_right", word="not in range") for zero in zeros)


def _name(entry: Entry) -> str:
    return f"{entry.row.label} [{entry.unit.symbol}]" if entry.unit else entry.row.label


def _step(entry: Entry, step: float) -> Slot:
    shown = entry.shown(step)
    assert shown is not None
    return Slot(shown, f"column_right {number_format(shown, '')}")


def _edges(table: TwoWay, i: int, j: int) -> tuple[str, ...]:
    """The sides of cell (i, j) on which the zero line runs."""
    is_loss = table.npv < 0
    rows, columns = is_loss.shape
    beside = {"top": (i - 1, j), "bottom": (i + 1, j), "left": (i, j - 1), "right": (i, j + 1)}
    return tuple(
        side for side, (k, m) in beside.items()
        if 0 <= k < rows and 0 <= m < columns and is_loss[i, j] != is_loss[k, m]
    )  # fmt: skip
