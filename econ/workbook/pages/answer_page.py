"""The first page: the finding, the big figures, two charts, the cautions; one printed page."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
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
from econ.answer.plan_words import plans_sentence
from econ.workbook.desk import ANSWER, CHECKS, Desk
from econ.workbook.live import Printed, defined_name
from econ.workbook.page_plan import Found, Row, Slot, plans
from econ.workbook.pages.cash_page import chart_ranges
from econ.workbook.pages.effects_page import bars

CAUTIONS_SHOWN = 7
EFFECTS_SHOWN = 7


def answer(desk: Desk) -> Found:
    """What a narrow screen shows first is the finding and the five questions."""
    results, words = desk.results, plans()[ANSWER].words
    found, cautions = results.headline, results.cautions
    firm = (
        headline_sentence(results),
        carbon_finding(results),
        deep_sentence(results),
        plans_sentence(results),
        f"All NPV {terms(results)}.",
    )
    more = len(cautions) - CAUTIONS_SHOWN
    values = {
        "range": f"{_few(found.p10)} to {_few(found.p90)}",
        "place": f"{found.place * 100:.0f} of 100",
        "loss": loss_words(results),
    }
    return {
        "finding": finding_sentence(results),
        "firm": " ".join(filter(None, firm)),
        "tiles": [row for asked in words["asked"] for row in _tiles(desk, asked, values)],
        "must": [
            (one.label, f"{amount(one.typed)} {one.unit}",
             words["not_in_range"] if one.even is None else f"{amount(one.even)} {one.unit}", one.words)
            for one in must_be_true(results)
        ],
        "effects_draw": bars(desk, EFFECTS_SHOWN, 1.9) if results.effects else {},
        "cautions": [caution.text for caution in cautions[:CAUTIONS_SHOWN]],
        "more": [(Slot(words["more"].format(more), link=f"'{CHECKS}'!A1"),)] if more > 0 else (),
        "links": list(_links(desk)),
        **chart_ranges(desk),
    }  # fmt: skip


def _few(value: float) -> str:
    """Money with three figures that matter."""
    step = 10.0 ** max(len(f"{abs(value):.0f}") - 3, 0)
    return f"{round(value / step) * step:,.0f}"


def _tiles(desk: Desk, asked: Mapping[str, Any], values: Mapping[str, str]) -> Iterator[Row]:
    """A question, and beside it three figures with their labels below; each leads to where it is computed."""
    page = asked["page"]
    question = Slot(asked["question"], tall=2, link=f"'{page}'!A1", tip=f"to {page}")
    figures, labels = [question], []
    for tile in asked["tiles"]:
        page = tile.get("page", asked["page"])
        unit = desk.shown_unit(tile["unit"])[0] if "unit" in tile else ""
        label = tile["label"].format(years=desk.results.plan.years, currency=desk.currency)
        labels.append(Slot(f"{label} [{unit}]" if unit else label, "figure_label"))
        where = desk.names.get(defined_name(tile.get("figure", "none")), "") or f"'{page}'!A1"
        content = _content(desk, tile) if "figure" in tile else values[tile["value"]]
        figures.append(Slot(content, f"figure {tile.get('number', '')}", link=where, tip=f"to {where}"))
    yield Row(figures, height=27)
    yield Row((None, *labels), height=26)


def _content(desk: Desk, tile: Mapping[str, Any]) -> Any:
    """A figure as a live formula; a word where it does not exist."""
    formula, value, _ = desk.amount(tile["figure"], tile.get("unit", ""), tile.get("scale", 1.0))
    if value != value:
        return Printed(formula[1:], tile["none"]) if "none" in tile else "not reported"
    return Printed(formula[1:], value)


def _links(desk: Desk) -> Iterator[tuple[Any, ...]]:
    """Two columns of links, one to every other page."""
    names = [name for name in desk.page_names() if name != ANSWER]
    slots = [Slot(f"{name}: {plans()[name].link}", "link", link=f"'{name}'!A1") for name in names]
    high = -(-len(slots) // 2)
    for i in range(high):
        yield (slots[i], None, *slots[high + i : high + i + 1])
