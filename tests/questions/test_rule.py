"""The rule behind the finding as a table: what it says, for what mean, chance and effects."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ranged_plants import plant

from econ.answer.appraisal import appraise
from econ.answer.finding import chance, ruling
from econ.inputs.records import Typed
from econ.questions.found_deep import Limits
from econ.questions.latin import Sampling
from econ.questions.rule import decide

LIMITS = Limits(buy_at=0.2, refuse_at=0.8, least_npv=0.0)

# mean NPV, chance of a loss, inputs that turn it alone, ranges given, the finding
RULE = (
    (50_000, 0.05, 0, True, "buy"),
    (50_000, 0.05, 3, True, "buy"),  # ends of ranges may cross nought without a chance worth the name
    (50_000, 0.20, 0, True, "buy"),  # the limit itself still counts
    (50_000, 0.21, 2, True, "measure first"),
    (50_000, 0.55, 0, True, "measure first"),  # a few great gains carry many losses
    (0, 0.10, 1, True, "buy"),  # the least mean NPV itself still counts
    (-1, 0.10, 1, True, "measure first"),
    (-1, 0.10, 0, True, "do not buy"),  # nothing that could be measured would turn it
    (-20_000, 0.79, 4, True, "measure first"),
    (-20_000, 0.80, 4, True, "do not buy"),
    (-20_000, 1.00, 0, True, "do not buy"),
    (50_000, 0.00, 0, False, "measure first"),  # one figure says nothing of its risk
    (-50_000, 1.00, 0, False, "do not buy"),
)


@pytest.mark.parametrize(("mean_npv", "loss", "turners", "has_ranges", "finding"), RULE)
def test_rule(mean_npv: float, loss: float, turners: int, has_ranges: bool, finding: str) -> None:
    assert decide(LIMITS, mean_npv, loss, turners, has_ranges) == finding


def test_the_limits_are_the_users() -> None:
    assert decide(Limits(0.05, 0.8, 0), 50_000, 0.1, 0, True) == "measure first"
    assert decide(Limits(0.2, 0.8, 60_000), 50_000, 0.1, 1, True) == "measure first"
    assert decide(Limits(0.2, 0.5, 0), -1, 0.6, 1, True) == "do not buy"


@given(st.floats(-1e6, 1e6), st.floats(0, 1), st.floats(0, 1), st.integers(0, 9))
def test_more_risk_never_makes_it_a_buy(mean_npv: float, loss: float, more: float, turners: int) -> None:
    order = ("buy", "measure first", "do not buy")
    first = decide(LIMITS, mean_npv, min(loss, more), turners, True)
    second = decide(LIMITS, mean_npv, max(loss, more), turners, True)
    assert order.index(first) <= order.index(second)


SURE = {"current.saving": Typed(3000, 2500, 3200, "USD per month")}
POOR = {"kiln.price": Typed(380_000, 340_000, 520_000, "USD")}
SPLIT = {"current.saving": Typed(800, 500, 1100, "USD per month")}


@pytest.mark.parametrize(("changes", "finding"), [(SURE, "buy"), (POOR, "do not buy"), (SPLIT, "measure first")])
def test_three_plants(changes: dict[str, Typed], finding: str) -> None:
    results = appraise(plant(changes), Sampling(2000))
    assert results.finding.verdict == finding
    assert ruling(results).startswith(f"Finding: {finding}.")


def test_limits_typed_on_the_money_sheet_are_obeyed() -> None:
    strict = SURE | {
        "rule.least_mean_npv": Typed(1_000_000, unit="USD"),
        "rule.buy_at_loss_chance": Typed(1, unit="%"),
    }
    results = appraise(plant(strict), Sampling(1000))
    assert results.finding.limits == Limits(0.01, 0.8, 1_000_000)
    assert results.finding.verdict == "do not buy"


def test_a_plant_without_ranges_is_told_to_give_them() -> None:
    results = appraise(plant(keep=()), Sampling(200))
    assert results.finding.verdict == "measure first"
    assert "without ranges" in ruling(results)


# share, samples, words; 3/n for none out of n: the rule of three, common practice, no source
WORDS = (
    (0.0, 10_000, "under 0.03%"),
    (1.0, 10_000, "over 99.97%"),
    (0.0, 100, "under 3%"),
    (0.0432, 10_000, "4.3%"),
    (0.5, 10_000, "50%"),
    (0.934, 10_000, "93.4%"),
)


@pytest.mark.parametrize(("share", "samples", "words"), WORDS)
def test_a_chance_in_words(share: float, samples: int, words: str) -> None:
    assert chance(share, samples) == words
