"""What the page says, part by part: the answer first, then what moves it, then what lies under it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

from econ.answer.finding import (
    carbon_finding,
    change,
    headline_sentence,
    reason,
    say,
    terms,
    wider_sentence,
)
from econ.answer.finding import must_be_true as musts
from econ.answer.results import Results
from econ.answer.safety import advice
from econ.inputs.records import Entry
from econ.inputs.schema import sheets
from econ.model.evaluate import facts_read
from econ.page.markup import WORDS, Bar, Html, figure, joined, lying, money, plain, standing, table, tag
from econ.page.moving_answers import SCRIPT, as_run

Data = Mapping[str, Any]
BARS = 8
MUSTS = 5
PRINTED = 4
"""Cautions that a printed page shows."""


def heading(results: Results) -> Html:
    """The plant and the finding: the decision first, then its reason, what would change it, and three numbers."""
    found, run = results.headline, as_run(results)
    verdict = tag("p", tag("strong", run["verdict"], id="verdict"), class_="verdict")
    words = tag("p", f"{reason(results)} {change(results)}".strip())
    side, place = say(results, "place").partition(" than ")[::2]
    shown = (money(found.typed, results.scenario.currency), run["range"], place)
    pairs = zip(WORDS["numbers"], shown, strict=True)
    numbers = (tag("div", tag("dt", name.format(side)), tag("dd", value)) for name, value in pairs)
    return joined(
        [
            tag("h1", results.scenario.name or WORDS["no_name"]),
            tag("section", verdict, words, class_="finding", aria_label="Finding"),
            tag("dl", *numbers, class_="numbers"),
            tag("p", WORDS["moved"], id="as-run", hidden=True),
        ]
    )


def must_be_true(results: Results) -> Html:
    """Where the answer turns, in the user's units, one at a time."""
    rows = [tag("li", tag("b", one.label), Html(" "), one.words) for one in musts(results)[:MUSTS]]
    return tag("section", tag("h2", WORDS["must"]), tag("ul", *rows))


def pictures(results: Results, made: Data) -> dict[str, Html]:
    """The five pictures by name, as run."""
    currency, figures, run = results.scenario.currency, results.figures, as_run(results)
    flows = [results.years["net_cash"][t] for t in range(results.plan.years + 1)]
    first, least, most = (money(flow, currency) for flow in (flows[0], min(flows[1:]), max(flows[1:])))
    step = 5 if len(flows) > 24 else 2 if len(flows) > 12 else 1
    moves = []
    for effect in results.effects[:BARS]:
        low, high = sorted((effect.at_low["npv"], effect.at_high["npv"]))
        moves.append(Bar(effect.entry.row.label, low, high, f"{money(low, currency)} to {money(high, currency)}"))
    blocks = [
        Bar(label, 0.0, sign * value / 1000, plain(sign * value / 1000))
        if math.isfinite(value := figures[name])
        else Bar(label, 0.0, 0.0, "not reported")
        for label, name, sign in WORDS["blocks"]
    ]
    kg, ton = WORDS["ton"][results.scenario.system]
    ways = [Bar(label, 0.0, cost * kg, money(cost * kg, currency))
            for label, name in made["ways"] if math.isfinite(cost := figures[name])]  # fmt: skip
    drawn = {
        "spread": _spread(results),
        "cash": standing(flows, {t: str(t) for t in range(0, len(flows), step)}),
        "moves": lying(moves, figures["npv"]),
        "carbon": lying(blocks),
        "options": lying(ways),
    }
    title = SCRIPT["spread"].format(loss=run["loss"], n=f"{results.chances.sampling.samples:,}")
    said = {"spread": (title, ""), "cash": ("", SCRIPT["cash"].format(first=first, low=least, high=most))}
    own = {"currency": currency, "ton": ton}
    found = {}
    for name, picture in drawn.items():
        (title, words), (other, more) = WORDS["pictures"][name], said.get(name, ("", ""))
        found[name] = figure(name, title.format(**own) or other, words.format(**own) or more, picture)
    return found


def _spread(results: Results) -> Html:
    bars, currency = results.chances.bars, results.scenario.currency
    wide = bars[0].end - bars[0].start
    first = bars[0].start / wide
    marks = [(-first, "0"), (results.figures["npv"] / wide - first, SCRIPT["typed"])]
    return standing(
        [bar.share for bar in bars],
        {0: money(bars[0].start, currency), len(bars) - 1: money(bars[-1].end, currency)},
        [mark for mark in marks if 0 <= mark[0] <= len(bars)],
        [bar.start < 0 for bar in bars],
    )


def cautions(results: Results) -> Html:
    """Every caution, in the order of the run."""
    parts = (tag("li", one.text) for one in results.cautions)
    more = len(results.cautions) - PRINTED
    rest = tag("p", WORDS["more"].format(more), class_="print-only") if more > 0 else ""
    return tag("section", tag("h2", WORDS["settle_first"]), tag("ul", *parts), rest, class_="cautions")


def main_inputs(results: Results, made: Data) -> Html:
    """The inputs of the sliders as a table, for print."""
    entries = [results.scenario[one["key"]] for one in made["sliders"]]
    shown = table(WORDS["inputs_heads"], map(_entry, entries), WORDS["main_inputs"])
    return tag("section", shown, class_="print-only")


def before_the_first_batch() -> Html:
    """Hazards and rules, whatever was filled."""
    known = (tag("li", tag("b", one.about), Html(": "), one.text) for one in advice("before"))
    return tag("section", tag("h2", WORDS["before"]), tag("ul", *known), class_="safety")


def to_settle() -> Html:
    """Whom to ask for what by when."""
    return _fold("settle", _wide(WORDS["settle_heads"], advice("settle"), WORDS["settle_caption"]))


def how(results: Results) -> Html:
    """How the numbers were made."""
    said = {"terms": terms(results), "samples": results.chances.sampling.samples}
    own = (headline_sentence(results), wider_sentence(results), carbon_finding(results))
    texts = (*own, *(text.format(**said) for text in WORDS["how_said"]))
    return _fold("how", *(tag("p", text) for text in texts if text))


def sources(results: Results) -> Html:
    """Every fact in use with how surely it is known and where it stands."""
    rows = (
        (one.label, _value(one.value), one.unit, one.mark, f"{one.source}; {one.locator}")
        for one in facts_read(results.scenario, results.plan)
    )
    return _fold("sources", _wide(WORDS["facts_heads"], rows, WORDS["facts"]))


def all_inputs(results: Results) -> Html:
    """Every input that holds a value, with its range and how it is known."""
    parts = []
    for plan in sheets():
        for section in plan.sections:
            entries = [results.scenario.entries.get(row.key) for row in section.rows]
            filled = [entry for entry in entries if entry is not None and entry.value is not None]
            if filled:
                rows = (_entry(entry) for entry in filled)
                parts.append(_wide(WORDS["inputs_heads"], rows, f"{plan.name}: {section.heading}"))
    return _fold("inputs", *parts)


def _fold(title: str, *parts: object) -> Html:
    """A part that opens on request."""
    return tag("details", tag("summary", tag("h2", WORDS[title])), *parts)


def _wide(heads: Iterable[str], rows: Iterable[Iterable[object]], caption: str) -> Html:
    """A table that may be wider than the page: it scrolls by itself."""
    label = WORDS["wide"].format(caption)
    return tag("div", table(heads, rows, caption), class_="wide", tabindex=0, role="region", aria_label=label)


def _value(value: float | None) -> str:
    return "" if value is None else f"{value:.4g}"


def _entry(entry: Entry) -> tuple[object, ...]:
    known = "; ".join(text for text in (entry.known, entry.source) if text)
    if not entry.row.is_number:
        return entry.row.label, entry.words, "", "", known
    unit = entry.unit.symbol if entry.unit else ""
    value = f"{entry.shown(entry.number):.6g} {unit}"
    ends = (_value(entry.shown(end)) if entry.has_range else "" for end in (entry.low, entry.high))
    return entry.row.label, value, *ends, known
