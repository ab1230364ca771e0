"""The program kilncase as typer knows it: what commands share, faults as exit codes, what it says without one."""

from __future__ import annotations

import difflib
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from copy import copy
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from econ.errors import FileRefused, InputFaults, KilncaseError
from econ.harmless import in_json, on_screen

if TYPE_CHECKING:
    from econ.answer.results import Results

STEP = 60
"""Columns of the line that says what is being done."""

app = typer.Typer(name="kilncase", rich_markup_mode=None, add_completion=False, pretty_exceptions_enable=False)


def option(text: str, *names: str) -> Any:
    """An option with its help; whether a file that it names can be read or written is said by what opens it."""
    return typer.Option(*names, readable=False, help=text)


Book = Annotated[Path, typer.Argument(readable=False, help="a scenario workbook made by 'kilncase blank'")]
Sets = Annotated[
    list[str] | None,
    option('put KEY="VALUE UNIT" over the workbook (keys: its last column); may be repeated', "--set"),
]
To = Annotated[Path | None, option("the file to write; it stands beside the workbook if left out")]
Overwrite = Annotated[bool, option("replace a file even if it was changed since kilncase wrote it", "--overwrite")]
Json = Annotated[bool, option("print one JSON object and nothing else", "--json")]
Quiet = Annotated[bool, option("print nothing but errors", "--quiet")]


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


def appraised(path: Path, sets: Sequence[str] | None = None, **sampling: Any) -> Results:
    """A workbook worked out."""
    from econ.answer.appraisal import appraise
    from econ.questions.latin import Sampling
    from econ.workbook.read import read_scenario

    return appraise(read_scenario(path, sets or ()), Sampling(**sampling))


NEXT_STEPS = """kilncase: what a retort kiln for butchery bones costs, yields, stores and saves.

What to do next:
  kilncase blank my-plant.xlsx --example    a workbook filled with an invented plant, to look around
  kilncase blank my-plant.xlsx              the same to fill in; start on its first sheet
  kilncase my-plant.xlsx                    the answer, and my-plant.results.xlsx beside it
  kilncase --help                           all commands"""


def _version(asked: bool) -> None:
    """Print version, Python, and the editions of evidence and workbook: what a report of a fault must name."""
    if not asked:
        return
    import platform

    from econ.answer.results import VERSION
    from econ.evidence.factors import factors as facts
    from econ.evidence.used import in_words
    from econ.inputs.schema import EDITION

    typer.echo(f"kilncase {VERSION}, Python {platform.python_version()}\ndata edition {in_words()}, "
               f"{len(facts())} factors in the evidence; schema edition {EDITION}")  # fmt: skip
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


def run(words: list[str]) -> None:
    """Do what the words ask for; ends by SystemExit with the exit code."""
    if words and (meant := _meant(words[0])):
        say(f"{words[0]!r} is no command. Did you mean: {meant}?", err=True)
        raise SystemExit(2)
    words, one = with_command(words), copy(app)
    asked = [command for command in app.registered_commands if words and _name(command) == words[0]]
    one.registered_commands = asked or app.registered_commands  # each takes a millisecond to make ready
    one(words)


def _name(command: Any) -> str:
    return str(command.name or getattr(command.callback, "__name__", ""))


def _meant(word: str) -> str:
    """What a first word that is no command may stand for: a workbook without its ending, a slip of the keys."""
    commands = [_name(command) for command in app.registered_commands]
    if word.startswith("-") or word in commands or word.lower().endswith(".xlsx"):
        return ""
    books = [path.name for path in Path().glob("*.xlsx") if not path.name.startswith(("~$", "."))]
    near = [name for name in books if name.lower() == f"{word.lower()}.xlsx"]
    near = near or difflib.get_close_matches(f"{word}.xlsx", books, n=1, cutoff=0.8)
    near = near or difflib.get_close_matches(word, commands, n=1)
    return f"kilncase {near[0]}" if near else ""


def with_command(words: list[str]) -> list[str]:
    """A workbook named first (dragged onto the program) is run: `kilncase my-plant.xlsx`."""
    is_book = bool(words) and words[0].lower().endswith(".xlsx")
    return ["run", *words] if is_book else words
