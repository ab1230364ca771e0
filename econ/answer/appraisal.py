"""Appraises a scenario: the base case, the effects, the chances, and what to say of it."""

from __future__ import annotations

from functools import cache, partial

import numpy as np

from econ.answer.base_case import base_case
from econ.answer.report import Appraisal
from econ.answer.results import leaning_caution
from econ.answer.sentences import reasons_of
from econ.inputs.records import Scenario
from econ.model.coefficients import coefficients
from econ.questions.breakeven import better_than_best, breakeven
from econ.questions.chances import Progress, chances
from econ.questions.deciding import deciding, headline
from econ.questions.deep import deep as ask_deep
from econ.questions.effects import effects, leaning, measuring, stress, two_way
from econ.questions.found_rule import Limits, finding
from econ.questions.latin import Sampling
from econ.questions.plans import plans


def appraise(
    scenario: Scenario, sampling: Sampling | None = None, progress: Progress | None = None, deep: bool = False
) -> Appraisal:
    """The results; `progress` hears of each chunk, `deep` asks what to measure. Raises as `base_case` does."""
    sampling = sampling or Sampling()
    base, typed = base_case(scenario), scenario
    scenario, plan, figures = base.scenario, base.plan, base.figures
    moved = effects(scenario, plan)
    drawn = chances(scenario, plan, sampling, progress)
    limits = Limits.of(scenario)
    facts, looks = deciding(scenario, plan, sampling, limits)
    marked = {name: float(np.asarray(value)) for name, value in coefficients(scenario.numbers(), plan).items()}
    leans = leaning(scenario, plan)
    outlay = figures["capital_total_today"]
    knowing = ask_deep(scenario, plan, sampling, base.readings, outlay, progress) if deep else None
    return Appraisal(
        **{name: getattr(base, name) for name in ("scenario", "plan", "figures", "years", "months", "returns")},
        coefficients=marked,
        effects=moved,
        cautions=(*base.cautions(), leaning_caution(leans, scenario.currency)),
        reasons=reasons_of(scenario, plan, figures, base.returns),
        npv_without_sales=figures["npv_char_price_zero"],
        leaning=leans,
        breakeven=breakeven(scenario, plan),
        better_than_best=better_than_best(scenario, plan),
        chances=drawn,
        stress=stress(scenario, plan),
        two_way=two_way(scenario, plan, moved),
        finding=finding(limits, drawn, facts, knowing),
        headline=headline(scenario, plan, sampling, figures["npv"], drawn, looks),
        measured=measuring(typed, scenario, base.readings),
        plans=cache(partial(plans, scenario, plan, sampling, drawn)),
        deep=knowing,
    )
