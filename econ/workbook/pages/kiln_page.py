"""Pages of the kiln: heat of a firing in its two stages, capacity, hours; and month by month."""

from __future__ import annotations

from typing import Any

from xlsxwriter.utility import xl_rowcol_to_cell

from econ.answer.kiln_cautions import HIGH, LOW, MODELLED, fuel_verdict
from econ.answer.work import MONTHLY, OF_YEAR, months, task_name
from econ.inputs.rows import MONTHS as CALENDAR
from econ.model.lines import line
from econ.workbook.desk import KILN, MONTHS, Desk, figure_format
from econ.workbook.pages.figures_page import ONE_PAGE, WIDTHS, listing
from econ.workbook.style import number_format, row_height

TILES = (
    ("Start-up fuel to the end of drying", "start_up_fuel_mj"),
    ("Gas of the load, after it", "gas_mj"),
    ("Demand after it", "after_demand_mj"),
)
TOP = 10
MONTH_TOP = 4
MONTH_WIDTHS = (38, 15, 15, 15, 15, 12, 14, 13, 13, 13, 13, 14, 14, 14)
FIRST, LAST = MONTH_TOP + 1, MONTH_TOP + 12


def write_kiln(desk: Desk) -> None:
    """The two figures of heat, what the model says of the fuel, then every figure with its formula."""
    sheet = desk.sheet(KILN, "What does a firing take, in heat, time and people?", WIDTHS)
    words = (
        "Two stages, never one ratio: gas that comes after the drying cannot dry. MJ of one full load, lower "
        "heating value; a house model, used only as a check where a fuel was measured."
    )
    sheet.merge_range(3, 0, 3, 3, words, desk.styles("wrapmid"))
    sheet.set_row(3, row_height((words, sum(WIDTHS))))
    for row, (label, name) in enumerate(TILES, start=5):
        sheet.write_string(row, 0, f"{label} [MJ a firing]", desk.styles("bold"))
        value = desk.results.figures[name]
        sheet.write_formula(row, 1, f"={name}", desk.styles("bold", number_format(value, "MJ")), value)
    verdict = _verdict(desk)
    sheet.merge_range(8, 0, 8, 3, verdict, desk.styles("caution"))
    sheet.set_row(8, row_height((verdict, sum(WIDTHS))) + 3)
    end = listing(desk, sheet, KILN, ("kiln",), TOP, _task_names(desk))
    if end <= ONE_PAGE:
        sheet.fit_to_pages(1, 1)


def _verdict(desk: Desk) -> str:
    """What the model says of the typed fuel, in words."""
    found = fuel_verdict(desk.results.plan, desk.results.figures)
    if found == MODELLED:
        return (
            "The fuel of a firing is not measured: the model's start-up fuel is used in the money. Log one firing."
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
    titles = ["Month", *(f"{line(f'month_1_{key}').label} [kg]" for key in MONTHLY), "Firings", "Left over [kg]"]
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
                desk.write(sheet, at, column, printed, "plain", _format(key, printed.value))
                desk.define(f"month_{m}_{key}", MONTHS, at, column)
            else:
                sheet.write_formula(
                    at,
                    column,
                    _even(m, key),
                    desk.styles("plain", _format(key, values[m - 1][key])),
                    values[m - 1][key],
                )
    _totals(desk, sheet, values)
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
        LAST + 4, 0, "Firings: loads begun since January, rounded up, less those of the months before.",
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


def _totals(desk: Desk, sheet: Any, values: list[dict[str, Any]]) -> None:
    """The year under the months."""
    sheet.write_string(LAST + 1, 0, "Year", desk.styles("total"))
    for column, key in enumerate((*MONTHLY, "firings"), start=1):
        cells = f"{xl_rowcol_to_cell(FIRST, column)}:{xl_rowcol_to_cell(LAST, column)}"
        whole = sum(month[key] for month in values)
        sheet.write_formula(LAST + 1, column, f"=SUM({cells})", desk.styles("total", "n0"), whole)
    sheet.write_string(LAST + 1, 6, "", desk.styles("total"))


def month_check() -> str:
    """The formula that is "ok" where every month adds up."""
    cells = f"'{MONTHS}'!{xl_rowcol_to_cell(FIRST, 6)}:{xl_rowcol_to_cell(LAST, 6)}"
    return f'IF(SUMPRODUCT(ABS({cells}))<=0.00001*MAX(bones_received_kg,1),"ok","look")'
