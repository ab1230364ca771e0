"""Warming potentials and the gases and heat of fuels."""

from __future__ import annotations

import pytest

from econ.evidence import factors, substances
from econ.evidence.substances import FUELS
from econ.units import unit

LB_KG, TON_KG, GAL_L, FT3_L = 0.45359237, 907.18474, 3.785411784, 28.316846592


def v(name):
    return factors.factor(name).value


@pytest.mark.parametrize(
    ("edition", "biogenic", "fossil", "n2o", "rung"),
    [
        ("ar4", 25, 25, 298, "copy"),  # IPCC 2007 as printed in the hub 2022
        ("ar5", 28, 30, 265, "copy"),  # AR5 WGI Table 8.A.1, in public tables of potentials
        ("ar6", 27.0, 29.8, 273, "primary"),  # AR6 WGI Table 7.15, data of the chapter's authors
    ],
)
def test_warming_potentials(edition, biogenic, fossil, n2o, rung):
    found = substances.gwp(edition)
    assert (found.ch4_biogenic.value, found.ch4_fossil.value, found.n2o.value) == (biogenic, fossil, n2o)
    assert found.rung == rung


@pytest.mark.parametrize(
    ("gas", "name"), [("ch4_biogenic", "gwp_ch4b"), ("ch4_fossil", "gwp_ch4f"), ("n2o", "gwp_n2o")]
)
def test_latest_warming_agrees_with_the_list_of_factors(gas, name):
    ours, listed = getattr(substances.gwp("ar6"), gas), factors.factor(name)
    assert (ours.value, ours.low, ours.high) == (listed.value, listed.low, listed.high)


@pytest.mark.parametrize(
    ("kind", "measure", "mmbtu_per_unit", "rows"),
    [
        # hub 2024 Table 1, per mmBtu of higher heating value, and exact definitions of the measures
        ("propane", "L", 0.091 / GAL_L, "propane"),
        ("diesel", "L", 0.138 / GAL_L, "diesel"),
        ("natural_gas", "m3", 0.001026 * 1000 / FT3_L, "gas"),
        # the row of wood is per dry short ton (40 CFR 98 Table C-1): 0.8 of it for 20 % water
        ("cordwood", "kg", 17.48 / TON_KG * 0.8, "wood"),
        ("pellets", "kg", 16.0 / TON_KG, "wood"),
    ],
)
def test_fuel_gases_follow_from_the_hub(kind, measure, mmbtu_per_unit, rows):
    found = substances.fuel(kind)
    assert found.measure == measure
    co2 = found.biogenic_co2_kg_per_unit if rows == "wood" else found.fossil_co2_kg_per_unit
    assert co2 == pytest.approx(v(f"hub_{rows}_co2") * mmbtu_per_unit, rel=5e-5)
    assert found.ch4_g_per_unit == pytest.approx(v(f"hub_{rows}_ch4") * mmbtu_per_unit, rel=5e-5)
    assert found.n2o_g_per_unit == pytest.approx(v(f"hub_{rows}_n2o") * mmbtu_per_unit, rel=5e-5)
    assert found.is_fossil == (rows != "wood")
    assert found.biogenic_co2_kg_per_unit * found.fossil_co2_kg_per_unit == 0


@pytest.mark.parametrize(
    ("kind", "hhv", "lhv"),
    [
        ("propane", "hv_lpg", lambda hhv: hhv * v("lhv_share_propane")),
        ("diesel", "hv_oil", lambda hhv: hhv * v("lhv_share_diesel")),
        ("natural_gas", "hv_ng", lambda hhv: hhv * v("lhv_share_gas")),
        ("pellets", "hv_pellets", lambda hhv: v("hv_wood10")),
    ],
)
def test_fuel_heat_follows_from_the_list_of_factors(kind, hhv, lhv):
    found = substances.fuel(kind)
    assert found.hhv_mj_per_unit == pytest.approx(v(hhv), abs=0.006)
    assert found.lhv_mj_per_unit == pytest.approx(lhv(found.hhv_mj_per_unit), rel=5e-5)


@pytest.mark.parametrize(("kind", "rows"), [("propane", "propane"), ("diesel", "diesel"), ("natural_gas", "gas")])
def test_heat_and_emissions_stand_on_one_basis(kind, rows):
    """CO2 over higher heat is the hub's kg per mmBtu, whatever the measure."""
    found = substances.fuel(kind)
    per_mmbtu = found.fossil_co2_kg_per_unit / found.hhv_mj_per_unit * 1055.05585262
    assert per_mmbtu == pytest.approx(v(f"hub_{rows}_co2"), rel=1e-5)


@pytest.mark.parametrize(
    ("kind", "upstream", "burning", "share"),
    [
        # UK Government conversion factors 2025, well to tank over combustion, one unit each
        ("propane", 0.1817, 1.544, 0.118), ("diesel", 0.61101, 2.66, 0.23),
        ("natural_gas", 0.03021, 0.1829, 0.165),
    ],
)  # fmt: skip
def test_upstream_by_fuel(kind, upstream, burning, share):
    assert substances.fuel(kind).upstream_frac == share
    assert upstream / burning == pytest.approx(share, abs=5e-4)


def test_cordwood_and_the_dry_table_meet_at_the_extension_figure():
    """Iowa State: 7,000 Btu a pound at 20 % water, which is 0.8 of the hub's dry 17.48 mmBtu a short ton."""
    assert pytest.approx(7000, rel=0.002) == 17.48e6 / 2000 * 0.8


def test_cordwood_heat():
    """House formula at 20 % moisture; higher heat adds the water of moisture and of 6 % hydrogen (memory)."""
    found = substances.fuel("cordwood")
    assert found.lhv_mj_per_unit == v("hv_wood20")
    water = 0.2 + 9 * 0.06 * 0.8
    higher = 18.4 * 0.8 - 2.45 * 0.2 + v("h_evap25") / 1000 * water
    assert found.hhv_mj_per_unit == pytest.approx(higher, rel=1e-4)


@pytest.mark.parametrize(
    ("kind", "units", "kg_co2e", "slack"),
    [
        # house arithmetic with AR6
        ("propane", GAL_L, 5.743, 5e-4),
        ("diesel", GAL_L, 10.240, 5e-4),
        ("cordwood", 100, 2.268 * 0.8, 5e-4),
        ("electricity", 1, 0.3480 + (0.0259 * 27 + 0.0036 * 273) / 1000, 5e-5),
    ],
)
def test_fuel_in_co2e(kind, units, kg_co2e, slack):
    assert units * substances.fuel(kind).co2e_kg_per_unit(substances.gwp("ar6")) == pytest.approx(
        kg_co2e, abs=slack
    )


def test_natural_gas_in_co2e_per_kwh():
    """House arithmetic with AR6: 0.18123 kg CO2e per kWh of higher heat at 0.001026 mmBtu/scf."""
    kwh_per_m3 = 0.001026 * 1055.05585262 / 3.6 * 1000 / FT3_L
    per_m3 = substances.fuel("natural_gas").co2e_kg_per_unit(substances.gwp("ar6"))
    assert per_m3 / kwh_per_m3 == pytest.approx(0.18123, abs=6e-6)


def test_methane_of_combustion_takes_the_figure_without_its_own_co2():
    """GHG Protocol, August 2024: the fossil figure is for fugitive methane only. AR5, a gallon."""
    by_hand = 0.091 * (62.87 + 0.0030 * 28 + 0.00060 * 265) / GAL_L
    ours = substances.fuel("propane").co2e_kg_per_unit(substances.gwp("ar5"))
    assert ours == pytest.approx(by_hand, rel=1e-6)


def test_methane_of_wood_counts_as_biogenic():
    """Hand arithmetic with AR5: 17.48 mmBtu a dry short ton × 0.8 × (7.2 g × 28 + 3.6 g × 265)."""
    by_hand = 17.48 * (0.0072 * 28 + 0.0036 * 265) / TON_KG * 0.8
    ours = substances.fuel("cordwood").co2e_kg_per_unit(substances.gwp("ar5"))
    assert ours == pytest.approx(by_hand, rel=1e-6)


@pytest.mark.parametrize("found", FUELS.all(), ids=lambda found: found.kind)
def test_fuel_measures_are_units_a_person_may_type(found):
    assert unit(found.measure).factor > 0
