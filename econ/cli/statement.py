"""The command year: a period of the record held against what was promised."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from econ.cli.shared import Book, Overwrite, Quiet, Sets, app, faults_to_exit, file_option, print_json, say, steps


@app.command()
def year(
    path: Book,
    first: Annotated[str, typer.Option("--from", help="first day, YYYY-MM-DD", show_default=False)],
    last: Annotated[str, typer.Option("--to", help="last day, YYYY-MM-DD", show_default=False)],
    out: Annotated[Path | None, file_option("the .docx to write; an .xlsx stands beside it")] = None,
    csv: Annotated[
        list[str] | None, typer.Option("--csv", help='"Char deliveries=slips.csv": a file in place of a sheet')
    ] = None,
    promise: Annotated[Path | None, file_option("the workbook as it was when its ranges were promised")] = None,
    sets: Sets = None,
    json: Annotated[bool, typer.Option("--json", help="print one JSON object and write nothing")] = False,
    quiet: Quiet = False,
    overwrite: Overwrite = False,
) -> None:
    """Write the statement of a period: what was weighed, against what was promised.

    Reads the Kiln log, the Lab assay and the sheets of the record. What is missing is named and counts at the
    conservative end.

    Example: kilncase year my-plant.xlsx --from 2026-01-01 --to 2026-12-31
    """
    with faults_to_exit():
        from econ.answer.appraisal import appraise
        from econ.answer.year import period_of, promised, statement
        from econ.answer.year_tables import as_json, summary
        from econ.note.year_note import targets, write_year
        from econ.workbook.read import read_scenario

        period = period_of(first, last)
        target = out or path.with_name(f"{path.stem}.{first}.{last}.docx")
        document, book = targets(target, overwrite or json)
        with steps(quiet or json) as now:
            now(f"Reading {path.name}")
            typed = read_scenario(path, sets or (), csv or ())
            found = statement(
                appraise(typed), typed, period, promised(read_scenario(promise) if promise else typed)
            )
        if json:
            print_json(as_json(found))
            return
        write_year(found, document, book)
        if not quiet:
            for line in (*summary(found), *(f"  {gap.where}: {gap.what}; {gap.done}." for gap in found.gaps)):
                say(line)
            say(f"\nWrote {document} and {book.name}.")
