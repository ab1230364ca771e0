"""Coverage-guided fuzzing of tables of plants (csv); needs atheris (`pip install -e '.[fuzz]'`).

    python tests/fuzz/target_table.py FOLDER -max_len=2000 -timeout=20 -rss_limit_mb=1500

FOLDER starts empty or with what an earlier run left there.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent), str(HERE)]

SEEDS = (
    b"plant,kiln.price\na,42000\nb,\n",
    b"\xef\xbb\xbfplant;bones.1.mass;kiln.price\n\"a;b\";500 kg per week;1e3 USD\r\n",
    b"kiln.price\n-1\n1e999\nnan\n",
    b"plant,plant,kiln.prize\n",
    b'"plant,kiln.price\n',
    b"fuel.1.kind,product.1.share\ndiesel,12 %\n",
)  # fmt: skip
WATCHED = ["econ.many.plants", "econ.workbook.read", "econ.inputs.cells", "econ.units"]


def fuzz(arguments: list[str]) -> None:
    """Run libFuzzer over the reading with its own arguments."""
    import atheris

    with atheris.instrument_imports(include=WATCHED):
        from table_reading import base_in, outcome

    work = Path(tempfile.mkdtemp(prefix="kilncase-fuzz-", dir="/dev/shm" if Path("/dev/shm").is_dir() else None))
    base, path = base_in(work), work / "any.csv"
    folder = Path(arguments[1])
    folder.mkdir(parents=True, exist_ok=True)
    for number, seed in enumerate(SEEDS):
        (folder / f"seed-{number}.csv").write_bytes(seed)

    def one(data: bytes) -> None:
        path.write_bytes(data)
        outcome(path, base)

    program = f"{sys.executable} {__file__}"  # -merge=1 and -fork=1 start it anew by this name
    atheris.Setup([program, *arguments[1:]], one)
    atheris.Fuzz()


if __name__ == "__main__":
    fuzz(sys.argv)
