"""The documents of one plant (print, page, carbon-note, year), and several plants (folder, compare)."""

from __future__ import annotations

import datetime
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from econ.cli import program as cli
from econ.cli.program import Book, Json, Overwrite, Quiet, Sets, To, app, faults_to_exit, option, say
from econ.errors import FileRefused
from econ.fields import asdict, replace
from econ.harmless import one_line

if TYPE_CHECKING:
    from econ.answer.results import Results

Out = Callable[["Results", Path], Sequence[Path]]


@app.command("print")
def print_set(
    path: Book, to: To = None, sets: Sets = None, quiet: Quiet = False, overwrite: Overwrite = False
) -> None:
    """Write the pages to hand over as one PDF, by LibreOffice.

    The results workbook holds the same pages first; it prints by hand too.

    Example: kilncase print my-plant.xlsx
    """
    from econ.workbook.results_book import write_pdf

    _written(path, to, "print.pdf", sets, quiet, lambda found, target: [write_pdf(found, target, overwrite)])


@app.command()
def page(path: Book, to: To = None, sets: Sets = None, quiet: Quiet = False, overwrite: Overwrite = False) -> None:
    """Write the answer as one page for a phone, with sliders that move it.

    One file, no network: send it by mail, open it in any browser.

    Example: kilncase page my-plant.xlsx
    """
    from econ.page.document import write_page

    _written(path, to, "page.html", sets, quiet, lambda found, target: [write_page(found, target, overwrite)])


@app.command("carbon-note")
@faults_to_exit()
def carbon_note(
    path: Book,
    to: To = None,
    date: Annotated[str | None, option("date of the note, YYYY-MM-DD; today if left out")] = None,
    sets: Sets = None,
    quiet: Quiet = False,
    overwrite: Overwrite = False,
) -> None:
    """Write the carbon note for a grant, as a Word file (.docx) or as text (.md).

    Figures, method, factors, and what is not claimed.

    Example: kilncase carbon-note my-plant.xlsx --to note.docx
    """
    from econ.note.write import write_note

    try:
        day = datetime.date.fromisoformat(date) if date else datetime.date.today()
    except ValueError:
        raise FileRefused(f"{date!r} is no date: write YYYY-MM-DD") from None
    _written(path, to, "carbon-note.docx", sets, quiet,
             lambda found, target: write_note(found, target, day.isoformat(), overwrite))  # fmt: skip


@faults_to_exit()
def _written(path: Path, to: Path | None, ending: str, sets: Sets, quiet: bool, write: Out) -> None:
    """Work out a plant and write what is made of it."""
    target = to or path.parent / f"{path.stem}.{ending}"
    with cli.steps(quiet) as now:
        now(f"Working out {path.name}")
        results = cli.appraised(path, sets)
        now(f"Writing {target.name}")
        files = write(results, target)
    if not quiet:
        say(f"Wrote {', '.join(map(str, files))}.")


@app.command()
@faults_to_exit()
def year(
    path: Book,
    first: Annotated[str, option("first day, YYYY-MM-DD", "--from")],
    last: Annotated[str, option("last day, YYYY-MM-DD", "--to")],
    out: Annotated[Path | None, option("the .docx to write; an .xlsx stands beside it")] = None,
    csv: Annotated[list[str] | None, option('"Char deliveries=slips.csv": in place of a sheet', "--csv")] = None,
    promise: Annotated[Path | None, option("the workbook as it was when its ranges were promised")] = None,
    sets: Sets = None,
    json: Annotated[bool, option("print one JSON object and write nothing", "--json")] = False,
    quiet: Quiet = False,
    overwrite: Overwrite = False,
) -> None:
    """Write the statement of a period: what was weighed, against what was promised.

    Reads the Kiln log, the Lab assay and the sheets of the record. What is missing is named and counts at the
    conservative end.

    Example: kilncase year my-plant.xlsx --from 2026-01-01 --to 2026-12-31
    """
    from econ.answer.appraisal import appraise
    from econ.answer.year import promised, statement
    from econ.answer.year_tables import as_json, period_of, summary
    from econ.note.write import targets, write_year
    from econ.workbook.read import read_scenario

    period = period_of(first, last)
    target = out or path.parent / f"{path.stem}.{first}.{last}.docx"
    document, book = targets(target, overwrite or json)
    with cli.steps(quiet or json) as now:
        now(f"Reading {path.name}")
        typed = read_scenario(path, sets or (), csv or ())
        found = statement(appraise(typed), typed, period, promised(read_scenario(promise) if promise else typed))
    if json:
        cli.print_json(as_json(found))
        return
    write_year(found, document, book)
    if not quiet:
        for line in (*summary(found), *(f"  {gap.where}: {gap.what}; {gap.done}." for gap in found.gaps)):
            say(line)
        say(f"\nWrote {document} and {book.name}.")


@app.command()
@faults_to_exit()
def folder(
    path: Annotated[
        Path, typer.Argument(readable=False, help="a folder of workbooks, or a table (.csv, .parquet)")
    ],
    to: Annotated[Path | None, option("results: .csv, .parquet, or .xlsx with summary and chart")] = None,
    base: Annotated[Path | None, option("the workbook that the rows of a table are put over")] = None,
    sets: Sets = None,
    samples: Annotated[int, option("samples a plant for its finding; 0: base case alone")] = 1_000,
    workers: Annotated[int, option("processes on this machine; 0 takes all cores")] = 0,
    cluster: Annotated[str, option("address of the scheduler of a Dask cluster")] = "",
    trust: Annotated[
        bool, option("yes, whoever can join that scheduler may run code here", "--trust-cluster")
    ] = False,
    tls_ca: Annotated[Path | None, option("TLS: file of the authority")] = None,
    tls_cert: Annotated[Path | None, option("TLS: file of your certificate")] = None,
    tls_key: Annotated[Path | None, option("TLS: file of its key")] = None,
    recompute: Annotated[
        bool, option("run finished plants again too, and name any that differ", "--recompute")
    ] = False,
    hide: Annotated[bool, option("numbers for names; no places; small regions as one", "--hide-names")] = False,
    json: Annotated[bool, option("print the summary as one JSON object", "--json")] = False,
    quiet: Quiet = False,
    overwrite: Overwrite = False,
) -> None:
    """Run many plants: a folder of workbooks or a table.

    Start it again after a stop, and it goes on where it was.

    Headings: keys of inputs, 'plant' (its name), 'region', 'latitude', 'longitude'. Cells: VALUE UNIT or a bare
    VALUE, blank for the base's.

    Example: kilncase folder plants.csv --base typical.xlsx --to summary.xlsx
    """
    from econ.many.folder import in_lines, nothing_usable, run_folder
    from econ.many.run import Access, Task

    access = Access(tls_ca, tls_cert, tls_key, trust)
    task = Task(path, to, base, tuple(sets or ()), workers, cluster, overwrite, recompute, access, samples, hide)
    with plant_bar(quiet or json) as bar:
        outcome = run_folder(task, bar)
    if json:
        cli.print_json(asdict(replace(outcome.summary, faults=list)) | {"faults": [*outcome.summary.faults()]})
    elif not quiet:
        say("\n".join(in_lines(outcome)))
    elif not outcome.summary.used:
        say(nothing_usable(outcome), err=True)
    if not outcome.summary.used:
        raise typer.Exit(2)


@contextmanager
def plant_bar(quiet: bool) -> Iterator[Callable[[int], Callable[[int], None]]]:
    """A progress bar on stderr that learns its length late; none where nobody sees it."""
    if quiet or not sys.stderr.isatty():
        yield lambda _: lambda _: None
        return
    with typer.progressbar(length=1, label="Plants", file=sys.stderr) as bar:

        def started(plants: int) -> Callable[[int], None]:
            bar.length = plants
            return bar.update

        yield started


@app.command()
@faults_to_exit()
def compare(
    paths: Annotated[list[Path], typer.Argument(readable=False, help="two or more scenario workbooks")],
    to: Annotated[Path | None, option("also write them to this .xlsx")] = None,
    json: Json = False,
    quiet: Quiet = False,
    overwrite: Overwrite = False,
) -> None:
    """Set scenarios side by side.

    The answers come first, then at most ten inputs that differ and matter.

    Example: kilncase compare today.xlsx larger-kiln.xlsx --to both.xlsx
    """
    from econ.answer.base_case import base_case
    from econ.answer.comparison import as_text
    from econ.answer.comparison import compare as side_by_side
    from econ.workbook.places import real

    if len(paths) < 2:
        raise FileRefused("one scenario alone cannot be compared: give two or more")
    if to is not None and real(to) in {real(path) for path in paths}:
        raise FileRefused(f"{to} is one of the scenarios: give another name with --to")
    with cli.steps(quiet or json) as now:
        results = []
        for number, path in enumerate(paths, start=1):
            now(f"Working out {path.name} ({number} of {len(paths)})")
            results.append(cli.appraised(path))
        now("What each input that differs does alone")
        names = [one_line(path, 1_000) for path in paths]
        found = side_by_side(names, results, lambda scenario: base_case(scenario).figures["npv"])
    if to is not None:
        from econ.workbook.plain_book import write_comparison

        write_comparison(found, to, overwrite)
    if json:
        from econ.answer.report import in_json

        cli.print_json(in_json("comparison", found))
    elif not quiet:
        say(as_text(found))
