"""How bones are entered: heads or weight, what is kept out, weighed yields, fat that drips out."""

from __future__ import annotations

import pytest
from matter_plants import CASES, figures, ids, of_bone, results, scenario
from plants import plant

from econ.answer.base_case import base_case
from econ.errors import InputFaults


def faults(**changes):
    with pytest.raises(InputFaults) as refused:
        results(**changes)
    return str(refused.value)


# -- heads × bone of one animal


def test_heads_times_bone_per_head():
    """12 animals a week × 52 weeks × 110 lb = 31,135 kg; 1 lb = 0.45359237 kg."""
    found = figures(
        bones__1__mass=None, bones__1__heads=(12, "head per week"), bones__1__bone_per_head=(110, "lb per head")
    )
    assert found["bones_received_kg"] == pytest.approx(12 * 52 * 110 * 0.45359237)


def test_a_beef_animal_leaves_50_kg_unless_said_otherwise():
    """Locker plant guidance: 110 lb a head; low end: dissected bone, Kempster 1977; high end from memory."""
    one = scenario(bones__1__mass=None, bones__1__heads=(12, "head per month"))
    entry = one["bones.1.bone_per_head"]
    assert (entry.low, entry.number, entry.high) == (30, 50, 65)
    assert entry.has_range


def test_other_animals_must_say_their_bones():
    said = faults(bones__1__mass=None, bones__1__heads=(12, "head per week"), bones__1__kind="sheep")
    assert "Bones of one animal (stream 1): 624 animals a year, and no weight" in said
    assert "Enter that weight" in said


def test_weight_wins_over_heads_and_a_gap_is_said():
    both = {"bones__1__heads": (100, "head per year"), "bones__1__bone_per_head": (50, "kg per head")}
    assert figures(**both)["bones_received_kg"] == 1000
    assert "heads-against-weight" in ids(**both)
    assert "heads-against-weight" not in ids(**{**both, "bones__1__heads": (20, "head per year")})


def test_neither_weight_nor_heads_is_a_fault():
    assert "Bones you have (stream 1): blank. Enter a number." in faults(bones__1__mass=None)


def test_a_second_stream_by_heads():
    found = figures(
        bones__2__heads=(200, "head per year"),
        bones__2__bone_per_head=(5, "kg per head"),
        bones__2__kind="sheep",
        bones__2__excluded_share=(10, "%"),
    )
    assert found["bones_received_kg"] == pytest.approx(2000)
    assert found["bones_excluded_kg"] == pytest.approx(100)


# -- what may not be fired


def test_risk_material_by_age_of_the_cattle():
    """40 % older cattle × 30 % of their bones = 12 %; of the other 88 %, 5 % condemned: 16.4 % stay out."""
    found = figures(
        bones__1__excluded_share=None,
        bones__1__older_share=(40, "%"),
        excluded__risk_part=(30, "%"),
        bones__1__condemned_share=(5, "%"),
        excluded__fee=(0.5, "EUR per kg"),
    )
    assert found["bones_excluded_kg"] == pytest.approx(1000 * (0.12 + 0.88 * 0.05))
    assert found["excluded_cost_today"] == pytest.approx(164 * 0.5)
    assert found["bones_fired_kg"] == pytest.approx(836)


def test_share_typed_wins_over_the_age_but_too_little_is_said():
    changes = {"bones__1__older_share": (40, "%")}
    assert figures(**changes, bones__1__excluded_share=(20, "%"))["bones_excluded_kg"] == pytest.approx(200)
    assert "srm-too-little" not in ids(**changes, bones__1__excluded_share=(20, "%"))
    assert "srm-too-little" in ids(**changes, bones__1__excluded_share=(5, "%"))


US, EU = "9 CFR 310.22", "999/2001"


@pytest.mark.parametrize(
    ("kind", "rule"),
    [
        ("beef, mixed bones", US),
        ("femur", US),
        ("green bone", US),
        ("meaty trim", US),
        ("sheep", EU),
        ("chicken", ""),
    ],
)
def test_bones_with_nothing_kept_out_are_warned_of(kind: str, rule: str) -> None:
    """US rule 9 CFR 310.22: skull and most of the backbone of cattle of 30 months and over. In the EU skull and
    spinal cord of sheep and goats over 12 months as well: Regulation (EC) 999/2001, Annex V (from memory)."""
    said = [
        one.text for one in base_case(scenario(bones__1__kind=kind)).cautions() if one.id == "srm-none-excluded"
    ]
    assert [rule in text for text in said] == [True] * bool(rule)


@pytest.mark.parametrize(("kind", "is_said"), [("beef, mixed bones", True), ("sheep", False)])
def test_in_dollars_cattle_alone_are_warned_of(kind: str, is_said: bool) -> None:
    changes: dict[str, tuple[object, str | None]] = {
        "bones.1.kind": (kind, None),
        "bones.1.excluded_share": (0, "%"),
    }
    assert ("srm-none-excluded" in {one.id for one in base_case(plant(changes)).cautions()}) == is_said


def test_age_of_zero_needs_no_warning():
    found = ids(bones__1__excluded_share=None, bones__1__older_share=(0, "%"))
    assert not {"srm-none-excluded", "srm-too-little"} & set(found)


# -- a weighed yield


def test_scale_is_believed_and_composition_refitted():
    found = figures(kiln__char_yield=(30, "%"))
    assert found["char_kg"] == pytest.approx(300, rel=1e-12)
    whole = sum(found[f"{part}_kg"] for part in ("water", "fat", "protein", "mineral"))
    assert whole == pytest.approx(1000, rel=1e-12)
    assert found["mineral_kg"] < 300
    assert found["p_kg"] == pytest.approx(found["mineral_kg"] * 0.175)
    assert "yield-differs" in ids(kiln__char_yield=(30, "%"))


def test_yield_as_modelled_needs_no_word():
    modelled = figures()["char_kg"] / 1000
    assert "yield-differs" not in ids(kiln__char_yield=(modelled, "fraction"))


def test_yield_below_the_mineral_is_said_not_refused():
    """Meaty trim has half the mineral of the default bone: 20.5 % of char is possible (house arithmetic)."""
    one = results(kiln__char_yield=(20.5, "%"))
    said = next(caution.text for caution in one.cautions if caution.id == "yield-differs")
    assert "less than the mineral" in said


def test_own_assay_set_aside_by_the_scale_is_said():
    one = results(**of_bone(*CASES["A"]), kiln__char_yield=(30, "%"))
    assert any("Your assay is thereby set aside" in caution.text for caution in one.cautions)


def test_assay_of_the_same_load_makes_a_low_yield_a_fault():
    lot = {**of_bone(*CASES["A"]), "bones__assay_of_weighed_load": "yes"}
    # case A holds 29.5 % mineral at 500 °C
    assert "29.5%" in faults(**lot, kiln__char_yield=(29, "%"))
    assert figures(**lot, kiln__char_yield=(30, "%"))["char_kg"] == pytest.approx(300)


def test_assay_of_the_same_load_refits_the_residue_and_keeps_the_phosphorus():
    lot = {**of_bone(*CASES["A"]), "bones__assay_of_weighed_load": "yes"}
    found = figures(**lot, kiln__char_yield=(34, "%"))
    assert found["p_kg"] == pytest.approx(52.5)
    assert found["residue_kg"] == pytest.approx(340 - 295.5)
    assert found["mass_residual_kg"] == pytest.approx(0, abs=1e-9)


def test_same_load_without_an_assay_changes_nothing():
    found = figures(bones__assay_of_weighed_load="yes", kiln__char_yield=(30, "%"))
    assert found == pytest.approx(figures(kiln__char_yield=(30, "%")), nan_ok=True)


@pytest.mark.parametrize("same_load", ["yes", "no"])
def test_more_char_than_dry_matter_is_a_fault(same_load):
    """Case A holds 65 % dry matter; with the assay of the load only its mineral and protein (49.5 %) can stay."""
    lot = {**of_bone(*CASES["A"]), "bones__assay_of_weighed_load": same_load}
    assert "dry matter" in faults(**lot, kiln__char_yield=(66, "%"))
    most = 49 if same_load == "yes" else 64
    assert figures(**lot, kiln__char_yield=(most, "%"))["char_kg"] == pytest.approx(10 * most)


# -- fat that drips out


def test_dripped_fat_is_lost_to_the_gas_and_sold():
    """Fat of case A is 150 kg; 40 % of it dripped out is 60 kg, at 0.25 a kilogram 15 a year."""
    plain = figures()
    found = figures(kiln__fat_drip_share=(40, "%"), fat__price=(0.25, "EUR per kg"))
    assert found["fat_drip_kg"] == pytest.approx(60)
    assert plain["volatiles_kg"] - found["volatiles_kg"] == pytest.approx(60)
    assert found["side_income_today"] == pytest.approx(15)
    assert found["mass_residual_kg"] == pytest.approx(0, abs=1e-9)
    # 15 a year for 5 years at 5 %: annuity 4.32948
    assert found["npv"] - plain["npv"] == pytest.approx(15 * 4.329477, rel=1e-6)


def test_fat_with_a_bill_costs():
    found = figures(kiln__fat_drip_share=(40, "%"), fat__price=(-0.25, "EUR per kg"))
    assert found["npv"] < figures()["npv"]
    assert found["net_cost_per_kg_bones"] > figures()["net_cost_per_kg_bones"]


def test_drip_is_held_to_60_percent():
    assert "60" in faults(kiln__fat_drip_share=(61, "%"))
