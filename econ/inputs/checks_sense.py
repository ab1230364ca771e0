"""Questions about numbers that are possible but unusual: the slip that would explain them is asked about."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from econ import evidence
from econ.evidence.default_ranges import Span, spans
from econ.inputs.as_typed import plain_figure
from econ.inputs.lanes import summed
from econ.inputs.records import Caution, Entry, instances
from econ.units import Unit, unit

Entries = Mapping[str, Entry]

LIKE_A_DOLLAR = frozenset({"USD", "EUR", "GBP", "CAD", "AUD", "NZD", "CHF"})
"""Currencies within about a factor of two of the dollar, for which spans in dollars say something."""
SMALL_SHARE = 0.01
CENTS = "cents"


def questions(entries: Entries) -> Iterator[Caution]:
    """One question for each typed number outside its span, each 0 where there is hardly nothing, each odd %."""
    by_key: dict[str, list[Entry]] = {}
    for entry in entries.values():
        by_key.setdefault(_plain_key(entry), []).append(entry)
    asked = {span.row for span in spans() if span.low > 0}
    for span in spans():
        for entry, scale in _measured_by(entries, span, by_key.get(span.row, [])):
            if (text := _outside(entries, span, entry, scale)) is not None:
                yield Caution("odd-number", text, entry.place)
    for entry in entries.values():
        if not _typed(entry):
            continue
        if entry.number == 0 and entry.row.zero_misleads and entry.row.number in {0, 1}:
            text = f"{entry.row.label}: 0 was typed. Is there really nothing? A blank or a guess says more than 0."
            yield Caution("odd-number", text, entry.place)
        elif _plain_key(entry) not in asked and (percent := _percent_slip(entry)):
            yield Caution("odd-number", f"{entry.row.label}: {percent}", entry.place)


def _typed(entry: Entry) -> bool:
    return entry.row.is_number and entry.value is not None and not entry.is_default


def _plain_key(entry: Entry) -> str:
    """The key without the number of a block."""
    return entry.row.key.replace(f".{entry.row.number}.", ".") if entry.row.block else entry.row.key


def _measured_by(entries: Entries, span: Span, alike: list[Entry]) -> Iterator[tuple[Entry, float]]:
    """Entries a span is about, each with what its canonical value is to be multiplied by."""
    if span.unit.startswith("$") and entries["plant.currency"].value not in LIKE_A_DOLLAR:
        return
    for entry in alike:
        if not _typed(entry) or entry.number == 0:
            continue
        if (scale := _scale(entries, span, entry)) is not None:
            yield entry, scale


def _scale(entries: Entries, span: Span, entry: Entry) -> float | None:
    """What turns the canonical value into that of the span; None where the span is about something else."""
    if not span.when:
        return 1.0
    if span.when == "per bones":
        mass = summed(entries[f"bones.{n}.mass"].number for n in instances(entries, "bones", "mass"))
        return 1 / mass if mass else None
    kind = entries[f"fuel.{entry.row.number}.kind"].value
    if span.when != "per load":
        return 1.0 if kind == span.when else None
    load = entries["kiln.batch_load"]
    if entry.row.number != 1 or not isinstance(kind, str) or load.value is None:
        return None
    fuel = evidence.fuel(kind)
    return fuel.lhv_mj_per_unit / unit(fuel.measure).factor / load.number


def _outside(entries: Entries, span: Span, entry: Entry, scale: float) -> str | None:
    """The question about a number outside its span; None for a number inside."""
    currency = str(entries["plant.currency"].value)
    measure = unit(span.unit.replace("$", currency), currency)
    low, high = (measure.to_canonical(end) for end in (span.low, span.high))
    if low <= entry.number * scale <= high:
        return None
    own = entry.unit or measure
    is_low = entry.number * scale < low
    ends = [plain_figure(float(f"{own.from_canonical(end / scale):.3g}")) for end in (low, high)]
    usual = f"{ends[0]} to {ends[1]} {own.symbol}"
    slip = (span.slip_low if is_low else span.slip_high) or ""
    if slip == CENTS and entry.number * scale / 100 <= high:
        asked = "Was it typed in cents?"
    else:
        asked = _slip(entry, own, currency, low / scale, high / scale)
        asked = asked or (f"Is it {slip}?" if slip and slip != CENTS else "Check number and unit.")
    number = plain_figure(own.from_canonical(entry.number))
    return f"{entry.row.label}: {number} {own.symbol} is unusual (usual: {usual}). {asked}"


def _slip(entry: Entry, own: Unit, currency: str, low: float, high: float) -> str:
    """The other unit, or the hundredfold, in which the same number would be ordinary."""
    number = own.from_canonical(entry.number)
    for times in (100, 10) if own.short.startswith("%") else ():
        if low <= own.to_canonical(times * number) <= high:
            return f"Is it {plain_figure(times * number)} % or {plain_figure(number)} %?"
    for other in entry.row.unit_choices(currency):
        same = other.dimension.split("/")[:1] == own.dimension.split("/")[:1] or len(entry.row.units) <= 2
        if other != own and same and low <= other.to_canonical(number) <= high:
            return f"Was {plain_figure(number)} {other.name} meant?"
    return ""


def _percent_slip(entry: Entry) -> str:
    """The question about a share below 1 %: typed as a fraction in a cell of %."""
    own = entry.unit
    if own is None or own.short != "%" or not 0 < entry.number < SMALL_SHARE:
        return ""
    number = own.from_canonical(entry.number)
    if entry.number * 100 > entry.row.highest:
        return ""
    return f"Is it {plain_figure(100 * number)} % or {plain_figure(number)} %?"
