"""Numbers as people type them into a cell: "$38,000", "5%", "1/2", "2-3", "12 (8-15)", "about 400", "1,000 lbs".

Spreadsheet programs turn such entries into text. What can be read in one way only is read, and said back as
a caution; what cannot is left as it is, and refused where the cell is read.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from econ.errors import InputFault
from econ.harmless import one_line
from econ.inputs.lanes import is_column
from econ.inputs.records import Caution, ErrorCell, Typed
from econ.inputs.rows import Row
from econ.units import Unit, match

LONGEST = 80
"""Characters of a cell that are looked at: a number needs fewer."""
SIGNS = {"$": ("USD", "CAD", "AUD", "NZD"), "€": ("EUR",), "£": ("GBP",), "₹": ("INR",)}
COLUMNS = ("value", "low", "high")
READ_BACK = frozenset({"read-as", "unit-in-cell"})
"""Cautions that only say how a cell was read."""
NOTHING = frozenset({"none", "zero", "nothing", "nil"})

PARTS = frozenset({2, 3, 4, 5, 6, 8, 10, 12, 16})
"""Parts of a whole in which people count; 50/50 and 24/7 are no numbers."""

_ABOUT = re.compile(r"^(about|approximately|approx\.?|around|roughly|circa|ca\.?|c\.|est\.?|~|≈)\s*", re.I)
_FIGURE = r"[0-9][0-9.,'’ \u00a0\u202f]*[0-9]|[0-9]|[.,][0-9]+"
_NUMBER = rf"(?:(?:[0-9]+ )?[0-9]+ ?/ ?[0-9]+|{_FIGURE})(?:[eE][+-]?[0-9]{{1,3}})?"
_WHOLE = re.compile(
    rf"^(?P<minus>[-−–])?\s*(?P<sign>[$€£₹]|[A-Z]{{3}}\b)?\s*(?P<minus2>[-−–])?(?P<first>{_NUMBER})(?P<k>[kK]\b)?"
    rf"(?:\s*(?:-|–|—|to|\.\.\.?)\s*[$€£₹]?\s*(?P<second>{_NUMBER})(?P<k2>[kK]\b)?)?"
    rf"(?:\s*\((?P<low>{_NUMBER})\s*(?:-|–|—|to)\s*(?P<high>{_NUMBER})\))?\s*(?P<unit>\S.*)?$"
)
_TWICE = re.compile(  # the unit behind both ends: 85 kWh - 110 kWh
    rf"^(?P<first>\D{{0,4}}{_NUMBER})\s*(?P<unit>(?![kK]\b)[^\s\d/.,–—-][^\d–—-]*?)\s*(?:-|–|—|\bto\b|\.\.\.?)\s*"
    rf"(?P<second>{_NUMBER})\s*(?P=unit)$"
)
_NO_CENTS = re.compile(r"(?<=[0-9])[.,](?:-{1,2}|–|—)(?![0-9])")  # 60,-
_SHORT_COMMA = re.compile(r"^\D{0,3}([0-9]+),([0-9]{1,2})(?![0-9.,])")
_EITHER = re.compile(r"^(?:€\s*)?([1-9][0-9]{0,2})\.([0-9]{3})(?![0-9.,])")
"""A point before three digits marks thousands or decimals, as the country has it."""
_EACH = re.compile(r"^(?:a|an|each|every)\s+|^/\s*|^per\s+", re.I)
_MIDST = re.compile(r"\s+(?:a|an|each|every)\s+", re.I)
_BARE_T = re.compile(r"(?<![\w%])t(?!\w)", re.I)
_FRACTION = re.compile(r"^(?:([0-9]+) )?([0-9]+) ?/ ?([0-9]+)$")
_POINT_GROUPS = re.compile(r"^[0-9]{1,3}(?:[.'’ \u00a0\u202f][0-9]{3})+$")
_COMMA_GROUPS = re.compile(r"^[0-9]{1,3}(?:[,'’ \u00a0\u202f][0-9]{3})+$")
_AFTER = r"(?:[0-9]{1,2}|[0-9]{4,})(?![0-9.,])"  # three digits could be a group
_PLAIN = re.compile(r"-?[0-9]*\.?[0-9]+(?:[eE][+-]?[0-9]+)?(?![0-9.,'’/]|\s+[0-9]|[kK]\b)")
_COMMA_MARK = re.compile(rf"(?<![0-9.,])[0-9]+(?:\.[0-9]{{3}})*,{_AFTER}")
_POINT_MARK = re.compile(rf"(?<![0-9.,])[0-9]+(?:,[0-9]{{3}})*\.{_AFTER}")


@dataclass(frozen=True, slots=True)
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
    if text.lower() in NOTHING:
        return Reading(0.0)
    rest = _TWICE.sub(r"\g<first> - \g<second> \g<unit>", _NO_CENTS.sub("", _ABOUT.sub("", text), count=1))
    found = _WHOLE.match(rest)
    if found is None:
        return None
    first = _figure(found["first"], comma, found["k"])
    second = _figure(found["second"], comma, found["k2"]) if found["second"] else None
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
    unit = (found["unit"] or "").strip()
    is_about = _ABOUT.match(text) is not None
    return Reading(-value if minus else value, ends, unit, found["sign"] or "", is_about)


def _figure(text: str, comma: bool, thousands: str | None) -> float | None:
    """One number without sign: digits in groups, a decimal mark, or a fraction."""
    if whole := _FRACTION.match(text):
        above, below = int(whole[2]), int(whole[3])
        return int(whole[1] or 0) + above / below if above < below and below in PARTS else None
    mark, groups = (",", _POINT_GROUPS) if comma else (".", _COMMA_GROUPS)
    power = re.search(r"[eE][+-]?[0-9]+$", text)
    body = text[: power.start()] if power else text
    left, _, right = body.partition(mark)
    if not (left.isdigit() or groups.match(left) or not left) or (right and not right.isdigit()):
        return None
    digits = re.sub(r"\D", "", left)
    value = float(f"{digits or '0'}.{right or '0'}{power[0] if power else ''}")
    value *= 1000 if thousands else 1
    return value if math.isfinite(value) else None


def decimal_commas(items: Iterable[object]) -> bool:
    """Whether numbers typed as text on a sheet show a decimal comma ("6,5"), and none shows a point."""
    texts = [item for item in items if isinstance(item, str) and len(item) <= LONGEST]
    return any(map(_COMMA_MARK.search, texts)) and not any(map(_POINT_MARK.search, texts))


@dataclass(frozen=True, slots=True)
class Manner:
    """How the numbers of a sheet are written: with a decimal comma or not, in which units and currency."""

    comma: bool
    system: str
    currency: str


def as_number(row: Row, typed: Typed, manner: Manner, cautions: list[Caution]) -> Typed:
    """The row with texts that are numbers as numbers, a range in its ends, a unit typed in a cell as the unit.

    What was read is added to `cautions`. Texts that say no number stay. Raises InputFault for a number with a
    unit or a currency that the row cannot have.
    """
    if isinstance(typed.unit, str) and _BARE_T.search(typed.unit):
        text = f"{row.label}: the unit {one_line(typed.unit)!r} was read as tonne (1,000 kg), not as a short ton."
        cautions.append(Caution("read-as", text, typed.at("unit")))
    read = {
        column: reading
        for column in COLUMNS
        if isinstance(item := getattr(typed, column), str) and not isinstance(item, ErrorCell)
        if (reading := read_number(item, manner.comma)) is not None
        if column == "value" or not (reading.ends or item.strip().lower() in NOTHING)
    }
    if not read:
        return typed
    for column in read:
        _check_thousands(str(getattr(typed, column)).strip(), manner, typed.at(column))
    own = row.start_unit(manner.system, manner.currency)
    beside = typed_unit(row, typed.unit, manner.system, manner.currency) or own
    units = {
        column: unit_behind(row, reading, beside, manner, typed.at(column)) for column, reading in read.items()
    }
    target = next((one for column in COLUMNS if (one := units.get(column))), None)
    changed: dict[str, Any] = {}
    for column, reading in read.items():
        ends = reading.ends or (reading.value, reading.value)
        numbers = [_carried(number, units[column], target) for number in (reading.value, *ends)]
        changed[column] = numbers[0]
        if reading.ends and typed.low is None and typed.high is None:
            changed["low"], changed["high"] = numbers[1:]
    found = replace(typed, **changed, unit=target.short if target else typed.unit)
    cautions += _said(row, typed, found, read, target, beside)
    return found


def _check_thousands(item: str, manner: Manner, where: str) -> None:
    """Refuse "41.500 €" where no other number of the sheet tells what its point is."""
    if "€" in item and manner.currency in SIGNS["€"] and not manner.comma and (found := _EITHER.match(item)):
        decimal = f"{found[1]}.{found[2]}".rstrip("0").rstrip(".")
        raise InputFault(where, f"the text {one_line(item, 40)!r}", f"Write {found[1]}{found[2]} or {decimal}")


def column_number(row: Row, item: object, unit: Unit | None, where: str, said: list[Caution]) -> object:
    """A cell of a table: the number its text says, in the unit above the column; else the cell as it is.

    What was read is added to `said`. Raises InputFault for a unit in the cell that the column cannot have.
    """
    reading = read_number(item) if isinstance(item, str) and not isinstance(item, ErrorCell) else None
    if reading is None or reading.ends:
        return item
    own = unit_behind(row, reading, unit, Manner(False, "metric", ""), where)
    said += said_back(row, str(item), reading, own or unit, where)
    return _carried(reading.value, own, unit)


def typed_unit(row: Row, item: object, system: str, currency: str) -> Unit | None:
    """The unit that the unit cell of a row names; None where it is empty or not understood."""
    own = row.start_unit(system, currency)
    if own is None or not isinstance(item, str):
        return None
    return match(item, own, row.unit_choices(currency), currency)


def _carried(number: float, old: Unit | None, new: Unit | None) -> float:
    return new.from_canonical(old.to_canonical(number)) if old and new and old != new else number


def unit_behind(row: Row, reading: Reading, beside: Unit | None, manner: Manner, where: str) -> Unit | None:
    """The unit typed beside the number in its own cell; None where there is none."""
    currency = manner.currency
    sign = reading.sign or next((one for one in reading.unit if one in SIGNS), "")
    if sign and (not row.is_money or currency not in SIGNS.get(sign, (sign,))):
        unit_name = beside.name if beside else "no unit"
        raise InputFault(where, f"an amount with {sign!r}", f"Enter a number; this row is in {unit_name}")
    words = re.sub(
        r"^dollars?\b|[$€£₹]", currency, _MIDST.sub(" per ", _EACH.sub("per ", reading.unit)), flags=re.I
    ).strip()
    if not words:
        return None
    allowed = row.unit_choices(currency)
    plain = reading.unit.strip()  # "each" may be the unit itself
    tries = (plain, words, f"{currency} {words}", f"{currency} per {words}") if row.is_money else (plain, words)
    found = next((one for text in tries if beside and (one := match(text, beside, allowed, currency))), None)
    if found is None:
        raise InputFault(
            where, f"the words {reading.unit[:40]!r} behind a number", _units_asked(row, words, currency)
        )
    return found


def _units_asked(row: Row, words: str, currency: str) -> str:
    names = "; ".join(choice.name for choice in row.unit_choices(currency))
    which = which_ton(words)
    return f"{which}Use one of these units: {names}" if names else "Enter a number alone"


def which_ton(words: str) -> str:
    """A question for the unit "ton", which is two things."""
    is_ton = re.search(r"\btons?\b", words, re.I) and not re.search("short|metric|long", words, re.I)
    return "Which ton, short (2,000 lb) or metric (1,000 kg)? " if is_ton else ""


def _said(
    row: Row, typed: Typed, found: Typed, read: Mapping[str, Reading], target: Unit | None, beside: Unit | None
) -> Iterator[Caution]:
    """What was made of the cells, for the person who typed them."""
    unit = target or beside
    for column, reading in read.items():
        words = shown(getattr(found, column))
        if reading.ends:
            words += f", low {shown(found.low)}, high {shown(found.high)}"
        words += f" ({unit.name})" if unit else ""
        asked = " Give a low and a high for a figure that is not exact." if reading.about else ""
        text = f"{row.label}: {one_line(getattr(typed, column))!r} was read as {words}.{asked}"
        yield Caution("read-as", text, typed.at(column))
    if target and beside and target != beside and typed.unit:
        yield Caution(
            "unit-in-cell",
            f"{row.label}: the unit in the cell ({target.name}) counts, not the one in the unit column "
            f"({beside.name}).",
            typed.at("unit"),
        )


def how_to_write(item: object) -> str:
    """Of a text that begins like a number with a decimal comma: what to write instead."""
    found = _SHORT_COMMA.match(_ABOUT.sub("", item.strip())) if isinstance(item, str) else None
    return f"; write {found[1]}.{found[2]}, with a point" if found else ""


def is_plain(item: str) -> bool:
    """Whether a text begins with a plain number that nothing was made of."""
    return _PLAIN.match(item) is not None


def said_back(row: Row, item: str, reading: Reading, unit: Unit | None, where: str) -> Iterator[Caution]:
    """What was made of a text set on the command line or in a table, where it is no plain number with a unit."""
    if reading.ends or not is_plain(item):
        words = shown(reading.value) + (f" ({unit.name})" if unit else "")
        yield Caution("read-as", f"{row.label}: {one_line(item, 60)!r} was read as {words}.", where)


def shown(item: object) -> str:
    """A cell in a sentence: a number plainly, anything else as a short text."""
    return plain_figure(item) if isinstance(item, int | float) else one_line(item, 40)


def plain_figure(number: float) -> str:
    """A number for a sentence: six figures, thousands marked, never with an exponent."""
    if is_column(number):
        return str(number)
    if number == 0 or not math.isfinite(number):
        return "0" if number == 0 else "no number"
    if abs(number) >= 1e15:
        return f"a number of {math.floor(math.log10(abs(number))) + 1} digits"
    places = max(0, 5 - math.floor(math.log10(abs(number))))
    text = f"{number:,.{min(places, 15)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
