"""Rows about ranges: what is refused, what is cautioned, and what blank rows mean."""

from __future__ import annotations

import pytest

from econ.errors import InputFaults
from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.ranges import named, pairs, shapes
from econ.inputs.records import Scenario, Typed

PRICE = "product.1.price"


def plant(changes: dict[str, Typed]) -> Scenario:
    shipped = example("thistle-flat")
    rows = {key: row for key, row in shipped.rows.items() if not key.startswith("together.")}
    return build({**rows, **changes}, shipped.system)


def together(first: object, second: object, correlation: object, number: int = 1) -> dict[str, Typed]:
    return {
        f"together.{number}.first": Typed(first, where="first"),
        f"together.{number}.second": Typed(second, where="second"),
        f"together.{number}.correlation": Typed(correlation, unit="fraction", where="correlation"),
    }


def special(key: object, shape: object, number: int = 1) -> dict[str, Typed]:
    start = f"ranges.special.{number}"
    return {f"{start}.key": Typed(key, where="key"), f"{start}.shape": Typed(shape, where="shape")}


# what was typed, the place named, a word of the sentence
FAULTS = (
    (together("product.9.price", PRICE, 0.5), "first", "product.9.price"),
    (together(PRICE, "money.study_years", 0.5), "second", "money.study_years"),
    (together(PRICE, None, 0.5), "second", "blank"),
    (together(PRICE, "product.2.price", None), "correlation", "blank"),
    (together(PRICE, "product.2.price", 1.2), "correlation", "1.2"),
    (together(PRICE, PRICE, 0.5), "correlation", "itself"),
    (together(PRICE, "labour.wage", 0.5) | together("labour.wage", PRICE, 0.1, 2), "correlation", "second time"),
    (special("no.such.row", "uniform"), "key", "no.such.row"),
    (special(PRICE, None), "shape", "blank"),
    (special(None, "uniform"), "key", "blank"),
    (special(PRICE, "normal"), "shape", "normal"),
    (special(PRICE, "uniform") | special(PRICE, "pert", 2), "key", "second shape"),
    (special("excluded.fee", "lognormal"), "shape", "above 0"),
    ({"ranges.table_first": Typed("loan.principal", where="here")}, "here", "no low and high"),
    ({"ranges.table_first": Typed(PRICE), "ranges.table_second": Typed(PRICE, where="here")}, "here", "twice"),
)


@pytest.mark.parametrize(("typed", "where", "word"), FAULTS)
def test_fault(typed: dict[str, Typed], where: str, word: str) -> None:
    with pytest.raises(InputFaults) as refused:
        plant(typed)
    assert any(fault.where == where and word in str(fault) for fault in refused.value.faults)


def test_all_faults_come_at_once() -> None:
    with pytest.raises(InputFaults) as refused:
        plant(together("a.b", "c.d", 0.5) | special("e.f", "uniform"))
    assert len(refused.value.faults) == 3


# what was typed, the id of the caution
CAUTIONS = (
    (together(PRICE, "loan.principal", 0.5), "pair-without-range"),
    (special("loan.principal", "pert"), "shape-without-range"),
    ({"ranges.shape": Typed("lognormal")}, "no-lognormal"),
)


@pytest.mark.parametrize(("typed", "caution"), CAUTIONS)
def test_caution(typed: dict[str, Typed], caution: str) -> None:
    assert caution in {found.id for found in plant(typed).warnings}


def test_blank_rows_mean_triangles_and_nothing_together() -> None:
    scenario = plant({})
    assert set(shapes(scenario.entries).values()) == {"triangular"}
    assert pairs(scenario.entries) == []


def test_limits_of_the_rule_and_correlations_are_no_defaults_of_the_plant() -> None:
    """They are the user's taste, not facts that make an answer rough."""
    (rough,) = (caution for caution in plant({}).warnings if caution.id == "rough-answer")
    assert "rule." not in rough.text
    assert not any(key.startswith(("rule.", "together.")) for key in shapes(plant({}).entries))


def test_a_lognormal_for_all_leaves_out_what_has_no_logarithm() -> None:
    found = shapes(plant({"ranges.shape": Typed("lognormal")}).entries)
    assert found["product.1.price"] == "lognormal"
    assert found["excluded.fee"] == "triangular"


def test_only_inputs_that_have_no_logarithm_are_named_as_drawn_otherwise() -> None:
    """A triangle that was asked for by name is no exception to speak of."""
    scenario = plant({"ranges.shape": Typed("lognormal"), **special("excluded.fee", "triangular")})
    (said,) = [one.text for one in scenario.warnings if one.id == "no-lognormal"]
    labels = said.partition("instead: ")[2].removesuffix("; ....").removesuffix(".").split("; ")
    low = {entry.row.label: entry.low for entry in scenario.ranged()}
    assert labels
    assert all(low[label] <= 0 for label in labels)
    assert scenario["excluded.fee"].row.label not in labels


def test_an_input_may_be_named_by_its_label() -> None:
    scenario = plant({})
    assert named(scenario.entries, " WAGE ") is scenario["labour.wage"]
    assert named(scenario.entries, "") is None
