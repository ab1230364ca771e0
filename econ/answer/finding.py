"""The finding in words: one box, read alike by the screen, the JSON, the workbook and the note.

Decision first, then the one reason that weighs most, then what would change it; under it the headline. Other plans
beside the one typed. The sentences stand in `sentences.csv`; here is what they quote.
"""

from __future__ import annotations

import math
import re
import sys
from collections.abc import Callable
from functools import cache, partial
from typing import NamedTuple

from econ.answer.practice import way_name
from econ.answer.results import Results, worst_words
from econ.answer.sentences import Speech, amount, chance, few
from econ.inputs.as_typed import plain_figure
from econ.inputs.records import instances
from econ.inputs.schema import place_words
from econ.model.plan import CHAR, TODAY
from econ.questions.found import BreakEven
from econ.questions.found_deep import TRIALS
from econ.questions.found_rule import FACTS
from econ.questions.plan_moves import SHARE, Sign, Tried, unit_of
from econ.shipped import described
from econ.units import counted

NAMED = 3
"""Ways to settle facts named in one sentence."""
NEXT = ("kiln.price", "kiln.installation", "kiln.batch_load", "fuel.1.per_batch", "labour.hours_per_batch")
"""Rows that a kiln of another size moves."""
LEAST_TOLD = 0.005
"""A difference of the share processed that is told."""
CANONICAL = {"t/year": 1000.0, "t/week": 52_000.0}
"""From the unit of a lever to the canonical unit of its row, kg a year."""


def say(results: Results, name: str) -> str:
    """A sentence of the finding by its id in `sentences.csv`; empty where there is nothing to say.

    finding: the box; reason, change; headline: the NPV as typed among the samples; wider: with wider ranges; deep;
    carbon-finding: a net source; terms; plans: the best beside the typed; pace; unchecked: what nobody read.
    """
    found, samples = results.finding, results.chances.sampling.samples
    facts = {fact.slug: fact.label for fact in FACTS}
    _, net, most = results.carbon("project_net_kg_co2e")
    speech: Speech = Speech(results.scenario.entries, results.figures, {
        "r": results, "p": results.plans, "verdict": found.verdict,
        "verdict_words": found.verdict.replace(":", ","),
        "money": partial(money, results), "currency": results.scenario.currency, "few": few, "chance": chance,
        "runs": samples, "loss": loss_words(results), "near": partial(nearest, results),
        "worst": partial(worst_words, results),
        "blank_labels": [facts[slug] for slug in found.deciding.blank],
        "enter": lambda: [speech.say(f"enter-{slug}") for slug in found.deciding.blank],
        "open_facts": [one.fact.label for one in found.missing][:NAMED], "others": len(found.missing) > NAMED,
        "settle": list(dict.fromkeys(one.fact.settle for one in found.missing))[:NAMED],
        "causes": " and ".join(short_name(results, key) for key, _ in results.headline.causes),
        "better": min(int(results.headline.place * 100), 99),
        "net_median_kg": net, "net_high_kg": most,
        "option": results.scenario["current.option"].words,
        "rate": round(results.scenario["money.discount_rate"].number * 100, 2),
        "best_rival": partial(best_rival, results), "idle_batches": partial(_idle_batches, results),
        "worth": lambda: worth_having(results, speech), "moves": partial(moves_words, results),
        "sign": partial(_sign_words, results),
    })  # fmt: skip
    return speech.say(name)


def money(results: Results, value: float) -> str:
    """Money with three figures that matter, and the currency."""
    step = 10.0 ** max(len(f"{abs(value):.0f}") - 3, 0)
    return f"{round(value / step) * step:,.0f} {results.scenario.currency}"


def loss_words(results: Results) -> str:
    """The probability that the NPV which the rule weighs is below zero."""
    return chance(results.finding.loss, results.chances.sampling.samples)


@cache
def _short(key: str) -> str:
    found = (name for pattern, name in described("tables")["short"].items() if re.fullmatch(pattern, key))
    return next(found, "")


def short_name(results: Results, key: str) -> str:
    """An input as a sentence names it, with its place ("tier 2") where the plant fills another of the kind."""
    row = results.scenario[key].row
    label = re.split(r" \(|, ", row.label)[0]
    name = _short(key) or (label[0].lower() + label[1:] if label[1:2].islower() else label)
    place = re.search(r" \(\w+ \d+\)$", row.label)
    several = len(instances(results.scenario.entries, row.block, key.rpartition(".")[2])) > 1
    return name + place[0] if place and several else name


def best_rival(results: Results) -> str:
    """The way that does best on average beside the kiln: current practice, or a priced option by its name."""
    assert results.deep is not None
    others = {name: mean for name, mean in results.deep.means.items() if name != CHAR}
    best = max(others, key=others.__getitem__)
    return "current practice" if best == TODAY else way_name(results.scenario, best.split("_")[1])


def _idle_batches(results: Results) -> int:
    """Weighed batches that are at hand and do not count yet, where more of them are advised."""
    idle = [one for one in results.measured.readings.standings if one.target.table == "log" and not one.is_used]
    return max((one.sample.n for one in idle), default=0) if TRIALS in results.finding.evidence else 0


def worth_having(results: Results, speech: Speech) -> list[str]:
    """Each piece of evidence that the rule names, with its worth and, where known, its price."""
    deep, found = results.deep, []
    assert deep is not None
    offers = {offer.purchase.slug: offer for offer in deep.offers}
    for slug in results.finding.evidence:
        best = deep.best_count if slug == TRIALS else None
        found.append(speech.say("worth-one", offer=offers[slug], best=best, price=(best or offers[slug]).price))
    return found


def moves_words(results: Results, one: Tried) -> str:
    """What a plan does otherwise than the one typed; the rows of a second quote go under its name."""
    if not one.moves:
        return "the plan typed"
    moves = dict(one.moves)
    is_moved = moves.pop(SHARE, None) is not None
    parts = [f"{one.share:.0%} of the bones"] if is_moved else []
    quote = [moves.pop(key) for key in NEXT if key in moves]
    count = moves.pop("kiln.number", 0.0)
    if count or quote:
        parts.append(f"{count:.0f} kilns" if count > 1 else "the second quote" if len(quote) > 2 else "one kiln")
    first = [key.split(".")[1] for key, value in moves.items() if key.endswith(".share") and value == 1]
    parts += [f"all char offered to tier {n} first" for n in first]
    for key, value in moves.items():
        if first and key.endswith(".share"):
            continue
        label, unit = results.scenario[key].row.label, unit_of(results.scenario, key)
        shown = value if unit is None else unit.from_canonical(value)
        if key == "kiln.batches_per_week":
            parts.append(f"up to {counted(plain_figure(shown), 'batches')} a week")
        else:
            said = counted(plain_figure(shown), unit.symbol if unit else "")
            parts.append(f"{label[0].lower()}{label[1:]} {said}")
    if not is_moved and abs(one.share - results.plans().typed.share) >= LEAST_TOLD:
        parts.append(f"that takes {one.share:.0%} of the bones")
    return "; ".join(parts)


def _sign_words(results: Results, one: Sign) -> str:
    """What would have to be seen, in the units of its row."""
    bound = "at least" if one.at_least else "at most"
    if one.name == "yield":
        return f"char yield is {bound} {one.bound * 100:.1f} %"
    if one.name not in results.scenario.entries:
        label = "labour hours of a batch" if one.name == "hours" else one.name.replace("_", " ")
        return f"{label} is {bound} {plain_figure(one.bound, 3)}"
    return f"{place_words(one.name)} is {bound} {results.scenario[one.name].figure(one.bound, 3)}"


class Must(NamedTuple):
    """One lever in `unit`: as typed, where NPV is zero, the way there as a share; `turn` in the unit searched."""

    name: str
    label: str
    unit: str
    typed: float
    even: float | None
    change: float | None
    words: str
    lever: BreakEven
    turn: float | None

    @property
    def far(self) -> float:
        """The way there, for sorting; the same to a millionth is the same, and the order of the table decides."""
        if self.change is None:
            return math.inf if self.even is None else sys.float_info.max
        return round(abs(self.change), 6)


def must_be_true(results: Results) -> tuple[Must, ...]:
    """The levers of the first page that this plant has, in the order of the table."""
    levers, found = described("tables")["lever"], dict[str, Must]()
    per_customer = results.figures.get("char_per_customer_kg", 0.0)
    for one in results.breakeven:
        if one.name in levers:
            found[one.name] = _must(results, one, one.name, *_unit(results, one))
        if one.name == "tonnes_sold" and per_customer > 0:
            found["customers"] = _must(results, one, "customers", lambda t: t * 1000 / per_customer, "a year")
    return tuple(found[name] for name in levers if name in found)


def nearest(results: Results) -> Must | None:
    """The lever whose break-even is the fewest per cent away; None where nothing turns the answer alone."""
    found = min(must_be_true(results), key=lambda one: one.far, default=None)
    return found if found and found.even is not None else None


def _must(results: Results, found: BreakEven, name: str, shown: Callable[[float], float], unit: str) -> Must:
    plan, typed = described("tables")["lever"][name], shown(found.value)
    turn = min(found.values, key=lambda value: abs(value - found.value), default=None)
    even = None if turn is None else shown(turn)
    change: float | None = None
    if even is not None and typed and even * typed >= 0:  # no share leads across zero
        change = math.copysign(even / typed - 1, even - typed)
    words = Speech({}, results.figures, {"even": even, "change": change, "unit": unit, "number": amount}).say(
        "must"
    )
    label = plan["unchanged" if found.label.endswith("unchanged") else "label"]
    return Must(name, label, unit, typed, even, change, words, found, turn)


def _unit(results: Results, found: BreakEven) -> tuple[Callable[[float], float], str]:
    """From the unit of a break-even to that of the row as typed, and its short form."""
    scenario = results.scenario
    entry, unit = scenario.entries.get(described("tables")["lever"][found.name].get("row", "")), None
    if entry is not None:
        is_typed = entry.value is not None
        unit = entry.unit if is_typed else entry.row.start_unit(scenario.system, scenario.currency)
    if unit is None:
        return lambda value: value, found.unit.replace("$", scenario.currency)
    scale = CANONICAL.get(found.unit, 1.0)
    return lambda value: unit.from_canonical(value * scale), unit.symbol
