"""What an input row is: its kinds, units, bounds and choices, and the plans of sheets and tables made of rows.

The rows themselves stand in `sheets/*.toml`; `schema.py` gives them out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from functools import lru_cache

from econ.errors import KilncaseError
from econ.fields import field, record
from econ.units import Unit, seen, unit

KINDS = ("number", "whole", "choice", "text", "date")
KNOWN = ("measured", "quoted", "published", "guessed")
"""How a value is known, best first."""

MONTHS: Mapping[str, str] = {
    "jan": "January", "feb": "February", "mar": "March", "apr": "April", "may": "May", "jun": "June",
    "jul": "July", "aug": "August", "sep": "September", "oct": "October", "nov": "November", "dec": "December",
}  # fmt: skip
"""The months as they stand in keys, and their names."""


@record(frozen=True, slots=True)
class Option:
    """One choice of a choice row: the stable `slug`, the words shown, other spellings."""

    slug: str
    label: str
    aliases: tuple[str, ...] = ()


@lru_cache(maxsize=4_096)
def plain(text: str) -> str:
    """Lower case, one space between words, hyphens and underscores as spaces."""
    return seen(text.lower().replace("-", " ").replace("_", " "))


@record(frozen=True, slots=True, kw_only=True)
class Row:
    """One input row, or one column of a table.

    `kind` is number, whole, choice, text or, in tables, date. `units` are short forms, the metric one first; `us`
    is the one a US blank starts with. Bounds are canonical and inclusive. `default` and its range are in the
    metric unit; `factor` names the evidence row that supplies them instead. A blank row without either is a part
    that the plant lacks; `neutral` is the canonical number it is the same as. A `required` row must be filled, a
    zero typed; `unless` names the row of the block that excuses it, `spare` marks a row so excused; `instead` says
    what else to do. Where `zero_misleads`, a 0 is asked about. An `asked` row is printed like a required one; left
    blank it gives figures but no decision. `or_words` may stand in place of a number.
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
    factor_unit: str = ""
    neutral: float | None = None
    required: bool = False
    asked: bool = False
    or_words: str = ""
    unless: str = ""
    instead: str = ""
    if_blank: str = ""
    help: str = ""
    sheet: str = ""
    heading: str = ""
    block: str = ""
    number: int = 0
    fixed: bool = False
    spare: bool = False
    zero_misleads: bool = False

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
        spelt = ((one, (one.slug, one.label, *one.aliases)) for one in self.choices)
        return next((one for one, texts in spelt if wanted in map(plain, texts)), None)

    def words(self, value: object) -> str:
        """A value of the row for a person: the label of a choice, any other as it stands."""
        found = self.option(str(value))
        return found.label if found else str(value)


@record(frozen=True, slots=True)
class Block:
    """Rows that repeat: `name.1.*`, `name.2.*`; filled when `trigger` (a row's last word) is filled.

    `names` are what each repetition is called; `but` holds what differs in some, by number and last word of the
    row.
    """

    name: str
    title: str
    count: int
    trigger: str
    rows: tuple[Row, ...]
    names: tuple[str, ...] = ()
    but: Mapping[tuple[int, str], Mapping[str, str | float]] = field(default_factory=dict)


@record(frozen=True, slots=True)
class Section:
    """A heading on a sheet, a line of help, its rows in order, and what one has who stops after them.

    One that is not `open` is folded in a workbook that fills none of its rows.
    """

    heading: str
    rows: tuple[Row, ...] = ()
    help: str = ""
    stop: str = ""
    open: bool = False


@record(frozen=True, slots=True)
class SheetPlan:
    """One input sheet: its name, the sentence under the title, its sections.

    A `late` sheet came after the first workbooks: one without it simply has none of its rows.
    """

    name: str
    intro: str
    sections: tuple[Section, ...] = field(default_factory=tuple)
    late: bool = False


@record(frozen=True, slots=True, kw_only=True)
class TablePlan:
    """A wide table: one sheet, one line an observation, one column a `Row` of kind number, date, text or choice.

    A column has one unit for all its lines, chosen above it. `ready` lines are printed blank, `most` read.
    """

    name: str
    sheet: str
    intro: str
    columns: tuple[Row, ...]
    ready: int
    most: int = 200

    @property
    def by_key(self) -> dict[str, Row]:
        """The columns by key, in order."""
        return {column.key: column for column in self.columns}


def contradictions(row: Row) -> Iterator[str]:
    """What cannot be true of a row, whatever it is about."""
    if row.kind not in KINDS:
        yield f"kind {row.kind!r} is not one of {', '.join(KINDS)}"
    if (row.kind == "choice") != bool(row.choices):
        yield "choices belong to a row of kind choice, and to no other"
    if not row.lowest <= row.highest:
        yield f"lowest {row.lowest:g} is above highest {row.highest:g}"
    if row.us and row.us not in row.units:
        yield f"us {row.us!r} is not one of its units"
    if row.default is not None and isinstance(row.default, str) != (row.kind in {"choice", "text"}):
        yield f"default {row.default!r} does not fit a row of kind {row.kind}"
    if row.kind == "choice" and isinstance(row.default, str) and row.option(row.default) is None:
        yield f"default {row.default!r} is not one of its choices"
    if row.is_number:
        yield from _unit_faults(row)


def _unit_faults(row: Row) -> Iterator[str]:
    try:
        units = row.unit_choices("USD")
    except KilncaseError as error:
        yield str(error)
        return
    ends = [value for value in (row.default, *(row.default_range or ())) if isinstance(value, float | int)]
    if row.default_range and ends and not row.default_range[0] <= ends[0] <= row.default_range[1]:
        yield f"default {ends[0]:g} is outside its range {row.default_range[0]:g} to {row.default_range[1]:g}"
    for value in ends if units else ():
        if not row.lowest <= units[0].to_canonical(value) <= row.highest:
            yield f"{value:g} {units[0].short} is outside the bounds {row.lowest:g} to {row.highest:g}"
