"""What stands beside the figures of the lender's page where one year or one choice makes them."""

from __future__ import annotations

import io

import openpyxl
import pytest
from conftest import plant
from remembered import appraise, results_bytes

from econ.questions.latin import Sampling
from econ.workbook.style import one_line_width

LOAN = {"loan__principal": "30000 USD", "loan__rate": "8 %", "loan__years": "14 years"}


@pytest.fixture(scope="module")
def rows() -> dict[str, list[tuple[object, ...]]]:
    """Cells of a plant whose loan outlives the study, whose grant is awarded and whose resale is blank."""
    results = appraise(
        plant(**LOAN, grant__status="awarded", money__grant="9000 USD", money__salvage_share=""),
        Sampling(samples=100),
    )
    book = openpyxl.load_workbook(io.BytesIO(results_bytes(results)))
    return {name: list(book[name].iter_rows()) for name in ("For the lender", "Cash flow")}


def texts(cells: list[tuple[object, ...]]) -> str:
    return "\n".join(str(cell.value) for row in cells for cell in row if cell.value is not None)  # type: ignore[attr-defined]


def test_the_lowest_coverage_says_which_year_makes_it(rows: dict[str, list[tuple[object, ...]]]) -> None:
    said = texts(rows["For the lender"])
    assert "The lowest DSCR is that of year 10: what is left of the loan of 14 years" in said
    assert "In the other years the lowest DSCR is" in said
    assert "The resale of the kiln is not typed: collateral counts it as zero" in said


def test_a_grant_awarded_is_no_second_case(rows: dict[str, list[tuple[object, ...]]]) -> None:
    said = texts(rows["For the lender"])
    assert "with the grant" not in said
    assert "no such case" not in said


def test_a_month_has_no_decimal(rows: dict[str, list[tuple[object, ...]]]) -> None:
    row = next(row for row in rows["For the lender"] if "Month of the lowest balance" in texts([row]))
    assert "0.0" not in row[-1].number_format  # type: ignore[attr-defined]


def test_the_page_of_cash_says_whose_figure_it_is(rows: dict[str, list[tuple[object, ...]]]) -> None:
    assert "Owner NPV if stopped after 3 years" in texts(rows["Cash flow"])


@pytest.mark.parametrize("late", [{}, {"money__months_to_start": "4 months"}], ids=["at once", "late"])
def test_no_head_of_cash_by_month_breaks_a_word(late: dict[str, str]) -> None:
    """With room for bold; padding and rounding of the width leave some for another face."""
    results = appraise(plant(**late), Sampling(samples=100))
    sheet = openpyxl.load_workbook(io.BytesIO(results_bytes(results)))["Cash by month"]
    heads = next(row for row in sheet.iter_rows() if row[0].value == "Month")
    shown = [cell for cell in heads if cell.value and not str(cell.value).lower().startswith(("lowest", "month"))]
    assert len(shown) >= 6
    for cell in shown:
        width = sheet.column_dimensions[cell.column_letter].width
        assert width >= 1.05 * max(map(one_line_width, str(cell.value).split())), cell.value
