"""Twenty first sheets typed as people type, each with the answer of the clean one and what is said back."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from books import book

from econ.answer.base_case import base_case
from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.records import Scenario, Typed
from econ.workbook.read import read_scenario

PLANT = example("thistle-flat")

SHEETS: list[tuple[dict[str, tuple[str, str]], tuple[str, ...]]] = [
    # row -> (text in the value cell, unit cell); what is said back
    ({"kiln.price": ("$38,000", "USD")}, ("'$38,000' was read as 38,000 (USD)",)),
    ({"kiln.price": ("38k", "USD")}, ("'38k' was read as 38,000 (USD)",)),
    ({"kiln.price": (" 38000 ", "USD")}, ("was read as 38,000 (USD)",)),
    ({"kiln.price": ("38 000 USD", "USD")}, ("was read as 38,000 (USD)",)),
    ({"kiln.price": ("38000 dollars", "USD")}, ("was read as 38,000 (USD)",)),
    ({"kiln.installation": ("9,500", "USD"), "capital.other": ("6,800", "USD")}, ("9,500", "6,800")),
    ({"money.discount_rate": ("7%", "%")}, ("'7%' was read as 7 (%)",)),
    ({"money.discount_rate": ("7 percent", "fraction")}, ("7 (%). The unit in the cell counts",)),
    ({"labour.hours_per_batch": ("5 hrs", "hours")}, ("5 (hour)",)),
    ({"labour.hours_per_batch": ("about 5", "hours")}, ("was read as 5 (hour)", "Give a low and a high")),
    ({"labour.wage": ("$20/hr", "USD per hour")}, ("20 (USD per hour)",)),
    ({"kiln.batch_load": ("1,000 lbs", "lb")}, ("1,000 (pound (lb))",)),
    ({"kiln.batch_load": ("1/2 short ton", "lb")}, ("0.5 (short ton (2,000 lb))", "counts, not the one")),
    ({"bones.1.mass": ("1,900 lb a week", "lb per week")}, ("1,900 (pound (lb) per week)",)),
    ({"bones.1.mass": ("98,800 lb/yr", "lb per week")}, ("98,800 (pound (lb) per year)", "counts, not the one")),
    ({"fuel.1.price": ("$2.45 a gallon", "USD per gal")}, ("2.45 (USD per US gallon (gal))",)),
    ({"fuel.1.per_batch": ("22gal", "gal")}, ("22 (US gallon (gal))",)),
    ({"product.1.price": ("2.40 per lb", "USD per lb")}, ("2.4 (USD per pound (lb))",)),
    ({"current.saving": ("$9,840 a year", "USD per month")}, ("9,840 (USD per year)", "counts, not the one")),
    ({"labour.wage": ("20,0", "USD per hour"), "fuel.1.price": ("2,45", "USD per gal")}, ("20 (", "2.45 (")),
]  # fmt: skip
SAME = 1e-9
"""A unit typed another way may move the last bits."""


@cache
def clean() -> float:
    return npv(build(PLANT.rows, PLANT.system, tables=PLANT.tables))


def npv(scenario: Scenario) -> float:
    return base_case(scenario).figures["npv"]


def typed_as(cells: dict[str, tuple[str, str]]) -> dict[str, Typed]:
    """The plant with these cells; ends of a range go where the unit of the row is another."""
    found = dict(PLANT.rows)
    for key, (text, unit) in cells.items():
        found[key] = Typed(text, unit=unit, known="guessed", where=f"Start here!{key}")
    return found


@pytest.mark.parametrize(("cells", "says"), SHEETS, ids=[", ".join(t for t, _ in c.values()) for c, _ in SHEETS])
def test_a_sheet_as_typed_gives_the_answer_of_the_clean_one(
    cells: dict[str, tuple[str, str]], says: tuple[str, ...]
) -> None:
    found = build(typed_as(cells), PLANT.system, tables=PLANT.tables)
    assert npv(found) == pytest.approx(clean(), rel=SAME)
    said = " ".join(caution.text for caution in found.warnings)
    for words in says:
        assert words in said
    assert "odd-number" not in {caution.id for caution in found.warnings}


def test_there_are_twenty() -> None:
    assert len(SHEETS) == 20


def test_all_of_it_through_a_workbook(tmp_path: Path) -> None:
    """The same texts in the cells of a file, as a spreadsheet program saves them."""
    changes: dict[tuple[str, str], object] = {
        ("kiln.price", "Value"): "$38,000",
        ("money.discount_rate", "Value"): "7%",
        ("labour.wage", "Value"): "$20/hr",
        ("bones.1.mass", "Value"): "1,900 lbs",
    }
    found = read_scenario(book(tmp_path / "p.xlsx", changes))
    assert npv(found) == pytest.approx(clean(), rel=SAME)
    assert sum(caution.id == "read-as" for caution in found.warnings) == len(changes)
