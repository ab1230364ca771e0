"""What ships beside the code: tables and texts, by the name of their room and their own."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import tomli

HOME = Path(__file__).parent


def text(name: str, room: str) -> str:
    """A text by its name with the ending, as it stands."""
    return (HOME / room / name).read_text(encoding="utf-8")


@cache
def described(name: str, room: str = "answer") -> Mapping[str, Any]:
    """A table of names and words, by its name without the ending."""
    return tomli.loads(text(f"{name}.toml", room))


@cache
def listed(name: str, room: str = "answer") -> tuple[dict[str, str], ...]:
    """The rows of a csv table, by its name without the ending."""
    return tuple(csv.DictReader(text(f"{name}.csv", room).splitlines()))
