"""The summary of many plants on an 80-column screen."""

from __future__ import annotations

from collections.abc import Iterator

from econ.many.summary import EXPLAINED, SPREADS, TOTALS, Outcome, Summary

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


def _lines(outcome: Outcome) -> Iterator[str]:
    summary, done = outcome.summary, outcome.done
    yield f"{summary.plants:,} plants: {done.run_now:,} run now, {done.found_finished:,} finished before."
    yield f"The kiln pays in {summary.pay:,} of {summary.used:,} plants; {summary.not_used:,} could not be used."
    yield from _spreads(summary)
    yield from _totals(summary)
    yield from _explains(summary)
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
        less = f" ({found.withheld:,} withheld)" if found.withheld else ""
        yield f"{found.label:<36}{found.total:>14,.1f} {found.unit}{less}"


def _explains(summary: Summary) -> Iterator[str]:
    labels = {name: label for name, (label, _) in {**SPREADS, **TOTALS}.items()}
    for answer in EXPLAINED[:1]:
        found = [link for link in summary.links if link.answer == answer and link.beyond_chance]
        if found:
            yield ""
            yield f"{labels[answer]} goes with (rank correlation):"
        for link in found[:SHOWN]:
            yield f"  {link.correlation:+.2f}  {link.label}"
