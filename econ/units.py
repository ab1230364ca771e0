"""The closed list of units a person may type, their exact factors, and the units in which figures are shown.

A unit is written as base units joined by "per": "lb per week", "USD per gal", "L". The base units
stand in units.csv with a spelled-out name, a short form and the exact factor to the canonical unit of
their dimension (kg, L, MJ, m, m², year, currency). Definitions: international pound 0.45359237 kg, US
gallon 231 in³ = 3.785411784 L, foot 0.3048 m, BTU(IT) 1055.05585262 J, US therm 105.4804 MJ (NIST SP
811, appendix B). A year has 52 weeks and 12 months here, as in a plant's own books. Two trade measures
of fuel are not exact and carry an assumed content: a cord is 1,270 kg (factor cord_mass), and a therm of
natural gas the volume that holds it at a higher heating value of 38.4 MJ/m³ (factor hv_ng).
"""

from __future__ import annotations

import math
import re
from functools import cache

from econ.errors import KilncaseError
from econ.fields import record
from econ.shipped import listed

MONEY = "money"
PER = " per "
SYMBOLS = {row["short"]: row["symbol"] for row in listed("units", "")}
"""The short forms as a person writes them."""
FIGURE = r"-?\d[\d,]*(?:\.\d+)?"
_UNSEEN = "[\u00ad\u200b-\u200f\u2060\ufeff]"  # none that turns digits round, as U+202E does
COUNTED = re.compile(r"^(year|week|day|hour|kiln|batch|plant|bed|line|factor|input|caution|time)e?s\b")


@record(frozen=True, slots=True)
class Unit:
    """A unit: `short` form, spelled-out `name`, `dimension`, and canonical = (value + offset) * factor."""

    short: str
    name: str
    dimension: str
    factor: float
    offset: float = 0.0

    @property
    def symbol(self) -> str:
        """The short form as a person writes it: "°F", "ton", "USD per sq ft"."""
        parts = self.short.split(PER)
        told = [SYMBOLS.get(part, part) if not at or part != "hour" else part for at, part in enumerate(parts)]
        return PER.join(told).replace(" per each", " each").removeprefix("each ")

    def to_canonical(self, value: float) -> float:
        """A value in this unit, carried to the canonical unit of the dimension."""
        return (value + self.offset) * self.factor

    def from_canonical(self, value: float) -> float:
        """A canonical value, carried to this unit."""
        return value / self.factor - self.offset


def _exact(expression: str) -> float:
    """The product or quotient written in a factor cell: '0.01*141.9/61.9', '1/52', '1000'."""
    value = 1.0
    for part in expression.split("*"):
        above, *below = map(float, part.split("/"))
        value *= above
        for one in below:
            value /= one
    return value


def seen(text: str) -> str:
    """A text without the marks that nobody sees and a paste brings along, each space a plain one."""
    return " ".join((text if text.isascii() else re.sub(_UNSEEN, "", text)).split())


@cache
def _plain(text: str) -> str:
    return seen(text.replace("_", " ").lower())


def canonical_measure(dimension: str) -> str:
    """The short form of the unit in which the model counts a fuel of this dimension: L, kg or MJ."""
    return {"volume": "L", "mass": "kg", "energy": "MJ"}[dimension]


@cache
def _rows() -> tuple[tuple[Unit, frozenset[str]], ...]:
    found = []
    for row in listed("units", ""):
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
    shorts, names, dimensions = zip(*((part.short, part.name, part.dimension) for part in parts), strict=True)
    return Unit(PER.join(shorts), PER.join(names).replace(" per number", " each"), "/".join(dimensions), factor)


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
    words = text.strip().replace("/", PER) if "mol/mol" not in text else text.strip()
    words = f" {words} ".replace(" Per ", PER).replace(" PER ", PER)
    pieces = [piece.strip() for piece in words.split(PER)]
    found = (_fit(pieces, pattern, currency) for pattern in (own, *allowed))
    return next((one for one in found if one is not None), None)


def _fit(pieces: list[str], pattern: Unit, currency: str) -> Unit | None:
    """`pieces` read against the dimensions of `pattern`; gaps are filled from the pattern."""
    dimensions = pattern.dimension.split("/")
    shorts = pattern.short.split(PER)
    if len(pieces) > len(dimensions) or not any(pieces):
        return None
    filled = [*pieces, *[""] * (len(dimensions) - len(pieces))]
    found = [_base(piece or own_short, currency, dimension)
             for piece, dimension, own_short in zip(filled, dimensions, shorts, strict=True)]  # fmt: skip
    parts = [part for part in found if part is not None]
    return _join(parts) if len(parts) == len(found) else None


# Figures in the units of the workbook that they come from, US customary or metric: one choice a workbook. The
# model computes in kg, L, m, MJ. CO2e is in metric tons in both systems, as grant offices ask for it.

US = {
    "kg": ("lb", "kg", "lb"), "g": ("oz", "g", "lb"), "t": ("ton", "tonne", "short_ton"), "L": ("gal", "L", "gal"),
    "m³": ("cu ft", "m3", "ft3"), "m²": ("sq ft", "m2", "ft2"), "m": ("ft", "m", "ft"),
    "ha": ("acre", "ha", "acre"), "MJ": ("million Btu", "MJ", "MMBtu"), "km": ("mile", "km", "mile"),
}  # fmt: skip
"""Shown instead of a metric unit, and both as `units.csv` calls them."""
HOUSE = {"mg/kg": "ppm", "kg/kg": "lb/lb", "g/kg": "lb/1,000 lb", "kg/t": "lb/1,000 lb", "mol/mol": "mol/mol"}
"""Ratios of like to like: the number stays."""
KG_PER_T = 1000.0
OUNCES_PER_LB = 16.0
LEAST_SAID = 1e-4
"""An amount below it, in the unit shown, is said as zero."""
NO_UNIT = {"share": "%", "flag": "1 = yes", "factor": "", "index": "", "ratio": "", "month": "", "unit": ""}
"""Units of figures that are none, and what stands in their place."""
AMOUNT = re.compile(r"\{([^{}]*[\d)]) ?([^\d{}]+)\}")
"""An amount of a text that is to be said in the units of the plant: "{250 (100 to 400) kg/ha}"."""
PER_METRIC, US_OF = re.compile(r"\b(per|a|one(?= kg)) (kg|tonne)\b"), {"kg": "lb", "tonne": "ton"}


@cache
def shown_unit(metric: str, system: str) -> tuple[str, float]:
    """The unit to show for one of a figure, and the factor from the figure to it.

    >>> shown_unit("kg/year", "metric")
    ('kg/year', 1.0)
    >>> shown_unit("kg CO2e/year", "us")
    ('t CO2e/year', 0.001)
    """
    metric = NO_UNIT.get(metric, metric)
    if system != "us":
        return metric, 1.0
    if metric in HOUSE:
        return HOUSE[metric], 1.0
    top, *below = metric.split("/")
    is_kg = top.startswith("kg CO2")  # shown in metric tons, and what it is divided by with it
    shown, factor = (
        (f"t {top[3:]}", 1 / KG_PER_T) if is_kg else (top, 1.0) if top.startswith("t C") else _part(top)
    )
    for part in below:
        name, size = _part("t" if is_kg and part == "kg" else part)
        mass = KG_PER_T if is_kg and part == "kg" else 1.0
        shown, factor = f"{shown}/{name}", factor * (mass / size) if is_kg else factor / size
    return shown, factor


def _part(part: str) -> tuple[str, float]:
    """One side of a fraction: its unit, and how many of it make one of the metric unit."""
    word, gap, rest = part.partition(" ")
    if word not in US:
        return part, 1.0
    name, metric, own = US[word]
    size = unit(metric).factor / unit(own).factor
    return f"{name}{gap}{rest}", size * (OUNCES_PER_LB if name == "oz" else 1.0)


def said(value: float, metric: str, system: str, digits: int = 0) -> str:
    """An amount in a sentence, such as "41 kg" or "90 lb"; a ton is one of 2,000 lb. None but 0 reads as zero."""
    unit, factor = shown_unit(metric, system)
    if metric == "°C" and system == "us":
        return f"{value * 1.8 + 32:,.{digits}f} °F"
    text = f"{value * factor:,.{digits}f}"
    if not text.strip("-0.") and abs(value * factor) >= LEAST_SAID:
        text = f"{value * factor:.2g}"
    return f"{text} {'tons' if unit == 'ton' else unit}"


def counted(figure: str | float, of: str) -> str:
    """A figure with the symbol of its unit, or with what it counts: "1 year", "2,000 plants", "3 weeks a year"."""
    said = figure if isinstance(figure, str) else f"{figure:,.0f}"
    of = COUNTED.sub(r"\1", of) if said == "1" else of
    return f"{said} {of}".rstrip()


@cache
def shown_label(label: str, system: str) -> str:
    """A label with its "per kg" in the unit that is shown."""
    return PER_METRIC.sub(lambda found: f"{found[1]} {US_OF[found[2]]}", label) if system == "us" else label


def in_system(text: str, system: str) -> str:
    """A text with its amounts in the units of the plant, to two figures.

    >>> in_system("{250 kg/ha} (assumed), at {15 °C}", "us")
    '220 lb/acre (assumed), at 59 °F'
    """
    return AMOUNT.sub(lambda found: _amount(found[1], found[2], system), text)


def _amount(numbers: str, metric: str, system: str) -> str:
    shown, factor = shown_unit(metric, system)
    if system != "us":
        return f"{numbers} {metric}"
    if metric == "°C":
        return f"{re.sub(FIGURE, lambda one: f'{float(one[0]) * 1.8 + 32:.0f}', numbers)} °F"
    found = re.sub(
        FIGURE, lambda it: f"{float(format(float(it[0].replace(',', '')) * factor, '.2g')):,.10g}", numbers
    )
    return f"{found} {shown}"
