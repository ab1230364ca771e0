"""The words and units of the coefficients that the page of inputs carries as values."""

from __future__ import annotations

import csv
import re
from functools import cache
from importlib.resources import files


@cache
def _table() -> dict[str, tuple[str, str]]:
    with (files("econ.workbook") / "coefficients.csv").open(encoding="utf-8") as handle:
        return {row["name"]: (row["label"], row["unit"]) for row in csv.DictReader(handle)}


def coefficient_words(name: str) -> tuple[str, str]:
    """Label and unit of a coefficient; one that no row names gets its name in words and no unit."""
    if name in _table():
        return _table()[name]
    for number in re.finditer(r"_(\d+)(?=_|$)", name):
        label, unit = _table().get(f"{name[: number.start()]}_{{n}}{name[number.end() :]}", ("", ""))
        if label:
            return label.replace("{n}", number[1]), unit
    return name.replace("_", " "), ""
