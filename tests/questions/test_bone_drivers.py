"""Composition moves as a composition: a share moved alone, and the drivers behind the samples."""

from __future__ import annotations

import numpy as np
import pytest
from conftest import plant
from hypothesis import given, settings
from hypothesis import strategies as st

from econ.answer.base_case import base_case
from econ.model.plan import Plan
from econ.questions.draws import draws, inputs_drawn, kept_whole
from econ.questions.effects import effects
from econ.questions.latin import Sampling

SHARES = ("water", "fat", "protein", "ash")


@pytest.mark.parametrize("name", SHARES)
@pytest.mark.parametrize("end", ["low", "high"])
def test_a_share_moved_alone_equals_the_same_plant_typed_so(name: str, end: str) -> None:
    """Bar, and plant with the share set: the others keep their proportion, and a caution says so."""
    scenario = plant()
    key = f"bones.1.{name}_share"
    (bar,) = [one for one in effects(scenario, Plan.of(scenario)) if one.entry.row.key == key]
    value = getattr(bar.entry, end)
    typed = plant(**{key.replace(".", "__"): f"{value!r} fraction"})
    assert getattr(bar, f"at_{end}")["npv"] == pytest.approx(base_case(typed).figures["npv"], rel=1e-12)
    assert any(one.id == "others-in-proportion" for one in typed.warnings)
    others = [part for part in SHARES if part != name]
    ratios = [typed[f"bones.1.{part}_share"].number / scenario[f"bones.1.{part}_share"].number for part in others]
    assert ratios == pytest.approx([ratios[0]] * 3)


@settings(max_examples=20, deadline=None)
@given(st.lists(st.floats(0.02, 0.6), min_size=4, max_size=4), st.integers(0, 3), st.floats(0.01, 0.9))
def test_kept_whole_moves_one_and_scales_three(shares: list[float], which: int, moved: float) -> None:
    whole = sum(shares)
    base = {f"bones.1.{name}_share": share / whole for name, share in zip(SHARES, shares, strict=True)}
    key = f"bones.1.{SHARES[which]}_share"
    plan = Plan.of(plant())
    found = kept_whole({**base, key: np.array([moved, base[key]])}, plan, base)
    assert np.sum([found[one] for one in base], axis=0) == pytest.approx([1, 1])
    assert found[key][0] == moved
    assert [float(found[one][1]) for one in base] == pytest.approx(list(base.values()))


def sampled(samples: int = 4000, **sets: str) -> dict[str, np.ndarray]:
    scenario = plant(**sets)
    ((_, _, values),) = draws(scenario, Sampling(samples), inputs_drawn(scenario))
    return {name: values[f"bones.1.{name}_share"] for name in SHARES}


def test_the_four_shares_make_one_whole_in_every_sample() -> None:
    found = sampled()
    assert np.sum(list(found.values()), axis=0) == pytest.approx(np.ones(4000))
    assert all(np.min(share) >= 0 for share in found.values())
    assert np.corrcoef(found["water"], found["ash"])[0, 1] < -0.3  # a wet lot holds less mineral


def test_water_and_fat_keep_their_typed_ends() -> None:
    found, scenario = sampled(), plant()
    for name in ("water", "fat"):
        entry = scenario[f"bones.1.{name}_share"]
        assert np.percentile(found[name], (10, 90)) == pytest.approx([entry.low, entry.high], abs=0.02)


def test_an_own_assay_narrows_all_four() -> None:
    """Ends of the ash that the user typed come out of the samples again, within a fifth of their width."""
    from dataclasses import replace

    scenario = plant()
    typed = {
        "water": (0.34, 0.35, 0.36),
        "fat": (0.14, 0.15, 0.16),
        "protein": (0.19, 0.2, 0.21),
        "ash": (0.28, 0.3, 0.32),
    }
    entries = dict(scenario.entries)
    for name, (low, value, high) in typed.items():
        key = f"bones.1.{name}_share"
        entries[key] = replace(
            entries[key], value=value, low=low, high=high, known="measured", is_default=False, range_by=""
        )
    own = replace(scenario, entries=entries)
    ((_, _, values),) = draws(own, Sampling(4000), inputs_drawn(own))
    low, high = np.percentile(values["bones.1.ash_share"], (10, 90))
    assert (low, high) == pytest.approx((0.28, 0.32), abs=0.2 * 0.04)
