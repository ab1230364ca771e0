"""Heat of water against an independent library of the IF97 formulation, to 0.1 %."""

from __future__ import annotations

import pytest

from econ.evidence import factors
from econ.model.process import steam_mj

iapws = pytest.importorskip("iapws", reason="the independent library of water properties is not installed")

ATMOSPHERE_MPA = 0.101325


def water(at_c: float, **state: float) -> float:
    """Enthalpy of water [kJ/kg] by the library."""
    return float(iapws.IAPWS97(T=at_c + 273.15, P=ATMOSPHERE_MPA, **state).h)


COLD = water(20)


@pytest.mark.parametrize(
    "at_c", [101, 110, 125, 150, 175, 200, 250, 300, 350, 482.2, 500, 550, 650, 750, 900, 1000]
)
def test_heat_from_cold_water_to_steam(at_c: float) -> None:
    assert float(steam_mj(at_c)) * 1000 == pytest.approx(water(at_c) - COLD, rel=1e-3)


def test_heat_to_boil_and_evaporate() -> None:
    dry = float(iapws.IAPWS97(P=ATMOSPHERE_MPA, x=1).h)
    boiling = float(iapws.IAPWS97(P=ATMOSPHERE_MPA, x=0).h)
    assert factors.factor("h_w").value == pytest.approx(dry - COLD, rel=1e-3)
    assert float(steam_mj(100)) * 1000 == pytest.approx(dry - COLD, rel=1e-3)
    # 20 to 100 °C 335 kJ/kg and evaporation 2256.5 kJ/kg, as steam tables print them (values from memory)
    assert boiling - COLD == pytest.approx(335.2, rel=1e-3)
    assert dry - boiling == pytest.approx(2256.5, rel=1e-3)


def test_heat_of_evaporation_at_25_c() -> None:
    at_25 = [float(iapws.IAPWS97(T=298.15, x=x).h) for x in (0, 1)]
    assert factors.factor("h_evap25").value == pytest.approx(at_25[1] - at_25[0], rel=1e-3)
