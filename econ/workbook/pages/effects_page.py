"""The page of effects: the chart, the two-way table, then every input with a range, moved alone."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from econ.questions.found import AGAINST_BEST, WHERE_MODELLED, Effect
from econ.workbook.desk import EFFECTS, Desk
from econ.workbook.pages.two_way_page import LINES as TWO_WAY_LINES
from econ.workbook.pages.two_way_page import write_two_way
from econ.workbook.style import FACE, INK, LEGEND, OCHRE, SLATE, axis, number_format, row_height, title

CHART_TOP = 5
CHART_LINES = 24
TWO_WAY_TOP = CHART_TOP + CHART_LINES
TOP = TWO_WAY_TOP + TWO_WAY_LINES + 3
"""The row of the base case; the inputs follow, headings stand in the two rows above."""
CHARTED = 12
CHART_WORDS = "Bars: change of the NPV when one input moves to its low or its high, the largest effect on top."
LABEL_WIDTH, NUMBER_WIDTH, REMARK_WIDTH = 50, 13, 34
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
FIRST = 5
CHANGE = FIRST + 2
"""Columns of the change of NPV, which the chart shows; the payback follows."""
REMARK = FIRST + 6
"""The last printed column; the other measures stand to the right of it."""


def write_effects(desk: Desk) -> None:
    """The chart first, the two-way table, then one row an input, the largest effect on NPV on top."""
    shown = measures(desk)
    numbers = [NUMBER_WIDTH] * (2 * len(shown) + 6)
    widths = (LABEL_WIDTH, *numbers[: REMARK - 1], REMARK_WIDTH, *numbers[REMARK - 1 :], 30)
    sheet = desk.sheet(EFFECTS, "What would change the answer?", widths)
    sheet.repeat_rows(TOP - 2, TOP - 1)
    text = "One input at a time is moved to its own low and high, all others stay at their value. "
    text += (
        "This page holds values: change the scenario and run again. Cost and carbon stand right of the remarks."
    )
    sheet.write_string(3, 0, text, desk.styles("plain"))
    if not desk.results.effects:
        sheet.write_string(CHART_TOP, 0, "No input has a low and a high yet.", desk.styles("plain"))
        return
    chart = effect_chart(desk)
    chart.set_size({"width": 900, "height": 460})
    sheet.insert_chart(CHART_TOP, 0, chart, {"x_offset": 4, "description": CHART_WORDS})
    write_two_way(desk, sheet, TWO_WAY_TOP)
    _headings(desk, sheet, shown)
    _base_row(desk, sheet, shown)
    for at, effect in enumerate(desk.results.effects, start=TOP + 1):
        _row(desk, sheet, at, effect, shown)
    sheet.print_area(0, 0, TOP + len(desk.results.effects), REMARK)


def measures(desk: Desk) -> list[Measure]:
    """The measures that the model writes."""
    found = []
    for name, label, metric, scale in MEASURES:
        if name in desk.results.figures:
            unit, factor = ("$", 1.0) if metric == "$" else desk.shown_unit(metric)
            found.append((name, label, unit, scale * factor))
    return found


def _columns(shown: list[Measure]) -> list[int]:
    """The first column of each measure: NPV, its change, then the others."""
    return [FIRST, FIRST + 4, *(REMARK + 1 + 2 * i for i in range(len(shown) - 2))]


def _headings(desk: Desk, sheet: Any, shown: list[Measure]) -> None:
    sides = ["at low", "at high"]
    names = ["Input", "Value", "Low", "High", "Unit", *(sides * 3), "Remark", *(sides * (len(shown) - 2)), "Key"]
    for column, name in enumerate(names):
        look = (
            "column_right" if name in {"Value", "Low", "High", *sides} else "column_beside" if column else "column"
        )
        if column < FIRST or name in {"Remark", "Key"}:
            sheet.write_blank(TOP - 2, column, None, desk.styles("column"))
        sheet.write_string(TOP - 1, column, name, desk.styles(look))
    titles = [(column, label, unit) for column, (_, label, unit, _) in zip(_columns(shown), shown, strict=True)]
    for column, label, unit in [*titles, (CHANGE, "Change of NPV", "$")]:
        words = f"{label} [{unit.replace('$', desk.currency)}]"
        sheet.merge_range(TOP - 2, column, TOP - 2, column + 1, words, desk.styles("column"))
    sheet.set_row(TOP - 2, 30)


def _base_row(desk: Desk, sheet: Any, shown: list[Measure]) -> None:
    sheet.write_string(TOP, 0, "All inputs at their value", desk.styles("bold"))
    for column, (name, _, unit, scale) in zip(_columns(shown), shown, strict=True):
        for side in (0, 1):
            _answer(desk, sheet, TOP, column + side, desk.results.figures[name] * scale, unit, "bold")


def _row(desk: Desk, sheet: Any, at: int, effect: Effect, shown: list[Measure]) -> None:
    entry = effect.entry
    sheet.write_string(at, 0, effect.label, desk.styles("label"))
    for column, number in ((1, entry.number), (2, entry.low), (3, entry.high)):
        typed = entry.shown(number)
        assert typed is not None
        sheet.write_number(at, column, typed, desk.styles("plain", number_format(typed, "")))
    unit_name = entry.unit.short if entry.unit else ""
    sheet.write_string(at, 4, unit_name, desk.styles("faint_wrap"))
    words = edge_words(effect)
    small = row_height((unit_name, NUMBER_WIDTH), (words, REMARK_WIDTH), size=9)
    sheet.set_row(at, max(row_height((effect.label, LABEL_WIDTH)), small))
    for column, (name, _, unit, scale) in zip(_columns(shown), shown, strict=True):
        for side, answers in ((0, effect.at_low), (1, effect.at_high)):
            _answer(desk, sheet, at, column + side, answers[name] * scale, unit, "plain")
    base = desk.results.figures["npv"]
    for side, answers in ((0, effect.at_low), (1, effect.at_high)):
        _answer(desk, sheet, at, CHANGE + side, answers["npv"] - base, "$", "plain")
    sheet.write_string(at, REMARK, words, desk.styles("faint_wrap"))
    sheet.write_string(at, FIRST + 2 * len(shown) + 3, entry.row.key, desk.styles("beside"))


def edge_words(effect: Effect) -> str:
    """Says that a class edge lies inside the range, and where, in the unit typed."""
    if not effect.edges:
        return ""
    unit = effect.entry.unit.short if effect.entry.unit else ""
    shown = ", ".join(f"{effect.entry.shown(edge):,.4g}" for edge in effect.edges)
    return f"jumps at a class edge: {shown} {unit}"


def _answer(desk: Desk, sheet: Any, at: int, column: int, value: float, unit: str, look: str) -> None:
    if value != value:
        word = "never" if unit == "years" else "not reported"
        sheet.write_string(at, column, word, desk.styles("right"))
        return
    number = "money0" if unit == "$" else "n1" if unit == "years" else number_format(value, unit)
    sheet.write_number(at, column, value, desk.styles(look, number))


def effect_chart(desk: Desk, bars: int = CHARTED, margin: float = 1.3) -> Any:
    """Bars of the change of NPV at low and at high, the largest on top; NPV itself at the bar ends.

    `margin` is the room for those labels: the axis over the longest bar. A small chart takes more.

    In an XlsxWriter bar chart the category axis is the y axis.
    """
    effects = desk.results.effects[:bars]
    last = TOP + len(effects)
    base = desk.results.figures["npv"]
    chart = desk.book.add_chart({"type": "bar"})
    for column, name, colour in ((CHANGE, "at its low", OCHRE), (CHANGE + 1, "at its high", SLATE)):
        ends = [effect.at_low if column == CHANGE else effect.at_high for effect in effects]
        labels = [{"value": f"{end['npv']:,.0f}"} if end["npv"] != base else {"delete": True} for end in ends]
        chart.add_series(
            {
                "name": name,
                "categories": [EFFECTS, TOP + 1, 0, last, 0],
                "values": [EFFECTS, TOP + 1, column, last, column],
                "fill": {"color": colour},
                "gap": 45,
                "overlap": 100,
                "data_labels": {
                    "value": True, "custom": labels, "position": "outside_end", "font": {**FACE, "size": 8},
                },
            }
        )  # fmt: skip
    chart.set_title(title(f"NPV when one input moves over its range [{desk.currency}]"))
    reach = _reach(effects, base, margin)
    chart.set_y_axis({"reverse": True, "label_position": "low", "num_font": {**FACE, "size": 8},
                      "line": {"color": INK, "width": 1.5}, "major_tick_mark": "none"})  # fmt: skip
    chart.set_x_axis(
        {
            **axis(f"change from the NPV of {base:,.0f} {desk.currency}", "+#,##0;-#,##0;0", has_grid=True),
            "label_position": "high",
            "min": -reach,
            "max": reach,
            "major_unit": reach / 2,
            "major_tick_mark": "none",
            "line": {"none": True},
        }
    )
    chart.set_legend(LEGEND)
    return chart


def _reach(effects: Sequence[Effect], base: float, margin: float) -> float:
    """How far the value axis goes to either side: a round figure that leaves room for the labels."""
    ends = [abs(ends["npv"] - base) for effect in effects for ends in (effect.at_low, effect.at_high)]
    least = margin * max(ends)
    if not least > 0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(least))
    return next(step * power for step in (1, 1.2, 1.6, 2, 2.4, 3, 4, 5, 6, 8, 10, 20) if step * power >= least)
