"""Reads the input rows from their data files, one a sheet, and refuses a row that contradicts itself.

`sheets/README.md` says what each word of a row means. These files ship with the program: a bad row is a
FactorError that names file and line.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from itertools import count
from pathlib import Path
from typing import Any, NoReturn

from econ.errors import FactorError, KilncaseError
from econ.evidence.agronomy import crop_removals
from econ.evidence.factors import factor
from econ.inputs.rows import MONTHS, Block, Option, Row, Section, SheetPlan, TablePlan

FOLDER = Path(__file__).parent / "sheets"
SHEETS = ("start-here", "bones", "kiln-and-crew", "products", "money", "carbon", "options", "label-and-planting")
RECORD = ("char-deliveries", "fuel-bought", "hours-worked", "hauler-invoices", "char-sales")
TABLES = ("kiln-log", "lab-assay", "garden-trials", *RECORD)
"""The files in the order of their sheets in a workbook."""

TEXTS = ("key", "label", "kind", "us", "factor", "factor_unit", "unless", "or_words", "if_blank", "help")
WORDS: Mapping[str, tuple[type, ...]] = {
    **dict.fromkeys((*TEXTS, "help_next"), (str,)),
    **dict.fromkeys(("lowest", "above", "highest", "low", "high", "neutral"), (float, int)),
    **dict.fromkeys(("required", "asked", "fixed", "each_month", "zero_misleads"), (bool,)),
    **{"units": (list,), "choices": (list, str), "default": (str, float, int)},
}
"""What may stand in a row, and of what type."""
PASSED_ON = frozenset((*TEXTS, "required", "asked", "fixed", "default", "neutral", "zero_misleads"))
KINDS = ("number", "whole", "choice", "text", "date")

Item = Mapping[str, Any]
Shared = Mapping[str, tuple[Option, ...]]


@dataclass(frozen=True, slots=True)
class Schema:
    """Everything that the files hold: input sheets in order, blocks and tables by name."""

    sheets: tuple[SheetPlan, ...]
    blocks: Mapping[str, Block]
    tables: Mapping[str, TablePlan]


@dataclass(frozen=True, slots=True)
class SheetFile:
    """One file: its name, its text (to find a line again), and what it holds."""

    name: str
    text: str
    held: Item

    def entries(self, table: str) -> Iterator[tuple[Place, Item]]:
        """Every entry under a heading such as `[[section.row]]`, with its place."""
        outer, _, inner = table.partition(".")
        at = count()
        for item in self.held.get(outer, ()):
            for one in item.get(inner, ()) if inner else (item,):
                yield Place(self, table, next(at)), one


@dataclass(frozen=True, slots=True)
class Place:
    """The place of one entry: the `at`-th (from 0) under the heading `[[table]]` of its file."""

    file: SheetFile
    table: str
    at: int

    def refuse(self, what: str) -> NoReturn:
        """Raise the fault of this entry, with the line of its heading."""
        lines = enumerate(self.file.text.splitlines(), start=1)
        heads = [n for n, line in lines if line.strip() == f"[[{self.table}]]"]
        raise FactorError(f"{self.file.name} line {heads[self.at] if self.at < len(heads) else 1}: {what}")


@cache
def shipped() -> Schema:
    """The rows that ship with the program."""
    return load(FOLDER)


def load(folder: Path) -> Schema:
    """The rows of a folder of sheet files; raises FactorError with file and line for a bad row."""
    shared = _shared(_open(folder / "choices.toml"))
    files = [_open(folder / f"{name}.toml") for name in SHEETS]
    blocks = {block.name: block for file in files for block in _blocks(file, shared)}
    seen: dict[str, str] = {}
    sheets = tuple(_sheet(file, blocks, shared, seen) for file in files)
    tables = [_table(_open(folder / f"{name}.toml"), shared) for name in TABLES]
    return Schema(sheets, blocks, {table.name: table for table in tables})


def _open(path: Path) -> SheetFile:
    text = path.read_text(encoding="utf-8")
    try:
        return SheetFile(path.name, text, tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:  # it names line and column
        raise FactorError(f"{path.name}: {error}") from None


def _shared(file: SheetFile) -> Shared:
    """Lists of choices that several rows share, by name; crops come from the evidence."""
    crops = tuple(Option(one.crop, one.label.lower()) for one in crop_removals())
    return {name: tuple(map(_option, lines)) for name, lines in file.held.items()} | {"crops": crops}


def _option(line: str) -> Option:
    slug, label, *aliases = (part.strip() for part in line.split("|"))
    return Option(slug, label, tuple(aliases))


def _sheet(file: SheetFile, blocks: Mapping[str, Block], shared: Shared, seen: dict[str, str]) -> SheetPlan:
    held, entries, sections = file.held, file.entries("section.row"), []
    for section in held["section"]:
        stand = {"sheet": held["sheet"], "heading": section["heading"]}
        made = [row for _ in section["row"] for row in _rows(*next(entries), blocks, shared, stand, seen)]
        more = {word: section[word] for word in ("help", "stop", "open") if word in section}
        sections.append(Section(section["heading"], tuple(made), **more))
    return SheetPlan(held["sheet"], held["intro"], tuple(sections), held.get("late", False))


def _rows(
    place: Place, item: Item, blocks: Mapping[str, Block], shared: Shared, stand: Item, seen: dict[str, str]
) -> Iterator[Row]:
    """The rows of one entry of a section; a key that stands twice is refused."""
    made = _repetitions(place, item, blocks, stand) if "repeat" in item else _single(place, item, shared, stand)
    for row in made:
        if row.key in seen:
            place.refuse(f"{row.key} stands twice, first in {seen[row.key]}")
        seen[row.key] = place.file.name
        yield row


def _single(place: Place, item: Item, shared: Shared, stand: Item) -> Iterator[Row]:
    """A row of its own, or one for each month."""
    row = _row(place, item, shared, stand)
    if not row.help or not (row.required or row.if_blank):
        place.refuse(f"{row.key} needs help, and if_blank unless it is required")
    if not item.get("each_month"):
        yield row
        return
    for month, name in MONTHS.items():
        words = row.help if month == "jan" else item.get("help_next", row.help)
        key, label = row.key.replace("{month}", month), row.label.replace("{name}", name)
        yield replace(row, key=key, label=label, help=words)


def _repetitions(place: Place, item: Item, blocks: Mapping[str, Block], stand: Item) -> Iterator[Row]:
    """Rows of a block for "bones.1" or "bones.2-4"; `only` picks rows by their last word."""
    name, _, span = item["repeat"].rpartition(".")
    first, _, last = span.partition("-")
    if name not in blocks or not span.replace("-", "").isdigit():
        place.refuse(f"repeat {item['repeat']!r} is not block.number or block.first-last of {', '.join(blocks)}")
    block, only = blocks[name], item.get("only", ())
    if unknown := set(only) - {row.key for row in block.rows}:
        place.refuse(f"the block {name} has no row {', '.join(sorted(unknown))}")
    for number in range(int(first), int(last or first) + 1):
        yield from (_repeated(block, row, number, stand) for row in block.rows if not only or row.key in only)


def _repeated(block: Block, row: Row, number: int, stand: Item) -> Row:
    name = block.names[number - 1] if block.names else ""
    called = f"{block.title} {number}: {name}" if name else f"{block.title} {number}"
    unused = "" if number == 1 else f"{block.title} {number} is not used"
    changed: dict[str, Any] = {
        "if_blank": row.if_blank.replace("{name}", name) or unused,
        **block.but.get((number, row.key), {}),
        **stand,
    }
    return replace(
        row,
        key=f"{block.name}.{number}.{row.key}",
        label=f"{row.label} ({called})",
        block=block.name,
        number=number,
        required=row.required and number == 1,
        asked=row.asked and number == 1,
        **changed,
    )


def _blocks(file: SheetFile, shared: Shared) -> Iterator[Block]:
    rows = iter(file.entries("block.row"))
    for item in file.held.get("block", ()):
        made = tuple(_row(*next(rows), shared, {}) for _ in item["row"])
        but = {
            (number, one["row"]): {word: one[word] for word in one.keys() - {"row", "numbers"}}
            for one in item.get("but", ())
            for number in one["numbers"]
        }
        names = tuple(item.get("names", ()))
        yield Block(item["name"], item["title"], item["count"], item["trigger"], made, names, but)


def _table(file: SheetFile, shared: Shared) -> TablePlan:
    columns = tuple(_row(place, item, shared, {}) for place, item in file.entries("column"))
    held = file.held
    return TablePlan(name=held["table"], sheet=held["sheet"], intro=held["intro"], columns=columns,
                     ready=held["ready"], most=held.get("most", 200))  # fmt: skip


def _row(place: Place, item: Item, shared: Shared, stand: Item) -> Row:
    wrong = [word for word, found in item.items() if type(found) not in WORDS.get(word, ())]
    if wrong or not item.keys() >= {"key", "label"}:
        place.refuse(f"{item.get('key', 'a row')}: not understood: {', '.join(wrong) or 'no key or label'}")
    listed = item.get("choices", ())
    if isinstance(listed, str) and listed not in shared:
        place.refuse(f"{item['key']}: no list of choices {listed!r}; there are {', '.join(shared)}")
    made = {word: found for word, found in item.items() if word in PASSED_ON}
    row = Row(
        units=tuple(item.get("units", ())),
        lowest=item.get("above", item.get("lowest", -math.inf)),
        above_lowest="above" in item,
        highest=item.get("highest", math.inf),
        choices=shared[listed] if isinstance(listed, str) else tuple(map(_option, listed)),
        default_range=(item["low"], item["high"]) if "low" in item and "high" in item else None,
        **made,
        **stand,
    )
    for fault in _contradictions(row):
        place.refuse(f"{row.key}: {fault}")
    return row


def _contradictions(row: Row) -> Iterator[str]:
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
        if row.factor:
            factor(row.factor)
    except KilncaseError as error:
        yield str(error)
        return
    ends = [value for value in (row.default, *(row.default_range or ())) if isinstance(value, float | int)]
    if row.default_range and ends and not row.default_range[0] <= ends[0] <= row.default_range[1]:
        yield f"default {ends[0]:g} is outside its range {row.default_range[0]:g} to {row.default_range[1]:g}"
    for value in ends if units else ():
        if not row.lowest <= units[0].to_canonical(value) <= row.highest:
            yield f"{value:g} {units[0].short} is outside the bounds {row.lowest:g} to {row.highest:g}"
