"""What must hold for any bones at any temperature."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matter_plants import scenario

from econ.model.evaluate import evaluate
from econ.model.plan import Plan

BASE = scenario()
WEIGHED = scenario(kiln__char_yield=(30, "%"))
LIMED = scenario(fertiliser__soil_ph=(6.0, None))
ASKED = {id(one): (one.numbers(), Plan.of(one)) for one in (BASE, WEIGHED, LIMED)}
SIZES = st.floats(0.01, 1.0)
PEAKS = st.floats(150.0, 1200.0)
DRIPS = st.floats(0.0, 0.6)
OUT = ("char_kg", "vapour_kg", "fat_gas_kg", "fat_drip_kg", "protein_gas_kg", "mineral_gas_kg")


def shares(parts):
    whole = sum(parts)
    names = ("water", "fat", "protein", "ash")
    return {f"bones.1.{name}_share": part / whole for name, part in zip(names, parts, strict=True)}


def lines(of=BASE, **more):
    numbers, plan = ASKED[id(of)]
    return evaluate({**numbers, **more}, plan).lines


@given(st.tuples(SIZES, SIZES, SIZES, SIZES), PEAKS, DRIPS)
def test_mass_closes_and_nothing_is_negative(parts, peak_c, drip):
    found = lines(**shares(parts), **{"kiln.peak_temperature": peak_c, "kiln.fat_drip_share": drip})
    assert abs(found["mass_residual_kg"]) < 1e-9 * found["bones_fired_kg"]
    for name in (*OUT, "organic_c_gas_kg", "carbonate_c_lost_kg", "n_lost_kg"):
        assert found[name] >= -1e-9, name


@given(st.tuples(SIZES, SIZES, SIZES, SIZES), PEAKS)
def test_phosphorus_and_calcium_stay(parts, peak_c):
    made_of = shares(parts)
    found = lines(**made_of, **{"kiln.peak_temperature": peak_c})
    ash_kg = made_of["bones.1.ash_share"] * 1000
    assert found["p_kg"] == pytest.approx(ash_kg * 0.175, rel=1e-9)
    assert found["ca_kg"] == pytest.approx(ash_kg * 0.37, rel=1e-9)


@given(st.tuples(SIZES, SIZES, SIZES, SIZES), PEAKS)
def test_elements_of_the_char_weigh_less_than_the_char(parts, peak_c):
    found = lines(**shares(parts), **{"kiln.peak_temperature": peak_c})
    inside = sum(found[name] for name in ("p_kg", "ca_kg", "organic_c_kg", "carbonate_c_kg", "n_char_kg"))
    assert inside < found["char_kg"]


@given(st.tuples(SIZES, SIZES, SIZES, SIZES), PEAKS, st.floats(0.01, 0.3))
def test_more_mineral_for_water_gives_more_char(parts, peak_c, moved):
    made_of = shares(parts)
    step = min(moved, made_of["bones.1.water_share"])
    richer = {**made_of, "bones.1.water_share": made_of["bones.1.water_share"] - step}
    richer["bones.1.ash_share"] = made_of["bones.1.ash_share"] + step
    at = {"kiln.peak_temperature": peak_c}
    assert lines(**richer, **at)["char_kg"] > lines(**made_of, **at)["char_kg"]


@given(st.tuples(SIZES, SIZES, SIZES, SIZES))
def test_hotter_never_makes_more_char(parts):
    peaks = np.linspace(250, 1000, 40)
    char = lines(**shares(parts), **{"kiln.peak_temperature": peaks})["char_kg"]
    assert np.all(np.diff(char) <= 1e-9)


@given(st.floats(0.05, 0.6))
def test_a_weighed_yield_is_met_and_closes(weighed):
    found = lines(WEIGHED, **{"kiln.char_yield": weighed})
    assert found["char_kg"] == pytest.approx(1000 * weighed, rel=1e-12)
    assert abs(found["mass_residual_kg"]) < 1e-9
    parts = ("water_kg", "fat_kg", "protein_kg", "mineral_kg")
    assert sum(found[name] for name in parts) == pytest.approx(1000, rel=1e-12)


@given(DRIPS, DRIPS)
def test_more_dripping_never_makes_more_gas(one, other):
    low, high = sorted((one, other))
    at_low, at_high = (lines(**{"kiln.fat_drip_share": drip}) for drip in (low, high))
    assert at_high["volatiles_kg"] <= at_low["volatiles_kg"]
    assert at_high["char_kg"] == at_low["char_kg"]


@given(st.floats(3.0, 10.0), st.floats(3.0, 10.0))
def test_less_acid_soil_never_makes_phosphate_work_better(one, other):
    low, high = sorted((one, other))
    at = [lines(LIMED, **{"fertiliser.soil_ph": ph}) for ph in (low, high)]
    assert at[1]["working_p2o5_kg"] <= at[0]["working_p2o5_kg"]


@given(st.lists(st.tuples(SIZES, SIZES, SIZES, SIZES), min_size=2, max_size=5), PEAKS)
def test_a_case_alone_equals_the_same_case_in_an_array(cases, peak_c):
    made_of = [shares(parts) for parts in cases]
    together = lines(**{key: np.array([one[key] for one in made_of]) for key in made_of[0]},
                     **{"kiln.peak_temperature": peak_c})  # fmt: skip
    for i, one in enumerate(made_of):
        alone = lines(**one, **{"kiln.peak_temperature": peak_c})
        for name in (*OUT, "p2o5_kg", "organic_c_kg", "npv"):
            assert np.broadcast_to(together[name], (len(cases),))[i] == alone[name], name
