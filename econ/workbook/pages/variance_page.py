"""The page of a deep run on doubt: which inputs make up the variance of the answers."""

from __future__ import annotations

import math
from typing import Any

from econ.questions.found_deep import VARIED, WORTH_NAMING, Shares
from econ.workbook.desk import VARIANCE, Desk
from econ.workbook.pages.lab_assay_page import note, titles
from econ.workbook.style import CLAY, FACE, NO_LEGEND, SLATE, axis, title

WIDTHS = (52, 13, 13, 13, 13, 13, 13, 13, 13, 13, 34)
NAMES = {"npv": "NPV", "net_cost_per_kg_bones": "Net cost of bones", "project_net_kg_co2e": "Net CO2e"}
CHARTED = 12
TOP = 5


def write_variance(desk: Desk) -> None:
    """Shares of variance of three answers by input, with standard errors, and a chart."""
    if desk.results.deep is None:
        return
    found = desk.results.deep.shares
    sheet = desk.sheet(VARIANCE, "Where does the doubt in the answer come from?", WIDTHS)
    text = (
        "Alone: part of the variance that would go if the input were known. In all: part that would stay if all "
        f"others were known, so with what it does together with them. {found.base:,} samples in each of two sets; "
        f"inputs that move together stand as one. Named from {WORTH_NAMING:.0%} in all of any answer."
    )
    note(desk, sheet, 3, text, WIDTHS)
    named = found.named()
    if not named:
        sheet.write_string(TOP, 0, "No input with a range moves any of the answers.", desk.styles("plain"))
        return
    charts = TOP + 3 + len(named) + 2
    _table(desk, sheet, found, named)
    for column, offset, answer, colour in ((0, 4, "npv", SLATE), (4, 20, "project_net_kg_co2e", CLAY)):
        if found.by_measure[answer] is not None:
            bars = min(len(named), CHARTED) if answer == VARIED[0] else len(named)
            chart = _chart(desk, bars, answer, colour)
            chart.set_size({"width": 600, "height": 140 + 20 * bars})
            description = f"Shares of the variance of {NAMES[answer]} by input"
            sheet.insert_chart(charts, column, chart, {"x_offset": offset, "description": description})
    sheet.freeze_panes(TOP + 2, 1)


def _table(desk: Desk, sheet: Any, found: Shares, named: list[int]) -> None:
    for i, answer in enumerate(VARIED):
        sheet.merge_range(TOP, 1 + 3 * i, TOP, 3 + 3 * i, NAMES[answer], desk.styles("column_right"))
    for column in (0, len(WIDTHS) - 1):
        sheet.write_string(TOP, column, "", desk.styles("column"))
    titles(desk, sheet, TOP + 1, ("Input", *("Alone", "In all", "Standard\nerror") * 3, "Key"),
           frozenset({0, len(WIDTHS) - 1}))  # fmt: skip
    for at, place in enumerate(named, start=TOP + 2):
        keys = found.groups[place]
        sheet.write_string(at, 0, label(desk, keys), desk.styles("label"))
        for i, answer in enumerate(VARIED):
            _shares(desk, sheet, at, 1 + 3 * i, found, answer, place)
        sheet.write_string(at, len(WIDTHS) - 1, ", ".join(keys), desk.styles("faint_wrap"))
    at = TOP + 2 + len(named)
    sheet.write_string(at, 0, f"All {len(found.groups) - len(named)} others together", desk.styles("total"))
    for i, answer in enumerate(VARIED):
        one = found.by_measure[answer]
        rest = (
            None
            if one is None
            else math.fsum(float(one.first[k]) for k in range(len(found.groups)) if k not in named)
        )
        for column in range(1 + 3 * i, 4 + 3 * i):
            sheet.write_blank(at, column, None, desk.styles("total"))
        if rest is not None:
            sheet.write_number(at, 1 + 3 * i, rest, desk.styles("total", "pct1"))
    sheet.write_string(at, len(WIDTHS) - 1, "", desk.styles("total"))


def label(desk: Desk, keys: tuple[str, ...]) -> str:
    """The inputs that stand as one, in words."""
    return " with ".join(desk.results.scenario[key].row.label for key in keys)


def _shares(desk: Desk, sheet: Any, at: int, column: int, found: Shares, answer: str, place: int) -> None:
    """Alone, in all, and the larger standard error; withheld where the answer is."""
    one = found.by_measure[answer]
    if one is None:
        sheet.write_string(at, column, "not reported", desk.styles("right"))
        return
    error = max(float(one.first_error[place]), float(one.total_error[place]))
    for step, value in enumerate((float(one.first[place]), float(one.total[place]), error)):
        sheet.write_number(at, column + step, value, desk.styles("bold" if step == 1 else "plain", "pct1"))


def _chart(desk: Desk, bars: int, answer: str, colour: str) -> Any:
    """Bars of the shares in all, in the order of the table."""
    last = TOP + 1 + bars
    column = 2 + 3 * VARIED.index(answer)
    chart = desk.book.add_chart({"type": "bar"})
    chart.add_series(
        {
            "name": "share in all",
            "categories": [VARIANCE, TOP + 2, 0, last, 0],
            "values": [VARIANCE, TOP + 2, column, last, column],
            "fill": {"color": colour},
            "gap": 40,
        }
    )
    chart.set_title(title(f"Share of the doubt in {NAMES[answer]}, in all"))
    names = {"reverse": True, "label_position": "low", "major_tick_mark": "none", "num_font": {**FACE, "size": 8}}
    chart.set_y_axis(names)
    chart.set_x_axis({**axis("share of variance", "0%", has_grid=True), "min": 0, "label_position": "high"})
    chart.set_legend(NO_LEGEND)
    return chart
