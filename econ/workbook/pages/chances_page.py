"""The page of chances: what all ranges together say, with the histogram and the cumulative chart."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

from econ.answer.finding import chance, finding_sentence, headline_sentence, wider_sentence
from econ.inputs.schema import rows
from econ.questions.found import CARBON, CARBON_PAIR, MONEY_PAIR, Chances
from econ.workbook.desk import CHANCES, Desk
from econ.workbook.page_plan import Found, Slot, plans
from econ.workbook.pages.effects_page import answer, measures


def chances(desk: Desk) -> Found:
    """The finding, chances, percentiles, convergence, and what the samples were drawn from."""
    found, results, words = desk.results.chances, desk.results, plans()[CHANCES].words
    last = found.quantiles[-1][0], found.quantiles[0][0]
    return {
        "sampling": found.sampling,
        "stream": words[found.sampling.stream],
        "finding": finding_sentence(results),
        "beside": " ".join((headline_sentence(results), wider_sentence(results))).strip(),
        "facts": list(_facts(desk)),
        "chances": list(_chances(desk, found, words)),
        "money": list(_spreads(desk, MONEY_PAIR, is_carbon=False)),
        "money_ends": MONEY_PAIR,
        "carbon": list(_spreads(desk, CARBON_PAIR, is_carbon=True)),
        "carbon_ends": CARBON_PAIR,
        "made_of": [
            ((entry := results.scenario[key]).row.label, entry.number, low, high, entry.low, entry.high)
            for key, (low, high) in results.headline.made_of.items()
        ],
        "so_far": [
            (f"{samples:,} samples", share, math.sqrt(share * (1 - share) / samples))
            for samples, share in found.so_far
        ],
        "drawn": [(text,) for text in _drawn(found, words)],
        "bars": [
            (
                (bar.start + bar.end) / 2,
                bar.start,
                bar.end,
                *((bar.share, None) if bar.end <= 0 else (None, bar.share)),
            )
            for bar in found.bars
        ],
        "histogram_draw": {"x": {"interval_unit": max(1, len(found.bars) // 6)}},
        "quantiles": found.quantiles,
        "cumulative_draw": {"x": {"max": 0} if last[0] < 0 else {"min": 0} if last[1] > 0 else {}},
    }


def _facts(desk: Desk) -> Iterator[tuple[Any, ...]]:
    """The deciding facts: settled or open, and what each open one does to the mean NPV."""
    for one in desk.results.finding.deciding.standings:
        label = Slot(one.fact.label[0].upper() + one.fact.label[1:], "bold" if one.can_turn else "")
        means: list[Any] = [look.mean for look in one.at or ()] or [None, None]
        yes = ["yes" if holds else "no" for holds in (one.is_settled, one.can_turn)]
        yield label, yes[0], *means, yes[1], one.fact.settle


def _chances(desk: Desk, found: Chances, words: Mapping[str, Any]) -> Iterator[tuple[Any, ...]]:
    """The four chances, each with what it counts."""
    error = words["error"].format(found.loss_error)
    if not found.loss_error:
        error = words["agree"].format(chance(found.loss, found.sampling.samples))
    rival = words["only" if found.decisive == "npv" else "best"]
    known = 1 - found.spreads["project_net_kg_co2e"].withheld_frac
    yield "NPV is below zero", found.loss, f"against current practice; {error}"
    yield "The kiln never pays back", found.never_pays_back, f"not within {desk.results.plan.years} years"
    yield "Char is the cheapest option", found.char_is_cheapest, f"NPV not below 0 against {rival}"
    yield (
        "The kiln is a net source of CO2e",
        found.net_source,
        f"removal less process emissions below 0; figure exists in {known:.0%} of the samples",
    )


def _spreads(desk: Desk, ends: tuple[float, float], is_carbon: bool) -> Iterator[tuple[Any, ...]]:
    """Mean, low, median and high of each measure, how often it is not reported, and its value as typed."""
    for name, label, unit, scale in measures(desk):
        if (name in CARBON) == is_carbon:
            one = desk.results.chances.spreads[name]
            values = (one.mean, *one.pair(ends), desk.results.figures[name])
            *spread, typed = (answer(value * scale, unit) for value in values)
            label = f"{label} [{unit.replace('$', desk.currency)}]"
            yield label, *spread, Slot(one.withheld_frac, "pct1"), typed


def _drawn(found: Chances, words: Mapping[str, Any]) -> Iterator[str]:
    """What was drawn: how many inputs of which shape, those of another shape, the pairs."""
    shapes = {option.slug: option.label for option in rows()["ranges.special.1.shape"].choices}
    for shape in dict.fromkeys(found.shapes.values()):
        keys = [key for key, own in found.shapes.items() if own == shape]
        yield words["few"].format(len(keys), shapes[shape], f": {', '.join(keys)}" if len(keys) <= 4 else "")
    for pair in found.pairs:
        yield words["pair"].format(pair)
    if not found.pairs:
        yield words["no_pairs"]
    yield words["held"]
