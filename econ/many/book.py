"""The summary of many plants: sheets of its workbook (`book.toml`), and an 80-column screen."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from econ.many.columns import ABOUT, FIGURES, Columns, is_word, unit_of
from econ.many.plants import all_but_many
from econ.many.summary import EXPLAINED, Outcome, Records, Summary, bins
from econ.workbook.plain_book import Chart, Column, Sheet, Table, write_plain_book

PLAN = Path(__file__).with_name("book.toml")
TITLE = "kilncase: many plants"


def write_summary_book(path: Path, summary: Summary, columns: Columns) -> None:
    """Write the workbook: a sheet a question that has an answer, then every plant, then those not used."""
    rows = tables(summary, columns)
    words = {"unit": summary.links_currency, "how_many": how_many(summary)}
    sheets: list[Sheet] = []
    for plan in tomllib.loads(PLAN.read_text(encoding="utf-8"))["sheet"]:
        made = [table for one in plan["table"] for table in _made(one, rows, words)]
        if plan["name"] == "Not used":
            sheets.append(_plants(columns))
        if any(table.rows for table in made):
            title = plan["title"].format(**words)
            sheets.append(Sheet(plan["name"], title, tuple(plan["widths"]), tuple(made)))
    write_plain_book(path, TITLE, sheets)


def _made(plan: Mapping[str, Any], rows: Mapping[str, Records], words: Mapping[str, str]) -> Iterator[Table]:
    """The tables of one plan that have rows: one, or one an answer that inputs explain."""
    asked = [(name, ABOUT[name]["label"]) for name in EXPLAINED] if plan["rows"] == "links" else [("", "")]
    for answer, label in asked:
        said = {**words, "label": label}
        records = [one for one in rows[plan["rows"]] if not answer or one["answer"] == answer]
        title = plan["title"].format(**said)
        chart: dict[str, Any] = {
            key: one.format(**said) if isinstance(one, str) else one for key, one in plan.get("chart", {}).items()
        }
        if chart:
            chart |= {"series": tuple(chart["series"]), "title": title, "categories": 0}
        if records:
            yield Table(
                title,
                tuple(Column(heading.format(**said), number) for _, heading, number in plan["columns"]),
                [[one.get(key) for key, _, _ in plan["columns"]] for one in records],
                plan.get("remark", ""),
                Chart(**chart) if chart else None,
            )


def tables(summary: Summary, columns: Columns) -> dict[str, Records]:
    """The rows of every table by its name in the plan."""
    not_used = "Not used (sheet Not used)" if summary.faults else "Not used"
    counted = [("Used", summary.used), (not_used, summary.not_used)]
    counted += [(f"Finding: {name}", count) for name, count in summary.findings.items()]
    counted += [("The kiln pays", summary.pay), ("The kiln does not pay", summary.used - summary.pay)]
    if summary.pay_by_mean is not None:
        counted.append(("The kiln pays by the mean of the samples", summary.pay_by_mean))
        counted.append(("Near a limit of the rule: ask for more samples", summary.near_limit))
    whole = max(summary.used, 1)
    return {
        "counts": [{"label": label, "plants": count, "share": count / whole} for label, count in counted],
        "spreads": [{**one, **one["percentiles"]} for one in summary.spreads], "totals": summary.totals,
        "classes": _classes(summary, columns),
        "findings": [{"finding": name, "plants": count} for name, count in summary.findings.items()],
        "links": [{**one, "beyond": "yes" if one["beyond_chance"] else "no"} for one in summary.links],
        "groups": [{**one, "label": f"{one['label']}: {one['choice']}"} for one in summary.groups],
        "facts": summary.facts, "supply": summary.supply, "grants": summary.grants,
        "regions": summary.regions, "ranked": summary.ranked, "faults": summary.faults,
    }  # fmt: skip


def _classes(summary: Summary, columns: Columns) -> Records:
    """How many plants lie in each class of net cost, for the commonest currency."""
    frame = columns.frame("net_cost_per_t_bones", "npv", currency=summary.links_currency)
    found = bins(frame["net_cost_per_t_bones"].to_numpy(dtype=float), (frame["npv"] >= 0).to_numpy(dtype=bool))
    return [{"class": f"{low:,.0f} - {high:,.0f}", "pay": yes, "not": no} for low, high, yes, no in found]


def _findings(summary: Summary) -> str:
    return ", ".join(f"{name} {count:,}" for name, count in summary.findings.items() if count)


def how_many(summary: Summary) -> str:
    """The one sentence on top: what the samples say, and what the values as typed say beside it."""
    typed = f"the kiln pays in {summary.pay:,} of {summary.used:,} plants"
    if not summary.findings:
        return f"{typed[0].upper()}{typed[1:]}"
    counts = _findings(summary)
    by_mean = f"by the mean of the samples in {summary.pay_by_mean:,}"
    return f"{counts[:1].upper()}{counts[1:]}; as typed {typed}, {by_mean}"


def _plants(columns: Columns) -> Sheet:
    """Every plant with its figures and inputs."""
    names = columns.headings
    shown = [f"{name} [{unit}]" if (unit := unit_of(name)) else name for name in names]
    kinds = tuple(Column(head, _number_of(name, unit_of(name))) for head, name in zip(shown, names, strict=True))
    wide = {"plant": 30.0, "fault": 60.0, "warnings": 110.0}
    widths = tuple(wide.get(name, 16.0) for name in names)
    return Sheet("Plants", "Every plant", widths, (Table("Figures and inputs by plant", kinds, columns.table()),))


def _number_of(name: str, unit: str) -> str:
    """The number format of a column of the plants."""
    if is_word(name):
        return "text"
    if name in {"irr", "mirr"}:
        return "pct1"
    return "money0" if unit == "currency" else "n2" if name in FIGURES else "sig"


SHOWN = 5
"""Bad plants and explaining inputs named on the screen; the rest stand in the workbook and the JSON."""


def screen(outcome: Outcome) -> str:
    """The summary in words, narrower than 80 columns but for names and faults of the person's own."""
    return "\n".join(_lines(outcome))


def nothing_usable(outcome: Outcome) -> str:
    """Why a run of many plants has no answer, in one line: the first fault, and how many more there are."""
    first, more = outcome.summary.faults[0], len(outcome.summary.faults) - 1
    said = f"{first['plant']} ({first['place']}): {first['text'].splitlines()[0]}"
    return f"None of the plants could be used. {said}{f'; and {more:,} more' if more else ''}"


def _plants_said(count: int) -> str:
    return f"{count:,} plant{'' if count == 1 else 's'}"


def _some(words: Sequence[str]) -> str:
    """The first of a list, and how many more."""
    more = f" and {len(words) - SHOWN:,} more" if len(words) > SHOWN else ""
    return f"{', '.join(words[:SHOWN])}{more}."


def _lines(outcome: Outcome) -> Iterator[str]:
    summary, done, journal = outcome.summary, outcome.done, outcome.target.with_suffix(".journal").name
    yield f"{_plants_said(summary.plants)}: {done.run_now:,} run now, {done.found_finished:,} finished before."
    not_used = f"{summary.not_used:,} could not be used"
    yield f"The kiln pays in {summary.pay:,} of {_plants_said(summary.used)}; {not_used}."
    if summary.findings:
        yield f"Finding: {_findings(summary) or 'none'}."
        near = f"; {summary.near_limit:,} are near a limit" if summary.near_limit else ""
        yield f"By the mean of the samples it pays in {summary.pay_by_mean:,}{near}."
    for found in [one for one in summary.facts if one["can_turn"]][:1]:
        yield f"Settle first: {found['fact']} can turn the finding of {_plants_said(found['can_turn'])}."
    for start, words in (
        (f"Lines of {journal} that are no records, so not believed and run again", [*map(str, done.odd_lines)]),
        (f"Other figures than {journal} held, now mended", done.changed),
        ("Caution: several plants have the same name", done.same_names),
    ):
        if words:
            yield f"{start}: {_some(words)}"
    if summary.spreads:
        yield f"\n{'Across the plants':<31}{'10 %':>12}{'middle':>12}{'90 %':>12}"
    for found in summary.spreads:
        if found["percentiles"]:
            ends = "".join(f"{found['percentiles'][at]:>12,.0f}" for at in ("p10", "p50", "p90"))
            yield f"{found['label']:<31}{ends} {found['unit']}"
    if summary.totals:
        yield "\nTotals"
    for found in summary.totals:
        less = f" ({found['withheld']:,} not reported)" if found["withheld"] else ""
        total = f"{'not reported':>14}"
        if found["total"] is not None:
            total = f"{found['total']:>14,.1f} {found['unit']}{less}"
        yield f"{found['label']:<36}{total}"
    links = [one for one in summary.links if one["answer"] == EXPLAINED[0] and one["beyond_chance"]]
    if links:
        yield f"\n{ABOUT[EXPLAINED[0]]['label']} goes with (rank correlation):"
    yield from (f"  {link['correlation']:+.2f}  {link['label']}" for link in links[:SHOWN])
    if summary.faults:
        yield "\nNot used:"
        shown = all_but_many(len(summary.faults), SHOWN)
        yield from (f"  {one['plant']} ({one['place']}): {one['text']}" for one in summary.faults[:shown])
        if len(summary.faults) > shown:
            yield f"  and {len(summary.faults) - shown:,} more"
    yield f"\nResults: {outcome.target}"
