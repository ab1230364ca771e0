"""What the commands share: the program, common arguments, faults as exit codes."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Any

import typer

from econ.errors import FileRefused, InputFaults, KilncaseError
from econ.harmless import in_json, on_screen

STEP = 60
"""Columns of the line that says what is being done."""

app = typer.Typer(
    name="kilncase",
    help="What a retort kiln for butchery bones costs, yields, stores and saves: from one workbook.",
    rich_markup_mode=None,
    add_completion=False,
    pretty_exceptions_enable=False,
)

Book = Annotated[
    Path, typer.Argument(readable=False, help="a scenario workbook made by 'kilncase blank'", show_default=False)
]
Sets = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        help='put KEY="VALUE UNIT" over the workbook (keys: its last column); may be repeated',
        show_default=False,
    ),
]
Overwrite = Annotated[
    bool, typer.Option("--overwrite", help="replace a file even if it was changed since kilncase wrote it")
]
Json = Annotated[bool, typer.Option("--json", help="print one JSON object and nothing else")]
Quiet = Annotated[bool, typer.Option("--quiet", help="print nothing but errors")]


def file_option(text: str) -> Any:
    """An option that names a file, to read or to write; whether it can be is said by what opens it."""
    return typer.Option(readable=False, help=text, show_default=False)


To = Annotated[Path | None, file_option("the file to write; it stands beside the workbook if left out")]


@contextmanager
def steps(quiet: bool) -> Iterator[Callable[[str], None]]:
    """Says on stderr what is being done, on one line that goes again; says nothing where nobody sees it."""
    if quiet or not sys.stderr.isatty():
        yield lambda _: None
        return

    def now(doing: str) -> None:
        typer.echo(f"\r{on_screen(doing):<{STEP}.{STEP}}", err=True, nl=False)

    try:
        yield now
    finally:
        typer.echo(f"\r{'':<{STEP}}\r", err=True, nl=False)


def counting(now: Callable[[str], None], stages: Sequence[tuple[str, int]]) -> Callable[[int], None]:
    """What hears of cases put to the model, and says which stage they belong to and how far it is."""
    done = 0

    def heard(cases: int) -> None:
        nonlocal done
        done += cases
        before = 0
        for doing, length in stages:
            if done <= before + length or doing == stages[-1][0]:
                now(f"{doing}: {min((done - before) / max(length, 1), 1):.0%}")
                return
            before += length

    return heard


@contextmanager
def uncollected() -> Iterator[None]:
    """No search for reference cycles meanwhile: one plant ends before it finds any, and it takes a seventh."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


@contextmanager
def faults_to_exit() -> Iterator[None]:
    """Errors of the kilncase tree as sentences on stderr: exit 2 for input, 1 for our own."""
    try:
        yield
    except InputFaults as several:
        count = len(several.faults)
        say(f"{count} input error{'s' if count > 1 else ''}. No file was written.", err=True)
        for sentence in several.sentences:
            say(f"  {sentence}", err=True)
        for caution in several.cautions:
            say(f"  caution: {caution}", err=True)
        raise typer.Exit(2) from None
    except (FileRefused, ValueError) as refused:
        if not isinstance(refused, KilncaseError):
            raise
        say(str(refused), err=True)
        raise typer.Exit(2) from None
    except KeyboardInterrupt:
        raise typer.Exit(130) from None
    except KilncaseError as ours:
        say(f"{ours} (this is an error of kilncase: please report it)", err=True)
        raise typer.Exit(1) from None


def say(text: str, err: bool = False) -> None:
    """Print a text that may hold names, cells and paths of a stranger: nothing in it steers the terminal."""
    typer.echo(on_screen(text), err=err)


def print_json(found: object) -> None:
    """Print JSON without nan."""
    import json as library

    typer.echo(in_json(library.dumps(found, indent=2, ensure_ascii=False, allow_nan=False)))
