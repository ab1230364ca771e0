"""How far the answer leans on facts that nobody read, and which facts and inputs move it most.

Every fact in use and every input of the plant is moved alone over its range: one call of the model for all.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

import numpy as np

from econ.evidence.factors import held
from econ.evidence.facts import RUNGS
from econ.evidence.used import Used
from econ.inputs.records import Caution, Entry, Scenario
from econ.model.evaluate import evaluate, facts_read
from econ.model.ledger import Quantity
from econ.model.plan import Plan
from econ.questions.edges import kept_whole
from econ.questions.found import DOUBTED, QUOTED, Leaning, Mover

WITHOUT_FACTOR = {"carbon.persistence_position": "persistence_by_soil"}
"""Rows whose default range is that of a whole table."""


def leaning(scenario: Scenario, plan: Plan) -> Leaning:
    """The count of facts in use and, over their ranges, what facts and the plant's own inputs move."""
    facts = facts_read(scenario, plan)
    found = movers(scenario, plan, facts)
    unread = len([mover for mover in found if not mover.is_read])
    return Leaning(len(facts), len([fact for fact in facts if not fact.is_read]), unread, found)


def caution(found: Leaning, currency: str) -> Caution:
    """The count in a sentence, with what matters most for money and for carbon."""
    words = []
    for measure, unit, scale, digits in (
        ("npv", currency, 1.0, 0),
        ("project_net_kg_co2e", "t CO2e a year", 1e-3, 1),
    ):
        if mover := found.worst.get(measure):
            low, high = sorted((mover.at_low[measure] * scale, mover.at_high[measure] * scale))
            words.append(f"{DOUBTED[measure]} {low:,.{digits}f} to {high:,.{digits}f} {unit} by '{mover.label}'")
    text = (
        f"{found.in_use} facts are in use; {found.unverified} of them were not checked in a source or are assumed "
        f"(sheet Sources)"
    )
    named = f"Of these matter most, so check them first: {'; '.join(words)}" if words else "None moves the answer"
    return Caution("unverified-factors", f"{text}. {named}.")


def movers(scenario: Scenario, plan: Plan, facts: Iterable[Used]) -> tuple[Mover, ...]:
    """Every input and every fact with a range, with the answers at its low and at its high."""
    known = {fact.id: fact for fact in facts}
    entries = [one for one in scenario.ranged() if not (one.is_default and one.factor) or one.factor in known]
    behind = {entry.factor for entry in entries if entry.is_default}
    alone = [fact for fact in known.values() if fact.id not in behind and _has_range(fact) and ":" not in fact.id]
    answers = _answers(scenario, plan, entries, alone)
    named = [
        *(_of_entry(entry, known) for entry in entries),
        *((fact.id, fact.label, fact.rung, fact.mark) for fact in alone),
    ]
    return tuple(
        Mover(*words, *({name: float(row[2 * i + end]) for name, row in answers.items()} for end in (0, 1)))
        for i, words in enumerate(named)
    )


def _has_range(fact: Used) -> bool:
    return fact.low is not None and fact.high is not None and fact.low < fact.high


def _of_entry(entry: Entry, known: Mapping[str, Used]) -> tuple[str, str, str, str]:
    """Id, label, rung and how known of an input; a default takes the rung of the fact behind it."""
    key = entry.row.key
    if not entry.is_default:
        return key, entry.row.label, "", entry.known or "not said"
    fact = known.get(entry.factor or WITHOUT_FACTOR.get(key, ""))
    if key.startswith("bones.") and fact is None:
        fact = next(
            (
                one
                for one in known.values()
                if one.id.startswith("bones:") and key.endswith(f"{one.id.split(':')[2]}_share")
            ),
            None,
        )
    rung = fact.rung if fact else "assumed"
    return key, entry.row.label, rung, fact.mark if fact else RUNGS[rung]


def _answers(
    scenario: Scenario, plan: Plan, entries: Iterable[Entry], alone: Iterable[Used]
) -> dict[str, Quantity]:
    """Answers of shape (2 × movers,): each at its low, then at its high, all else at its value."""
    moved = list(_columns(entries, alone))
    cases = 2 * len(moved)
    numbers: dict[str, Quantity] = dict(scenario.numbers())
    factors: dict[str, Quantity] = {}
    for i, (where, name, low, value, high) in enumerate(moved):
        column = np.full(cases, value)
        column[2 * i], column[2 * i + 1] = low, high
        (numbers if where == "row" else factors)[name] = column
    wanted = frozenset((*DOUBTED, *QUOTED))
    with held(factors), np.errstate(all="ignore"):
        found = evaluate(kept_whole(numbers, plan), plan, wanted).lines
    return {name: np.broadcast_to(np.asarray(found[name], float), (cases,)) for name in wanted if name in found}


def _columns(entries: Iterable[Entry], alone: Iterable[Used]) -> Iterator[tuple[str, str, float, float, float]]:
    """Whether a row or a factor is moved, its name, low, value and high."""
    for entry in entries:
        assert entry.low is not None
        assert entry.high is not None
        yield "row", entry.row.key, entry.low, entry.number, entry.high
    for fact in alone:
        assert fact.value is not None
        assert fact.low is not None
        assert fact.high is not None
        yield "factor", fact.id, fact.low, fact.value, fact.high
