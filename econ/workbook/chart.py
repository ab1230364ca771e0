"""What all charts share: one face, sizes that can be read, pale gridlines, titles on both axes."""

from __future__ import annotations

from typing import Any

from econ.workbook.style import FONT, GRID, INK

FACE = {"name": FONT, "color": INK}
LEGEND = {"position": "bottom", "font": {**FACE, "size": 9}}
NO_LEGEND = {"none": True}


def title(text: str) -> dict[str, Any]:
    """The title of a chart."""
    return {"name": text, "name_font": {**FACE, "size": 11, "bold": True}, "overlay": False}


def axis(name: str, number: str | None = None, has_grid: bool = False) -> dict[str, Any]:
    """An axis with its title, which names the unit; `number` is the number format of its labels."""
    found: dict[str, Any] = {
        "name": name,
        "name_font": {**FACE, "size": 9, "bold": False},
        "num_font": {**FACE, "size": 8},
        "major_gridlines": {"visible": has_grid, "line": {"color": GRID}},
    }
    return found | ({"num_format": number} if number else {})
