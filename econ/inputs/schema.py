"""The one schema: every row a person can fill, written once, in the data files `sheets/*.toml`.

The template, the reader, the faults, the echo of inputs in the results and the input reference all come
from here. A row stands on one sheet under one heading; rows that repeat belong to a `Block` and carry
their number in their key (`product.2.price`).
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from econ.inputs import sheet_files
from econ.inputs.records import Caution
from econ.inputs.rows import Block, Row, SheetPlan, TablePlan

EDITION = 2
"""The schema edition written into every scenario workbook."""


RETIRED = frozenset({"rule.refuse_at_loss_chance"})
"""Rows of older workbooks that no longer mean anything; they are passed over."""
CONTRACT = ("contract.fixed", "contract.per_mass", "contract.per_piece")
"""The amounts of a hauler's contract: with any of them the saving is computed where none is typed."""


def sheets() -> tuple[SheetPlan, ...]:
    """Every input sheet with its rows, in the order in which a person meets them."""
    return sheet_files.shipped().sheets


@cache
def rows() -> dict[str, Row]:
    """Every row by key, in sheet order."""
    return {row.key: row for plan in sheets() for section in plan.sections for row in section.rows}


def place_words(where: str) -> str:
    """Where a caution belongs, for a person: sheet and row of an input; any other place as it is."""
    row = rows().get(where.split(" ")[0])
    return where if row is None else f"{row.sheet}: {row.label}"


def blocks() -> Mapping[str, Block]:
    """The repeating blocks by name."""
    return sheet_files.shipped().blocks


def sheet_names() -> tuple[str, ...]:
    """The names of the input sheets, in order."""
    return tuple(plan.name for plan in sheets())


def table_plans() -> Mapping[str, TablePlan]:
    """Every table by name, in the order of its sheets."""
    return sheet_files.shipped().tables


def table_sheets() -> tuple[str, ...]:
    """The names of the sheets that hold tables; a workbook without them has no such data."""
    return tuple(plan.sheet for plan in table_plans().values())


CHANGES: dict[int, dict[str, str]] = {
    2: {
        "matter": "Matter and heat: bone kinds, char, steel and lining were corrected against their sources",
        "carbon": "Carbon: emission factors, current practices and the fraction remaining after 100 years were"
        " corrected against their sources; emissions of making the fuel are counted",
        "money": "Money: net cost and bill are compared alike; payback, grant, debt coverage, worn parts, bags and"
        " salvage value are counted anew, so that one question has one answer",
        "planting": "Own planting: no application passes what crops remove, a soil test or a local plan allow;"
        " its char leaves what is for sale",
        "range": "Ranges: an uncertain number without a range takes one by how it is known",
    },
}
"""By the edition that brought it, and the subject of the figures that it moved: what changed, and why."""


def older(edition: int) -> Caution:
    """What a workbook of an earlier edition is told: which figures may differ from its own results, and why."""
    said = [words for at in range(edition + 1, EDITION + 1) for words in CHANGES.get(at, {}).values()]
    return Caution(
        "older-edition",
        f"Written for schema edition {edition}; this is {EDITION}. Its answer may differ from the one it had. "
        + " ".join(f"{words}." for words in said),
    )
