"""Commands on one plant: blank, run, review, explain, factors."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from econ.cli import program as cli
from econ.cli.program import Book, Json, Overwrite, Quiet, Sets, To, app, faults_to_exit, option, say
from econ.errors import FileRefused
from econ.units import counted

LEAST = 100
"""Samples of a run whose chances nobody reads."""
MOST_SHOWN = 8
"""So many inputs stand on one screen."""


@app.command()
@faults_to_exit()
def blank(
    path: Annotated[Path, typer.Argument(readable=False, help="the workbook to write")],
    units: Annotated[str, option("us or metric: the units that cells start with")] = "us",
    currency: Annotated[str, option("currency code that names all money")] = "USD",
    example: Annotated[bool, option("filled with an invented plant, to try out", "--example")] = False,
    source: Annotated[
        Path | None, option("a workbook of kilncase: take its inputs, with what was changed in results", "--from")
    ] = None,
    shown: Annotated[
        list[str] | None,
        option("parts to show from the start: loan, label, kiln log, record; all; may be repeated", "--with"),
    ] = None,
    overwrite: Overwrite = False,
) -> None:
    """Write a scenario workbook to fill in.

    Rows and sheets that most plants do not need are folded or hidden; --with shows them.

    Example: kilncase blank my-plant.xlsx --units us --with loan --with "own planting"
    """
    from econ.workbook.blank import write_blank

    changed = write_blank(path, units, currency, example, overwrite, source, shown or ())
    if source is None:
        say(f"Wrote {path}. Fill the sheet 'Start here', then: kilncase run {path}")
        return
    count = "1 was" if len(changed) == 1 else f"{len(changed)} were"
    said = f" {count} changed there: {'; '.join(changed)}." if changed else ""
    say(f"Wrote {path} with the inputs of {source}.{said}")
    say("Tables (kiln log, lab assay, trials, record) come along from a scenario, not from results.")


@app.command()
@faults_to_exit()
def run(
    path: Book,
    to: To = None,
    sets: Sets = None,
    samples: Annotated[int, option("how many samples the chances are counted in")] = 10_000,
    seed: Annotated[int, option("where the samples start; the same seed, the same numbers")] = 1,
    sobol: Annotated[bool, option("draw by Sobol's sequence (scipy; best with a power of 2)", "--sobol")] = False,
    deep: Annotated[bool, option("also ask what is worth measuring first; takes seconds", "--deep")] = False,
    json: Json = False,
    quiet: Quiet = False,
    overwrite: Overwrite = False,
) -> None:
    """Work out the answer and write the results workbook.

    It stands beside the workbook unless --to says otherwise. With --set or --json it is written only with --to.

    Example: kilncase run my-plant.xlsx --set kiln.price="42000 USD"
    """
    from econ.answer.appraisal import appraise
    from econ.questions import deep as asking
    from econ.questions.latin import Sampling
    from econ.workbook.places import check_goal, real
    from econ.workbook.read import read_scenario
    from econ.workbook.results_book import write_results

    sampling = Sampling(samples, seed, "sobol" if sobol else "latin").checked()
    if deep:
        asking.checked(sampling)
    target = to or path.parent / f"{path.stem}.results.xlsx"
    if to is not None:
        check_goal(to, ".xlsx")
    if real(target) == real(path):
        raise FileRefused(f"{target} is the scenario itself: give another name with --to")
    with cli.steps(quiet) as now:
        now(f"Reading {path.name}")
        scenario = read_scenario(path, sets or ())
        stages = [("Chances", samples)]
        if deep:
            more = asking.cases(scenario, sampling) - samples
            stages += [("Deep: value of measuring", samples), ("Deep: shares of variance", more)]
        results = appraise(scenario, sampling, cli.counting(now, stages), deep)
        if to or not (sets or json):  # a what-if never takes the place of the record
            now(f"Writing {target.name}")
            write_results(results, target, overwrite)
    if json:
        cli.print_json(results.to_json())
    elif not quiet:
        from econ.answer.screen import screen

        say(screen(results))
        said = target if to or not sets else "not written, since --set was given; name one with --to"
        say(f"\nResults workbook: {said}")


@app.command()
@faults_to_exit()
def review(path: Book, sets: Sets = None) -> None:
    """List every error and caution of a workbook.

    The exit code is 2 where there are errors.

    Example: kilncase review my-plant.xlsx
    """
    from econ.inputs.schema import placed

    with cli.steps(quiet=False) as now:
        now(f"Working out {path.name}")
        results = cli.appraised(path, sets, samples=LEAST)
    say(f"No errors. {counted(len(results.cautions), 'cautions')}:")
    for caution in results.cautions:
        say(f"- {placed(caution)}")


@app.command()
@faults_to_exit()
def explain(
    figure: Annotated[str, typer.Argument(help="key or label of a figure: removal_kg_co2e, 'dry char made'")],
    path: Book,
    sets: Sets = None,
    every: Annotated[bool, option("all that stands under it, not the nearest", "--all")] = False,
    json: Json = False,
) -> None:
    """Show where a figure comes from.

    Its formula in words, what it is made of, the inputs and facts under it with their sources.

    Example: kilncase explain char_kg my-plant.xlsx
    """
    from econ.fields import asdict, replace
    from econ.note.moving import under
    from econ.workbook.trace import BY_SEARCH, find_figure, of_fact, place, trace
    from econ.workbook.what_if import as_run, print_model

    results = cli.appraised(path, sets, samples=LEAST)
    name = find_figure(results, figure)
    found = trace(results, name, print_model(as_run(results), place))
    facts = under(results, "npv" if name in BY_SEARCH else name, [part.key for part in found.coefficients])
    found = replace(found, facts=tuple(map(of_fact, facts)))
    if json:
        cli.print_json(asdict(found))
        return
    top = found.figure
    say(f"{top.label[0].upper()}{top.label[1:]}: {top.value}   [{top.key}]")
    if found.sheet:
        say(f"Sheet '{found.sheet}' of the results, section '{found.section}'")
    say(f"= {found.formula}")
    blocks = {"Made of": found.parts, "Inputs under it": found.inputs,
              "Coefficients under it": found.coefficients, "Facts under it": found.facts}  # fmt: skip
    for title, parts in blocks.items():
        shown = parts if every else parts[:MOST_SHOWN]
        if parts:
            say(f"\n{title} ({len(parts)}):")
        for part in shown:
            say(f"  {part.label}: {part.value}" + ("" if part.how == "figure" else f"   ({part.how})"))
        if len(parts) > len(shown):
            say(f"  ... and {len(parts) - len(shown)} more: --all")


@app.command()
@faults_to_exit()
def factors(
    words: Annotated[list[str] | None, typer.Argument(help="words to look for")] = None,
    plant: Annotated[Path | None, option("a plant's workbook: what moves its answers most", "--for")] = None,
    json: Annotated[bool, option("print a JSON list and nothing else", "--json")] = False,
) -> None:
    """List what is known: factors and their sources.

    Value, range, unit, source, and how surely it is known. With --for, the facts and inputs of a plant by what
    they move: where better evidence would help first.

    Example: kilncase factors propane

    Example: kilncase factors --for my-plant.xlsx
    """
    if plant:
        _movers_of(plant, words or (), json)
        return
    from econ.evidence import factors
    from econ.fields import asdict

    found = factors.factors(" ".join(words or ()))
    if json:
        cli.print_json([asdict(fact) | {"mark": fact.mark, "source": fact.source.text} for fact in found])
        return
    for fact in found:
        span = f" ({fact.low:g} to {fact.high:g})" if fact.low is not None and fact.high is not None else ""
        say(f"{fact.id}: {fact.label}")
        say(f"    {fact.value:g}{span} {fact.unit}   {fact.mark}")
        say(f"    {fact.source.text}; {fact.locator}{f'; {fact.note}' if fact.note else ''}")
    if not found and words:
        near = factors.nearest(" ".join(words))
        say("Nothing has these words in it." + (f" Nearest: {', '.join(near)}." if near else ""))
        return
    say(f"{counted(len(found), 'factors')}.")


def _movers_of(path: Path, words: Sequence[str], json: bool) -> None:
    """Print what moves NPV and net CO2e of a plant, the most first, with its share of their ranges."""
    from econ.answer.report import in_json
    from econ.answer.results import weights

    wanted, known = [word.lower() for word in words], weights(cli.appraised(path))
    found = [one for one in known if all(word in one.mover.label.lower() for word in wanted)]
    if json:
        cli.print_json([in_json("weight", one) for one in found])
        return
    say(f"{'of NPV':>8} {'of net CO2e':>12}  {'how known':<34} fact or input")
    for one in found:
        say(f"{one.of_npv:>8.0%} {one.of_net:>12.0%}  {one.known[:34]:<34} {one.mover.label}")
    say(
        f"{len(found)} facts and inputs. A share is how far it alone moves the answer, of the range that all give."
    )
