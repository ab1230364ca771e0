"""Pages of what would change the answer: the same numbers as the JSON, and charts that read the right way."""

from __future__ import annotations

import io
import re
import zipfile
from functools import cache
from pathlib import Path

import openpyxl
import pytest
from remembered import appraise, results_bytes

from econ.answer.results import Results
from econ.inputs.build import build
from econ.inputs.examples import example
from econ.inputs.records import Typed
from econ.questions.latin import Sampling
from econ.workbook import page_plan
from econ.workbook.page_plan import page_breaks, plans


@cache
def appraised() -> Results:
    plant = example("thistle-flat")
    rows = {**plant.rows, "kiln.peak_temperature": Typed(932, 830, 1000, "degF")}
    return appraise(build(rows, plant.system), Sampling(1000, seed=5))


@cache
def book() -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(results_bytes(appraised())))


def beside(sheet: str, label: str, columns: int = 1) -> list[object]:
    """The cells to the right of the first cell of column A that starts with `label`."""
    for row in book()[sheet].iter_rows():
        if str(row[0].value or "").startswith(label):
            return [cell.value for cell in row[1 : 1 + columns]]
    raise AssertionError(f"no row {label!r} on {sheet}")


def charts(sheet: str) -> list[str]:
    """The XML of every chart of a sheet."""
    found = []
    with zipfile.ZipFile(io.BytesIO(results_bytes(appraised()))) as package:
        number = book().sheetnames.index(sheet) + 1
        drawing = re.search(
            r"drawing\d+\.xml", package.read(f"xl/worksheets/_rels/sheet{number}.xml.rels").decode()
        )
        assert drawing
        links = package.read(f"xl/drawings/_rels/{drawing[0]}.rels").decode()
        for name in re.findall(r"charts/(chart\d+\.xml)", links):
            found.append(package.read(f"xl/charts/{name}").decode())
    return found


@pytest.mark.parametrize(
    ("label", "key"),
    [
        ("NPV is below zero", "chance_of_loss"),
        ("The kiln never pays back", "chance_never_pays_back"),
        ("Char is the cheapest option", "chance_char_is_cheapest"),
        ("The kiln is a net source", "chance_net_source"),
    ],
)
def test_chances_on_the_page_are_those_of_the_json(label: str, key: str) -> None:
    assert beside("Risk", label) == [appraised().to_json()["details"]["chances"][key]]


def test_mean_and_percentiles_on_the_page_are_those_of_the_json() -> None:
    npv = appraised().to_json()["details"]["chances"]["figures"]["npv"]
    expected = [npv["mean"], npv["p10"], npv["p50"], npv["p90"], npv["withheld_share"]]
    assert beside("Risk", "NPV [USD]", 5) == pytest.approx(expected)


def test_the_page_names_samples_and_seed() -> None:
    assert "1,000 simulation runs" in book()["Risk"]["A4"].value
    assert "seed 5" in book()["Risk"]["A4"].value


def test_the_two_way_table_is_that_of_the_json_with_an_edge_at_each_change_of_sign() -> None:
    table = appraised().to_json()["details"]["two_way"]
    sheet = book()["Sensitivity"]
    top = next(cell.row for cell in sheet["A"] if str(cell.value or "").startswith("down: ")) + 1
    for i, line in enumerate(table["npv"]):
        for j, npv in enumerate(line):
            cell = sheet.cell(top + i, 2 + j)
            assert cell.value == pytest.approx(npv)
            if j + 1 < len(line):
                turns = (npv < 0) != (line[j + 1] < 0)
                assert (cell.border.right.style == "thick") == turns


def test_a_class_edge_is_flagged_beside_its_effect_in_the_unit_typed() -> None:
    (row,) = (
        [str(cell.value) for cell in row]
        for row in book()["Sensitivity"].iter_rows()
        if row[0].value == "Peak temperature in the middle of the load"
    )
    assert any("class edge: 842 °F" in cell for cell in row)  # 450 °C


def test_the_bars_hang_on_the_category_axis_turned_over_and_the_money_title_on_the_value_axis() -> None:
    (chart,) = charts("Sensitivity")
    category, value = re.search(r"<c:catAx>.*</c:catAx>", chart), re.search(r"<c:valAx>.*</c:valAx>", chart)
    assert category
    assert value
    assert 'orientation val="maxMin"' in category[0]
    assert 'orientation val="minMax"' in value[0]
    assert "change from the NPV of" in value[0]
    assert "<c:title>" not in category[0]


def test_the_bar_ends_are_labelled_with_npv_itself() -> None:
    (chart,) = charts("Sensitivity")
    largest = appraised().effects[0]
    for answers in (largest.at_low, largest.at_high):
        assert f"<a:t>{answers['npv']:,.0f}</a:t>" in chart


def test_the_page_of_chances_has_histogram_and_curve() -> None:
    kinds = [re.search(r"<c:(bar|scatter)Chart>", chart)[1] for chart in charts("Risk")]  # type: ignore[index]
    assert sorted(kinds) == ["bar", "scatter"]


def test_a_plant_without_ranges_still_gets_its_pages() -> None:
    plant = example("thistle-flat")
    bare = {key: Typed(row.value, unit=row.unit) for key, row in plant.rows.items() if "together" not in key}
    made = io.BytesIO(results_bytes(appraise(build(bare, "us"), Sampling(100))))
    found = openpyxl.load_workbook(made, read_only=True)
    assert "Risk" in found.sheetnames


def test_the_plans_page_holds_the_plans_of_the_json() -> None:
    """As typed, the best, and every share processed with its mean, P10, P90 and probability of a loss."""
    found = appraised().to_json()["details"]["plans"]
    words = ("npv", "mean", "p10", "p90", "loss", "hours_per_week")
    assert beside("Plans", "As typed", 6) == pytest.approx([found["typed"][word] for word in words])
    assert beside("Plans", "Best within your limits", 6) == pytest.approx([found["best"][word] for word in words])
    rows: dict[object, list[object]] = {}
    for row in book()["Plans"].iter_rows():
        rows[row[0].value] = [cell.value for cell in row[1:7]]  # the chart's point comes before the shares
    for one in found["by_share"]:
        assert rows[one["share"]] == pytest.approx([one[word] for word in words])
    texts = {row[0].value for row in book()["Plans"].iter_rows()}
    assert found["sentence"] in texts
    assert set(found["sets"]) <= texts or not found["is_better"]


@pytest.mark.parametrize(
    ("heights", "tables", "breaks", "found", "long"),
    [
        # a page of 60 points, rows of 15: by hand
        pytest.param({}, {2: 4}, (), [2], [], id="begins a page, since two rows stand above it"),
        pytest.param({}, {1: 3}, (), [], [], id="fits below one row"),
        pytest.param({}, {2: 4, 6: 8}, (), [2], [], id="the page it began holds three rows and the one below"),
        pytest.param({}, {2: 6}, (), [], [2], id="no page is long enough: it is not moved"),
        pytest.param({}, {4: 5}, (3,), [3], [], id="below a break as described"),
        pytest.param({0: 40.0}, {1: 2}, (), [1], [], id="below a tall row"),
        pytest.param({0: 0.0, 1: 0.0}, {2: 5}, (), [], [], id="folded rows take nothing"),
    ],
)
def test_a_table_stands_whole_on_one_page_where_it_can(
    heights: dict[int, float], tables: dict[int, int], breaks: tuple[int, ...], found: list[int], long: list[int]
) -> None:
    assert page_breaks(heights, tables, breaks, 9, 60.0) == (found, long)


def test_a_word_that_no_description_knows_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "odd.toml").write_text(
        'name = "Odd"\n[[block]]\ntext = "a"\n[[block]]\ntext = "b"\ncolour = "red"\n'
    )
    monkeypatch.setattr(page_plan, "FOLDER", tmp_path)
    with pytest.raises(ValueError, match=r"odd\.toml, block 2: unknown colour"):
        plans.__wrapped__()


def test_no_heading_is_merged_so_that_its_mark_finds_room_beside_it() -> None:
    """A mark stands right of the words of a heading, in cells of its own."""
    blocks = [block for plan in plans().values() for block in plan.block]
    of_headings = [one for one in blocks if one.get("head") == "heading" or "heading" in one.get("looks", ())]
    assert of_headings
    assert not [one for one in of_headings if one.get("spans")]
