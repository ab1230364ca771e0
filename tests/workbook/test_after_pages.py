"""The sheets of label, own planting and garden trials: there where asked for, whole, and safe to print."""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from conftest import ROOT, plant
from remembered import appraise, results_bytes

from econ.answer.base_case import base_case
from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.records import Scenario
from econ.questions.latin import Sampling
from econ.workbook.desk import LABEL, PLANTING, TRIALS
from econ.workbook.read import read_scenario

FEW = Sampling(samples=200)
"""For what no spread is asked of: half the time of an answer goes into its samples."""
ASKED = (LABEL, PLANTING, TRIALS)


def book(scenario: Scenario, sampling: Sampling = FEW) -> Any:
    found = io.BytesIO(results_bytes(appraise(scenario, sampling)))
    return openpyxl.load_workbook(found, data_only=True, read_only=True)


def sampled() -> Scenario:
    """The plant with its kiln log, lab samples and trials."""
    start = example("thistle-flat")
    return build(start.rows, start.system, tables=start.tables)


@cache
def demo() -> Any:
    return book(sampled(), Sampling())


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
    """Three samples by hand, as they stand in the sheet Lab assay (none is switched on).

    Available, dry: 15.2, 15.9 / 0.97 and 14.7 %, mean 15.43; less 0.695, the tolerance at 15 % (AAPFCO, not
    checked): 14.74, so 14 %. Total: 34.1, 33.6 / 0.97, 34.9, mean 34.55; less 0.76: 33.79, so 33 %. Calcium: 31.4,
    30.8 / 0.97, 32.0, mean 31.72; less 0.2 and 5 % of 31: 29.97, so 29 %. 4 lb is 1.81 kg.
    """
    sheet = demo()[LABEL]
    assert "0-14-0" in texts(sheet)
    for label, stated, mean in (
        ("Available phosphate (P2O5)", 0.14, (15.2 + 15.9 / 0.97 + 14.7) / 300),
        ("Total phosphate (P2O5)", 0.33, (34.1 + 33.6 / 0.97 + 34.9) / 300),
        ("Calcium (Ca), elemental", 0.29, (31.4 + 30.8 / 0.97 + 32.0) / 300),
    ):
        assert beside(sheet, label)[:2] == pytest.approx([stated, mean]), label
    assert "Net weight as sold 4 lb (1.81 kg)" in texts(sheet)
    for rate in ("Rate on the label", "Rate allowed, as sold"):
        assert beside(sheet, rate)[:3] == pytest.approx([0.8, 348.48, 390.59], rel=1e-4)


@pytest.mark.parametrize(
    "words",
    ["NOT FOR ANIMAL FEED", "ruminants", "24 hours", "combustible", "no legal advice", "Register", "tonnage",
     "inactivate prions", "soil test"],
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
    label = appraise(plant(product__available_p2o5_share=share), FEW).to_json()["details"]["label"]
    assert (label["grade"], label["available_p2o5_share"]) == (grade, pytest.approx(stated))


def test_wet_product_states_less() -> None:
    """20 % water as sold: 14 % of the dry char is 11.2 % as sold, 11 on the label."""
    label = appraise(plant(finish__added_water="0.25 kg per kg"), FEW).to_json()["details"]["label"]
    assert label["grade"] == "0-11-0"
    assert label["moisture_share"] == pytest.approx(0.2)


def test_a_guarantee_is_held_against_the_low_end_of_the_range_as_sold() -> None:
    """16 % (12 to 18) of the dry char with a quarter of water on top: 9.6 % as sold, and the label says 12 %."""
    range_ = {"product__available_p2o5_share": "16 (12-18) % P2O5", "finish__added_water": "0.25 kg per kg"}
    said = {one.id: one.text for one in base_case(plant(**range_)).cautions()}
    assert "only 9.6%, and the label would say 12%" in said["label-above-low-end"]
    exact = range_ | {"product__available_p2o5_share": "16 (15.9-18) % P2O5"}  # 12.7 % still holds 12
    assert "label-above-low-end" not in {one.id for one in base_case(plant(**exact)).cautions()}


def test_a_lab_figure_settles_the_caution() -> None:
    """Samples of the sheet Lab assay settle it too, switched on or not."""
    word = "label-without-lab-test"
    assert word in {caution.id for caution in appraise(plant(), FEW).cautions}
    for tested in (plant(product__available_read_from="a lab sheet"), sampled()):
        assert word not in {caution.id for caution in appraise(tested, FEW).cautions}


def test_the_field_card_is_in_the_units_typed() -> None:
    """120 trees at 0.2 lb: 24 lb; 220 lb an acre injected, a third a year; the stopped beds take none."""
    sheet = demo()[PLANTING]
    pounds, whole = beside(sheet, "Char per year (dry)"), beside(sheet, "CHAR TO APPLY (DRY)")
    assert pounds[0] == "lb/year"
    assert pounds[1] == pytest.approx(24)
    assert pounds[2] == pytest.approx(220 * 180 * 12 * 18 / 43560 / 3)
    assert pounds[3] == whole[3] == 0
    assert any(text.startswith("Old kitchen beds: DO NOT APPLY: Mehlich-3 P of 165 ppm") for text in texts(sheet))


def test_the_json_names_the_class_of_each_soil_test() -> None:
    """Mehlich-3 by Sims et al. 2002: below 50 ppm short, above 150 ppm of concern; none without a soil test."""
    blocks = appraise(plant(), FEW).to_json()["details"]["planting"]["blocks"]
    assert [one["soil_class"] for one in blocks] == ["below optimum", "below optimum", "environmental concern"]
    assert [one["name"] for one in blocks] == ["Nursery rows, new trees", "East orchard", "Old kitchen beds"]
    untested = appraise(plant(planting__1__soil_test=""), FEW).to_json()["details"]["planting"]["blocks"]
    assert [one["soil_class"] for one in untested][:2] == [None, "below optimum"]


def test_the_verdicts_stand_on_the_page() -> None:
    rows = [row for row in demo()[TRIALS].iter_rows(values_only=True) if row[0] == "Seeds that sprouted"]
    assert [(row[2], row[3], row[7]) for row in rows] == [
        ("10 of 10 (100%)", "9 of 10 (90%)", "NOT SHOWN"),
        ("99 of 100 (99%)", "85 of 100 (85%)", "SHOWN"),
    ]


def test_a_workbook_from_before_these_sheets_still_opens(tmp_path: Path) -> None:
    path = tmp_path / "older.xlsx"
    path.write_bytes((ROOT / "scenarios" / "low-sedge.xlsx").read_bytes())
    whole = read_scenario(path)
    found = openpyxl.load_workbook(path)
    for name in ("Options", "Label and planting", "Garden trials"):
        del found[name]
    found.save(path)
    older = read_scenario(path)
    assert not [caution for caution in older.warnings if caution.id == "missing-row"]
    assert base_case(older).figures == pytest.approx(base_case(whole).figures, nan_ok=True)
