"""The words and figures of the carbon note, taken from the same records that JSON and workbook print."""

from __future__ import annotations

import math
from typing import Any

from econ.answer.carbon_account import METHOD_WORDS, WITH_FORMULA, WITHOUT_FORMULA, quoted_rule
from econ.answer.carbon_case import (
    Boundary,
    additionality,
    baselines,
    boundary,
    held,
    method_rule,
    needs,
    permanence,
    plan,
    rules,
    today_words,
)
from econ.answer.finding import unchecked_sentence
from econ.answer.quoted import doubts, organic_words, quoted
from econ.answer.report import carbon_json
from econ.answer.results import Results, inputs_code
from econ.evidence.used import Used
from econ.model.derived import KG_PER_T
from econ.note.greenhouse import grant_parts, results_parts, span_words, verdict
from econ.note.moving import behind, causes, moving
from econ.note.parts import Heading, Note, Part, Table, Text, factor, number
from econ.questions.found import Mover
from econ.units import said

BANNER = "DRAFT, NOT FOR SUBMISSION"
NOT_CLAIMED = (
    "not a carbon credit, offset or certificate, and no third party has verified it",
    "no carbon neutrality or 'carbon negative' product",
    "no removal for carbonate carbon, for char unsold, stored or used outside mineral field, grassland or "
    "orchard soil",
    "no persistence measured in bone char: the published methods rest on char of plants and manure",
    "no phosphorus availability beyond the analysis or label named; no yield effect in a crop",
    "no inactivation of prions; no permit, label or grant rule is taken as met",
)


def note(results: Results, date: str) -> Note:
    """The whole note; `date` as YYYY-MM-DD is printed and enters nothing else."""
    account = carbon_json(results)
    facts = moving(results)
    doubtful = doubts(results)
    parts: list[Part] = [Text(BANNER, "banner")] if doubtful else []
    parts += [Heading("Summary"), *_summary(results, account), *_unchecked(doubtful)]
    sections: tuple[tuple[str, list[Part]], ...] = (
        ("Project and boundary", _boundary(results)),
        ("Baseline and additionality", _baseline(results)),
        ("Quantification", _method(results, account)),
        ("Results", results_parts(results, account)),
        ("Uncertainty", _uncertainty(results)),
        ("Permanence", [Text(text, "bullet") for text in permanence(results)]),
        ("Monitoring plan", _monitoring(results)),
        ("For the grant", grant_parts(results)),
        ("What this statement does not claim", _bullets(NOT_CLAIMED)),
    )
    for at, (title, found) in enumerate(sections, start=1):
        parts.append(Heading(f"{at}. {title}"))
        parts += found
    parts += [Heading("Annex A. Factors that move a figure of this note"), Text(unchecked_sentence(results))]
    parts.append(_factors(facts))
    code = inputs_code(results.scenario)
    under = f"{results.scenario.name}. Date {date}. Version code of the inputs {code}. Made by kilncase."
    return Note("Carbon note: bones to bone char", under, tuple(parts))


def _bullets(texts: tuple[str, ...]) -> list[Part]:
    return [Text(f"{text};" if text != texts[-1] else f"{text}.", "bullet") for text in texts]


def _summary(results: Results, carbon: dict[str, Any]) -> list[Part]:
    """Five lines: what, how much is removed and emitted, the net, against current practice, how well known."""
    blocks, difference = carbon["blocks"], carbon["difference_to_current_practice"]["without_credits"]
    outward = carbon["quoted"]
    lines = (
        f"{_mass(results, 'bones_fired_kg')} of bones a year make {_mass(results, 'char_kg')} of dry char with "
        f"{organic_words(results)}.",
        f"CO2 removal (100-year): {span_words(outward['removal'])}; process emissions: "
        f"{span_words(blocks['process'])}.",
        verdict(outward["project_net"]["t_co2e_per_year"]),
        f"Against current practice ({today_words(results)}), without displaced co-products: "
        f"{span_words(difference)}.",
        "Figures are medians with P5 to P95. No published method has a row for bone. Not a carbon credit, not "
        "verified.",
    )
    return [Text(line, "bullet") for line in lines]


def _unchecked(doubtful: list[tuple[Mover, float]]) -> list[Part]:
    """What nobody read and moves a quoted figure by more than a tenth of its range, as a short table."""
    if not doubtful:
        return []
    rows = tuple((mover.label, mover.known, f"{share:.0%}") for mover, share in doubtful)
    return [
        Text("A quoted figure rests by more than a tenth of its range on each of these. Measure or replace them "
             "before submission. A share is what one factor moves alone, all else as typed, against the range of "
             "all together. Shares do not add up, and one can pass 100 %."),
        Table("Not checked in a source, or assumed", ("Factor", "How known", "Share of the range"), rows,
              (3.9, 1.4, 1.2), small=True),
    ]  # fmt: skip


def _boundary(results: Results) -> list[Part]:
    found = boundary(results)
    filled = [one.name for one in found if one.counted == "in" and one.amount]
    blank = [one.name for one in found if "not filled in" in one.why]
    return [
        Text(
            f"One full plant year: {_mass(results, 'bones_fired_kg')} of bones processed make "
            f"{_mass(results, 'char_kg')} of dry char. Of it {_mass(results, 'char_in_scope_kg')} go on mineral "
            "field, grassland or "
            "orchard soil. Bones are taken as a by-product without a burden of their own. Nothing is counted "
            "twice: avoided emissions and lost displacement stand apart from the removal."
        ),
        Text(f"Counted: {'; '.join(filled)}."),
        Text(f"Not filled in: {'; '.join(blank)}." if blank else "Every row of the account is filled in."),
        Table("Sources, sinks and reservoirs, each in or out with the reason [t CO2e a year, as typed]",
              ("Source, sink or reservoir", "Side", "Counted", "Amount", "Reason"),
              tuple(_ssr(one) for one in found), (2.3, 0.75, 0.65, 0.7, 2.6), small=True),
    ]  # fmt: skip


def _mass(results: Results, name: str) -> str:
    """A yearly mass in the unit that the plant is shown in."""
    return said(results.figures[name] / KG_PER_T, "t", results.scenario.system, 1)


def _ssr(one: Boundary) -> tuple[str, ...]:
    return one.name, one.where, one.counted, "" if one.amount is None else number(one.amount), one.why


def _baseline(results: Results) -> list[Part]:
    found = baselines(results)
    rows = tuple(
        (
            one.name + (" (conservative)" if one.is_conservative else ""),
            number(one.emitted),
            number(one.difference),
        )
        for one in found
    )
    named = next((one.name for one in found if one.is_conservative), "none")
    return [
        Table("Baselines for the same bones, without displaced co-products [t CO2e a year, as typed]",
              ("Baseline", "Emits", "Difference made by the kiln"), rows, (3.6, 1.2, 1.7)),
        Text(f"The conservative baseline, with the least emissions, is: {named}."),
        *(Text(text, "bullet") for text in additionality(results)),
    ]  # fmt: skip


def _method(results: Results, carbon: dict[str, Any]) -> list[Part]:
    figures = results.figures
    applied = figures["organic_c_in_scope_kg"]
    share = figures["durable_c_kg"] / applied if applied else None
    return [
        Text(
            f"Organic carbon of the char that reaches soil in scope, times the fraction remaining after "
            f"{carbon['horizon_years']} years, times 44/12. The fraction comes from the "
            f"{METHOD_WORDS[carbon['persistence_method']]}. No published method has a row for bone: each "
            f"is used outside its data. For a statement outward {quoted_rule(results)}. Global "
            f"warming potentials: {carbon['gwp_set']}, 100 years. {method_rule(results)}"
        ),
        Text(
            "removal = C_org in scope × fraction remaining after 100 years × 44/12 = "
            f"{number(applied / KG_PER_T, 3)} t C × {number(share, 3)} × 44/12 = "
            f"{number(results.tonnes('removal_kg_co2e'), 3)} t CO2e a year",
            "formula",
        ),
        Text(f"project net = {carbon['project_net']['formula']}", "formula"),
        Text(f"difference without displaced co-products = {WITHOUT_FORMULA}", "formula"),
        Text(f"difference with displaced co-products = {WITH_FORMULA}", "formula"),
        Table("Numbers behind the figures and how each is known", ("Number", "Value", "How known", "Beside it"),
              tuple((one.label, one.value, one.how, one.beside) for one in (*quoted(results), *behind(results))),
              (2.3, 1.2, 1.9, 1.6),
              small=True),
    ]  # fmt: skip


def _uncertainty(results: Results) -> list[Part]:
    runs, moved = results.chances.sampling.samples, len(results.chances.shapes)
    spread = results.chances.spreads["project_net_kg_co2e"]
    low, _, high = (value / KG_PER_T for value in spread.pair((2.5, 97.5)))
    found = causes(results)
    rows = (
        *((label, f"{share:.0%}") for label, share in found),
        ("All others, and inputs acting together", f"{max(1 - math.fsum(share for _, share in found), 0):.0%}"),
    )
    return [
        Text(
            f"{runs:,} simulation runs move {moved} inputs at once, each over its own range or that by "
            f"default. Held: {'; '.join(held(results))}. Project net: 95 % interval {number(low)} to "
            f"{number(high)} t CO2e a year (the interval that IPCC guidelines ask for); the tables give P5 to P95."
        ),
        Table("Largest causes of uncertainty of project net: first-order shares of variance, fitted to the runs",
              ("Input", "Share of variance"), rows, (4.6, 1.9)),
    ]  # fmt: skip


def _monitoring(results: Results) -> list[Part]:
    samples = tuple((need.what, f"{need.scatter:.0%}", need.origin, str(need.n)) for need in needs(results))
    watched = tuple((one.what, one.method, one.often, one.who, one.control) for one in plan(results))
    return [
        Table("What is measured, how, how often and by whom", ("What", "Method", "How often", "Who", "Control"),
              watched, (1.3, 1.8, 1.1, 1.0, 1.6), small=True),
        Table("Samples a year", ("Lab value", "Scatter", "From", "n a year"), samples, (2.0, 1.2, 2.2, 1.1)),
        *(Text(text, "bullet") for text in rules(results)),
    ]  # fmt: skip


def _factors(facts: tuple[Used, ...]) -> Table:
    rows = tuple(
        (
            fact.label,
            f"{factor(fact.value)} {fact.unit}".strip(),
            "" if fact.low is None or fact.high is None else f"{factor(fact.low)} to {factor(fact.high)}",
            fact.mark,
            f"{fact.source}; {fact.locator}" if fact.locator else fact.source,
        )
        for fact in facts
    )
    return Table("Every factor behind the figures, with its range, how known, source and place in it",
                 ("Factor", "Value", "Range", "How known", "Source and place"), rows, (1.7, 0.95, 0.75, 0.95, 2.5),
                 small=True)  # fmt: skip
