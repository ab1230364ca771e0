"""The shipped scenario workbooks: by name from the tree, their bytes made once for all and only when asked."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from remembered import shared

from econ.workbook.blank import shipped

ROOT = Path(__file__).resolve().parents[1]
SHIPPED = tuple(sorted(
    f"{room}/{path.name}" for room in ("scenarios", "templates") for path in (ROOT / room).glob("*.xlsx")
    if not path.name.endswith(".results.xlsx")
))  # fmt: skip

made = cache(shipped)


def now(name: str) -> bytes:
    """What the schema and the example texts make of one of them; another worker may have made it."""
    return shared(f"shipped {name}", lambda: made()[name])
