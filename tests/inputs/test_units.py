"""Units against pint, a general library of units, and against exact definitions."""

from __future__ import annotations

import pint
import pytest

from econ.errors import KilncaseError
from econ.units import Unit, _exact, _rows, counted, match, unit

registry = pint.UnitRegistry()

PINT = {
    "kg": "kg", "g": "g", "lb": "lb", "tonne": "metric_ton", "short_ton": "short_ton", "L": "liter",
    "gal": "gallon",
    "m3": "m**3", "ft3": "ft**3", "kWh": "kWh", "MWh": "MWh", "MJ": "MJ",
    "therm": "US_therm", "MMBtu": "1e6 Btu_it", "mm": "mm", "in": "inch",
    "m": "m", "ft": "ft", "km": "km", "mile": "mile", "m2": "m**2", "ft2": "ft**2", "100ft2": "100 ft**2",
    "ha": "hectare", "acre": "4046.8564224 m**2",
}  # fmt: skip
CANONICAL = {"mass": "kg", "volume": "liter", "energy": "MJ", "length": "m", "area": "m**2"}


@pytest.mark.parametrize("short", PINT)
def test_factors_agree_with_pint(short: str) -> None:
    found = unit(short)
    asked = registry.Quantity(PINT[short]).to(CANONICAL[found.dimension]).magnitude
    assert found.factor == pytest.approx(asked, rel=1e-12)


def test_every_physical_unit_is_compared_with_pint() -> None:
    physical = {one.short for one in [one for one, _ in _rows()] if one.dimension in CANONICAL}
    assert physical - PINT.keys() <= {"cord", "therm gas"}, "give the new unit a row in PINT"


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"), [(900, 482.2222), (932, 500), (32, 0), (1652, 900), (-40, -40)]
)
def test_fahrenheit(fahrenheit: float, celsius: float) -> None:
    """Definition: °C = (°F - 32) / 1.8; 900 °F and 900 °C are 418 °C apart."""
    assert unit("degF").to_canonical(fahrenheit) == pytest.approx(celsius, abs=1e-3)
    assert registry.Quantity(fahrenheit, "degF").to("degC").magnitude == pytest.approx(celsius, abs=1e-3)


@pytest.mark.parametrize(
    ("text", "factor"),
    [
        ("kg per week", 52), ("lb per month", 12 * 0.45359237), ("USD per lb", 1 / 0.45359237),
        ("USD per short_ton", 1 / 907.18474), ("kg per ha", 1e-4), ("g per kg", 1e-3),
        ("lb per MWh", 0.45359237 / 3600),
    ],
)  # fmt: skip
def test_composite_units(text: str, factor: float) -> None:
    assert unit(text, "USD").factor == pytest.approx(factor, rel=1e-15)


def test_there_and_back_again() -> None:
    for one in [one for one, _ in _rows()]:
        assert one.from_canonical(one.to_canonical(12.34)) == pytest.approx(12.34, rel=1e-12)


OWN = unit("lb per week")
ALLOWED = (unit("kg per week"), OWN, unit("tonne per year"), unit("short_ton per year"))


@pytest.mark.parametrize(
    ("text", "short"),
    [
        ("kg", "kg per week"), ("per month", "lb per month"),
        ("short ton (2,000 lb) per year", "short_ton per year"),
        ("lbs/week", "lb per week"), ("pounds per year", "lb per year"), ("T per year", "tonne per year"),
        ("Kilograms per Week", "kg per week"),
    ],
)  # fmt: skip
def test_what_a_person_may_type(text: str, short: str) -> None:
    found = match(text, OWN, ALLOWED, "USD")
    assert found is not None
    assert found.short == short


@pytest.mark.parametrize("text", ["gal", "kg per ha", "furlong", "kg per week per week", "per", "5"])
def test_what_is_not_understood(text: str) -> None:
    assert match(text, OWN, ALLOWED, "USD") is None


def test_another_currency_is_not_understood() -> None:
    own = unit("USD per lb", "USD")
    assert match("EUR per lb", own, (own,), "USD") is None
    assert isinstance(match("$/lb", own, (own,), "USD"), Unit)


def test_unknown_units_in_our_own_schema_raise() -> None:
    with pytest.raises(KilncaseError):
        unit("cubit")


def test_a_factor_is_read_whole_or_not_at_all() -> None:
    assert [_exact(text) for text in ("0.01*141.9/61.9", "1/52", "1e-6")] == [0.01 * 141.9 / 61.9, 1 / 52, 1e-6]
    for odd in ("1,5", "2*", "x"):
        with pytest.raises(ValueError, match="could not convert"):
            _exact(odd)


@pytest.mark.parametrize(
    ("figure", "of", "said"),
    [
        ("1", "years", "1 year"), ("1", "batches", "1 batch"), ("1", "weeks a year", "1 week a year"),
        (1, "beds", "1 bed"), ("2", "years", "2 years"), ("1.5", "years", "1.5 years"), (0, "lines", "0 lines"),
        (2_000, "plants", "2,000 plants"),
        ("1", "times a week", "1 time a week"), ("1", "kg", "1 kg"), ("1", "", "1"),
    ],
)  # fmt: skip
def test_what_is_counted_is_singular_for_one_alone(figure: str | float, of: str, said: str) -> None:
    assert counted(figure, of) == said
