"""The program kilncase as typer knows it: what it says without a command, its version, and its commands."""

from __future__ import annotations

import difflib
from pathlib import Path
from typing import Annotated

import typer

from econ.cli import one_plant, several
from econ.cli.shared import app, say

__all__ = ["app", "one_plant", "run", "several", "with_command"]

NEXT_STEPS = """kilncase: what a retort kiln for butchery bones costs, yields, stores and saves.

What to do next:
  kilncase blank my-plant.xlsx --example    a workbook filled with an invented plant, to look around
  kilncase blank my-plant.xlsx              the same to fill in; start on its first sheet
  kilncase my-plant.xlsx                    the answer, and my-plant.results.xlsx beside it
  kilncase --help                           all commands"""


def _version(asked: bool) -> None:
    if asked:
        typer.echo(_versions())
        raise typer.Exit


def _versions() -> str:
    """Version, Python, and the editions of evidence and workbook: what a report of a fault must name."""
    import platform

    from econ.answer.results import version
    from econ.evidence import factors as facts
    from econ.evidence.used import in_words
    from econ.inputs.schema import EDITION

    return (
        f"kilncase {version()}, Python {platform.python_version()}\n"
        f"data edition {in_words()}, {len(facts())} factors in the evidence; schema edition {EDITION}"
    )


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
    app(with_command(words))


def _meant(word: str) -> str:
    """What a first word that is no command may stand for: a workbook without its ending, a slip of the keys."""
    commands = [command.name or getattr(command.callback, "__name__", "") for command in app.registered_commands]
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
