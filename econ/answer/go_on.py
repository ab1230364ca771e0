"""Decide again once the kiln runs: go on, change or stop, from today on.

What was paid is sunk and left out. Going on gives up what the kiln would fetch today, so that stands in place of
its price. The debt is owed either way. Measured values stand in for typed ones, switched on or not.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from econ.answer.results import Results
from econ.inputs.records import Entry, Scenario
from econ.measured.use import overrides, read

PAID = ("kiln.installation", "capital.other", "capital.contingency_share", "capital.working", "money.grant",
        "grant.share", "loan.principal", "loan.share", "money.months_to_start", "tax.bonus_share",
        "tax.expensed_share")  # fmt: skip
"""Rows of what was spent, granted or lent before: nothing of it comes again."""
VERDICTS = {
    "buy": "Go on",
    "do not buy": "Stop",
    "measure first": "Go on for now, and measure",
    "rough: no decision yet": "No decision yet",
}


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
        return VERDICTS[self.results.finding.verdict]

    @property
    def change(self) -> str:
        """The best plan from today on beside the one in use; it buys nothing new."""
        from econ.answer.finding import plans_sentence

        return plans_sentence(self.results)

    @property
    def cash_if_stopped(self) -> float:
        """What is left today when the kiln is sold and the debt repaid [currency]."""
        return self.resale - self.debt


def go_on(typed: Scenario, ran_years: float) -> GoOn | None:
    """The choice from today on; None where no resale value is typed. `ran_years`: the age if none is typed."""
    from econ.answer.appraisal import appraise

    if not typed.has("record.resale_now"):
        return None
    resale = typed["record.resale_now"].number
    debt = typed.number_or("record.debt_left", 0.0)
    age = typed.number_or("record.age_years", ran_years)
    years = max(round(typed["money.study_years"].number - age), 1)
    entries = dict(typed.entries)
    for one in read(typed).standings:
        entries |= overrides(typed, one, measured=True)
    price = entries["kiln.price"].number
    upkeep = entries["running.maintenance_share"].number * price if typed.has("running.maintenance_share") else 0.0
    changed = dict.fromkeys(PAID, 0.0)
    changed |= {"kiln.price": resale, "plans.capital": resale * 1.001, "money.study_years": float(years),
                "running.maintenance_share": 0.0,
                "kiln.life": max(entries["kiln.life"].number - age, 1.0)}  # fmt: skip
    more = entries["running.other_per_year"]
    changed["running.other_per_year"] = (more.number if more.value is not None else 0.0) + upkeep
    for key, entry in entries.items():
        if key in changed and (entry.value is not None or changed[key]):
            entries[key] = _held(entry, changed[key])
        elif (
            entry.row.block == "equipment" and key.endswith((".cost", ".installation")) and entry.value is not None
        ):
            entries[key] = _held(entry, 0.0)
    return GoOn(appraise(replace(typed, entries=entries)), resale, debt, years)


def _held(entry: Entry, value: float) -> Entry:
    """The entry at a value without a range: settled, or gone."""
    return replace(entry, value=value, low=value, high=value, known="measured", range_by="", is_default=False)
