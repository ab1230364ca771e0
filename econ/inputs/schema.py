"""The one schema: every row a person can fill, written once, in the data files `sheets/*.toml`.

Template, reader, faults, echo of inputs and input reference all come from here. A row stands on one sheet under
one heading; rows that repeat belong to a `Block` and carry their number in their key (`product.2.price`).
`sheets/README.md` says each word; a row that contradicts itself is a FactorError that names file and line.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any, NoReturn

import tomli

from econ.errors import FactorError
from econ.evidence.factors import FACTORS
from econ.evidence.substances import crop_removals
from econ.fields import record, replace
from econ.inputs.records import MOST_OF_A_BLOCK, Caution
from econ.inputs.rows import MONTHS, Block, Option, Row, Section, SheetPlan, TablePlan, contradictions
from econ.shipped import listed

EDITION = 2
"""The schema edition written into every scenario workbook."""
RETIRED = frozenset({"rule.refuse_at_loss_chance"})
"""Rows of older workbooks that no longer mean anything; they are passed over."""
FOLDER = Path(__file__).parent / "sheets"
SHEETS = ("start-here", "bones", "kiln-and-crew", "products", "money", "carbon", "options", "label-and-planting")
RECORD = ("char-deliveries", "fuel-bought", "hours-worked", "hauler-invoices", "char-sales")
TABLES = ("kiln-log", "lab-assay", "garden-trials", *RECORD)
"""The files in the order of their sheets in a workbook."""

TEXTS = ("key", "label", "kind", "us", "factor", "factor_unit", "unless", "or_words", "if_blank", "help")
WORDS: Mapping[str, tuple[type, ...]] = {
    **dict.fromkeys((*TEXTS, "help_next", "instead"), (str,)),
    **dict.fromkeys(("lowest", "above", "highest", "low", "high", "neutral"), (float, int)),
    **dict.fromkeys(("required", "asked", "fixed", "each_month", "zero_misleads"), (bool,)),
    **{"units": (list,), "choices": (list, str), "default": (str, float, int)},
}
"""What may stand in a row, and of what type."""
PASSED_ON = frozenset((*TEXTS, "instead", "required", "asked", "fixed", "default", "neutral", "zero_misleads"))

Item = Mapping[str, Any]
Shared = Mapping[str, tuple[Option, ...]]
AT = "@"
"""The word under which an item keeps its file and line."""


@record(frozen=True, slots=True)
class Schema:
    """Everything that the files hold: input sheets in order, blocks and tables by name."""

    sheets: tuple[SheetPlan, ...]
    blocks: Mapping[str, Block]
    tables: Mapping[str, TablePlan]


@cache
def _shipped() -> Schema:
    return load(FOLDER)


def sheets() -> tuple[SheetPlan, ...]:
    """Every input sheet with its rows, in the order in which a person meets them."""
    return _shipped().sheets


@cache
def rows() -> dict[str, Row]:
    """Every row by key, in sheet order."""
    return {row.key: row for plan in sheets() for section in plan.sections for row in section.rows}


def place_words(where: str) -> str:
    """Where a caution belongs, for a person: sheet and row of an input; any other place as it is."""
    row = rows().get(where.split(" ")[0])
    return where if row is None else f"{row.sheet}: {row.label}"


def placed(caution: Caution) -> str:
    """The sentence of a caution with its place behind."""
    return f"{caution.text}  [{place_words(caution.where)}]" if caution.where else caution.text


def blocks() -> Mapping[str, Block]:
    """The repeating blocks by name."""
    return _shipped().blocks


def table_plans() -> Mapping[str, TablePlan]:
    """Every table by name, in the order of its sheets; a workbook without them has no such data."""
    return _shipped().tables


def changes() -> list[tuple[int, str, str]]:
    """What moved figures since: the edition that brought it, the subject of the figures, what and why."""
    return [(int(row["edition"]), row["subject"], row["change"]) for row in listed("editions", "inputs")]


def older(edition: int) -> Caution:
    """What a workbook of an earlier edition is told: which figures may differ from its own results, and why."""
    said = " ".join(f"{change}." for brought, _, change in changes() if brought > edition)
    text = f"Written for schema edition {edition}; this is {EDITION}. Its answer may differ from the one it had. "
    return Caution("older-edition", text + said)


def load(folder: Path) -> Schema:
    """The rows of a folder of sheet files; raises FactorError with file and line for a bad row."""
    crops = tuple(Option(one.crop, one.label.lower()) for one in crop_removals())
    listed = _open(folder / "choices.toml").items()
    shared = {name: tuple(map(_option, lines)) for name, lines in listed} | {"crops": crops}
    files = [_open(folder / f"{name}.toml") for name in SHEETS]
    blocks = {block.name: block for file in files for block in _blocks(file, shared)}
    seen: dict[str, str] = {}
    sheets = tuple(_sheet(file, blocks, shared, seen) for file in files)
    tables = [_table(_open(folder / f"{name}.toml"), shared) for name in TABLES]
    return Schema(sheets, blocks, {table.name: table for table in tables})


def _open(path: Path) -> Item:
    """What a file holds, each item with its place."""
    text = path.read_text(encoding="utf-8")
    try:
        held = tomli.loads(text)
    except tomli.TOMLDecodeError as error:  # it names line and column
        raise FactorError(f"{path.name}: {error}") from None
    heads: dict[str, list[int]] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        if "[[" in line:
            heads.setdefault(line.strip(), []).append(number)
    _mark(held, "", path.name, heads)
    return held


def _mark(item: dict[str, Any], within: str, name: str, heads: dict[str, list[int]]) -> None:
    for word, found in list(item.items()):
        for one in found if isinstance(found, list) else ():
            if isinstance(one, dict):
                one[AT] = f"{name} line {heads[f'[[{within}{word}]]'].pop(0)}"
                _mark(one, f"{within}{word}.", name, heads)


def _refuse(item: Item, what: str) -> NoReturn:
    raise FactorError(f"{item[AT]}: {what}")


def _option(line: str) -> Option:
    slug, label, *aliases = (part.strip() for part in line.split("|"))
    return Option(slug, label, tuple(aliases))


def _sheet(file: Item, blocks: Mapping[str, Block], shared: Shared, seen: dict[str, str]) -> SheetPlan:
    sections = []
    for section in file["section"]:
        stand = {"sheet": file["sheet"], "heading": section["heading"]}
        made = []
        for item in section["row"]:
            for row in _repetitions(item, blocks, stand) if "repeat" in item else _single(item, shared, stand):
                if row.key in seen:
                    _refuse(item, f"{row.key} stands twice, first in {seen[row.key]}")
                seen[row.key] = item[AT]
                made.append(row)
        more = {word: section[word] for word in ("help", "stop", "open") if word in section}
        sections.append(Section(section["heading"], tuple(made), **more))
    return SheetPlan(file["sheet"], file["intro"], tuple(sections), file.get("late", False))


def _single(item: Item, shared: Shared, stand: Item) -> Iterator[Row]:
    """A row of its own, or one for each month."""
    row = _row(item, shared, stand)
    if not row.help or not (row.required or row.if_blank):
        _refuse(item, f"{row.key} needs help, and if_blank unless it is required")
    if not item.get("each_month"):
        yield row
        return
    for month, name in MONTHS.items():
        words = row.help if month == "jan" else item.get("help_next", row.help)
        key, label = row.key.replace("{month}", month), row.label.replace("{name}", name)
        yield replace(row, key=key, label=label, help=words)


def _repetitions(item: Item, blocks: Mapping[str, Block], stand: Item) -> Iterator[Row]:
    """Rows of a block for "bones.1" or "bones.2-4"; `only` picks rows by their last word."""
    name, _, span = item["repeat"].rpartition(".")
    first, _, last = span.partition("-")
    if name not in blocks or not span.replace("-", "").isdigit():
        _refuse(item, f"repeat {item['repeat']!r} is not block.number or block.first-last of {', '.join(blocks)}")
    block, only = blocks[name], item.get("only", ())
    if unknown := set(only) - {row.key for row in block.rows}:
        _refuse(item, f"the block {name} has no row {', '.join(sorted(unknown))}")
    if int(last or first) > MOST_OF_A_BLOCK:
        _refuse(item, f"the block {name} repeats more than {MOST_OF_A_BLOCK} times")
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


def _blocks(file: Item, shared: Shared) -> Iterator[Block]:
    for item in file.get("block", ()):
        but = {
            (number, one["row"]): {word: one[word] for word in one.keys() - {"row", "numbers", AT}}
            for one in item.get("but", ())
            for number in one["numbers"]
        }
        made = tuple(_row(one, shared, {}) for one in item["row"])
        names = tuple(item.get("names", ()))
        yield Block(item["name"], item["title"], item["count"], item["trigger"], made, names, but)


def _table(file: Item, shared: Shared) -> TablePlan:
    columns = tuple(_row(item, shared, {}) for item in file["column"])
    return TablePlan(name=file["table"], sheet=file["sheet"], intro=file["intro"], columns=columns,
                     ready=file["ready"], most=file.get("most", 200))  # fmt: skip


def _row(item: Item, shared: Shared, stand: Item) -> Row:
    wrong = [word for word, found in item.items() if word != AT and type(found) not in WORDS.get(word, ())]
    if wrong or not item.keys() >= {"key", "label"}:
        _refuse(item, f"{item.get('key', 'a row')}: not understood: {', '.join(wrong) or 'no key or label'}")
    listed = item.get("choices", ())
    if isinstance(listed, str) and listed not in shared:
        _refuse(item, f"{item['key']}: no list of choices {listed!r}; there are {', '.join(shared)}")
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
    if row.factor and row.factor not in FACTORS.shipped:
        _refuse(item, f"{row.key}: no factor {row.factor!r}")
    for fault in contradictions(row):
        _refuse(item, f"{row.key}: {fault}")
    return row
