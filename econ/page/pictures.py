"""Pictures as plain SVG: bars that lie, and columns that stand. The script of the page draws the same anew."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from econ.page.markup import Html, safe, tag

BLOCKS = ("removal_kg_co2e", "process_kg_co2e", "avoided_kg_co2e", "credits_lost_kg_co2e")
"""The four carbon blocks, never added up."""
WIDE = 360
BARS_END = 226
"""Where lying bars end; their figures stand right of it."""
ROW = 36
TALL = 150
SHORT = 4
"""Characters of a text that fits under a column at either end."""
ROOM = 84
"""Width that the text of a mark takes."""
TOP = 28
"""Room above standing columns, for the texts of two marks."""


@dataclass(frozen=True, slots=True)
class Bar:
    """A lying bar from `start` to `end`, its name above and its figures to the right."""

    label: str
    start: float
    end: float
    text: str


def lying(bars: Sequence[Bar], line: float = 0.0) -> Html:
    """Bars below each other on one scale, with a line at one value."""
    ends = [line, *(bar.start for bar in bars), *(bar.end for bar in bars)]
    low, span = min(ends), (max(ends) - min(ends)) or 1.0

    def x(value: float) -> float:
        return 2 + (value - low) / span * (BARS_END - 4)

    parts = []
    for i, bar in enumerate(bars):
        top = i * ROW
        left, right = sorted((bar.start, bar.end))
        parts += [
            f'<text x="0" y="{top + 12}">{safe(bar.label)}</text>',
            _piece("under", x(left), x(min(right, line)), top + 17),
            _piece("over", x(max(left, line)), x(right), top + 17),
            f'<path class="line" d="M{x(line):.1f} {top + 15}v17"/>',
            f'<text class="end" x="{WIDE}" y="{top + 28}">{safe(bar.text)}</text>',
        ]
    return _svg("".join(parts), len(bars) * ROW)


def _piece(side: str, left: float, right: float, top: float) -> str:
    """The part of a bar on one side of the line."""
    wide = right - left
    return f'<rect class="{side}" x="{left:.1f}" y="{top}" width="{wide:.1f}" height="13"/>' if wide > 0 else ""


def standing(
    values: Sequence[float],
    texts: Mapping[int, str],
    marks: Sequence[tuple[float, str]] = (),
    under: Sequence[bool] = (),
) -> Html:
    """Columns side by side about zero, texts below some of them, and lines across at places in columns.

    `under` says which columns count as below zero; by default those whose value is.
    """
    low, high = min(0.0, *values), max(0.0, *values)
    span, wide = (high - low) or 1.0, WIDE / len(values)

    def y(value: float) -> float:
        return TOP + (high - value) / span * TALL

    parts = []
    for i, value in enumerate(values):
        top, bottom = sorted((y(value), y(0)))
        side = "under" if (under[i] if under else value < 0) else "over"
        parts.append(
            f'<rect class="{side}" x="{i * wide + wide * 0.08:.1f}" y="{top:.1f}" width="{wide * 0.84:.1f}" '
            f'height="{bottom - top:.1f}"/>'
        )
        if i in texts:
            side, at = _anchor(i, len(values), wide, texts[i])
            parts.append(f'<text class="{side}" x="{at:.1f}" y="{TOP + TALL + 16}">{safe(texts[i])}</text>')
    parts.append(f'<path class="line" d="M0 {y(0):.1f}H{WIDE}"/>')
    for row, (place, text) in enumerate(marks):
        at = min(max(place * wide, 0), WIDE)
        is_left = row == 0 or at > WIDE - ROOM
        side, shift = ("end", -4) if is_left else ("start", 4)
        parts.append(f'<path class="mark" d="M{at:.1f} {2 + 12 * row}V{TOP + TALL}"/>')
        parts.append(f'<text class="{side}" x="{at + shift:.1f}" y="{10 + 12 * row}">{safe(text)}</text>')
    return _svg("".join(parts), TOP + TALL + 20)


def _anchor(i: int, count: int, wide: float, text: str) -> tuple[str, float]:
    """Where the text of column i stands: wide ones at either end stay inside the picture."""
    if len(text) > SHORT and i in {0, count - 1}:
        return ("start", 0.0) if i == 0 else ("end", float(WIDE))
    return "mid", (i + 0.5) * wide


def _svg(inside: str, height: int) -> Html:
    return Html(f'<svg viewBox="0 0 {WIDE} {height}" aria-hidden="true">{inside}</svg>')


def figure(name: str, title: str, said: str, picture: Html) -> Html:
    """A picture under a title that says what it shows; what it says in words stands below it."""
    words = tag("p", said, class_="said", id=f"said-{name}")
    return tag(
        "figure",
        tag("figcaption", title, id=f"title-{name}"),
        tag("div", picture, class_="picture", id=f"picture-{name}"),
        words,
    )
