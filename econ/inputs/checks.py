"""Errors and cautions that the typed rows alone call for: the table `checks.csv`, and the checks it cannot say."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from econ.errors import InputFault
from econ.evidence import substances
from econ.evidence.factors import SPANS, Span
from econ.fields import replace
from econ.inputs import defaults, ranges
from econ.inputs.as_typed import plain_figure
from econ.inputs.check_rules import Check, Entries, Found, Scope, rules, walk
from econ.inputs.lanes import summed
from econ.inputs.records import Caution, Entry, TableData, Typed, instances
from econ.inputs.schema import rows
from econ.units import Unit, counted, unit

Tables = Mapping[str, TableData]

TABLE = Path(__file__).parent / "checks.csv"
NOT_ASKED = re.compile(
    r"carbon\.persistence_position|bones\.ash_(p|ca)_share|kiln\.(residue_ratio|steel_per_load|fat_drip_share)"
    r"|finish\.dust_share|product\.soluble_share|bones\.\d+\.(water|fat|protein|ash)_share"
    r"|(handling|haul)\..*|carbon\.displaced.*|kiln\.efficiency.*"
)
"""Defaults that few plants can better, what the kind of bone tells, and rows on what others do with bones."""
CLAIMS = re.compile(r"\b(offset\w*|carbon[ -]negative|carbon[ -]neutral\w*|net[ -]zero)\b", re.IGNORECASE)
LIKE_A_DOLLAR = frozenset({"USD", "EUR", "GBP", "CAD", "AUD", "NZD", "CHF"})
"""Currencies within about a factor of two of the dollar, for which spans in dollars say something."""
SMALL_SHARE = 0.01
CENTS = "cents"


def excused(typed: Mapping[str, Typed]) -> frozenset[str]:
    """Required rows that may stay empty because others stand in for them.

    The fuel of a batch where the modelled fuel is asked for; the hours of a batch where tasks are given; the
    hauler's contract where the saving is typed, its amount by weight where one by barrel or head is.
    """
    filled = {key for key, row in typed.items() if not row.is_blank}
    basis = typed.get("fuel.basis", Typed()).value
    option = rows()["fuel.basis"].option(basis) if isinstance(basis, str) else None
    by_rows = {
        "fuel.1.per_batch": option is not None and option.slug == "modelled",
        "labour.hours_per_batch": any(key.startswith("task.") and key.endswith(".hours") for key in filled),
        "contract.fixed": "current.saving" in filled,
        "contract.per_mass": not filled.isdisjoint(("current.saving", "contract.per_piece")),
    }
    return frozenset(key for key, is_excused in by_rows.items() if is_excused)


def faults(entries: Entries, tables: Tables) -> list[InputFault]:
    """Every contradiction between rows, within the tables, and between the two."""
    return [one for one in _walk(True, entries, tables) if isinstance(one, InputFault)]


def warnings(entries: Entries) -> list[Caution]:
    """Every caution that the typed rows alone call for."""
    return [one for one in _walk(False, entries, {}) if isinstance(one, Caution)]


def _walk(errors: bool, entries: Entries, tables: Tables) -> Iterator[Found]:
    asked = [rule for rule in rules(TABLE) if rule.is_error == errors]
    return (one for _, one in walk(asked, CHECKS, Scope(entries, {}, tables), entries, tables))


def measures(entry: Entry, kind: str, place: int) -> Iterator[InputFault]:
    """A fault where a fuel is counted or priced in a measure that is not its own."""
    if entry.unit is None:
        return
    measure = unit(substances.fuel(kind).measure)
    part = entry.unit.short.split(" per ")[place]
    alien = (part == "cord" and kind != "cordwood") or (part == "therm gas" and kind != "natural-gas")
    if entry.unit.dimension.split("/")[place] != measure.dimension or alien:
        expected = f"Choose a unit of {measure.dimension}, such as {measure.name}"
        yield InputFault(entry.where, f"{kind} in {entry.unit.name}", expected)


def _fuels(entries: Entries, tables: Tables) -> Iterator[InputFault]:
    """Each fuel needs kind and price, in a measure of its own; the first may be left to the model."""
    for n in sorted({1, *instances(entries, "fuel", "per_batch")}):
        kind, per_batch, price = (entries[f"fuel.{n}.{word}"] for word in ("kind", "per_batch", "price"))
        if missing := [entry for entry in (kind, price) if entry.value is None]:
            yield from (InputFault(entry.place, "blank", "Fill it: there is a fuel") for entry in missing)
            continue
        if per_batch.value is not None:
            yield from measures(per_batch, str(kind.value), 0)
        yield from measures(price, str(kind.value), 1)


def _logged_fuels(entries: Entries, tables: Tables) -> Iterator[InputFault]:
    """A fuel in the log that is switched on must be one of the scenario, and in a measure of its own."""
    log = tables.get("log")
    for n in (1, 2, 3) if log is not None and entries["log.use_fuel"].value == "yes" else ():
        assert log is not None
        key, kind = f"log.fuel_{n}", entries.get(f"fuel.{n}.kind")
        where = next((log.lines[at].at(key) for at, used in log.filled(key) if used > 0), None)
        if where is None:
            continue
        if kind is None or not isinstance(kind.value, str):
            yield InputFault(where, f"the log has a fuel {n} without a kind", f"Fill 'Fuel (fuel {n})'")
            continue
        counted = replace(entries[f"fuel.{n}.per_batch"], unit=log.units[key], where=where)
        yield from measures(counted, kind.value, 0)


def _dates(entries: Entries, tables: Tables) -> Iterator[InputFault]:
    """The date on which the method was fixed, where it is none."""
    entry = entries["claim.method_date"]
    try:
        dt.date.fromisoformat(str(entry.value or "2000-01-01")[:10])
    except ValueError:
        found, expected = f"the text {str(entry.value)[:40]!r}", "Enter a date as year-month-day: 2026-01-31"
        yield InputFault(entry.where, found, expected)


def _rough(entries: Entries, tables: Tables) -> Iterator[Caution]:
    open_rows = (one.row for one in entries.values() if one.is_default and one.has_range and not one.row.fixed)
    if blank := [row.label for row in open_rows if not NOT_ASKED.fullmatch(row.key)]:
        text = f"Preliminary result: {len(blank)} uncertain inputs are still defaults of kilncase. Replace them "
        text += f"with your own: {'; '.join(blank[:4])}{'; and others' if len(blank) > 4 else ''}."
        yield Caution("rough-answer", text)


def _claims(entries: Entries, tables: Tables) -> Iterator[Caution]:
    """The first claim in a text that these figures cannot carry."""
    for entry in entries.values():
        words = [entry.source, entry.remark, str(entry.value) if entry.row.kind == "text" else ""]
        if claim := next((found for text in words if (found := CLAIMS.search(text or ""))), None):
            text = f"{claim[0]!r} is a claim that these figures cannot carry: avoided emissions are no removal, "
            text += "and neither is a credit before it is verified."
            yield Caution("claim-wording", text, entry.where)
            return


def questions(entries: Entries) -> Iterator[Caution]:
    """One question for each typed number outside its span, each 0 where there is hardly nothing, each odd %."""
    by_key: dict[str, list[Entry]] = {}
    for entry in entries.values():
        by_key.setdefault(_plain_key(entry), []).append(entry)
    asked = {span.row for span in SPANS.all() if span.low > 0}
    for span in SPANS.all():
        for entry, scale in _measured_by(entries, span, by_key.get(span.row, [])):
            if (text := _outside(entries, span, entry, scale)) is not None:
                yield Caution("odd-number", text, entry.place)
    for entry in entries.values():
        if not _typed(entry):
            continue
        if entry.number == 0 and entry.row.zero_misleads and entry.row.number in {0, 1}:
            text = f"{entry.row.label}: 0 was typed. Is there really nothing? A guess with ends says more than 0."
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
        if _typed(entry) and entry.number != 0 and (scale := _scale(entries, span, entry)) is not None:
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
    fuel = substances.fuel(kind)
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
    number = counted(plain_figure(own.from_canonical(entry.number)), own.symbol)
    return f"{entry.row.label}: {number} is unusual (usual: {usual}). {asked}"


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
    if entry.number * 100 > entry.row.highest:
        return ""
    number = own.from_canonical(entry.number)
    return f"Is it {plain_figure(100 * number)} % or {plain_figure(number)} %?"


CHECKS: Mapping[str, Check] = {
    "bone_share_errors": lambda entries, _: defaults.share_faults(entries),
    "bone_share_cautions": lambda entries, _: defaults.share_cautions(entries),
    "range_errors": lambda entries, _: ranges.faults(entries),
    "range_cautions": lambda entries, _: ranges.warnings(entries),
    "unusual": lambda entries, _: questions(entries),
    "fuel_errors": _fuels,
    "logged_fuel_errors": _logged_fuels,
    "date_errors": _dates,
    "rough": _rough,
    "claims": _claims,
}
