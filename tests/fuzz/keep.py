"""Copies files that fuzzing found into the corpus, named by what reading them comes to.

    python tests/fuzz/keep.py FOLDER

A file larger than 20 kB is left out, and so is what would make the corpus larger than 500 kB: the smallest
come first, those that are read before those that are refused.
"""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent), str(HERE)]

from reading import outcome  # noqa: E402

CORPUS = HERE / "corpus"
LARGEST, ALL_TOGETHER = 20_000, 500_000
FIRST = ("read", "faults", "refused")


def keep(folder: Path) -> int:
    """Copy what fits; returns how many files were copied."""
    found = []
    for path in folder.iterdir():
        kind = outcome(path).partition(":")[0]
        found.append((FIRST.index(kind), path.stat().st_size, kind, path.read_bytes()))
    room = ALL_TOGETHER - sum(path.stat().st_size for path in CORPUS.iterdir())
    copied = 0
    for _, size, kind, content in sorted(found):
        target = CORPUS / f"{kind}-{hashlib.sha256(content).hexdigest()[:12]}.xlsx"
        if size <= min(LARGEST, room) and not target.exists():
            target.write_bytes(content)
            room -= size
            copied += 1
    return copied


if __name__ == "__main__":
    CORPUS.mkdir(exist_ok=True)
    print(f"{keep(Path(sys.argv[1]))} files copied")
