"""Copies files that fuzzing found into the corpus, made lighter and named by what reading them comes to.

    python tests/fuzz/keep.py FOLDER

Parts that no reading needs are left out where that changes nothing. What would make the corpus larger than
400 kB is left out: what is read comes first, then the smallest.
"""

from __future__ import annotations

import hashlib
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent), str(HERE)]

from reading import outcome  # noqa: E402
from zip_mutator import packed, unpacked  # noqa: E402

CORPUS = HERE / "corpus"
LARGEST, ALL_TOGETHER = 20_000, 400_000
NEEDLESS = ("xl/theme/theme1.xml", "docProps/core.xml", "docProps/app.xml")


def lighter(content: bytes, work: Path) -> tuple[str, bytes]:
    """What reading comes to, and the file without parts that make no difference to it."""
    path = work / "any.xlsx"
    path.write_bytes(content)
    said = outcome(path)
    for name in NEEDLESS:
        parts = unpacked(content) or {}
        if name in parts:
            path.write_bytes(less := packed({key: part for key, part in parts.items() if key != name}))
            if outcome(path) == said and len(less) < len(content):
                content = less
    return said.partition(":")[0], content


def keep(folder: Path) -> int:
    """Copy what fits; returns how many files were copied."""
    with tempfile.TemporaryDirectory() as work:
        made = [lighter(path.read_bytes(), Path(work)) for path in sorted(folder.iterdir())]
    room = ALL_TOGETHER - sum(path.stat().st_size for path in CORPUS.iterdir())
    copied = 0
    for kind, content in sorted(made, key=lambda one: (one[0] != "read", len(one[1]), one[1])):
        target = CORPUS / f"{kind}-{hashlib.sha256(content).hexdigest()[:12]}.xlsx"
        if len(content) <= min(LARGEST, room) and not target.exists():
            target.write_bytes(content)
            room -= len(content)
            copied += 1
    return copied


if __name__ == "__main__":
    CORPUS.mkdir(exist_ok=True)
    print(f"{keep(Path(sys.argv[1]))} files copied")
