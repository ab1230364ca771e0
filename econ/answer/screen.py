"""The answer as one screen of 80 columns, plain text."""

from __future__ import annotations

import math
import textwrap
from functools import partial

from econ.answer.finding import must_be_true, say
from econ.answer.option_table import sentence
from econ.answer.report import contract
from econ.answer.results import Results
from econ.answer.sentences import Speech, chance
from econ.inputs.cells import READ_BACK
from econ.model.derived import KG_PER_T, per_tonne
from econ.questions.found import AGAINST_BEST
from econ.units import said, shown_unit, unit

WIDTH = 80
CAUTIONS_SHOWN = 5


def screen(results: Results) -> str:
    """The finding, the money, a firing, the tonnes, the carbon, what moves it, and the cautions."""
    speech, plans, title = _figures(results), results.plans(), _fold(results.scenario.name)
    said = partial(say, results)
    beside = sentence(results) if AGAINST_BEST in results.figures else ""
    first = (said("finding"), said("headline"), said("deep"), said("carbon-finding"), f"All NPV {said('terms')}.",
             beside, said("plans"))  # fmt: skip
    sets = [f"  {text}" for text in (plans.sets if plans.is_better else ())]
    blocks = [
        [f"{title}\n{'=' * max(map(len, title.splitlines()), default=0)}".strip(), *_folded(*first), *sets,
         *_folded(said("pace"))],
        _lines(speech, "screen-money"),
        [*_lines(speech, "screen-work"), *_fuels(results)],
        _lines(speech, "screen-tonnes"),
        ["What must be true, one at a time, for NPV to be zero:",
         *(_fold(f"{one.label}: {one.words}", "  ", "    ") for one in must_be_true(results))],
        _movers(results), _worth(results), _measured(results), _cautions(results),
    ]  # fmt: skip
    return "\n\n".join("\n".join(block) for block in blocks if block)


def _folded(*texts: str) -> list[str]:
    return [_fold(text) for text in texts if text]


def _fold(text: str, first: str = "", then: str = "") -> str:
    return textwrap.fill(text, WIDTH, initial_indent=first, subsequent_indent=then)


def _line(label: str, value: str, beside: str = "") -> str:
    """A figure with its label; what stands beside goes below where a long number leaves no room."""
    line = f"  {label:<36} {value:>14}  {beside}".rstrip()
    return line if len(line) <= WIDTH else f"  {label:<36} {value:>14}\n{beside:>{WIDTH}}"


def amount(value: float | None, currency: str) -> str:
    """Money without decimals above 100."""
    if value is None or not math.isfinite(value):
        return "none"
    return f"{value:,.0f} {currency}" if abs(value) >= 100 else f"{value:,.2f} {currency}"


def _figures(results: Results) -> Speech:
    """What the lines of the screen quote."""
    scenario, money = results.scenario, results.scenario.currency
    unit, factor = shown_unit("t", scenario.system)
    found = contract(scenario, results.figures)
    found["saved_bill_per_t_bones"] = per_tonne(results.figure("saved_bill_per_kg_bones"))
    once, for_good = (
        [results.figure(f"{one}payback{good}_years") for one in ("", "discounted_")] for good in ("", "_for_good")
    )

    def metric(kg: float, unit: str) -> str:
        return f"{kg / KG_PER_T:,.2f} {unit}" if math.isfinite(kg) else "not reported"

    def span(name: str) -> str:
        low, middle, high = (kg / KG_PER_T for kg in results.carbon(name))
        return speech.say("screen-span", low=low, middle=middle, high=high)

    speech: Speech = Speech(scenario.entries, results.figures, {
        "r": results, "plan": results.plan, "ton": unit, "cash": lambda value: amount(value, money),
        "per_ton": lambda name: amount(None if found[name] is None else found[name] / factor, money),
        "percent": lambda share: f"{share:.1%}" if math.isfinite(share) else "none",
        "years": lambda value: f"{value:.1f} years" if math.isfinite(value) else "never",
        "exists": math.isfinite, "irr_reason": results.reasons.get("irr", "")[:26], "pays_twice": once != for_good,
        "has_invoice": found["current_cost_per_t_bones"] is not None, "metric": metric, "span": span,
        "loss": chance(results.chances.loss, results.chances.sampling.samples),
        "weight": lambda kg: said(kg / KG_PER_T, "t", scenario.system, 2),
    })  # fmt: skip
    return speech


def _lines(speech: Speech, name: str) -> list[str]:
    return [_line(*line.replace("> ", "  ").split("|")) for line in speech.lines(name)]


def _fuels(results: Results) -> list[str]:
    """What a batch takes of each fuel, in the unit it was typed in; a modelled one as it is priced."""
    found = []
    for n, kind in zip(results.plan.fuels, results.plan.fuel_kinds, strict=True):
        entry = results.scenario[f"fuel.{n}.per_batch"]
        priced, is_typed = results.scenario[f"fuel.{n}.price"].unit, entry.value is not None
        measure = entry.unit if is_typed else unit(priced.short.split(" per ")[1]) if priced else None
        assert measure
        used = measure.from_canonical(entry.number if is_typed else results.figures[f"fuel_{n}_per_firing"])
        words = f"{kind.replace('-', ' ').capitalize()} per batch", f"{used:,.1f} {measure.symbol}"
        found.append(_line(*words, "" if is_typed else "modelled, not measured"))
    return found


def _movers(results: Results) -> list[str]:
    if not results.effects:
        return ["What moves the NPV most: give low and high to see it."]
    found = [f"{'What moves the NPV most':<48}{'at its low':>14} {'at its high':>14}"]
    for effect in results.effects[:3]:
        *above, label = textwrap.wrap(effect.label, 44)
        found += [f"  {line}" for line in above]
        found.append(f"  {label:<46}{effect.at_low['npv']:>14,.0f} {effect.at_high['npv']:>14,.0f}")
    return found


def _worth(results: Results) -> list[str]:
    """After a deep run: what each piece of evidence could be worth; those worth nothing in one line."""
    if results.deep is None:
        return []
    head = f"Value of more information before you sign, upper bound [{results.scenario.currency}]:"
    useful = sorted((o for o in results.deep.offers if o.limit.gain > 0), key=lambda o: -o.limit.gain)
    found = [head, *(f"  {o.purchase.label:<60} {o.limit.gain:>14,.0f}" for o in useful)]
    idle = [o.purchase.label for o in results.deep.offers if not o.limit.gain > 0]
    return [*found, _fold(f"nothing: {'; '.join(idle)}", "  ", "  ")] if idle else found


def _measured(results: Results) -> list[str]:
    """What was measured and counts, and the answer without it; nothing where nothing does."""
    found = results.measured
    listed = "; ".join(f"{one.typed.row.label} (n = {one.sample.n})" for one in found.readings.used)
    npv = amount(found.npv_as_typed, results.scenario.currency)
    return [_fold(f"Measured: {listed}. NPV as typed: {npv}.")] if listed else []


def _cautions(results: Results) -> list[str]:
    found = ["Settle first:"]
    found += [_fold(caution.text, "  - ", "    ") for caution in results.cautions[:CAUTIONS_SHOWN]]
    more = len(results.cautions) - CAUTIONS_SHOWN
    if more > 0:
        read = len([one for one in results.cautions[CAUTIONS_SHOWN:] if one.id == READ_BACK])
        those = f", {read} of them on how a cell was read" if read else ""
        found.append(f"  and {more} more on the sheet Checks{those}.")
    found.append("Before the first batch: read the sheet of that name, then the sheet To settle.")
    return found
