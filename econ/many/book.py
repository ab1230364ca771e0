"""The workbook of many plants: its sheets are those of `book.toml`, then every plant."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from econ.many.columns import ABOUT, FIGURES, Columns, is_word, unit_of
from econ.many.summary import EXPLAINED, TITLE, Summary, bins
from econ.shipped import described
from econ.workbook.plain_book import Chart, Column, Sheet, Table, write_plain_book

NOTHING = (None, "")
BY_MEAN = "By the mean of the samples {:,} plants would need one, {:,.0f} {} in all."
ALL_BUT = "Plants of every currency are counted; the net cost is only of"


def write_summary_book(path: Path, summary: Summary, columns: Columns) -> None:
    """Write the workbook: a sheet a question that has an answer, then every plant, then those not used."""
    rows = tables(summary, columns)
    by_mean = BY_MEAN.format(*summary.grants_by_mean, summary.links_currency)
    words = {"unit": summary.links_currency, "how_many": how_many(summary), "compared": summary.compared_said,
             "only": summary.only_said, "all_but": summary.only_said.replace("Only", ALL_BUT),
             "by_mean": by_mean if summary.findings else ""}  # fmt: skip
    sheets: list[Sheet] = []
    for plan in described("book", "many")["sheet"]:
        made = [table for one in plan["table"] for table in _made(one, rows, words)]
        if plan["name"] == "Not used":
            sheets.append(_plants(columns))
        if any(table.rows for table in made):
            title = plan["title"].format(**words)
            sheets.append(Sheet(plan["name"], title, tuple(plan["widths"]), tuple(made)))
    write_plain_book(path, TITLE, sheets)


def _made(plan: Mapping[str, Any], rows: Mapping[str, Any], words: Mapping[str, str]) -> Iterator[Table]:
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
        if not records:
            continue
        shown = [one for one in plan["columns"] if chart or any(row.get(one[0]) not in NOTHING for row in records)]
        made = tuple(Column(heading.format(**said), number) for _, heading, number in shown)
        cells = [[row.get(key) for key, _, _ in shown] for row in records]
        found = [["not reported" if one in NOTHING else one for one in row] for row in cells]
        remark = plan.get("remark", "").format(**said).strip()
        yield Table(title, made, found, remark, Chart(**chart) if chart else None)


def tables(summary: Summary, columns: Columns) -> dict[str, Any]:
    """The rows of every table by its name in the plan."""
    not_used = "Not used (sheet Not used)" if summary.not_used else "Not used"
    listed = [("Used", summary.used), (not_used, summary.not_used)]
    counted = [(f"Finding: {name}", count) for name, count in summary.findings.items()]
    counted += [("The kiln pays", summary.pay), ("The kiln does not pay", summary.used - summary.pay)]
    if summary.pay_by_mean is not None:
        counted.append(("The kiln pays by the mean of the samples", summary.pay_by_mean))
        counted.append(("Near a limit of the rule: ask for more samples", summary.near_limit))
    parts = (listed, max(summary.plants, 1)), (counted, max(summary.used, 1))
    return {
        "counts": [{"label": one, "plants": n, "share": n / whole} for some, whole in parts for one, n in some],
        "spreads": [{**one, **one["percentiles"]} for one in summary.spreads], "totals": summary.totals,
        "classes": [
            {"class": f"{low:,.0f} - {high:,.0f}", "pay": yes, "not": no}
            for low, high, yes, no in bins(columns, summary.links_currency)
        ],
        "findings": [{"finding": name, "plants": count} for name, count in summary.findings.items()],
        "links": [{**one, "beyond": "yes" if one["beyond_chance"] else "no"} for one in summary.links],
        "groups": [{**one, "label": f"{one['label']}: {one['choice']}"} for one in summary.groups],
        "facts": summary.facts, "supply": summary.supply, "grants": summary.grants,
        "regions": summary.regions, "ranked": summary.ranked, "faults": summary.faults(),
    }  # fmt: skip


def how_many(summary: Summary) -> str:
    """The one sentence on top: what the samples say, and what the values as typed say beside it."""
    typed = f"s typed the kiln pays in {summary.pay:,} of {summary.used:,} plants"
    if not summary.findings:
        return f"A{typed}"
    counts = summary.findings_said
    by_mean = f"by the mean of the samples in {summary.pay_by_mean:,}"
    return f"{counts[:1].upper()}{counts[1:]}; a{typed}, {by_mean}"


def _plants(columns: Columns) -> Sheet:
    """Every plant with its figures and inputs."""
    at, (*names,) = columns.headings.index("warnings"), columns.headings
    names.append(names.pop(at))  # the longest texts stand last, where no other cell cuts them
    shown = [f"{name} [{unit}]" if (unit := unit_of(name)) else name for name in names]
    kinds = tuple(Column(head, _number_of(name, unit_of(name))) for head, name in zip(shown, names, strict=True))
    wide = {"plant": 40.0, "place": 24.0, "fault": 60.0, "finding": 24.0, "missing": 50.0, "region": 24.0}
    widths = tuple(wide.get(name, 16.0) for name in names)
    rows = ([*row[:at], *row[at + 1 :], row[at]] for row in columns.table())
    remark = "To sort and filter on the screen; too wide for paper."
    return Sheet("Plants", "Every plant", widths, (Table("Figures and inputs by plant", kinds, rows, remark),))


def _number_of(name: str, unit: str) -> str:
    """The number format of a column of the plants."""
    if is_word(name):
        return "wrap" if name in {"plant", "place", "region"} else "text"
    if name in {"irr", "mirr"}:
        return "pct1"
    return "money0" if unit == "currency" else "n2" if name in FIGURES else "sig"
