"""The results of the note (blocks, sources, two time horizons), and the grant for them with its budget."""

from __future__ import annotations

import math
from typing import Any

from econ.answer.carbon_account import METHOD_WORDS, favourable
from econ.answer.results import Results
from econ.model.derived import KG_PER_T, budget, grant, twenty_years
from econ.note.parts import Part, Picture, Table, Text, blocks_png, number
from econ.units import said, shown_unit

BLOCKS = {
    "removal": "CO2 removal (100-year) by durable carbon",
    "process": "Process emissions",
    "avoided": "Avoided emissions against current practice",
    "credits_lost": "Lost displacement of co-products",
}


def results_parts(results: Results, carbon: dict[str, Any]) -> list[Part]:
    """Tables, sentences and the chart of the section Results."""
    difference, blocks = carbon["difference_to_current_practice"], carbon["blocks"]
    bones_t = results.figures["bones_fired_kg"] / KG_PER_T
    per, scale = shown_unit("kg CO2e/t", results.scenario.system)
    lines = [(label, blocks[name]) for name, label in BLOCKS.items()]
    lines += [
        ("Project net: removal less process emissions", carbon["project_net"]),
        ("Difference to current practice, without displaced co-products", difference["without_credits"]),
        ("The same with displaced co-products and displaced fertiliser", difference["with_credits"]),
    ]
    alt = "Bars of t CO2e a year, P5 to P95: " + "; ".join(
        f"{BLOCKS[name]} {', '.join(_measures(blocks[name])[:3])}" for name in BLOCKS
    )
    caption = (
        "The four blocks, each alone: median, whiskers P5 to P95. Source: this note, table of greenhouse gases"
    )
    return [
        Table("Greenhouse gases of a full year; a minus is a net source",
              ("Block", "P5 [t CO2e]", "Median [t CO2e]", "P95 [t CO2e]", f"[{per} bones]"),
              tuple((label, *_measures(found, bones_t / scale)) for label, found in lines),
              (2.8, 0.85, 0.95, 0.85, 1.05)),
        Text(_against_today(difference, results.plan.today) + favourable(results)),
        _by_source(carbon),
        Picture(caption, f"{alt}.", blocks_png(blocks)),
        Text(_methods(carbon)),
        _views(results),
    ]  # fmt: skip


def _by_source(carbon: dict[str, Any]) -> Table:
    words = {
        "fuel": "Fuel and electricity", "fuel_upstream": "Fuel, upstream", "stack_ch4": "Methane of the stack",
        "stack_n2o": "N2O of the stack", "hauling": "Hauling", "grinding": "Grinding", "bags": "Bags",
    }  # fmt: skip
    found = {name: value or 0.0 for name, value in carbon["process_t_co2e_per_year"].items()}
    whole = math.fsum(found.values()) or 1.0
    rows = tuple(
        (words[name], number(value), f"{value / whole:.0%}") for name, value in found.items() if value > 0
    )
    return Table(
        "Process emissions by source, as typed", ("Source", "[t CO2e a year]", "Share"), rows, (3.6, 1.6, 1.3)
    )


def _views(results: Results) -> Table:
    """The 100-year and the 20-year view side by side."""
    figures = results.figures
    short = twenty_years(figures, results.coefficients, results.plan.gwp_set)
    lines = (
        ("Process emissions", "process", "process_kg_co2e"), ("Project net", "project_net", "project_net_kg_co2e"),
        ("The same bones composted", "composting", "compost_kg_co2e"),
        ("The same bones in a landfill", "landfill", "landfill_kg_co2e"),
    )  # fmt: skip
    rows = tuple(
        (words, number(figures[line] / KG_PER_T), number(short[name] / KG_PER_T)) for words, name, line in lines
    )
    return Table(f"Two time horizons of warming, {results.plan.gwp_set}, as typed [t CO2e a year]",
                 ("Line", "GWP-100", "GWP-20"), rows, (3.6, 1.4, 1.4))  # fmt: skip


def _measures(found: dict[str, Any], bones_t: float = 0.0) -> tuple[str, str, str, str]:
    """P5, median and P95 in tonnes, and the median in kg per ton of `bones_t`."""
    span = found["t_co2e_per_year"]
    largest = max((abs(span[end]) for end in ("low", "middle", "high") if span[end] is not None), default=0.0)
    digits = 0 if largest >= 1000 else 1 if largest >= 10 else 2
    low, middle, high = (number(span[end], digits) for end in ("low", "middle", "high"))
    per_bones = None if span["middle"] is None or not bones_t else span["middle"] * KG_PER_T / bones_t
    return low, middle, high, number(per_bones)


def verdict(net: dict[str, float | None]) -> str:
    """Whether the kiln by itself stores or emits, in a sentence."""
    low, middle, high = net["low"], net["middle"], net["high"]
    if middle is None or low is None or high is None:
        return "The removal is not reported, nor any figure that rests on it."
    kind = "source of greenhouse gas" if middle < 0 else "store"
    crosses = " The range crosses zero: the sign is not established." if low < 0 < high else ""
    return (
        f"Removal less process emissions is {number(middle)} t CO2e a year ({number(low)} to {number(high)}): by "
        f"itself the kiln is a net {kind}.{crosses}"
    )


DISPLACED = {
    "rendering": " The renderer makes meal and tallow, so others need not; that ends with the kiln.",
    "composting": " The compost made today spares other compost or fertiliser; that ends with the kiln.",
}


def _against_today(difference: dict[str, Any], today: str) -> str:
    """What the last two lines of the table mean, in words."""
    parts = []
    for name, words in (("without_credits", "without displaced co-products"), ("with_credits", "with them")):
        middle = difference[name]["t_co2e_per_year"]["middle"]
        if middle is None:
            parts.append(f"{words}: not reported")
        else:
            change = "lowers" if middle > 0 else "raises"
            parts.append(f"{words} the kiln {change} emissions by {number(abs(middle))} t CO2e a year")
    return (
        f"Against current practice, {'; '.join(parts)}.{DISPLACED.get(today, '')} The removal is a 100-year "
        "figure. What is avoided falls in the year of handling, or over decades from a landfill."
    )


def _methods(carbon: dict[str, Any]) -> str:
    parts = []
    for name, words in METHOD_WORDS.items():
        span = carbon["methods"][name]["removal_t_co2e_per_year"]
        if span["middle"] is None:
            why = carbon["methods"][name]["reason"].removeprefix("not reported: ")
            parts.append(f"{words}: not reported ({why})")
        else:
            mark = " (used)" if name == carbon["persistence_method"] else ""
            parts.append(f"{words}{mark}: {' / '.join(number(span[end]) for end in ('low', 'middle', 'high'))}")
    return f"Removal by each method, P5 / median / P95 in t CO2e a year: {'; '.join(parts)}."


def span_words(found: dict[str, Any]) -> str:
    """A block as median with its range, in words."""
    low, middle, high, _ = _measures(found)
    if found["t_co2e_per_year"]["middle"] is None:
        return "not reported"
    return f"{middle} t CO2e a year ({low} to {high})"


NOT_DEFINED = "none: a net source"
LINES = {
    "removal": ("CO2 removal (100-year) alone, as quoted", "removal_outward_kg_co2e"),
    "net": ("project net, as quoted", "project_net_outward_kg_co2e"),
    "difference": ("difference to current practice without displaced co-products", "difference_kg_co2e"),
}


def quoted(results: Results) -> dict[str, float | None]:
    """The grant by the median tonnes of CO2e, with the ends that P95 and P5 of the tonnes give."""
    years = results.plan.years
    ends = [
        grant(
            {
                **results.figures,
                **{line.replace("_outward", ""): results.carbon(line)[at] for _, line in LINES.values()},
            },
            years,
        )
        for at in range(3)
    ]
    found = dict(ends[1])
    for name in LINES:
        found[f"grant_per_t_{name}_low"] = ends[2][f"grant_per_t_{name}"] if found[f"grant_per_t_{name}"] else None
        found[f"grant_per_t_{name}_high"] = ends[0][f"grant_per_t_{name}"]
    return found


def grant_parts(results: Results) -> list[Part]:
    """Sentences, the grant per tonne of CO2e, and the budget table."""
    found, money = quoted(results), results.scenario.currency
    years, share = results.plan.years, results.scenario["grant.match_share"]
    asked = (
        "no match is typed" if share.value is None else f"the match asked is {share.number:.0%} of the purchase"
    )
    unit, factor = shown_unit("t", system := results.scenario.system)
    per_bones = {name: (found[f"{name}_per_t_bones"] or 0.0) / factor for name in ("grant", "capital")}

    def mass(name: str, metric: str) -> str:
        value = results.figures[name]
        return said(value / 1000, "t", system, 1) if metric == "t" else said(value, "kg", system)

    is_source = found["grant_per_t_net"] is None
    rows = tuple((words, NOT_DEFINED if is_source else _range(found, name)) for name, (words, _) in LINES.items())
    return [
        Text(
            f"Grant of {number(found['grant'], 0)} {money} for {mass('bones_fired_kg', 't')} of bones a year over "
            f"{years} years: {number(per_bones['grant'])} {money} of grant and {number(per_bones['capital'])} "
            f"{money} of purchase per {unit} of bones diverted. Phosphorus in char: {mass('p_kg', 'kg')} P a year "
            f"or {mass('p2o5_kg', 'kg')} P2O5, of which {mass('available_p2o5_kg', 'kg')} available."
        ),
        Table(f"Grant per t CO2e over the study, undiscounted, by the median, P95 to P5 [{money}/t CO2e]",
              ("For each t CO2e of", f"[{money}/t CO2e]"), rows, (4.0, 2.4)),
        _budget_table(results, asked),
    ]  # fmt: skip


def _range(found: dict[str, float | None], name: str) -> str:
    """The grant per tonne with the range that the tonnes give; no upper end where P5 is not above zero."""
    middle, low, high = (found[f"grant_per_t_{name}{end}"] for end in ("", "_low", "_high"))
    if middle is None:
        return "none: no reduction"
    return f"{number(middle, 0)} ({number(low, 0)} {'and more' if high is None else f'to {number(high, 0)}'})"


def _budget_table(results: Results, asked: str) -> Table:
    found, money = budget(results.figures, results.scenario.numbers()), results.scenario.currency
    total = found["total"]
    grant, loan, own = _sources(results.figures["grant_today"], results.figures["loan_today"], total)
    labels = {
        "kiln": "Kiln", "installation": "Freight and installation", "other": "Other things to buy",
        "items": "Other equipment", "contingency": "Contingency", "total": "Total",
    }  # fmt: skip
    rows = tuple(
        (label, *(number(found[name] * share, 0) for share in (1.0, grant, loan, own)))
        for name, label in labels.items()
        if found[name] or name == "total"
    )
    return Table(
        f"Budget by category, grant and loan spread in proportion; {asked}",
        ("Category", f"Cost [{money}]", f"Grant [{money}]", f"Loan [{money}]", f"Own match [{money}]"),
        rows,
        (2.4, 1.0, 1.0, 1.0, 1.0),
    )


def _sources(grant: float, loan: float, total: float) -> tuple[float, float, float]:
    """Shares of the purchase that grant, loan and own money pay; a loan is no match."""
    covered = min(grant, total)
    borrowed = min(loan, total - covered)
    whole = total or 1.0
    return covered / whole, borrowed / whole, (total - covered - borrowed) / whole
