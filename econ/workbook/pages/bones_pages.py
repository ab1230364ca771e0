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
from econ.workbook.live import Printed, defined_name, times
from econ.workbook.page_plan import Found, Row, Slot, plans
from econ.workbook.style import COLOURS, FACE, WHITE, number_format

FAN = (0.0, 0.0, 0.06, 0.25, 0.5, 0.75, 0.94, 1.0, 1.0)
"""How far the gaps between outgoing streams are open, from left to right."""
GAP_KG = 55.0
FIRST, LAST = 2, 1 + len(FAN)
"""Columns of the first point and the last; label and kg stand before them."""

EARTH = {"sand": "#EBCB8B", "brick": "#D08C70", "stone": "#8FA5AF", **COLOURS, "": ""}
WORDS = plans()[FLOW].words["picture"]
BANDS = [(label, formula, EARTH[colour]) for label, formula, colour in WORDS["bands"]]
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
    char = figures["char_kg"] * _per_tonne(desk)
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
    found = []
    for metric, shown, scale in (("kg/t", PER_TONNE.format(text), _per_tonne(desk)), ("kg", text, 1.0)):
        factor = desk.shown_unit(metric)[1]
        value = _value(desk, formula) * factor * scale
        found.append(
            Slot(Printed(times(shown, factor), value), number_format(0.0 if abs(value) < 1e-6 else value, ""))
        )
    return found


def _per_tonne(desk: Desk) -> float:
    return 1000 / max(desk.results.figures["bones_fired_kg"], 1e-6)


def _value(desk: Desk, formula: str) -> float:
    """The value of a sum or difference of figures."""
    pieces = re.findall(r"([+-]?)(\w+)", formula)
    return sum((-1.0 if sign == "-" else 1.0) * desk.results.figures[name] for sign, name in pieces)


def _picture(desk: Desk, sheet: Any) -> None:
    """The picture over the balances, and folded below the page the cells that it shows."""
    top = max(desk.places[FLOW, name][1] for name in ("elements", "analysis")) + 4
    values = _bands(desk, sheet, top)
    areas = desk.book.add_chart({"type": "area", "subtype": "stacked"})
    for row, (label, _, colour) in enumerate(BANDS, start=top + 1):
        look = {"fill": {"color": colour}, "border": {"color": WHITE, "width": 0.75}} if colour else {
            "fill": {"none": True}, "border": {"none": True}}  # fmt: skip
        areas.add_series(
            {"name": label or f"gap {row - top - 1}", "values": [FLOW, row, FIRST, row, LAST], **look}
        )
    lines = desk.book.add_chart({"type": "line"})
    sides = [("left", 0, *mark) for mark in WORDS["left"]] + [
        ("right", LAST - FIRST, *mark) for mark in WORDS["right"]
    ]
    for row, (side, point, label, first, last, formula) in enumerate(sides, start=top + 1 + len(BANDS)):
        _mark(desk, sheet, row, top, label, (first, last), formula, point, values)
        font = {**FACE, "size": 10, "bold": True}
        lines.add_series({
            "name": f"='{FLOW}'!{xl_rowcol_to_cell(row, 0, True, True)}", "values": [FLOW, row, FIRST, row, LAST],
            "line": {"none": True}, "marker": {"type": "none"},
            "data_labels": {"series_name": True, "value": False, "position": side, "font": font},
        })  # fmt: skip
    areas.combine(lines)
    for part, plan in WORDS["chart"].items():
        getattr(areas, f"set_{part}")(plan)
    areas.show_blanks_as("gap")
    sheet.insert_chart(5, 0, areas, {"x_offset": 4, "y_offset": 4, "description": WORDS["said"]})
    for row in range(top, top + 1 + len(BANDS) + len(sides)):
        sheet.set_row(row, None, None, {"level": 1, "hidden": False})


def _bands(desk: Desk, sheet: Any, top: int) -> list[float]:
    """The rows of bands and gaps; returns the mass of each band [kg per t], 0 or the width for a gap."""
    for column in range(LAST + 1):
        title = "" if column else f"Cells of the picture, {desk.shown_unit('kg/t')[0]} of bones"
        sheet.write_string(top, column, title, desk.styles("faint"))
    found = []
    for row, (label, formula, colour) in enumerate(BANDS, start=top + 1):
        sheet.write_string(row, 0, label or "gap", desk.styles("faint"))
        number, value = desk.styles("faint", "n1"), GAP_KG if formula == "1" else _value(desk, formula)
        if colour:
            value *= _per_tonne(desk)
            sheet.write_formula(row, 1, f"={PER_TONNE.format(f'({formula})')}", number, value)
        elif formula == "1":
            sheet.write_number(row, 1, value, number)
        else:
            value = GAP_KG if value > 0 else 0.0
            sheet.write_formula(row, 1, f"=IF({formula}>0,{GAP_KG:g},0)", number, value)
        for column, open_frac in enumerate(FAN, start=FIRST):
            share = 1.0 if colour else open_frac
            cell = f"=${xl_rowcol_to_cell(row, 1)}" + ("" if share == 1.0 else f"*{share:g}")
            sheet.write_formula(row, column, cell, number, value * share)
        found.append(value)
    return found


def _cells(first: int, last: int, column: int) -> str:
    return f"{xl_rowcol_to_cell(first, column)}:{xl_rowcol_to_cell(last, column)}"


def _mark(
    desk: Desk, sheet: Any, at: int, top: int, label: str, span: tuple[int, int], formula: str, point: int,
    values: list[float],
) -> None:  # fmt: skip
    """One label: its text with the mass, and its height at the middle of the bands it names."""
    number, (mass, _) = desk.results.figures[formula] * _per_tonne(desk), desk.shown_unit("kg")
    text = f'=IF({formula}>0,"{label} "&TEXT({PER_TONNE.format(formula)},"0")&" {mass}"," ")'
    sheet.write_formula(at, 0, text, desk.styles("faint"), f"{label} {number:.0f} {mass}" if number > 0 else " ")
    (first, last), column, start = span, FIRST + point, top + 1
    below = f"SUM({_cells(start, start + first - 1, column)})+" if first else ""
    middle = f"={below}SUM({_cells(start + first, start + last, column)})/2"
    widths = [value * (1.0 if colour else FAN[point]) for value, (_, _, colour) in zip(values, BANDS, strict=True)]
    value = sum(widths[:first]) + sum(widths[first : last + 1]) / 2
    sheet.write_formula(at, column, middle, desk.styles("faint", "n1"), value)


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
    return Printed(times(formula, factor), value * factor) if formula else value * factor


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
