"""The one chart of the note: the four blocks with their ranges, each alone."""

from __future__ import annotations

import io
from collections.abc import Mapping
from typing import Any

INK, SLATE, CLAY = "#22313A", "#4F6D7A", "#B5532A"
NAMES = {
    "removal": "Removal\n(durable carbon)",
    "process": "Process\nemissions",
    "avoided": "Avoided\nemissions",
    "credits_lost": "Credits\nlost",
}


def blocks_png(blocks: Mapping[str, Any]) -> bytes:
    """Bars at the middle with whiskers from low to high [t CO2e a year]; withheld blocks are named so."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(6.3, 2.35), dpi=200, layout="constrained")
    FigureCanvasAgg(figure)
    axes = figure.add_subplot()
    for at, name in enumerate(NAMES):
        found = blocks[name]["t_co2e_per_year"]
        middle = found["middle"]
        if middle is None:
            axes.text(at, 0, "withheld", ha="center", va="bottom", color=INK, fontsize=8)
            continue
        colour = SLATE if name in {"removal", "avoided"} else CLAY
        axes.bar(at, middle, 0.55, color=colour)
        axes.plot([at, at], [found["low"], found["high"]], color=INK, linewidth=1.6)
        for end in ("low", "high"):
            axes.plot([at - 0.08, at + 0.08], [found[end]] * 2, color=INK, linewidth=1.6)
    axes.set_xticks(range(len(NAMES)), list(NAMES.values()), fontsize=8, color=INK)
    axes.tick_params(axis="y", labelsize=8, colors=INK)
    axes.set_ylabel("t CO2e a year", fontsize=8, color=INK)
    axes.axhline(0, color=INK, linewidth=0.8)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    target = io.BytesIO()
    figure.savefig(target, format="png", metadata={"Software": None})
    return target.getvalue()
