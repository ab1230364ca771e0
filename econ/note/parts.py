"""What a note is made of: its parts, its numbers and its one chart, whether for Word or for Markdown."""

from __future__ import annotations

import io
import math
from collections.abc import Mapping
from functools import partial
from typing import Any, NamedTuple, TypeAlias

from econ.inputs.as_typed import plain_figure
from econ.shipped import described

MISSING = "not reported"
INK, SLATE, PALE = "#22313A", "#8FA6B0", "#E4EBEE"
NAMES: dict[str, str] = described("note", "note")["bars"]


class Text(NamedTuple):
    """A paragraph; `look` is plain, heading (that of the summary has no number), formula, banner or bullet."""

    text: str
    look: str = "plain"


heading, bullet = partial(Text, look="heading"), partial(Text, look="bullet")


class Table(NamedTuple):
    """A captioned table; the first column is words, `small` sets it in small print with words throughout."""

    caption: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    small: bool = False


class Picture(NamedTuple):
    """A captioned picture with its alternative text."""

    caption: str
    alt: str
    png: bytes


Part: TypeAlias = Text | Table | Picture


class Note(NamedTuple):
    """A whole note: title, the line under it, and its parts in order."""

    title: str
    under: str
    parts: tuple[Part, ...]


def number(value: float | None, digits: int | None = None) -> str:
    """About three figures that matter, or a fixed number of decimals; "not reported" where there is none."""
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
    """A factor with its own figures, at most six; nothing where it has no single value."""
    return "" if value is None else plain_figure(value).replace("-", "−")


def blocks_png(blocks: Mapping[str, Any]) -> bytes:
    """Bars at the median, labelled, with whiskers from P5 to P95 [t CO2e a year]; hatched where it is emitted."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(6.3, 2.5), dpi=200, layout="constrained")
    FigureCanvasAgg(figure)
    axes = figure.add_subplot()
    for at, name in enumerate(NAMES):
        found = blocks[name]["t_co2e_per_year"]
        middle = found["middle"]
        if middle is None:
            axes.text(at, 0, MISSING, ha="center", va="bottom", color=INK, fontsize=8)
            continue
        stores = name in {"removal", "avoided"}
        colour, hatch = (PALE, "") if stores else (SLATE, "///")
        axes.bar(at, middle, 0.55, color=colour, hatch=hatch, edgecolor=INK, linewidth=0.8)
        axes.plot([at, at], [found["low"], found["high"]], color=INK, linewidth=1.6)
        for end in ("low", "high"):
            axes.plot([at - 0.08, at + 0.08], [found[end]] * 2, color=INK, linewidth=1.6)
        axes.annotate(number(middle), (at + 0.3, middle), va="center", color=INK, fontsize=8)
    axes.margins(y=0.08)
    axes.set_xlim(-0.5, len(NAMES) - 0.5)
    axes.set_xticks(range(len(NAMES)), list(NAMES.values()), fontsize=8, color=INK)
    axes.tick_params(axis="y", labelsize=8, colors=INK)
    axes.set_ylabel("t CO2e a year", fontsize=8, color=INK)
    axes.axhline(0, color=INK, linewidth=0.8)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    target = io.BytesIO()
    figure.savefig(target, format="png", metadata={"Software": None})
    return target.getvalue()
