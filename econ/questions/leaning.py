"""How much of the answer leans on factors that nobody verified, and which of them matters most."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from econ.evidence.used import used
from econ.inputs.records import Caution, Entry, Scenario
from econ.model.plan import Plan
from econ.questions.effects import table

MEASURES = {
    "npv": "NPV",
    "project_net_kg_co2e": "removal less kiln emissions",
    "char_kg": "char made",
    "available_p2o5_kg": "available phosphate",
}
"""The answers in which a doubtful default is looked for, and how a sentence names them."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """One default nobody verified, moved over its range: an answer at its low and at its high."""

    entry: Entry
    at_low: float
    at_high: float

    @property
    def swing(self) -> float:
        """How far the answer moves; 0 where it is withheld."""
        moved = abs(self.at_high - self.at_low)
        return float(moved) if np.isfinite(moved) else 0.0


@dataclass(frozen=True, slots=True)
class Leaning:
    """Facts in use and those unverified, defaults of the house, and the worst doubt by measure."""

    in_use: int
    unverified: int
    defaults: int
    worst: Mapping[str, Doubt]

    def caution(self, currency: str) -> Caution:
        """The count in a sentence, with what matters most for money and for carbon."""
        text = f"{self.in_use} factors are in use and {self.unverified} of them are unverified (sheet Sources)"
        words = []
        for measure, unit, scale in (("npv", currency, 1.0), ("project_net_kg_co2e", "t CO2e a year", 0.001)):
            doubt = self.worst.get(measure)
            if doubt is not None:
                low, high = sorted((doubt.at_low * scale, doubt.at_high * scale))
                words.append(
                    f"{MEASURES[measure]} {low:,.0f} to {high:,.0f} {unit} by '{doubt.entry.row.label}'"
                    if measure == "npv"
                    else f"{MEASURES[measure]} {low:,.1f} to {high:,.1f} {unit} by '{doubt.entry.row.label}'"
                )
        if words:
            text += f". Of the defaults not verified these matter most: {'; '.join(words)}"
        return Caution("unverified-factors", text + ".")


def doubtful(entry: Entry) -> bool:
    """Whether a row stands at a default that was not read in a source."""
    return entry.is_default and entry.has_range and not entry.known.startswith("default: verified")


def leaning(scenario: Scenario, plan: Plan) -> Leaning:
    """The count of doubtful factors and, over their own ranges, which moves each answer most.

    One call of the model for all of them. Factors without a range cannot be moved and only count.
    """
    facts = used(plan.kinds, plan.fuel_kinds, plan.gwp_set, (*plan.matter.factors, *plan.planting.factors))
    entries = [entry for entry in scenario.ranged() if doubtful(entry)]
    worst: dict[str, Doubt] = {}
    if entries:
        answers = table(scenario.numbers(), plan, entries, tuple(MEASURES))
        for measure in MEASURES:
            found = [
                Doubt(entry, float(answers[measure][2 * i]), float(answers[measure][2 * i + 1]))
                for i, entry in enumerate(entries)
            ]
            largest = max(found, key=lambda doubt: doubt.swing)
            if largest.swing > 1e-9 * max(abs(largest.at_low), abs(largest.at_high)):
                worst[measure] = largest
    return Leaning(len(facts), sum(not fact.is_verified for fact in facts), len(entries), worst)
