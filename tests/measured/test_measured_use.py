"""Measured values in the place of typed ones: what counts, what it changes, what it leaves alone."""

from __future__ import annotations

from typing import Any

import pytest
from conftest import plant
from hypothesis import given, settings
from hypothesis import strategies as st
from measured_plants import assay, log, with_data
from remembered import appraise

from econ.answer.base_case import BaseCase, base_case
from econ.errors import InputFaults
from econ.evidence.factors import default_range
from econ.inputs.examples import example
from econ.inputs.records import Scenario
from econ.measured.use import TARGETS, Measured, put_in, read
from econ.questions.effects import measuring
from econ.questions.latin import LEAST, Sampling

ON = (
    "log.use_yield=yes", "log.use_fuel=yes", "log.use_hours=yes", "assay.use_p2o5=yes",
    "assay.use_available=yes", "assay.use_calcium=yes", "assay.use_organic_carbon=yes", "assay.use_h_corg=yes",
)  # fmt: skip


FEW = Sampling(LEAST)
"""No test here asks how samples spread."""


def answer(scenario: Scenario) -> dict[str, Any]:
    return appraise(scenario, FEW).to_json()


def npv(scenario: Scenario) -> float:
    return base_case(scenario).figures["npv"]


def cautions(scenario: Scenario) -> dict[str, str]:
    return {one.id: one.text for one in base_case(scenario).cautions()}


def measured(scenario: Scenario) -> tuple[BaseCase, Measured]:
    """The figures, and what the measured values change, as a whole answer holds them (the two tests below)."""
    base = base_case(scenario)
    return base, measuring(scenario, base.scenario, base.readings)


def without_data(found: dict[str, Any]) -> dict[str, Any]:
    """The paragraph names a measured value beside the typed one, switched on or not; no figure follows it.

    The label guarantees what the lab found, switched on or not. Its cautions come along, and what is off is named.
    """
    details = {key: value for key, value in found["details"].items() if key not in {"log", "assay", "label"}}
    details["carbon"] = {**details["carbon"], "paragraph": ""}
    said = [one for one in found["warnings"] if not one["id"].startswith(("label-", "measured-idle"))]
    return {**found, "details": details, "warnings": said}


def test_switched_off_nothing_changes() -> None:
    tables = {name: found for name, found in example("thistle-flat").tables.items() if name in {"log", "assay"}}
    filled, empty = answer(with_data(tables)), answer(with_data({}))
    assert filled["details"]["log"] is not None
    assert empty["details"]["log"] is empty["details"]["assay"] is None
    assert without_data(filled) == without_data(empty) == without_data(answer(plant()))


def test_a_log_without_scatter_gives_the_answer_of_the_typed_value() -> None:
    firing = {"bones_in": 1000, "char_out": 300, "fuel_1": 21.5, "hours": 5.75}
    by_log = appraise(with_data({"log": log(firing, firing, firing)}, *ON[:3]), FEW)
    typed = base_case(
        plant(kiln__char_yield="30 %", fuel__1__per_batch="21.5 gal", labour__hours_per_batch="5.75 hours")
    )
    for key in ("npv", "net_cost_per_kg_bones", "char_kg", "removal_kg_co2e", "payback_years"):
        assert by_log.figures[key] == pytest.approx(typed.figures[key], rel=1e-12), key
    assert not {one.target.key for one in by_log.measured.readings.used} & {
        effect.entry.row.key for effect in by_log.effects
    }, "no scatter, no range, no effect"


def test_the_measured_value_and_range_stand_in_the_inputs() -> None:
    results = appraise(with_data(None, *ON), FEW)
    for target in TARGETS:
        if target.key in results.scenario.entries and "fuel.2" not in target.key and "fuel.3" not in target.key:
            entry = results.scenario[target.key]
            n = next(one.sample.n for one in results.measured.readings.used if one.target == target)
            assert entry.known == f"measured, n = {n}"
            assert entry.low is not None
            assert entry.high is not None
            assert entry.low < entry.number < entry.high
            assert entry.row.lowest <= entry.low
            assert entry.high <= entry.row.highest
    assert results.scenario["kiln.char_yield"].known == "measured, n = 12"
    change = results.to_json()["details"]["log"]["change"]
    assert change["npv_as_typed"] == npv(with_data()) != change["npv"]
    assert repr(results.measured) == repr(measured(with_data(None, *ON))[1])


@pytest.mark.parametrize("switch", ON)
def test_each_switch_alone_does_what_typing_the_mean_does(switch: str) -> None:
    results, found = measured(with_data(None, switch))
    (used,) = found.readings.used
    sets = {
        used.target.key.replace(
            ".", "__"
        ): f"{used.measured.shown(used.measured.number)!r} {used.measured.unit.short}"
    }  # type: ignore[union-attr]
    typed = base_case(plant(**sets))
    for name, value in typed.figures.items():
        assert results.figures[name] == pytest.approx(value, rel=1e-9, abs=1e-9, nan_ok=True), name
    gain = next(gain for gain in found.gains if gain.standing.is_used)
    assert gain.measured.npv == pytest.approx(results.figures["npv"], rel=1e-12)
    assert gain.typed.npv == pytest.approx(base_case(plant()).figures["npv"], rel=1e-12)
    assert found.npv_as_typed == pytest.approx(gain.typed.npv, rel=1e-12)


def test_measuring_shrinks_what_more_knowledge_is_worth() -> None:
    near_even = with_data(None, "current.saving=50 USD per month")  # where one input alone turns the answer
    gains = {gain.standing.target.key: gain for gain in measured(near_even)[1].gains}
    for key in ("fuel.1.per_batch", "labour.hours_per_batch"):
        assert 0 <= gains[key].measured.worth < gains[key].typed.worth


@settings(max_examples=20)
@given(yields=st.lists(st.integers(240, 330), min_size=3, max_size=6, unique=True))
def test_adding_firings_of_the_same_scatter_narrows_the_input(yields: list[int]) -> None:
    lines = [{"bones_in": 1000, "char_out": char} for char in yields]
    spans = []
    for found in (lines, lines * 2, lines * 4):
        scenario = with_data({"log": log(*found)}, "log.use_yield=yes")
        entry = put_in(scenario, read(scenario))["kiln.char_yield"]
        assert entry.low is not None
        assert entry.high is not None
        spans.append(entry.high - entry.low)
    assert spans[0] > spans[1] > spans[2]


def test_a_single_measurement_keeps_the_typed_range_around_it() -> None:
    results = base_case(with_data({"log": log({"hours": 9.5})}, "log.use_hours=yes"))
    entry = results.scenario["labour.hours_per_batch"]
    assert (entry.number, entry.low, entry.high) == (9.5, 4.0, 9.5), "typed 5 (4 to 8), stretched"
    (said,) = (caution.text for caution in results.cautions() if caution.id == "measured-once")
    assert said.startswith(f"{entry.row.label}: a single measurement")


ONE = {
    "log": log({"bones_in": 1000, "char_out": 260}),
    "assay": assay({"basis": "dry", "available": 12, "c_org": 9, "h": 0.4}),
}


@pytest.mark.parametrize(
    ("switch", "key"),
    [
        ("log.use_yield=yes", "kiln.char_yield"),
        ("assay.use_available=yes", "product.available_p2o5_share"),
        ("assay.use_organic_carbon=yes", "carbon.organic_share"),
        ("assay.use_h_corg=yes", "carbon.h_corg"),
    ],
)
def test_a_single_measurement_of_what_nobody_typed_is_not_certain(switch: str, key: str) -> None:
    alone = appraise(with_data(ONE, f"{key}=", switch)).scenario[key]
    typed = default_range(key, "measured", {})
    assert (alone.low, alone.high) == pytest.approx(typed.ends(alone.number)), "as a number typed as measured"
    assert alone.low < alone.high
    assert alone.range_by == typed.label


@pytest.mark.parametrize(
    ("hours", "caution", "words"),
    [((9.5, 9.0), "measured-twice", ": two measurements make a very wide range"),
     ((5.0, 5.1, 4.9, 5.0, 5.05, 4.95, 9.5), "measured-outlier", ": filled line 7 stands out")],
)  # fmt: skip
def test_what_to_mind_of_a_sample_names_its_row(hours: tuple[float, ...], caution: str, words: str) -> None:
    results = base_case(with_data({"log": log(*({"hours": one} for one in hours))}, "log.use_hours=yes"))
    (said,) = (one.text for one in results.cautions() if one.id == caution)
    assert said.startswith(results.scenario["labour.hours_per_batch"].row.label + words)


def test_what_stands_out_of_a_log_is_found_by_its_line() -> None:
    hours = (5.0, 5.1, 4.9, 5.0, 5.05, 4.95, 9.5)
    results = appraise(with_data({"log": log(*({"hours": one} for one in hours))}, "log.use_hours=yes"))
    (place,) = (one.where for one in results.cautions if one.id == "measured-outlier")
    assert place.startswith("log line 7,"), "the address of a cell of that line"


def test_water_in_the_char_is_not_char() -> None:
    dry = with_data({"log": log({"bones_in": 1000, "char_out": 300})}, "log.use_yield=yes")
    wet = with_data({"log": log({"bones_in": 1000, "char_out": 400, "char_moisture": 25})}, "log.use_yield=yes")
    assert npv(wet) == pytest.approx(npv(dry), rel=1e-12)


@pytest.mark.parametrize(
    ("sets", "tables", "said"),
    [
        (ON[0], {}, "nothing is measured"),
        (ON[0], {"log": log({"bones_in": 1000, "hours": 4})}, "nothing is measured"),
        ("assay.use_h_corg=yes", {"assay": assay({"basis": "dry", "h": 0.5})}, "nothing is measured"),
        (ON[1], {"log": log({"fuel_1": 20, "fuel_2": 4})}, "the log has a fuel 2"),
    ],
)
def test_a_switch_needs_its_data(sets: str, tables: dict[str, Any], said: str) -> None:
    if "fuel_2" in str(tables):
        tables["log"].units["log.fuel_2"] = "gal"
    with pytest.raises(InputFaults, match=said):
        with_data(tables, sets)


def test_a_fuel_in_another_measure_is_a_fault() -> None:
    table = log({"fuel_1": 20})
    table.units["log.fuel_1"] = "kWh"  # type: ignore[index]
    with pytest.raises(InputFaults, match="propane in kilowatt-hour"):
        with_data({"log": table}, "log.use_fuel=yes")
    assert npv(with_data({"log": table})) == npv(plant()), "off, it is only a log"


def test_firings_of_another_kind_are_said() -> None:
    small = {"bones_in": 400, "char_out": 120, "peak": 700}
    found = cautions(with_data({"log": log(small, small, small)}, "log.use_yield=yes"))
    assert {"log-other-load", "log-other-peak"} <= found.keys()
    assert not {"log-other-load", "log-other-peak"} & cautions(with_data(None, *ON)).keys()


@pytest.mark.parametrize(
    ("sets", "is_said"),
    [
        # the lab found 9.19 % organic carbon in three samples of the shipped plant
        (("carbon.organic_share=17 (15-19) %",), True),
        (("carbon.organic_share=17 (9-19) %",), False),
        (("carbon.organic_share=17 (15-19) %", "assay.use_organic_carbon=yes"), False),
        ((), False),
    ],
)
def test_a_measured_value_outside_the_range_that_is_counted_is_named(sets: tuple[str, ...], is_said: bool) -> None:
    said = cautions(with_data(example("thistle-flat").tables, *sets))
    assert ("measured-beyond" in said) == is_said
    if is_said:
        assert "9.19 % measured (n = 3), outside the range about 17 %" in said["measured-beyond"]
