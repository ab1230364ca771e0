"""The first page: the finding, the big figures, two charts, the cautions; one printed page."""

from __future__ import annotations

import math
from typing import Any

from econ.answer.finding import (
    carbon_finding,
    deep_sentence,
    finding_sentence,
    headline_sentence,
    loss_words,
    terms,
)
from econ.answer.must_be_true import amount, must_be_true
from econ.workbook.desk import (
    ANSWER,
    ASSAY,
    BEFORE_BATCH,
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
    SETTLE,
    SOURCES,
    TRIALS,
    VARIANCE,
    WORTH,
    Desk,
)
from econ.workbook.desk import CARBON as CARBON_PAGE
from econ.workbook.live import defined_name
from econ.workbook.pages.cash_page import CHART_WORDS as CASH_WORDS
from econ.workbook.pages.cash_page import cash_chart
from econ.workbook.pages.effects_page import CHART_WORDS as EFFECT_WORDS
from econ.workbook.pages.effects_page import effect_chart
from econ.workbook.style import number_format, row_height

WIDTHS = (24, 28, 37, 36)
LAST = len(WIDTHS) - 1
WIDE = sum(WIDTHS)
FIGURES_TOP = 6
CHART_LINES = 14
CAUTIONS_SHOWN = 7
PER_T = 1000.0

Tile = tuple[str, str, float | str, str, tuple[str, str]]
"""Label with its unit, formula, value, number format; page and figure where it comes from."""
Question = tuple[str, list[Tile]]


def write_answer(desk: Desk, rows: dict[str, int]) -> None:
    """Fill the first page: what a narrow screen shows first is the finding and the five questions."""
    results = desk.results
    sheet = desk.sheet(ANSWER, "Should the bones go to a kiln?", WIDTHS, landscape=False)
    sheet.fit_to_pages(1, 1)
    said = finding_sentence(results)
    sheet.merge_range(3, 0, 3, LAST, said, desk.styles("finding"))
    sheet.set_row(3, row_height((said, WIDE), size=13.5) + 10)
    parts = (
        headline_sentence(results),
        carbon_finding(results),
        deep_sentence(results),
        f"All NPV {terms(results)}.",
    )
    firm = " ".join(part for part in parts if part)
    sheet.merge_range(4, 0, 4, LAST, firm, desk.styles("wrap"))
    sheet.set_row(4, row_height((firm, WIDE)) + 4)
    sheet.set_row(5, 6)
    at = FIGURES_TOP
    for question in (_money(desk), _bill(desk), _yields(desk), _carbon(desk), _risk(desk)):
        _ask(desk, sheet, at, question)
        at += 2
    at = _must(desk, sheet, at + 1)
    _charts(desk, sheet, rows, at + 1)
    at = _cautions(desk, sheet, at + 1 + CHART_LINES)
    at = _links(desk, sheet, at + 1)
    sheet.print_area(0, 0, at, LAST)


def _ask(desk: Desk, sheet: Any, at: int, asked: Question) -> None:
    """A question, and beside it three figures; each leads to where it is computed."""
    question, tiles = asked
    sheet.merge_range(at, 0, at + 1, 0, "", desk.styles("question"))
    page = tiles[0][-1][0]
    sheet.write_url(at, 0, f"internal:'{page}'!A1", desk.styles("question"), question, f"to {page}")
    for column, (label, formula, value, number, (page, figure)) in enumerate(tiles, start=1):
        where = desk.names.get(defined_name(figure), "") if figure else ""
        where = where or f"'{page}'!A1"
        shape = desk.styles("figure", number)
        sheet.write_url(at, column, f"internal:{where}", shape, "", f"to {where}")
        if formula:
            sheet.write_formula(at, column, formula, shape, value)
        elif isinstance(value, str):
            sheet.write_string(at, column, value, shape)
        else:
            sheet.write_number(at, column, value, shape)
        sheet.write_string(at + 1, column, label, desk.styles("figure_label"))
    sheet.set_row(at, 27)
    sheet.set_row(at + 1, row_height(*((tile[0], WIDTHS[1]) for tile in tiles), size=9, least=26))


def _money(desk: Desk) -> Question:
    """The headline as three numbers; range and place are values of the run."""
    results, currency = desk.results, desk.currency
    found = results.headline
    return "1  Does it pay?", [
        (f"NPV over {results.plan.years} years, at your values [{currency}]", "=the_npv", found.typed, "money0",
         (CASH, "npv")),
        (f"P10 to P90: two in ten cases lie outside [{currency}]", "", f"{_few(found.p10)} to {_few(found.p90)}",
         "money0", (CHANCES, "")),
        ("cases in which NPV is lower than at your values", "", f"{found.place * 100:.0f} of 100", "money0",
         (CHANCES, "")),
    ]  # fmt: skip


def _few(value: float) -> str:
    """Money with three figures that matter."""
    step = 10.0 ** max(len(f"{abs(value):.0f}") - 3, 0)
    return f"{round(value / step) * step:,.0f}"


def _bill(desk: Desk) -> Question:
    figures, currency = desk.results.figures, desk.currency
    formula, value, unit = desk.amount("net_cost_per_kg_bones", "$/t", PER_T)
    bill, saved, _ = desk.amount("saved_bill_per_kg_bones", "$/t", PER_T)
    return "2  What does it cost?", [
        (f"to buy before the first batch [{currency}]", "=capital_total_today", figures["capital_total_today"],
         "money0", (CASH, "capital_total_today")),
        (f"kiln: net cost of bones [{unit}]", formula, value, "money0", (CASH, "net_cost_per_kg_bones")),
        (f"avoided disposal cost of bones [{unit}]", bill, saved, "money0", (CASH, "saved_bill_per_kg_bones")),
    ]  # fmt: skip


def _tonnes(desk: Desk, label: str, name: str, page: str) -> Tile:
    label, _, metric = label.removesuffix("]").partition(" [")
    formula, value, unit = desk.amount(name, metric, 1 / PER_T)
    if math.isnan(value):
        return (f"{label} [{unit}]", "", "not reported", "n2", (page, name))
    return (f"{label} [{unit}]", formula, value, number_format(value, ""), (page, name))


def _yields(desk: Desk) -> Question:
    return "3  What comes out?", [
        _tonnes(desk, "bones processed [t/year]", "bones_fired_kg", MATTER),
        _tonnes(desk, "bone char made, dry [t/year]", "char_kg", MATTER),
        _tonnes(desk, "phosphate in it, as P2O5 [t/year]", "p2o5_kg", MATTER),
    ]


def _carbon(desk: Desk) -> Question:
    return "4  What about carbon?", [
        _tonnes(desk, "CO2 removal, 100 years [t CO2e/year]", "removal_kg_co2e", CARBON_PAGE),
        _tonnes(desk, "emitted by fuel, stack and transport [t CO2e/year]", "process_kg_co2e", CARBON_PAGE),
        _tonnes(desk, "removal less emissions; below 0: a net source [t CO2e/year]", "project_net_kg_co2e",
                CARBON_PAGE),
    ]  # fmt: skip


def _risk(desk: Desk) -> Question:
    """The probability is a value of the run: the ranges do not move with the file."""
    results = desk.results
    payback, irr = results.figures["payback_years"], results.figures["irr"]
    return "5  How sure, how soon?", [
        ("probability that NPV is below zero", "", loss_words(results), "pct0", (CHANCES, "")),
        ("payback at your values [years]", "=payback_years", "never" if math.isnan(payback) else payback,
         "n1", (CASH, "payback_years")),
        ("internal rate of return (IRR) at your values", "=the_irr", "none" if math.isnan(irr) else irr, "pct1",
         (CASH, "irr")),
    ]  # fmt: skip


def _must(desk: Desk, sheet: Any, at: int) -> int:
    """What must be true, one lever at a time, for the NPV to be zero; values of the run."""
    heads = ("What must be true", "At your values", "NPV is zero at", "How far that is, all else as typed")
    for column, text in enumerate(heads):
        sheet.write_string(at, column, text, desk.styles("heading"))
    for one in must_be_true(desk.results):
        at += 1
        even = "not in range" if one.even is None else f"{amount(one.even)} {one.unit}"
        for column, text in enumerate((one.label, f"{amount(one.typed)} {one.unit}", even, one.words)):
            sheet.write_string(at, column, text, desk.styles("word" if column else "bold"))
    return at + 1


def _charts(desk: Desk, sheet: Any, rows: dict[str, int], at: int) -> None:
    cash = cash_chart(desk, rows, desk.results.plan.years)
    cash.set_size({"width": 350, "height": 20 * CHART_LINES - 10})
    sheet.insert_chart(at, 0, cash, {"x_offset": 2, "description": CASH_WORDS})
    if desk.results.effects:
        chart = effect_chart(desk, bars=7, margin=1.9)
        chart.set_size({"width": 474, "height": 20 * CHART_LINES - 10})
        sheet.insert_chart(at, 1, chart, {"x_offset": 182, "description": EFFECT_WORDS})


def _cautions(desk: Desk, sheet: Any, at: int) -> int:
    sheet.merge_range(at, 0, at, LAST, "What must be settled first", desk.styles("heading"))
    for caution in desk.results.cautions[:CAUTIONS_SHOWN]:
        at += 1
        sheet.merge_range(at, 0, at, LAST, caution.text, desk.styles("caution"))
        sheet.set_row(at, row_height((caution.text, WIDE - 2)) + 2)
    more = len(desk.results.cautions) - CAUTIONS_SHOWN
    if more > 0:
        at += 1
        sheet.write_url(
            at, 0, f"internal:'{CHECKS}'!A1", desk.styles("link"), f"and {more} more on the sheet Checks"
        )
    return at + 1


WORDS = {
    BEFORE_BATCH: "fire, gas, SRM, permits", SETTLE: "who, what, by when",
    MATTER: "what comes out", FLOW: "where the bones go", KILN: "heat, time, people", MONTHS: "the months",
    CARBON_PAGE: "what may be said about carbon", CASH: "does it pay", LENDER: "is there enough cash each month",
    EFFECTS: "what would change the answer", CHANCES: "how likely is a loss", BREAKEVEN: "where the answer turns",
    OPTIONS: "the alternatives beside it", INPUTS: "inputs as used", SOURCES: "sources of factors",
    CHECKS: "does it add up, all cautions", LOG: "weighed batches", ASSAY: "what the lab says",
    LABEL: "what a label would state", PLANTING: "char for own trees", TRIALS: "what the trials show",
    WORTH: "before signing", VARIANCE: "where the doubt comes from",
}  # fmt: skip


def _links(desk: Desk, sheet: Any, at: int) -> int:
    """Two columns of links, one to every other page; returns the last row."""
    sheet.merge_range(at, 0, at, LAST, "Read on", desk.styles("heading"))
    names = [name for name in desk.page_names() if name != ANSWER]
    high = -(-len(names) // 2)
    for i, name in enumerate(names):
        text = f"{name}: {WORDS[name]}"
        row, column = at + 1 + i % high, 2 * (i // high)
        sheet.write_url(row, column, f"internal:'{name}'!A1", desk.styles("link"), text)
    return at + high
