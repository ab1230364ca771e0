"""Numbers as people type them into a cell: "$38,000", "5%", "1/2", "2-3", "12 (8-15)", "about 400", "1,000 lbs".

Spreadsheet programs turn such entries into text. What can be read in one way only is read; what cannot is left
as it is, and refused where the cell is judged (`cells.py`).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable

from econ.fields import record, replace
from econ.harmless import one_line
from econ.inputs.lanes import is_column
from econ.units import seen

LONGEST = 80
"""Characters of a cell that are looked at: a number needs fewer."""
DOLLARS = ("USD", "CAD", "AUD", "NZD")
SIGNS = {"$": DOLLARS, "€": ("EUR",), "£": ("GBP",), "₹": ("INR",), "¢": (*DOLLARS, "EUR")}
NOTHING = frozenset({"none", "zero", "nothing", "nil", "free", "no charge"})
PARTS = frozenset({2, 3, 4, 5, 6, 8, 10, 12, 16})
"""Parts of a whole in which people count; 50/50 and 24/7 are no numbers."""
FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅕": "1/5", "⅛": "1/8", "⅜": "3/8"}
COINS = {"C": "CAD", "A": "AUD"}
TIMES = {"k": 1e3, "thousand": 1e3, "million": 1e6, "mio": 1e6}

# as texts: most workbooks hold numbers, and these take 8 ms to make ready
_ABOUT = r"(?i)^(about|approximately|approx\.?|around|roughly|circa|ca\.?|c\.|est\.?|~|≈)\s*"
_FIGURE = r"[0-9][0-9.,'’ \u00a0\u202f]*[0-9]|[0-9]|[.,][0-9]+"
_NUMBER = rf"(?:(?:[0-9]+ )?[0-9]+ ?/ ?[0-9]+|{_FIGURE})(?:[eE][+-]?[0-9]{{1,3}})?"
_TIMES = r"(?:K|\s*(?:k|(?i:thousand|mio|million(?! btu))))\b"  # 900 K is a temperature
_DIGITS = re.compile(r"-?[0-9]+(?:\.[0-9]+)?")
_WHOLE = (
    rf"^(?P<minus>[-−–])?\s*(?P<sign>[$€£₹]|[A-Z]{{3}}\b)?\s*(?P<minus2>[-−–])?(?P<first>{_NUMBER})(?P<k>{_TIMES})?"
    rf"(?:\s*(?:-|–|—|to|\.\.\.?)\s*[$€£₹]?\s*(?P<second>{_NUMBER})(?P<k2>{_TIMES})?)?"
    rf"(?:\s*\((?P<low>{_NUMBER})\s*(?:-|–|—|to)\s*(?P<high>{_NUMBER})\))?\s*(?P<unit>\S.*)?$"
)
_GIVE_OR_TAKE = rf"^(.*[0-9][^±]*?)\s*(?:±|\+/-|\+-)\s*({_NUMBER})\s*([^0-9]*)$"
_CENTS = r"(?i)^(?:¢|cents?\b|cts?\b)\s*"
_TIDY: tuple[tuple[str, str | Callable[[re.Match[str]], str]], ...] = (
    (r"(?<=[0-9])[.,](?:-{1,2}|–|—)(?![0-9])", ""),  # 60,-
    (rf"\s*([{''.join(FRACTIONS)}])\s*", lambda found: f" {FRACTIONS[found[1]]} "),
    (r"^[+'’]\s*(?=[$€£₹0-9.,])", ""),
    (r"^\(\s*([$€£₹]?\s*[0-9][^()]*)\)$", r"-\1"),  # (500), as accountants write it
    (r"(?i)\bdollars?\b", "$"),
    (r"(?i)\beuros?\b", "€"),
    (r"^(US|CA?|AU?|NZ)\s?\$\s*", lambda found: f"{COINS.get(found[1], found[1][:2] + 'D')} "),
    (r"(?i)^(?:between|from)\s+(\S.*?)\s+(?:and|to)\s+(?=[$€£₹0-9])", r"\1 - "),
    (  # the unit behind both ends: 85 kWh - 110 kWh
        rf"^(?P<first>\D{{0,4}}{_NUMBER})\s*(?P<unit>(?!{_TIMES})[^\s\d/.,–—-][^\d–—-]*?)"
        rf"\s*(?:-|–|—|\bto\b|\.\.\.?)\s*(?P<second>{_NUMBER})\s*(?P=unit)$",
        r"\g<first> - \g<second> \g<unit>",
    ),
)
"""What is spelt in another way before a number is looked for."""
_SHORT_COMMA = r"^\D{0,3}([0-9]+),([0-9]{1,2})(?![0-9.,])"
_FRACTION = r"^(?:([0-9]+) )?([0-9]+) ?/ ?([0-9]+)$"
_POINT_GROUPS = r"^[0-9]{1,3}(?:[.'’ \u00a0\u202f][0-9]{3})+$"
_COMMA_GROUPS = r"^[0-9]{1,3}(?:[,'’ \u00a0\u202f][0-9]{3})+$"
_AFTER = r"(?:[0-9]{1,2}|[0-9]{4,})(?![0-9.,])"  # three digits could be a group
_PLAIN = re.compile(r"-?[0-9]*\.?[0-9]+(?:[eE][+-]?[0-9]+)?(?![0-9.,'’/]|\s+[0-9]|[kK]\b)")
THREE_BEHIND = re.compile(r"\D{0,6}[1-9][0-9]{0,2},[0-9]{3}(?![0-9.,])")
"""Three digits behind a comma: thousands, or decimals where a table is parted by semicolons."""
_COMMA_MARK = re.compile(rf"(?<![0-9.,])[0-9]+(?:\.[0-9]{{3}})*,{_AFTER}")
_POINT_MARK = re.compile(rf"(?<![0-9.,])[0-9]+(?:,[0-9]{{3}})*\.{_AFTER}")


@record(frozen=True, slots=True)
class Reading:
    """What a text says: the value, its ends where it is a range, the unit's text, a currency sign, "about"."""

    value: float
    ends: tuple[float, float] | None = None
    unit: str = ""
    sign: str = ""
    about: bool = False


def read_number(text: str, comma: bool = False) -> Reading | None:
    """The number a text says, None where it says none or more than one.

    comma: whether the decimal mark is a comma; then "6.500" is six thousand five hundred.
    """
    text = text.strip()
    if len(text) > LONGEST:
        return None
    if _DIGITS.fullmatch(text) and not comma:
        value = float(text)
        return Reading(value) if math.isfinite(value) else None
    text = seen(text)
    if text.lower() in NOTHING:
        return Reading(0.0)
    rest = re.sub(_ABOUT, "", text)
    for pattern, spelt in _TIDY:
        rest = re.sub(pattern, spelt, rest).strip()
    found = re.match(_GIVE_OR_TAKE, rest)
    one = _give_or_take(found, comma) if found else _plainly(rest, comma)
    return one and replace(one, about=re.match(_ABOUT, text) is not None)


def _plainly(text: str, comma: bool) -> Reading | None:
    """A number or a range of a tidy text."""
    found = re.match(_WHOLE, text)
    if found is None:
        return None
    first, second = _figure(found["first"], comma, found["k"]), _figure(found["second"], comma, found["k2"])
    if found["k2"] and not found["k"] and first is not None and second is not None:
        times = TIMES[found["k2"].strip().lower()]  # 30-38k counts both in thousands
        first *= times if first * times <= second else 1
    minus = bool(found["minus"] or found["minus2"])
    if first is None or (found["second"] and (second is None or second < first or minus)):
        return None
    ends = None if second is None else (first, second)
    value = first if second is None else (first + second) / 2
    if found["low"]:
        low, high = (_figure(found[end], comma, None) for end in ("low", "high"))
        if low is None or high is None or ends or minus or not low <= value <= high:
            return None
        ends = low, high
    one = Reading(-value if minus else value, ends, (found["unit"] or "").strip(), found["sign"] or "")
    if not re.match(_CENTS, one.unit) or one.sign:  # of cents, no sign of a currency stands before them
        return None if re.match(_CENTS, one.unit) else one
    ends = one.ends and (one.ends[0] / 100, one.ends[1] / 100)
    return replace(one, value=one.value / 100, ends=ends, unit=re.sub(_CENTS, "", one.unit), sign="¢")


def _give_or_take(found: re.Match[str], comma: bool) -> Reading | None:
    """A number and what it may be off by, in the same unit."""
    one, by = _plainly(found[1], comma), _figure(found[2], comma, None)
    if one is None or by is None or one.ends or found[3] not in ("", one.unit):
        return None
    return replace(one, ends=(one.value - by, one.value + by))


def _figure(text: str | None, comma: bool, times: str | None) -> float | None:
    """One number without sign: digits in groups, a decimal mark, or a fraction."""
    if text is None:
        return None
    if whole := re.match(_FRACTION, text):
        above, below = int(whole[2]), int(whole[3])
        return int(whole[1] or 0) + above / below if above < below and below in PARTS else None
    mark, groups = (",", _POINT_GROUPS) if comma else (".", _COMMA_GROUPS)
    power = re.search(r"[eE][+-]?[0-9]+$", text)
    left, _, right = (text[: power.start()] if power else text).partition(mark)
    if not (left.isdigit() or re.match(groups, left) or not left) or (right and not right.isdigit()):
        return None
    digits = re.sub(r"\D", "", left)
    value = float(f"{digits or '0'}.{right or '0'}{power[0] if power else ''}")
    value *= TIMES[times.strip().lower()] if times else 1
    return value if math.isfinite(value) else None


def decimal_commas(items: Iterable[object]) -> bool:
    """Whether numbers typed as text on a sheet show a decimal comma ("6,5"), and none shows a point."""
    texts = [item for item in items if isinstance(item, str) and len(item) <= LONGEST]
    return any(map(_COMMA_MARK.search, texts)) and not any(map(_POINT_MARK.search, texts))


def how_to_write(item: object) -> str:
    """Of a text that begins like a number with a decimal comma: what to write instead."""
    found = re.match(_SHORT_COMMA, re.sub(_ABOUT, "", item.strip())) if isinstance(item, str) else None
    return f"; write {found[1]}.{found[2]}, with a point" if found else ""


def is_plain(item: str) -> bool:
    """Whether a text begins with a plain number that nothing was made of."""
    return _PLAIN.match(item) is not None


def shown(item: object) -> str:
    """A cell in a sentence: a number plainly, anything else as a short text."""
    return plain_figure(item) if isinstance(item, int | float) else one_line(item, 40)


def plain_figure(number: float, figures: int = 6) -> str:
    """A number for a sentence: so many figures or whole, thousands marked, never with an exponent."""
    if is_column(number):
        return str(number)
    if number == 0 or not math.isfinite(number):
        return "0" if number == 0 else "no number"
    if abs(number) >= 1e15:
        return f"a number of {math.floor(math.log10(abs(number))) + 1} digits"
    places = max(0, figures - 1 - math.floor(math.log10(abs(number))))
    text = f"{number:,.{min(places, 15)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def signed_figure(number: float, figures: int) -> str:
    """A number rounded to so many figures, with its sign, never with an exponent."""
    rounded = float(f"{number:.{figures}g}")
    return f"{'+' if rounded >= 0 else ''}{plain_figure(rounded, figures)}"
