"""The shapes of a fact: where it comes from, how well it is known, what it says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

MARKS = {
    "verified": "verified",
    "exact": "verified (exact)",
    "unverified": "unverified (from memory)",
    "derived": "unverified (derived here)",
    "assumed": "unverified (assumed here)",
}
"""What is printed beside a figure of each status."""


@dataclass(frozen=True, slots=True)
class Source:
    """A work that figures are taken from; `url` is a DOI or public address, empty if there is none."""

    key: str
    text: str
    year: str
    url: str


class Origin(NamedTuple):
    """The last columns of every row: source, place in the source, status, remark."""

    source: Source
    locator: str
    status: str
    note: str

    @property
    def mark(self) -> str:
        """The words printed beside a value of this origin."""
        return MARKS[self.status]


class Marked:
    """A row that knows how well it is known."""

    status: str

    @property
    def is_verified(self) -> bool:
        """Whether the value was read in its source, or is exact arithmetic."""
        return self.status in {"verified", "exact"}

    @property
    def mark(self) -> str:
        """The words printed beside the value: verified or unverified, and in what way."""
        return MARKS[self.status]


@dataclass(frozen=True)
class Factor(Marked):
    """One figure [unit], its range if known, and its origin."""

    id: str
    label: str
    value: float
    low: float | None
    high: float | None
    unit: str
    source: Source
    locator: str
    status: str
    note: str
