"""The page of the material flow: bands as wide as the masses, balances that recalculate."""

from __future__ import annotations

import io

import openpyxl
import pytest
from conftest import plant
from remembered import appraise, results_bytes

from econ.questions.latin import Sampling
from econ.workbook.desk import FLOW
from econ.workbook.pages.bones_pages import BANDS, GAP_KG

FEW = Sampling(samples=200)
RICH = {
    "kiln__fat_drip_share": "30 %",
    "finish__charge": "compost",
    "finish__charge_ratio": "0.5 lb per lb",
    "finish__dust_share": "2 %",
    "finish__particle_size": "2 mm",
    "fat__price": "0.1 USD per lb",
}


@pytest.fixture(scope="module", params=[{}, RICH], ids=["plain", "rich"])
def page(request):
    results = appraise(plant(**request.param), FEW)
    values = openpyxl.load_workbook(io.BytesIO(results_bytes(results)), data_only=True)[FLOW]
    return results, values


def rows(sheet):
    return {str(row[0].value).strip(): [cell.value for cell in row] for row in sheet.iter_rows() if row[0].value}


def test_bands_are_as_wide_as_the_masses(page):
    results, sheet = page
    found = rows(sheet)
    masses = [found[label][1] for label, _, colour in BANDS if colour]
    assert sum(masses) == pytest.approx(1000, rel=1e-9)
    fired = results.figures["bones_fired_kg"]
    assert found["Water vapour"][1] == pytest.approx(results.figures["vapour_kg"] / fired * 1000)
    for label, _, colour in BANDS:
        if colour:
            # nine points from left to right, a band keeps its width
            assert found[label][2:11] == pytest.approx([found[label][1]] * 9)


def test_gaps_open_from_nothing_on_the_left(page):
    _, sheet = page
    gaps = [[cell.value for cell in row] for row in sheet.iter_rows() if row[0].value == "gap"]
    assert len(gaps) == 4
    for gap in gaps:
        assert gap[2] == 0
        assert gap[10] in {0, GAP_KG}
        assert gap[2:11] == sorted(gap[2:11])


def test_balance_on_the_page_closes(page):
    _, sheet = page
    found = rows(sheet)
    assert found["In, all"][1] == pytest.approx(1000)
    assert found["Out, all"][1] == pytest.approx(1000)
    assert found["In less out, must be zero"][1] == pytest.approx(0, abs=1e-6)
    ins = sum(found[f"in: {label}"][1] for label in ("Water", "Fat", "Protein", "Mineral"))
    assert ins == pytest.approx(1000)
    for label in ("Phosphorus (P)", "Calcium (Ca)", "Nitrogen (N)", "Organic carbon", "Carbonate carbon"):
        _, bones, char, gone, *_ = found[label]
        assert bones == pytest.approx(char + gone, rel=1e-6), label


def test_page_prints_on_one_sheet(page):
    _, sheet = page
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    # one by one is what a file means that says nothing; 0 pages high would be "as many as it takes"
    assert sheet.page_setup.fitToWidth in {None, 1}
    assert sheet.page_setup.fitToHeight in {None, 1}
    assert sheet.page_setup.orientation == "landscape"
    last = max(row[0].row for row in sheet.iter_rows() if str(row[0].value).startswith("Yield by"))
    assert sheet.print_area.endswith(f"${last}")


def test_grain_size_names_its_sieve():
    sheet = openpyxl.load_workbook(io.BytesIO(results_bytes(appraise(plant(**RICH), FEW))), data_only=True)[FLOW]
    texts = [str(cell.value) for row in sheet.iter_rows() for cell in row]
    assert "Ground to pass 2 mm, sieve No. 10 (2 mm)" in texts
