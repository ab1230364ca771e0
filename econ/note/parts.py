"""What a note is made of, before anyone knows whether it becomes a Word document or Markdown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading of the second level."""

    text: str


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph; `look` is plain, formula, banner or bullet."""

    text: str
    look: str = "plain"


@dataclass(frozen=True, slots=True)
class Table:
    """A captioned table; the first column is words, `small` sets it in small print."""

    caption: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    small: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """A captioned picture with its alternative text."""

    caption: str
    alt: str
    png: bytes


Part: TypeAlias = Heading | Text | Table | Picture


@dataclass(frozen=True, slots=True)
class Note:
    """A whole note: title, the line under it, and its parts in order."""

    title: str
    under: str
    parts: tuple[Part, ...]
