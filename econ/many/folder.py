"""A folder or a table from end to end: run what is not finished, write the results, sum them up."""

from __future__ import annotations

import csv
import hashlib
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice
from pathlib import Path
from typing import Any

from econ.errors import FileRefused
from econ.fields import replace
from econ.harmless import in_csv
from econ.many.columns import ABOUT, FIGURES, OPENING, is_word
from econ.many.journal import Journal
from econ.many.plant_records import all_but_many
from econ.many.plants import Source, need
from econ.many.run import Progress, Task, version_of_model, work_through
from econ.many.summary import EXPLAINED, TITLE, Outcome, Summary, summarise
from econ.units import counted
from econ.workbook.guards import parts_of
from econ.workbook.places import check_goal, is_read_only, is_taken, real
from econ.workbook.safe_write import clear_abandoned, replacing

ENDINGS = (".csv", ".parquet", ".xlsx")
ROWS_A_GROUP = 1_000
MOST_HEADINGS = 100_000
_MARKS = re.compile(r'[,"\r\n]')

Bar = Callable[[int], Progress]  # given the number of plants, what hears of each finished chunk


def run_folder(task: Task, bar: Bar = lambda _: lambda _: None) -> Outcome:
    """Run many plants and write their results; a stop at any moment loses no finished plant.

    Raises FileRefused or InputFault(s) for a place, a table or a machine that cannot be used; a single bad
    workbook or row does not raise, it is listed.
    """
    target = task.target
    check_goal(target, *ENDINGS)
    task.check()
    if real(target) in {real(path) for path in (task.path, task.base) if path is not None}:
        raise FileRefused(f"{target.name} is the input itself: give another name with --to")
    source = Source.of(task.path, task.base, task.sets, version_of_model(), target)
    source = replace(source, samples=task.samples, hides_names=task.hides_names)
    if not len(source):
        raise FileRefused(f"{task.path.name or task.path} holds no scenario workbooks and no rows")
    with Journal(task.journal, FIGURES) as journal:
        check_target(target, journal, task.overwrite)
        clear_abandoned(target)
        progress = bar(len(source))
        done = work_through(source, journal, task, progress)
        return Outcome(_write(target, journal), target, done)


def _write(target: Path, journal: Journal) -> Summary:
    """The results file in the order of the source, and the summary."""
    columns = journal.columns
    summary = summarise(columns)
    with replacing(target) as temporary:
        if target.suffix.lower() == ".xlsx":
            from econ.many.book import write_summary_book

            write_summary_book(temporary, summary, columns)
        else:
            write = write_csv if target.suffix.lower() == ".csv" else write_parquet
            write(temporary, columns.headings, columns.table())
    journal.wrote(target.name, sha256_of(target))
    return summary


def check_target(target: Path, journal: Journal, overwrite: bool) -> None:
    """Refuse to replace a file that is not exactly as an earlier run with this journal wrote it."""
    if overwrite or not is_taken(target):
        return
    is_told = journal.written.get(target.name) == sha256_of(target)
    if is_read_only(target) or not is_told or not _is_ours(target):  # a journal alone may be a stranger's word
        raise FileRefused(
            f"{target.name} was not written: the file there is not as kilncase wrote it; name another with"
            " --to, or replace it with --overwrite"
        )


def _is_ours(path: Path) -> bool:
    """Whether a file is a results table by its own look: the headings of one, or a book of that title."""
    if path.suffix.lower() == ".csv":
        with path.open("rb") as handle:
            return handle.readline(MOST_HEADINGS).startswith(",".join([*OPENING, *FIGURES]).encode())
    if path.suffix.lower() == ".parquet":
        try:
            names = need("pyarrow.parquet", path.name).read_schema(path).names
        except (OSError, ValueError):  # pyarrow's word for what is no parquet table
            return False
        return list(names[: len(OPENING) + len(FIGURES)]) == [*OPENING, *FIGURES]
    return TITLE.encode() in parts_of(path).get("docProps/core.xml", b"")


def sha256_of(path: Path) -> str:
    """SHA-256 [hex] of a file, read in parts."""
    with path.open("rb") as handle:
        return hashlib.file_digest(handle, "sha256").hexdigest()


def write_csv(path: Path, names: Sequence[str], found: Iterable[list[Any]]) -> None:
    """Write a csv table in UTF-8; a cell that a spreadsheet would take for a formula gets a quote in front.

    To the byte as the csv module does, which looks at each digit for a mark that would have to stand in quotes.
    """
    with path.open("w", encoding="utf-8", newline="") as handle:
        csv.writer(handle).writerow(names)
        for row in found:
            told = ["" if one is None else _text(one) if type(one) is str else repr(one) for one in row]
            handle.write(f"{','.join(told)}\r\n")


def _text(cell: str) -> str:
    cell = in_csv(cell)
    return '"' + cell.replace('"', '""') + '"' if _MARKS.search(cell) else cell


def write_parquet(path: Path, names: Sequence[str], found: Iterable[list[Any]]) -> None:
    """Write a parquet table in groups of rows: text and float64 columns, null for what is missing."""
    pyarrow, parquet = need("pyarrow", "--to .parquet"), need("pyarrow.parquet", "--to .parquet")
    schema = pyarrow.schema([(name, pyarrow.string() if is_word(name) else pyarrow.float64()) for name in names])
    source = iter(found)
    with parquet.ParquetWriter(path, schema) as writer:
        while group := list(islice(source, ROWS_A_GROUP)):
            columns = [
                pyarrow.array([row[at] for row in group], type=field.type) for at, field in enumerate(schema)
            ]
            writer.write_table(pyarrow.Table.from_arrays(columns, schema=schema))


SHOWN = 5  # bad plants and explaining inputs named on the screen; the rest stand in the workbook and the JSON


def nothing_usable(outcome: Outcome) -> str:
    """Why a run of many plants has no answer, in one line: the first fault, and how many more there are."""
    first, more = next(iter(outcome.summary.faults())), outcome.summary.not_used - 1
    said = f"{first['plant']} ({first['place']}): {first['text'].splitlines()[0]}"
    return f"None of the plants could be used. {said}{f'; and {more:,} more' if more else ''}"


def in_lines(outcome: Outcome) -> Iterator[str]:
    """The summary in lines of words, narrower than 80 columns but for names and faults of the person's own."""
    summary, done, journal = outcome.summary, outcome.done, outcome.target.with_suffix(".journal").name
    plants, used = (counted(count, "plants") for count in (summary.plants, summary.used))
    yield f"{plants}: {done.run_now:,} run now, {done.found_finished:,} finished before."
    yield f"As typed the kiln pays in {summary.pay:,} of {used}; {summary.not_used:,} could not be used."
    if summary.findings:
        yield f"Finding: {summary.findings_said or 'none'}."
        near = f"; {summary.near_limit:,} are near a limit" if summary.near_limit else ""
        yield f"By the mean of the samples it pays in {summary.pay_by_mean:,}{near}."
    for found in [one for one in summary.facts if one["can_turn"]][:1]:
        yield f"Settle first: {found['fact']} can turn the finding of {counted(found['can_turn'], 'plants')}."
    for start, words in (
        (f"Lines of {journal} that are no records, so not believed and run again", [*map(str, done.odd_lines)]),
        (f"Other figures than {journal} held, now mended", done.changed),
        *((f"Caution: {why}", plants) for why, plants in done.to_see.items()),
    ):
        if words:
            more = f" and {len(words) - SHOWN:,} more" if len(words) > SHOWN else ""
            yield f"{start}: {', '.join(words[:SHOWN])}{more}."
    if summary.spreads:
        yield f"\n{'Across the plants':<34}{'10 %':>12}{'middle':>12}{'90 %':>12}"
    for found in summary.spreads:
        if found["percentiles"]:
            ends = "".join(f"{found['percentiles'][at]:>12,.0f}" for at in ("p10", "p50", "p90"))
            yield f"{found['label']:<34}{ends} {found['unit']}"
    if summary.totals:
        yield "\nTotals"
    for found in summary.totals:
        less = f" ({found['withheld']:,} not reported)" if found["withheld"] else ""
        total = "not reported" if found["total"] is None else f"{found['total']:>14,.1f} {found['unit']}{less}"
        yield f"{found['label']:<42}{total:>14}"
    links = [one for one in summary.links if one["answer"] == EXPLAINED[0] and one["beyond_chance"]]
    if links:
        yield f"\n{ABOUT[EXPLAINED[0]]['label']} goes with (rank correlation):"
        yield from filter(None, [summary.only_said, summary.compared_said])
    yield from (f"  {link['correlation']:+.2f}  {link['label']}" for link in links[:SHOWN])
    if summary.not_used:
        yield "\nNot used:"
        shown = all_but_many(summary.not_used, SHOWN)
        yield from (f"  {one['plant']} ({one['place']}): {one['text']}" for one in islice(summary.faults(), shown))
        if summary.not_used > shown:
            yield f"  and {summary.not_used - shown:,} more"
    yield f"\nResults: {outcome.target}"
