"""The summary of many plants: sheets of its workbook, and an 80-column screen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from econ.many.columns import Columns, is_word
from econ.many.journal import FIGURES
from econ.many.summary import EXPLAINED, PERCENTILES, SPREADS, TOTALS, Outcome, Summary, bins
from econ.many.tables_out import TITLE, unit_of
from econ.workbook.plain_book import Chart, Column, Sheet, Table, write_plain_book

NAMES = {
    "p0": "least",
    "p10": "10 %",
    "p25": "25 %",
    "p50": "middle",
    "p75": "75 %",
    "p90": "90 %",
    "p100": "most",
}
SHOWN_LINKS = 15
CAUTION = "Says what goes together across these plants, not what causes it; inputs that move together share it."


def write_summary_book(
    path: Path, summary: Summary, columns: Columns, names: Sequence[str], found: Iterable[Sequence[Any]]
) -> None:
    """Write the workbook: Summary, What explains it, Plants, Not used."""
    sheets = [_answer(summary, columns), _explains(summary), _plants(names, found)]
    if summary.faults:
        sheets.append(_faults(summary))
    write_plain_book(path, TITLE, sheets)


def _answer(summary: Summary, columns: Columns) -> Sheet:
    share = summary.pay / summary.used if summary.used else 0.0
    pay = f"{summary.pay} of {summary.used}"
    counts = Table(
        "How many pay", (Column(""), Column("Plants", "n0"), Column("Share", "pct0")),
        (("Used", summary.used, None), ("Not used (sheet Not used)", summary.not_used, None),
         ("The kiln pays", summary.pay, share), ("The kiln does not pay", summary.used - summary.pay, 1 - share)),
    )  # fmt: skip
    ends = tuple(Column(NAMES[f"p{at}"], "money0") for at in PERCENTILES)
    spreads = Table(
        "Spread across the plants", (Column("Figure"), *ends, Column("Unit", "text"), Column("Plants", "n0")),
        [(s.label, *(s.percentiles.get(f"p{at}") for at in PERCENTILES), s.unit, s.plants)
         for s in summary.spreads],
    )  # fmt: skip
    totals = Table(
        "Totals of all plants", (Column("Figure"), Column("Total", "n1"), Column("Unit", "text"),
                                 Column("Plants", "n0"), Column("Withheld", "n0")),
        [(t.label, t.total, t.unit, t.plants, t.withheld) for t in summary.totals],
        "The carbon blocks are never added to each other. Not reported: plants that have no such figure.",
    )  # fmt: skip
    tables = (counts, spreads, totals, *_histogram(summary, columns))
    return Sheet("Summary", f"The kiln pays in {pay} plants", (40, 13, 18, *[13] * 4, 13, 18, 9), tables)


def _histogram(summary: Summary, columns: Columns) -> tuple[Table, ...]:
    """How many plants lie in each class of net cost, for the commonest currency."""
    if not summary.used:
        return ()
    main = np.asarray(columns.currency) == summary.links_currency
    costs = np.asarray(columns.figures["net_cost_per_t_bones"])[main]
    found = bins(costs, (np.asarray(columns.figures["npv"]) >= 0)[main])
    unit = f"{summary.links_currency} per t"
    chart = Chart("column", "Plants by net cost per tonne of bones", 0, (1, 2), unit, "plants")
    return (
        Table(
            "Plants by net cost per tonne of bones",
            (Column(f"From, to below [{unit}]", "text"), Column("Kiln pays", "n0"), Column("Does not pay", "n0")),
            [(f"{low:,.0f} - {high:,.0f}", yes, no) for low, high, yes, no in found],
            chart=chart,
        ),
    )  # fmt: skip


def _explains(summary: Summary) -> Sheet:
    labels = {name: label for name, (label, _) in {**SPREADS, **TOTALS}.items()}
    columns = (Column("Input"), Column("Rank correlation", "n2"), Column("Plants", "n0"),
               Column("Beyond chance", "text"), Column("Key", "text"))  # fmt: skip
    tables = []
    for answer in EXPLAINED:
        found = [link for link in summary.links if link.answer == answer]
        chart = Chart("bar", f"{labels[answer]}: strongest inputs", 0, (1,), "", "rank correlation", SHOWN_LINKS)
        tables.append(
            Table(
                labels[answer],
                columns,
                [(x.label, x.correlation, x.plants, "yes" if x.beyond_chance else "no", x.key) for x in found],
                CAUTION if found else "Too few plants, or no input that differs between them.",
                chart,
            )
        )
    groups = Table(
        "By choice", (Column("Input and choice"), Column("Plants", "n0"), Column("The kiln pays", "n0"),
                      Column(f"Net cost [{summary.links_currency}/t]", "money0"), Column("Key", "text")),
        [(f"{g.label}: {g.choice}", g.plants, g.pay, g.median_net_cost_per_t_bones, g.key)
         for g in summary.groups],
    )  # fmt: skip
    return Sheet(
        "What explains it",
        "Which inputs explain the differences",
        (58, 14, 13, 16, 26),
        (*tables, *([groups] if summary.groups else [])),
    )


def _plants(names: Sequence[str], found: Iterable[Sequence[Any]]) -> Sheet:
    columns = tuple(
        Column(f"{name} [{unit}]" if (unit := unit_of(name)) else name, _number_of(name, unit)) for name in names
    )
    wide = {"plant": 30.0, "fault": 60.0, "warnings": 110.0}
    widths = tuple(wide.get(name, 16.0) for name in names)
    return Sheet("Plants", "Every plant", widths, (Table("Figures and inputs by plant", columns, found),))


def _number_of(name: str, unit: str) -> str:
    """The number format of a column of the plants."""
    if is_word(name):
        return "text"
    if name in {"irr", "mirr"}:
        return "pct1"
    return "money0" if unit == "currency" else "n2" if name in FIGURES else "sig"


def _faults(summary: Summary) -> Sheet:
    columns = (Column("Plant"), Column("Where", "text"), Column("What was found", "text"))
    return Sheet("Not used", "Plants that could not be used", (34, 34, 120),
                 (Table("Mend these and start again: only they are run", columns, summary.faults),))  # fmt: skip


SHOWN = 5
"""Bad plants and explaining inputs named on the screen; the rest stand in the workbook and the JSON."""


def screen(outcome: Outcome) -> str:
    """The summary in words, narrower than 80 columns but for names and faults of the person's own."""
    return "\n".join(_lines(outcome))


def nothing_usable(outcome: Outcome) -> str:
    """Why a run of many plants has no answer, in one line: the first fault, and how many more there are."""
    name, place, fault = outcome.summary.faults[0]
    more = len(outcome.summary.faults) - 1
    first = fault.splitlines()[0]
    return f"None of the plants could be used. {name} ({place}): {first}{f'; and {more:,} more' if more else ''}"


def _of_the_journal(outcome: Outcome) -> Iterator[str]:
    """What was odd in the journal, and which plants have other figures than it said."""
    done, name = outcome.done, outcome.target.with_suffix(".journal").name
    if done.odd_lines:
        shown = ", ".join(map(str, done.odd_lines[:SHOWN])) + (", ..." if len(done.odd_lines) > SHOWN else "")
        yield f"Lines of {name} that are no records, so not believed and run again: {shown}."
    if done.changed:
        more = f" and {len(done.changed) - SHOWN:,} more" if len(done.changed) > SHOWN else ""
        yield f"Other figures than {name} held, now mended: {', '.join(done.changed[:SHOWN])}{more}."


def _lines(outcome: Outcome) -> Iterator[str]:
    summary, done = outcome.summary, outcome.done
    yield f"{summary.plants:,} plants: {done.run_now:,} run now, {done.found_finished:,} finished before."
    yield f"The kiln pays in {summary.pay:,} of {summary.used:,} plants; {summary.not_used:,} could not be used."
    yield from _of_the_journal(outcome)
    yield from _spreads(summary)
    yield from _totals(summary)
    yield from _explained(summary)
    if summary.faults:
        yield ""
        yield "Not used:"
        for name, place, fault in summary.faults[:SHOWN]:
            yield f"  {name} ({place}): {fault}"
        if len(summary.faults) > SHOWN:
            yield f"  and {len(summary.faults) - SHOWN:,} more"
    yield ""
    yield f"Results: {outcome.target}"


def _spreads(summary: Summary) -> Iterator[str]:
    if summary.spreads:
        yield ""
        yield f"{'Across the plants':<31}{'10 %':>12}{'middle':>12}{'90 %':>12}"
    for found in summary.spreads:
        if found.percentiles:
            ends = "".join(f"{found.percentiles[at]:>12,.0f}" for at in ("p10", "p50", "p90"))
            yield f"{found.label:<31}{ends} {found.unit}"


def _totals(summary: Summary) -> Iterator[str]:
    if summary.totals:
        yield ""
        yield "Totals"
    for found in summary.totals:
        less = f" ({found.withheld:,} not reported)" if found.withheld else ""
        yield f"{found.label:<36}{found.total:>14,.1f} {found.unit}{less}"


def _explained(summary: Summary) -> Iterator[str]:
    labels = {name: label for name, (label, _) in {**SPREADS, **TOTALS}.items()}
    for answer in EXPLAINED[:1]:
        found = [link for link in summary.links if link.answer == answer and link.beyond_chance]
        if found:
            yield ""
            yield f"{labels[answer]} goes with (rank correlation):"
        for link in found[:SHOWN]:
            yield f"  {link.correlation:+.2f}  {link.label}"
