"""Every way for the bones on one line each, and what they say together."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from econ.answer.practice import way_name
from econ.answer.results import Results
from econ.answer.sentences import Speech
from econ.evidence.factors import factor
from econ.fields import record
from econ.model.derived import KG_PER_T
from econ.model.plan import CHAR, GATE_FEE, TODAY, Way
from econ.questions.found import AGAINST_BEST
from econ.shipped import described
from econ.units import shown_unit

MIX = "mix"
PUBLISHED = "published"
"""Composting at a published cost: no quote for this plant, so that no finding and no ranking by cost counts it."""
NO_RIVAL = frozenset({GATE_FEE, MIX, PUBLISHED})
SCALE = {"cost_per_t_bones": KG_PER_T, "removal_t_co2e": 1e-3, "emissions_t_co2e": 1e-3, "avoided_t_co2e": 1e-3,
         "credits_t_co2e": 1e-3, "left_over_t": 1e-3}  # fmt: skip
"""From the unit of a figure to that of its column, where they differ."""
MONTHS_PER_YEAR = 12


@record(frozen=True, slots=True)
class Compared:
    """One way: money before tax but `npv_against_today`, `yearly_cost` in today's prices; None: unknown."""

    name: str
    kind: str
    label: str
    capital: float | None = None
    yearly_cost: float | None = None
    present_value: float | None = None
    cost_per_t_bones: float | None = None
    npv_against_today: float | None = None
    hours: float | None = None
    p_kept_kg: float | None = None
    p_in_feed_kg: float | None = None
    n_kept_kg: float | None = None
    removal_t_co2e: float | None = None
    emissions_t_co2e: float | None = None
    avoided_t_co2e: float | None = None
    credits_t_co2e: float | None = None
    usable_after: str = ""
    left_over_t: float | None = None
    rules: str = ""


def compared(results: Results) -> tuple[Compared, ...]:
    """The kiln, today's way, the present mix where typed, every filled block, and composting, in this order."""
    today = {"other": "own"}.get(results.plan.today, results.plan.today)
    label = results.scenario["current.option"].row.words(results.plan.today)
    found = [_way(results, CHAR, CHAR, "kiln: char", p_in_feed_kg=0.0, credits_t_co2e=0.0)]
    found.append(_way(results, TODAY, today, f"current practice: {label}", capital=0.0, npv_against_today=0.0,
                      removal_t_co2e=0.0, avoided_t_co2e=0.0))  # fmt: skip
    if "mix_p_kept_kg" in results.figures:
        found.append(_way(results, MIX, MIX, "present mix, by its parts", removal_t_co2e=0.0))
    found += [_other(results, way) for way in results.plan.ways]
    composts = {results.plan.today, *(way.kind for way in results.plan.ways)} & {"composting", "compost-char"}
    return (*found, *(() if composts else (_published(results),)))


def _way(results: Results, name: str, kind: str, label: str, **known: Any) -> Compared:
    """A way by the figures of its columns in `tables.toml`, and what else is `known` of it."""
    words, n = described("tables")["way"], name.rpartition(".")[2]
    column = described("tables")["column"]["option" if name.startswith("option.") else name]
    values = {at: results.figure(line.format(n=n), SCALE.get(at, 1.0)) for at, line in column.items()}
    of_kind = words["composting" if kind == PUBLISHED else kind]
    return Compared(name, kind, label, **{**values, **of_kind, **known})


def _other(results: Results, way: Way) -> Compared:
    scenario, n = results.scenario, way.number
    known: dict[str, Any] = {}
    if (months := scenario[f"option.{n}.months"]).value is not None:
        known["usable_after"] = f"{months.number * MONTHS_PER_YEAR:g} months"
    if way.kind != GATE_FEE:
        known |= {"removal_t_co2e": 0.0, "avoided_t_co2e": results.figure("avoided_kg_co2e", 1e-3)}
    return _way(results, f"option.{n}", way.kind, way_name(scenario, n), **known)


def _published(results: Results) -> Compared:
    """Composting of the same bones at the published cost, where that is in the currency of the plant."""
    figures, known = results.figures, {}
    if results.scenario.currency == "USD":
        yearly = factor("price_compost").value * figures["bones_fired_kg"] / KG_PER_T
        per_kg = yearly / figures["bones_received_kg"]
        known = {"yearly_cost": yearly, "present_value": per_kg * figures["annuity_bones_kg"],
                 "cost_per_t_bones": per_kg * KG_PER_T}  # fmt: skip
    label = "composting on site, at a published cost (no quote)"
    return _way(results, PUBLISHED, PUBLISHED, label, p_in_feed_kg=0.0, removal_t_co2e=0.0, **known)


def best_other(results: Results) -> str | None:
    """Name of the best way but the kiln: "today" where no other beats it; None where none is priced."""
    if AGAINST_BEST not in results.figures:
        return None
    rivals = {w.name: w.npv_against_today for w in compared(results) if w.kind not in NO_RIVAL | {CHAR}}
    known = {name: npv for name, npv in rivals.items() if npv is not None}
    return max(known, key=lambda name: known[name])


def sentence(results: Results) -> str:
    """Which way is cheapest, which keeps the P, which emits least, and the kiln against the best other."""
    ways = {way.name: way for way in compared(results) if way.kind not in NO_RIVAL - {PUBLISHED}}
    published, price = ways.get(PUBLISHED), factor("price_compost")
    yearly = published.yearly_cost if published else None
    low, high = (yearly * (end or 0.0) / price.value if yearly else None for end in (price.low, price.high))
    best, (unit, size) = best_other(results), shown_unit("$/t", results.scenario.system)
    told = [f"{(end or 0.0) * size:,.0f}" for end in (price.value, price.low, price.high)]
    said = f"{told[0]} USD{unit[1:]} ({told[1]} to {told[2]}; carcasses on farms, 2012)"
    speech = Speech(results.scenario.entries, results.figures, {
        "plan": results.plan, "currency": results.scenario.currency, "count": len(ways),
        "best": [f"{words}: {_best(ways.values(), column, sign)}"
                 for words, column, sign in described("tables")["best"]["rows"]],
        "best_label": ways[best].label if best else None,
        "published_price": said if published else None,
        "published_low": low, "published_high": high,
    })  # fmt: skip
    turns = [
        speech.say("turn", values=" and ".join(f"{value:,.2f}" for value in one.values), unit=one.unit.replace(
            "/", " a "), what="bones" if one.name == "bones_per_week" else "char sold")
        for one in results.better_than_best
    ]  # fmt: skip
    return speech.say("ways", turns=turns)


def _best(ways: Iterable[Compared], column: str, sign: int) -> str:
    """The labels of the ways with the best figure of a column."""
    known = [(sign * value, way.label) for way in ways if (value := getattr(way, column)) is not None]
    least = min(value for value, _ in known)
    return " and ".join(label for value, label in known if math.isclose(value, least, rel_tol=1e-9))
