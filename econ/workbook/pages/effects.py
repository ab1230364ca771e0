"""The page of effects: every input with a range, moved alone, and the chart of the largest."""

from __future__ import annotations

from typing import Any

from econ.questions.effects import Effect
from econ.workbook.desk import EFFECTS, Desk
from econ.workbook.style import CLAY, INK, SLATE, number_format

TOP = 6
CHARTED = 12
MEASURES = (
    ("npv", "NPV", "$", 1.0),
    ("payback_years", "Payback", "years", 1.0),
    ("net_cost_per_kg_bones", "Net cost of bones", "$/t", 1000.0),
    ("durable_c_kg", "Durable carbon", "t C/year", 0.001),
    ("project_net_kg_co2e", "Project net", "t CO2e/year", 0.001),
)


def write_effects(desk: Desk) -> None:
    """One row an input, largest effect on NPV first; low and high are the user's own."""
    widths = (52, 13, 13, 13, 22, *([12.5] * (2 * len(MEASURES))), 27)
    sheet = desk.sheet(EFFECTS, "What would change the answer?", widths)
    sheet.write_string(3, 0, "One input at a time is moved to its own low and high; all others stay. "
                       "These are values: change the scenario and run again.", desk.styles("plain"))  # fmt: skip
    _headings(desk, sheet)
    at = TOP
    _base_row(desk, sheet, at)
    for effect in desk.results.effects:
        at += 1
        _row(desk, sheet, at, effect)
    sheet.freeze_panes(TOP, 1)
    sheet.repeat_rows(TOP - 2, TOP - 1)
    if not desk.results.effects:
        sheet.write_string(at + 1, 0, "No input has a low and a high yet.", desk.styles("plain"))
        return
    chart = effect_chart(desk)
    chart.set_size({"width": 900, "height": 420})
    sheet.insert_chart(at + 2, 0, chart, {"description": "Effect of the ranges of the inputs on NPV"})


def _headings(desk: Desk, sheet: Any) -> None:
    for column, name in enumerate(("Input", "Value", "Low", "High", "Unit")):
        sheet.write_string(TOP - 2, column, "", desk.styles("column"))
        sheet.write_string(TOP - 1, column, name, desk.styles("column" if column in {0, 4} else "column_right"))
    for i, (_, label, unit, _) in enumerate(MEASURES):
        column = 5 + 2 * i
        words = f"{label} [{unit.replace('$', desk.currency)}]"
        sheet.merge_range(TOP - 2, column, TOP - 2, column + 1, words, desk.styles("column"))
        sheet.write_string(TOP - 1, column, "at low", desk.styles("column_right"))
        sheet.write_string(TOP - 1, column + 1, "at high", desk.styles("column_right"))
    sheet.write_string(TOP - 2, 5 + 2 * len(MEASURES), "", desk.styles("column"))
    sheet.write_string(TOP - 1, 5 + 2 * len(MEASURES), "Key", desk.styles("column"))


def _base_row(desk: Desk, sheet: Any, at: int) -> None:
    sheet.write_string(at, 0, "All inputs at their value", desk.styles("bold"))
    for i, (name, _, unit, scale) in enumerate(MEASURES):
        for column in (5 + 2 * i, 6 + 2 * i):
            _answer(desk, sheet, at, column, desk.results.figures[name] * scale, unit, "bold")


def _row(desk: Desk, sheet: Any, at: int, effect: Effect) -> None:
    entry = effect.entry
    sheet.write_string(at, 0, entry.row.label, desk.styles("label"))
    for column, number in ((1, entry.number), (2, entry.low), (3, entry.high)):
        shown = entry.shown(number)
        assert shown is not None
        sheet.write_number(at, column, shown, desk.styles("plain", number_format(shown, "")))
    sheet.write_string(at, 4, entry.unit.name if entry.unit else "", desk.styles("faint"))
    for i, (name, _, unit, scale) in enumerate(MEASURES):
        for column, answers in ((5 + 2 * i, effect.at_low), (6 + 2 * i, effect.at_high)):
            _answer(desk, sheet, at, column, answers[name] * scale, unit, "plain")
    sheet.write_string(at, 5 + 2 * len(MEASURES), entry.row.key, desk.styles("faint"))


def _answer(desk: Desk, sheet: Any, at: int, column: int, value: float, unit: str, look: str) -> None:
    if value != value:
        word = "never" if unit == "years" else "withheld"
        sheet.write_string(at, column, word, desk.styles(look))
        return
    number = "money0" if unit == "$" else "n1" if unit == "years" else number_format(value, unit)
    sheet.write_number(at, column, value, desk.styles(look, number))


def effect_chart(desk: Desk) -> Any:
    """Bars of NPV at low and at high around the base, the largest effect on top."""
    last = TOP + min(CHARTED, len(desk.results.effects))
    chart = desk.book.add_chart({"type": "bar"})
    for column, name, colour in ((5, "at its low", SLATE), (6, "at its high", CLAY)):
        chart.add_series(
            {
                "name": name,
                "categories": [EFFECTS, TOP + 1, 0, last, 0],
                "values": [EFFECTS, TOP + 1, column, last, column],
                "fill": {"color": colour},
                "gap": 35,
                "overlap": 100,
                "data_labels": {"value": True, "num_format": "#,##0", "font": {"size": 8, "color": INK}},
            }
        )
    base = round(desk.results.figures["npv"], 2)
    chart.set_title({"name": "Effect of each range on NPV", "name_font": {"size": 11, "color": INK}})
    chart.set_x_axis({"reverse": True, "label_position": "low", "num_font": {"size": 8, "color": INK}})
    chart.set_y_axis(
        {
            "name": f"NPV [{desk.currency}]; the bars start at {base:,.0f}",
            "crossing": base,
            "num_format": "#,##0",
            "label_position": "high",
            "major_gridlines": {"visible": True, "line": {"color": "#DDE3E6"}},
        }
    )
    chart.set_legend({"position": "bottom"})
    return chart
