"""The one rule for blanks: what a row that nobody filled is taken to be, with range, how known and source.

A row's own `default` or `factor` comes first; then what other rows say of it (`_hanging`). A blank row that
neither fills is a part that this plant lacks. Ends still blank are filled afterwards (`fill_ranges`), by what a
number is and how it is known. The shares of a stream make one whole: one given alone leaves the others in
proportion.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from econ.errors import InputFault
from econ.evidence import factors, substances
from econ.fields import record, replace
from econ.inputs.lanes import either, is_column, summed
from econ.inputs.records import Caution, Entry, by_age, instances, system_of
from econ.inputs.rows import Row
from econ.units import in_system, unit

Entries = dict[str, Entry]
CONSTITUENTS = ("water", "fat", "protein", "ash")
WHOLE = (0.98, 1.02)
"""What an assay of all four may add up to; the model scales it to 1."""
SET = "--set"
"""How the place of a row begins that was set on the command line."""

HEADS = dict.fromkeys(("beef-mixed", "beef-femur", "green-bone", "meaty-trim"), "head_beef")
"""Kinds of bone for which the bone of one animal is known well enough to be a default."""
LEAST_SOLD = 0.1
"""Share of the char that may sell where nobody said how much (P10): a choice of kilncase."""
CHARGE_WATER = {"tea": "tea_water", "compost": "compost_water"}


@record(frozen=True, slots=True)
class Filling:
    """A value in canonical units that stands in a blank row, with its range and where it comes from."""

    value: float
    low: float | None
    high: float | None
    known: str
    source: str = ""
    factor: str = ""

    @classmethod
    def by_factor(cls, row: Row, name: str) -> Filling:
        """The factor `name` of the evidence, given in the row's `factor_unit` or its first unit."""
        found = factors.factor(name)
        own = unit(row.factor_unit) if row.factor_unit else row.unit_choices("currency")[0]
        low, high = (None if end is None else own.to_canonical(end) for end in (found.low, found.high))
        return cls(own.to_canonical(found.value), low, high, f"default: {found.mark}", found.source.text, name)

    @classmethod
    def by_row(cls, row: Row) -> Filling | None:
        """The row's own factor or default; None where it has neither."""
        if row.factor:
            return cls.by_factor(row, row.factor)
        if not isinstance(row.default, int | float):
            return None
        own = row.unit_choices("currency")[0]
        low, high = (None if end is None else own.to_canonical(end) for end in row.default_range or (None, None))
        return cls(own.to_canonical(float(row.default)), low, high, "default", row.if_blank)


def resolve_defaults(entries: Entries) -> None:
    """Fill every blank number row that has a default, its own or one that hangs on other rows."""
    for key, entry in entries.items():
        if entry.is_default and entry.row.is_number and (own := Filling.by_row(entry.row)):
            _fill(entries, key, own)
    for key, found in _hanging(entries):
        _fill(entries, key, found)
    _organic_by_difference(entries)


def _fill(entries: Entries, key: str, found: Filling) -> None:
    if entries[key].value is None:
        entries[key] = replace(
            entries[key], value=found.value, low=found.low, high=found.high, known=found.known,
            source=in_system(found.source, system_of(entries)), factor=found.factor,
        )  # fmt: skip


def _hanging(entries: Entries) -> Iterator[tuple[str, Filling]]:
    """Defaults that hang on another row: the kind of bone, what is mixed in, whether the fuel is modelled."""
    streams = _streams(entries)
    for stream in streams:
        yield from _stream(entries, stream, str(entries[f"{stream}.kind"].value))
    yield from _sales(entries)
    charge = str(entries["finish.charge"].value)
    planted = bool(instances(entries, "planting", "count"))
    electric = "_electric" if entries["fuel.1.kind"].value == "electricity" else ""
    dry = "" if entries["handling.compost_basis"].value == "wet" else "_dry"
    for key, name, asked in (
        ("excluded.risk_part", "risk_bone", any(by_age(entries, stream) for stream in streams)),
        ("finish.charge_water_share", CHARGE_WATER.get(charge, ""), charge in CHARGE_WATER),
        ("kiln.efficiency", f"eff_kiln{electric}", True),
        ("kiln.steel_per_load", "steel_per_load", entries["kiln.steel_mass"].value is None),
        ("carbon.stack_ch4", _stack_ch4(entries, streams), True),
        ("soil.build", "m3_build", planted),
        ("soil.sample_depth", "soil_depth", planted),
        ("soil.density", "soil_rho", planted),
        ("bones.bulk_density", "rho_raw", entries["kiln.volume"].value is not None),
        ("handling.compost_ch4", f"cmp_ch4{dry}", True),
        ("handling.compost_n2o", "cmp_n2o_per_n", True),
    ):
        if asked:
            yield key, Filling.by_factor(entries[key].row, name)


def _streams(entries: Mapping[str, Entry]) -> list[str]:
    return [key.removesuffix(".kind") for key in entries if key.startswith("bones.") and key.endswith(".kind")]


def _stack_ch4(entries: Entries, streams: list[str]) -> str:
    """The factor of stack methane: with an afterburner, else for a dry or a wet load."""
    if entries["carbon.afterburner"].value == "yes":
        return "kiln_ch4v_burner"
    dry = factors.factor("kiln_dry_feed").value / 100
    is_wet = any(float(entries[f"{stream}.water_share"].value or 0) > dry for stream in streams)
    return "kiln_ch4v_wet" if is_wet else "kiln_ch4v_retort"


def _stream(entries: Entries, stream: str, kind: str) -> Iterator[tuple[str, Filling]]:
    """Composition by kind, the bone of an animal where heads are counted, no condemned parts where none typed."""
    made_of = substances.composition(kind)
    for name, share in made_of.components().items():
        found = Filling(share.value, share.low, share.high, f"default: {made_of.mark}", made_of.source.text)
        yield f"{stream}.{name}_share", found
    if entries[f"{stream}.heads"].value is not None and entries[f"{stream}.mass"].value is None and kind in HEADS:
        at = f"{stream}.bone_per_head"
        yield at, Filling.by_factor(entries[at].row, HEADS[kind])
    if entries[f"{stream}.older_share"].value is not None:
        yield f"{stream}.condemned_share", Filling(0.0, None, None, "default")


def _sales(entries: Entries) -> Iterator[tuple[str, Filling]]:
    """A price not said earns nothing. An amount not said may be a tenth or all: all is sold at the values.

    "All of it" from somebody who only guesses has the range of a guess.
    """
    yield "product.1.price", Filling(0.0, 0.0, 0.0, "not said")
    limit, customers = entries["product.1.market_limit"], entries["product.1.customers"]
    if limit.value is None and customers.value is None:
        if not limit.said:
            yield "market.sales_share", Filling(1.0, LEAST_SOLD, 1.0, "not said")
        elif factors.how_known(limit.known) not in ("measured", "quoted"):
            yield "market.sales_share", Filling(1.0, None, 1.0, "guessed")


def _organic_by_difference(entries: Entries) -> None:
    """Organic carbon is total carbon less carbonate carbon where both are typed and it is blank."""
    organic, total, carbonate = (entries[f"carbon.{name}_share"] for name in ("organic", "total", "caco3"))
    if organic.value is not None or total.value is None or carbonate.value is None:
        return
    value = total.number - carbonate.number * substances.C_PER_CACO3_REPORTING
    entries[organic.row.key] = replace(
        organic, value=value, known=total.known,
        source="total carbon less CaCO3 × 12/100", where=total.where, is_default=False,
    )  # fmt: skip


def fill_ranges(entries: dict[str, Entry]) -> None:
    """Give every number that holds a value both ends; an end that was typed stays as typed.

    Whole numbers and choices in number's clothing are held. Zero stays zero where the range is a multiple.
    """
    choices = {key: entry.value for key, entry in entries.items() if isinstance(entry.value, str)}
    facts = dict(_hanging(entries))
    for key, entry in entries.items():
        if entry.row.is_number and entry.value is not None and (entry.low is None or entry.high is None):
            entries[key] = filled(entry, choices, facts.get(key))
        if is_column(entry.dropped):
            plain, kept = filled(replace(entry, low=None, high=None), choices, facts.get(key)), entries[key]
            low, high = (either(entry.dropped, *both) for both in ((plain.low, kept.low), (plain.high, kept.high)))  # type: ignore[arg-type]
            entries[key] = replace(kept, low=low, high=high)


def filled(entry: Entry, choices: dict[str, str], fact: Filling | None = None) -> Entry:
    """The entry with both ends, within the bounds of its row; `fact` would stand there if it were blank."""
    value, row = entry.number, entry.row
    if row.fixed or row.kind == "whole":
        return replace(entry, low=value, high=value)
    found = factors.default_range(row.key, entry.known, choices)
    low, high = found.ends(value)
    if found.measure == "fact" and (fact := fact or Filling.by_row(row)):
        low, high = min(low, fact.low or 0.0), max(high, fact.high or 0.0)
    low, high = min(max(low, row.lowest), value), max(min(high, row.highest), value)
    if row.above_lowest and low <= row.lowest:
        low = value
    return replace(
        entry,
        low=low if entry.low is None else entry.low,
        high=high if entry.high is None else entry.high,
        range_by=found.label if low < high or found.measure == "held" else "",
    )


def given_alone(entries: Mapping[str, Entry], stream: str) -> tuple[list[Entry], list[Entry]]:
    """The shares of a stream that stand as given, and those that follow in proportion; none where none do.

    Shares set on the command line go before those typed, typed ones before defaults.
    """
    parts = [entries[f"{stream}.{name}_share"] for name in CONSTITUENTS]
    for stands in (lambda part: part.where.startswith(SET), lambda part: not part.is_default):
        given = [part for part in parts if stands(part)]
        if given:
            return given, [part for part in parts if part not in given]
    return [], []


def keep_in_proportion(entries: dict[str, Entry]) -> None:
    """Scale the shares that were not given so that the four of each stream make 1."""
    for stream in _streams(entries):
        given, others = given_alone(entries, stream)
        left, whole = 1 - _total(given), _total(others)
        if others and left > 0 and whole > 0:
            for part in others:
                value = None if part.value is None else part.number * (left / whole)
                low, high = (None if end is None else end * (left / whole) for end in (part.low, part.high))
                high = None if high is None else min(high, 1.0)
                entries[part.row.key] = replace(part, value=value, low=low, high=high)


def _total(parts: list[Entry]) -> float:
    return summed(part.number for part in parts if part.value is not None)


def share_faults(entries: Mapping[str, Entry]) -> Iterator[InputFault]:
    """Shares that cannot make one whole."""
    for stream in _streams(entries):
        given, others = given_alone(entries, stream)
        total = _total(given)
        if others and total >= 1:
            asked = "Enter less than 100 % together: the others need room"
            yield InputFault(given[0].where, f"{total:.1%} with what is given beside it", asked)
        elif given and not others and not WHOLE[0] <= total <= WHOLE[1]:
            asked = "Enter shares that make 98 to 102 %"
            yield InputFault(given[0].where, f"the components add up to {total:.1%}", asked)


def share_cautions(entries: Mapping[str, Entry]) -> Iterator[Caution]:
    """Says which shares follow from one that was given alone."""
    for stream in _streams(entries):
        given, others = given_alone(entries, stream)
        if given and others:
            labels, rest = (", ".join(part.row.label for part in parts) for parts in (given, others))
            text = f"{labels}: given alone. The others keep their proportion and fill the rest: {rest}."
            yield Caution("others-in-proportion", text, given[0].where)
