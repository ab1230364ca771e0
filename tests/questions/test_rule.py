"""The rule behind the finding: what it says of which samples and facts, and that it is never firmer than known."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from conftest import built
from conftest import plant as shipped_plant
from hypothesis import given, settings
from hypothesis import strategies as st
from plants import FIRST_SHEET, first_sheet_guessed
from ranged_plants import plant

from econ.answer.appraisal import appraise
from econ.answer.finding import say
from econ.answer.sentences import chance
from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.records import Scenario, Typed
from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.questions.deciding import Looks, deciding
from econ.questions.draws import kept_whole, made_whole
from econ.questions.found_rule import FACTS, Deciding, Limits, Look, ruled, verdict
from econ.questions.latin import Sampling

LIMITS = Limits(buy_at=0.2, least_npv=0.0)


def look(mean: float, loss: float) -> Look:
    return Look(mean, loss, mean, loss)


# mean NPV, probability of a negative NPV, open facts that can turn, mean with them at their best, the finding
RULE = (
    (50_000, 0.05, 0, 50_000, "buy"),
    (50_000, 0.20, 0, 50_000, "buy"),  # the limit itself still counts
    (0, 0.10, 0, 0, "buy"),  # exactly the least worth the trouble
    (50_000, 0.05, 1, 90_000, "measure first"),  # never buy while a fact that can turn is open
    (50_000, 0.00, 3, 90_000, "measure first"),
    (50_000, 0.21, 0, 50_000, "measure first"),  # it pays on average, but the risk is above the limit
    (-1, 0.10, 0, -1, "do not buy"),
    (-20_000, 0.99, 2, 1, "measure first"),  # the open facts at their best would make it worth the trouble
    (-20_000, 0.99, 2, 0, "measure first"),  # at their best it is just worth it
    (-20_000, 0.99, 2, -1, "do not buy"),
)


@pytest.mark.parametrize(("mean", "loss", "missing", "best", "finding"), RULE)
def test_rule(mean: float, loss: float, missing: int, best: float, finding: str) -> None:
    assert verdict(LIMITS, look(mean, loss), missing=missing, best_mean=best) == finding


def test_what_was_left_blank_gives_no_decision() -> None:
    assert verdict(LIMITS, look(9e9, 0), missing=0, best_mean=9e9, is_blank=True) == "rough: no decision yet"


def test_evidence_worth_having_takes_a_buy_away_and_nothing_else() -> None:
    assert verdict(LIMITS, look(50_000, 0.05), missing=0, best_mean=0, evidence=("assay",)) == "measure first"
    assert verdict(LIMITS, look(-1, 0.5), missing=0, best_mean=-1, evidence=("assay",)) == "do not buy"


def test_the_limits_are_the_users() -> None:
    assert ruled(Limits(0.05, 0), look(50_000, 0.1)) == "measure first"
    assert ruled(Limits(0.2, 60_000), look(50_000, 0.1)) == "do not buy"


@given(st.floats(-1e6, 1e6), st.floats(0, 1), st.floats(0, 1))
def test_more_risk_never_makes_it_a_buy(mean: float, loss: float, more: float) -> None:
    less, more = sorted((loss, more))
    if ruled(LIMITS, look(mean, more)) == "buy":
        assert ruled(LIMITS, look(mean, less)) == "buy"


def test_gains_of_lopsided_ranges_do_not_count_for_a_buy() -> None:
    npv = np.array([-10.0, 5.0, 60.0, 80.0, 90.0])
    assert Look.of(npv, 0.0) == Look(45.0, 0.2, 45.0, 0.2)
    assert Look.of(npv, 20.0) == Look(45.0, 0.2, 25.0, 0.4)
    assert ruled(LIMITS, Look.of(npv, 0.0)) == "buy"
    assert ruled(LIMITS, Look.of(npv, 20.0)) == "measure first"


SETTLED = example("alder-ford")
"""The invented plant with all deciding facts settled."""
RANGED = tuple(key for key, row in SETTLED.rows.items() if row.low is not None)


def of_fact(slug: str) -> list[str]:
    fact = next(one for one in FACTS if one.slug == slug)
    return [key for key in SETTLED.rows if any(re.fullmatch(pattern, key) for pattern in fact.keys)]


def settled(changes: dict[str, Typed] | None = None) -> Scenario:
    return built({**SETTLED.rows, **(changes or {})}, SETTLED.system)


def decided(scenario: Scenario, samples: int = 512) -> tuple[str, Deciding, Looks]:
    limits = Limits.of(scenario)
    facts, looks = deciding(scenario, Plan.of(scenario), Sampling(samples), limits)
    said = verdict(
        limits, facts.look, missing=len(facts.missing), best_mean=facts.best_mean, is_blank=bool(facts.blank)
    )
    return said, facts, looks


def test_the_plant_with_all_facts_settled_gets_buy() -> None:
    results = appraise(settled(), Sampling(2000))
    assert results.finding.verdict == "buy"
    assert all(one.is_settled for one in results.finding.deciding.standings)
    assert say(results, "finding").startswith("Finding: buy. Mean NPV is ")


def unsettled(key: str) -> Typed:
    """A row as a guess without a range of its own."""
    return replace(SETTLED.rows[key], known="guessed", low=None, high=None)


@pytest.mark.parametrize("slug", [fact.slug for fact in FACTS])
def test_unsettling_a_fact_that_can_turn_takes_buy_away(slug: str) -> None:
    said, facts, _ = decided(settled({key: unsettled(key) for key in of_fact(slug)}), 2048)
    (one,) = [standing for standing in facts.standings if standing.fact.slug == slug]
    assert not one.is_settled
    assert one.can_turn or slug in {"permit", "insurance"}  # small sums beside the mean of this plant
    assert said == ("measure first" if one.can_turn else "buy")
    assert [standing.fact.slug for standing in facts.missing] == ([slug] if one.can_turn else [])


def random_rows(scales: list[float], knowns: list[str]) -> dict[str, Typed]:
    """The settled plant with values scaled and facts known in other ways, ranges of its own kept or dropped."""
    keys = [key for fact in FACTS for key in of_fact(fact.slug)]
    found = {}
    for key, scale, known in zip(keys, scales, knowns, strict=False):
        row = SETTLED.rows[key]
        value, low, high = (
            None if end is None else float(f"{float(end) * scale:.6g}")  # type: ignore[arg-type]
            for end in (row.value, row.low, row.high)
        )
        is_guess = known == "guessed"
        found[key] = replace(
            row, value=value, low=None if is_guess else low, high=None if is_guess else high, known=known
        )
    return found


PLANTS = (
    st.lists(st.floats(0.6, 1.5), min_size=10, max_size=10),
    st.lists(st.sampled_from(("measured", "quoted", "published", "guessed")), min_size=10, max_size=10),
)


@settings(max_examples=25, deadline=None)
@given(*PLANTS)
def test_never_buy_while_an_open_fact_can_turn(scales: list[float], knowns: list[str]) -> None:
    """Exact: over random plants, and no dice beside the samples."""
    said, facts, _ = decided(settled(random_rows(scales, knowns)), 256)
    for one in facts.standings:
        if one.at is not None:
            turns = {ruled(LIMITS, at) for at in one.at} != {ruled(LIMITS, facts.look)}
            assert one.can_turn == (turns and not one.is_settled)
    if any(one.can_turn for one in facts.standings):
        assert said in {"measure first", "do not buy"}
        assert (said == "do not buy") == (facts.best_mean < 0)
    if said == "do not buy":
        assert facts.best_mean < 0


def test_an_npv_of_just_zero_is_no_loss() -> None:
    """Below zero is below zero, with gains of lopsided ranges taken off or not."""
    found = Look.of(np.array([0.0, 0.0, -1.0, 5.0]), 0.0)
    assert (found.mean, found.loss, found.sober_loss) == (1.0, 0.25, 0.25)
    assert Look.of(np.array([0.0, 3.0, 2.0, 5.0]), 3.0).sober_loss == 0.5


def test_the_low_end_of_the_yield_is_wet_bones_of_little_mineral() -> None:
    """Mineral gives char, water and fat leave: a look at the low end holds these two at their high end."""
    keys = [f"bones.1.{name}_share" for name in ("water", "fat", "ash")]
    _, _, looks = decided(shipped_plant("thistle-flat"))
    assert looks.held(keys, 0.05) == dict(zip(keys, (0.95, 0.95, 0.05), strict=True))


def near_a_limit(looks: Looks, facts: Deciding) -> bool:
    """Whether any look that was taken is within three standard errors of a limit."""
    npv = looks.npv()
    error = 3 * float(np.std(npv)) / math.sqrt(len(npv))
    taken = [facts.look, *(at for one in facts.standings if one.at for at in one.at)]
    for one in taken:
        of_loss = 3 * math.sqrt(max(one.sober_loss * (1 - one.sober_loss), 1 / len(npv)) / len(npv))
        if min(abs(one.sober_mean), abs(one.mean)) <= error or abs(one.sober_loss - LIMITS.buy_at) <= of_loss:
            return True
    return False


@settings(max_examples=25, deadline=None)
@given(*PLANTS, st.sampled_from(RANGED), st.floats(1.05, 3))
def test_wider_ranges_never_make_a_buy(scales: list[float], knowns: list[str], key: str, wider: float) -> None:
    """Same seed and streams: both arms of one range `wider` times as long never turn another verdict to buy."""
    narrow = settled(random_rows(scales, knowns))
    entry = narrow[key]
    low = max(entry.number - wider * (entry.number - entry.low), entry.row.lowest)
    high = min(entry.number + wider * (entry.high - entry.number), entry.row.highest)
    wide = replace(narrow, entries={**narrow.entries, key: replace(entry, low=low, high=high)})
    before, facts, looks = decided(narrow, 1024)
    after, facts_after, looks_after = decided(wide, 1024)
    if after == "buy":
        assert before == "buy" or near_a_limit(looks, facts) or near_a_limit(looks_after, facts_after)


@cache
def first_sheet_only() -> Scenario:
    rows = example("thistle-flat").rows
    return build({key: replace(rows[key], low=None, high=None, known="guessed") for key in FIRST_SHEET}, "us")


def test_less_knowledge_never_gives_more_certainty() -> None:
    """Only the first sheet, all guesses, how much sells left blank: no decision, and the amount is named first."""
    blank = appraise(first_sheet_only(), Sampling(1000))
    assert blank.finding.verdict == "rough: no decision yet"
    assert blank.finding.deciding.blank == ("amount",)
    assert say(blank, "finding").startswith("Finding: rough, no decision yet. Not said: how much sells.")
    assert "Start here" in say(blank, "finding")
    assert blank.headline.is_outside
    assert blank.headline.place > 0.75  # that all of it sells is the favourable end
    rows = {key: example("thistle-flat").rows[key] for key in FIRST_SHEET}
    guess = {key: replace(row, low=None, high=None, known="guessed") for key, row in rows.items()}
    said = appraise(
        build({**guess, "product.1.market_limit": Typed(4000, unit="lb per year", known="guessed")}, "us"),
        Sampling(1000),
    )
    assert said.finding.verdict in {"measure first", "do not buy"}


def test_open_facts_together_take_a_do_not_buy_away() -> None:
    """No guess turns it alone; all of them reach above zero in 5 of 100 cases, so nothing is settled yet."""
    near = appraise(first_sheet_guessed(), Sampling(1000))
    assert near.chances.loss > 0.8
    assert near.finding.verdict == "measure first"
    assert not any(one.can_turn for one in near.finding.deciding.standings)
    assert near.finding.missing[0].fact.slug == "amount"
    assert 'No one of them alone would turn "do not buy".' in say(near, "finding")
    far, facts, _ = decided(first_sheet_guessed(0.75))
    assert (far, facts.together, facts.missing) == ("do not buy", False, ())
    assert decided(first_sheet_guessed(3.0))[0] == "measure first"


def test_what_open_facts_do_together_by_nested_samples() -> None:
    """By brute force: open facts held as in a sample, the mean over all else, again and again; its P95."""
    scenario = first_sheet_guessed()
    _, facts, looks = decided(scenario, 512)
    asked = {key for one in facts.standings for key in one.open_keys} & looks.values().keys()
    columns, dice = looks._raw, np.random.default_rng(5)
    means = []
    for at in dice.integers(0, 512, 200):
        values = made_whole(scenario.entries, {**columns, **{key: columns[key][[at]] for key in asked}})
        numbers = kept_whole({**scenario.numbers(), **values}, Plan.of(scenario))
        means.append(float(np.mean(evaluate(numbers, Plan.of(scenario), frozenset({"npv"})).lines["npv"])))
    ours = float(looks.together(frozenset(asked))[0])
    spread = float(np.std(means))
    assert ours == pytest.approx(np.percentile(means, 95), abs=0.35 * spread)  # three errors of a P95 of 200
    assert ours > facts.look.mean + spread


def test_without_a_price_there_is_no_decision() -> None:
    results = appraise(settled({"product.1.price": Typed(None)}), Sampling(500))
    assert results.finding.verdict == "rough: no decision yet"
    assert results.finding.deciding.blank == ("price",)
    assert results.figures["sale_income_today"] == 0


def test_all_of_it_sells_where_offers_say_so() -> None:
    results = appraise(settled({"product.1.market_limit": Typed("All of it", known="quoted")}), Sampling(500))
    assert results.finding.deciding.blank == ()
    assert "market.sales_share" not in results.chances.shapes
    guess = settled({"product.1.market_limit": Typed("all of it", known="guessed")})
    assert guess["market.sales_share"].has_range


def test_the_place_of_the_typed_value_by_pandas() -> None:
    """The kept samples, read with pandas: place, P10 and P90 are those of the headline."""
    import pandas

    results = appraise(plant(), Sampling(3000))
    npv = pandas.Series(results.chances.kept["npv"])
    assert results.headline.place == (npv < results.figures["npv"]).mean()
    assert results.headline.p10 == pytest.approx(npv.quantile(0.1), rel=1e-12)
    assert results.headline.p90 == pytest.approx(npv.quantile(0.9), rel=1e-12)
    assert results.headline.is_outside
    sentence = say(results, "headline")
    better = int(100 * (npv < results.figures["npv"]).mean())
    assert f"better than {better} of 100 cases" in sentence
    assert "mostly through favourable values of bone make-up and " in sentence


def test_the_causes_are_the_largest_drops_when_each_goes_to_its_mean() -> None:
    """Two inputs moved by hand, one after the other, from typed to the mean of their samples."""
    from econ.questions.draws import draws, inputs_drawn

    scenario = plant()
    results = appraise(scenario, Sampling(2048))
    ((_, _, values),) = draws(scenario, Sampling(2048), inputs_drawn(scenario))
    base = results.figures["npv"]
    drops = {}
    for key, column in values.items():
        if not key.startswith("bones."):
            moved = {**scenario.numbers(), key: float(np.mean(column))}
            drops[key] = float(evaluate(moved, results.plan).lines["npv"]) - base
    composition = {key: float(np.mean(values[key])) for key in values if key.startswith("bones.1.") and
                   key.endswith(("water_share", "fat_share", "protein_share", "ash_share"))}  # fmt: skip
    drops["bones.1.ash_share"] = (
        float(evaluate({**scenario.numbers(), **composition}, results.plan).lines["npv"]) - base
    )
    first, second = sorted(drops, key=lambda key: drops[key])[:2]
    assert [key for key, _ in results.headline.causes] == [first, second]
    assert [drop for _, drop in results.headline.causes] == pytest.approx([drops[first], drops[second]], rel=1e-6)


def test_own_ranges_of_estimates_as_wide_as_they_ought_to_be() -> None:
    results = appraise(plant(), Sampling(2000))
    assert results.headline.wider == 2.5
    assert results.headline.wider_loss is not None
    assert results.headline.wider_loss > 0.3
    none = appraise(settled({key: replace(SETTLED.rows[key], known="quoted") for key in RANGED}), Sampling(500))
    assert none.headline.wider_loss is None


# share, samples, words; 3/n for none out of n: the rule of three, common practice, no source
WORDS = (
    (0.0, 10_000, "less than 1%"),
    (1.0, 10_000, "more than 99%"),
    (0.0, 100, "less than 3%"),
    (1.0, 100, "more than 97%"),
    (0.0002, 10_000, "less than 1%"),
    (0.9998, 100, "more than 99%"),
    (0.0432, 10_000, "4%"),
    (0.5, 10_000, "50%"),
    (0.934, 10_000, "93%"),
)


@pytest.mark.parametrize(("share", "samples", "words"), WORDS)
def test_a_chance_in_words(share: float, samples: int, words: str) -> None:
    assert chance(share, samples) == words
