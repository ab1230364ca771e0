"""Odd plants as people send them: nothing sells yet, money in millions, a game locker. What they read must hold.

What is asked for here are facts of reading: no clipped number, no code of a unit, no conclusion from a blank cell.
"""

from __future__ import annotations

import io
import re
import time
import zipfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from pathlib import Path

import in_parts
import openpyxl
import pytest
from books import places
from conftest import plant as shipped
from iron import Iron, plain
from plants import BARE, plant
from remembered import appraise, results_bytes
from xlsxwriter import workbook as writer

import econ
from econ.answer.base_case import base_case
from econ.answer.carbon_case import told
from econ.answer.finding import must_be_true, nearest
from econ.answer.practice import advice
from econ.answer.screen import screen
from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.records import Scenario, Typed
from econ.note.content import note
from econ.page.sections import cautions
from econ.questions.chances import Sampling
from econ.units import said, unit
from econ.workbook.results_book import _unpacked

Rows = dict[str, tuple[object, str | None]]
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


@cache
def unpriced_book() -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(results_bytes(appraise(unpriced(), FEW))))


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
    cells = [row[1] for row in unpriced_book()["Inputs used"].iter_rows(min_row=5)]
    long = [cell for cell in cells if isinstance(cell.value, float) and len(repr(cell.value)) > 12]
    assert long
    assert {cell.number_format for cell in long if abs(cell.value) < 1000} == {"General"}


def test_a_probability_is_never_certain_on_a_page() -> None:
    book = unpriced_book()
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
    assert any(word in text for _, text, _ in advice("before"))


def test_a_reader_who_takes_all_bones_away_sees_no_error_cell(tmp_path: Path) -> None:
    path = tmp_path / "results.xlsx"
    path.write_bytes(results_bytes(appraise(unpriced(), FEW)))
    (at,) = ["!".join(one) for (key, column), one in places(path.read_bytes()).items()
             if (key, column) == ("bones.1.excluded_share", "Value")]  # fmt: skip
    book = Iron(path, plain(path))
    book.put(at, 1)
    book.calculate()
    assert not {cell: value for cell, value in book.all().items() if str(value).startswith("#")}
    assert book.value("Carbon!F7") == "not reported"


@pytest.mark.parametrize("name", ["Bed {a}", "Bed {"])
def test_a_name_may_hold_a_brace(name: str) -> None:
    book = in_parts.values(results_bytes(appraise(shipped(planting__1__name=name), FEW)))
    assert name in [value for at, value in book.items() if at.startswith("Own planting!")]


def test_threads_leave_no_library_other_than_it_was() -> None:
    def work(_: int) -> None:
        for _ in range(300):
            with _unpacked():
                time.sleep(0)

    with ThreadPoolExecutor(3) as pool:
        list(pool.map(work, range(3)))
    assert writer.ZIP_DEFLATED == zipfile.ZIP_DEFLATED


@pytest.mark.parametrize("years", [1, 2])
def test_a_short_study_has_its_pages(years: int) -> None:
    """A lender's page for one year once tried to merge a cell with those left of it, and no file was written."""
    found = appraise(plant({"money.study_years": (years, "years")}), FEW)
    book = openpyxl.load_workbook(io.BytesIO(results_bytes(found)))
    sheet = book["For the lender"]
    widths = [sheet.column_dimensions[letter].width or 0 for letter in "BCDEF"]
    assert min(widths) > 10  # labels and figures of the security stand in five columns, however few the years
    assert f"over {years} year{'s' * (years > 1)} at" in screen(found)
    texts = [
        one for page in book for row in page.iter_rows(values_only=True) for one in row if isinstance(one, str)
    ]
    assert not [text for text in texts if re.search(r"\b1 years\b", text)]


OWN: dict[str, tuple[object, str | None]] = {
    "own_use.mass": (8000, "kg per year"),
    "own_use.purchase_avoided": (500, "USD per year"),
    "own_use.soil_test": ("below-optimum", None),
    "fertiliser.p2o5_price": (1, "USD per kg"),
}
SAID = {
    "income of nothing is not too high": ({"product.1.price": (0, "USD per kg")}, "income may be too high", False),
    "what sells has bags": ({"product.1.price": (1, "USD per kg")}, "yet char is sold in bags", True),
    "what brings nothing has none": ({"product.1.price": (0, "USD per kg")}, "yet char is sold in bags", False),
    "own ground takes more than is made": (OWN, "ask for 8,000 kg of char a year; 6,760 kg are made", True),
    "a purchase avoided without a price": (
        OWN | {"fertiliser.p2o5_price": (None, None)}, "no price of P2O5 in bought fertiliser", True),
    "a purchase avoided and its price": (OWN, "counted as worth nothing", False),
    "poison of a small load": ({"bones.1.mass": (10, "kg per week")}, "(up to 0 kg a batch)", False),
    "the sign of a difference is in words": ({}, "Without them it emits", True),
    "a name keeps its capitals": ({"carbon.h_corg": (0.7, "mol/mol"), "carbon.persistence_method": (
        "hydrogen-ratio", None)}, "The range of H/C_org", True),
}  # fmt: skip


@pytest.mark.parametrize("fact", SAID)
def test_what_is_said_is_true_of_this_plant(fact: str) -> None:
    rows, words, is_said = SAID[fact]
    texts = " ".join(one.text for one in appraise(plant(rows), FEW).cautions)
    assert (words in texts) == is_said


def test_no_amount_reads_as_zero_but_zero() -> None:
    found = appraise(plant({"bones.1.mass": (5, "kg per week")}), FEW)
    assert not re.search(r"-?\b0\.0+ |\(up to 0 ", " ".join(one.text for one in found.cautions))
    assert said(0.03, "kg", "metric") == "0.03 kg"
    assert (said(0.0, "kg", "metric"), said(-1e-12, "kg", "metric")[-4:]) == ("0 kg", "0 kg")


def test_a_fuel_is_named_as_people_do() -> None:
    rows = {
        "fuel.1.kind": ("natural-gas", None),
        "fuel.1.per_batch": (10, "m3"),
        "fuel.1.price": (1, "USD per m3"),
    }
    assert "Natural gas per batch" in screen(appraise(plant(rows), FEW))


def test_of_equal_ways_to_break_even_the_price_is_named() -> None:
    """Price and amount sold move the income alike; the last bit of a search once named customers nobody typed."""
    rows = {"product.1.price": (0.6, "USD per kg"), "product.1.market_limit": (3, "tonne per year")}
    found = appraise(plant({**COSTS, **rows}), FEW)
    far = {one.name: one.far for one in must_be_true(found)}
    assert far["tonnes_sold"] == far["customers"]
    assert (near := nearest(found)) is None or near.name != "customers"


@pytest.mark.parametrize(("lab", "is_said"), [("not-known", True), ("yes", False)])
def test_a_ratio_that_passes_by_computing_alone_says_so(lab: str, is_said: bool) -> None:
    rows = {"carbon.h_corg": (0.8, "mol/mol"), "carbon.persistence_method": ("hydrogen-ratio", None),
            "carbon.lab_corrected": (lab, None)}  # fmt: skip
    texts = " ".join(one.text for one in appraise(plant(rows), FEW).cautions)
    assert ("It passes only less the hydrogen of the mineral" in texts) == is_said


def test_the_note_says_that_its_removal_is_the_lower_of_two() -> None:
    assert "(100-year), the lower of two methods in each run: " in note_texts(
        plant({"carbon.h_corg": (0.4, "mol/mol")})
    )
    assert "lower of two methods in each run" not in note_texts(plant())


LOSING: dict[str, tuple[object, str | None]] = {
    "bones.1.mass": (900, "kg per week"), "kiln.batch_load": (500, "kg"), "kiln.batches_per_week": (3, "a week"),
    "labour.hours_per_batch": (4, "hours"), "labour.wage": (20, "USD per hour"), "kiln.price": (10_000, "USD"),
    "product.1.price": (1.5, "USD per kg"), "product.1.market_limit": (6, "tonne per year"),
}  # fmt: skip


@pytest.mark.parametrize(
    ("more", "loses"),
    [
        ({}, True),
        ({"current.saving": (-2000, "USD per year")}, True),
        ({"product.1.price": (4, "USD per kg")}, False),
    ],
)
def test_what_must_change_is_no_leeway(more: dict[str, tuple[object, str | None]], loses: bool) -> None:
    """Below zero a lever must move, also where less is better: more bones than sell only cost. Above, it may.

    A bill that is income, typed as less than zero, rises to what saves money.
    """
    found = appraise(plant(LOSING | more), FEW)
    assert (found.figures["npv"] < 0) == loses
    moved = [one for one in must_be_true(found) if one.change]
    assert moved
    for one in moved:
        assert one.words.startswith("must " if loses else "may "), (one.name, one.words)
        assert ("rise" in one.words) == (one.even > one.typed), (one.name, one.words)
    if not more:
        assert next(one.change for one in moved if one.name == "bones_per_week") < 0


def test_a_break_even_against_current_practice_is_not_one_against_the_best() -> None:
    rows = {"option.1.kind": ("sell", None), "option.1.income": (1, "USD per kg")}
    said = screen(appraise(plant(LOSING | rows), FEW))
    assert "against the best alternative" in said
    assert "The nearest break-even against current practice: " in said.replace("\n", " ")


@pytest.mark.parametrize(("count", "words"), [(400, "400 new customers"), (1, "1 new customer")])
def test_customers_of_a_single_price_have_the_ground_typed_beside_it(count: int, words: str) -> None:
    """400 customers with 100 m² each were asked for as 1,000 with the usual 40 m² on the same screen."""
    rows = {"product.1.customers": (count, "each per year"), "product.1.area": (100, "m2")}
    found = appraise(plant(LOSING | rows | {"product.1.market_limit": (None, None)}), FEW)
    assert found.figures["customers_per_year"] == pytest.approx(count)
    assert f"about {words} a year, each with 100 m² of ground" in " ".join(one.text for one in found.cautions)


def test_the_page_says_once_how_cells_were_read() -> None:
    """A workbook typed in decimal commas: one line on the page, every cell on the sheet Checks and in the JSON."""
    texts = {"kiln.price": "40 000,50", "labour.wage": "20,5", "kiln.batch_load": "260,5",
             "product.1.price": "1,25", "labour.hours_per_batch": "4,5"}  # fmt: skip
    units = {"kiln.price": "USD", "labour.wage": "USD per hour", "kiln.batch_load": "kg",
             "product.1.price": "USD per kg", "labour.hours_per_batch": "hours"}  # fmt: skip
    found = appraise(plant({key: (text, units[key]) for key, text in texts.items()}), FEW)
    said = str(cautions(found))
    assert len([one for one in found.cautions if one.id == "read-as"]) == 5
    assert said.count("Notes on how cells were read: 5; ") == 1
    assert said.count("was read as") == 3


BOTH: Rows = {"current.saving": (100, "USD per month"), "contract.per_mass": (0.1, "USD per kg")}
SHEEP: Rows = {
    **{key: (value, unit and unit.replace("USD", "EUR")) for key, (value, unit) in BARE.items()},
    "plant.currency": ("EUR", None), "bones.1.kind": ("goat bones", None),
}  # fmt: skip
# what was typed, the id of a caution, words it holds, words it must not hold
ASKED = (
    (BOTH, "saving-and-contract", "the typed amount counts", "!"),
    (SHEEP, "srm-none-excluded", "sheep or goats", "9 CFR"),
    ({"current.option": ("composting", None), "current.saving": (900, "USD per year"),
      "kiln.batches_per_week": (1, "a week")}, "saving-in-proportion", "50% of the bones", "hauler"),
)  # fmt: skip


@pytest.mark.parametrize(("rows", "name", "said", "unsaid"), ASKED, ids=[one[1] for one in ASKED])
def test_a_caution_suits_the_plant(rows: Rows, name: str, said: str, unsaid: str) -> None:
    """Regulation (EC) 999/2001, Annex V, on sheep and goats; for the rest common practice, no source."""
    (found,) = [one.text for one in base_case(plant(rows)).cautions() if one.id == name]
    assert said in found
    assert unsaid not in found


def test_a_count_has_no_unit_code() -> None:
    assert unit("each per year").symbol == "per year"
    assert unit("g per each").name == "gram (g) each"
    assert unit("each").name == "number"


def test_a_blank_row_is_said_in_the_units_chosen() -> None:
    """A blank of US rows with the choice metric: defaults go by the choice, typed rows keep their own unit."""
    found = plant({"plant.units": ("metric", None), "kiln.peak_temperature": (None, "degF"),
                   "carbon.soil_temperature": (50, "degF")})  # fmt: skip
    units = [found[key].unit for key in ("kiln.peak_temperature", "carbon.soil_temperature")]
    assert [one.short for one in units if one] == ["degC", "degF"]


def test_a_filled_log_that_is_not_switched_on_is_named() -> None:
    """The shipped log holds a dozen batches; a finding that asks for a weighed batch must not pass over them."""
    start, on = example("thistle-flat"), Typed("yes")
    switched = start.rows | dict.fromkeys(("log.use_yield", "log.use_fuel", "log.use_hours"), on)
    found, after = (
        [one for one in base_case(build(typed, start.system, tables=start.tables)).cautions()
         if one.id == "measured-idle"] for typed in (start.rows, switched)
    )  # fmt: skip
    assert "Labour hours for one batch: measured 12 times or more and not used." in found[0].text
    assert [[one.where for one in some] for some in (found, after)] == [["Kiln log", "Lab assay"], ["Lab assay"]]


def test_one_batch_a_week_is_one_time_a_week() -> None:
    assert plant({"kiln.batches_per_week": (1, "a week")})["kiln.batches_per_week"].figure(1) == "1 time a week"
