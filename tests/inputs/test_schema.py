"""The one schema: every row is whole, and usable in every place that reads it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from plants import plant

import econ
from econ.answer.practice import advice
from econ.evidence import factors
from econ.fields import replace
from econ.inputs.records import instances
from econ.inputs.rows import Row, plain
from econ.inputs.schema import blocks, rows, sheets
from econ.workbook.live import defined_name

EVERY = list(rows().values())


def test_filled_instances_are_found_over_gaps_and_by_any_of_their_words() -> None:
    entries = plant(
        {"task.3.hours": (1, "h"), "task.14.hours": (2, "h"), "bones.2.heads": (40, "per year")}
    ).entries
    assert instances(entries, "task", "hours") == [3, 14]
    assert instances(entries, "bones", "mass", "heads") == [1, 2]
    assert instances(entries, "bones", "heads") == [2]


@pytest.mark.parametrize("row", EVERY, ids=lambda row: row.key)
def test_each_row_is_whole(row: Row) -> None:
    assert row.label
    assert row.help
    assert row.required or row.if_blank, "say what happens when the cell is left blank"
    assert defined_name(row.key)
    if row.is_number:
        assert row.units, "a number has a unit, even if it is only 'years'"
        units = row.unit_choices("USD")
        assert row.start_unit("us", "USD") in units
        if isinstance(row.default, int | float):
            assert row.lowest <= units[0].to_canonical(row.default) <= row.highest
        if row.factor:
            assert factors.factor(row.factor)
    if row.kind == "choice":
        assert row.choices
        assert row.default is None or row.option(str(row.default))
        spelled = [
            text for one in row.choices for text in {plain(text) for text in (one.slug, one.label, *one.aliases)}
        ]
        assert len(spelled) == len(set(spelled)), "two choices share a spelling"


KEYS_OF_THE_CONTRACT = [
    "bones.1.mass", "bones.1.kind", "bones.1.excluded_share", "excluded.fee", "kiln.price",
    "kiln.installation", "capital.other", "kiln.life", "kiln.batch_load", "kiln.batches_per_week",
    "kiln.weeks_per_year", "kiln.peak_temperature", "kiln.char_yield", "fuel.1.kind", "fuel.1.per_batch",
    "fuel.1.price", "labour.hours_per_batch", "labour.wage", "labour.on_cost_share",
    "running.maintenance_share", "running.other_per_year", "finish.grind_cost", "finish.tea_cost",
    "finish.bag_cost", "product.1.share", "product.1.price", "product.1.market_limit",
    "fertiliser.p2o5_price", "product.available_p2o5_share", "current.option", "current.saving",
    "current.fee", "money.discount_rate", "money.inflation", "money.basis", "money.study_years",
    "money.tax_rate", "money.grant", "money.salvage_share", "carbon.organic_share",
    "carbon.persistence_method", "carbon.gwp_set",
]  # fmt: skip


@pytest.mark.parametrize("key", KEYS_OF_THE_CONTRACT)
def test_the_keys_that_do_not_change(key: str) -> None:
    assert key in rows()


def test_blocks_repeat_the_same_rows() -> None:
    for block in blocks().values():
        for row in block.rows:
            for number in range(1, block.count + 1):
                assert rows()[f"{block.name}.{number}.{row.key}"].units == row.units


def test_the_first_sheet_holds_every_required_row_and_the_cautions() -> None:
    first = {row.key for section in sheets()[0].sections for row in section.rows}
    assert {row.key for row in EVERY if row.required} <= first
    said = " ".join(text for _, text, _ in advice("before"))
    for word in (
        "prions",
        "air office",
        "alarm",
        "hydrogen cyanide",
        "not feed",
        "a field may get",
        "not credits",
        "dust",
    ):
        assert word in said


def test_units_are_spelled_out_for_people() -> None:
    names = {unit.name for row in EVERY for unit in row.unit_choices("USD")}
    assert any("short ton (2,000 lb)" in name for name in names)
    assert any("tonne (1,000 kg)" in name for name in names)
    assert not any(name.split(" per ")[0] == "ton" for name in names)


HOME = Path(econ.__file__).parent
KEPT = {"option.1.land_area": "stands beside the rent of that land; no figure reads it"}
"""Rows that a plant may fill and nothing reads."""


def named() -> str:
    """All that may read a row: code and tables, but those that hold the rows."""
    held = {"sheets", "examples"}
    files = (one for one in sorted(HOME.rglob("*")) if one.suffix in {".py", ".csv", ".toml"})
    return "\n".join(one.read_text(encoding="utf-8") for one in files if not held & set(one.parts))


def places(row: Row) -> str:
    """How a row is named where it is read: its key, the last word of a block's, or a key put together."""
    word, end = re.escape(row.key.rpartition(".")[2]), re.escape(row.key.rpartition("_")[2])
    if row.block:
        return rf"""\b{re.escape(row.block)}[^"' ]*\.{word}\b|["'.}} ]{word}["' ,)]|\{{name\}}_{end}\b"""
    subject = re.escape(row.key.partition(".")[0])
    return rf"""\b{re.escape(row.key)}\b|\b{subject}\.\{{\w+\}}|under\('{subject}\."""


def test_no_row_is_read_by_nothing() -> None:
    text = named()
    unread = [row.key for row in rows().values() if row.number <= 1 and not re.search(places(row), text)]
    assert unread == [*KEPT], "read the row in the model, or say in KEPT what it is for"


def test_a_row_that_is_read_by_nothing_is_seen() -> None:
    row = next(iter(rows().values()))
    assert not re.search(places(replace(row, key="running.stack_test", block="")), named())
    assert not re.search(places(replace(row, key="fuel.1.stack_test", block="fuel")), named())
