"""What one typed cell means, alone or in a table: its number and unit, what is said of them, what is refused.

A text that says a number in one way only is read, and said back in a caution.
"""

from __future__ import annotations

import datetime as dt
import math
import re
import sys
from collections.abc import Iterator, Mapping
from typing import Any

from econ.errors import InputFault
from econ.evidence.factors import how_known
from econ.fields import record, replace
from econ.harmless import one_line
from econ.inputs.as_typed import NOTHING, SIGNS, Reading, how_to_write, is_plain, plain_figure, read_number, shown
from econ.inputs.records import Caution, ErrorCell, Typed, Uncalculated, is_empty, is_number, is_text
from econ.inputs.rows import Row
from econ.shipped import described
from econ.units import Unit, match

MOST = sys.float_info.max
"""A whole number of a workbook may have hundreds of digits, more than a float can hold."""
LEAST = 1e-9
"""Of a row that must be above 0, the least value in canonical units: dividing by less leads nowhere."""
COLUMNS = ("value", "low", "high")
READ_BACK = "read-as"
"""The caution that only says how a cell was read."""
YES_OR_NO = {"true": "yes", "y": "yes", "false": "no", "n": "no"}
DATE = "the date or time {}"
ODD: tuple[tuple[type | tuple[type, ...], str, str], ...] = (
    (type(None), "blank", ""),
    (Uncalculated, "a formula that was never calculated", ", or open and save it in a spreadsheet program"),
    (ErrorCell, "the error value {}", ", or mend the formula"),
    ((dt.time, dt.timedelta), DATE, "; programs turn 4:30 into a time: for four and a half hours write 4.5"),
    (dt.date, DATE, "; spreadsheet programs turn 2-3 and 1/2 into a date"),
)
"""Kinds of cells that hold no number: how an error names one, and what else to do about it."""

_EITHER = re.compile(r"^(?:€\s*)?([1-9][0-9]{0,2})\.([0-9]{3})(?![0-9.,])")
"""A point before three digits marks thousands or decimals, as the country has it."""
_BARE_T = re.compile(r"(?<![\w%])t(?!\w)", re.I)
_SPELT = (
    (re.compile(r"^(?:a|an|each|every)\s+|^/\s*|^per\s+", re.I), "per "),
    (re.compile(r"\s+(?:a|an|each|every)\s+", re.I), " per "),
    (re.compile(r"\b(week|month|year)ly\b", re.I), r"per \1"),
    (re.compile(r"\bannually\b|\bp\.?\s?a\b\.?", re.I), "per year"),
)
_TON_BESIDE = re.compile(r"(?:\w{3} per )?(short_ton|tonne)\b")
_A_BATCH = re.compile(r"\s*(?:/|\bper\b)\s*(?:batch|load|firing)$", re.I)
_UNKNOWN = re.compile(r"[-–—?.x/]+|n\.?/?a\.?|t\.?b\.?[acd]\.?|unknown|not known|don't know|no idea", re.I)
_HEARSAY = re.compile(described("words", "evidence")["hearsay"], re.I)
_ONE_SIDED = re.compile(r"[<>≤≥]|(?:up to|at least|at most|over|under|less than|more than|max|min)\b", re.I)


@record(frozen=True, slots=True)
class Manner:
    """How the numbers of a sheet are written: with a decimal comma or not, in which units and currency."""

    comma: bool
    system: str
    currency: str
    is_chosen: bool = False


def say(item: object) -> str:
    """A cell's content as an error names it."""
    if is_text(item):
        return f"the text {one_line(item)[:60]!r}" if item.strip() else "blank"
    if isinstance(item, int) and abs(item) > MOST:
        digits = math.floor(math.log10(abs(item))) + 1
        return f"a number of {digits - (10 ** (digits - 1) > abs(item))} digits"
    if isinstance(item, bool):
        return str(item).upper()
    if isinstance(item, int | float):
        return plain_figure(item) if math.isfinite(item) else "no finite number"
    words = next((words for kind, words, _ in ODD if isinstance(item, kind)), "")
    return words.format(item) or f"something of the kind {type(item).__name__!r}"


def number(row: Row, item: object, unit: Unit | None, where: str) -> float:
    """The canonical value of a number cell; raises InputFault for anything that is not a usable number."""
    kind = "Enter a whole number" if row.kind == "whole" else "Enter a number"
    asked = f"{kind} ({unit.name})" if unit else kind
    if not is_number(item) or abs(item) > MOST or item != item:
        raise InputFault(where, say(item), f"{asked}{advice(row, item)}")
    item = item if isinstance(item, float) else float(item)
    value = unit.to_canonical(item) if unit else item
    if abs(value) > MOST:  # finite as typed, and not in the unit of the model
        raise InputFault(where, say(item), asked)
    if row.kind != "whole" and row.lowest + LEAST * row.above_lowest <= value <= row.highest:
        return value
    slack = 1e-12 * max(abs(value), 1.0)
    too_low = value < (row.lowest + LEAST if row.above_lowest else row.lowest - slack)
    if too_low or value > row.highest + slack:
        raise InputFault(where, say(item), f"{kind} {_limit(row, unit, too_low)}{_hint(row, unit, item, value)}")
    if row.kind == "whole" and value != int(value):
        raise InputFault(where, say(item), asked)
    return value


def advice(row: Row, item: object) -> str:
    """What else to do about a cell that holds no number."""
    if found := next((words for kind, _, words in ODD if isinstance(item, kind)), ""):
        return found
    if isinstance(item, str) and _UNKNOWN.fullmatch(item.strip()):
        return ": your best guess, with a low and a high" if row.required else ", or leave the cell blank"
    if isinstance(item, str) and _ONE_SIDED.match(item.strip()):
        beside = ", and a low and a high beside it" if row.heading else ", as 0.1 for 'less than 0.1'"
        return f" without a sign{beside}"
    return how_to_write(item)


def _limit(row: Row, unit: Unit | None, too_low: bool) -> str:
    """The bound that a number went past, in the unit typed."""
    end = row.lowest if too_low else row.highest
    words = f"{plain_figure(unit.from_canonical(end) if unit else end)}{f' {unit.name}' if unit else ''}"
    least = "above" if row.above_lowest else "of at least"
    return f"{least if too_low else 'of at most'} {words}"


def _hint(row: Row, unit: Unit | None, item: float, value: float) -> str:
    if unit is not None and unit.short == "fraction" and 1 < item <= 100:
        return f" (for {item:g} percent type {item / 100:g}, or choose the unit %)"
    if not row.above_lowest or not row.lowest < value < (least := row.lowest + LEAST):
        return ""
    return f", no closer to it than {plain_figure(unit.from_canonical(least) if unit else least)}"


def unit_of(
    row: Row, item: object, own: Unit | None, currency: str, may_be_empty: bool, where: str, name: str = ""
) -> Unit | None:
    """The unit that a cell names, `own` where it may be empty; raises InputFault for any other.

    It may be empty where nothing is typed beside it, or one unit alone is allowed: a template fills it in.
    """
    if own is None or (is_empty(item) and may_be_empty):
        return own
    allowed = row.unit_choices(currency)
    found = match(item, own, allowed, currency) if isinstance(item, str) and not is_empty(item) else None
    if found is None:
        wrong = "no unit" if is_empty(item) else f"{say(item)} as the unit"
        names = "; ".join(choice.name for choice in allowed)
        way = "Write in brackets behind the heading" if ".csv!" in where.lower() else "Choose"
        raise InputFault(where, wrong, f"{which_ton(str(item))}{way} one of: {names}", name)
    return found


def unit_beside(row: Row, item: object, system: str, currency: str) -> Unit | None:
    """The unit that the unit cell of a row names, that of a blank workbook where it is not understood."""
    own = row.start_unit(system, currency)
    found = match(item, own, row.unit_choices(currency), currency) if own and isinstance(item, str) else None
    return found or own


def which_ton(words: str) -> str:
    """A question for the unit "ton", which is two things."""
    is_ton = re.search(r"\btons?\b", words, re.I) and not re.search("short|metric|long", words, re.I)
    return "Which ton, short (2,000 lb) or metric (1,000 kg)? " if is_ton else ""


def choice(row: Row, item: object, where: str) -> str:
    """The slug of a choice cell, or InputFault naming the choices; TRUE and FALSE are yes and no."""
    words = str(item).strip() if isinstance(item, str | bool) else ""
    found = row.option(YES_OR_NO.get(words.lower(), words))
    if found is None:
        raise InputFault(where, say(item), choose(row))
    return found.slug


def choose(row: Row) -> str:
    """What to do about a choice cell."""
    return f"Choose one of: {'; '.join(option.label for option in row.choices)}"


def text(item: object) -> str:
    """A text cell as one harmless line of at most 200 characters."""
    return "" if item is None else one_line(item)


def as_number(row: Row, typed: Typed, manner: Manner, cautions: list[Caution]) -> Typed:
    """The row with texts that are numbers as numbers, a range in its ends, a unit typed in a cell as the unit.

    What was read is added to `cautions`; other texts stay. A value by hearsay is guessed, whatever was chosen.
    Raises InputFault for a unit or currency it cannot have.
    """
    known, source = how_known(text(typed.known)), text(typed.source)
    if known != "guessed" and not is_empty(typed.value) and _HEARSAY.search(source):
        said = f"It counts as guessed, not as {known}, until it is measured or in writing."
        cautions.append(Caution("hearsay", f"{row.label}: {source!r} is hearsay. {said}", typed.at("value")))
        typed = replace(typed, known="guessed")
    if isinstance(typed.unit, str) and _BARE_T.search(typed.unit):
        said = f"{row.label}: the unit {one_line(typed.unit)!r} was read as tonne (1,000 kg), not as a short ton."
        cautions.append(Caution(READ_BACK, said, typed.at("unit")))
    read = {
        column: reading
        for column in COLUMNS
        if (reading := one_reading(item := getattr(typed, column), manner, typed.at(column))) is not None
        if column == "value" or not (reading.ends or item.strip().lower() in NOTHING)
    }
    if not read:
        return typed
    beside = unit_beside(row, typed.unit, manner.system, manner.currency)
    units = {end: unit_behind(row, one, beside, manner.currency, typed.at(end)) for end, one in read.items()}
    target = next((one for column in COLUMNS if (one := units.get(column))), None)
    changed: dict[str, Any] = {}
    for column, reading in read.items():
        ends = reading.ends or (reading.value, reading.value)
        numbers = [carried(number, units[column], target) for number in (reading.value, *ends)]
        changed[column] = numbers[0]
        if reading.ends and typed.low is None and typed.high is None:
            changed["low"], changed["high"] = numbers[1:]
    found = replace(typed, **changed, unit=target.short if target else typed.unit)
    cautions += _said(row, typed, found, read, target, beside)
    return found


def one_reading(item: object, manner: Manner, where: str) -> Reading | None:
    """The number a text says in the manner of its sheet, None where it says none, or is no text.

    Raises InputFault for "41.500 €" where no other number of the sheet tells what its point is.
    """
    if not is_text(item):
        return None
    item = item.strip()
    if "€" in item and manner.currency in SIGNS["€"] and not manner.comma and (either := _EITHER.match(item)):
        decimal = f"{either[1]}.{either[2]}".rstrip("0").rstrip(".")
        raise InputFault(where, f"the text {one_line(item, 40)!r}", f"Write {either[1]}{either[2]} or {decimal}")
    return read_number(item, manner.comma)


def carried(number: Any, old: Unit | None, new: Unit | None) -> Any:
    """A number of one unit in another; as it is where either is not known, or where it is no number."""
    moves = is_number(number) and old != new
    return new.from_canonical(old.to_canonical(number)) if moves and old and new else number


def unit_behind(row: Row, reading: Reading, beside: Unit | None, currency: str, where: str) -> Unit | None:
    """The unit typed beside the number in its own cell; None where there is none."""
    sign = reading.sign or next((one for one in reading.unit if one in SIGNS), "")
    if sign and (not row.is_money or currency not in SIGNS.get(sign, (sign,))):
        unit_name = beside.name if beside else "no unit"
        raise InputFault(where, f"an amount with {sign!r}", f"Enter a number; this row is in {unit_name}")
    words = reading.unit
    for pattern, spelt in _SPELT:
        words = pattern.sub(spelt, words)
    words = re.sub("[$€£₹]", currency, words).strip()
    if "batch" in row.label.lower():  # hours per batch, of one batch
        words = _A_BATCH.sub("", words)
    if not words:
        return None
    if beside and which_ton(words) and (own := _TON_BESIDE.match(beside.short)):
        words = re.sub(r"\btons?\b", own[1], words, flags=re.I)
    allowed = row.unit_choices(currency)
    plain = reading.unit.strip()  # "each" may be the unit itself
    tries = (plain, words, f"{currency} {words}", f"{currency} per {words}") if row.is_money else (plain, words)
    found = next((one for text in tries if beside and (one := match(text, beside, allowed, currency))), None)
    if found is None:
        names, ton = "; ".join(choice.name for choice in allowed), which_ton(words)
        asked = f"{ton}Use" if ton else "Enter the number alone" + (", or with" if names else "")
        asked += f" one of these units: {names}" if names else ""
        raise InputFault(where, f"the words {reading.unit[:40]!r} behind a number", asked)
    return found


def _said(
    row: Row, typed: Typed, found: Typed, read: Mapping[str, Reading], target: Unit | None, beside: Unit | None
) -> Iterator[Caution]:
    """What was made of the cells, for the person who typed them."""
    unit = target or (None if is_empty(typed.unit) and len(row.units) > 1 else beside)
    for column, reading in read.items():
        words = shown(getattr(found, column))
        if reading.ends:
            words += f", low {shown(found.low)}, high {shown(found.high)}"
        words += f" ({unit.name})" if unit else ""
        asked = " Give a low and a high for a figure that is not exact." if reading.about else ""
        if target and beside and target != beside and typed.unit:
            asked += f" The unit in the cell counts, not the one in the unit column ({beside.name})."
        said = f"{row.label}: {one_line(getattr(typed, column))!r} was read as {words}.{asked}"
        yield Caution(READ_BACK, said, typed.at(column))


def said_back(row: Row, item: str, reading: Reading, unit: Unit | None, where: str) -> Iterator[Caution]:
    """What was made of a text set on the command line or in a table, where it is no plain number with a unit."""
    if reading.ends or not is_plain(item) or (_EITHER.match(item) and reading.value >= 1000):
        words = shown(reading.value) + (f" ({unit.name})" if unit else "")
        yield Caution(READ_BACK, f"{row.label}: {one_line(item, 60)!r} was read as {words}.", where)
