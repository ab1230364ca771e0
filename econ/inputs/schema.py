"""The one schema: every row a person can fill, written once.

The template, the reader, the faults, the echo of inputs in the results and the input reference all come
from `sheets()`. A row stands on one sheet under one heading; rows that repeat belong to a `Block` and
carry its number in their key (`product.2.price`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cache

from econ.units import Unit, unit

EDITION = 1
"""The schema edition written into every scenario workbook."""

KNOWN = ("measured", "quoted", "published", "guessed")
"""How a value is known, best first."""


@dataclass(frozen=True, slots=True)
class Option:
    """One choice of a choice row: the stable `slug`, the words shown, other spellings."""

    slug: str
    label: str
    aliases: tuple[str, ...] = ()

    def spellings(self) -> set[str]:
        """Everything a person may write for this choice, plain-cased."""
        return {plain(text) for text in (self.slug, self.label, *self.aliases)}


def plain(text: str) -> str:
    """Lower case, one space between words, hyphens and underscores as spaces."""
    return " ".join(text.lower().replace("-", " ").replace("_", " ").split())


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One input row.

    `kind` is number, whole (a whole number), choice or text. `units` are short forms, the metric one
    first; `us` is the one a US blank starts with. Bounds are in canonical units and inclusive. `default`
    is in the metric unit of the row; `factor` names the evidence row that supplies value and range
    instead. A `required` row must be filled: an empty cell is a fault, and a zero must be typed; `unless`
    names the row of the same block that excuses it, and `spare` marks a row so excused.
    """

    key: str
    label: str
    kind: str = "number"
    units: tuple[str, ...] = ()
    us: str = ""
    lowest: float = -math.inf
    highest: float = math.inf
    above_lowest: bool = False
    choices: tuple[Option, ...] = ()
    default: float | str | None = None
    default_range: tuple[float, float] | None = None
    factor: str = ""
    required: bool = False
    unless: str = ""
    if_blank: str = ""
    help: str = ""
    sheet: str = ""
    heading: str = ""
    block: str = ""
    number: int = 0
    fixed: bool = False
    spare: bool = False

    @property
    def is_number(self) -> bool:
        """Whether the row holds a number (whole or not)."""
        return self.kind in {"number", "whole"}

    def unit_choices(self, currency: str) -> tuple[Unit, ...]:
        """The units a person may choose for this row, the metric one first."""
        return tuple(unit(text.replace("$", currency), currency) for text in self.units)

    def start_unit(self, system: str, currency: str) -> Unit | None:
        """The unit a blank workbook starts with, for `us` or `metric`."""
        if not self.units:
            return None
        text = self.us if system == "us" and self.us else self.units[0]
        return unit(text.replace("$", currency), currency)

    @property
    def is_money(self) -> bool:
        """Whether the row carries the currency in its numerator."""
        return bool(self.units) and self.units[0].startswith("$")

    def option(self, text: str) -> Option | None:
        """The choice that `text` spells, or None."""
        wanted = plain(text)
        return next((option for option in self.choices if wanted in option.spellings()), None)


@dataclass(frozen=True, slots=True)
class Block:
    """Rows that repeat: `name.1.*`, `name.2.*`; filled when `trigger` (a row's last word) is filled."""

    name: str
    title: str
    count: int
    trigger: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Section:
    """A heading on a sheet, a line of help, and its rows or blocks in order."""

    heading: str
    rows: tuple[Row, ...] = ()
    help: str = ""


@dataclass(frozen=True, slots=True)
class SheetPlan:
    """One input sheet: its name, the sentence under the title, its sections.

    A `late` sheet came after the first workbooks: one without it simply has none of its rows.
    """

    name: str
    intro: str
    sections: tuple[Section, ...] = field(default_factory=tuple)
    late: bool = False


def repeat(block: Block, numbers: Iterator[int] | range, only: tuple[str, ...] = ()) -> tuple[Row, ...]:
    """The rows of a block for the given numbers; `only` picks rows by their last word."""
    return tuple(
        replace(
            row,
            key=f"{block.name}.{number}.{row.key}",
            label=f"{row.label} ({block.title} {number})",
            block=block.name,
            number=number,
            required=row.required and number == 1,
            if_blank=row.if_blank or ("" if number == 1 else f"{block.title} {number} is not used"),
        )
        for number in numbers
        for row in block.rows
        if not only or row.key in only
    )


@cache
def sheets() -> tuple[SheetPlan, ...]:
    """Every input sheet with its rows, in the order in which a person meets them."""
    from econ.inputs.rows import PLANS

    return tuple(
        replace(
            plan,
            sections=tuple(
                replace(
                    section,
                    rows=tuple(replace(row, sheet=plan.name, heading=section.heading) for row in section.rows),
                )
                for section in plan.sections
            ),
        )
        for plan in PLANS
    )


@cache
def rows() -> dict[str, Row]:
    """Every row by key, in sheet order."""
    found: dict[str, Row] = {}
    for plan in sheets():
        for section in plan.sections:
            for row in section.rows:
                if row.key in found:
                    raise ValueError(f"two rows share the key {row.key}")
                found[row.key] = row
    return found


@cache
def blocks() -> dict[str, Block]:
    """The repeating blocks by name."""
    from econ.inputs.rows import BLOCKS

    return {block.name: block for block in BLOCKS}


def sheet_names() -> tuple[str, ...]:
    """The names of the input sheets, in order."""
    return tuple(plan.name for plan in sheets())
