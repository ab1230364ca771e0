"""A scenario evaluated once, and what a trade expert says of it: `cautions.csv`, read as `check_rules` says."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial
from itertools import accumulate
from pathlib import Path
from typing import Any

from econ.answer import label_statement
from econ.answer.practice import fuel_verdict, of_planting, usual_efficiency
from econ.answer.sentences import Figures, Speech, few
from econ.errors import InputFault, InputFaults
from econ.evidence import curves
from econ.evidence.factors import factor
from econ.evidence.facts import READ
from econ.evidence.used import edition, in_words, shipped_edition
from econ.fields import record
from econ.inputs import checks
from econ.inputs.cells import READ_BACK
from econ.inputs.check_rules import Blank, Check, rules, walk
from econ.inputs.lanes import exists, summed, unwrapped
from econ.inputs.ranges import drawable
from econ.inputs.records import Caution, Scenario, cautions_asked
from econ.inputs.rows import MONTHS
from econ.measured import use
from econ.model.coefficients import SHARE_OF_CLASS, factors_of_class
from econ.model.derived import Returns, returns
from econ.model.evaluate import evaluate
from econ.model.ledger import TINY, Arrays, Book
from econ.model.money import sales_ramp
from econ.model.plan import Plan, own_assay
from econ.questions.draws import edges_inside, pair_faults
from econ.questions.found import CENT, COVERAGE_ASKED

MOST_AT_ONCE = 2_500
"""Plants put to the model at once: all their figures take some 60 MB."""
TABLE = Path(__file__).parent / "cautions.csv"


@record(frozen=True, slots=True)
class BaseCase:
    """A scenario evaluated once: what every answer starts from. `scenario` holds what was measured."""

    scenario: Scenario
    readings: use.Readings
    plan: Plan
    figures: dict[str, float]
    years: dict[str, dict[int, float]]
    months: dict[str, dict[int, float]]
    returns: Returns

    def cautions(self) -> tuple[Caution, ...]:
        """What to say of inputs and figures: money, carbon, what was read out of a cell; not what nobody read."""
        peak = self.scenario["kiln.peak_temperature"].number
        seen = {"load": self.figures["load_per_firing_kg"], "peak": peak}
        found = (
            *self.scenario.warnings,
            *_asked(self.scenario, self.plan, self.figures, False),
            *cautions_asked(lambda: use.cautions(self.readings, seen)),
        )
        about = (rule.id for table in (checks.TABLE, TABLE) for rule in rules(table) if rule.about == "carbon")
        carbon = {{"@claims": "claim-wording"}.get(name, name) for name in about}
        told = (one for one in found if isinstance(one, Caution))
        return tuple(sorted(told, key=lambda one: 2 if one.id == READ_BACK else int(one.id in carbon)))


def base_case(typed: Scenario) -> BaseCase:
    """The figures at the values, measured where switched on; InputFaults where the model shows a contradiction."""
    readings = use.read(typed)
    scenario = use.put_in(typed, readings)
    plan = Plan.of(scenario)
    numbers, one = unwrapped(scenario.numbers(), MOST_AT_ONCE)
    base = evaluate(numbers, plan)
    figures = {name: one(value) for name, value in base.lines.items()}
    if faults := faults_of(scenario, plan, figures):
        names = {entry.where: entry.row.label for entry in scenario.entries.values()}
        raise InputFaults([InputFault(one.where, one.wrong, one.do, names.get(one.where, "")) for one in faults])
    found = returns(base.years, plan, numbers["money.discount_rate"], one)
    figures |= {"irr": found.irr, "mirr": found.mirr}
    years = {name: {t: one(value) for t, value in row.items()} for name, row in base.years.items()}
    months = {name: {m: one(value) for m, value in row.items()} for name, row in base.months.items()}
    return BaseCase(scenario, readings, plan, figures, years, months, found)


def faults_of(scenario: Scenario, plan: Plan, figures: Figures) -> list[InputFault]:
    """Inputs that the model shows to contradict each other."""
    return [found for found in _asked(scenario, plan, figures, True) if isinstance(found, InputFault)]


def _asked(scenario: Scenario, plan: Plan, figures: Figures, errors: bool) -> Iterator[InputFault | Caution]:
    of_kind = [rule for rule in rules(TABLE) if rule.is_error == errors]
    scope = scope_of(scenario, plan, figures)
    return (found for _, found in walk(of_kind, CHECKS, scope, scenario, plan, figures))


def scope_of(scenario: Scenario, plan: Plan, figures: Figures) -> Speech:
    """What the expressions of the table may name: rows, figures, what is found here; masses in kg, heats in MJ."""

    def figure(name: str) -> float:
        """A figure of the instance in hand, whose number stands for the #."""
        if (found := figures.get(name.replace("#", str(speech["n"])))) is None:
            raise Blank(name)
        return found

    table = curves.retention()
    found: dict[str, Any] = {
        "plan": plan, "currency": scenario.currency, "figure": figure,
        "known": figures.__contains__, "exists": exists, "few": few,
        "cent": CENT, "coverage_asked": COVERAGE_ASKED, "fuel_verdict": fuel_verdict(plan, figures),
        "usual": lambda: " to ".join(f"{end:.0%}" for end in usual_efficiency(plan)),
        "full_months": lambda: _full_months(plan, figures), "task_hours": lambda: summed(
            scenario[f"task.{n}.hours"].number * scenario.number_or(f"task.{n}.people", 1.0) for n in plan.tasks
        ),
        "most_char_kg": lambda: _most_char_kg(plan, figures),
        "bones_move": any(
            entry.row.key.startswith("bones.") and entry.row.key.endswith((".mass", ".heads"))
            for entry in scenario.ranged()
        ),
        "curve_from_c": table.peak_c[0], "curve_to_c": table.peak_c[-1],
        "curve_read_from_c": next(
            at for at, origin in zip(table.peak_c, table.origins, strict=True) if origin.rung in READ
        ),
        "is_edited": edition() != shipped_edition(), "edition": in_words(), "floored": label_statement.floored,
        "tag": partial(label_statement.label_of, scenario, figures),
        "own_assay": partial(own_assay, scenario, plan.streams),
    }  # fmt: skip
    if plan.estimate_class in SHARE_OF_CLASS:
        accuracy = factor(factors_of_class(plan.estimate_class)[1])
        words = plan.estimate_class.replace("-", " ")
        found |= {"class_words": words, "accuracy_low": accuracy.low, "accuracy_high": accuracy.high}
    speech: Speech = Speech(scenario.entries, figures, found)
    return speech


def _full_months(plan: Plan, figures: Figures) -> str:
    """The months in which bones are passed on, in parentheses; empty where it is none or all."""
    months = [
        name
        for m, name in enumerate(MONTHS.values(), start=1)
        if plan.by_month and figures[f"month_{m}_passed_on_kg"] > 1e-6
    ]
    return f" ({', '.join(months)})" if 0 < len(months) < len(MONTHS) else ""


def _most_char_kg(plan: Plan, figures: Figures) -> float:
    """The most char [kg/year] of dry matter, protein and mineral; without an assay of bones of these alone."""
    if plan.matter.same_lot:
        mineral_kg = figures["char_modelled_kg"] - figures["residue_modelled_kg"]
        solids_kg = mineral_kg + figures["protein_kg"]
    else:
        solids_kg = figures["char_modelled_kg"] * figures["bones_fired_kg"]
        solids_kg /= max(figures["solids_modelled_kg"], 1e-9)
    return min(figures["dry_matter_modelled_kg"], solids_kg)


def _unpriced(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """Ways that cannot be compared in money."""
    unpriced = [way.number for way in plan.ways if not way.priced]
    if unpriced:
        text = Speech({}, {}, {"unpriced": [f"option {n}" for n in unpriced]}).say("unpriced")
        yield Caution("option-without-money", text, f"option.{unpriced[0]}.fee")


def range_cautions(scenario: Scenario, plan: Plan) -> Iterator[Caution]:
    """Cautions on ranges that reach across a class edge, or that are not used."""
    speech = Speech({}, {}, {})
    for entry in scenario.ranged():
        say = partial(speech.say, entry=entry, unit_name=entry.unit.name if entry.unit else "")
        if not drawable(entry):
            if not entry.is_default:
                yield Caution("range-not-used", say("range-not-used"), entry.where)
        elif edges := edges_inside(entry, plan):
            shown = " and ".join(f"{entry.shown(edge):,.4g}" for edge in edges)
            yield Caution("class-edge", say("class-edge", edges=shown), entry.where)


def _market_fills(scenario: Scenario, plan: Plan, figures: Figures) -> Iterator[Caution]:
    """Tiers that sell more over the study than one application on the ground of all their customers takes."""
    b = Book(scenario.numbers(), Arrays())
    ramps = {t: float(1.0 if (ramp := sales_ramp(b, t)) is None else ramp) for t in range(1, plan.years + 1)}
    for n in plan.tiers:
        if (count := scenario[f"product.{n}.customers"]).value is None:
            continue
        again = scenario[f"product.{n}.repeat_share"].value
        names = (f"tier_{n}_{word}_kg" for word in ("delivered", "reached", "sold"))
        sold = next(figures[name] for name in names if name in figures)
        once = figures[f"tier_{n}_customers_take_kg"] / (1.0 if again is None else max(float(again), TINY))
        so_far = list(accumulate(sold * ramp for ramp in ramps.values()))
        full = next((t for t, kg in enumerate(so_far, start=1) if kg > once * (1 + TINY)), None)
        if full is None:
            continue
        text = Speech({}, {}, {
            "plan": plan, "tier": n, "sold": sold, "once": once, "year": full, "customers": count.number,
            "beyond": so_far[full - 1] - once, "in_all": so_far[-1] - once, "is_once": again is None,
        }).say("market-fills-up")  # fmt: skip
        yield Caution("market-fills-up", text, count.where or f"product.{n}.customers")


CHECKS: Mapping[str, Check] = {
    "market_fills": _market_fills,
    "pair_errors": lambda scenario, plan, figures: pair_faults(scenario),
    "unpriced": _unpriced,
    "planting": of_planting,
    "ranges": lambda scenario, plan, figures: range_cautions(scenario, plan),
}
