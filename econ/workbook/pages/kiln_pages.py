"""The pages of the kiln and of carbon: heat of a batch, capacity, hours, months; the four blocks; the checks."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

from xlsxwriter.utility import xl_col_to_name

from econ.answer import carbon_case as case
from econ.answer.carbon_case import METHOD_WORDS, METHODS
from econ.answer.practice import fuel_verdict, task_name
from econ.answer.results import hydrogen_words
from econ.answer.second_look import second_look
from econ.evidence.factors import factor
from econ.inputs.rows import MONTHS as CALENDAR
from econ.inputs.schema import place_words
from econ.model.derived import MONTHLY, OF_YEAR, months, over_study, study_name
from econ.model.ledger import line
from econ.workbook.desk import CARBON, CARBON_FIGURES, CHECKS, KILN, MONTHS, Desk, figure_format
from econ.workbook.live import Printed, times
from econ.workbook.page_plan import Figure, Found, Row, Slot, plans
from econ.workbook.style import number_format

FIRST, LAST = 6, 17
"""Rows of January and December, as cells name them."""
EXTRA = ("share", "supplied", "loads", "carried", "loads_so_far", "begun", "fuel_firings")


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
    is_odd = verdict == "low" and desk.results.figures["typed_efficiency"] > 1
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
    formula = times(f"{OF_YEAR[MONTHLY.index(key)]}/12", factor)
    return Slot(Printed(formula, value * factor), _format(key, value * factor))


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
        "checks": [*_live(desk), *((label, "ok" if holds else "look", "ok", again.format(by))
                                   for label, holds, by in second_look(desk.results))],
        "cautions": [(caution.text, _where(desk, caution.where)) for caution in desk.results.cautions],
    }  # fmt: skip


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


def carbon(desk: Desk) -> Found:
    """What may be said about carbon, on two printed pages."""
    results, figures, words = desk.results, desk.results.figures, plans()[CARBON].words
    net, (store, source) = figures["project_net_kg_co2e"], (words["store"], words["source"])
    verdict = Printed(f'IF(project_net_kg_co2e<0,"{source}","{store}")', source if net < 0 else store)
    if math.isnan(net):
        verdict = words["none"].format(results.reasons["removal_t_co2e_per_year"])
    return {
        "per_t": desk.shown_unit("kg CO2e/t")[0],
        "verdict": [(verdict,)],
        "blocks": [
            *(_measures(desk, label, name) for label, name in words["blocks"]),
            *(Row(_measures(desk, label, name), "bold") for label, name in words["nets"]),
        ],
        "paragraph": case.say(results, "paragraph"),
        "methods": list(_methods(desk)),
        "reasons": [f"{METHOD_WORDS[one]}: {why}" for one in METHODS if (why := case.reason(results, one))],
        "ways": list(_ways(desk)),
        "permanence": " ".join(case.told(results, "permanence")),
        "horizon": case.HORIZON_YEARS,
        "half": factor("hc_mean_half").value,
    }


def carbon_figures(desk: Desk) -> Found:
    """What cancels the removal, the calendar, how to read the figures, and how each is computed."""
    results, figures = desk.results, desk.results.figures
    first, last = desk.places[CARBON, "blocks"][0], desk.places[CARBON, "blocks"][0] + 3
    columns = {"block_names": 0, "block_p5": 1, "block_median": 2, "block_p95": 3}
    return {
        **{name: [CARBON, first, at, last, at] for name, at in columns.items()},
        "chart_says": _chart_says(desk),
        "horizon": case.HORIZON_YEARS,
        "carbonate": figures["carbonate_c_kg"] / 1000,
        "basis": plans()[CARBON_FIGURES].words["basis_words"][results.plan.compost_basis],
        "stays": figures["landfill_c_stays_kg"] / 1000,
        "cancels": list(_cancels(desk)),
        "calendar": list(_calendar(desk)),
    }


def _chart_says(desk: Desk) -> str:
    """What the four blocks show: emissions against removal, at the median."""
    words = plans()[CARBON_FIGURES].words
    stored, emitted = (desk.results.carbon(name)[1] for name in ("removal_kg_co2e", "process_kg_co2e"))
    if not (stored > 0 and emitted > 0):
        return str(words["unknown"])
    is_more = emitted > stored
    return str(words["more" if is_more else "less"].format(emitted / stored if is_more else stored / emitted))


def _measures(desk: Desk, label: str, name: str) -> tuple[Any, ...]:
    """A block per year with low, middle, high; per tonne of bones and char; over the study."""
    figures, years = desk.results.figures, desk.results.plan.years
    scale = 1000 * desk.shown_unit("kg CO2e/t")[1]
    whole = study_name(name) or f"{name}*{years}"
    return (
        label.format(case.NET_FORMULA, case.WITHOUT_FORMULA, case.WITH_FORMULA),
        *(end / 1000 for end in desk.results.carbon(name)),
        Printed(f"{name}/1000", figures[name] / 1000),
        *(_per(figures, name, by, scale) for by in ("bones_fired_kg", "char_kg")),
        Printed(f"{whole}/1000", over_study(figures, name, years) / 1000),
    )


def _per(figures: Mapping[str, float], name: str, by: str, scale: float) -> Printed:
    """A figure per tonne of another; not reported where that is zero, also once a reader made it so."""
    value = figures[name] / figures[by] * scale if figures[by] else math.nan
    return Printed(f'IF({by}=0,"not reported",{name}/{by}*{scale!r})', value)


def _methods(desk: Desk) -> Iterator[tuple[Any, ...]]:
    """Both methods and, for H/C_org, with and without the hydrogen of the mineral."""
    results, words = desk.results, plans()[CARBON].words
    scenario, used = results.scenario, results.plan.persistence
    lab = scenario.number_or("carbon.h_corg", math.nan)
    ratios = {"hc_lab": lab, "hc_corrected": results.figures["hc_less_mineral"]}
    rows = {name: METHOD_WORDS[one] if one != used else words["used"].format(METHOD_WORDS[one])
            for one, name in METHODS.items()}  # fmt: skip
    rows |= {"hc_lab": words["hc_lab"].format(hydrogen_words(results)), "hc_corrected": words["hc_corrected"]}
    for name, label in rows.items():
        shares = (case.lasting_share(results, name, end) for end in ("low_", "", "high_"))
        ends = (value / 1000 for value in results.carbon(f"removal_by_{name}_kg_co2e"))
        ratio = ratios.get(name, math.nan)
        yield f"{label[0].upper()}{label[1:]}", *shares, *ends, None if math.isnan(ratio) else ratio


def _ways(desk: Desk) -> Iterator[tuple[Any, ...]]:
    """The same bones by each other way; today's way is marked."""
    results, words = desk.results, plans()[CARBON].words
    today, least, figures = results.plan.today, case.conservative(results), results.figures
    scale = 1000 * desk.shown_unit("kg CO2e/t")[1]
    own = {way for _, _, *ways in words["ways"] for way in ways if way}
    for label, name, *way in words["ways"]:
        is_today = way == [today if today in own else ""]
        is_least = name == least or (is_today and least == case.TODAY and "with_credits" not in name)
        marks = "; ".join([words["current"]] * is_today + [words["conservative"]] * is_least)
        cells = Printed(f"{name}/1000", figures[name] / 1000), _per(figures, name, "bones_fired_kg", scale)
        yield Slot(label, "bold_wrap" if marks else ""), *cells, Slot(f"   {marks}", "plain")


def _cancels(desk: Desk) -> Iterator[tuple[Any, ...]]:
    for label, name, metric in plans()[CARBON_FIGURES].words["cancels"]:
        formula, value, unit = desk.amount(name, metric)
        yield label.format(unit), Slot(Printed(formula, value), "" if metric else "pct2")


def _calendar(desk: Desk) -> Iterator[tuple[Any, ...]]:
    """Landfill methane by calendar year, apart from the figures over 100 years."""
    for row in case.calendar(desk.results):
        year = int(row["year"])
        deposited = Printed(f"landfill_kg_co2e*{year}/1000", row["deposited_t_co2e"])
        yield year, deposited, row["out_share"], Printed("B{row}*C{row}", row["out_t_co2e"])
