"""The pages of the kiln: heat of a firing, capacity, hours, month by month; and the page of checks."""

from __future__ import annotations

import math
from typing import Any

from xlsxwriter.utility import xl_rowcol_to_cell

from econ.answer.kiln_work import HIGH, LOW, MODELLED, fuel_verdict, task_name
from econ.answer.second_look import second_look
from econ.inputs.rows import MONTHS as CALENDAR
from econ.inputs.schema import place_words
from econ.model.derived import MONTHLY, OF_YEAR, months
from econ.model.lines import line
from econ.workbook.desk import CHECKS, KILN, MONTHS, Desk, figure_format
from econ.workbook.pages.figures_page import ONE_PAGE, WIDTHS, listing
from econ.workbook.style import number_format, row_height

TILES = (
    ("Start-up fuel to the end of drying", "start_up_fuel_mj"),
    ("Pyrolysis gas after drying", "gas_mj"),
    ("Heat needed after drying", "after_demand_mj"),
)
TOP = 10
MONTH_TOP = 4
MONTH_WIDTHS = (38, 15, 15, 15, 15, 12, 14, 13, 13, 13, 13, 14, 14, 14)
FIRST, LAST = MONTH_TOP + 1, MONTH_TOP + 12


def write_kiln(desk: Desk) -> None:
    """The two figures of heat, what the model says of the fuel, then every figure with its formula."""
    sheet = desk.sheet(KILN, "What does a batch take, in heat, time and people?", WIDTHS)
    words = (
        "Heat is shown in two stages: pyrolysis gas forms only after drying, so it cannot fuel the drying. One "
        "full load, lower heating value. The heat model is only a check where a fuel was measured."
    )
    sheet.merge_range(3, 0, 3, 3, words, desk.styles("wrapmid"))
    sheet.set_row(3, row_height((words, math.fsum(WIDTHS))))
    for row, (label, name) in enumerate(TILES, start=5):
        formula, value, unit = desk.amount(name, "MJ/batch")
        sheet.write_string(row, 0, f"{label} [{unit}]", desk.styles("bold"))
        sheet.write_formula(row, 1, formula, desk.styles("bold", number_format(value, unit)), value)
    verdict = _verdict(desk)
    sheet.merge_range(8, 0, 8, 3, verdict, desk.styles("caution"))
    sheet.set_row(8, row_height((verdict, math.fsum(WIDTHS))) + 3)
    end = listing(desk, sheet, KILN, ("kiln",), TOP, _task_names(desk))
    if end <= ONE_PAGE:
        sheet.fit_to_pages(1, 1)


def _verdict(desk: Desk) -> str:
    """What the model says of the typed fuel, in words."""
    found = fuel_verdict(desk.results.plan, desk.results.figures)
    if found == MODELLED:
        return (
            "The fuel of a batch is not measured: the model's start-up fuel is used in the money. Log one batch."
        )
    if found == LOW:
        return "The typed fuel looks low beside this model: over half of its heat would have to reach the charge."
    if found == HIGH:
        return "The typed fuel looks high beside this model: under a tenth of its heat would reach the charge."
    return "The typed fuel is plausible beside this model and is used in the money."


def _task_names(desk: Desk) -> dict[str, str]:
    """The tasks by the names typed."""
    found = {}
    for n in desk.results.plan.tasks:
        idle = ", idle watching" if n in desk.results.plan.watching else ""
        found[f"task_{n}_people_hours"] = f"{task_name(desk.results.scenario, n)} (task {n}{idle})"
    return found


def write_months(desk: Desk) -> None:
    """Twelve rows that add up, bones and whole firings; live."""
    sheet = desk.sheet(MONTHS, "What does each month bring, and what does the kiln take of it?", MONTH_WIDTHS)
    by_month = desk.results.plan.by_month
    extra = [key for key in EXTRA if f"month_2_{key}" in desk.sheets.lines] if by_month else []
    mass, factor = desk.shown_unit("kg")
    masses = [f"{line(f'month_1_{key}').label} [{mass}]" for key in MONTHLY]
    titles = ["Month", *masses, "Batches", f"Left over [{mass}]"]
    titles += [line(f"month_1_{key}").label for key in extra]
    for column, title in enumerate(titles):
        sheet.write_string(MONTH_TOP, column, title, desk.styles("column_right" if column else "column"))
    sheet.set_row(MONTH_TOP, 30)
    values = months(desk.results.plan, desk.results.figures)
    for m, name in enumerate(CALENDAR.values(), start=1):
        at = MONTH_TOP + m
        sheet.write_string(at, 0, name, desk.styles("label"))
        for column, key in enumerate((*MONTHLY, "firings", None, *extra), start=1):
            if key is None:
                _difference(desk, sheet, at, column)
            elif by_month:
                printed = desk.sheets.lines.get(f"month_{m}_{key}")
                if printed is None:  # January carries nothing
                    continue
                desk.figure(sheet, MONTHS, at, column, f"month_{m}_{key}", number=_format(key, printed.value))
            else:
                scale, value = (
                    (1.0, values[m - 1][key]) if key == "firings" else (factor, values[m - 1][key] * factor)
                )
                formula = _even(m, key) + (f"*{scale!r}" if scale != 1.0 else "")
                sheet.write_formula(at, column, formula, desk.styles("plain", _format(key, value)), value)
    _totals(desk, sheet, values, factor)
    if by_month:
        listing(desk, sheet, MONTHS, ("months",), LAST + 6, widths=MONTH_WIDTHS[: max(len(titles), 8)])
    sheet.freeze_panes(MONTH_TOP + 1, 1)
    sheet.repeat_rows(MONTH_TOP)
    words = (
        "Typed shares of the year. A month has a twelfth of the year's capacity; bones do not keep into the next."
        if desk.results.plan.seasonal
        else "Every month brings a twelfth of the year's bones. Fill the shares by month where it does not."
    )
    sheet.write_string(LAST + 3, 0, words, desk.styles("faint"))
    sheet.write_string(
        LAST + 4, 0, "Batches: loads begun since January, rounded up, less those of the months before.",
        desk.styles("faint"),
    )  # fmt: skip


EXTRA = ("share", "supplied", "loads", "carried", "loads_so_far", "begun", "fuel_firings")


def _format(key: str, value: float | str) -> str:
    if isinstance(value, str):
        return "general"
    if key in {"firings", "begun", "supplied"}:
        return "n0"
    return figure_format(line(f"month_1_{key}"), value) if key in {"share"} else "n2" if key in EXTRA else "n0"


def _even(m: int, key: str) -> str:
    """The formula of a month of an even year."""
    if key == "firings":
        before = f"+INT(-(firings_per_year*{m - 1}/12-0.000000001))" if m > 1 else ""
        return f"=-INT(-(firings_per_year*{m}/12-0.000000001)){before}"
    return f"={OF_YEAR[MONTHLY.index(key)]}/12"


def _difference(desk: Desk, sheet: Any, at: int, column: int) -> None:
    """Received less excluded, fired and passed on: nothing."""
    cells = [xl_rowcol_to_cell(at, place) for place in range(1, 5)]
    sheet.write_formula(at, column, f"=ROUND({'-'.join(cells)},6)", desk.styles("plain", "n0"), 0)


def _totals(desk: Desk, sheet: Any, values: list[dict[str, Any]], factor: float) -> None:
    """The year under the months."""
    sheet.write_string(LAST + 1, 0, "Year", desk.styles("total"))
    for column, key in enumerate((*MONTHLY, "firings"), start=1):
        cells = f"{xl_rowcol_to_cell(FIRST, column)}:{xl_rowcol_to_cell(LAST, column)}"
        whole = math.fsum(month[key] for month in values) * (1.0 if key == "firings" else factor)
        sheet.write_formula(LAST + 1, column, f"=SUM({cells})", desk.styles("total", "n0"), whole)
    sheet.write_string(LAST + 1, 6, "", desk.styles("total"))


def month_check() -> str:
    """The formula that is "ok" where every month adds up."""
    cells = f"'{MONTHS}'!{xl_rowcol_to_cell(FIRST, 6)}:{xl_rowcol_to_cell(LAST, 6)}"
    return f'IF(SUMPRODUCT(ABS({cells}))<=0.00001*MAX(bones_received_kg,1),"ok","look")'


CHECK_WIDTHS = (58, 18, 18, 60)
CHECK_TOP = 4
CHECK_LOOKS = ("label", "right", "faint", "faint_wrap")


def write_checks(desk: Desk) -> None:
    """Live checks of the workbook's own arithmetic, then the cautions with their places."""
    sheet = desk.sheet(CHECKS, "Does it add up, and what must be settled first?", CHECK_WIDTHS)
    for column, name in enumerate(("Check", "Value", "Must be", "Remark")):
        sheet.write_string(CHECK_TOP, column, name, desk.styles("column" if column < 2 else "column_word"))
    at = CHECK_TOP + 1
    for label, formula, value, must, remark in _checks(desk):
        sheet.write_string(at, 0, label, desk.styles("label"))
        sheet.write_formula(at, 1, formula, desk.styles("plain"), value)
        sheet.write_string(at, 2, must, desk.styles("faint"))
        sheet.write_string(at, 3, remark, desk.styles("faint_wrap"))
        at += 1
    for label, holds, by in second_look(desk.results):
        words = (label, "ok" if holds else "look", "ok", f"when this was written, by {by}")
        for column, (text, look) in enumerate(zip(words, CHECK_LOOKS, strict=True)):
            sheet.write_string(at, column, text, desk.styles(look))
        at += 1
    at += 1
    for column, name in enumerate(("Caution", "", "", "Where")):
        sheet.write_string(at, column, name, desk.styles("column" if column < 3 else "column_word"))
    for caution in desk.results.cautions:
        at += 1
        sheet.merge_range(at, 0, at, 2, caution.text, desk.styles("caution"))
        where = place_words(caution.where)
        sheet.set_row(at, row_height((caution.text, sum(CHECK_WIDTHS[:3]) - 2), (where, CHECK_WIDTHS[3])) + 3)
        _where(desk, sheet, at, caution.where)
    sheet.print_area(0, 0, at, 3)


def _where(desk: Desk, sheet: Any, at: int, where: str) -> None:
    """The place of a caution; that of an input leads to its row."""
    target = desk.names.get(key.replace(".", "_"), "") if (key := where.split(" ")[0]) else ""
    if target:
        sheet.write_url(
            at, 3, f"internal:{target}", desk.styles("faint"), place_words(where), f"to: {place_words(where)}"
        )
    else:
        sheet.write_string(at, 3, place_words(where), desk.styles("faint_wrap"))


def _checks(desk: Desk) -> list[tuple[str, str, float | str, str, str]]:
    figures = desk.results.figures
    small = 'IF(ABS({0})<=0.000001*MAX({1},1),"ok","look")'
    mass = small.format("mass_residual_kg", "bones_fired_kg")
    bones = small.format("bones_eligible_kg-bones_fired_kg-bones_passed_on_kg", "bones_eligible_kg")
    own = "-own_use_kg" if "own_use_kg" in figures else ""
    char = small.format(f"product_kg-char_sold_kg-char_to_stock_kg{own}", "product_kg")
    solids = small.format("char_kg-char_finished_kg-dust_kg-fines_kg", "char_kg")
    net = small.format("project_net_kg_co2e-removal_kg_co2e+process_kg_co2e", "removal_kg_co2e")
    found: list[tuple[str, str, float | str, str, str]] = [
        ("Bones in = char + vapour + gas + drippings", f"={mass}", "ok", "ok", "to a millionth of the bones"),
        ("Offered = fired + passed on", f"={bones}", "ok", "ok", ""),
        ("Product, as sold = sold + stock" + (" + own use" if own else ""), f"={char}", "ok", "ok", ""),
        ("Char made = into the product + dust + fines", f"={solids}", "ok", "ok", "dry"),
        ("Every month: received = fired + passed on + excluded", f"={month_check()}", "ok", "ok", ""),
    ]
    if figures["removal_kg_co2e"] == figures["removal_kg_co2e"]:
        found.append(
            ("Project net = removal - process emissions", f"={net}", "ok", "ok", "nothing avoided is in it")
        )
    return found
