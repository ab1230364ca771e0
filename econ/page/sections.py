"""What the page says, part by part: the answer first, then what moves it, then what lies under it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from econ.answer import carbon_case, finding
from econ.answer.practice import advice
from econ.answer.results import Results
from econ.answer.sentences import chance
from econ.inputs.as_typed import plain_figure
from econ.inputs.cells import READ_BACK
from econ.inputs.records import Entry
from econ.inputs.schema import sheets
from econ.model.evaluate import facts_read
from econ.page.markup import WORDS, Bar, Html, figure, filled, joined, lying, money, plain, standing, table, tag
from econ.units import unit

Data = Mapping[str, Any]
BARS = 8
MUSTS = 5
PRINTED, READ_NAMED = 4, 3
"""Cautions that a printed page shows, and notes on cells that a page names."""
SCRIPT = WORDS["script"]
Row = tuple[str, str, str, str]
"""One answer: the figure it shows, its name, how it is written, and what stands there where it is missing."""


def numbers(results: Results) -> Html:
    """NPV at the values typed, its range, and the place of the one in the other."""
    side, place = finding.say(results, "place").partition(" than ")[::2]
    shown = (money(results.headline.typed, results.scenario.currency), as_run(results)["range"], place)
    pairs = zip(WORDS["numbers"], shown, strict=True)
    return joined(tag("div", tag("dt", name.format(side)), tag("dd", value)) for name, value in pairs)


def must_be_true(results: Results) -> Html:
    """Where the answer turns, in the user's units, one at a time."""
    levers = finding.must_be_true(results)[:MUSTS]
    return joined(tag("li", tag("b", one.label), Html(" "), one.words) for one in levers)


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
    blocks = []
    for label, name, sign in WORDS["blocks"]:
        is_known = math.isfinite(value := sign * figures[name] / 1000)
        blocks.append(Bar(label, 0.0, value, plain(value)) if is_known else Bar(label, 0.0, 0.0, "not reported"))
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
    later = least if least == most else f"{least} to {most}"
    said = {"spread": (title, ""), "cash": ("", SCRIPT["cash"].format(first=first, later=later))}
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
    """Every caution, in the order of the run; those on how cells were read in one line."""
    said = [one.text for one in results.cautions if one.id != READ_BACK]
    read = [one.text for one in results.cautions if one.id == READ_BACK]
    said += [WORDS["read_back"].format(len(read), " ".join(read[:READ_NAMED]))] if read else []
    parts, more = (tag("li", text) for text in said), len(said) - PRINTED
    rest = tag("p", WORDS["more"].format(more), class_="print-only") if more > 0 else ""
    return joined([tag("ul", *parts), rest])


def main_inputs(results: Results, made: Data) -> Html:
    """The inputs of the sliders as a table, for print."""
    entries = [results.scenario[one["key"]] for one in made["sliders"]]
    return table(WORDS["inputs_heads"], map(_entry, entries), WORDS["main_inputs"])


def before_the_first_batch() -> Html:
    """Hazards and rules, whatever was filled."""
    return joined(tag("li", tag("b", about), Html(": "), text) for about, text, _ in advice("before"))


def folded(results: Results) -> Html:
    """What opens on request: whom to ask, how the numbers were made, facts, inputs."""
    return joined(part(results) for part in (to_settle, how, sources, all_inputs))


def to_settle(results: Results) -> Html:
    """Whom to ask for what by when."""
    asked = advice("settle", results.scenario, results.figures)
    return _fold("settle", _wide(WORDS["settle_heads"], asked, WORDS["settle_caption"]))


def how(results: Results) -> Html:
    """How the numbers were made."""
    said = {"terms": finding.say(results, "terms"), "samples": results.chances.sampling.samples}
    own = (finding.say(results, name) for name in ("headline", "wider", "carbon-finding"))
    texts = filter(None, (*own, *(text.format(**said) for text in WORDS["how_said"])))
    return _fold("how", *(tag("p", text) for text in texts))


def sources(results: Results) -> Html:
    """Every fact in use with how surely it is known and where it stands."""
    rows = (
        (one.label, _value(one.value), one.unit, one.mark, f"{one.source.text}; {one.locator}")
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
    return "" if value is None else plain_figure(value, 4)


def _entry(entry: Entry) -> tuple[object, ...]:
    known = "; ".join(text for text in (entry.known, entry.source) if text)
    if not entry.row.is_number:
        return entry.row.label, entry.words, "", "", known
    ends = (_value(entry.shown(end)) if entry.has_range else "" for end in (entry.low, entry.high))
    return entry.row.label, entry.figure(entry.number), *ends, known


def answer_rows(results: Results) -> tuple[Row, ...]:
    """The answers of the table, in its order; those that the model does not write are left out."""
    mass, short = ("pounds", "lb") if results.scenario.system == "us" else ("tonnes", "t")
    off = results.reasons.get("removal_t_co2e_per_year", "not reported")
    said = {"unit": short, "years": results.plan.years, "off": off[0].upper() + off[1:]}
    rows = []
    for name, (label, kind, *missing) in WORDS["answers"].items():
        if not kind or name == "irr" or name in results.figures:
            none = missing[0].format(**said) if missing else "Not reported"
            rows.append((name, label.format(**said), mass if kind == "mass" else kind, none))
    return tuple(rows)


SHOWN: Mapping[str, Callable[[float], str]] = {
    "plain": plain,
    "tonnes": lambda kg: plain(kg / 1000),
    "pounds": lambda kg: plain(kg / unit("lb").factor),
    "years": lambda value: f"{value:.1f}",
    "percent": lambda value: f"{value * 100:.1f}%".replace("-", "\u2212"),
    "ratio": lambda value: f"{value:.2f}",
    "count": lambda value: f"{math.floor(value + 0.5):,}",
}


def as_run(results: Results) -> dict[str, str]:
    """Every answer of the table in words, as the run found it."""
    found: dict[str, str] = {}
    currency = results.scenario.currency
    for name, _, kind, missing in answer_rows(results):
        value = results.figures.get(name, math.nan)
        if kind == "money":
            found[name] = money(value, currency)
        elif kind:
            found[name] = SHOWN[kind](value) if math.isfinite(value) else missing
    return found | {
        "verdict": SCRIPT["verdicts"][results.finding.verdict],
        "range": f"{money(results.headline.p10, currency)} to {money(results.headline.p90, currency)}",
        "loss": chance(results.chances.loss, results.chances.sampling.samples),
    }


def answers(results: Results) -> Html:
    """The table: as run, and now; below it the facts that can still turn the finding, the largest first."""
    found, open_facts = as_run(results), [one.fact.label for one in results.finding.missing]
    rows = ((label, found[name], tag("span", found[name], id=f"now-{name}"))
            for name, label, *_ in answer_rows(results))  # fmt: skip
    caption = f"{WORDS['answers_caption'].format(results.chances.sampling.samples)} "
    caption += carbon_case.say(results, "page-carbon")
    missing = SCRIPT["missing"] + "; ".join(open_facts) if open_facts else ""
    shown = table(WORDS["answers_heads"], rows, caption, class_="answers")
    return joined([shown, tag("p", missing, id="now-missing", class_="said")])


def sliders(made: Mapping[str, Any]) -> Html:
    """The inputs to move; hidden until the script of the page has started."""
    return joined(_slider(i, one) for i, one in enumerate(made["sliders"]))


def _slider(at: int, one: Mapping[str, object]) -> Html:
    """One input to move: a slider, a box to type in, and the way back to the value as typed."""
    low, value, high = (f"{one[name]:.10g}" for name in ("low", "value", "high"))
    own = f" {one['unit']}" if one["unit"] else ""
    ends = f"{_value(float(low))} to {_value(float(high))}{own}{one['note']}"
    return filled("slider.html", at=at, label=one["label"], low=low, value=value, high=high, said=f"{value}{own}",
                  unit=own.strip(), ends=ends)  # fmt: skip
