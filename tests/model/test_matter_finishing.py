"""Finishing, the weight as sold, nutrients and the one phosphorus chain, and what the reader guards."""

from __future__ import annotations

from functools import cache

import pytest
from matter_plants import figures, ids, results, scenario

from econ.errors import InputFaults
from econ.evidence import substances


def faults(**changes):
    with pytest.raises(InputFaults) as refused:
        results(**changes)
    return [(fault.where, fault.said) for fault in refused.value.faults]


@cache
def char() -> float:
    return float(figures()["char_kg"])


# -- weight as sold


@pytest.mark.parametrize(
    ("changes", "per_kg", "moisture"),
    [
        # hand arithmetic for 1 kg of dry char
        ({}, 1.0, 0.0),
        ({"finish__added_water": (0.25, "kg per kg")}, 1.25, 0.2),
        ({"finish__charge": "compost", "finish__charge_ratio": (1, "kg per kg"),
          "finish__charge_water_share": (40, "%")}, 2.0, 0.2),
        ({"finish__charge": "tea", "finish__charge_ratio": (0.5, "kg per kg"),
          "finish__charge_water_share": (99, "%")}, 1.5, 0.33),
        # dried again: 0.6 kg compost solids + 1 kg char, no water
        ({"finish__charge": "compost", "finish__charge_ratio": (1, "kg per kg"),
          "finish__charge_water_share": (40, "%"), "finish__sold_moisture": (0, "%")}, 1.6, 0.0),
        # sold at 20 % of its own weight
        ({"finish__sold_moisture": (20, "%")}, 1.25, 0.2),
    ],
)  # fmt: skip
def test_weight_as_sold(changes, per_kg, moisture):
    found = figures(**changes)
    assert found["as_sold_per_kg"] == pytest.approx(per_kg)
    assert found["sold_moisture"] == pytest.approx(moisture)
    assert found["product_kg"] == pytest.approx(char() * per_kg)
    # the balances stay on dry char
    assert found["char_kg"] == char()
    assert found["mass_residual_kg"] == pytest.approx(0, abs=1e-9)


def test_what_charging_takes_in_a_year():
    """Half a litre of tea a kilogram of char, a tank of 100 L, 2 hours a tonne at EUR 20: by hand."""
    tea = {"finish__charge": ("tea", None), "finish__charge_ratio": (0.5, "kg per kg"),
           "injector__tank": (100, "L"), "finish__charge_hours": (2, "hour per tonne"),
           "finish__tea_cost": (0.1, "EUR per kg"), "labour__wage": (20, "EUR per hour"),
           "labour__on_cost_share": (0, "%")}  # fmt: skip
    found = figures(**tea)
    assert (found["charge_kg"], found["charge_l"]) == pytest.approx((char() / 2, char() / 2))
    assert found["charge_loads"] == -(-char() / 2 // 100)
    assert found["charge_hours"] == pytest.approx(char() / 1000 * 2)
    assert found["charge_cost_today"] == pytest.approx(char() * 0.1 + char() / 1000 * 40)
    mixed = figures(**{**tea, "finish__charge": ("compost", None)})
    assert mixed["charge_m3"] == pytest.approx(char() / 2 / 593)
    assert "charge_kg" not in figures()


def test_price_limit_and_analysis_are_by_weight_as_sold():
    wet = {"finish__added_water": (0.25, "kg per kg")}
    plain, found = figures(), figures(**wet)
    assert found["sale_income_today"] == pytest.approx(1.25 * plain["sale_income_today"])
    assert found["sold_p2o5_share"] == pytest.approx(plain["sold_p2o5_share"] / 1.25)
    assert found["char_p2o5_share"] == pytest.approx(plain["char_p2o5_share"])
    limited = figures(**wet, product__1__market_limit=(100, "kg per year"))
    assert limited["char_sold_kg"] == pytest.approx(100)
    assert limited["stock_dry_kg"] == pytest.approx(char() - 100 / 1.25)


def test_wet_weight_moves_no_carbon():
    assert figures(finish__added_water=(0.25, "kg per kg"))["removal_kg_co2e"] == pytest.approx(
        figures()["removal_kg_co2e"]
    )


def test_compost_brings_no_analysis_and_a_charge_needs_an_amount():
    mixed = figures(finish__charge="compost", finish__charge_ratio=(1, "kg per kg"))
    assert mixed["p2o5_kg"] == pytest.approx(figures()["p2o5_kg"])
    assert faults(finish__charge="compost")
    assert faults(finish__charge_ratio=(1, "kg per kg"))


def test_water_taken_up_later_is_said():
    assert "water-taken-up" in ids(finish__sold_moisture=(10, "%"))
    wet = {"finish__added_water": (0.25, "kg per kg")}
    assert "water-taken-up" not in ids(**wet, finish__sold_moisture=(10, "%"))


# -- grinding


def test_dust_and_fines_leave_and_their_carbon_is_not_counted():
    plain = figures()
    found = figures(
        finish__dust_share=(3, "%"), finish__fines_share=(12, "%"), finish__fines_price=(0.1, "EUR per kg")
    )
    assert found["dust_kg"] == pytest.approx(0.03 * char())
    assert found["product_kg"] == pytest.approx(0.85 * char())
    assert found["removal_kg_co2e"] == pytest.approx(0.85 * plain["removal_kg_co2e"])
    assert found["side_income_today"] == pytest.approx(0.12 * char() * 0.1)


def test_all_dust_is_a_fault():
    assert faults(finish__dust_share=(60, "%"), finish__fines_share=(40, "%"))


@pytest.mark.parametrize(
    ("size_mm", "name"),
    [
        # ASTM E11, Table 1, excerpt of the 2001 edition
        (9.5, "3/8 in"), (6.3, "1/4 in"), (5.6, "No. 3 1/2"), (4.75, "No. 4"), (4.0, "No. 5"),
        (3.35, "No. 6"), (2.8, "No. 7"),
        # between two sieves the wider one still passes all of it
        (4.5, "No. 4"), (0.2, "No. 60"),
        (12.0, None),
    ],
)  # fmt: skip
def test_sieve_of_a_grain_size(size_mm, name):
    found = substances.sieve_for(size_mm)
    assert (found.name if found else None) == name


def test_grain_size_in_inches_names_its_sieve():
    one = results(finish__particle_size=(0.25, "in"))
    # 0.25 in is 6.35 mm, a shade above the 6.3 mm of the 1/4 in sieve: the next wider one is named
    assert one.to_json()["details"]["matter"]["sieve"] == "3/8 in"
    assert results(finish__particle_size=(2, "mm")).to_json()["details"]["matter"]["sieve"] == "No. 10"


def test_flour_is_warned_of():
    """Old fire code text: dust that passes No. 40 (below 420 micrometres) may burn."""
    assert "dust-may-burn" in ids(finish__particle_size=(0.4, "mm"))
    assert "dust-may-burn" not in ids(finish__particle_size=(2, "mm"))


# -- costs of finishing


def test_costs_each_on_their_own_weight():
    """Grinding by char made, tea by char finished, bags by weight as sold: hand arithmetic."""
    found = figures(
        finish__dust_share=(10, "%"),
        finish__added_water=(0.25, "kg per kg"),
        finish__grind_cost=(0.1, "EUR per kg"),
        finish__tea_cost=(0.2, "EUR per kg"),
        finish__bag_cost=(0.3, "EUR per kg"),
        finish__bag_weight=(2, "kg"),
    )
    assert found["finish_cost_today"] == pytest.approx(char() * (0.1 + 0.9 * 0.2))
    assert found["bag_cost_today"] == pytest.approx(char() * 0.9 * 1.25 * 0.3)
    assert found["bags_per_year"] == pytest.approx(char() * 0.9 * 1.25 / 2)


def test_loose_product_needs_no_bag():
    changes = {
        "finish__bag_cost": (0.3, "EUR per kg"),
        "product__1__share": (40, "%"),
        "product__1__market_limit": (1000, "kg per year"),
        "product__2__price": (1, "EUR per kg"),
        "product__2__packing": "bulk",
    }
    assert figures(**changes)["bag_cost_today"] == pytest.approx(0.4 * char() * 0.3)


# -- phosphorus


def test_one_chain_available_times_soil_times_price():
    """Half of 120.3 kg P2O5 × 0.4 × 1.5 a kilogram, never by the total and never by 37 %."""
    found = figures(fertiliser__p2o5_price=(1.5, "EUR per kg"))
    assert found["available_p2o5_kg"] == pytest.approx(60.15, abs=0.01)
    assert found["fertiliser_value"] == pytest.approx(60.1475 * 0.4 * 1.5, rel=1e-5)
    assert found["fertiliser_value_per_kg"] == pytest.approx(found["fertiliser_value"] / char())


@pytest.mark.parametrize(("ph", "factor"), [(5.0, 0.6), (5.5, 0.6), (5.51, 0.4), (6.1, 0.4), (6.11, 0), (7.5, 0)])
def test_soil_factor_by_ph(ph, factor):
    """House factors up to pH 6.1; above it none, as Warren et al. 2009 found no significant dissolution."""
    found = figures(fertiliser__soil_ph=(ph, None), fertiliser__p2o5_price=(1.5, "EUR per kg"))
    assert found["soil_factor_used"] == factor
    assert found["working_p2o5_kg"] == pytest.approx(found["available_p2o5_kg"] * factor)
    assert ("soil-too-limy" in ids(fertiliser__soil_ph=(ph, None))) == (ph > 6.1)


def test_soil_factor_typed_wins_over_ph():
    both = {"fertiliser__soil_ph": (7.5, None), "fertiliser__soil_factor": (0.3, "fraction")}
    assert figures(**both)["soil_factor_used"] == 0.3
    said = next(c.text for c in results(**both).cautions if c.id == "soil-too-limy")
    assert "30%" in said


@pytest.mark.parametrize(
    ("changes", "fixed_kg", "of_the_char"),
    [
        # an assay of available P2O5 first, then the soluble share of the total, then half of it
        ({"product__available_p2o5_share": (16, "% P2O5"),
          "product__soluble_share": (0.3, "fraction")}, 0, 0.16),
        ({"product__soluble_share": (0.3, "fraction")}, 0.3 * 120.295, 0),
        ({}, 0.5 * 120.295, 0),
        ({"product__total_p2o5_share": (32, "% P2O5")}, 0, 0.5 * 0.32),
        # 16 % of the product as sold, 1.25 kg of it from a kg of dry char
        ({"product__available_p2o5_share": (16, "% P2O5"), "product__analysis_basis": "as-sold",
          "finish__added_water": (0.25, "kg per kg")}, 0, 0.16 * 1.25),
    ],
)  # fmt: skip
def test_available_phosphate_by_what_is_known(changes, fixed_kg, of_the_char):
    expected = fixed_kg + of_the_char * char()
    assert figures(**changes)["available_p2o5_kg"] == pytest.approx(expected, rel=1e-4)


def test_assay_of_the_char_that_does_not_close_is_said():
    """Case A brings 52.5 kg P; char of 25 % P2O5 holds 39.9 kg of it, and none boils off below 1000 °C."""
    changes = {"product__total_p2o5_share": (25, "% P2O5"), "product__ca_share": (24, "%")}
    found = figures(**changes)
    assert found["p_residual_kg"] == pytest.approx(52.5 - 0.25 * char() * 0.43643, abs=0.01)
    assert "phosphorus-does-not-close" in ids(**changes)
    assert "phosphorus-does-not-close" not in ids(product__total_p2o5_share=(33, "% P2O5"))


# -- what the reader guards


def test_37_percent_phosphorus_is_p2o5():
    """Pure hydroxyapatite holds 18.50 % P; 37 % P2O5 is 16.15 % P (atomic weights)."""
    for key in ("product__total_p2o5_share", "product__available_p2o5_share"):
        said = faults(**{key: (37, "% P")})
        assert any("16.1 % P" in text and "% P2O5" in text for _, text in said), said
    assert figures(product__total_p2o5_share=(37, "% P2O5"))["char_p_share"] == pytest.approx(0.1615, abs=1e-4)


def test_label_number_as_elemental_p_is_refused():
    """0-16-0 is P2O5; as P it would count 2.29 times too much. A lab sheet may state P."""
    label = {"product__available_p2o5_share": (16, "% P"), "product__available_read_from": "label"}
    assert "2.29" in faults(**label)[0][1]
    assert figures(**{**label, "product__available_p2o5_share": (16, "% P2O5")})
    assert figures(**{**label, "product__available_read_from": "lab"})


def test_calcium_of_an_oxide_is_refused():
    """Pure hydroxyapatite holds 39.89 % Ca; 46 % CaO is 32.9 % Ca."""
    assert "32.9%" in faults(product__ca_share=(46, "%"))[0][1]


@pytest.mark.parametrize(
    ("p2o5", "ca", "is_said"), [(37, 33, False), (34, 32, False), (37, 26, True), (25, 36, True)]
)
def test_calcium_to_phosphorus_of_bone(p2o5, ca, is_said):
    """Hydroxyapatite 2.157 by weight; 37 % P2O5 with 33 % Ca is 2.04: plausible. Warned outside 1.9 to 2.4."""
    found = ids(product__total_p2o5_share=(p2o5, "% P2O5"), product__ca_share=(ca, "%"))
    assert ("calcium-to-phosphorus" in found) == is_said


def test_mineral_richer_than_any_phosphate_is_refused():
    assert faults(bones__ash_p_share=(40, "%"))[0][0] == "bones.ash_p_share"
    assert faults(bones__ash_ca_share=(52, "%"))[0][0] == "bones.ash_ca_share"


def test_every_matter_fault_at_once():
    said = faults(
        product__total_p2o5_share=(37, "% P"), product__ca_share=(46, "%"), finish__charge="tea",
        finish__dust_share=(60, "%"), finish__fines_share=(45, "%"),
        bones__1__water_share=(60, "%"), bones__1__ash_share=(55, "%"),
    )  # fmt: skip
    assert len(said) == 5


# -- what the answer leans on


def test_count_of_unverified_factors_and_the_one_that_matters_most():
    found = results().to_json()["details"]["evidence"]
    assert 0 < found["unverified"] < found["factors_in_use"]
    assert set(found["matters_most"]) == {"npv", "project_net_kg_co2e", "char_kg", "available_p2o5_kg"}
    # the composition of the default bone is assumed, and the char hangs on it more than on the residue
    assert found["matters_most"]["char_kg"]["key"].startswith("bones.1.")
    assert found["matters_most"]["char_kg"]["how_known"] == "default: assumed"


def test_a_weighed_yield_takes_the_composition_off_the_list():
    found = results(kiln__char_yield=(36, "%")).to_json()["details"]["evidence"]["matters_most"]
    assert "char_kg" not in found


def test_own_or_verified_figures_are_not_doubted():
    one = results(bones__1__kind="femur", kiln__residue_ratio=(1, "fraction"))
    doubts = {mover.id for mover in one.leaning.worst.values()}
    assert not {"bones.1.ash_share", "kiln.residue_ratio"} & doubts
    assert "unverified-factors" in [caution.id for caution in one.cautions]


def test_defaults_say_their_range():
    one = scenario(bones__1__excluded_share=None, bones__1__older_share=(30, "%"))
    for key in ("kiln.residue_ratio", "excluded.risk_part", "product.soluble_share", "kiln.fat_drip_share"):
        assert one[key].has_range, key


def test_factors_of_a_choice_are_counted_only_with_the_choice():
    plain = results().leaning.in_use
    mixed = results(finish__charge="compost", finish__charge_ratio=(1, "kg per kg")).leaning.in_use
    assert mixed == plain + 2
    limed = results(fertiliser__soil_ph=(6, None)).leaning.in_use
    assert limed == plain + 6  # the curve, the four classes, and the range by default of the pH typed
