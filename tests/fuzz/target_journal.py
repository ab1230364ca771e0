"""Coverage-guided fuzzing of the journal of many plants; needs atheris (`pip install -e '.[fuzz]'`).

    python tests/fuzz/target_journal.py FOLDER -max_len=4000 -timeout=20 -rss_limit_mb=1500

FOLDER starts empty or with what an earlier run left there.
"""

from __future__ import annotations

import json
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))


def fuzz(arguments: list[str]) -> None:
    """Run libFuzzer over the opening of a journal with its own arguments."""
    import atheris

    with atheris.instrument_imports(include=["econ.many.journal"]):
        from econ.many.journal import HEADER, Journal
    from econ.errors import FileRefused
    from econ.many.columns import FIGURES, WORDS

    figures = {name: "USD" if name in WORDS else 1.5 for name in FIGURES}
    good = {"key": "a1", "fault": "", "figures": figures, "inputs": {"kiln.price": 4.0}}
    first, record = (json.dumps(one).encode() + b"\n" for one in (HEADER, good))
    path = Path(tempfile.mkdtemp(prefix="kilncase-fuzz-"), "any.journal")
    folder = Path(arguments[1])
    folder.mkdir(parents=True, exist_ok=True)
    written = b'{"wrote": "r.csv", "sha256": "0a"}\n'
    for number, seed in enumerate((first, first + record, first + written + record, record[:90], first[:20])):
        (folder / f"seed-{number}.journal").write_bytes(seed)

    def one(data: bytes) -> None:
        """Whatever stands in it, it is refused or holds what is put into it, now and when opened again."""
        path.write_bytes(data)
        try:
            with Journal(path, FIGURES) as journal:
                journal.append([good])
        except FileRefused:
            assert path.read_bytes() == data, "a file that is no journal was touched"
            return
        with Journal(path, FIGURES) as again:
            assert again["a1"] == good
            assert path.read_bytes().startswith(first)

    program = f"{sys.executable} {__file__}"  # -merge=1 and -fork=1 start it anew by this name
    atheris.Setup([program, *arguments[1:]], one)
    atheris.Fuzz()


if __name__ == "__main__":
    fuzz(sys.argv)
