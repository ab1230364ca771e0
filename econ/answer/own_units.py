"""Figures in the units of the workbook that they come from: US customary or metric, one choice a workbook.

The model computes in kg, L, m, MJ. CO2e is in metric tons in both systems, as grant offices ask for it.
"""

from __future__ import annotations

import re
from functools import cache

from econ.units import unit

US = {
    "kg": ("lb", "kg", "lb"), "g": ("oz", "g", "lb"), "t": ("ton", "tonne", "short_ton"), "L": ("gal", "L", "gal"),
    "m³": ("cu ft", "m3", "ft3"), "m²": ("sq ft", "m2", "ft2"), "m": ("ft", "m", "ft"),
    "ha": ("acre", "ha", "acre"), "MJ": ("million Btu", "MJ", "MMBtu"),
}  # fmt: skip
"""Shown instead of a metric unit, and both as `units.csv` calls them."""
HOUSE = {"mg/kg": "ppm", "kg/kg": "lb/lb", "g/kg": "lb/1,000 lb", "kg/t": "lb/1,000 lb", "mol/mol": "mol/mol"}
"""Ratios of like to like: the number stays."""
KG_PER_T = 1000.0
OUNCES_PER_LB = 16.0
NO_UNIT = {"share": "%", "flag": "1 = yes", "factor": "", "index": "", "ratio": "", "month": "", "unit": ""}
"""Units of figures that are none, and what stands in their place."""
SAID = (
    (re.compile(r"\b(per|a|one) kg\b"), r"\1 lb"),
    (re.compile(r"\b(per|a) tonne\b"), r"\1 ton"),
)


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
    if top.startswith("kg CO2"):
        parts = [_part({"kg": "t"}.get(part, part)) for part in below]
        masses = [KG_PER_T if part == "kg" else 1.0 for part in below]
        factor = 1 / KG_PER_T
        for (_, size), mass in zip(parts, masses, strict=True):
            factor *= mass / size
        return "/".join([f"t {top[3:]}", *(name for name, _ in parts)]), factor
    shown, factor = (top, 1.0) if top.startswith("t CO2") else _part(top)
    for part in below:
        name, size = _part(part)
        shown, factor = f"{shown}/{name}", factor / size
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
    """An amount in a sentence, such as "41 kg" or "90 lb"; a ton is one of 2,000 lb."""
    unit, factor = shown_unit(metric, system)
    return f"{value * factor:,.{digits}f} {'tons' if unit == 'ton' else unit}"


def shown_label(label: str, system: str) -> str:
    """A label with its "per kg" in the unit that is shown."""
    if system == "us":
        for pattern, said in SAID:
            label = pattern.sub(said, label)
    return label
