"""The command kilncase: the only place that prints, exits, or knows typer.

Exit codes: 0 done, 1 our fault, 2 your input. Heavy imports stand inside the commands, so that --help
stays quick.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from econ.errors import FileRefused, InputFaults, KilncaseError

app = typer.Typer(
    name="kilncase",
    help="What a retort kiln for butchery bones costs, yields, stores and saves: from one workbook.",
    rich_markup_mode=None,
    add_completion=False,
    pretty_exceptions_enable=False,
)

Book = Annotated[Path, typer.Argument(help="a scenario workbook made by 'kilncase blank'", show_default=False)]
Sets = Annotated[
    list[str] | None,
    typer.Option("--set", help='put KEY="VALUE UNIT" over the workbook; may be repeated', show_default=False),
]
Overwrite = Annotated[bool, typer.Option("--overwrite", help="replace a file that is not ours as written")]
Quiet = Annotated[bool, typer.Option("--quiet", help="print nothing but faults")]


@contextmanager
def faults_to_exit() -> Iterator[None]:
    """Errors of the kilncase tree as sentences on stderr: exit 2 for input, 1 for our own."""
    try:
        yield
    except InputFaults as several:
        typer.echo(f"{len(several.faults)} fault(s) in the input; nothing was written:", err=True)
        for fault in several.faults:
            typer.echo(f"  {fault}", err=True)
        for caution in several.cautions:
            typer.echo(f"  caution: {caution}", err=True)
        raise typer.Exit(2) from None
    except (FileRefused, ValueError) as refused:
        if not isinstance(refused, KilncaseError):
            raise
        typer.echo(str(refused), err=True)
        raise typer.Exit(2) from None
    except KilncaseError as ours:
        typer.echo(f"{ours} (this is a fault of kilncase: please report it)", err=True)
        raise typer.Exit(1) from None


NEXT_STEPS = """kilncase: what a retort kiln for butchery bones costs, yields, stores and saves.

What to do next:
  kilncase blank my-plant.xlsx --example    a workbook filled with an invented plant, to look around
  kilncase blank my-plant.xlsx              the same to fill in; start on its first sheet
  kilncase my-plant.xlsx                    the answer, and my-plant.results.xlsx beside it
  kilncase --help                           all commands"""


def _version(asked: bool) -> None:
    if asked:
        import platform
        from importlib.metadata import version

        from econ.evidence import factors as facts
        from econ.scenario.schema import EDITION

        typer.echo(f"kilncase {version('kilncase')}, Python {platform.python_version()}")
        typer.echo(f"schema edition {EDITION}, {len(facts())} factors in the evidence")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def start(
    context: typer.Context,
    _: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="version, Python, data edition")
    ] = False,
) -> None:
    """What a retort kiln for butchery bones costs, yields, stores and saves: from one workbook."""
    if context.invoked_subcommand is None:
        typer.echo(NEXT_STEPS)


MANY_SAMPLES = 100_000
"""From so many samples on, a bar shows how far they are: about a second of work."""


@contextmanager
def sample_bar(samples: int, quiet: bool) -> Iterator[Callable[[int], None] | None]:
    """A progress bar on stderr for a large number of samples; none where nobody sees it."""
    if samples < MANY_SAMPLES or quiet or not sys.stderr.isatty():
        yield None
        return
    with typer.progressbar(length=samples, label="Samples", file=sys.stderr) as bar:
        yield bar.update


@app.command()
def blank(
    path: Annotated[Path, typer.Argument(help="the workbook to write", show_default=False)],
    units: Annotated[str, typer.Option(help="us or metric: the units that cells start with")] = "us",
    currency: Annotated[str, typer.Option(help="currency code that names all money")] = "USD",
    example: Annotated[bool, typer.Option("--example", help="filled with an invented plant, to try out")] = False,
    overwrite: Overwrite = False,
) -> None:
    """Write a scenario workbook to fill in.

    Example: kilncase blank my-plant.xlsx --units us
    """
    with faults_to_exit():
        from econ.workbook.blank import write_blank

        write_blank(path, units, currency, example, overwrite)
        typer.echo(f"Wrote {path}. Fill the sheet 'Start here', then: kilncase run {path}")


@app.command()
def run(
    path: Book,
    to: Annotated[
        Path | None, typer.Option(help="where to write the results workbook", show_default=False)
    ] = None,
    sets: Sets = None,
    samples: Annotated[int, typer.Option(help="how many samples the chances are counted in")] = 10_000,
    seed: Annotated[int, typer.Option(help="where the samples start; the same seed, the same numbers")] = 1,
    sobol: Annotated[
        bool, typer.Option("--sobol", help="scrambled Sobol samples (needs scipy; best with a power of 2)")
    ] = False,
    json: Annotated[bool, typer.Option("--json", help="print one JSON object and nothing else")] = False,
    quiet: Quiet = False,
    overwrite: Overwrite = False,
) -> None:
    """Appraise a scenario and write its results workbook beside it.

    Example: kilncase run my-plant.xlsx --set kiln.price="42000 USD"
    """
    with faults_to_exit():
        from econ.appraisal import appraise
        from econ.questions.draws import Sampling
        from econ.workbook.read import read_scenario
        from econ.workbook.results import write_results

        sampling = Sampling(samples, seed, "sobol" if sobol else "latin").checked()
        scenario = read_scenario(path, sets or ())
        with sample_bar(samples, quiet) as progress:
            results = appraise(scenario, sampling, progress)
        target = to or path.with_name(f"{path.stem}.results.xlsx")
        if target.resolve() == path.resolve():
            raise FileRefused(f"{target} is the scenario itself: give another name with --to")
        write_results(results, target, overwrite)
        if json:
            _print_json(results.to_json())
        elif not quiet:
            from econ.screen import screen

            typer.echo(screen(results))
            typer.echo(f"\nResults workbook: {target}")


@app.command()
def review(path: Book, sets: Sets = None) -> None:
    """List every fault and every caution of a scenario; exit 2 on faults.

    Example: kilncase review my-plant.xlsx
    """
    with faults_to_exit():
        from econ.appraisal import appraise
        from econ.workbook.read import read_scenario

        results = appraise(read_scenario(path, sets or ()))
        typer.echo(f"No faults. {len(results.cautions)} caution(s):")
        for caution in results.cautions:
            place = f"  [{caution.where}]" if caution.where else ""
            typer.echo(f"- {caution.text}{place}")


@app.command()
def folder(
    path: Annotated[Path, typer.Argument(help="a folder of workbooks, or a table (.csv, .parquet)")],
    to: Annotated[
        Path | None, typer.Option(help="results: .csv, .parquet, or .xlsx with summary and chart")
    ] = None,
    base: Annotated[Path | None, typer.Option(help="the workbook that the rows of a table are put over")] = None,
    sets: Sets = None,
    workers: Annotated[int, typer.Option(help="processes on this machine; 0 takes all cores")] = 0,
    cluster: Annotated[str, typer.Option(help="address of the scheduler of a Dask cluster")] = "",
    json: Annotated[bool, typer.Option("--json", help="print the summary as one JSON object")] = False,
    quiet: Quiet = False,
    overwrite: Overwrite = False,
) -> None:
    """Run every workbook of a folder, or every row of a table; start again after a stop to go on.

    Headings of a table are keys of inputs, cells are VALUE UNIT or a bare VALUE; the column 'plant' names.

    Example: kilncase folder plants.csv --base typical.xlsx --to summary.xlsx
    """
    with faults_to_exit():
        from econ.many.folder import Task, run_folder
        from econ.many.screen import screen

        task = Task(path, to, base, tuple(sets or ()), workers, cluster, overwrite)
        with plant_bar(quiet or json) as bar:
            outcome = run_folder(task, bar)
        if json:
            _print_json(outcome.summary.to_json())
        elif not quiet:
            typer.echo(screen(outcome))
        if not outcome.summary.used:
            raise typer.Exit(2)


@contextmanager
def plant_bar(quiet: bool) -> Iterator[Callable[[int], Callable[[int], None]] | None]:
    """A progress bar on stderr that learns its length late; none where nobody sees it."""
    if quiet or not sys.stderr.isatty():
        yield None
        return
    with typer.progressbar(length=1, label="Plants", file=sys.stderr) as bar:

        def started(plants: int) -> Callable[[int], None]:
            bar.length = plants
            return bar.update

        yield started


@app.command()
def compare(
    paths: Annotated[list[Path], typer.Argument(help="two or more scenario workbooks", show_default=False)],
    to: Annotated[Path | None, typer.Option(help="also write them to this .xlsx", show_default=False)] = None,
    json: Annotated[bool, typer.Option("--json", help="print one JSON object and nothing else")] = False,
    quiet: Quiet = False,
    overwrite: Overwrite = False,
) -> None:
    """Set scenarios side by side: the inputs that differ first, then the answers.

    Example: kilncase compare today.xlsx larger-kiln.xlsx --to both.xlsx
    """
    with faults_to_exit():
        from econ.appraisal import appraise
        from econ.comparison import as_text
        from econ.comparison import compare as side_by_side
        from econ.workbook.read import read_scenario

        if len(paths) < 2:
            raise FileRefused("one scenario alone cannot be compared: give two or more")
        if to is not None and to.resolve() in {path.resolve() for path in paths}:
            raise FileRefused(f"{to} is one of the scenarios: give another name with --to")
        found = side_by_side([str(path) for path in paths], [appraise(read_scenario(path, ())) for path in paths])
        if to is not None:
            from econ.workbook.compare import write_comparison

            write_comparison(found, to, overwrite)
        if json:
            _print_json(found.to_json())
        elif not quiet:
            typer.echo(as_text(found))


@app.command("carbon-note")
def carbon_note(
    path: Book,
    to: Annotated[Path | None, typer.Option(help="the .docx or .md to write", show_default=False)] = None,
    date: Annotated[str | None, typer.Option(help="date of the note, YYYY-MM-DD; today if left out")] = None,
    sets: Sets = None,
    quiet: Quiet = False,
    overwrite: Overwrite = False,
) -> None:
    """Write the carbon note for a grant: figures, method, factors, what is not claimed.

    Example: kilncase carbon-note my-plant.xlsx --to note.docx
    """
    with faults_to_exit():
        import datetime

        from econ.appraisal import appraise
        from econ.note.write import write_note
        from econ.workbook.read import read_scenario

        try:
            day = datetime.date.fromisoformat(date) if date else datetime.date.today()
        except ValueError:
            raise FileRefused(f"{date!r} is no date: write YYYY-MM-DD") from None
        target = to or path.with_name(f"{path.stem}.carbon-note.docx")
        files = write_note(appraise(read_scenario(path, sets or ())), target, day.isoformat(), overwrite)
        if not quiet:
            typer.echo(f"Wrote {', '.join(map(str, files))}")


@app.command()
def factors(
    words: Annotated[list[str] | None, typer.Argument(help="words to look for", show_default=False)] = None,
    json: Annotated[bool, typer.Option("--json", help="print a JSON list and nothing else")] = False,
) -> None:
    """List factors with value, range, unit, source, and whether verified.

    Example: kilncase factors propane
    """
    with faults_to_exit():
        from econ import evidence

        found = evidence.factors(" ".join(words or ()))
        if json:
            _print_json([_factor_record(fact) for fact in found])
            return
        for fact in found:
            span = f" ({fact.low:g} to {fact.high:g})" if fact.low is not None and fact.high is not None else ""
            typer.echo(f"{fact.id}: {fact.label}")
            typer.echo(f"    {fact.value:g}{span} {fact.unit}   {fact.mark}")
            typer.echo(f"    {fact.source.text}; {fact.locator}{f'; {fact.note}' if fact.note else ''}")
        typer.echo(f"{len(found)} factor(s).")


def _factor_record(fact: object) -> dict[str, object]:
    names = ("id", "label", "value", "low", "high", "unit", "locator", "status", "note", "mark")
    source = getattr(fact, "source")  # noqa: B009
    return {name: getattr(fact, name) for name in names} | {"source": source.text}


def _print_json(found: object) -> None:
    import json as library

    typer.echo(library.dumps(found, indent=2, ensure_ascii=False, allow_nan=False))


def main() -> None:
    """Entry point of the command."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(encoding="utf-8", errors="replace")
    app(with_command(sys.argv[1:]))


def with_command(words: list[str]) -> list[str]:
    """A workbook named first (dragged onto the program) is run: `kilncase my-plant.xlsx`."""
    is_book = bool(words) and words[0].lower().endswith(".xlsx")
    return ["run", *words] if is_book else words
