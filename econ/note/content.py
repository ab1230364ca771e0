"""The carbon note: `sentences.csv` and the tables of `note.toml`, filled from the records that JSON prints."""

from __future__ import annotations

import math
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from econ.answer import carbon_case
from econ.answer.carbon_case import METHOD_WORDS, baselines, boundary, needs, plan, today_words, told
from econ.answer.finding import say
from econ.answer.report import in_json
from econ.answer.results import Results, doubts, inputs_code, organic_words, quoted
from econ.answer.sentences import Speech
from econ.evidence import factors
from econ.model.derived import KG_PER_T, budget, grant, of_sold, study_name, twenty_years
from econ.note.moving import behind, causes, moving
from econ.note.parts import MISSING, Note, Part, Picture, Table, Text, blocks_png, bullet, factor, heading, number
from econ.shipped import described
from econ.units import shown_unit

SENTENCES = Path(__file__).parent / "sentences.csv"
PLAN = described("note", "note")
BANNER: str = PLAN["banner"]
BLOCKS: dict[str, str] = PLAN["blocks"]


def note(results: Results, date: str) -> Note:
    """The whole note; `date` as YYYY-MM-DD is printed and enters nothing else."""
    account, doubtful = in_json("carbon", results), doubts(results)
    speech = _speech(results, account)
    parts: list[Part] = [Text(BANNER, "banner")] if doubtful else []
    parts += [heading("Summary"), *_said(speech, *PLAN["summary"], look="bullet")]
    if doubtful:
        rows = ((mover.label, mover.known, f"{share:.0%}") for mover, share in doubtful)
        parts += [*_said(speech, "unchecked"), table("unchecked", rows)]
    sections: tuple[tuple[str, list[Part]], ...] = (
        ("Project and boundary", _boundary(results, speech)),
        ("Baseline and additionality", _baseline(results, speech)),
        ("Quantification", _method(results, speech)),
        ("Results", _results(results, speech, account)),
        ("Uncertainty", _uncertainty(results, speech)),
        ("Permanence", [*map(bullet, told(results, "permanence"))]),
        ("Monitoring plan", _monitoring(results)),
        ("For the grant", _grant(results, speech)),
        ("What this statement does not claim", [*map(bullet, PLAN["not_claimed"])]),
    )
    for at, (title, found) in enumerate(sections, start=1):
        parts += [heading(f"{at}. {title}"), *found]
    parts += [heading(speech.say("annex")), Text(say(results, "unchecked")), _factors(results)]
    under = speech.say("under", date=date, code=inputs_code(results.scenario))
    return Note("Carbon note: bones to bone char", under, tuple(parts))


def _speech(results: Results, account: dict[str, Any]) -> Speech:
    """What the sentences of the note may quote."""
    return Speech(results.scenario.entries, results.figures, {
        "r": results, "account": account, "net": account["quoted"]["project_net"]["t_co2e_per_year"],
        "number": number, "span": span_words, "today": today_words(results), "organic": organic_words(results),
        "currency": results.scenario.currency, "held": told(results, "held"),
        "why": results.reasons.get("figures.removal_outward_kg_co2e", ""),
        "why_no_difference": results.reasons.get("carbon.difference_to_current_practice", ""),
        **{name: carbon_case.say(results, name.replace("_", "-")) for name in PLAN["said"]},
        "method_words": METHOD_WORDS[account["persistence_method"]], "method_rule": told(results, "method")[0],
    }, SENTENCES)  # fmt: skip


def _said(speech: Speech, *names: str, look: str = "plain") -> list[Part]:
    return [Text(speech.say(name), look) for name in names]


def table(name: str, rows: Iterable[Iterable[str]], **words: str) -> Table:
    """A table of the note by its name, with its rows."""
    found = PLAN["table"][name]
    heads = tuple(head.format(**words) for head in found["header"])
    body = tuple(tuple(row) for row in rows)
    return Table(found["caption"].format(**words), heads, body, tuple(found["widths"]), found.get("small", False))


def _boundary(results: Results, speech: Speech) -> list[Part]:
    found = boundary(results)
    filled = [one.name for one in found if one.counted == "in" and one.amount]
    blank = [one.name for one in found if one.why == carbon_case.NOT_FILLED]
    amounts = ["" if one.amount is None and one.counted != "in" else number(one.amount) for one in found]
    rows = ((one.name, one.where, one.counted, said, one.why) for one, said in zip(found, amounts, strict=True))
    counted = speech.say("counted", filled_in=filled), speech.say("not-filled", blank_in=blank)
    return [*_said(speech, "boundary"), *map(Text, counted), table("boundary", rows)]


def _baseline(results: Results, speech: Speech) -> list[Part]:
    found = baselines(results)
    rows = (
        (f"{one.name}{' (conservative)' * one.is_conservative}", number(one.emitted), number(one.difference))
        for one in found
    )
    named = next((one.name for one in found if one.is_conservative), "none")
    least = Text(speech.say("conservative", named=named))
    return [table("baselines", rows), least, *map(bullet, told(results, "additionality"))]


def _method(results: Results, speech: Speech) -> list[Part]:
    formulas = ("formula-removal", "formula-net", "formula-without", "formula-with")
    numbers = ((one.label, one.value, one.how, one.beside) for one in (*quoted(results), *behind(results)))
    return [*_said(speech, "method"), *_said(speech, *formulas, look="formula"), table("numbers", numbers)]


def _results(results: Results, speech: Speech, carbon: dict[str, Any]) -> list[Part]:
    """Tables, sentences and the chart of the section Results."""
    difference, blocks = carbon["difference_to_current_practice"], carbon["blocks"]
    per, scale = shown_unit("kg CO2e/t", results.scenario.system)
    bones_t = results.figures["bones_fired_kg"] / KG_PER_T / scale
    whole = {**blocks, **difference, "project_net": carbon["project_net"]}
    rows = ((label, *_measures(whole[name], bones_t)) for name, label in {**BLOCKS, **PLAN["made"]}.items())
    bars = [f"{label} {', '.join(_measures(blocks[name])[:3])}" for name, label in BLOCKS.items()]
    changes = [
        speech.say("change", words=words, middle=difference[name]["t_co2e_per_year"]["middle"])
        for name, words in (("without_credits", "without displaced co-products"), ("with_credits", "with them"))
    ]
    by_method = [_by_method(speech, carbon, name) for name in METHOD_WORDS]
    return [
        table("gases", rows, per=per),
        Text(speech.say("against", changes=changes)),
        _by_source(carbon),
        Picture(speech.say("chart"), speech.say("chart-alt", bars=bars), blocks_png(blocks)),
        Text(speech.say("methods", quoted=span_words(carbon["quoted"]["removal"]), methods=by_method)),
        _horizons(results),
        Text(speech.say("horizons")),
    ]


def _by_source(carbon: dict[str, Any]) -> Table:
    found = {name: value or 0.0 for name, value in carbon["process_t_co2e_per_year"].items()}
    whole, words = math.fsum(found.values()) or 1.0, PLAN["process"]
    shares = ((words[name], number(value), f"{value / whole:.0%}") for name, value in found.items() if value > 0)
    return table("sources", shares)


def _by_method(speech: Speech, carbon: dict[str, Any], name: str) -> str:
    found = carbon["methods"][name]
    why = (found["reason"] or "").removeprefix("not reported: ")
    return speech.say("by-method", words=METHOD_WORDS[name], is_used=name == carbon["persistence_method"],
                      span=found["removal_t_co2e_per_year"], why=why)  # fmt: skip


def _horizons(results: Results) -> Table:
    """The 100-year and the 20-year view side by side."""
    figures, gwp_set = results.figures, results.plan.gwp_set
    short = twenty_years(figures, results.coefficients, results.plan)
    methane = factors.factor(f"gwp20_ch4_{gwp_set.lower()}")
    return table("horizons", (
        (words, number(figures[line] / KG_PER_T), number(short[name] / KG_PER_T))
        for name, (words, line) in PLAN["horizons"].items()
    ), gwp_set=gwp_set, methane=f"{methane.value:g} ({methane.mark})")  # fmt: skip


def _measures(found: dict[str, Any], bones_t: float = 0.0) -> tuple[str, str, str, str]:
    """P5, median and P95 in tonnes, and the median in kg per ton of `bones_t`."""
    span = found["t_co2e_per_year"]
    ends = [span[end] for end in ("low", "middle", "high")]
    largest = max((abs(end) for end in ends if end is not None), default=0.0)
    low, middle, high = (number(end, 0 if largest >= 1000 else 1 if largest >= 10 else 2) for end in ends)
    per_bones = None if span["middle"] is None or not bones_t else span["middle"] * KG_PER_T / bones_t
    return low, middle, high, number(per_bones)


def span_words(found: dict[str, Any]) -> str:
    """A block as median with its range, in words."""
    low, middle, high, _ = _measures(found)
    return middle if middle == MISSING else f"{middle} t CO2e a year ({low} to {high})"


def _uncertainty(results: Results, speech: Speech) -> list[Part]:
    spread = results.chances.spreads["project_net_kg_co2e"]
    low, _, high = (value / KG_PER_T for value in spread.pair((2.5, 97.5)))
    said = Text(speech.say("uncertainty", low=low, high=high))
    if results.tonnes("project_net_kg_co2e") is None:
        return [said]
    found = causes(results)
    others = max(1 - math.fsum(share for _, share in found), 0)
    rows = ((label, f"{share:.0%}") for label, share in (*found, (PLAN["others"], others)))
    return [said, table("causes", rows)]


def _monitoring(results: Results) -> list[Part]:
    samples = ((need.what, f"{need.scatter:.0%}", need.origin, str(need.n)) for need in needs(results))
    watched = ((one.what, one.method, one.often, one.who, one.control) for one in plan(results))
    return [table("plan", watched), table("samples", samples), *map(bullet, told(results, "records"))]


def _quoted(results: Results) -> dict[str, float | None]:
    """The grant by the median tonnes of CO2e, with the ends that P95 and P5 of the tonnes give."""
    lines, figures, years = [line for _, line in PLAN["grant"].values()], results.figures, results.plan.years
    names = [study_name(line.replace("_outward", "")) for line in lines]
    low, found, high = (
        grant({**figures, **{name: of_sold(end, ends[0], figures, years)
                             for name, end in zip(names, ends, strict=True)}}, years)
        for ends in zip(*map(results.carbon, lines), strict=True)
    )  # fmt: skip
    for name in (f"grant_per_t_{name}" for name in PLAN["grant"]):
        found |= {f"{name}_low": high[name] if found[name] else None, f"{name}_high": low[name]}
    return found


def _grant(results: Results, speech: Speech) -> list[Part]:
    """Sentences, the grant per tonne of CO2e, and the budget table."""
    found, money, net = _quoted(results), results.scenario.currency, results.figures["project_net_outward_kg_co2e"]
    unit, factor = shown_unit("t", results.scenario.system)
    per_bones = {
        f"{name}_per_bones": (found[f"{name}_per_t_bones"] or 0.0) / factor for name in ("grant", "capital")
    }
    rows = (
        (words, speech.say("grant-each", granted=found["grant"], is_source=found["grant_per_t_net"] is None,
                           middle=found[f"grant_per_t_{name}"], high=found[f"grant_per_t_{name}_high"],
                           low=math.nan if (low := found[f"grant_per_t_{name}_low"]) is None else low,
                           is_reported=math.isfinite(results.figures[line] + net)))
        for name, (words, line) in PLAN["grant"].items()
    )  # fmt: skip
    return [
        Text(speech.say("grant", granted=found["grant"], per_unit=unit, **per_bones)),
        table("grant", rows, money=money),
        _budget(results, speech.say("match")),
    ]


def _budget(results: Results, asked: str) -> Table:
    """What is bought by category; grant, then loan, then own money pay it; a loan is no match."""
    found, figures = budget(results.figures, results.scenario.numbers()), results.figures
    total = found["total"]
    covered = min(figures["grant_today"], total)
    borrowed = min(figures["loan_today"], total - covered)
    shares = [part / (total or 1.0) for part in (covered, borrowed, total - covered - borrowed)]
    rows = (
        (label, *(number(found[name] * share, 0) for share in (1.0, *shares)))
        for name, label in PLAN["budget"].items()
        if found[name] or name == "total"
    )
    return table("budget", rows, asked=asked, money=results.scenario.currency)


def _factors(results: Results) -> Table:
    return table("factors", (
        (
            fact.label,
            f"{factor(fact.value)} {fact.unit}".removesuffix(" -").strip() or "a table",
            "" if fact.low is None or fact.high is None else f"{factor(fact.low)} to {factor(fact.high)}",
            fact.mark,
            f"{fact.source.text}; {fact.locator}" if fact.locator else fact.source.text,
        )
        for fact in moving(results)
    ))  # fmt: skip
