"""Appraises a scenario: the base case, the effects, the chances, and what to say of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from econ.answer.cautions import cautions_of, faults_of, reasons_of
from econ.answer.report import Appraisal
from econ.errors import InputFaults
from econ.inputs.records import Caution, Scenario
from econ.measured.use import Readings, put_in, read
from econ.measured.use import cautions as cautions_measured
from econ.model.coefficients import coefficients
from econ.model.derived import Returns, returns
from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.questions.breakeven import better_than_best, breakeven
from econ.questions.carbon_ranges import spans
from econ.questions.chances import Progress, chances
from econ.questions.deep import deep as ask_deep
from econ.questions.effects import effects, leaning, two_way
from econ.questions.found import Sampling
from econ.questions.found_deep import Limits
from econ.questions.measuring import measuring
from econ.questions.rule import finding


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
        return (
            *self.scenario.warnings,
            *cautions_of(self.scenario, self.plan, self.figures),
            *cautions_measured(self.readings, seen),
        )


def base_case(typed: Scenario) -> BaseCase:
    """The figures of a scenario at its values, without any question asked.

    Measured values stand in for typed ones where switched on. Raises InputFaults where the model shows that
    inputs contradict each other, such as a weighed yield of more char than the bones hold dry matter.
    """
    readings = read(typed)
    scenario = put_in(typed, readings)
    plan = Plan.of(scenario)
    numbers = scenario.numbers()
    base = evaluate(numbers, plan)
    figures = {name: float(value) for name, value in base.lines.items()}
    years = {name: {t: float(value) for t, value in row.items()} for name, row in base.years.items()}
    if faults := faults_of(scenario, plan, figures):
        raise InputFaults(faults)
    found = returns(years, plan, numbers["money.discount_rate"])
    figures |= {"irr": found.irr, "mirr": found.mirr}
    months = {name: {m: float(value) for m, value in row.items()} for name, row in base.months.items()}
    return BaseCase(scenario, readings, plan, figures, years, months, found)


def appraise(
    scenario: Scenario, sampling: Sampling | None = None, progress: Progress | None = None, deep: bool = False
) -> Appraisal:
    """The results of a scenario; `sampling` says how the chances are drawn, `progress` hears of each chunk.

    `deep` also asks what is worth measuring before signing. Raises InputFaults as `base_case` does.
    """
    sampling = sampling or Sampling()
    base, typed = base_case(scenario), scenario
    scenario, plan, figures = base.scenario, base.plan, base.figures
    moved = effects(scenario, plan)
    drawn = chances(scenario, plan, sampling, progress)
    marked = {name: float(np.asarray(value)) for name, value in coefficients(scenario.numbers(), plan).items()}
    leans = leaning(scenario, plan)
    outlay = figures["capital_total_today"]
    knowing = ask_deep(scenario, plan, sampling, base.readings, outlay, progress) if deep else None
    return Appraisal(
        scenario=scenario,
        plan=plan,
        coefficients=marked,
        figures=figures,
        years=base.years,
        returns=base.returns,
        effects=moved,
        cautions=(*base.cautions(), leans.caution(scenario.currency)),
        reasons=reasons_of(scenario, plan, figures, base.returns),
        npv_without_sales=figures["npv_char_price_zero"],
        leaning=leans,
        carbon_spans=spans(scenario, plan, figures),
        months=base.months,
        breakeven=breakeven(scenario, plan),
        better_than_best=better_than_best(scenario, plan),
        chances=drawn,
        two_way=two_way(scenario, plan, moved),
        finding=finding(Limits.of(scenario), moved, drawn, knowing),
        measured=measuring(typed, scenario, base.readings),
        deep=knowing,
    )
