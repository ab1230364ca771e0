"""What more firings are worth falls as the kiln log grows."""

from __future__ import annotations

from itertools import pairwise

from measured_plants import log, with_data

from econ.answer.appraisal import appraise
from econ.answer.base_case import base_case
from econ.answer.finding import say
from econ.inputs.records import Scenario
from econ.questions.deep import deep
from econ.questions.found_deep import Deep
from econ.questions.latin import Sampling

SHOWN = ("yield", "fuel_1", "hours")


def of(scenario: Scenario) -> Deep:
    base = base_case(scenario)
    outlay = base.figures["capital_total_today"]
    return deep(base.scenario, base.plan, Sampling(8_000, 3), base.readings, outlay)


def test_worth_falls_as_the_kiln_log_grows() -> None:
    """The same firings again and again: the same means, ever narrower ranges, less left to learn."""
    cycle = [
        {"bones_in": 1000, "char_out": char, "fuel_1": fuel, "hours": hours}
        for char, fuel, hours in ((280, 18, 5.0), (330, 26, 6.2), (350, 20, 5.2), (300, 24, 6.0))
    ]
    use = ("log.use_yield=yes", "log.use_fuel=yes", "log.use_hours=yes", "current.saving=1150 USD per month")
    worths = []
    for times in (1, 2, 4, 8):
        one = of(with_data({"log": log(*cycle * times)}, *use))
        assert tuple(one.spreads) == tuple(one.measured_spreads) == SHOWN
        limit = next(offer.limit for offer in one.offers if offer.purchase.slug == "trials")
        worths.append((limit.gain, limit.error, one.counts[0].worth.gain))
    for (before, error, first), (after, _, second) in pairwise(worths):
        assert after < before - error, worths
        assert second <= first, worths
    assert worths[-1][2] < worths[0][2], worths


def test_firings_at_hand_come_before_firings_to_pay_for() -> None:
    firing = {"bones_in": 1000, "char_out": 300, "fuel_1": 21.5, "hours": 5.75}
    idle = with_data({"log": log(firing, firing, firing)}, "current.saving=1050 USD per month")
    results = appraise(idle, Sampling(2_000, 3), deep=True)
    assert "trials" in results.finding.evidence
    assert "The kiln log holds 3 batches that are not used yet" in say(results, "deep")
    bare = appraise(with_data({}, "current.saving=1050 USD per month"), Sampling(2_000, 3), deep=True)
    assert "kiln log" not in say(bare, "deep")
