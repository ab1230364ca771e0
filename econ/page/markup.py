"""Html that cannot be broken by what a person typed, and numbers as a page shows them."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from decimal import ROUND_HALF_UP, Context, Decimal
from functools import cache
from html import escape
from typing import NamedTuple

from econ.harmless import one_line
from econ.shipped import described, text

MINUS = "\u2212"
THREE = Context(prec=3, rounding=ROUND_HALF_UP)
VOID = frozenset({"input", "meta", "br"})
WORDS = described("page", "page")
"""Every word of the page by its name."""
LONGEST = 2000
"""Characters of one text that a page shows."""


class Html(str):
    """Text that is markup already; any other text is escaped where it is put in."""

    __slots__ = ()


def px(value: float) -> str:
    """A length [px] with one decimal, halves away from zero, as the script of the page rounds."""
    return str(Decimal(value).quantize(Decimal("0.1"), ROUND_HALF_UP))


def safe(part: object) -> Html:
    """The part as markup: as it is, or escaped, with what steers a reader left out."""
    return part if isinstance(part, Html) else Html(escape(one_line(part, LONGEST)))


def joined(parts: Iterable[object], between: str = "") -> Html:
    """Parts one after the other."""
    return Html(between.join(safe(part) for part in parts))


def tag(name: str, /, *parts: object, **attributes: object) -> Html:
    """An element: `class_` is the class, an underscore in a name a hyphen, True an attribute without a value."""
    said = "".join(
        f" {key.rstrip('_').replace('_', '-')}" + ("" if value is True else f'="{safe(value)}"')
        for key, value in attributes.items()
        if value is not None and value is not False
    )
    return Html(f"<{name}{said}>" if name in VOID else f"<{name}{said}>{joined(parts)}</{name}>")


@cache
def _form(name: str) -> str:
    """A file of markup beside this module without line breaks, words of the page in place of [[their names]]."""
    whole = "".join(line.strip() for line in text(name, "page").splitlines())
    return re.sub(r"\[\[(\w+)\]\]", lambda found: safe(WORDS[found[1]]), whole)


def filled(name: str, /, **parts: object) -> Html:
    """The markup of a file with parts in its places, each as in `tag`."""
    return Html(_form(name).format(**{key: safe(part) for key, part in parts.items()}))


def table(heads: Iterable[object], rows: Iterable[Iterable[object]], caption: str, **attributes: object) -> Html:
    """A table with a caption; the first cell of each row is its heading."""
    head = tag("tr", *(tag("th", text, scope="col") for text in heads))
    body = (tag("tr", tag("th", first, scope="row"), *(tag("td", cell) for cell in rest)) for first, *rest in rows)
    parts = (tag("caption", caption), tag("thead", head), tag("tbody", *body))
    return tag("table", *parts, **attributes)


def plain(value: float) -> str:
    """Three figures, a half away from zero, with thousands apart: 64,600, 13.9, 0.74."""
    size = abs(float(THREE.create_decimal(Decimal(value))))
    if size == 0:
        return "0"
    places = max(0, 2 - math.floor(math.log10(size)))
    return f"{MINUS if value < 0 else ''}{size:,.{places}f}"


def money(value: float, currency: str) -> str:
    """An amount to three figures, its currency behind it as in every sentence: 64,600 USD, −1,200 EUR."""
    return f"{plain(value)} {currency}"


WIDE = 360
BARS_END = 226
"""Where lying bars end at most; their figures stand right of it."""
LETTER = 7
"""Width that a character of those figures takes in a wide face."""
ROW = 36
TALL = 150
SHORT = 4
"""Characters of a text that fits under a column at either end."""
ROOM = 84
"""Width that the text of a mark takes."""
TOP = 28
"""Room above standing columns, for the texts of two marks."""


class Bar(NamedTuple):
    """A lying bar from `start` to `end`, its name above and its figures to the right."""

    label: str
    start: float
    end: float
    text: str


def lying(bars: Sequence[Bar], line: float = 0.0) -> Html:
    """Bars below each other on one scale, with a line at one value."""
    ends = [line, *(bar.start for bar in bars), *(bar.end for bar in bars)]
    low, span = min(ends), (max(ends) - min(ends)) or 1.0
    wide = min(BARS_END, WIDE - LETTER * max((len(bar.text) for bar in bars), default=0)) - 4

    def x(value: float) -> float:
        return 2 + (value - low) / span * wide

    parts = []
    for i, bar in enumerate(bars):
        top = i * ROW
        left, right = sorted((bar.start, bar.end))
        parts += [
            f'<text x="0" y="{top + 12}">{safe(bar.label)}</text>',
            _piece("under", x(left), x(min(right, line)), top + 17),
            _piece("over", x(max(left, line)), x(right), top + 17),
            f'<path class="line" d="M{px(x(line))} {top + 15}v17"/>',
            f'<text class="end" x="{WIDE}" y="{top + 28}">{safe(bar.text)}</text>',
        ]
    return _svg("".join(parts), len(bars) * ROW)


def _piece(side: str, left: float, right: float, top: float) -> str:
    """The part of a bar on one side of the line."""
    wide = right - left
    return f'<rect class="{side}" x="{px(left)}" y="{top}" width="{px(wide)}" height="13"/>' if wide > 0 else ""


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
            f'<rect class="{side}" x="{px(i * wide + wide * 0.08)}" y="{px(top)}" width="{px(wide * 0.84)}" '
            f'height="{px(bottom - top)}"/>'
        )
        if i in texts:
            side, at = "mid", (i + 0.5) * wide
            if len(texts[i]) > SHORT and i in {0, len(values) - 1}:  # it stays inside the picture
                side, at = ("start", 0.0) if i == 0 else ("end", float(WIDE))
            parts.append(f'<text class="{side}" x="{px(at)}" y="{TOP + TALL + 16}">{safe(texts[i])}</text>')
    parts.append(f'<path class="line" d="M0 {px(y(0))}H{WIDE}"/>')
    for row, (place, said) in enumerate(marks):
        at = min(max(place * wide, 0), WIDE)
        is_left = row == 0 or at > WIDE - ROOM
        side, shift = ("end", -4) if is_left else ("start", 4)
        parts.append(f'<path class="mark" d="M{px(at)} {2 + 12 * row}V{TOP + TALL}"/>')
        parts.append(f'<text class="{side}" x="{px(at + shift)}" y="{10 + 12 * row}">{safe(said)}</text>')
    return _svg("".join(parts), TOP + TALL + 20)


def _svg(inside: str, height: int) -> Html:
    return Html(f'<svg viewBox="0 0 {WIDE} {height}" aria-hidden="true">{inside}</svg>')


def figure(name: str, title: str, said: str, picture: Html) -> Html:
    """A picture under a title that says what it shows; what it says in words stands below it."""
    caption, words = tag("figcaption", title, id=f"title-{name}"), tag("p", said, class_="said", id=f"said-{name}")
    return tag("figure", caption, tag("div", picture, class_="picture", id=f"picture-{name}"), words)
