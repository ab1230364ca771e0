"""The carbon page: four blocks apart, both methods side by side, other ways, calendar, what cancels it."""

from __future__ import annotations

import math
from typing import Any

from econ.answer.carbon_account import (
    METHOD_WORDS,
    METHODS,
    NET_FORMULA,
    WITH_FORMULA,
    WITHOUT_FORMULA,
    calendar,
    lasting_share,
    paragraph,
    reason,
)
from econ.answer.carbon_case import TODAY, conservative, permanence
from econ.answer.quoted import hydrogen_words
from econ.model.derived import over_study, study_name
from econ.workbook.desk import CARBON, Desk
from econ.workbook.live import Printed
from econ.workbook.pages.figures_page import listing, notes
from econ.workbook.style import BOLD, INK, LEGEND, SLATE, axis, number_format, row_height, title

WIDTHS = (50, 12, 12, 12, 12, 14, 14, 14)
LAST = len(WIDTHS) - 1
WHITE = "#FFFFFF"
TOP = 5
BLOCKS = (
    ("CO2 removal (100 years, at application)", "removal_kg_co2e"),
    ("Process emissions", "process_kg_co2e"),
    ("Avoided emissions against current practice", "avoided_kg_co2e"),
    ("Lost displacement of co-products", "credits_lost_kg_co2e"),
)
NETS = (
    (f"Project net = {NET_FORMULA}", "project_net_kg_co2e"),
    (f"Difference to current practice = {WITHOUT_FORMULA}", "difference_kg_co2e"),
    (f"Difference to current practice = {WITH_FORMULA}", "difference_with_credits_kg_co2e"),
)
WAYS = (
    ("Composting", "compost_kg_co2e"),
    ("Landfill, all methane however late", "landfill_kg_co2e"),
    ("Shallow pit, landfill formula at 0.4, no gas capture", "pit_kg_co2e"),
    ("Rendering without displaced co-products", "rendering_kg_co2e"),
    ("Rendering with displaced co-products", "rendering_with_credits_kg_co2e"),
    ("Own factor: burial or another way", "own_way_kg_co2e"),
)


def write_carbon(desk: Desk) -> None:
    """What may be said about carbon on two printed pages; then the calendar, and how every figure is computed."""
    sheet = desk.sheet(CARBON, "What may be said about carbon?", WIDTHS)
    _verdict(desk, sheet)
    at = _blocks(desk, sheet, TOP)
    _chart(desk, sheet, at + 1)
    at = _text(desk, sheet, at + 19, "Paragraph for an application", [paragraph(desk.results)])
    second = at + 1
    at = _methods(desk, sheet, second)
    at = _ways(desk, sheet, at + 1)
    at = _text(desk, sheet, at + 1, "Permanence", list(permanence(desk.results)))
    at = _text(desk, sheet, at + 1, "How to read this", notes(desk))
    tracing = at + 1
    at = _cancels(desk, sheet, tracing)
    at = _calendar(desk, sheet, at + 1)
    listing(desk, sheet, CARBON, ("carbon",), at + 1, freezes=False, widths=WIDTHS)
    sheet.set_h_pagebreaks([second, tracing])


def _verdict(desk: Desk, sheet: Any) -> None:
    store = "CO2 removal is larger than process emissions: a net removal, on these inputs."
    source = "The kiln emits more than the char stores: a net source of greenhouse gas."
    net = desk.results.figures["project_net_kg_co2e"]
    sheet.merge_range(3, 0, 3, LAST, "", desk.styles("finding"))
    if math.isnan(net):
        words = desk.results.reasons["removal_t_co2e_per_year"]
        sheet.write_string(3, 0, f"The removal is {words}.", desk.styles("finding"))
    else:
        shown = source if net < 0 else store
        formula = f'=IF(project_net_kg_co2e<0,"{source}","{store}")'
        sheet.write_formula(3, 0, formula, desk.styles("finding"), shown)
    sheet.set_row(3, 30)


def _heads(desk: Desk, sheet: Any, at: int, heads: tuple[str, ...]) -> int:
    heads = tuple(head.replace(" [", "\n[") for head in heads)
    for column, head in enumerate(heads):
        sheet.write_string(at, column, head, desk.styles("column_right" if column else "column"))
    sheet.set_row(at, row_height(*zip(heads, WIDTHS, strict=False), size=10.5))
    return at + 1


def _blocks(desk: Desk, sheet: Any, at: int) -> int:
    """The blocks per year with low, middle, high; per tonne of bones and char; over the study."""
    per = desk.shown_unit("kg CO2e/t")[0]
    at = _heads(
        desk, sheet, at,
        ("Reported separately; do not add", "P5 [t CO2e/year]", "Median [t CO2e/year]",
         "P95 [t CO2e/year]", "As typed [t CO2e/year]", f"As typed [{per} bones]", f"As typed [{per} char]",
         f"As typed, {desk.results.plan.years} years [t CO2e]"),
    )  # fmt: skip
    for label, name in (*BLOCKS, *NETS):
        look = "plain" if (label, name) in BLOCKS else "bold"
        sheet.write_string(at, 0, label, desk.styles("label" if look == "plain" else "bold_wrap"))
        sheet.set_row(at, row_height((label, WIDTHS[0]), size=10 * BOLD))
        _measures(desk, sheet, at, name, look)
        at += 1
    return at


def _measures(desk: Desk, sheet: Any, at: int, name: str, look: str) -> None:
    figures, years = desk.results.figures, desk.results.plan.years
    value = figures[name]
    for column, end in enumerate(desk.results.carbon(name), start=1):
        _number(desk, sheet, at, column, end / 1000, look)
    _live(desk, sheet, at, 4, f"{name}/1000", value / 1000, look)
    bones, char = figures["bones_fired_kg"], figures["char_kg"]
    scale = 1000 * desk.shown_unit("kg CO2e/t")[1]
    per_bones = value / bones * scale if bones else math.nan
    per_char = value / char * scale if char else math.nan
    _live(desk, sheet, at, 5, f"{name}/bones_fired_kg*{scale!r}", per_bones, look)
    _live(desk, sheet, at, 6, f"{name}/char_kg*{scale!r}", per_char, look)
    whole = study_name(name) or f"{name}*{years}"
    _live(desk, sheet, at, 7, f"{whole}/1000", over_study(figures, name, years) / 1000, look)


def _live(desk: Desk, sheet: Any, at: int, column: int, formula: str, value: float, look: str = "plain") -> None:
    if math.isnan(value):
        sheet.write_string(at, column, "not reported", desk.styles("right"))
    else:
        desk.write(sheet, at, column, Printed(formula, value), look, number_format(value, ""))


def _number(desk: Desk, sheet: Any, at: int, column: int, value: float, look: str = "plain") -> None:
    if math.isnan(value):
        sheet.write_string(at, column, "not reported", desk.styles("right"))
    else:
        sheet.write_number(at, column, value, desk.styles(look, number_format(value, "")))


def _chart(desk: Desk, sheet: Any, at: int) -> None:
    """Low, middle and high of the four blocks and the project net, side by side."""
    chart = desk.book.add_chart({"type": "column"})
    first, last = TOP + 1, TOP + len(BLOCKS)
    for column, name, pattern in ((1, "P5", "percent_5"), (2, "median", ""), (3, "P95", "wide_upward_diagonal")):
        shade = {"pattern": pattern, "fg_color": INK, "bg_color": WHITE} if pattern else {}
        chart.add_series(
            {
                "name": name,
                "categories": [CARBON, first, 0, last, 0],
                "values": [CARBON, first, column, last, column],
                "border": {"color": INK},
                "data_labels": {"value": True, "num_format": "#,##0.0", "font": {"size": 8}},
                "gap": 60,
                **({"pattern": shade} if shade else {"fill": {"color": SLATE}}),
            }
        )
    chart.set_title(title("The four blocks, each alone: P5, median, P95"))
    chart.set_x_axis({**axis("block (each stands alone)"), "label_position": "low"})
    chart.set_y_axis(axis("t CO2e a year", "#,##0.0", has_grid=True))
    chart.set_legend(LEGEND)
    chart.set_size({"width": 1000, "height": 340})
    sheet.insert_chart(at, 0, chart, {"x_offset": 4, "description": "The four carbon blocks: P5, median and P95"})


def _text(desk: Desk, sheet: Any, at: int, heading: str, texts: list[str]) -> int:
    _heading(desk, sheet, at, heading)
    for text in texts:
        at += 1
        sheet.merge_range(at, 0, at, LAST, text, desk.styles("caution"))
        sheet.set_row(at, row_height((text, sum(WIDTHS) - 2)) + 3)
    return at + 1


def _heading(desk: Desk, sheet: Any, at: int, text: str) -> None:
    for column in range(LAST + 1):
        sheet.write_string(at, column, text if column == 0 else "", desk.styles("heading"))


def _methods(desk: Desk, sheet: Any, at: int) -> int:
    """Both methods and, for H/C_org, with and without the hydrogen of the mineral."""
    _heading(desk, sheet, at, "Fraction of carbon remaining after 100 years, by each method")
    at = _heads(
        desk, sheet, at + 1,
        ("Method", "Share, low", "Share, middle", "Share, high", "CO2 removal, P5 [t CO2e/year]",
         "CO2 removal, median [t CO2e/year]", "CO2 removal, P95 [t CO2e/year]", "H/C_org [mol/mol]"),
    )  # fmt: skip
    scenario = desk.results.scenario
    lab = scenario["carbon.h_corg"].number if scenario.has("carbon.h_corg") else math.nan
    ratios = {"hc_lab": lab, "hc_corrected": desk.results.figures["hc_less_mineral"]}
    used = desk.results.plan.persistence
    rows = {name: METHOD_WORDS[method] + (" (used)" if method == used else "") for method, name in METHODS.items()}
    known = hydrogen_words(desk.results)
    rows |= {"hc_lab": f"  H/C_org as it stands ({known})", "hc_corrected": "  less the hydrogen of the mineral"}
    for name, label in rows.items():
        text = f"{label[0].upper()}{label[1:]}"
        sheet.write_string(at, 0, text, desk.styles("label"))
        sheet.set_row(at, row_height((text, WIDTHS[0])))
        for column, end in enumerate(("low_", "", "high_"), start=1):
            _share(desk, sheet, at, column, lasting_share(desk.results, name, end))
        for column, value in enumerate(desk.results.carbon(f"removal_by_{name}_kg_co2e"), start=4):
            _number(desk, sheet, at, column, value / 1000)
        if name in ratios and not math.isnan(ratios[name]):
            sheet.write_number(at, 7, ratios[name], desk.styles("plain", "n2"))
        at += 1
    for method in METHODS:
        if why := reason(desk.results, method):
            text = f"{METHOD_WORDS[method]}: {why}"
            sheet.merge_range(at, 0, at, LAST, text, desk.styles("caution"))
            sheet.set_row(at, row_height((text, sum(WIDTHS) - 2)) + 3)
            at += 1
    return at


def _share(desk: Desk, sheet: Any, at: int, column: int, value: float) -> None:
    if math.isnan(value):
        sheet.write_string(at, column, "not reported", desk.styles("right"))
    else:
        sheet.write_number(at, column, value, desk.styles("plain", "pct1"))


def _ways(desk: Desk, sheet: Any, at: int) -> int:
    """The same bones by each other way; today's way is marked."""
    _heading(desk, sheet, at, "Baselines: what the same bones would emit otherwise (never part of a removal)")
    at = _heads(desk, sheet, at + 1, ("Way", "[t CO2e/year]", f"[{desk.shown_unit('kg CO2e/t')[0]} bones]"))
    today = desk.results.plan.today
    least = conservative(desk.results)
    for label, name in WAYS:
        is_today = _is_today(today, name)
        is_least = name == least or (is_today and least == TODAY and "with_credits" not in name)
        marks = ["current practice"] * is_today + ["conservative baseline"] * is_least
        sheet.write_string(at, 0, label, desk.styles("bold" if marks else "label"))
        sheet.write_string(at, 3, f"   {'; '.join(marks)}", desk.styles("plain"))
        value, bones = desk.results.figures[name], desk.results.figures["bones_fired_kg"]
        _live(desk, sheet, at, 1, f"{name}/1000", value / 1000)
        scale = 1000 * desk.shown_unit("kg CO2e/t")[1]
        per_t = value / bones * scale if bones else math.nan
        _live(desk, sheet, at, 2, f"{name}/bones_fired_kg*{scale!r}", per_t)
        at += 1
    return at


def _is_today(today: str, name: str) -> bool:
    names = {"composting": "compost", "landfill": "landfill", "rendering": "rendering"}
    return name.startswith(names.get(today, "own_way"))


def _cancels(desk: Desk, sheet: Any, at: int) -> int:
    _heading(desk, sheet, at, "Each of these alone cancels the CO2 removal")
    at += 1
    rows = (
        ("Propane for the bones [L/t]", "cancel_propane_l_per_t", ""),
        ("Share of the lost nitrogen leaving as N2O", "cancel_n2o_share", "pct2"),
        ("Stack methane for the char [g/kg]", "cancel_ch4_g_per_kg_char", ""),
        ("Stack methane for the fat and protein turned to gas [g/kg]", "cancel_ch4_g_per_kg_volatiles", ""),
    )
    for label, name, number in rows:
        label, _, metric = label.removesuffix("]").partition(" [")
        unit, factor = desk.shown_unit(metric) if metric else ("", 1.0)
        value = desk.results.figures[name] * factor
        sheet.write_string(at, 0, f"{label} [{unit}]" if unit else label, desk.styles("label"))
        if number and not math.isnan(value):
            desk.write(sheet, at, 1, Printed(name, value), "plain", number)
        else:
            _live(desk, sheet, at, 1, f"{name}*{factor!r}" if factor != 1.0 else name, value)
        at += 1
    return at


def _calendar(desk: Desk, sheet: Any, at: int) -> int:
    """Landfill methane by calendar year, apart from the figures over 100 years."""
    _heading(desk, sheet, at, "Landfill methane by the calendar of the study (the figures above are for all time)")
    heads = ("End of year", "Bones so far: all their methane [t CO2e]", "Share of it out", "Out so far [t CO2e]")
    at = _heads(desk, sheet, at + 1, heads)
    for row in calendar(desk.results):
        year = int(row["year"])
        sheet.write_number(at, 0, year, desk.styles("left", "year"))
        _live(desk, sheet, at, 1, f"landfill_kg_co2e*{year}/1000", row["deposited_t_co2e"])
        _share(desk, sheet, at, 2, row["out_share"])
        _live(desk, sheet, at, 3, f"B{at + 1}*C{at + 1}", row["out_t_co2e"])
        at += 1
    return at
