"""The first page: the finding, the big figures, two charts, the cautions; one printed page."""

from __future__ import annotations

import math
from typing import Any

from econ.finding import DOES_NOT_PAY, OPENING, PAYS, carbon_finding, firmness, ruling, terms, verdict
from econ.workbook.desk import (
    ANSWER,
    ASSAY,
    BREAKEVEN,
    CASH,
    CHANCES,
    CHECKS,
    EFFECTS,
    FLOW,
    INPUTS,
    KILN,
    LABEL,
    LENDER,
    LOG,
    MATTER,
    MONTHS,
    OPTIONS,
    PLANTING,
    SOURCES,
    TRIALS,
    VARIANCE,
    WORTH,
    Desk,
)
from econ.workbook.desk import CARBON as CARBON_PAGE
from econ.workbook.pages.cash import cash_chart
from econ.workbook.pages.effects import effect_chart
from econ.workbook.style import lines_of, number_format

WIDTHS = (26, 26, 26, 26, 26)
CAUTIONS_SHOWN = 7

Tile = tuple[str, str, str, float | str, str]
"""Label, formula, unit, value, number format."""


def write_answer(desk: Desk, rows: dict[str, int]) -> None:
    """Fill the first page."""
    results = desk.results
    sheet = desk.sheet(ANSWER, "Should the bones go to a kiln?", WIDTHS)
    sheet.fit_to_pages(1, 1)
    sheet.merge_range(3, 0, 3, 4, "", desk.styles("finding"))
    does = f'IF(the_npv>=0,"{PAYS}","{DOES_NOT_PAY}")'
    before, after = (_plain(part) for part in terms(results))
    formula = f'="{OPENING} "&{does}&" {before} "&ROUND(money_discount_rate*100,2)&" {after}"'
    sheet.write_formula(3, 0, formula, desk.styles("finding"), _plain(verdict(results)))
    sheet.set_row(3, 40)
    firm = f"{firmness(results)} {carbon_finding(results)} {ruling(results)}"
    sheet.merge_range(4, 0, 4, 4, firm, desk.styles("wrapmid"))
    sheet.set_row(4, 62)
    _tiles(desk, sheet, 6, _money(desk))
    _tiles(desk, sheet, 9, _yields(desk))
    _charts(desk, sheet, rows)
    _cautions(desk, sheet, 29)
    _links(desk, sheet, 29 + CAUTIONS_SHOWN + 2)


def _plain(text: str) -> str:
    return text.replace('"', "'")


def _tiles(desk: Desk, sheet: Any, at: int, tiles: list[Tile]) -> None:
    for column, (label, formula, unit, value, number) in enumerate(tiles):
        sheet.write_string(at, column, f"{label} [{unit}]" if unit else label, desk.styles("big_label"))
        if isinstance(value, str) and not formula:
            sheet.write_string(at + 1, column, value, desk.styles("big"))
        else:
            sheet.write_formula(at + 1, column, formula, desk.styles("big", number), value)
    sheet.set_row(at, 28)
    sheet.set_row(at + 1, 32)


def _money(desk: Desk) -> list[Tile]:
    figures, currency = desk.results.figures, desk.currency
    fee = desk.results.scenario["current.fee"]
    payback = figures["payback_years"]
    irr = figures["irr"]
    return [
        ("Net present value", "=the_npv", currency, figures["npv"], "money0"),
        ("Payback", "=payback_years", "years", "never" if math.isnan(payback) else payback, "n1"),
        ("Internal rate of return", "=the_irr", "", "none" if math.isnan(irr) else irr, "pct1"),
        ("Kiln: net cost of a tonne of bones", "=net_cost_per_kg_bones*1000", f"{currency}/t",
         figures["net_cost_per_kg_bones"] * 1000, "money0"),
        ("Today's way: cost of a tonne of bones", "" if fee.value is None else "=current_fee*1000",
         f"{currency}/t", "not given" if fee.value is None else fee.number * 1000, "money0"),
    ]  # fmt: skip


def _yields(desk: Desk) -> list[Tile]:
    figures = desk.results.figures

    def tonnes(label: str, name: str, unit: str) -> Tile:
        value = figures[name] / 1000
        if math.isnan(value):
            return (label, "", unit, "withheld", "n2")
        return (label, f"={name}/1000", unit, value, number_format(value, ""))

    return [
        tonnes("Bones fired", "bones_fired_kg", "t/year"),
        tonnes("Char made, dry", "char_kg", "t/year"),
        tonnes("P2O5 in the char", "p2o5_kg", "t/year"),
        tonnes("Removal by durable carbon", "removal_kg_co2e", "t CO2e/year"),
        tonnes("Removal less kiln emissions", "project_net_kg_co2e", "t CO2e/year"),
    ]


def _charts(desk: Desk, sheet: Any, rows: dict[str, int]) -> None:
    cash = cash_chart(desk, rows, desk.results.plan.years)
    cash.set_size({"width": 470, "height": 320})
    sheet.insert_chart(12, 0, cash, {"x_offset": 4, "description": "Cash by year, and the sum of cash so far"})
    if desk.results.effects:
        chart = effect_chart(desk, bars=7)
        chart.set_size({"width": 470, "height": 320})
        sheet.insert_chart(12, 2, chart, {"x_offset": 100, "description": "Effect of the ranges on NPV"})


def _cautions(desk: Desk, sheet: Any, at: int) -> None:
    sheet.merge_range(at, 0, at, 4, "What must be settled first", desk.styles("heading"))
    shown = desk.results.cautions[:CAUTIONS_SHOWN]
    for line, caution in enumerate(shown, start=at + 1):
        sheet.merge_range(line, 0, line, 4, caution.text, desk.styles("caution"))
        sheet.set_row(line, 13.5 * lines_of(caution.text, sum(WIDTHS)) + 4)


WORDS = {
    MATTER: "what comes out", FLOW: "where the bones go", KILN: "heat, time, people", MONTHS: "the months",
    CARBON_PAGE: "what may be said about carbon", CASH: "does it pay", LENDER: "will the till hold",
    EFFECTS: "what would change the answer", CHANCES: "how likely is a loss", BREAKEVEN: "where the answer turns",
    OPTIONS: "the other ways beside it", INPUTS: "inputs as used", SOURCES: "sources of factors",
    CHECKS: "does it add up, all cautions", LOG: "weighed firings", ASSAY: "what the lab says",
    LABEL: "what a label would state", PLANTING: "char for own trees", TRIALS: "what the trials show",
    WORTH: "before signing", VARIANCE: "where the doubt comes from",
}  # fmt: skip


def _links(desk: Desk, sheet: Any, at: int) -> None:
    sheet.merge_range(at, 0, at, 4, "Read on", desk.styles("heading"))
    for i, name in enumerate(page for page in desk.page_names() if page != ANSWER):
        column = (0, 2, 4)[i % 3]
        text = f"{name}: {WORDS[name]}"
        sheet.write_url(at + 1 + i // 3, column, f"internal:'{name}'!A1", desk.styles("link"), text)
