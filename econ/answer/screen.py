"""The answer as one screen of 80 columns, plain text."""

from __future__ import annotations

import math
import textwrap

from econ.answer.finding import (
    carbon_finding,
    chance,
    deep_sentence,
    finding_sentence,
    headline_sentence,
    must_be_true,
    pace_sentence,
    plans_sentence,
    terms,
)
from econ.answer.kiln_work import own_measure, people_hours
from econ.answer.option_table import sentence
from econ.answer.report import contract
from econ.answer.results import Results
from econ.inputs.cells import READ_BACK
from econ.model.derived import KG_PER_T, per_tonne
from econ.questions.found import AGAINST_BEST
from econ.units import said, shown_unit

WIDTH = 80
CAUTIONS_SHOWN = 5


def screen(results: Results) -> str:
    """The finding, the money, a firing, the tonnes, the carbon, what moves it, and the cautions."""
    parts = [
        _title(results),
        _fold(finding_sentence(results)),
        _fold(headline_sentence(results)),
        *(_fold(text) for text in (deep_sentence(results), carbon_finding(results)) if text),
        _fold(f"All NPV {terms(results)}."),
        *([_fold(sentence(results))] if AGAINST_BEST in results.figures else []),
        *_plans(results),
        "",
        *_money(results),
        "",
        *_work(results),
        "",
        *_tonnes(results),
        "",
        *_must(results),
        "",
        *_movers(results),
        *_worth(results),
        *_measured(results),
        "",
        *_cautions(results),
    ]
    return "\n".join(parts)


def _plans(results: Results) -> list[str]:
    """The best plan beside the one typed, and the options of the command that make it."""
    found = results.plans()
    sets = [f"  {text}" for text in found.sets] if found.is_better else []
    pace = pace_sentence(results)
    return [_fold(plans_sentence(results)), *sets, *([_fold(pace)] if pace else [])]


def _title(results: Results) -> str:
    name = _fold(results.scenario.name)
    return f"{name}\n{'=' * max(map(len, name.splitlines()), default=0)}".strip()


def _fold(text: str, first: str = "", then: str = "") -> str:
    return textwrap.fill(text, WIDTH, initial_indent=first, subsequent_indent=then)


def _line(label: str, value: str, beside: str = "") -> str:
    """A figure with its label; what stands beside goes below where a long number leaves no room."""
    line = f"  {label:<36} {value:>14}  {beside}".rstrip()
    return line if len(line) <= WIDTH else f"  {label:<36} {value:>14}\n{beside:>{WIDTH}}"


def amount(value: float | None, currency: str) -> str:
    """Money without decimals above 100."""
    if value is None:
        return "none"
    return f"{value:,.0f} {currency}" if abs(value) >= 100 else f"{value:,.2f} {currency}"


def _years(value: float | None) -> str:
    return "never" if value is None else f"{value:.1f} years"


def _per(value: float | None, factor: float) -> float | None:
    return None if value is None else value / factor


def _percent(value: float | None) -> str:
    return "none" if value is None else f"{value:.1%}"


def _money(results: Results) -> list[str]:
    money = results.scenario.currency
    found = contract(results.scenario, results.figures)
    unit, factor = shown_unit("t", results.scenario.system)
    fee, cost = (_per(found[name], factor) for name in ("current_cost_per_t_bones", "net_cost_per_t_bones"))
    bill = _per(per_tonne(results.figure("saved_bill_per_kg_bones")), factor)
    invoice = [_line(f"Current practice, per {unit} by invoice", amount(fee, money))] if fee is not None else []
    return [
        _line("Net present value (NPV)", amount(results.figure("npv"), money)),
        *_grant(results, money),
        *_owner(results, money),
        *_against_best(results, money),
        _line("  if no char were ever sold", amount(results.npv_without_sales, money)),
        _line(
            "Internal rate of return (IRR)", _percent(results.figure("irr")), results.reasons.get("irr", "")[:26]
        ),
        *_payback(results),
        _line(
            f"Net cost of the kiln, per {unit} of bones",
            amount(cost, money),
            f"avoided cost: {amount(bill, money)}",
        ),
        *invoice,
        _line("Probability that NPV is below zero", *_chance(results)),
    ]


def _grant(results: Results, money: str) -> list[str]:
    """NPV with the grant, where there is one."""
    if not results.plan.has_grant:
        return []
    status = results.scenario.choice("grant.status")
    return [_line("  with the grant", amount(results.figure("npv_with_grant"), money), status)]


def _payback(results: Results) -> list[str]:
    """The first crossing and the one for good, discounted beside each; the second where it differs."""

    def row(label: str, name: str) -> str:
        beside = f"discounted: {_years(results.figure(f'discounted_{name}'))}"
        return _line(label, _years(results.figure(name)), beside)

    found = [row("Payback", "payback_years")]
    pairs = (("payback_years", "payback_for_good_years"),
             ("discounted_payback_years", "discounted_payback_for_good_years"))  # fmt: skip
    if any(results.figure(first) != results.figure(good) for first, good in pairs):
        found.append(row("  for good, replacements paid", "payback_for_good_years"))
    return found


def _against_best(results: Results, money: str) -> list[str]:
    """NPV less that of the best other way, where other ways are priced."""
    if AGAINST_BEST not in results.figures:
        return []
    return [_line("  against the best alternative", amount(results.figures[AGAINST_BEST], money))]


def _owner(results: Results, money: str) -> list[str]:
    """The owner's worth after finance and the minimum DSCR, where there is a loan."""
    if not results.plan.loan_years:
        return []
    lowest = f"minimum DSCR {results.figures['lowest_coverage']:.2f}"
    return [_line("  to the owner, with loan and grant", amount(results.figure("npv_owner"), money), lowest)]


def _chance(results: Results) -> tuple[str, str]:
    found = results.chances
    return chance(found.loss, found.sampling.samples), f"mean NPV {found.spreads['npv'].mean:,.0f}"


def _work(results: Results) -> list[str]:
    scenario = results.scenario
    found = [
        _line(
            "Batches per year",
            f"{results.figures['firings_per_year']:,.0f}",
            f"{said(results.figures['load_per_firing_kg'], 'kg', scenario.system)} of bones in each",
        ),
        _line("Labour per batch", f"{people_hours(results.plan, scenario, results.figures):,.1f} h"),
    ]
    for n, kind in zip(results.plan.fuels, results.plan.fuel_kinds, strict=True):
        entry = scenario[f"fuel.{n}.per_batch"]
        amount_used = results.figures[f"fuel_{n}_per_firing"] if entry.value is None else entry.number
        unit, shown = own_measure(kind), amount_used
        if entry.value is not None and entry.unit is not None:
            unit, shown = entry.unit.symbol, entry.unit.from_canonical(amount_used)
        beside = "modelled, not measured" if entry.value is None else ""
        found.append(_line(f"{kind.capitalize()} per batch", f"{shown:,.1f} {unit}", beside))
    return found


def _tonnes(results: Results) -> list[str]:
    def row(label: str, name: str, unit: str, beside: str = "") -> str:
        value = results.tonnes(name)
        if value is None:
            return _line(label, "not reported")
        return _line(label, f"{value:,.2f} {unit}", beside)

    def mass(name: str) -> str:
        return said(results.figures[name] / KG_PER_T, "t", results.scenario.system, 2)

    customers = results.figures["customers_per_year"]

    def span(name: str) -> str:
        low, median, high = (kg / 1000 for kg in results.carbon(name))
        return "" if math.isnan(low) else f"median {median:,.2f}, {low:,.2f} to {high:,.2f}"

    return [
        _line("Dry char per year", mass("char_kg")),
        _line("Total P2O5 per year", mass("p2o5_kg"), f"available {mass('available_p2o5_kg')}"),
        row("Carbon remaining after 100 years", "durable_c_kg", "t C", span("durable_c_kg")),
        row("CO2 removal (100-year)", "removal_kg_co2e", "t CO2e", span("removal_kg_co2e")),
        row("CO2 removal less process emissions", "project_net_kg_co2e", "t CO2e", span("project_net_kg_co2e")),
        _line("Customers needed at the label rate", f"{customers:,.0f}", "a year"),
    ]


def _must(results: Results) -> list[str]:
    found = ["What must be true, one at a time, for NPV to be zero:"]
    return [*found, *(_fold(f"{one.label}: {one.words}", "  ", "    ") for one in must_be_true(results))]


def _movers(results: Results) -> list[str]:
    if not results.effects:
        return ["What moves the NPV most: give low and high to see it."]
    found = [f"{'What moves the NPV most':<48}{'at its low':>14} {'at its high':>14}"]
    for effect in results.effects[:3]:
        label = effect.label[:44]
        found.append(f"  {label:<46}{effect.at_low['npv']:>14,.0f} {effect.at_high['npv']:>14,.0f}")
    return found


def _worth(results: Results) -> list[str]:
    """After a deep run: what each piece of evidence could be worth; those worth nothing in one line."""
    if results.deep is None:
        return []
    head = f"Value of more information before you sign, upper bound [{results.scenario.currency}]:"
    useful = sorted((o for o in results.deep.offers if o.limit.gain > 0), key=lambda o: -o.limit.gain)
    found = ["", head, *(_line_of(o.purchase.label, f"{o.limit.gain:,.0f}") for o in useful)]
    idle = [o.purchase.label for o in results.deep.offers if not o.limit.gain > 0]
    return [*found, _fold(f"nothing: {'; '.join(idle)}", "  ", "  ")] if idle else found


def _line_of(label: str, value: str) -> str:
    return f"  {label:<60} {value:>14}"


def _measured(results: Results) -> list[str]:
    """What was measured and counts, and the answer without it; nothing where nothing does."""
    found = results.measured
    if not found.readings.used:
        return []
    listed = "; ".join(f"{one.typed.row.label} (n = {one.sample.n})" for one in found.readings.used)
    return [
        "",
        _fold(f"Measured: {listed}. NPV as typed: {amount(found.npv_as_typed, results.scenario.currency)}."),
    ]


def _cautions(results: Results) -> list[str]:
    found = ["Settle first:"]
    found += [_fold(caution.text, "  - ", "    ") for caution in results.cautions[:CAUTIONS_SHOWN]]
    more = len(results.cautions) - CAUTIONS_SHOWN
    if more > 0:
        read = len([one for one in results.cautions[CAUTIONS_SHOWN:] if one.id in READ_BACK])
        those = f", {read} of them on how a cell was read" if read else ""
        found.append(f"  and {more} more on the sheet Checks{those}.")
    found.append("Before the first batch: read the sheet of that name, then the sheet To settle.")
    return found
