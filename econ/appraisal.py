"""Appraises a scenario: the model once for the base case, once for the effects, and what to say of it."""

from __future__ import annotations

import numpy as np

from econ import finance
from econ.errors import InputFaults
from econ.judgement import cautions_of, faults_of, reasons_of
from econ.measured.use import cautions as cautions_measured
from econ.measured.use import put_in, read
from econ.model.coefficients import coefficients
from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.questions.effects import effects
from econ.questions.leaning import leaning
from econ.questions.measuring import measuring
from econ.results import Results
from econ.scenario.records import Scenario


def appraise(scenario: Scenario) -> Results:
    """The results of a scenario, with measured values in place of typed ones where switched on.

    Raises InputFaults where the model shows that inputs contradict each other, such as a weighed yield
    of more char than the bones hold dry matter.
    """
    typed, readings = scenario, read(scenario)
    scenario = put_in(typed, readings)
    plan = Plan.of(scenario)
    numbers = scenario.numbers()
    base = evaluate(numbers, plan)
    figures = {name: float(value) for name, value in base.lines.items()}
    years = {name: {t: float(value) for t, value in row.items()} for name, row in base.years.items()}
    if faults := faults_of(scenario, plan, figures):
        raise InputFaults(faults)
    flows = [years["net_cash"][t] for t in range(plan.years + 1)]
    rate = numbers["money.discount_rate"]
    roots = finance.irr(flows)
    figures["irr"] = float(roots.value)
    figures["mirr"] = float(finance.mirr(flows, rate, rate))
    without = {key: 0.0 for key in numbers if key.startswith("product.") and key.endswith(".price")}
    no_sales = evaluate({**numbers, **without}, plan, frozenset({"npv"})).lines["npv"]
    marked = {name: float(np.asarray(value)) for name, value in coefficients(numbers, plan).items()}
    leans = leaning(scenario, plan)
    seen = {"load": figures["load_per_firing_kg"], "peak": numbers["kiln.peak_temperature"]}
    return Results(
        scenario=scenario,
        plan=plan,
        coefficients=marked,
        figures=figures,
        years=years,
        effects=effects(scenario, plan),
        cautions=(
            *scenario.warnings,
            *cautions_of(scenario, plan, figures),
            *cautions_measured(readings, seen),
            leans.caution(scenario.currency),
        ),
        reasons=reasons_of(scenario, plan, figures, str(roots.reason)),
        npv_without_sales=float(no_sales),
        leaning=leans,
        measured=measuring(typed, scenario, readings),
    )
