"""Which facts move a figure of the note, each moved alone in one call of the model, kept with its source."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np

from econ.answer.results import Quoted, Results
from econ.evidence.factors import Used, factor, held
from econ.evidence.facts import Source
from econ.inputs.as_typed import plain_figure
from econ.inputs.records import Entry
from econ.model.evaluate import evaluate, facts_read
from econ.model.ledger import Quantity
from econ.questions.deep import alone
from econ.questions.draws import kept_whole
from econ.questions.effects import WITHOUT_FACTOR
from econ.shipped import described
from econ.units import shown_unit

PRINTED: tuple[str, ...] = tuple(described("note", "note")["printed"])
"""Lines behind the figures that the note prints."""
STEP = 1.01
LARGEST = 5
"""So many causes of uncertainty are named."""
EDGES = frozenset({"hc_lim"})
"""Limits of a method: edges cannot be moved in an array."""
BEHIND: dict[str, list[str]] = described("note", "note")["behind"]
"""Tables and wide rows by the beginning of the coefficients that they give; they cannot be moved as one number."""


def under(results: Results, line: str, coefficients: Collection[str]) -> tuple[Used, ...]:
    """The facts under a line: factors that move it, each moved alone, and the tables behind its coefficients."""
    moved = _moved(results, {line})
    tables = tuple({name for start, names in BEHIND.items() for name in names
                    if any(key.startswith(start) for key in coefficients)})  # fmt: skip
    facts = facts_read(results.scenario, results.plan)
    return tuple(one for one in facts if moved.get(one.id) or (tables and one.id.startswith(tables)))


def moving(results: Results) -> tuple[Used, ...]:
    """The facts in use that move a printed figure, in the order of the page of sources; then house defaults."""
    moved = _moved(results, PRINTED)
    # the house's alone: no factor, no kind of bone, no table behind it
    own = [one for one in _defaults(results) if not one.factor and not one.row.key.startswith("bones.")]
    own = [one for one in own if one.row.key not in WITHOUT_FACTOR and moved[one.row.key]]
    facts = facts_read(results.scenario, results.plan)
    return (*(fact for fact in facts if moved.get(fact.id, True)), *map(_of_row, own))


def _defaults(results: Results) -> list[Entry]:
    """Rows that stand at a default with a range."""
    entries = results.scenario.entries.values()
    return [
        one for one in entries if one.is_default and one.row.is_number and one.value is not None and one.has_range
    ]


def _moved(results: Results, lines: Collection[str]) -> dict[str, bool]:
    """Whether each factor that can be moved, and each row at a default, moved alone, moves any of these lines."""
    factors = {one.id: one.value for one in facts_read(results.scenario, results.plan)
               if not (":" in one.id or one.value is None or one.id in EDGES)}  # fmt: skip
    entries = results.scenario.entries.values()
    behind = {one.factor: one.row.key for one in entries if one.is_default and one.factor}
    names = [*(one.row.key for one in _defaults(results) if not one.factor), *factors]
    numbers: dict[str, Quantity] = dict(results.scenario.numbers())
    values: dict[str, Quantity] = {}
    for at, name in enumerate(names):
        is_fact, key = name in factors and name not in behind, behind.get(name, name)
        base = (factors[name] or 0.0) if is_fact else numbers.get(key, 0.0)
        column = np.full(len(names) + 1, base)
        column[at] = base * STEP if base else STEP - 1
        (values if is_fact else numbers)[key] = column
    with held(values), np.errstate(all="ignore"):
        found = evaluate(kept_whole(numbers, results.plan), results.plan, frozenset(lines)).lines
    changed = np.zeros(len(names) + 1, dtype=bool)
    for line in (found[name] for name in lines if name in found):
        row = np.broadcast_to(np.asarray(line, dtype=float), changed.shape)
        changed |= ~np.isclose(row, row[-1], rtol=1e-9, atol=1e-12, equal_nan=True)
    return dict(zip(names, map(bool, changed), strict=False))


def _of_row(entry: Entry) -> Used:
    """A default of the house with its range, as a fact."""
    unit = entry.unit.symbol if entry.unit else ""
    value, low, high = (entry.shown(end) for end in (entry.number, entry.low, entry.high))
    where = f"kilncase default (sheet {entry.row.sheet}: {entry.row.label})"
    source = Source("", entry.source, "", "")
    return Used(entry.row.key, entry.row.label, value, low, high, "chosen", unit, source=source, locator=where,
                rung="assumed", read="", parts=(), note="")  # fmt: skip


def causes(results: Results) -> tuple[tuple[str, float], ...]:
    """What makes project net uncertain: first-order shares of variance, largest first; tied inputs count once."""
    found = alone(results.scenario, results.chances.sampling, results.chances.kept["project_net_kg_co2e"])
    ordered = sorted(found.items(), key=lambda item: -item[1])[:LARGEST]
    entries = results.scenario.entries
    return tuple(
        (entries[keys[0]].row.label + (f" with {len(keys) - 1} more" if keys[1:] else ""), share)
        for keys, share in ordered
        if share > 0
    )


def behind(results: Results) -> tuple[Quoted, ...]:
    """What is no row of the plant: batches of a full year, and each factor of fuel and warming, with its rung."""
    plan, figures = results.plan, results.figures
    batches = Quoted("firings_per_year", "Batches of a full year", plain_figure(figures["firings_per_year"], 3),
                     f"computed; at most {plain_figure(figures['firings_allowed'], 3)} are possible")  # fmt: skip
    facts = [one for one in facts_read(results.scenario, plan) if one.id.startswith(("fuel:", "gwp:"))]
    facts += [factor(f"gwp20_{gas}_{plan.gwp_set.lower()}") for gas in ("ch4", "n2o")]
    system = results.scenario.system
    shown = {one.id: (one.unit, 1.0) if "CO2e" in one.unit else shown_unit(one.unit, system) for one in facts}
    amounts = {one.id: f"{(one.value or 0.0) * shown[one.id][1]:.4g} {shown[one.id][0]}" for one in facts}
    return (batches, *(Quoted(one.id, one.label, amounts[one.id], one.mark) for one in facts))
