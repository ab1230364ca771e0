"""The closed list of units a person may type, and their exact factors.

A unit is written as base units joined by "per": "lb per week", "USD per gal", "L". The base units
stand in units.csv with a spelled-out name, a short form and the exact factor to the canonical unit of
their dimension (kg, L, MJ, m, m², year, currency). Definitions: international pound 0.45359237 kg, US
gallon 231 in³ = 3.785411784 L, foot 0.3048 m, BTU(IT) 1055.05585262 J, US therm 105.4804 MJ (NIST SP
811, appendix B). A year has 52 weeks and 12 months here, as in a plant's own books. Two trade measures
of fuel are not exact and carry an assumed content: a cord is 1,270 kg (factor cord_mass), and a therm of
natural gas the volume that holds it at a higher heating value of 38.4 MJ/m³ (factor hv_ng).
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from econ.errors import KilncaseError

MONEY = "money"
PER = " per "


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: `short` form, spelled-out `name`, `dimension`, and canonical = (value + offset) * factor."""

    short: str
    name: str
    dimension: str
    factor: float
    offset: float = 0.0

    def to_canonical(self, value: float) -> float:
        """A value in this unit, carried to the canonical unit of the dimension."""
        return (value + self.offset) * self.factor

    def from_canonical(self, value: float) -> float:
        """A canonical value, carried to this unit."""
        return value / self.factor - self.offset


def _exact(expression: str) -> float:
    """The product or quotient written in a factor cell: '0.01*141.9/61.9', '1/52', '1000'."""
    value = 1.0
    for index, part in enumerate(expression.split("*")):
        numbers = [float(number) for number in part.split("/")]
        value = numbers[0] if index == 0 else value * numbers[0]
        for divisor in numbers[1:]:
            value /= divisor
    return value


@cache
def _plain(text: str) -> str:
    return " ".join(text.replace("_", " ").lower().split())


@cache
def base_units() -> tuple[Unit, ...]:
    """Every base unit of units.csv, in file order."""
    return tuple(unit for unit, _ in _rows())


def canonical_measure(dimension: str) -> str:
    """The short form of the unit in which the model counts a fuel of this dimension: L, kg or MJ."""
    return {"volume": "L", "mass": "kg", "energy": "MJ"}[dimension]


@cache
def _rows() -> tuple[tuple[Unit, frozenset[str]], ...]:
    with (files("econ") / "units.csv").open(encoding="utf-8") as handle:
        found = []
        for row in csv.DictReader(handle):
            unit = Unit(row["short"], row["name"], row["dimension"], _exact(row["factor"]), float(row["offset"]))
            spellings = {unit.short, unit.name, *row["aliases"].split("|")}
            found.append((unit, frozenset(_plain(text) for text in spellings if text)))
        return tuple(found)


@cache
def _base(text: str, currency: str, dimension: str | None) -> Unit | None:
    """The base unit that `text` spells; `dimension` decides between homonyms (a week, weeks a year)."""
    plain = _plain(text)
    if plain in {_plain(currency), "currency", "$"} and dimension in {None, MONEY}:
        return Unit(currency, currency, MONEY, 1.0)
    fits = [(unit, spellings) for unit, spellings in _rows() if dimension in {None, unit.dimension}]
    own = (unit for unit, _ in fits if plain in {_plain(unit.short), _plain(unit.name)})
    other = (unit for unit, spellings in fits if plain in spellings)
    return next(own, None) or next(other, None)


def _join(parts: list[Unit]) -> Unit:
    if len(parts) == 1:
        return parts[0]
    factor = parts[0].factor / math.prod(part.factor for part in parts[1:])
    return Unit(
        PER.join(part.short for part in parts),
        PER.join(part.name for part in parts),
        "/".join(part.dimension for part in parts),
        factor,
    )


@cache
def unit(text: str, currency: str = "currency") -> Unit:
    """The unit written as `text` ("kg", "lb per week", "USD per hour").

    Raises KilncaseError where a part is not in the list. Used for units written in our own schema; what
    a person types goes through `match`.
    """
    parts = []
    for index, part in enumerate(text.split(PER)):
        dimension = "period" if index and part in {"week", "month", "year"} else None
        found = _base(part, currency, dimension)
        if found is None:
            raise KilncaseError(f"no unit {part!r} in the list of units")
        parts.append(found)
    return _join(parts)


def _split(text: str) -> list[str]:
    words = text.strip().replace("/", PER) if "mol/mol" not in text else text.strip()
    pieces = f" {words} ".replace(" Per ", PER).replace(" PER ", PER).split(PER)
    return [piece.strip() for piece in pieces]


@cache
def match(text: str, own: Unit, allowed: tuple[Unit, ...], currency: str) -> Unit | None:
    """The unit a person means by `text` where `own` is the row's unit and `allowed` its choices.

    Spelled-out names and short forms both count. A part that is left out is taken from the row's own
    unit: "kg" in a row of "lb per week" means kg per week, "per month" keeps the pound. None where the
    text spells no unit of the same dimension as one of `allowed`.
    """
    plain = _plain(text)
    for choice in allowed:
        if plain in {_plain(choice.short), _plain(choice.name)}:
            return choice
        if "/" not in choice.dimension and (whole := _base(text, currency, choice.dimension)):
            return whole
    pieces = _split(text)
    for pattern in [own, *allowed]:
        found = _fit(pieces, pattern, currency)
        if found is not None:
            return found
    return None


def _fit(pieces: list[str], pattern: Unit, currency: str) -> Unit | None:
    """`pieces` read against the dimensions of `pattern`; gaps are filled from the pattern."""
    dimensions = pattern.dimension.split("/")
    shorts = pattern.short.split(PER)
    if len(pieces) > len(dimensions) or not any(pieces):
        return None
    filled = [piece or None for piece in pieces] + [None] * (len(dimensions) - len(pieces))
    parts = []
    for piece, dimension, own_short in zip(filled, dimensions, shorts, strict=True):
        found = _base(piece or own_short, currency, dimension)
        if found is None:
            return None
        parts.append(found)
    return _join(parts)
