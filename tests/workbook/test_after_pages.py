"""The sheets of label, own planting and garden trials: there where asked for, whole, and safe to print."""

from __future__ import annotations

import io
import math
from functools import cache
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from conftest import plant

from econ.answer.appraisal import appraise
from econ.answer.base_case import base_case
from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.records import Scenario
from econ.workbook.blank import shipped
from econ.workbook.desk import LABEL, PLANTING, TRIALS
from econ.workbook.read import read_scenario
from econ.workbook.results_book import results_bytes

ASKED = (LABEL, PLANTING, TRIALS)


def book(scenario: Scenario) -> Any:
    return openpyxl.load_workbook(io.BytesIO(results_bytes(appraise(scenario))), data_only=True)


@cache
def demo() -> Any:
    start = example("thistle-flat")
    return book(build(start.rows, start.system, tables=start.tables))


def texts(sheet: Any) -> list[str]:
    return [str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value is not None]


def beside(sheet: Any, label: str) -> list[Any]:
    """The cells to the right of the last label that reads so."""
    row = [row for row in sheet.iter_rows(values_only=True) if row[0] == label][-1]
    return list(row[1:])


def test_only_where_asked_for() -> None:
    assert set(ASKED) <= set(demo().sheetnames)
    assert not set(ASKED) & set(book(plant("low-sedge")).sheetnames)


def test_the_label_states_what_the_figures_hold() -> None:
    """14 % available as P2O5, typed; total and calcium rounded down to whole per cent; 4 lb is 1.81 kg."""
    whole = {
        name: math.floor(100 * base_case(plant()).figures[f"sold_{name}_share"]) / 100 for name in ("p2o5", "ca")
    }
    figures, sheet = base_case(plant()).figures, demo()[LABEL]
    assert "0-14-0" in texts(sheet)
    assert beside(sheet, "Available phosphate (P2O5)")[:3] == pytest.approx([0.14, 0.14, 0.14])
    assert beside(sheet, "Total phosphate (P2O5)")[:2] == pytest.approx(
        [whole["p2o5"], figures["sold_p2o5_share"]]
    )
    assert beside(sheet, "Calcium (Ca), elemental")[:2] == pytest.approx([whole["ca"], figures["sold_ca_share"]])
    assert "Net weight 4 lb (1.81 kg)" in texts(sheet)
    assert beside(sheet, "Char, as sold")[:3] == pytest.approx([0.8, 348.48, 390.59], rel=1e-4)


@pytest.mark.parametrize(
    "words",
    ["NOT FOR ANIMAL FEED", "ruminants", "24 hours", "combustible", "no legal advice", "Register", "Tonnage",
     "inactivate prions", "soil test", "no lab has measured"],
)  # fmt: skip
def test_what_a_label_must_not_leave_out(words: str) -> None:
    assert any(words in text for text in texts(demo()[LABEL]))


def test_total_phosphate_only_where_allowed() -> None:
    sheet = book(plant(label__total_phosphate="no"))[LABEL]
    assert "Total phosphate (P2O5)" not in texts(sheet)


@pytest.mark.parametrize(
    ("share", "grade", "stated"),
    [("15.99 % P2O5", "0-15-0", 0.15), ("29 % P2O5", "0-29-0", 0.29), ("7 % P2O5", "0-7-0", 0.07),
     ("0.4 % P2O5", "0-0-0", 0.0)],
)  # fmt: skip
def test_a_guarantee_is_rounded_down(share: str, grade: str, stated: float) -> None:
    label = appraise(plant(product__available_p2o5_share=share)).to_json()["details"]["label"]
    assert (label["grade"], label["available_p2o5_share"]) == (grade, pytest.approx(stated))


def test_wet_product_states_less() -> None:
    """20 % water as sold: 14 % of the dry char is 11.2 % as sold, 11 on the label."""
    label = appraise(plant(finish__added_water="0.25 kg per kg")).to_json()["details"]["label"]
    assert label["grade"] == "0-11-0"
    assert label["moisture_share"] == pytest.approx(0.2)


def test_a_lab_figure_settles_the_caution() -> None:
    guessed = {caution.id for caution in appraise(plant()).cautions}
    tested = {caution.id for caution in appraise(plant(product__available_read_from="a lab sheet")).cautions}
    assert "label-without-lab-test" in guessed - tested


def test_the_field_card_is_in_the_units_typed() -> None:
    """120 trees at 0.2 lb: 24 lb; 220 lb an acre injected, a third a year; the stopped beds take none."""
    sheet = demo()[PLANTING]
    pounds, whole = beside(sheet, "CHAR NEEDED A YEAR"), beside(sheet, "CHAR NEEDED")
    assert pounds[0] == "lb per year"
    assert pounds[1] == pytest.approx(24)
    assert pounds[2] == pytest.approx(220 * 180 * 12 * 18 / 43560 / 3)
    assert pounds[3] == whole[3] == 0
    assert any(text.startswith("Old kitchen beds: DO NOT APPLY: Mehlich-3 P of 165 ppm") for text in texts(sheet))


def test_the_verdicts_stand_on_the_page() -> None:
    rows = [row for row in demo()[TRIALS].iter_rows(values_only=True) if row[0] == "Seeds that sprouted"]
    assert [(row[2], row[3], row[7]) for row in rows] == [
        ("10 of 10 (100%)", "9 of 10 (90%)", "NOT SHOWN"),
        ("99 of 100 (99%)", "85 of 100 (85%)", "SHOWN"),
    ]


def test_a_workbook_from_before_these_sheets_still_opens(tmp_path: Path) -> None:
    path = tmp_path / "older.xlsx"
    path.write_bytes(shipped()["scenarios/low-sedge.xlsx"])
    whole = read_scenario(path)
    found = openpyxl.load_workbook(path)
    for name in ("Options", "Label and planting", "Garden trials"):
        del found[name]
    found.save(path)
    older = read_scenario(path)
    assert not [caution for caution in older.warnings if caution.id == "missing-row"]
    assert base_case(older).figures == pytest.approx(base_case(whole).figures, nan_ok=True)
