"""Which facts move a figure of the note: each is moved alone, and what moves is kept with its source.

One call of the model for all of them. A fact that nothing printed hangs on is not listed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from econ import evidence
from econ.answer.results import Results
from econ.evidence import curves
from econ.evidence.used import Used, used
from econ.inputs.records import Entry, Scenario
from econ.model.blanks import blanks
from econ.model.coefficients import coefficients
from econ.model.evaluate import walk
from econ.model.ledger import Arrays, Quantity
from econ.model.lender import factors_of_class
from econ.model.persistence import beside
from econ.model.plan import Plan
from econ.model.process import VEHICLES
from econ.questions.edges import kept_whole

PRINTED = (
    "bones_fired_kg", "char_kg", "organic_c_kg", "char_in_scope_kg", "removal_kg_co2e", "removal_by_class_kg_co2e",
    "removal_by_hc_kg_co2e", "process_kg_co2e", "fuel_kg_co2e", "stack_ch4_kg_co2e", "stack_n2o_kg_co2e",
    "avoided_kg_co2e", "credits_lost_kg_co2e", "project_net_kg_co2e", "difference_kg_co2e",
    "difference_with_credits_kg_co2e", "p_kg", "p2o5_kg", "available_p2o5_kg", "npv", "kiln_cost_per_year",
    "capital_total_today",
)  # fmt: skip
"""Lines behind the figures that the note prints."""
STEP = 1.01
ALONE = {
    "protein_n": "coll_n", "protein_c": "prot_c", "fat_c": "fat_c", "co2_per_c": "c_co2", "n2o_per_n": "n_n2o",
    "char_kg_per_m3": "rho_char", "compost_kg_per_m3": "rho_compost", "pit_methane_correction": "lf_mcf_pit",
    "chips_ch4_per_kg": "cmp_ch4", "chips_n2o_per_kg": "cmp_n2o", "hc_limit": "hc_lim", "hc_half_range": "hc_half",
    "hydrogen_per_mineral": "h_hap",
}  # fmt: skip
"""Factors behind single coefficients."""
EXACT = frozenset({"p2o5_per_p", "ch4_per_c"})
"""Atomic weights: nothing to verify."""
HOUSE = "Computed by kilncase from the facts above"


def moving(results: Results) -> tuple[Used, ...]:
    """The facts in use that move a printed figure, each once, in the order of the page of sources."""
    scenario, plan = results.scenario, results.plan
    entries = [entry for entry in scenario.entries.values() if _stands_at_default(entry)]
    names = sorted(results.coefficients)
    moved = _moved(scenario, plan, entries, names)
    facts = {fact.label: fact for fact in _facts(plan)}
    found: dict[str, Used] = {}
    for entry in (entry for entry in entries if moved[entry.row.key]):
        fact = _of_entry(entry, facts)
        found.setdefault(fact.label, fact)
    for name in (name for name in names if moved[name] and name not in EXACT):
        for fact in _of_coefficient(name, results, facts):
            found.setdefault(fact.label, fact)
    order = {label: at for at, label in enumerate(facts)}
    return tuple(sorted(found.values(), key=lambda fact: (order.get(fact.label, -1), fact.label)))


def _facts(plan: Plan) -> tuple[Used, ...]:
    more = (*plan.matter.factors, *factors_of_class(plan.estimate_class))
    return used(plan.kinds, plan.fuel_kinds, plan.gwp_set, more)


def _stands_at_default(entry: Entry) -> bool:
    return entry.is_default and entry.row.is_number and entry.value is not None and entry.has_range


def _moved(scenario: Scenario, plan: Plan, entries: list[Entry], names: list[str]) -> dict[str, bool]:
    """Whether each default and each coefficient, moved alone, moves any printed line."""
    cases = len(entries) + len(names) + 1
    numbers: dict[str, Quantity] = dict(scenario.numbers())
    for at, entry in enumerate(entries):
        column = np.full(cases, entry.number)
        column[at] = entry.high if entry.high != entry.value else entry.low
        numbers[entry.row.key] = column
    numbers = kept_whole(numbers, plan)
    found = coefficients(numbers, plan)
    values = {name: np.array(np.broadcast_to(value, (cases,)), dtype=float) for name, value in found.items()}
    for at, name in enumerate(names, start=len(entries)):
        values[name][at] *= STEP
    ledger = Arrays(frozenset(PRINTED))
    with np.errstate(all="ignore"):
        walk({**numbers, **values}, plan, ledger)
    changed: NDArray[np.bool_] = np.zeros(cases, dtype=bool)
    for line in ledger.lines.values():
        row = np.broadcast_to(np.asarray(line, dtype=float), (cases,))
        changed |= ~np.isclose(row, row[-1], rtol=1e-9, atol=1e-12, equal_nan=True)
    keys = [*(entry.row.key for entry in entries), *names]
    return dict(zip(keys, map(bool, changed), strict=False))


def _of_entry(entry: Entry, facts: Mapping[str, Used]) -> Used:
    """The fact behind a default: its factor, or the default of the house with its range."""
    if entry.factor:
        label = evidence.factor(entry.factor).label
        if label in facts:
            return facts[label]
    unit = entry.unit.short if entry.unit else ""
    value, low, high = (entry.shown(end) for end in (entry.number, entry.low, entry.high))
    mark = entry.known.removeprefix("default").removeprefix(": ") or "unverified (assumed here)"
    verified = mark.startswith("verified")
    return Used(
        entry.row.label,
        value,
        low,
        high,
        unit,
        mark,
        entry.source,
        f"kilncase default (sheet {entry.row.sheet}: {entry.row.label})",
        "",
        verified,
    )


def _of_coefficient(name: str, results: Results, facts: Mapping[str, Used]) -> Iterator[Used]:
    """The facts behind a coefficient of the model."""
    labels = [label for label in _labels(name, results) if label in facts]
    for label in labels:
        yield facts[label]
    if not labels:
        value = float(results.coefficients[name])
        yield Used(
            name.replace("_", " "), value, None, None, "", "unverified (derived here)", HOUSE, "", "", False
        )


def _labels(name: str, results: Results) -> list[str]:
    plan = results.plan
    if name in ALONE:
        return [evidence.factor(ALONE[name]).label]
    for one in blanks(plan):
        if one.coefficient == name:
            return [evidence.factor(one.factor).label]
    if name.startswith("gwp_"):
        gas = "biogenic methane" if "ch4" in name else "N2O"
        return [f"Warming potential of {gas}, {plan.gwp_set}, 100 years"]
    if found := re.match(r"fuel_(\d+)_co2e", name):
        kind = plan.fuel_kinds[plan.fuels.index(int(found[1]))]
        return [f"{evidence.fuel(kind).label}: burning"]
    if name.startswith("freight"):
        return [evidence.factor(VEHICLES[plan.vehicle]).label]
    if name.startswith("persist_by_class"):
        table = curves.persistence_classes()
        at = int(table.index(results.scenario["kiln.peak_temperature"].number))
        return [f"Share lasting 100 years, class {table.names[at]}"]
    if name.startswith(("persist_by_hc", "hc_")):
        return [label for label in _curve_labels(results) if "H/C_org" in label]
    if name.startswith("bones_"):
        return _retention_labels(name, results)
    return []


def _curve_labels(results: Results) -> list[str]:
    """The rows of the soil table on either side of the soil's temperature."""
    table = curves.persistence_by_hc()
    near = beside(range(len(table.soil_c)), results.scenario["carbon.soil_temperature"].number)
    return [
        f"Share lasting 100 years = {table.intercept_c[at]:g} - {table.slope_m[at]:g} × H/C_org, "
        f"soil {table.soil_c[at]:.0f} °C"
        for at in map(int, near)
    ]


def _retention_labels(name: str, results: Results) -> list[str]:
    """Rows of the retention table on either side of the peak, and the factor of a nutrient."""
    peaks = curves.retention().peak_c
    above = int(
        np.clip(np.searchsorted(peaks, results.scenario["kiln.peak_temperature"].number), 1, len(peaks) - 1)
    )
    near = [peaks[above - 1], peaks[above]]
    if name.endswith("n_char_frac"):
        return [evidence.factor("residue_n").label]
    if "carbonate" in name:
        return [evidence.factor("ash_co2").label]
    which = "Mineral kept" if "mineral" in name else "Residue per kg protein"
    return [f"{which} at {at:.0f} °C" for at in near]
