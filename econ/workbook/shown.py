"""Numbers as a person sees them: 0.12 in a cell formatted as a percentage is 12 %."""

from __future__ import annotations

import math
import sys
from typing import Any


class Percent(float):
    """A number whose cell is formatted as a percentage."""


def as_shown(item: object, unit: object) -> object:
    """A cell's content; a percentage as a person sees it where the unit beside or above it is per cent."""
    if not isinstance(item, Percent):
        return item
    in_percent = isinstance(unit, str) and unit.strip().startswith("%")
    return float(item) * 100 if in_percent else float(item)


def bounded(item: Any) -> Any:
    """A cell's content; a whole number of more digits than a float can hold is infinite, which no row takes."""
    if isinstance(item, int) and abs(item) > sys.float_info.max:
        return math.inf if item > 0 else -math.inf
    return item
