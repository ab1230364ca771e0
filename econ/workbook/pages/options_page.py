"""The page of options: every way for the bones side by side, live, with one chart and one sentence."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from econ.answer.option_table import MIX, PUBLISHED, Compared, compared, sentence
from econ.answer.results import inputs_code
from econ.evidence.factors import factor
from econ.model.plan_parts import CHAR, TODAY
from econ.workbook.desk import OPTIONS, Desk
from econ.workbook.live import Printed, defined_name
from econ.workbook.page_plan import Found, Slot, plans

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
