"""Effects one at a time, their class edges, and the two-way table, against the model asked singly."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from ranged_plants import plant

from econ.inputs.records import Entry, Scenario, Typed
from econ.inputs.schema import rows
from econ.model.evaluate import evaluate
from econ.model.plan import Plan
from econ.questions.draws import edges_inside
from econ.questions.effects import effects, grid, steps, two_way
from econ.questions.found import MEASURES, TwoWay


def singly(scenario: Scenario, **moved: float) -> dict[str, float]:
    numbers = {**scenario.numbers(), **{key.replace("__", "."): value for key, value in moved.items()}}
    for key in moved:
        numbers |= in_proportion(scenario, key.replace("__", "."), numbers)
    return {name: float(value) for name, value in evaluate(numbers, Plan.of(scenario)).lines.items()}


def in_proportion(scenario: Scenario, key: str, numbers: dict[str, float]) -> dict[str, float]:
    """The other shares of a stream, scaled so that all four make 1; nothing for any other input."""
    stream, _, name = key.rpartition(".")
    parts = ("water_share", "fat_share", "protein_share", "ash_share")
    if name not in parts or numbers[key] == scenario[key].number:
        return {}
    others = [f"{stream}.{part}" for part in parts if part != name]
    left = sum(scenario[other].number for other in others)
    return {other: scenario[other].number * (1 - numbers[key]) / left for other in others}


def test_every_effect_equals_the_model_asked_once() -> None:
    scenario = plant()
    found = effects(scenario, Plan.of(scenario))
    assert len(found) > 30
    for effect in found:
        key = effect.entry.row.key.replace(".", "__")
        for value, answers in ((effect.entry.low, effect.at_low), (effect.entry.high, effect.at_high)):
            alone = singly(scenario, **{key: value})
            assert {name: answers[name] for name in MEASURES} == pytest.approx(
                {name: alone[name] for name in MEASURES}, rel=1e-12, nan_ok=True
            )


def test_effects_are_sorted_by_their_swing() -> None:
    scenario = plant()
    swings = [effect.swing("npv") for effect in effects(scenario, Plan.of(scenario))]
    assert swings == sorted(swings, reverse=True)


def test_choices_with_a_range_have_no_effect_and_are_named() -> None:
    from econ.answer.base_case import range_cautions as cautions

    scenario = plant({"money.study_years": Typed(10, 8, 12, "years")})
    plan = Plan.of(scenario)
    assert "money.study_years" not in {effect.entry.row.key for effect in effects(scenario, plan)}
    assert [caution.id for caution in cautions(scenario, plan)] == ["range-not-used"]


# method, key, low, value, high, edges inside. Class edges 350, 450 and 600 °C, each held by the class
# below; H/C_org limit 0.7; soil 5 to 25 °C: the tables of econ.evidence.curves.
EDGES = (
    ("temperature-class", "kiln.peak_temperature", 460, 500, 540, ()),
    ("temperature-class", "kiln.peak_temperature", 440, 500, 540, (450.0,)),
    ("temperature-class", "kiln.peak_temperature", 450, 500, 540, (450.0,)),  # 450 itself is the class below
    ("temperature-class", "kiln.peak_temperature", 500, 550, 600, ()),  # 600 itself is the same class
    ("temperature-class", "kiln.peak_temperature", 300, 500, 700, (350.0, 450.0, 600.0)),
    ("hydrogen-ratio", "kiln.peak_temperature", 300, 500, 700, ()),
    ("hydrogen-ratio", "carbon.h_corg", 0.5, 0.6, 0.75, (0.7,)),
    ("temperature-class", "carbon.h_corg", 0.5, 0.6, 0.75, ()),
    ("hydrogen-ratio", "carbon.soil_temperature", 4, 10, 12, (5.0,)),
    ("temperature-class", "labour.wage", 10, 20, 30, ()),
)


@pytest.mark.parametrize(("method", "key", "low", "value", "high", "edges"), EDGES)
def test_class_edges(
    method: str, key: str, low: float, value: float, high: float, edges: tuple[float, ...]
) -> None:
    plan = replace(Plan.of(plant()), persistence=method)
    assert edges_inside(Entry(rows()[key], value, low, high), plan) == edges


def test_an_effect_across_a_class_edge_is_flagged_and_cautioned() -> None:
    from econ.answer.base_case import range_cautions as cautions

    scenario = plant({"kiln.peak_temperature": Typed(500, 440, 540, "degC")})
    plan = Plan.of(scenario)
    flagged = [effect for effect in effects(scenario, plan) if effect.edges]
    assert [(effect.entry.row.key, effect.edges) for effect in flagged] == [("kiln.peak_temperature", (450.0,))]
    (caution,) = (caution for caution in cautions(scenario, plan) if caution.id == "class-edge")
    assert "450" in caution.text


@pytest.mark.parametrize("ends", [(2.0, 5.0, 9.0), (2.0, 2.0, 9.0), (2.0, 9.0, 9.0)])
def test_steps_hold_low_value_and_high(ends: tuple[float, float, float]) -> None:
    low, value, high = ends
    found = steps(Entry(rows()["labour.wage"], value, low, high))
    assert {low, value, high} <= set(found.tolist())
    assert len(found) == 7
    assert np.all(np.diff(found) > 0)


def test_the_table_takes_the_two_largest_effects() -> None:
    scenario = plant()
    plan = Plan.of(scenario)
    found = effects(scenario, plan)
    table = two_way(scenario, plan, found)
    assert table is not None
    assert (table.across, table.down) == (found[0].entry, found[1].entry)


def test_the_table_takes_the_pair_that_was_chosen() -> None:
    chosen = {
        "ranges.table_first": Typed("labour.wage"),
        "ranges.table_second": Typed("Price of the kiln"),
    }
    scenario = plant(chosen)
    plan = Plan.of(scenario)
    table = two_way(scenario, plan, effects(scenario, plan))
    assert table is not None
    assert (table.across.row.key, table.down.row.key) == ("labour.wage", "kiln.price")


def test_every_cell_of_the_table_equals_the_model_asked_once() -> None:
    scenario = plant()
    table = grid(scenario, Plan.of(scenario), scenario["product.1.price"], scenario["kiln.life"])
    for i, life in enumerate(table.down_steps):
        for j, price in enumerate(table.across_steps):
            alone = singly(scenario, product__1__price=float(price), kiln__life=float(life))
            assert table.npv[i, j] == pytest.approx(alone["npv"], rel=1e-12)


def test_npv_is_nought_where_the_table_says_so() -> None:
    """Disposal saved is a straight line in NPV, so the reading between two rows is exact."""
    scenario = plant({"current.saving": Typed(100, -300, 500, "USD per month")})
    table = grid(scenario, Plan.of(scenario), scenario["product.1.price"], scenario["current.saving"])
    found = [(j, zero) for j, zero in enumerate(table.zeros()) if zero == zero]
    assert found
    for j, zero in found:
        alone = singly(scenario, product__1__price=float(table.across_steps[j]), current__saving=zero)
        assert alone["npv"] == pytest.approx(0, abs=1e-6)


def test_a_column_that_never_passes_nought_has_no_zero() -> None:
    entry = plant()["labour.wage"]
    table = TwoWay(entry, entry, np.array([1.0]), np.array([1.0, 2.0]), np.array([[3.0], [5.0]]))
    assert np.isnan(table.zeros()[0])


def test_fewer_than_two_ranges_make_no_table() -> None:
    scenario = plant(keep=("labour.wage",))
    plan = Plan.of(scenario)
    assert two_way(scenario, plan, effects(scenario, plan)) is None
