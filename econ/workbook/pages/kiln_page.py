"""The pages of the kiln: heat of a batch, capacity, hours, month by month; and the page of checks."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from xlsxwriter.utility import xl_col_to_name

from econ.answer.practice import LOW, fuel_verdict, task_name
from econ.answer.second_look import second_look
from econ.inputs.rows import MONTHS as CALENDAR
from econ.inputs.schema import place_words
from econ.model.derived import MONTHLY, OF_YEAR, months
from econ.model.ledger import line
from econ.workbook.desk import CHECKS, KILN, MONTHS, Desk, figure_format
from econ.workbook.live import Printed
from econ.workbook.page_plan import Figure, Found, Row, Slot, plans
from econ.workbook.style import number_format

FIRST, LAST = 6, 17
"""Rows of January and December, as cells name them."""
EXTRA = ("share", "supplied", "loads", "carried", "loads_so_far", "begun", "fuel_firings")


def matter(desk: Desk) -> Found:
    """Bones, batches, char, gases, nutrients, sales and running costs of a full year: figures alone."""
    return {}


def kiln(desk: Desk) -> Found:
    """The figures of heat, what the model says of the fuel, then every figure with its formula."""
    words, plan = plans()[KILN].words, desk.results.plan
    heat, labels = [], {}
    for name, label in words["tiles"].items():
        formula, value, unit = desk.amount(name, "MJ/batch")
        heat.append((f"{label} [{unit}]", Slot(Printed(formula, value), number_format(value, unit))))
    for n in plan.tasks:
        idle = words["idle"] if n in plan.watching else ""
        labels[f"task_{n}_people_hours"] = words["task"].format(task_name(desk.results.scenario, n), n, idle)
    verdict = fuel_verdict(plan, desk.results.figures)
    is_odd = verdict == LOW and desk.results.figures["typed_efficiency"] > 1
    return {"heat": heat, "verdict": words["verdicts"]["impossible" if is_odd else verdict], "labels": labels}


def year_months(desk: Desk) -> Found:
    """Twelve rows that add up, bones and whole batches; live."""
    results, words = desk.results, plans()[MONTHS].words
    by_month = results.plan.by_month
    extra = [key for key in EXTRA if f"month_2_{key}" in desk.sheets.lines] if by_month else []
    mass, factor = desk.shown_unit("kg")
    heads = ["Month", *(f"{line(f'month_1_{key}').label} [{mass}]" for key in MONTHLY), "Batches"]
    heads += [words["left_over"].format(mass), *(line(f"month_1_{key}").label for key in extra)]
    values = months(results.plan, results.figures)
    main, rows = (*MONTHLY, "firings"), []
    for m, name in enumerate(CALENDAR.values(), start=1):
        cells = [_cell(desk, m, key, values[m - 1].get(key, 0.0), factor) for key in (*main, *extra)]
        left = Slot(Printed("ROUND(B{row}-C{row}-D{row}-E{row},6)", 0.0), "n0")
        rows.append((name, *cells[: len(main)], left, *cells[len(main) :]))
    whole = [math.fsum(month[key] for month in values) * (1.0 if key == "firings" else factor) for key in main]
    sums = (Printed(f"SUM({name}{FIRST}:{name}{LAST})", value)
            for name, value in zip(map(xl_col_to_name, range(1, 9)), whole, strict=False))  # fmt: skip
    return {
        "widths": plans()[MONTHS].widths[: max(len(heads), 8)],
        "months": rows,
        "months_heads": heads,
        "year": [Row(("Year", *sums, None), "total")],
        "basis": words["seasonal" if results.plan.seasonal else "even"],
        "by_month": by_month,
    }


def _cell(desk: Desk, m: int, key: str, value: float, factor: float) -> Slot | None:
    """A figure of a month: named where the months differ, else a part of the year."""
    name = f"month_{m}_{key}"
    if desk.results.plan.by_month:
        printed = desk.sheets.lines.get(name)  # January carries nothing
        return Slot(Figure(name), _format(key, printed.value)) if printed else None
    if key == "firings":
        before = f"+INT(-(firings_per_year*{m - 1}/12-0.000000001))" if m > 1 else ""
        return Slot(Printed(f"-INT(-(firings_per_year*{m}/12-0.000000001)){before}", value), "n0")
    scale = f"*{factor!r}" if factor != 1.0 else ""
    return Slot(Printed(f"{OF_YEAR[MONTHLY.index(key)]}/12{scale}", value * factor), _format(key, value * factor))


def _format(key: str, value: float | str) -> str:
    if isinstance(value, str):
        return "general"
    if key == "share":
        return figure_format(line(f"month_1_{key}"), value)
    return "n2" if key in EXTRA and key not in {"begun", "supplied"} else "n0"


def checks(desk: Desk) -> Found:
    """Live checks of the workbook's own arithmetic, then the cautions with their places."""
    again = plans()[CHECKS].words["again"]
    return {
        "checks": [
            *_live(desk),
            *(
                (label, "ok" if holds else "look", "ok", again.format(by))
                for label, holds, by in second_look(desk.results)
            ),
        ],
        "cautions": [(caution.text, _where(desk, caution.where)) for caution in desk.results.cautions],
    }


def _live(desk: Desk) -> Iterator[tuple[Any, ...]]:
    words, figures = plans()[CHECKS].words, desk.results.figures
    left = f"'{MONTHS}'!G{FIRST}:G{LAST}"
    months_add_up = f'IF(SUMPRODUCT(ABS({left}))<=0.00001*MAX(bones_received_kg,1),"ok","look")'
    for one in words["checks"]:
        where = figures.get(one.get("where", "char_kg"), math.nan)
        if where == where and one.get("unless") not in figures:
            formula = words["small"].format(one["is"], one["of"]) if "of" in one else months_add_up
            yield one["label"], Printed(formula, "ok"), "ok", one.get("remark", "")


def _where(desk: Desk, where: str) -> Slot:
    """The place of a caution; that of an input leads to its row."""
    target = desk.names.get(where.split(" ")[0].replace(".", "_"), "")
    words = place_words(where)
    return Slot(words, "faint", link=target, tip=f"to: {words}") if target else Slot(words)
