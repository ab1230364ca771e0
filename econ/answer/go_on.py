"""Decide again once the kiln runs: go on, change or stop, from today on.

What was paid is sunk and left out. Going on gives up what the kiln would fetch today, so that stands in place of
its price. The debt is owed either way. Measured values stand in for typed ones, switched on or not.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from econ.answer.results import Results
from econ.answer.sentences import described
from econ.inputs.records import Entry, Scenario
from econ.measured.use import overrides, read


@dataclass(frozen=True, slots=True)
class GoOn:
    """The choice from today on: the appraisal of going on, resale and debt [currency], years left."""

    results: Results
    resale: float
    debt: float
    years: float

    @property
    def decision(self) -> str:
        """In words."""
        return str(described("year")["decision"][self.results.finding.verdict])

    @property
    def cash_if_stopped(self) -> float:
        """What is left today when the kiln is sold and the debt repaid [currency]."""
        return self.resale - self.debt


def go_on(typed: Scenario, ran_years: float) -> GoOn | None:
    """The choice from today on; None where no resale value is typed. `ran_years`: the age if none is typed."""
    from econ.answer.appraisal import appraise

    if not typed.has("record.resale_now"):
        return None
    resale, age = typed["record.resale_now"].number, typed.number_or("record.age_years", ran_years)
    years = max(round(typed["money.study_years"].number - age), 1)
    entries = dict(typed.entries)
    for one in read(typed).standings:
        entries |= overrides(typed, one, measured=True)
    upkeep = typed.number_or("running.maintenance_share", 0.0) * entries["kiln.price"].number
    changed = dict.fromkeys(described("year")["paid"], 0.0) | {
        "kiln.price": resale, "plans.capital": resale * 1.001, "money.study_years": float(years),
        "running.maintenance_share": 0.0, "kiln.life": max(entries["kiln.life"].number - age, 1.0),
        "running.other_per_year": typed.number_or("running.other_per_year", 0.0) + upkeep,
    }  # fmt: skip
    for key, entry in entries.items():
        is_bought = entry.row.block == "equipment" and key.endswith((".cost", ".installation"))
        value = changed.get(key, 0.0 if is_bought else None)
        if value is not None and (entry.value is not None or value):
            entries[key] = _held(entry, value)
    results = appraise(replace(typed, entries=entries))
    return GoOn(results, resale, typed.number_or("record.debt_left", 0.0), years)


def _held(entry: Entry, value: float) -> Entry:
    """The entry at a value without a range: settled, or gone."""
    return replace(entry, value=value, low=value, high=value, known="measured", range_by="", is_default=False)
