"""Where the bones go: a picture whose band widths are the numbers, the balances under it, the alternatives.

The picture is a stacked area chart, live over its cells, that fans out from bones to products.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from xlsxwriter.utility import xl_rowcol_to_cell

from econ.answer.option_table import MIX, PUBLISHED, Compared, compared, sentence
from econ.answer.results import inputs_code
from econ.evidence.factors import factor
from econ.evidence.substances import sieve_for
from econ.model.plan import CHAR, TODAY
from econ.workbook.desk import FLOW, OPTIONS, Desk
from econ.workbook.live import Printed, defined_name
from econ.workbook.page_plan import Found, Row, Slot, plans
from econ.workbook.style import COLOURS, FACE, WHITE, number_format

FAN = (0.0, 0.0, 0.06, 0.25, 0.5, 0.75, 0.94, 1.0, 1.0)
"""How far the gaps between outgoing streams are open, from left to right."""
GAP_KG = 55.0
FIRST = 2
"""Column of the first point; label and kg stand before it."""

EARTH = {"sand": "#EBCB8B", "brick": "#D08C70", "stone": "#8FA5AF", **COLOURS, "": ""}
WORDS = plans()[FLOW].words["picture"]
BANDS = [(label, formula, EARTH[colour]) for label, formula, colour in WORDS["bands"]]
LEFT, RIGHT = (
    [(label, (low, high), mass) for label, low, high, mass in WORDS[side]] for side in ("left", "right")
)
BAND_ROWS = 1 + len(BANDS) + len(LEFT) + len(RIGHT)
PER_TONNE = "{0}/MAX(bones_fired_kg,0.000001)*1000"


def flow(desk: Desk) -> Found:
    """Picture, balance, elements, product and analysis on one printed sheet."""
    words, figures = plans()[FLOW].words, desk.results.figures
    size = desk.results.scenario["finish.particle_size"]
    ground = []
    if size.value is not None:
        sieve = sieve_for(size.number * 1000)
        ground = [(Slot(words["sieve" if sieve else "no_sieve"].format(size.number * 1000, sieve), "plain", 5),)]
    before, after = (text.format(desk.shown_unit("kg")[0]) for text in words["says"])
    char = figures["char_kg"] * 1000 / max(figures["bones_fired_kg"], 1e-6)
    said = Printed(f'"{before}"&TEXT({PER_TONNE.format("char_kg")},"0")&"{after}"', f"{before}{char:.0f}{after}")
    return {
        "says": [(said,)],
        "per_t": desk.shown_unit("kg/t")[0],
        "per_year": desk.shown_unit("kg/year")[0],
        "balance": [Row((label, *_masses(desk, formula)), *loud) for label, formula, *loud in words["balance"]],
        "product": [*((label, *_masses(desk, formula)) for label, formula in words["product"]), *ground],
        "elements": [
            (label, *(_masses(desk, formula)[0] for formula in formulas)) for label, *formulas in words["elements"]
        ],
        "analysis": [
            (label, *(Printed(name, figures[name]) if name else None for name in names))
            for label, *names in words["analysis"]
        ],
        "after": lambda sheet: _picture(desk, sheet),
    }


def _masses(desk: Desk, formula: str) -> list[Slot]:
    """A sum or difference of figures, of a tonne of bones and of the year, in the units of the workbook."""
    text = f"({formula})" if "+" in formula or "-" in formula else formula
    per_t = 1000 / max(desk.results.figures["bones_fired_kg"], 1e-6)
    found = []
    for metric, shown, scale in (("kg/t", PER_TONNE.format(text), per_t), ("kg", text, 1.0)):
        factor = desk.shown_unit(metric)[1]
        value = _value(desk, formula) * factor * scale
        shown += f"*{factor!r}" if factor != 1.0 else ""
        found.append(Slot(Printed(shown, value), number_format(0.0 if abs(value) < 1e-6 else value, "")))
    return found


def _value(desk: Desk, formula: str) -> float:
    """The value of a sum or difference of figures."""
    pieces = re.findall(r"([+-]?)(\w+)", formula)
    return sum((-1.0 if sign == "-" else 1.0) * desk.results.figures[name] for sign, name in pieces)


def _picture(desk: Desk, sheet: Any) -> None:
    """The picture over the balances, and folded below the page the cells that it shows."""
    bands = max(desk.places[FLOW, name][1] for name in ("elements", "analysis")) + 4
    draw(desk, sheet, bands, 5, desk.results.figures["bones_fired_kg"])
    for row in range(bands, bands + BAND_ROWS):
        sheet.set_row(row, None, None, {"level": 1, "hidden": False})


def draw(desk: Desk, sheet: Any, top: int, chart_row: int, fired_kg: float) -> None:
    """Write the cells of the picture at `top` and put the chart at `chart_row`."""
    scale = 1000 / max(fired_kg, 1e-6)
    values = _bands(desk, sheet, top, scale)
    areas = desk.book.add_chart({"type": "area", "subtype": "stacked"})
    last = FIRST + len(FAN) - 1
    for i, (label, _, colour) in enumerate(BANDS):
        row = top + 1 + i
        look = {"fill": {"color": colour}, "border": {"color": WHITE, "width": 0.75}} if colour else {
            "fill": {"none": True}, "border": {"none": True}}  # fmt: skip
        areas.add_series({"name": label or f"gap {i}", "values": [FLOW, row, FIRST, row, last], **look})
    lines = desk.book.add_chart({"type": "line"})
    at = top + 1 + len(BANDS)
    for marks, point, side in ((LEFT, 0, "left"), (RIGHT, len(FAN) - 1, "right")):
        for label, span, formula in marks:
            _mark(desk, sheet, at, top, label, span, formula, point, values, scale)
            lines.add_series(_label_series(at, last, side))
            at += 1
    areas.combine(lines)
    _finish(areas)
    sheet.insert_chart(chart_row, 0, areas, {
        "x_offset": 4, "y_offset": 4,
        "description": "Bands: what the bones are on the left, char, gas and vapour on the right",
    })  # fmt: skip


def _bands(desk: Desk, sheet: Any, top: int, scale: float) -> list[float]:
    """The rows of bands and gaps; returns the mass of each band [kg per t], 0 or the width for a gap."""
    styles = desk.styles
    for column, words in enumerate(
        (f"Cells of the picture, {desk.shown_unit('kg/t')[0]} of bones", "", *[""] * len(FAN))
    ):
        sheet.write_string(top, column, words, styles("faint"))
    found = []
    for i, (label, formula, colour) in enumerate(BANDS):
        row = top + 1 + i
        sheet.write_string(row, 0, label or "gap", styles("faint"))
        if colour:
            value = _value(desk, formula) * scale
            text = f"=({formula})/MAX(bones_fired_kg,0.000001)*1000"
        else:
            opens = formula == "1" or _value(desk, formula) > 0
            value = GAP_KG if opens else 0.0
            text = "" if formula == "1" else f"=IF({formula}>0,{GAP_KG:g},0)"
        if text:
            sheet.write_formula(row, 1, text, styles("faint", "n1"), value)
        else:
            sheet.write_number(row, 1, value, styles("faint", "n1"))
        for j, open_frac in enumerate(FAN):
            share = 1.0 if colour else open_frac
            cell = f"=${xl_rowcol_to_cell(row, 1)}" + ("" if share == 1.0 else f"*{share:g}")
            sheet.write_formula(row, FIRST + j, cell, styles("faint", "n1"), value * share)
        found.append(value)
    return found


def _mark(
    desk: Desk, sheet: Any, at: int, top: int, label: str, span: tuple[int, int], formula: str, point: int,
    values: list[float], scale: float,
) -> None:  # fmt: skip
    """One label: its text with the mass, and its height at the middle of the bands it names."""
    number = desk.results.figures[formula] * scale
    mass = desk.shown_unit("kg")[0]
    text = f'=IF({formula}>0,"{label} "&TEXT({formula}/MAX(bones_fired_kg,0.000001)*1000,"0")&" {mass}"," ")'
    sheet.write_formula(at, 0, text, desk.styles("faint"), f"{label} {number:.0f} {mass}" if number > 0 else " ")
    column = FIRST + point
    below = f"SUM({_span(top, 0, span[0] - 1, column)})+" if span[0] else ""
    middle = f"={below}SUM({_span(top, span[0], span[1], column)})/2"
    shares = [FAN[point] if not colour else 1.0 for _, _, colour in BANDS]
    widths = [value * share for value, share in zip(values, shares, strict=True)]
    value = sum(widths[: span[0]]) + sum(widths[span[0] : span[1] + 1]) / 2
    sheet.write_formula(at, column, middle, desk.styles("faint", "n1"), value)


def _span(top: int, first: int, last: int, column: int) -> str:
    return f"{xl_rowcol_to_cell(top + 1 + first, column)}:{xl_rowcol_to_cell(top + 1 + last, column)}"


def _label_series(row: int, last: int, side: str) -> dict[str, Any]:
    return {
        "name": f"='{FLOW}'!{xl_rowcol_to_cell(row, 0, row_abs=True, col_abs=True)}",
        "values": [FLOW, row, FIRST, row, last],
        "line": {"none": True},
        "marker": {"type": "none"},
        "data_labels": {
            "series_name": True, "value": False, "position": side,
            "font": {**FACE, "size": 10, "bold": True},
        },
    }  # fmt: skip


def _finish(chart: Any) -> None:
    chart.set_legend({"none": True})
    chart.set_x_axis({"visible": False, "position_axis": "on_tick"})
    chart.set_y_axis({"visible": False, "major_gridlines": {"visible": False}, "min": 0, "max": 1000 + 4 * GAP_KG})
    chart.set_chartarea({"border": {"none": True}})
    chart.set_plotarea({"layout": {"x": 0.13, "y": 0.03, "width": 0.66, "height": 0.94}})
    chart.set_title({"none": True})
    chart.show_blanks_as("gap")
    chart.set_size({"width": 1180, "height": 490})


TOP = 7
"""The row of the names of the ways, counted from 0."""
LEAST_COLUMNS, BESIDE = 6, 3
"""The page has at least so many columns of ways; up to so many leave room for the chart beside them."""


def options(desk: Desk) -> Found:
    """The table, the chart and every figure behind them."""
    ways, plan = compared(desk.results), plans()[OPTIONS]
    rows = plan.words["row"]
    costs = TOP + 1 + [row["name"] for row in rows].index("cost_per_t_bones")
    least = min((way.cost_per_t_bones, way.label) for way in ways if way.cost_per_t_bones is not None)
    return {
        "costs_say": plan.words["says"].format(least[1]),
        "widths": (*plan.widths, *plan.widths[-1:] * (len(ways) - LEAST_COLUMNS)),
        "sentence": sentence(desk.results),
        "code": inputs_code(desk.results.scenario),
        "ways": [_row(desk, row, ways) for row in rows],
        "ways_heads": ("Over the study", *(way.label for way in ways)),
        "ways_looks": ["label", *["plain"] * len(ways)],
        "beside": len(ways) <= BESIDE,
        "cost_unit": desk.shown_unit("$/t")[0],
        "way_names": [OPTIONS, TOP, 1, TOP, len(ways)],
        "way_costs": [OPTIONS, costs, 1, costs, len(ways)],
    }


def _row(desk: Desk, row: Mapping[str, Any], ways: tuple[Compared, ...]) -> tuple[Any, ...]:
    """One figure of every way, in the units of the workbook."""
    unit, factor = desk.shown_unit(row["unit"]) if "unit" in row else ("", 1.0)
    label = f"{row['label']} [{unit}]" if unit else row["label"]
    return label, *(_cell(way, row, factor) for way in ways)


def _cell(way: Compared, row: Mapping[str, Any], factor: float) -> Any:
    """The figure with its formula where it is live; words wrap."""
    value = getattr(way, row["name"])
    if isinstance(value, str):
        return Slot(value, "faint_wrap")
    if value is None:
        return "not known"
    formula = live(way, row)
    own = f"*{factor!r}" if factor != 1.0 else ""
    return Printed(f"{formula}{own}", value * factor) if formula else value * factor


def live(way: Compared, row: Mapping[str, Any]) -> str:
    """The formula of a figure of the table, or "" where it is a plain number."""
    if way.kind == PUBLISHED:
        told = row.get(PUBLISHED, row.get("every", ""))
        return str(told).format(price=factor("price_compost").value / 1000)
    if way.kind == CHAR or way.name == TODAY:
        return str(row.get("char" if way.kind == CHAR else "today", ""))
    name = re.split(r"[*/]", row.get("own", ""))[0]
    if not name:
        return str(row.get("every", ""))
    if way.kind == MIX:
        return "" if row.get("not_mix") else f"mix_{row['own']}"
    return f"{defined_name(f'{way.name}_{name}')}{row['own'].removeprefix(name)}"
