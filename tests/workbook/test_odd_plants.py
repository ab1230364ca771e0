"""Odd plants as people send them: nothing sells yet, money in millions, a game locker. What they read must hold.

What is asked for here are facts of reading: no clipped number, no code of a unit, no conclusion from a blank cell.
"""

from __future__ import annotations

import io
import time
import zipfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import openpyxl
import pytest
from books import places
from conftest import plant as shipped
from iron import Iron
from plants import plant
from remembered import appraise, results_bytes
from xlsxwriter import workbook as writer

import econ
from econ.answer.carbon_case import told
from econ.answer.finding import must_be_true
from econ.answer.practice import advice
from econ.inputs.records import Scenario
from econ.note.content import note
from econ.questions.chances import Sampling
from econ.workbook.results_book import _unpacked

FEW = Sampling(samples=200)
COSTS: dict[str, tuple[object, str | None]] = {
    "kiln.price": (40_000, "USD"),
    "labour.hours_per_batch": (5, "hours"),
    "labour.wage": (20, "USD per hour"),
}


def unpriced() -> Scenario:
    """A plant whose owner has not yet said what char brings; `plant` types zero for it, which is an answer."""
    rows = dict(COSTS) | {"product.1.price": (None, None), "kiln.batch_load": (600, "lb")}
    return plant(rows)


def in_millions() -> Scenario:
    """Amounts as large as in rupees: sales of millions a year."""
    return plant({
        "kiln.price": (4_500_000, "USD"), "product.1.price": (900, "USD per kg"),
        "product.1.market_limit": (5, "tonne per year"),
    })  # fmt: skip


def note_texts(scenario: Scenario) -> str:
    return repr(note(appraise(scenario, FEW), "2026-11-26"))


def test_without_a_price_nothing_is_concluded() -> None:
    found = appraise(unpriced(), FEW)
    assert found.finding.verdict == "rough: no decision yet"
    ids = {caution.id for caution in found.cautions}
    assert "no-price" in ids
    assert "no-market-limit" not in ids  # "income may be too high" of an income of zero
    said = " ".join(told(found, "additionality"))
    assert "nothing follows from it yet" in said
    assert "would not be built" not in said


def test_without_a_grant_the_note_says_so() -> None:
    said = note_texts(unpriced())
    assert "No grant is typed." in said
    assert "Grant of 0" not in said
    assert "see label" not in said


def test_what_must_be_true_names_units_as_people_do() -> None:
    rows = {**COSTS, "product.1.price": (3, "USD per kg"), "product.1.market_limit": (6, "short_ton per year")}
    units = {one.name: one.unit for one in must_be_true(appraise(plant(rows), FEW))}
    assert units["tonnes_sold"] == "ton per year"
    assert "hours" in units.values()


def formats(page: str) -> Iterator[str]:
    book = openpyxl.load_workbook(io.BytesIO(results_bytes(appraise(in_millions(), FEW))))
    for row in book[page].iter_rows():
        yield from (
            cell.number_format for cell in row if isinstance(cell.value, int | float) and abs(cell.value) > 1e6
        )


@pytest.mark.parametrize("page", ["Plans"])
def test_millions_do_not_print_as_hashes(page: str) -> None:
    """Columns of these pages take seven signs; a spreadsheet prints a longer number as a row of hashes."""
    found = list(formats(page))
    assert found
    assert all("M" in one for one in found)


def test_a_number_of_many_digits_fits_on_the_page_of_inputs() -> None:
    """LibreOffice shortens General to its column, but prints hashes where General stands under a condition."""
    book = openpyxl.load_workbook(io.BytesIO(results_bytes(appraise(unpriced(), FEW))))
    cells = [row[1] for row in book["Inputs used"].iter_rows(min_row=5)]
    long = [cell for cell in cells if isinstance(cell.value, float) and len(repr(cell.value)) > 12]
    assert long
    assert {cell.number_format for cell in long if abs(cell.value) < 1000} == {"General"}


def test_a_probability_is_never_certain_on_a_page() -> None:
    book = openpyxl.load_workbook(io.BytesIO(results_bytes(appraise(unpriced(), FEW))))
    cells = [
        cell for row in book["Plans"].iter_rows() for cell in row if cell.value == 1 and "%" in cell.number_format
    ]
    assert [one for one in cells if one.number_format.startswith('[>0.99]"> 99 %"')]
    for page in ("Plans", "For the lender"):
        for row in book[page].iter_rows():
            for cell in row:
                assert not (cell.column > 4 and cell.value == 1 and cell.number_format == "0 %"), cell.coordinate


ZERO = {"carbon.stack_ch4": "g per kg", "carbon.stack_n2o_share": "%"}


@pytest.mark.parametrize("key", ZERO)
def test_a_stack_without_emissions_is_doubted(key: str) -> None:
    """A zero has no default range: typed as a guess it would take away the largest uncertainty without a word."""
    ids = {one.id for one in plant({key: (0, ZERO[key])}).warnings}
    assert "stack-zero" in ids
    assert "stack-zero" not in {one.id for one in plant().warnings}


def test_additionality_takes_the_end_that_speaks_against_it() -> None:
    """A median below zero does not show that nobody would build it: P90 or the plant's own figure may be above."""
    found = appraise(econ.scenario({}, base="thistle-flat"), FEW)
    _low, middle, high = found.chances.spreads["npv"].pair((10, 90))
    assert middle < 0 < high
    said = " ".join(told(found, "additionality"))
    assert "may pay for itself in some cases" in said
    assert "at the plant's own values" in said


@pytest.mark.parametrize("word", ["chronic wasting", "sheep and goats over 12 months", "US: leg, hip"])
def test_what_is_no_risk_here_may_be_one_elsewhere(word: str) -> None:
    """Regulation (EC) 999/2001, Annex V: also skull and cord of sheep and goats over 12 months (from memory).

    Chronic wasting disease of deer and elk is a prion disease (common knowledge of wildlife offices).
    """
    assert any(word in line.text for line in advice("before"))


def test_a_reader_who_takes_all_bones_away_sees_no_error_cell(tmp_path: Path) -> None:
    path = tmp_path / "results.xlsx"
    path.write_bytes(results_bytes(appraise(unpriced(), FEW)))
    (at,) = ["!".join(one) for (key, column), one in places(path.read_bytes()).items()
             if (key, column) == ("bones.1.excluded_share", "Value")]  # fmt: skip
    book = Iron(path)
    book.put(at, 1)
    book.calculate()
    assert not {cell: value for cell, value in book.all().items() if str(value).startswith("#")}
    assert book.value("Carbon!F7") == "not reported"


@pytest.mark.parametrize("name", ["Bed {a}", "Bed {"])
def test_a_name_may_hold_a_brace(name: str) -> None:
    book = openpyxl.load_workbook(io.BytesIO(results_bytes(appraise(shipped(planting__1__name=name), FEW))))
    assert name in {cell.value for row in book["Own planting"].iter_rows() for cell in row}


def test_threads_leave_no_library_other_than_it_was() -> None:
    def work(_: int) -> None:
        for _ in range(300):
            with _unpacked():
                time.sleep(0)

    with ThreadPoolExecutor(3) as pool:
        list(pool.map(work, range(3)))
    assert writer.ZIP_DEFLATED == zipfile.ZIP_DEFLATED
