"""The edition of the data: a short code that changes with any figure, source or word of any table inside.

Beside it the code of the tables as they shipped, so that a table edited in an installed copy is noticed.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable

LENGTH = 8
ENDINGS = (".csv", ".toml")
SHIPPED = "evidence/edition.txt"
PAGES = "pages"
"""How pages look is no data."""


@cache
def edition() -> str:
    """Eight hexadecimal digits over the name and text of every table; ends of lines do not count."""
    digest = hashlib.sha256()
    for name, table in sorted(_tables(files("econ"), "")):
        content = table.read_bytes().replace(b"\r\n", b"\n")
        digest.update(f"{name} {len(content)}\n".encode() + content)
    return digest.hexdigest()[:LENGTH]


def _tables(folder: Traversable, within: str) -> Iterator[tuple[str, Traversable]]:
    for item in folder.iterdir():
        if item.is_dir() and item.name != PAGES:
            yield from _tables(item, f"{within}{item.name}/")
        elif item.name.endswith(ENDINGS):
            yield f"{within}{item.name}", item


def shipped_edition() -> str:
    """The code of the tables as they left the makers."""
    return files("econ").joinpath(SHIPPED).read_text(encoding="utf-8").strip()


def in_words() -> str:
    """The edition, and whether the tables are those that shipped."""
    own, theirs = edition(), shipped_edition()
    return own if own == theirs else f"{own} (edited here: this version shipped with {theirs})"
