"""A scenario evaluated once, without any question asked."""

from __future__ import annotations

from dataclasses import dataclass

from econ.answer.cautions import cautions_of, faults_of, in_order
from econ.errors import InputFault, InputFaults
from econ.inputs.lanes import unwrapped
from econ.inputs.records import Caution, Scenario, cautions_asked
from econ.measured.use import Readings, put_in, read
from econ.measured.use import cautions as cautions_measured
from econ.model.derived import Returns, returns
from econ.model.evaluate import evaluate
from econ.model.plan import Plan

MOST_AT_ONCE = 2_000
"""Plants put to the model at once: all their figures take some 50 MB."""


@dataclass(frozen=True, slots=True)
class BaseCase:
    """A scenario evaluated once: what every answer starts from. `scenario` holds what was measured."""

    scenario: Scenario
    readings: Readings
    plan: Plan
    figures: dict[str, float]
    years: dict[str, dict[int, float]]
    months: dict[str, dict[int, float]]
    returns: Returns

    def cautions(self) -> tuple[Caution, ...]:
        """What to say of the inputs and the figures, the leaning on unverified factors left out."""
        peak = self.scenario["kiln.peak_temperature"].number
        seen = {"load": self.figures["load_per_firing_kg"], "peak": peak}
        found = (
            *self.scenario.warnings,
            *cautions_of(self.scenario, self.plan, self.figures),
            *cautions_asked(lambda: cautions_measured(self.readings, seen)),
        )
        return in_order(found)


def base_case(typed: Scenario) -> BaseCase:
    """The figures of a scenario at its values, without any question asked.

    Measured values stand in for typed ones where switched on. Raises InputFaults where the model shows that
    inputs contradict each other, such as a weighed yield of more char than the bones hold dry matter.
    """
    readings = read(typed)
    scenario = put_in(typed, readings)
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
