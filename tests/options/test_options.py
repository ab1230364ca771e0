"""The other ways beside the kiln: hand arithmetic of the written rules, and what must always hold."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from plants import CHAR_KG, plant

from econ.answer.appraisal import appraise
from econ.answer.base_case import base_case
from econ.answer.option_table import PUBLISHED, compared, sentence
from econ.answer.report import in_json
from econ.answer.results import Results
from econ.errors import InputFaults
from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.records import Scenario, Typed
from econ.inputs.schema import rows
from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.questions.found import AGAINST_BEST
from econ.questions.latin import Sampling
from econ.shipped import described

Rows = dict[str, tuple[object, str | None]]

BONES_T = 520 * 52 / 1000
WORTH = sum(1.1**-t for t in range(1, 6))
"""Worth today of 1 a year for 5 years at 10 %, nothing rising: annuity formula, hand arithmetic."""
STILL: Rows = {"money.basis": ("nominal", None), "money.inflation": (0, "%"), "money.tax_rate": (0, "%")}


def figures(rows: Rows) -> dict[str, float]:
    scenario = plant(STILL | rows)
    found = evaluate(scenario.numbers(), Plan.of(scenario)).lines
    return {name: float(value) for name, value in found.items()}


def way(kind: str, n: int = 1, **rows: tuple[object, str | None]) -> Rows:
    return {f"option.{n}.kind": (kind, None)} | {f"option.{n}.{word}": value for word, value in rows.items()}


def test_nothing_filled_compares_nothing_but_the_kiln_and_today() -> None:
    found = figures({})
    assert AGAINST_BEST not in found
    assert not [name for name in found if name.startswith(("option_", "mix_"))]


@pytest.mark.parametrize(
    ("rows", "yearly", "bought"),
    [
        (way("rendering", fee=(80, "USD per tonne")), 80 * BONES_T, 0),
        (way("rendering", fee=(-20, "USD per tonne")), -20 * BONES_T, 0),
        (way("landfill", fee=(0.05, "USD per kg"), yearly=(100, "USD per month")), 50 * BONES_T + 1200, 0),
        (way("composting", chips=(2, "kg per kg"), chips_price=(30, "USD per tonne"),
             land_cost=(90, "USD per year")),
         60 * BONES_T + 90, 0),
        (way("sell", income=(0.4, "USD per kg"), sold_share=(25, "%"), yearly=(300, "USD per year")),
         300 - 100 * BONES_T + 0.75 * 3000, 0),
        (way("burial", capital=(5000, "USD")), 0, 5000),
        (way("own", capital=(900, "USD"), life=(2, "years")), 0, 900 * (1 + 1.1**-2 + 1.1**-4 - 0.5 * 1.1**-5)),
        (way("own", capital=(900, "USD"), life=(2.5, "years")), 0, 900 * (1 + 1.1**-3)),
    ],
)  # fmt: skip
def test_worth_of_a_way_by_hand(rows: Rows, yearly: float, bought: float) -> None:
    """House arithmetic of the rules in econ/model/options.py; bought again when a life ends, never at the end.

    What finds no buyer stays on today's bill; of a life of 2 years half is left after 5.
    """
    found = figures(rows | {"current.saving": (3000, "USD per year")})
    cost = bought + yearly * WORTH
    assert found["option_1_pv_cost"] == pytest.approx(cost, rel=1e-12, abs=1e-9)
    assert found["option_1_npv"] == pytest.approx(3000 * WORTH - cost, rel=1e-12)
    assert found["option_1_cost_per_kg"] == pytest.approx(cost / WORTH / BONES_T / 1000, rel=1e-12, abs=1e-12)


def test_hours_are_paid_at_the_wage_with_its_on_cost() -> None:
    rows = way("composting", hours=(3, "hour per week"))
    wage: Rows = {"labour.wage": (20, "USD per hour"), "labour.on_cost_share": (10, "%")}
    assert figures(rows | wage)["option_1_yearly_cost"] == pytest.approx(3 * 52 * 22, rel=1e-12)


def test_prices_that_rise_are_worth_more_and_tax_takes_its_share() -> None:
    rows = way("landfill", yearly=(1000, "USD per year"))
    more: Rows = {"money.inflation": (3, "%"), "money.tax_rate": (25, "%")}
    worth = sum((1.03 / 1.1) ** t for t in range(1, 6))
    assert figures(rows | more)["option_1_npv"] == pytest.approx(-1000 * worth, rel=1e-12)
    more["money.tax_losses"] = ("other-income", None)
    assert figures(rows | more)["option_1_npv"] == pytest.approx(-1000 * worth * 0.75, rel=1e-12)


def test_todays_way_typed_again_as_an_option_is_nil_everywhere() -> None:
    """An option compared with itself: same bill, same emissions, no NPV; the kiln's distance is its own NPV."""
    bill: Rows = {"current.option": ("landfill", None), "current.saving": (50 * BONES_T, "USD per year")}
    found = figures(bill | way("landfill", fee=(50, "USD per tonne")))
    assert found["option_1_npv"] == pytest.approx(0, abs=1e-9)
    assert found["option_1_pv_cost"] == pytest.approx(found["today_pv_cost"], rel=1e-12)
    assert found["option_1_emissions_kg_co2e"] == found["avoided_handling_kg_co2e"]
    assert found["option_1_p_kept_kg"] == found["today_p_kept_kg"]
    assert found[AGAINST_BEST] == pytest.approx(found["npv"], abs=1e-9)


def test_the_best_other_is_never_worse_than_todays_way() -> None:
    dear = figures(way("landfill", fee=(500, "USD per tonne")))
    assert dear["best_other_npv"] == 0
    assert dear[AGAINST_BEST] == dear["npv"]


def test_a_way_without_money_cannot_be_the_best() -> None:
    found = figures(way("burial"))
    assert AGAINST_BEST not in found
    assert found["option_1_emissions_kg_co2e"] == found["pit_kg_co2e"]
    assert "option-without-money" in {caution.id for caution in base_case(plant(STILL | way("burial"))).cautions()}


@cache
def mixed() -> Results:
    rows = (
        way("rendering", 1, fee=(60, "USD per tonne"), share_today=(55, "%"))
        | way("composting", 2, hours=(4, "hour per week"), capital=(4000, "USD"), share_today=(30, "%"))
        | way("landfill", 3, fee=(90, "USD per tonne"), share_today=(15, "%"))
    )
    return appraise(plant(STILL | rows | {"labour.wage": (20, "USD per hour")}))


@pytest.mark.parametrize(
    "name", ["pv_cost", "yearly_cost", "bought", "people_hours", "p_kept_kg", "n_kept_kg", "emissions_kg_co2e"]
)
def test_a_mix_is_the_sum_of_its_parts(name: str) -> None:
    found = mixed().figures
    parts = sum(share * found[f"option_{n}_{name}"] for n, share in ((1, 0.55), (2, 0.30), (3, 0.15)))
    assert found[f"mix_{name}"] == pytest.approx(parts, rel=1e-12)
    assert found[f"mix_{name}"] != 0


def test_all_of_a_mix_one_way_is_that_way() -> None:
    found = figures(way("composting", hours=(4, "hour per week"), share_today=(100, "%")))
    assert found["mix_pv_cost"] == found["option_1_pv_cost"]


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (way("landfill", fee=(1, "USD per kg"), share_today=(60, "%")), "adds up to 60"),
        ({"option.2.fee": (10, "USD per tonne")}, "without saying which way"),
        (way("gate-fee", mass=(5, "tonne per year"), share_today=(100, "%")), "bones of others"),
    ],
)
def test_blocks_that_contradict_themselves_are_faults(rows: Rows, words: str) -> None:
    with pytest.raises(InputFaults) as raised:
        plant(rows)
    assert any(words in str(fault) for fault in raised.value.faults)


def test_phosphorus_kept_by_kind() -> None:
    """Composting keeps what is not picked out; the leftovers charred too keep all; other ways none."""
    found = figures(
        way("composting", 1, leftover_share=(20, "%")) | way("compost-char", 2) | way("rendering", 3)
        | way("own", 4, p_kept_share=(40, "%"))
    )  # fmt: skip
    p = found["p_bones_kg"]
    kept = [found[f"option_{n}_p_kept_kg"] / p for n in (1, 2, 3, 4)]
    assert kept == pytest.approx([0.8, 1.0, 0.0, 0.4], rel=1e-12)
    assert found["option_2_left_share"] == pytest.approx(found["mineral_kg"] / found["bones_fired_kg"], rel=1e-12)


def test_emissions_follow_the_carbon_sheet_or_the_own_figure() -> None:
    found = figures(way("sell", 1) | way("sell", 2, ghg=(12, "kg per tonne")) | way("rendering", 3))
    assert np.isnan(found["option_1_emissions_kg_co2e"])
    assert found["option_2_emissions_kg_co2e"] == pytest.approx(12 * BONES_T, rel=1e-12)
    assert found["option_3_emissions_kg_co2e"] == found["rendering_kg_co2e"]
    assert found["option_3_credits_kg_co2e"] == found["rendering_credits_kg_co2e"]


def test_composting_first_with_all_left_over_costs_the_kiln_as_it_is() -> None:
    """Limit case: nothing rots away, so the kiln fires everything."""
    costs: Rows = {"kiln.price": (9000, "USD"), "product.1.price": (0.2, "USD per kg")}
    costs |= {"fuel.1.per_batch": (10, "L"), "fuel.1.price": (1, "USD per L")}
    found = figures(costs | way("compost-char", leftover_share=(100, "%"), yearly=(70, "USD per year")))
    assert found["option_1_small_pv_cost"] == pytest.approx(found["pv_cost"], rel=1e-12)
    assert found["option_1_pv_cost"] == pytest.approx(found["pv_cost"] + 70 * WORTH, rel=1e-12)


def test_bones_of_others_fill_only_the_room_there_is() -> None:
    """Two firings of 260 kg a week take 27.04 t; 20.8 t are the plant's own, so 6.24 t find room."""
    rows = way("gate-fee", mass=(10, "tonne per year"), fee=(-50, "USD per tonne"), income=(0.3, "USD per kg"))
    results = base_case(plant(STILL | rows | {"bones.1.mass": (400, "kg per week")}))
    found = results.figures
    assert found["option_1_taken_kg"] == pytest.approx(6240, rel=1e-9)
    gain = 50 * 6.24 + 0.3 * 6240 * CHAR_KG / (BONES_T * 1000)
    assert found["option_1_npv"] - found["npv"] == pytest.approx(gain * WORTH, rel=1e-9)
    assert "no-room-for-gate-fee" in {caution.id for caution in results.cautions()}
    assert AGAINST_BEST not in found


def against(scenario: Scenario, key: str, value: float) -> float:
    found = evaluate(scenario.numbers() | {key: value}, Plan.of(scenario), frozenset({AGAINST_BEST}))
    return float(found.lines[AGAINST_BEST])


def test_where_char_becomes_the_better_the_distance_is_nil() -> None:
    rows: Rows = {"kiln.price": (6000, "USD"), "product.1.price": (0.6, "USD per kg")}
    scenario = plant(STILL | rows | way("composting", yearly=(500, "USD per year"), fee=(20, "USD per tonne")))
    results = appraise(scenario)
    by_name = {one.name: one for one in results.better_than_best}
    assert set(by_name) == {"bones_per_week", "tonnes_sold"}
    bones = by_name["bones_per_week"]
    assert len(bones.values) == 1
    at = against(scenario, "bones.1.mass", bones.values[0] * 1000 * 52)
    assert at == pytest.approx(0, abs=1e-3)
    sold = by_name["tonnes_sold"]
    assert len(sold.values) == 1
    share = sold.values[0] / (CHAR_KG / 1000)
    assert against(scenario, "market.sales_share", share) == pytest.approx(0, abs=1e-3)


def test_a_case_alone_equals_the_same_case_in_an_array() -> None:
    scenario = mixed().scenario
    plan = Plan.of(scenario)
    prices = np.array([100.0, 20000.0, 45000.0])
    many = evaluate(scenario.numbers() | {"kiln.price": prices}, plan).lines[AGAINST_BEST]
    for at, price in enumerate(prices):
        assert many[at] == against(scenario, "kiln.price", float(price))


def test_the_rule_weighs_the_best_other_way_where_there_is_one() -> None:
    results = mixed()
    assert results.chances.decisive == AGAINST_BEST
    assert results.finding.mean_npv == pytest.approx(results.chances.spreads[AGAINST_BEST].mean, rel=1e-9)


def test_the_sentence_names_the_best_by_its_own_table() -> None:
    results = mixed()
    found = in_json("options", results)
    rivals = [one for one in compared(results) if one.kind not in {"char", "gate-fee", "mix", "published"}]
    best = max(
        (one for one in rivals if one.npv_against_today is not None), key=lambda one: one.npv_against_today or 0
    )
    assert found["best_other"] == best.name
    assert best.label in found["sentence"]
    ways = [one for one in compared(results) if one.kind not in {"mix", "gate-fee", "published"}]
    known = [one for one in ways if one.npv_against_today is not None]
    least = max(known, key=lambda one: one.npv_against_today or 0)
    assert f"cheapest for the bones: {least.label}" in found["sentence"]


@pytest.mark.parametrize(("typed", "said"), [((9, "month"), "9 months"), ((26, "week"), "6 months")])
def test_when_the_product_of_a_way_can_be_used(typed: tuple[float, str], said: str) -> None:
    """A year has 12 months and 52 weeks."""
    scenario = plant(STILL | way("composting", months=typed))
    (found,) = (one for one in compared(appraise(scenario, Sampling(128))) if one.name == "option.1")
    count, _, unit = found.usable_after.partition(" ")
    assert (float(count), unit) == (pytest.approx(float(said.split()[0]), rel=0.01), "months")


def test_composting_at_a_published_cost_ranks_by_what_is_computed_and_never_by_its_cost() -> None:
    """9,435 kg of carcasses a year cost 1,012 USD in open static piles (abstract of a case study, 2012)."""
    plant = example("thistle-flat")
    found = appraise(build(plant.rows, plant.system), Sampling(128))
    (way,) = (one for one in compared(found) if one.kind == PUBLISHED)
    assert way.yearly_cost == pytest.approx(1012 / 9.435 * found.figures["bones_fired_kg"] / 1000, rel=0.003)
    assert way.npv_against_today is None
    assert "published cost, not yours" in sentence(found)
    assert f"keeps most P for soil: {way.label}" in sentence(found).replace("kiln: char and ", "")
    assert f"cheapest for the bones: {way.label}" not in sentence(found)
    low, high = (end * found.figures["bones_fired_kg"] / 1000 for end in (50, 150))
    assert f"{low:,.0f} to {high:,.0f} USD a year" in sentence(found)
    other = example("low-sedge")
    euros = appraise(build(other.rows, other.system), Sampling(128))
    assert "not compared" in sentence(euros)
    own = Typed("composting on site", where="Options!B9")
    typed = appraise(build({**plant.rows, "option.1.kind": own}, plant.system), Sampling(128))
    assert not [one for one in compared(typed) if one.kind == PUBLISHED]


def test_every_way_that_may_be_chosen_has_its_words() -> None:
    """Else its table is an error of kilncase; "other" is a way of one's own."""
    chosen = [option.slug for key in ("current.option", "option.1.kind") for option in rows()[key].choices]
    assert {*chosen} - {"other"} <= described("tables")["way"].keys(), "give each a [way.] in answer/tables.toml"
