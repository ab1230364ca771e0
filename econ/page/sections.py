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
from econ.page.markup import BLOCKS, Bar, Html, figure, joined, lying, money, plain, standing, table, tag
from econ.page.sliders import VERDICTS, as_run, slider

Data = Mapping[str, Any]
BARS = 8
MUSTS = 5
PRINTED = 4
"""Cautions that a printed page shows."""
BLOCK_WORDS = ("CO2 removal (100-year)", "Process emissions", "Avoided emissions", "Lost co-product displacement")
SIGNS = (1, -1, 1, -1)
"""Emissions and lost displacement count against the climate."""
SPREAD = "NPV is below zero in {loss} of {n} simulation runs"
CASH = "Year 0: {first}. Later years: {low} to {high}."


def heading(results: Results) -> Html:
    """The plant and the finding: the decision first, then its reason, then what would change it."""
    verdict = tag("p", tag("strong", VERDICTS[results.finding.verdict], id="verdict"), class_="verdict")
    words = tag("p", f"{reason(results)} {change(results)}".strip())
    return joined(
        [
            tag("h1", results.scenario.name or "A plant without a name"),
            tag("section", verdict, words, class_="finding", aria_label="Finding"),
            _numbers(results),
            tag("p", "Inputs were moved below. Finding and numbers here are as run.", id="as-run", hidden=True),
        ]
    )


def _numbers(results: Results) -> Html:
    """The headline as three numbers: as typed, P10 to P90, the place of the typed value."""
    found = results.headline
    side, number = say(results, "place").partition(" than ")[::2]
    items = (
        ("NPV at your values", money(found.typed, results.scenario.currency)),
        ("NPV, P10 to P90", as_run(results)["range"]),
        (f"Your values are {side} than", number),
    )
    return tag("dl", *(tag("div", tag("dt", name), tag("dd", value)) for name, value in items), class_="numbers")


def must_be_true(results: Results) -> Html:
    """Where the answer turns, in the user's units, one at a time."""
    rows = [tag("li", tag("b", one.label), Html(" "), one.words) for one in musts(results)[:MUSTS]]
    return tag("section", tag("h2", "What must be true for NPV to be zero"), tag("ul", *rows))


def pictures(results: Results, made: Data) -> dict[str, Html]:
    """The five pictures by name, as run."""
    currency, npv, run = results.scenario.currency, results.figures["npv"], as_run(results)
    flows = [results.years["net_cash"][t] for t in range(results.plan.years + 1)]
    first, least, most = (money(flow, currency) for flow in (flows[0], min(flows[1:]), max(flows[1:])))
    step = 5 if len(flows) > 24 else 2 if len(flows) > 12 else 1
    cash = standing(flows, {t: str(t) for t in range(0, len(flows), step)})
    said = SPREAD.format(loss=run["loss"], n=f"{results.chances.sampling.samples:,}")
    found = {
        "spread": figure("spread", said, "Hatched: below zero.", _spread(results)),
        "cash": figure(
            "cash", f"Net cash by year [{currency}]", CASH.format(first=first, low=least, high=most), cash
        ),
    }
    moves = []
    for effect in results.effects[:BARS]:
        low, high = sorted((effect.at_low["npv"], effect.at_high["npv"]))
        moves.append(Bar(effect.entry.row.label, low, high, f"{money(low, currency)} to {money(high, currency)}"))
    said = "Each bar: the NPV when one input goes from low to high. The line is the NPV at your values."
    found["moves"] = figure("moves", "What moves the NPV most", said, lying(moves, npv))
    blocks = [
        Bar(label, 0.0, sign * value / 1000, plain(sign * value / 1000))
        if math.isfinite(value := results.figures[name])
        else Bar(label, 0.0, 0.0, "not reported")
        for label, name, sign in zip(BLOCK_WORDS, BLOCKS, SIGNS, strict=True)
    ]
    said = "Metric tons CO2e per year. Left of the line is a burden. The four are never added up."
    found["carbon"] = figure("carbon", "The four carbon blocks", said, lying(blocks))
    kg, ton = ton_of(results)
    ways = [
        Bar(label, 0.0, cost * kg, money(cost * kg, currency))
        for label, name in made["ways"]
        if math.isfinite(cost := results.figures[name])
    ]
    said = f"Net cost per {ton} of bones, over the study period. Left of the line is a gain."
    found["options"] = figure("options", f"The alternatives, per {ton} of bones", said, lying(ways))
    return found


def ton_of(results: Results) -> tuple[float, str]:
    """The mass that a cost of bones is told for [kg], and its name."""
    return (907.18474, "ton (2,000 lb)") if results.scenario.system == "us" else (1000.0, "tonne")


def _spread(results: Results) -> Html:
    bars, currency = results.chances.bars, results.scenario.currency
    wide = bars[0].end - bars[0].start
    first = bars[0].start / wide
    marks = [(-first, "0"), (results.figures["npv"] / wide - first, "at your values")]
    return standing(
        [bar.share for bar in bars],
        {0: money(bars[0].start, currency), len(bars) - 1: money(bars[-1].end, currency)},
        [mark for mark in marks if 0 <= mark[0] <= len(bars)],
        [bar.start < 0 for bar in bars],
    )


def sliders(made: Data) -> Html:
    """The inputs to move; hidden until the script of the page has started."""
    parts = [slider(i, one) for i, one in enumerate(made["sliders"])]
    back = tag("button", "All as typed", type="button", id="back-all")
    return tag(
        "section",
        tag("h2", "Move what matters"),
        tag("p", "Each slider goes from the low to the high of its input. All other inputs stay as they are."),
        *parts,
        back,
        class_="sliders needs-script",
        hidden=True,
    )


def keep() -> Html:
    """The moved values as text."""
    box = tag("textarea", id="sets", readonly=True, rows=3, aria_label="Moved values as options of the command")
    return tag(
        "section",
        tag("h2", "Keep your moves"),
        tag("p", "Paste this after the command, or copy the address of this page: it holds the moved values."),
        box,
        tag("button", "Copy", type="button", id="copy"),
        class_="needs-script",
        hidden=True,
    )


def cautions(results: Results) -> Html:
    """Every caution, in the order of the run."""
    parts = (tag("li", one.text) for one in results.cautions)
    more = len(results.cautions) - PRINTED
    rest = tag("p", f"And {more} more on the page itself.", class_="print-only") if more > 0 else ""
    return tag("section", tag("h2", "Settle first"), tag("ul", *parts), rest, class_="cautions")


def main_inputs(results: Results, made: Data) -> Html:
    """The inputs of the sliders as a table, for print."""
    entries = [results.scenario[one["key"]] for one in made["sliders"]]
    heads = ("Input", "Value", "Low", "High", "How known")
    inputs = table(heads, map(_entry, entries), "The inputs that move the NPV most, as run")
    return tag("section", inputs, class_="print-only")


def before_the_first_batch() -> Html:
    """Hazards and rules, whatever was filled; then whom to ask for what by when."""
    known = (tag("li", tag("b", one.about), Html(": "), one.text) for one in advice("before"))
    return tag("section", tag("h2", "Before the first batch"), tag("ul", *known), class_="safety")


def how(results: Results) -> Html:
    """How the numbers were made."""
    samples = results.chances.sampling.samples
    words = (
        headline_sentence(results),
        wider_sentence(results),
        carbon_finding(results),
        f"All NPV {terms(results)}.",
        "The same model as in the workbook computes mass, energy, nutrients, carbon and money for each year. "
        "Every figure compares the kiln with current practice on the same bones.",
        f"For the probability all inputs with a range are varied together, {samples:,} times. This page holds the "
        "model and draws the same runs as the program, number for number.",
        "Nothing leaves this page: it asks no server and stores nothing.",
    )
    return fold("How it was computed", *(tag("p", text) for text in words if text))


def fold(title: str, *parts: object) -> Html:
    """A part that opens on request."""
    return tag("details", tag("summary", tag("h2", title)), *parts)


def sources(results: Results) -> Html:
    """Every fact in use with how surely it is known and where it stands."""
    rows = (
        (one.label, _value(one.value), one.unit, one.mark, f"{one.source}; {one.locator}")
        for one in facts_read(results.scenario, results.plan)
    )
    return fold("Sources", wide(("Fact", "Value", "Unit", "How sure", "Source"), rows, "Facts in use"))


def wide(heads: Iterable[str], rows: Iterable[Iterable[object]], caption: str) -> Html:
    """A table that may be wider than the page: it scrolls by itself."""
    what = table(heads, rows, caption)
    return tag("div", what, class_="wide", tabindex=0, role="region", aria_label=f"{caption} (scrolls sideways)")


def _value(value: float | None) -> str:
    return "" if value is None else f"{value:.4g}"


def all_inputs(results: Results) -> Html:
    """Every input that holds a value, with its range and how it is known."""
    parts = []
    for plan in sheets():
        for section in plan.sections:
            entries = [results.scenario.entries.get(row.key) for row in section.rows]
            filled = [entry for entry in entries if entry is not None and entry.value is not None]
            if filled:
                rows = (_entry(entry) for entry in filled)
                heads = ("Input", "Value", "Low", "High", "How known")
                parts.append(wide(heads, rows, f"{plan.name}: {section.heading}"))
    return fold("All inputs", *parts)


def _entry(entry: Entry) -> tuple[object, ...]:
    known = "; ".join(text for text in (entry.known, entry.source) if text)
    if not entry.row.is_number:
        return entry.row.label, entry.words, "", "", known
    unit = entry.unit.symbol if entry.unit else ""
    value = f"{entry.shown(entry.number):.6g} {unit}"
    ends = (_value(entry.shown(end)) if entry.has_range else "" for end in (entry.low, entry.high))
    return entry.row.label, value, *ends, known
