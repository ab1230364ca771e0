"""Every way for the bones on one line each, and what they say together."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Any

from econ.answer.filled import contract, filled
from econ.answer.results import Results
from econ.evidence.factors import factor
from econ.inputs.schema import rows
from econ.model.derived import KG_PER_T
from econ.model.plan_parts import CHAR, GATE_FEE, TODAY, Way
from econ.questions.found import AGAINST_BEST
from econ.units import shown_unit

MIX = "mix"
PUBLISHED = "published"
"""Composting at a published cost: no quote for this plant, so that no ranking and no finding counts it."""
NO_RIVAL = frozenset({GATE_FEE, MIX, PUBLISHED})
MONTHS_PER_YEAR = 12

USABLE = {
    CHAR: "days: a batch, cooling, grinding",
    "rendering": "none: the bones leave",
    "composting": "6 to 12 months",
    "compost-char": "6 to 12 months, then a batch",
    "sell": "none: the bones leave",
    "landfill": "none",
    "burial": "none",
    "own": "not told",
    GATE_FEE: "days: a batch, cooling, grinding",
}
"""Time until what comes out can be used; common practice, no source."""
RULES = {
    CHAR: "air permit; fertiliser label; skulls and backbone of older cattle kept out",
    "rendering": "pick-up contract; keeping and hygiene until pick-up",
    "composting": "composting permit and set-backs; heat record; what may be composted",
    "compost-char": "composting permit and heat record; air permit; fertiliser label",
    "sell": "food or feed law: only bones passed for it, cooled",
    "landfill": "whether the site takes animal parts; their surcharge",
    "burial": "depth, distance to water, yearly limits; many places forbid it",
    "own": "ask the authority that would inspect it",
    GATE_FEE: "air permit for the larger mass; a licence to take in by-products; papers of each load",
}
"""Which rules to ask about; common practice, no source: no rule is quoted here."""


@dataclass(frozen=True, slots=True)
class Compared:
    """One way over the study: money in the currency before tax but for `npv_against_today`; None: unknown.

    `yearly_cost` in today's prices; the four blocks of greenhouse gases in t CO2e a year.
    """

    name: str
    kind: str
    label: str
    capital: float | None
    yearly_cost: float | None
    present_value: float | None
    cost_per_t_bones: float | None
    npv_against_today: float | None
    hours: float | None
    p_kept_kg: float | None
    p_in_feed_kg: float | None
    n_kept_kg: float | None
    removal_t_co2e: float | None
    emissions_t_co2e: float | None
    avoided_t_co2e: float | None
    credits_t_co2e: float | None
    usable_after: str
    left_over_t: float | None
    rules: str


def compared(results: Results) -> tuple[Compared, ...]:
    """The kiln, today's way, the present mix where typed, every filled block, and composting, in this order."""
    mix = (_mix(results),) if "mix_p_kept_kg" in results.figures else ()
    others = [_other(results, way) for way in results.plan.ways]
    composts = {results.plan.today, *(way.kind for way in others)} & {"composting", "compost-char"}
    return (_char(results), _today(results), *mix, *others, *(() if composts else (_published(results),)))


def _figure(results: Results, name: str, scale: float = 1.0) -> float | None:
    value = results.figures.get(name, math.nan)
    return value * scale if math.isfinite(value) else None


def _char(results: Results) -> Compared:
    def of(name: str, scale: float = 1.0) -> float | None:
        return _figure(results, name, scale)

    return Compared(
        CHAR, CHAR, "kiln: char", of("capital_total_today"), of("char_yearly_cost"), of("pv_cost"),
        of("char_cost_per_kg", KG_PER_T), of("npv"), of("hours_per_year"), of("char_p_kept_kg"),
        0.0, of("char_n_kept_kg"), of("removal_kg_co2e", 1e-3), of("process_kg_co2e", 1e-3),
        of("avoided_kg_co2e", 1e-3), 0.0, USABLE[CHAR], of("char_left_over_kg", 1e-3), RULES[CHAR],
    )  # fmt: skip


def _today(results: Results) -> Compared:
    def of(name: str, scale: float = 1.0) -> float | None:
        return _figure(results, name, scale)

    kind = {"other": "own"}.get(results.plan.today, results.plan.today)
    label = results.scenario["current.option"].row.words(results.plan.today)
    return Compared(
        TODAY, kind, f"current practice: {label}", 0.0, of("disposal_saved_today"), of("today_pv_cost"),
        of("today_cost_per_kg", KG_PER_T), 0.0, None, of("today_p_kept_kg"),
        of("today_p_in_feed_kg"), of("today_n_kept_kg"),
        0.0, of("avoided_kg_co2e", 1e-3), 0.0, of("credits_lost_kg_co2e", 1e-3), USABLE[kind], None,
        RULES[kind],
    )  # fmt: skip


def _mix(results: Results) -> Compared:
    def of(name: str, scale: float = 1.0) -> float | None:
        return _figure(results, f"mix_{name}", scale)

    return Compared(
        MIX, MIX, "present mix, by its parts", of("bought"), of("yearly_cost"), of("pv_cost"),
        of("cost_per_kg", KG_PER_T), of("npv"), of("people_hours"), of("p_kept_kg"), of("p_in_feed_kg"),
        of("n_kept_kg"), 0.0, of("emissions_kg_co2e", 1e-3), None, None,
        "by its parts", None, "those of its parts",
    )  # fmt: skip


def _other(results: Results, way: Way) -> Compared:
    scenario, n = results.scenario, way.number

    def of(name: str, scale: float = 1.0) -> float | None:
        return _figure(results, f"option_{n}_{name}", scale)

    name = scenario[f"option.{n}.name"].value
    label = next(kind.label for kind in rows()["option.1.kind"].choices if kind.slug == way.kind)
    months = scenario[f"option.{n}.months"]
    usable = USABLE[way.kind] if months.value is None else f"{months.number * MONTHS_PER_YEAR:g} months"
    is_char = way.kind == GATE_FEE
    return Compared(
        f"option.{n}", way.kind, str(name or label), of("bought"), of("yearly_cost"), of("pv_cost"),
        of("cost_per_kg", KG_PER_T), of("npv"), of("people_hours"), of("p_kept_kg"), of("p_in_feed_kg"),
        of("n_kept_kg"), None if is_char else 0.0, of("emissions_kg_co2e", 1e-3),
        None if is_char else _figure(results, "avoided_kg_co2e", 1e-3), of("credits_kg_co2e", 1e-3), usable,
        of("leftover_kg", 1e-3), RULES[way.kind],
    )  # fmt: skip


def _published(results: Results) -> Compared:
    """Composting of the same bones at the published cost, where that is in the currency of the plant."""
    figures, price = results.figures, factor("price_compost")
    yearly = price.value * figures["bones_fired_kg"] / KG_PER_T if results.scenario.currency == "USD" else None
    per_kg = None if yearly is None else yearly / figures["bones_received_kg"]
    return Compared(
        PUBLISHED, PUBLISHED, "composting on site, at a published cost (no quote)", None, yearly,
        None if per_kg is None else per_kg * figures["annuity_bones_kg"],
        None if per_kg is None else per_kg * KG_PER_T, None, None, figures["p_bones_kg"], 0.0, None, 0.0,
        _figure(results, "compost_kg_co2e", 1e-3), _figure(results, "avoided_kg_co2e", 1e-3),
        _figure(results, "compost_nitrogen_kg_co2e", 1e-3), USABLE["composting"], None, RULES["composting"],
    )  # fmt: skip


def _published_sentence(results: Results, way: Compared) -> str:
    """What composting costs by publication, beside the bill that ends."""
    price, money, system = factor("price_compost"), results.scenario.currency, results.scenario.system
    unit, size = shown_unit("$/t", system)
    value, low, high = (f"{(end or 0.0) * size:,.0f}" for end in (price.value, price.low, price.high))
    text = f" Composting at a published cost: {value} USD{unit[1:]} ({low} to {high}; carcasses on farms, 2012)"
    if way.yearly_cost is None:
        return f"{text}; not carried into {money}."
    saved = results.figures["disposal_saved_today"]
    return f"{text}, {way.yearly_cost:,.0f} {money} a year; current practice {saved:,.0f}. Get your own quote."


def options_json(results: Results) -> dict[str, Any]:
    """The named sub-object details.options."""
    return {
        "ways": [asdict(one) for one in compared(results)],
        "best_other": best_other(results),
        "best_other_npv": _figure(results, "best_other_npv"),
        "npv_against_best": _figure(results, AGAINST_BEST),
        "char_is_better_from": filled({**contract()["breakeven"], "@each": "better_than_best"}, results, {}),
        "sentence": sentence(results),
    }


def best_other(results: Results) -> str | None:
    """Name of the best way but the kiln: "today" where no other beats it; None where none is priced."""
    if AGAINST_BEST not in results.figures:
        return None
    rivals = {w.name: w.npv_against_today for w in compared(results) if w.kind not in NO_RIVAL | {CHAR}}
    known = {name: npv for name, npv in rivals.items() if npv is not None}
    return max(known, key=lambda name: known[name])


def sentence(results: Results) -> str:
    """Which way is cheapest, which keeps the P, which emits least, and the kiln against the best other."""
    found = compared(results)
    ways = [way for way in found if way.kind not in NO_RIVAL]
    labels = {way.name: way.label for way in ways}
    parts = []
    for words, column, sign in (
        ("cheapest for the bones", "npv_against_today", -1),
        ("keeps most P for soil", "p_kept_kg", -1),
        ("emits least", "emissions_t_co2e", 1),
    ):
        known = {way.name: getattr(way, column) for way in ways if getattr(way, column) is not None}
        best = min(known, key=lambda name: sign * known[name])
        ties = [labels[name] for name in known if math.isclose(known[name], known[best], rel_tol=1e-9)]
        parts.append(f"{words}: {' and '.join(ties)}")
    text = f"Of the {len(ways)} ways compared, {'; '.join(parts)} (removal and displaced co-products stand apart)."
    text += "".join(_published_sentence(results, way) for way in found if way.kind == PUBLISHED)
    best_name = best_other(results)
    if best_name is None:
        return text
    ahead = results.figures[AGAINST_BEST]
    worse = "ahead of" if ahead >= 0 else "behind"
    text += (
        f" Over {results.plan.years} years the kiln is {abs(ahead):,.0f} {results.scenario.currency} {worse} the "
        f"best alternative ({labels[best_name]}). Which of the two is better turns "
    )
    return text + "; ".join(_turn(one.name, one.unit, one.values) for one in results.better_than_best) + "."


def _turn(name: str, unit: str, values: tuple[float, ...]) -> str:
    what = "bones" if name == "bones_per_week" else "char sold"
    if not values:
        return f"at no amount of {what} in range"
    listed = " and ".join(f"{value:,.2f}" for value in values)
    return f"at {listed} {unit.replace('/', ' a ')} of {what}"
