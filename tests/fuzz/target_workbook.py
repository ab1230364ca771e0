"""Coverage-guided fuzzing of the reading of workbooks; needs atheris (`pip install -e '.[fuzz]'`).

    python tests/fuzz/target_workbook.py seeds FOLDER
    python tests/fuzz/target_workbook.py FOLDER -max_len=20000 -timeout=20 -rss_limit_mb=1500

The first fills FOLDER with small workbooks and the hostile ones of tests/workbook; the second damages them
until an error comes out that is not of econ/errors.py, a statement of reading.py does not hold, or time or
memory run out. It then writes the file that did it as crash-*, timeout-* or oom-*.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent), str(HERE.parent / "workbook"), str(HERE)]

LARGEST_SEED = 20_000
WATCHED = [
    *("econ.workbook.read", "econ.workbook.guards", "econ.workbook.package_parts"),
    *("econ.inputs.cells", "econ.inputs.cells", "openpyxl.reader", "openpyxl.packaging", "openpyxl.cell"),
    *("openpyxl.worksheet._reader", "openpyxl.worksheet._read_only", "openpyxl.utils", "openpyxl.workbook"),
]
"""Where a new branch taken counts as news: what reads; all else would only slow it down."""

LAST_ROW = 50_000
"""In place of 1,048,576: counting so far takes a second, and under the watch of every branch a minute."""


def write_seeds(folder: Path) -> None:
    """Put the seeds that are small enough to work on into the folder."""
    from hostile import REFUSED
    from odd import ODD
    from small_books import small_books

    folder.mkdir(parents=True, exist_ok=True)
    made = [*small_books(), *((trap.name, trap.build()) for trap in (*REFUSED, *ODD))]
    for name, content in made:
        if len(content) <= LARGEST_SEED:
            (folder / f"{''.join(c if c.isalnum() else '-' for c in name)}.xlsx").write_bytes(content)


def fuzz(arguments: list[str]) -> None:
    """Run libFuzzer over the reading with its own arguments."""
    import atheris

    with atheris.instrument_imports(include=WATCHED):
        import openpyxl  # noqa: F401
        from reading import outcome

        from econ.workbook import guards
    from zip_mutator import crossed, mutated

    guards.SHEET_ROWS = LAST_ROW

    work = Path(tempfile.mkdtemp(prefix="kilncase-fuzz-", dir="/dev/shm" if Path("/dev/shm").is_dir() else None))
    path = work / "any.xlsx"

    def one(data: bytes) -> None:
        path.write_bytes(data)
        outcome(path)

    def mutate(data: bytes, max_size: int, seed: int) -> bytes:
        return mutated(data, max_size, seed, atheris.Mutate)

    program = f"{sys.executable} {__file__}"  # -merge=1 and -fork=1 start it anew by this name
    atheris.Setup([program, *arguments[1:]], one, custom_mutator=mutate, custom_crossover=crossed)
    atheris.Fuzz()


if __name__ == "__main__":
    if sys.argv[1:2] == ["seeds"]:
        write_seeds(Path(sys.argv[2]))
    else:
        fuzz(sys.argv)
