"""The carbon blocks stay apart, figures are withheld with a reason, ranges go through the same model."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

import numpy as np
import pytest
from conftest import plant
from hypothesis import given, settings
from hypothesis import strategies as st
from remembered import appraise as appraised

from econ.answer.base_case import base_case
from econ.answer.finding import say
from econ.answer.report import contract, in_json
from econ.answer.results import Results
from econ.inputs.records import Scenario
from econ.model.carbon import out_share
from econ.model.evaluate import evaluate
from econ.model.persistence import hydrogen_ratio
from econ.model.plan import Plan
from econ.questions.draws import cause, draws, inputs_drawn
from econ.questions.latin import LEAST, Sampling
from econ.workbook.desk import lay_out
from econ.workbook.what_if import print_model, what_if

FEW = Sampling(LEAST)
OTHER_WAYS = (
    "avoided",
    "displaced",
    "credits",
    "compost",
    "landfill",
    "pit_",
    "rendering",
    "own_way",
    "handling_",
)
HEADLINE = (
    "durable_c_kg",
    "removal_kg_co2e",
    "potential_removal_kg_co2e",
    "process_kg_co2e",
    "project_net_kg_co2e",
    "removal_by_class_kg_co2e",
    "removal_by_hc_kg_co2e",
    "removal_by_hc_corrected_kg_co2e",
)
TODAY = ("rendering", "landfill", "composting", "burial", "other")


def appraise(scenario: Scenario, sampling: Sampling = FEW) -> Results:
    """With few samples, where no test asks how they spread."""
    return appraised(scenario, sampling)


@cache
def as_shipped() -> Mapping[str, float]:
    return base_case(plant()).figures


def account(**sets: str) -> dict:
    return in_json("carbon", appraise(plant(**sets)))


def leads_to(**sets: str) -> dict[str, set[str]]:
    """Every name that a figure of the live workbook rests on, by figure."""
    case = what_if(appraise(plant(**sets)))
    lines = print_model(case, lay_out(case.results)[0]).lines
    direct = {name: set(re.findall(r"[a-z][a-z0-9_]+", found.formula or "")) for name, found in lines.items()}

    def all_of(name: str, seen: set[str]) -> set[str]:
        for other in direct.get(name, set()) - seen:
            seen.add(other)
            all_of(other, seen)
        return seen

    return {name: all_of(name, set()) for name in direct}


@pytest.mark.parametrize("today", TODAY)
def test_no_path_counts_carbonate_or_sums_avoided_with_removal(today):
    sets = {"current__option": today, "handling__own_factor": "90 kg per tonne", "carbon__organic_share": ""}
    rests_on = leads_to(**sets)
    for name in HEADLINE:
        assert not [other for other in rests_on[name] if other.startswith(OTHER_WAYS)], name
    both = [n for n, found in rests_on.items() if "removal_kg_co2e" in found and "avoided_kg_co2e" in found]
    assert set(both) == {
        "difference_kg_co2e", "difference_with_credits_kg_co2e", "difference_study_kg_co2e",
    }  # fmt: skip
    on_carbonate = [name for name, found in rests_on.items() if "carbonate_c_kg" in found]
    assert on_carbonate == ["carbonate_c_lost_kg"]  # the balance of matter, which no carbon figure reads
    assert not [name for name, found in rests_on.items() if "carbonate_c_lost_kg" in found]


@settings(max_examples=30)
@given(
    st.floats(0, 1), st.floats(0, 1), st.floats(0, 400), st.floats(0, 5), st.floats(0, 1), st.sampled_from(TODAY)
)
def test_headline_does_not_move_with_today(capture, doc, rendering, credit, need, today):
    base = as_shipped()
    moved = base_case(
        plant(
            current__option=today, handling__lf_capture=f"{capture!r} fraction",
            handling__lf_doc=f"{doc!r} fraction",
            handling__rendering=f"{rendering!r} kg per tonne", handling__meal_credit=f"{credit!r} kg per kg",
            carbon__needs_p_share=f"{need!r} fraction", handling__own_factor="70 kg per tonne",
        )
    ).figures  # fmt: skip
    assert [moved[name] for name in HEADLINE] == [base[name] for name in HEADLINE]
    assert moved["difference_kg_co2e"] == pytest.approx(
        moved["removal_kg_co2e"] - moved["process_kg_co2e"] + moved["avoided_kg_co2e"], rel=1e-12
    )
    assert moved["difference_with_credits_kg_co2e"] == pytest.approx(
        moved["difference_kg_co2e"] + moved["displaced_kg_co2e"] - moved["credits_lost_kg_co2e"], abs=1e-6
    )


@settings(max_examples=25)
@given(st.floats(0.0, 0.3), st.floats(0, 0.3), st.floats(0, 0.3), st.floats(0, 0.1))
def test_where_the_char_goes_adds_up_and_only_scope_counts(scope, beds, blends, other):
    shares = {"in_scope": scope, "beds": beds, "blends": blends, "other": other}
    sets = {f"carbon__{name}_share": f"{share!r} fraction" for name, share in shares.items()}
    found = base_case(plant(**sets)).figures
    parts = ("in_scope", "undocumented", *(f"to_{name}" for name in ("beds", "blends", "other")))
    total = sum(found[f"char_{part}_kg"] for part in parts)
    assert total == pytest.approx(found["char_used_kg"], rel=1e-9)
    expected = found["potential_removal_kg_co2e"] * found["char_used_share"] * scope
    assert found["removal_kg_co2e"] == pytest.approx(expected, rel=1e-9, abs=1e-9)


def test_a_blank_scope_is_what_the_other_uses_leave():
    found = base_case(plant(carbon__in_scope_share="", carbon__beds_share="30 %")).figures
    assert found["in_scope_share"] == pytest.approx(0.7, rel=1e-12)


def test_unsold_char_counts_nothing():
    sold = {"product__1__share": "100 %", "product__1__market_limit": "10 kg per year",
            "product__2__share": "0 %", "product__3__share": "0 %",
            "product__3__market_limit": "0 kg per year"}  # fmt: skip
    sold |= {"product__2__market_limit": "0 kg per year", "own_use__from_planting": "no"}
    found = base_case(plant(**sold)).figures
    assert found["removal_kg_co2e"] == pytest.approx(
        found["potential_removal_kg_co2e"] * 0.7 * found["char_sold_kg"] / found["char_kg"], rel=1e-9
    )
    assert found["char_sold_kg"] < 0.1 * found["char_kg"]


@pytest.mark.parametrize(
    ("sets", "method", "says"),
    [
        # the limits that IPCC 2019 appendix 4 and the char standards set; soil rows 5 to 25 °C
        ({"kiln__peak_temperature": "350 degC"}, "temperature-class", "350 °C"),
        ({"kiln__peak_temperature": "320 degC"}, "temperature-class", "350 °C"),
        ({"carbon__h_corg": "0.71 mol/mol", "carbon__use_corrected": "no"}, "hydrogen-ratio", "above 0.7"),
        ({"carbon__h_corg": ""}, "hydrogen-ratio", "is blank"),
        ({"carbon__soil_temperature": "4.9 degC"}, "hydrogen-ratio", "soil temperature"),
        ({"carbon__soil_temperature": "25.1 degC"}, "hydrogen-ratio", "soil temperature"),
        ({"carbon__soil_temperature": "25.1 degC"}, "temperature-class", "soil temperature"),
        ({"carbon__soil_kind": "peat"}, "temperature-class", "mineral soil"),
        ({"carbon__soil_kind": "peat"}, "hydrogen-ratio", "mineral soil"),
        ({"carbon__soil_kind": "no soil"}, "temperature-class", "mineral soil"),
    ],
)
def test_withheld_with_the_reason(sets, method, says):
    results = appraise(plant(carbon__persistence_method=method, **sets))
    told, carbon = contract(results.scenario, results.figures), in_json("carbon", results)
    assert told["removal_t_co2e_per_year"] is None
    assert told["project_net_t_co2e_per_year"] is None
    assert says in results.reasons["removal_t_co2e_per_year"]
    assert says in carbon["methods"][method]["reason"]
    assert carbon["blocks"]["process"]["t_co2e_per_year"]["middle"] > 0


@pytest.mark.parametrize(
    "sets",
    [
        {"kiln__peak_temperature": "350.1 degC"},
        {"carbon__persistence_method": "hydrogen-ratio", "carbon__h_corg": "0.7 mol/mol"},
        {"carbon__persistence_method": "hydrogen-ratio", "carbon__soil_temperature": "5 degC"},
        {"carbon__persistence_method": "hydrogen-ratio", "carbon__soil_temperature": "25 degC"},
    ],
)
def test_given_right_at_the_limits(sets):
    assert base_case(plant(**sets)).figures["removal_kg_co2e"] > 0


def test_withheld_inside_an_array_is_nan_and_the_rest_stands():
    scenario = plant()
    numbers, plan = scenario.numbers(), Plan.of(scenario)
    peaks = np.array([340.0, 482.0, 650.0])
    many = evaluate({**numbers, "kiln.peak_temperature": peaks}, plan).lines["removal_kg_co2e"]
    alone = [
        evaluate({**numbers, "kiln.peak_temperature": np.array(peak)}, plan).lines["removal_kg_co2e"]
        for peak in peaks
    ]
    assert np.isnan(many[0])
    assert list(many[1:]) == [float(value) for value in alone[1:]]


def test_hydrogen_of_the_mineral():
    """0.2007 % H at 85 % apatite over 10 % organic carbon shows as 0.20 mol/mol (IUPAC weights)."""
    assert hydrogen_ratio(0.85, 0.10) == pytest.approx(0.85 * 0.002007 / 1.008 / (0.10 / 12.011), rel=1e-3)
    assert hydrogen_ratio(0.85, 0.10) == pytest.approx(0.20, abs=0.005)


def test_the_labs_ratio_feeds_the_method_only_when_asked_for():
    lab = {"carbon__persistence_method": "hydrogen-ratio", "carbon__h_corg": "0.8 mol/mol"}
    off, on = account(**lab, carbon__use_corrected="no"), account(**lab)
    by_lab = account(**lab, carbon__use_corrected="yes", carbon__lab_corrected="yes")
    assert off["blocks"]["removal"]["t_co2e_per_year"]["middle"] is None
    shown = off["methods"]["hydrogen-ratio"]["removal_mineral_corrected_t_co2e_per_year"]["middle"]
    assert on["blocks"]["removal"]["t_co2e_per_year"]["middle"] == shown > 0
    assert by_lab["blocks"]["removal"]["t_co2e_per_year"]["middle"] is None
    warned = {caution.id for caution in base_case(plant(**lab, carbon__use_corrected="no")).cautions()}
    assert "mineral-hydrogen" in warned


@pytest.mark.parametrize(("decay", "years"), [(0.06, 10), (0.12, 10), (0.185, 10), (0.12, 1), (0.4, 30)])
def test_landfill_decay_against_numerical_integration(decay, years):
    """Stock S of steady deposits: S' = 1 - k S; what is out is what is no longer there."""
    from scipy import integrate

    solved = integrate.solve_ivp(lambda _, stock: 1 - decay * stock, (0, years), [0.0], rtol=1e-10, atol=1e-12)
    assert out_share(decay, years) == pytest.approx(1 - solved.y[0, -1] / years, rel=1e-7)


@pytest.mark.parametrize(("decay", "share"), [(0.06, 0.25), (0.12, 0.42), (0.185, 0.54)])
def test_ten_years_of_landfill_let_out_less_than_half(decay, share):
    """House arithmetic: 42 % (25 to 54 %) of the methane is out after a study of 10 years."""
    assert out_share(decay, 10) == pytest.approx(share, abs=0.005)


def test_calendar_ends_at_the_study_figure():
    found = appraise(plant(current__option="landfill"))
    last = in_json("carbon", found)["landfill_calendar"][-1]
    assert last["year"] == found.plan.years
    assert last["out_t_co2e"] == pytest.approx(found.figures["landfill_study_kg_co2e"] / 1000, rel=1e-12)
    assert last["out_t_co2e"] < last["deposited_t_co2e"]


@pytest.mark.parametrize(
    ("basis", "kg", "ch4"),
    # IPCC 2006 volume 5 table 4.1, methane and its ends [g/kg]; dry matter 65 %, degradable 35 %
    [("wet", 1000, (0.03, 8)), ("dry", 650, (0.08, 20)), ("degradable", 350, (0.08, 20))],
)
def test_composting_range_is_that_of_the_inventory_table(basis, kg, ch4):
    """N2O by nitrogen: 36 kg a tonne × 5.8 to 80 g/kg, the dry table at 2 % N."""
    shares = {f"bones__1__{name}_share": f"{share} %" for name, share in
              {"water": 35, "fat": 15, "protein": 20, "ash": 30}.items()}  # fmt: skip
    scenario = plant(current__option="composting", handling__compost_basis=basis, **shares)
    plan = Plan.of(scenario)
    for end, ch4_g, n2o_g in (("low", ch4[0], 5.8), ("high", ch4[1], 80)):
        row = {key: getattr(scenario[key], end) for key in ("handling.compost_ch4", "handling.compost_n2o")}
        found = evaluate({**scenario.numbers(), **row}, plan).lines
        expected = (kg * ch4_g * 27 + 36 * n2o_g * 273) / 1000
        assert 1000 * found["compost_kg_co2e"] / found["bones_fired_kg"] == pytest.approx(expected, rel=1e-9)


def test_samples_of_blank_rows_keep_their_order_where_a_cause_is_shared():
    """Rows that a factor stands in for are drawn too: one in ten below its low, one in ten above its high."""
    scenario = plant(current__option="composting")
    ((_, _, drawn),) = draws(scenario, Sampling(1000), inputs_drawn(scenario))
    stand_in = [entry for key, entry in scenario.entries.items() if key.startswith("handling.") and entry.factor]
    assert len(stand_in) > 10
    for entry in stand_in:
        if entry.low < entry.value < entry.high:
            assert np.mean(drawn[entry.row.key] < entry.low) <= 0.101
            assert np.mean(drawn[entry.row.key] > entry.high) <= 0.101
    order = np.argsort(drawn["handling.compost_ch4"])
    above = drawn["handling.compost_ch4"][order] > 0  # ties where the bound of the row cuts off
    assert np.all(np.diff(drawn["handling.compost_n2o"][order][above]) >= 0)
    assert not np.all(np.diff(drawn["carbon.stack_ch4"][order]) >= 0)


@pytest.mark.parametrize(
    ("one", "other", "together"),
    [
        ("bones.1.mass", "bones.3.mass", True),
        ("bones.1.mass", "bones.1.excluded_share", False),
        ("fuel.1.per_batch", "fuel.2.per_batch", True),
        ("handling.lf_doc", "handling.lf_decay", True),
        ("handling.lf_doc", "handling.lf_capture", False),
        ("haul.distance", "handling.haul_distance", True),
    ],
)
def test_rows_of_one_cause_move_together(one, other, together):
    assert (cause(one) == cause(other)) is together


@pytest.mark.parametrize("name", ["thistle-flat", "low-sedge"])
def test_carbon_and_chances_agree_on_every_quantile(name):
    """One sampler: low, median and high of the carbon account are percentiles of the kept samples, by numpy."""
    results = appraise(plant(name), Sampling())
    told = results.to_json()["details"]
    for block, line in (("removal", "removal_kg_co2e"), ("process", "process_kg_co2e")):
        span = told["carbon"]["blocks"][block]["t_co2e_per_year"]
        kept = results.chances.kept[line] / 1000
        assert [span[end] for end in ("low", "middle", "high")] == pytest.approx(np.percentile(kept, (5, 50, 95)))
        assert span["typed"] == results.figures[line] / 1000
    net, chances = (
        told["carbon"]["project_net"]["t_co2e_per_year"],
        told["chances"]["figures"]["project_net_kg_co2e"],
    )
    assert [net[end] * 1000 for end in ("low", "middle", "high")] == pytest.approx(
        [chances[end] for end in ("p5", "p50", "p95")]
    )


def test_a_kiln_that_burns_badly_is_a_net_source():
    badly = plant("low-sedge", carbon__stack_ch4="25 g per kg", carbon__stack_n2o_share="2 %")
    results = appraise(badly, Sampling())
    assert results.figures["project_net_kg_co2e"] < 0
    assert "net-source" in {caution.id for caution in results.cautions}
    assert "a net source" in in_json("carbon", results)["paragraph"]
    assert say(results, "carbon-finding").startswith("In carbon the kiln is a net source: the median is ")
    clean = {"fuel__1__per_batch": "0 kg", "carbon__stack_n2o_share": "0 (0-0) %",
             "carbon__stack_ch4": "0.2 (0.1-0.4) g per kg"}  # fmt: skip
    assert not say(appraise(plant("low-sedge", **clean), Sampling()), "carbon-finding")


def test_a_stack_test_replaces_the_figure_per_kg():
    found = base_case(plant(carbon__test_ch4="0.5 kg", carbon__test_n2o="20 g")).figures
    assert found["stack_ch4_kg"] == pytest.approx(0.5 * found["firings_per_year"], rel=1e-12)
    assert found["stack_n2o_kg"] == pytest.approx(0.02 * found["firings_per_year"], rel=1e-12)


def test_hauling_upstream_grinding_and_bags():
    """Diesel 2.705 kg CO2e/L (10.240 a gallon, EPA hub 2024); truck 0.1274 kg/t km; grid of the row."""
    base = base_case(plant()).figures
    found = base_case(
        plant(
            haul__trips="100 each", haul__distance="20 km", haul__fuel_use="0.1 L per km",
            haul__mass="10 tonne per year",
            haul__mass_distance="200 km", carbon__upstream_share="20 %", carbon__grind_energy="5 kWh per tonne",
            carbon__grid_factor="0.4 kg per kWh", carbon__bag_factor="10 kg per tonne",
        )
    ).figures  # fmt: skip
    assert found["haul_trips_kg_co2e"] == pytest.approx(100 * 20 * 0.1 * 10.241 / 3.785411784, rel=1e-3)
    assert found["haul_freight_kg_co2e"] == pytest.approx(10 * 200 * 0.1274, rel=1e-9)
    assert found["grind_kg_co2e"] == pytest.approx(found["char_kg"] / 1000 * 5 * 0.4, rel=1e-9)
    assert found["bags_kg_co2e"] == pytest.approx((found["char_kg"] - found["own_use_kg"]) * 0.01, rel=1e-9)
    assert found["upstream_kg_co2e"] == pytest.approx(
        0.2 * (found["fuel_kg_co2e"] + found["haul_kg_co2e"]), rel=1e-9
    )
    assert found["process_kg_co2e"] == pytest.approx(
        base["process_kg_co2e"] - base["other_process_kg_co2e"] + found["other_process_kg_co2e"], rel=1e-9
    )


def test_both_rendering_lines_always_stand():
    found = account(current__option="rendering")["difference_to_current_practice"]
    without, with_credits = (
        found[name]["t_co2e_per_year"]["middle"] for name in ("without_credits", "with_credits")
    )
    assert with_credits < without
    assert all("formula" in found[name] for name in found)


@pytest.mark.parametrize("today", ["burial", "other"])
def test_an_unknown_way_is_withheld_until_its_factor_is_given(today):
    found = appraise(plant(current__option=today))
    assert in_json("carbon", found)["blocks"]["avoided"]["t_co2e_per_year"]["middle"] is None
    assert "own emission factor" in found.reasons["carbon.blocks.avoided"]
    own = base_case(plant(current__option=today, handling__own_factor="100 kg per tonne"))
    assert own.figures["avoided_kg_co2e"] == pytest.approx(0.1 * own.figures["bones_fired_kg"], rel=1e-12)


def test_fertiliser_is_displaced_by_available_phosphate_where_the_soil_needs_it_only():
    """TSP 0.54 kg CO2e/kg P2O5 (from memory); one chain: available P2O5 × soil factor."""
    none = base_case(plant()).figures
    half = base_case(plant(carbon__needs_p_share="50 %", carbon__displaced_factor="0.54 kg per kg")).figures
    assert none["displaced_kg_co2e"] == 0
    expected = half["available_p2o5_kg"] * 0.4 * 0.5 * 0.54
    assert half["displaced_kg_co2e"] == pytest.approx(expected, rel=1e-9)


def test_carbon_price_is_a_what_if_off_every_headline():
    base = base_case(plant("low-sedge", fuel__1__per_batch="0 kg", carbon__stack_n2o_share="0 %"))
    sets = {"fuel__1__per_batch": "0 kg", "carbon__stack_n2o_share": "0 %", "carbon__price": "80 EUR per tonne"}
    bare = appraise(plant("low-sedge", **sets))
    named = appraise(plant("low-sedge", **sets, carbon__protocol="an invented protocol, version 1"))
    for results in (bare, named):
        assert results.figures["npv"] == base.figures["npv"]
        assert "carbon-price-what-if" in {caution.id for caution in results.cautions}
    assert in_json("carbon", bare)["price_what_if"] is None
    assert "protocol" in bare.reasons["carbon.price_what_if"]
    net_t = named.figures["project_net_kg_co2e"] / 1000
    assert in_json("carbon", named)["price_what_if"] == pytest.approx(80 * net_t, rel=1e-9)
    assert net_t > 0


@settings(max_examples=25)
@given(st.floats(0.3, 1.2), st.floats(6, 24), st.floats(-1, 1), st.floats(0.05, 0.12))
def test_live_lines_of_the_corrected_ratio_equal_the_method_at_that_ratio(ratio, soil, place, organic):
    """The corrected figure must be what the lab's figure would give if the lab had corrected it."""
    common = {
        "carbon__soil_temperature": f"{soil!r} degC", "carbon__persistence_position": f"{place!r} position",
        "carbon__organic_share": f"{organic!r} fraction",
    }  # fmt: skip
    found = base_case(plant(carbon__h_corg=f"{ratio!r} mol/mol", **common)).figures
    less = found["hc_less_mineral"]
    direct = base_case(plant(carbon__h_corg=f"{less!r} mol/mol", **common)).figures["removal_by_hc_lab_kg_co2e"]
    assert found["removal_by_hc_corrected_kg_co2e"] == pytest.approx(direct, rel=1e-9, nan_ok=True)
    mineral = found["mineral_share_of_char"]
    assert ratio - less == pytest.approx(min(hydrogen_ratio(mineral, organic), ratio), rel=1e-9)
