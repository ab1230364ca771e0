"""Html that cannot be broken by what a person typed, and numbers as a page shows them."""

from __future__ import annotations

import math
from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Context, Decimal
from html import escape

from econ.harmless import one_line

MINUS = "\u2212"
THREE = Context(prec=3, rounding=ROUND_HALF_UP)
VOID = frozenset({"input", "meta", "br"})
LONGEST = 2000
"""Characters of one text that a page shows."""


class Html(str):
    """Text that is markup already; any other text is escaped where it is put in."""

    __slots__ = ()


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


def table(heads: Iterable[object], rows: Iterable[Iterable[object]], caption: str, **attributes: object) -> Html:
    """A table with a caption; the first cell of each row is its heading."""
    head = tag("tr", *(tag("th", text, scope="col") for text in heads))
    body = (tag("tr", tag("th", first, scope="row"), *(tag("td", cell) for cell in rest)) for first, *rest in rows)
    parts = (tag("caption", caption), tag("thead", head), tag("tbody", *body))
    return tag("table", *parts, **attributes)


def rounded(value: float) -> float:
    """Three figures, a half away from zero."""
    return float(THREE.create_decimal(Decimal(value)))


def plain(value: float) -> str:
    """Three figures with thousands apart: 64,600, 13.9, 0.74."""
    size = abs(rounded(value))
    if size == 0:
        return "0"
    places = max(0, 2 - math.floor(math.log10(size)))
    return f"{MINUS if value < 0 else ''}{size:,.{places}f}"


def money(value: float, currency: str) -> str:
    """An amount to three figures: $64,600, EUR 64,600, −$1,200."""
    sign = MINUS if rounded(value) < 0 else ""
    return f"{sign}{'$' if currency == 'USD' else f'{currency} '}{plain(abs(value))}"


def probability(share: float, samples: int) -> str:
    """Whole per cent; never a certainty that so many simulation runs cannot give (rule of three)."""
    if not 0 < share < 1:
        return f"less than {_limit(samples)}" if share <= 0 else f"more than {100 - 300 / samples:.10g}%"
    percent = math.floor(share * 100 + 0.5)
    return "less than 1%" if percent < 1 else "more than 99%" if percent > 99 else f"{percent}%"


def _limit(samples: int) -> str:
    return f"{300 / samples:.10g}%"
