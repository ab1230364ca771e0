"""Errors and cautions between the rows on equipment, grant, loan, market, other ways and own planting."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from econ.errors import InputFault
from econ.inputs.records import Caution, Entry, Line, TableData, instances
from econ.inputs.schema import blocks

Entries = Mapping[str, Entry]


def option_faults(entries: Entries) -> Iterator[InputFault]:
    """Blocks filled without a kind; shares of the present mix that do not make 100 %."""
    filled = [n for n in range(1, blocks()["option"].count + 1) if f"option.{n}.kind" in entries]
    for n in filled:
        kind = entries[f"option.{n}.kind"]
        others = (entries[f"option.{n}.{row.key}"] for row in blocks()["option"].rows if row.key != "kind")
        if kind.value is None and any(entry.value is not None for entry in others):
            yield InputFault(
                kind.where, f"option {n} filled without saying which way it is", "a choice of the list"
            )
    shares = [entries[f"option.{n}.share_today"] for n in filled]
    typed = [share for share in shares if share.value is not None]
    total = math.fsum(share.number for share in typed)
    if typed and not math.isclose(total, 1.0, abs_tol=1e-6):
        yield InputFault(typed[0].where, f"a present mix that adds up to {total:.2%}", "parts that make 100 %")
    for n in filled:
        if (
            entries[f"option.{n}.kind"].value == "gate-fee"
            and entries[f"option.{n}.share_today"].value is not None
        ):
            yield InputFault(
                entries[f"option.{n}.share_today"].where, "bones of others as part of today's mix", "an empty cell"
            )


RATES = ("char_per_tree", "char_per_length", "char_per_area")


def planting_faults(entries: Entries) -> Iterator[InputFault]:
    """Blocks of planting whose char is counted twice or cannot be counted."""
    for n in instances(entries, "planting", "count"):
        typed = [word for word in RATES if _filled(entries, n, word)]
        if len(typed) > 1:
            yield InputFault(
                entries[f"planting.{n}.{typed[1]}"].where,
                f"char counted {len(typed)} ways in planting {n}",
                "one of: for one tree, for a length of row, for an area",
            )
            continue
        yield from _uncountable(entries, n, typed[0] if typed else "")
    if entries["planting.1.count"].value is None:
        yield from _orphans(entries)


def _filled(entries: Entries, n: int, word: str) -> bool:
    return entries[f"planting.{n}.{word}"].value is not None


def _orphans(entries: Entries) -> Iterator[InputFault]:
    """The first block is always there: rows of it without the number of trees, rows or beds."""
    words = [key for key, entry in entries.items() if key.startswith("planting.1.") and entry.value is not None]
    if words:
        yield InputFault(entries["planting.1.count"].where, "planting 1 without its number", "how many there are")


def _uncountable(entries: Entries, n: int, rate: str) -> Iterator[InputFault]:
    kind = entries[f"planting.{n}.kind"].value or "trees"
    way = entries[f"planting.{n}.way"].value or {"trees": "hole", "rows": "row"}.get(str(kind), "broadcast")
    per = rate or ("char_per_tree" if way == "hole" else "char_per_area")
    length = "spacing" if kind == "trees" else "length"
    if per == "char_per_tree" and kind != "trees":
        yield InputFault(
            entries[f"planting.{n}.kind"].where, f"{kind} with char by the tree",
            "trees, or another way to count the char",
        )  # fmt: skip
    missing = {
        "char_per_tree": (),
        "char_per_length": (length,),
        "char_per_area": () if _filled(entries, n, "area") else (length, "width"),
    }[per]
    for word in missing:
        if not _filled(entries, n, word):
            entry = entries[f"planting.{n}.{word}"]
            yield InputFault(entry.where, f"an empty cell for {entry.row.label!r}", "a number: the char is by it")


def trial_faults(tables: Mapping[str, TableData]) -> Iterator[InputFault]:
    """Lines of the garden trials that cannot be."""
    for line in tables["trials"].lines if "trials" in tables else ():
        yield from _line(line)


def _line(line: Line) -> Iterator[InputFault]:
    sown, sprouted = line.number("trials.sown"), line.number("trials.sprouted")
    if sprouted is not None and sown is None:
        yield InputFault(line.at("trials.sown"), "seeds that sprouted, and none sown", "how many were sown")
    if sown is not None and sprouted is not None and sprouted > sown:
        yield InputFault(
            line.at("trials.sprouted"), f"{sprouted:.0f} sprouted of {sown:.0f} sown", "no more than were sown"
        )


LOAN = ("loan.principal", "loan.share", "loan.rate", "loan.years", "loan.grace_months")


def money_faults(entries: Entries) -> list[InputFault]:
    """Every contradiction between these rows."""
    return [*_equipment(entries), *_wear(entries), *_grant(entries), *_loan(entries)]


def money_warnings(entries: Entries) -> list[Caution]:
    """Every caution that these rows alone call for."""
    return [*_own_use(entries), *_owner(entries), *_long_loan(entries)]


def _long_loan(entries: Entries) -> Iterator[Caution]:
    years, last = entries["loan.years"], _study_years(entries)
    if _typed(entries, "loan.years") and years.number > last:
        yield Caution(
            "loan-outlives-study",
            f"The loan of {years.number:.0f} years outlives the study of {last:.0f}: what is left of it is taken "
            "to be repaid with the last year.",
            years.where,
        )


def _typed(entries: Entries, key: str) -> bool:
    return key in entries and entries[key].value is not None and not entries[key].is_default


def _numbers(entries: Entries, block: str) -> list[int]:
    return sorted({entry.row.number for entry in entries.values() if entry.row.block == block})


def _study_years(entries: Entries) -> float:
    """The years of the study; without end where that row is itself at fault."""
    entry = entries["money.study_years"]
    return math.inf if entry.value is None else entry.number


def _gap(entry: Entry, expected: str) -> InputFault:
    return InputFault(entry.place, f"an empty cell for {entry.row.label!r}", expected)


def _equipment(entries: Entries) -> Iterator[InputFault]:
    years = _study_years(entries)
    for n in _numbers(entries, "equipment"):
        rows = {key: entry for key, entry in entries.items() if key.startswith(f"equipment.{n}.")}
        cost = rows[f"equipment.{n}.cost"]
        if cost.value is None and any(_typed(entries, key) for key in rows):
            yield _gap(cost, "a number; if it costs nothing, type 0")
        bought = rows[f"equipment.{n}.year_bought"]
        if bought.value is not None and bought.number >= years:
            yield InputFault(
                bought.where, f"year {bought.number:.0f}", f"a year before the last of the study ({years:.0f})"
            )


def _wear(entries: Entries) -> Iterator[InputFault]:
    for n in _numbers(entries, "wear"):
        cost, life = entries[f"wear.{n}.cost"], entries[f"wear.{n}.life"]
        named = _typed(entries, f"wear.{n}.item")
        if cost.value is None and (named or life.value is not None):
            yield _gap(cost, "a number; if it costs nothing, type 0")
        if cost.value is not None and life.value is None:
            yield _gap(life, "a number of years")


def _grant(entries: Entries) -> Iterator[InputFault]:
    if _typed(entries, "grant.share") and _typed(entries, "money.grant") and entries["money.grant"].number:
        entry = entries["grant.share"]
        yield InputFault(entry.where, "a share as well as an amount of the grant", "one of them")
    year = entries["grant.year"]
    last = _study_years(entries)
    if year.value is not None and year.number > last:
        yield InputFault(year.where, f"year {year.number:.0f}", f"a year of the study (1 to {last:.0f})")


def _loan(entries: Entries) -> Iterator[InputFault]:
    typed = [key for key in LOAN if _typed(entries, key)]
    if not typed:
        return
    amounts = [key for key in ("loan.principal", "loan.share") if key in typed]
    if len(amounts) == 2:
        yield InputFault(entries["loan.share"].where, "a share as well as an amount of the loan", "one of them")
    if not amounts:
        yield _gap(entries["loan.principal"], "the loan, as an amount or a share, or no row on a loan at all")
    for key in ("loan.rate", "loan.years"):
        if key not in typed:
            yield _gap(entries[key], "a number, since there is a loan")
    if "loan.years" not in typed:
        return
    years, grace = entries["loan.years"], entries["loan.grace_months"]
    if grace.value is not None and grace.number >= 12 * years.number:
        yield InputFault(
            grace.where, f"{grace.number:.0f} months", f"fewer than the {12 * years.number:.0f} of the term"
        )


def _own_use(entries: Entries) -> Iterator[Caution]:
    avoided = entries["own_use.purchase_avoided"]
    if avoided.value is not None and entries["own_use.soil_test"].value != "below-optimum":
        yield Caution(
            "own-use-worth-nothing",
            "Own use is counted as worth nothing: no soil test below optimum for phosphorus was given.",
            avoided.where,
        )


def _owner(entries: Entries) -> Iterator[Caution]:
    hours, worth = entries["owner.hours"], entries["owner.hour_worth"]
    if hours.value is not None and worth.value is None:
        yield Caution(
            "owner-works-for-nothing",
            "The owner's own hours are typed without what an hour is worth: they cost nothing here.",
            worth.where,
        )
