"""The first page: the finding, numbers, charts, what must be true; and the two pages that every plant shares."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from econ.answer.finding import loss_words, money, must_be_true, say
from econ.answer.practice import advice
from econ.answer.sentences import amount
from econ.workbook.desk import ANSWER, PRINT_SET, TRACING, Desk
from econ.workbook.live import Printed, defined_name
from econ.workbook.page_plan import Found, Row, Slot, paired, plans
from econ.workbook.pages.cash_rows import chart_ranges
from econ.workbook.pages.risk_pages import bars

CAUTIONS_SHOWN, EFFECTS_SHOWN, MUSTS_SHOWN = 3, 5, 5
FIRM = ("headline", "carbon-finding", "deep", "plans")
"""Sentences below the numbers."""


def answer(desk: Desk) -> Found:
    """What a narrow screen shows first is the finding and its three numbers; one printed page holds the rest."""
    results, words = desk.results, plans()[ANSWER].words
    cautions, more = results.cautions, len(results.cautions) - CAUTIONS_SHOWN
    firm = *(say(results, name) for name in FIRM), f"All NPV {say(results, 'terms')}."
    return {
        "finding": say(results, "finding"),
        "firm": " ".join(filter(None, firm)),
        "numbers": list(_numbers(desk, words)),
        "glance": paired([_glance(desk, name, plan) for name, plan in words["glance"].items()]),
        "must": list(_must(desk, words)),
        "effects_draw": bars(desk, EFFECTS_SHOWN, 2.2) if results.effects else {},
        "cautions": [caution.text for caution in cautions[:CAUTIONS_SHOWN]],
        "more": words["read_on"].format(more) if more > 0 else "Contents",
        "set": _links(desk, PRINT_SET[1:], 4, lambda name: name),
        "tracing": _links(desk, TRACING, 2, lambda name: f"{name}: {plans()[name].link}"),
        **chart_ranges(desk),
        "cash_draw": {"x": {"max": results.plan.years}},
    }


def _numbers(desk: Desk, words: Mapping[str, Any]) -> Iterator[Row]:
    """Three large numbers with their labels below; each leads to where it is computed."""
    found, where = desk.results.headline, desk.names["the_npv"]
    npv = Slot(Printed("the_npv", found.typed), "figure money0", link=where, tip=f"to {where}")
    low, high = (money(desk.results, end).partition(" ")[0] for end in (found.p10, found.p90))
    loss = loss_words(desk.results).replace("more than ", "> ").replace("less than ", "< ")
    texts = (f"{low} to {high}", loss)
    yield Row((npv, *texts), height=27)
    said = {"years": desk.results.plan.years, "currency": desk.currency}
    labels = [words[name].format(**said) for name in ("npv", "range", "loss")]
    yield Row([Slot(label, "figure_label") for label in labels], height=28)


def _glance(desk: Desk, name: str, plan: Mapping[str, Any]) -> tuple[Any, ...]:
    """Another figure of the answer, live."""
    formula, value, unit = desk.amount(name, plan.get("unit", ""), plan.get("scale", 1.0))
    label = plan["label"].format(currency=desk.currency)
    where = desk.names.get(defined_name(name), f"'{plan['page']}'!A1")
    shown = value if value == value else plan.get("none", "not reported")
    content = Printed(formula, shown) if value == value or "none" in plan else shown
    look = plan.get("number", "") if value == value else "right"
    return f"{label} [{unit}]" if "unit" in plan else label, Slot(content, look, link=where)


def _must(desk: Desk, words: Mapping[str, Any]) -> Iterator[tuple[str, ...]]:
    """What must be true, one lever at a time: first those whose break-even is near."""
    found = sorted(must_be_true(desk.results), key=lambda one: 9.0 if one.change is None else abs(one.change))
    for one in found[:MUSTS_SHOWN]:
        even = words["not_in_range"] if one.even is None else f"{amount(one.even)} {one.unit}"
        none = words["always" if desk.results.figures["npv"] >= 0 else "none_alone"]
        said = none if one.even is None else one.words.partition(", to ")[0]
        yield one.label, f"{amount(one.typed)} {one.unit}", said, even


def _links(desk: Desk, names: Sequence[str], across: int, said: Any) -> list[tuple[Any, ...]]:
    """Links to the pages of these that there are, so many beside each other."""
    slots = [Slot(said(name), "link", link=f"'{name}'!A1") for name in names if name in desk.pages]
    return [tuple(slots[at : at + across]) for at in range(0, len(slots), across)]


def before_batch(desk: Desk) -> Found:
    """Hazards and rules, whatever was filled."""
    return {"known": [(known.about, known.text) for known in advice("before")]}


def to_settle(desk: Desk) -> Found:
    """Whom to ask for what by when, with a box to tick; two columns stay free for the answer."""
    return {"asked": [("☐", *asked, *[Slot(None, "input_text")] * 2) for asked in advice("settle")]}
