"""Figures that are shown and that no sum of the answer leans on: each worked by hand from its parts.

House arithmetic throughout. All of them could be wrong without any other test noticing.
"""

from __future__ import annotations

import pytest
from conftest import plant

from econ import evidence
from econ.model.evaluate import evaluate
from econ.model.plan import Plan


def figures(**sets: str) -> dict[str, float]:
    scenario = plant(**sets)
    return {name: float(value) for name, value in evaluate(scenario.numbers(), Plan.of(scenario)).lines.items()}


def test_nitrogen_that_compost_would_have_kept() -> None:
    """Nitrogen lost in the kiln × 40 % that composting keeps × 3 kg CO2e a kg of bought nitrogen."""
    found = figures(
        current__option="composting", handling__compost_n_kept="40 %", handling__n_fertiliser="3 kg per kg"
    )
    assert found["n_lost_kg"] > 100
    assert found["compost_nitrogen_kg_co2e"] == pytest.approx(found["n_lost_kg"] * 0.40 * 3, rel=1e-12)
    assert found["credits_lost_kg_co2e"] == found["compost_nitrogen_kg_co2e"]


def test_room_of_char_mixed_into_compost() -> None:
    """The char at its own density, and 0.4 kg of compost with every kg at that of compost."""
    found = figures(finish__charge="compost", finish__charge_ratio="0.4 kg per kg")
    char, compost = evidence.factor("rho_char").value, evidence.factor("rho_compost").value
    room = found["char_finished_kg"] * (1 / char + 0.4 / compost)
    assert found["product_m3"] == pytest.approx(room, rel=1e-12)


def test_corrected_share_halfway_between_two_soils() -> None:
    """Printed rows stand at 10 and 15 °C; at 12.5 °C the share is their mean."""
    cold, between, warm = (
        figures(carbon__soil_temperature=f"{soil} degC", carbon__h_corg="0.4")["hc_corrected_share"]
        for soil in (10, 12.5, 15)
    )
    assert cold > warm > 0
    assert between == pytest.approx((cold + warm) / 2, rel=1e-12)


def test_a_year_at_the_kiln_takes_off_what_the_char_brings() -> None:
    """Fuel 4,528, labour 9,324, upkeep 4,150, finishing 2,149 and carting 296, less sales of 25,400."""
    found = figures()
    names = ("fuel_cost", "labour_cost", "upkeep", "finish_cost", "excluded_cost")
    costs = [found[f"{name}_today"] for name in names]
    assert [round(cost) for cost in costs] == [4528, 9324, 4150, 2149, 296]
    assert found["char_yearly_cost"] == pytest.approx(sum(costs) - found["sale_income_today"], rel=1e-12)
    assert round(found["sale_income_today"]) == 25400
