"""The page of options: every way for the bones side by side, live, with one chart and one sentence."""

from __future__ import annotations

from typing import Any

from econ.answer.option_table import MIX, Compared, compared, sentence
from econ.answer.results import inputs_code
from econ.model.plan_parts import CHAR, TODAY
from econ.workbook.desk import OPTIONS, Desk
from econ.workbook.live import defined_name
from econ.workbook.pages.figures_page import ONE_PAGE, listing
from econ.workbook.style import INK, NO_LEGEND, SLATE, axis, number_format, row_height, title

TOP = 7
CHART_ROWS = 18

COLUMNS = (
    ("npv_against_today", "NPV against current practice, after tax [$]"),
    ("cost_per_t_bones", "Annual equivalent cost of bones [$/t]"),
    ("present_value", "Present value of costs, before tax [$]"),
    ("yearly_cost", "Net operating cost per year [$]"),
    ("capital", "Initial investment [$]"),
    ("hours", "Labour [h/year]"),
    ("p_kept_kg", "P kept for soil [kg/year]"),
    ("p_in_feed_kg", "P kept in feed, not for soil [kg/year]"),
    ("n_kept_kg", "N kept for soil [kg/year]"),
    ("removal_t_co2e", "CO2 removal [t CO2e/year]"),
    ("emissions_t_co2e", "Emissions [t CO2e/year]"),
    ("avoided_t_co2e", "Avoided emissions [t CO2e/year]"),
    ("credits_t_co2e", "Displaced co-products [t CO2e/year]"),
    ("usable_after", "Usable after"),
    ("left_over_t", "Bones not taken [t/year]"),
    ("rules", "Rules to ask about"),
)
WORDS = frozenset({"usable_after", "rules"})
CHAR_LIVE = {
    "npv_against_today": "the_npv",
    "cost_per_t_bones": "char_cost_per_kg*1000",
    "present_value": "pv_cost",
    "yearly_cost": "char_yearly_cost",
    "capital": "capital_total_today",
    "hours": "hours_per_year",
    "p_kept_kg": "char_p_kept_kg",
    "n_kept_kg": "char_n_kept_kg",
    "left_over_t": "char_left_over_kg/1000",
    "removal_t_co2e": "removal_kg_co2e/1000",
    "emissions_t_co2e": "process_kg_co2e/1000",
    "avoided_t_co2e": "avoided_kg_co2e/1000",
}
TODAY_LIVE = {
    "cost_per_t_bones": "today_cost_per_kg*1000",
    "present_value": "today_pv_cost",
    "yearly_cost": "disposal_saved_today",
    "p_kept_kg": "today_p_kept_kg",
    "p_in_feed_kg": "today_p_in_feed_kg",
    "n_kept_kg": "today_n_kept_kg",
    "emissions_t_co2e": "avoided_kg_co2e/1000",
    "credits_t_co2e": "credits_lost_kg_co2e/1000",
}
OWN = {
    "npv_against_today": ("npv", ""),
    "cost_per_t_bones": ("cost_per_kg", "*1000"),
    "present_value": ("pv_cost", ""),
    "yearly_cost": ("yearly_cost", ""),
    "capital": ("bought", ""),
    "hours": ("people_hours", ""),
    "p_kept_kg": ("p_kept_kg", ""),
    "p_in_feed_kg": ("p_in_feed_kg", ""),
    "n_kept_kg": ("n_kept_kg", ""),
    "emissions_t_co2e": ("emissions_kg_co2e", "/1000"),
    "credits_t_co2e": ("credits_kg_co2e", "/1000"),
    "left_over_t": ("leftover_kg", "/1000"),
}


LABEL_WIDTH, WAY_WIDTH = 44, 20
LEAST_COLUMNS, BESIDE = 6, 3
"""The page has at least so many columns of ways; up to so many leave room for the chart beside them."""


def write_options(desk: Desk) -> None:
    """The table, the chart and every figure behind them."""
    ways = compared(desk.results)
    widths = (LABEL_WIDTH, *[WAY_WIDTH] * max(LEAST_COLUMNS, len(ways)))
    sheet = desk.sheet(OPTIONS, "What else could be done with the bones?", widths)
    said = sentence(desk.results)
    sheet.merge_range(3, 0, 3, len(widths) - 1, said, desk.styles("finding"))
    sheet.set_row(3, row_height((said, sum(widths)), size=13.5) + 8)
    sheet.write_string(
        4, 0, "All for the bones that the kiln processes; those kept out cost every way the same. Blocks "
        "of greenhouse gases are never added up here. "
        "Usual times and rules: common practice, no source.", desk.styles("plain"),
    )  # fmt: skip
    sheet.write_string(
        5, 0, f"Version code of the inputs: {inputs_code(desk.results.scenario)}", desk.styles("plain")
    )
    _table(desk, sheet, ways)
    bottom = TOP + 1 + len(COLUMNS)
    beside = len(ways) <= BESIDE
    _chart(desk, sheet, len(ways), (TOP, len(ways) + 1) if beside else (bottom + 1, 0))
    end = _listing(desk, sheet, bottom + (1 if beside else CHART_ROWS + 2), widths)
    if end <= ONE_PAGE:
        sheet.fit_to_pages(1, 1)


def _table(desk: Desk, sheet: Any, ways: tuple[Compared, ...]) -> None:
    sheet.write_string(TOP, 0, "Over the study", desk.styles("column"))
    sheet.set_row(TOP, row_height(*((way.label, WAY_WIDTH) for way in ways), size=10.5))
    for column, way in enumerate(ways, start=1):
        sheet.write_string(TOP, column, way.label, desk.styles("column_right"))
    for at, (name, label) in enumerate(COLUMNS, start=TOP + 1):
        label, _, metric = label.removesuffix("]").partition(" [")
        unit, factor = desk.shown_unit(metric) if metric else ("", 1.0)
        sheet.write_string(at, 0, f"{label} [{unit}]" if unit else label, desk.styles("label"))
        texts = [str(getattr(way, name)) for way in ways] if name in WORDS else [""]
        sheet.set_row(at, row_height(*((text, WAY_WIDTH - 1) for text in texts)))
        for column, way in enumerate(ways, start=1):
            _cell(desk, sheet, at, column, way, name, factor)


def _cell(desk: Desk, sheet: Any, at: int, column: int, way: Compared, name: str, factor: float) -> None:
    value = getattr(way, name)
    if isinstance(value, str):
        sheet.write_string(at, column, value, desk.styles("faint_wrap"))
        return
    if value is None:
        sheet.write_string(at, column, "not known", desk.styles("right"))
        return
    shape = desk.styles("plain", number_format(value * factor, ""))
    formula = live(way, name)
    if formula:
        own = f"*{factor!r}" if factor != 1.0 else ""
        sheet.write_formula(at, column, f"={formula}{own}", shape, value * factor)
    else:
        sheet.write_number(at, column, value * factor, shape)


def live(way: Compared, name: str) -> str:
    """The formula of a figure of the table, or "" where it is a plain number."""
    if way.kind == CHAR:
        return CHAR_LIVE.get(name, "")
    if way.name == TODAY:
        return TODAY_LIVE.get(name, "")
    if name == "avoided_t_co2e":
        return CHAR_LIVE[name]
    line, scale = OWN.get(name, ("", ""))
    if not line:
        return ""
    if way.kind == MIX:
        return f"mix_{line}{scale}" if name != "left_over_t" else ""
    return defined_name(f"{way.name.replace('.', '_')}_{line}") + scale


def _chart(desk: Desk, sheet: Any, count: int, at: tuple[int, int]) -> None:
    """The chart with its corner at a row and column."""
    chart = desk.book.add_chart({"type": "bar"})
    row = TOP + 1 + [name for name, _ in COLUMNS].index("cost_per_t_bones")
    chart.add_series(
        {
            "name": "annual equivalent cost of bones",
            "categories": [OPTIONS, TOP, 1, TOP, count],
            "values": [OPTIONS, row, 1, row, count],
            "fill": {"color": SLATE},
            "gap": 60,
        }
    )
    words = "Annual equivalent cost of bones"
    chart.set_title(title(words))
    chart.set_legend(NO_LEGEND)
    chart.set_y_axis({**axis("way of handling"), "reverse": True, "label_position": "low", "line": {"color": INK}})
    unit = f"{desk.shown_unit('$/t')[0]}; a cost stands to the right"
    chart.set_x_axis({**axis(unit, "#,##0", has_grid=True), "label_position": "high", "line": {"none": True}})
    chart.set_size({"width": 580 if at[1] == 2 + 1 else 430 if at[1] else 820, "height": 330})
    sheet.insert_chart(*at, chart, {"x_offset": 12, "description": f"Bars: {words.lower()}, one for each way"})


def _listing(desk: Desk, sheet: Any, at: int, widths: tuple[float, ...]) -> int:
    """The figures by section; words of formulas run on to the right. Returns the next free row."""
    for column in range(len(widths)):
        sheet.write_string(at, column, "" if column else "Every figure behind the table", desk.styles("heading"))
    return listing(desk, sheet, OPTIONS, ("options",), at + 1, freezes=False, widths=widths)
