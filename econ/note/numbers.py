"""Numbers of the note: a figure of the JSON, rounded for print; a true minus, never a dash."""

from __future__ import annotations

import math

MISSING = "withheld"


def number(value: float | None, digits: int | None = None) -> str:
    """About three figures that matter, or a fixed number of decimals; "withheld" where there is none."""
    if value is None or math.isnan(value):
        return MISSING
    if digits is None:
        size = abs(value)
        digits = 0 if size >= 100 else 1 if size >= 10 else 2 if size >= 0.1 or size == 0 else 3
    text = f"{value:,.{digits}f}"
    if not text.strip("-0.,"):
        text = text.lstrip("-")
    return text.replace("-", "−")


def factor(value: float | None) -> str:
    """A factor with its own figures, at most six; a dash where it is a formula."""
    return "see label" if value is None else f"{value:.6g}".replace("-", "−")
