"""Numbers in cells formatted as a percentage: 0.12 that a person sees as 12 %."""

from __future__ import annotations


class Percent(float):
    """A number whose cell is formatted as a percentage."""


def as_shown(item: object, unit: object) -> object:
    """A cell's content; a percentage as a person sees it where the unit beside or above it is per cent."""
    if not isinstance(item, Percent):
        return item
    in_percent = isinstance(unit, str) and unit.strip().startswith("%")
    return float(item) * 100 if in_percent else float(item)
