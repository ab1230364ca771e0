"""How the workbooks look: nothing clipped, charts readable in grey, pages that print, a first view that says it.

Common practice of documents, no source, except where a line names one. Widths of letters are approximate; see
sheets_seen.py.
"""

from __future__ import annotations

import io
import itertools
import re
import sys
import zipfile
from pathlib import Path

import in_parts
import openpyxl
import pytest

sys.path.insert(0, str(Path(__file__).parent))

from sheets_seen import clipped, column_pixels, pixels, row_points
from written import ALL, RESULTS, SCENARIOS, content, shown

from econ.inputs.rows import KNOWN
from econ.inputs.schema import sheets as plans
from econ.inputs.schema import table_plans
from econ.workbook.style import INK, MIST, OCHRE, SLATE

CHART_PARTS = re.compile(r"xl/charts/chart\d+\.xml")
PORTRAIT = {"Answer", "Before the first batch", "Cash by month", "Label", "Plans", "Start here"}
LONG = {
    "What comes out",
    "Kiln and hours",
    "Month by month",
    "Cash by year",
    "Inputs used",
    "Sources",
    "Break-even",
}
"""Tables that scroll: their heading stays."""
SIDE_BY_SIDE = 4
"""A wide table to fill prints on at most so many pages side by side, so that it can be read."""


def visible(name: str) -> list:
    return [sheet for sheet in shown(name).worksheets if sheet.sheet_state == "visible"]


def charts(name: str) -> dict[str, str]:
    with zipfile.ZipFile(io.BytesIO(content(name))) as package:
        return {part: package.read(part).decode() for part in package.namelist() if CHART_PARTS.fullmatch(part)}


@pytest.mark.parametrize("name", ALL)
def test_no_text_is_wider_or_higher_than_its_room(name: str) -> None:
    found = [words for sheet in visible(name) for words in clipped(sheet)]
    assert not found, "\n".join(found[:30])


def test_the_measure_of_clipping_finds_a_narrow_column() -> None:
    book = shown("low-sedge").copy_worksheet(shown("low-sedge")["Break-even"])
    book.column_dimensions["B"].width = 1
    found = list(clipped(book))
    shown("low-sedge").remove(book)
    assert any("Break-even" in words and "!B7" in words for words in found)


def lightness(colour: str) -> float:
    """L* of CIE 1976 from sRGB (standard formulas of the colour space)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    y = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    return 116 * y ** (1 / 3) - 16 if y > 0.008856 else 903.3 * y


@pytest.mark.parametrize("name", RESULTS)
def test_colours_of_one_chart_stay_apart_in_grey(name: str) -> None:
    """20 steps of lightness of 100 are plain to see (house rule)."""
    for part, xml in charts(name).items():
        if "<c:areaChart>" in xml:  # the flow picture: every band has its label beside it
            continue
        colours = {
            match[1] for series in re.findall(r"<c:ser>.*?</c:ser>", xml)
            if (match := re.search(r'<c:spPr>.*?<a:srgbClr val="([0-9A-F]{6})"', series))
        }  # fmt: skip
        for one, other in itertools.combinations(sorted(colours), 2):
            assert abs(lightness(one) - lightness(other)) >= 20, f"{part}: {one} beside {other}"


def test_the_palette_is_what_the_style_sheet_says() -> None:
    dark, middle, light = (lightness(colour[1:]) for colour in (INK, SLATE, OCHRE))
    assert dark + 20 < middle < light - 20
    assert lightness(MIST[1:]) > middle + 20


@pytest.mark.parametrize("name", RESULTS)
def test_every_chart_has_a_title_and_says_what_its_axes_are(name: str) -> None:
    for part, xml in charts(name).items():
        if "<c:areaChart>" in xml:
            continue
        assert re.search(r"<c:chart><c:title>", xml), part
        axes = re.findall(r"<c:(?:catAx|valAx)>.*?</c:(?:catAx|valAx)>", xml)
        titled = ["<c:title>" in axis for axis in axes if '<c:delete val="1"/>' not in axis]
        # bars carry the names of inputs on their upright axis, which say themselves what they are
        # a small chart names the unit of its upright axis in its title
        says_unit = re.search(r"<c:chart><c:title>.*?\[[^]]+\].*?</c:title>", xml)
        assert all(titled) or says_unit or ('barDir val="bar"' in xml and sum(titled) == 1), part


@pytest.mark.parametrize("name", RESULTS)
def test_every_chart_has_words_for_who_cannot_see_it(name: str) -> None:
    with zipfile.ZipFile(io.BytesIO(content(name))) as package:
        drawings = "".join(package.read(part).decode() for part in package.namelist()
                           if re.fullmatch(r"xl/drawings/drawing\d+\.xml", part))  # fmt: skip
    assert len(re.findall(r"<xdr:cNvPr [^>]*descr=\"[^\"]{20,}\"", drawings)) == len(charts(name)) > 5


@pytest.mark.parametrize("name", RESULTS)
def test_no_chart_lies_on_figures(name: str) -> None:
    formulas = in_parts.formulas(content(name))
    for sheet in shown(name).worksheets:
        for chart in sheet._charts:
            start, end = chart.anchor._from, chart.anchor.to
            under = [
                cell.coordinate
                for row in sheet.iter_rows(start.row + 1, end.row, start.col + 1, end.col)
                for cell in row
                if (cell.value not in (None, "") or f"{sheet.title}!{cell.coordinate}" in formulas)
                and not sheet.row_dimensions[cell.row].hidden
            ]
            assert not under, f"{sheet.title}: {under[:5]}"


@pytest.mark.parametrize("name", ALL)
def test_every_sheet_prints_with_its_name_and_page_x_of_y(name: str) -> None:
    for sheet in visible(name):
        footer = sheet.oddFooter
        assert "&A" in str(footer.left.text) + str(sheet.HeaderFooter.oddFooter.left.text), sheet.title
        assert str(footer.right.text) == "Page &P of &N", sheet.title
        upright = sheet.page_setup.orientation != "landscape"
        assert upright == (sheet.title in PORTRAIT), sheet.title
        assert sheet.sheet_properties.pageSetUpPr.fitToPage, sheet.title
        is_table = name in SCENARIOS and sheet.title in {table.sheet for table in table_plans().values()}
        assert (sheet.page_setup.fitToWidth or 1) <= (SIDE_BY_SIDE if is_table else 1), sheet.title


@pytest.mark.parametrize("name", RESULTS)
def test_the_first_sheet_is_one_printed_page(name: str) -> None:
    setup = shown(name)["Answer"].page_setup
    assert (setup.fitToWidth or 1, 1 if setup.fitToHeight is None else setup.fitToHeight) == (1, 1)


@pytest.mark.parametrize("name", RESULTS)
def test_helper_numbers_of_charts_are_not_printed(name: str) -> None:
    """On the page of chances they would fill two sheets of paper."""
    sheet = shown(name)["Risk"]
    last = int(str(sheet.print_area).rsplit("$", 1)[1])
    note = next(row[0].row for row in sheet.iter_rows() if "not printed" in str(row[0].value))
    assert last < note < sheet.max_row


@pytest.mark.parametrize("name", RESULTS)
def test_headings_of_long_tables_stay_on_the_screen(name: str) -> None:
    frozen = {sheet.title for sheet in visible(name) if sheet.freeze_panes}
    assert frozen >= LONG


@pytest.mark.parametrize("name", SCENARIOS)
def test_headings_of_sheets_to_fill_stay_on_the_screen(name: str) -> None:
    assert all(sheet.freeze_panes for sheet in visible(name))


@pytest.mark.parametrize("name", RESULTS)
def test_a_narrow_first_screen_holds_the_finding_and_three_numbers(name: str) -> None:
    """Four columns of at most 700 px: what a phone shows of the file before anybody scrolls."""
    sheet = shown(name)["Answer"]
    assert sum(column_pixels(sheet, column) for column in range(1, 5)) <= 700
    assert str(sheet["A4"].value).startswith("Finding: ")
    big = [cell for row in sheet.iter_rows(2) for cell in row if cell.value is not None and cell.font.size >= 16]
    assert [cell.coordinate for cell in big] == ["A6", "B6", "D6"]
    assert [sheet.cell(7, cell.column).value for cell in big if cell.column]
    assert sheet.max_column == 4
    assert sum(row_points(sheet, row) for row in range(1, 15)) * 96 / 72 < 600


@pytest.mark.parametrize("name", ALL)
def test_documents_say_what_they_are(name: str) -> None:
    found = shown(name).properties
    assert found.title
    assert found.creator == "kilncase"
    assert found.subject


def test_required_cells_are_marked_and_their_help_opens_beside_them() -> None:
    sheet = shown("templates/blank-us.xlsx")["Start here"]
    rows = {row[9].value: row for row in sheet.iter_rows() if row[9].value}
    for key in ("bones.1.mass", "kiln.price", "money.study_years"):
        cell = rows[key][1]
        assert cell.border.left.style == "thick"
        (check,) = (one for one in sheet.data_validations.dataValidation if cell.coordinate in one.sqref)
        assert check.showInputMessage
        assert check.prompt


def to_fill(name: str) -> list:
    return [sheet for sheet in shown(name).worksheets if sheet.title in {plan.name for plan in plans()}]


def keys_of(sheet: openpyxl.worksheet.worksheet.Worksheet) -> dict[str, int]:
    return {row[9].value: row[0].row for row in sheet.iter_rows() if row[9].value and "." in str(row[9].value)}


def test_a_blank_shows_what_most_plants_need_and_folds_the_rest() -> None:
    """690 rows in all; what is folded opens with one click at the edge, sheets for later are hidden whole."""
    sheets = to_fill("templates/blank-us.xlsx")
    hidden = [sheet.sheet_state != "visible" or sheet.row_dimensions[at].hidden
              for sheet in sheets for at in keys_of(sheet).values()]  # fmt: skip
    assert len(hidden) > 650
    assert 80 < hidden.count(False) < 130
    bones, keys = sheets[1], keys_of(sheets[1])
    assert all(bones.row_dimensions[at].outlineLevel for at in keys.values())
    assert not bones.row_dimensions[keys["bones.1.water_share"]].hidden
    assert bones.row_dimensions[keys["bones.2.mass"]].hidden
    assert not bones.sheet_properties.outlinePr.summaryBelow


def test_what_is_filled_is_never_folded() -> None:
    for name in SCENARIOS:
        for sheet in to_fill(name):
            filled = [at for at in keys_of(sheet).values() if sheet.cell(at, 2).value not in (None, "")]
            assert not [sheet.cell(at, 1).value for at in filled if sheet.row_dimensions[at].hidden], name


@pytest.mark.parametrize("name", SCENARIOS)
def test_the_first_sheet_explains_how_known_and_warns(name: str) -> None:
    texts = [str(cell.value) for row in shown(name)["Start here"].iter_rows() for cell in row if cell.value]
    legend = len(texts) - texts[::-1].index("How known")
    for word in KNOWN:
        at = texts.index(word, legend)
        assert len(texts[at + 1]) > 20
    assert any("Carbon monoxide" in text for text in texts)
    assert any(text.startswith("Fill the cells with a red edge") for text in texts)


@pytest.mark.parametrize("name", RESULTS)
def test_every_coefficient_is_named_in_words_with_its_unit(name: str) -> None:
    rows = list(shown(name)["Inputs used"].iter_rows(values_only=True))
    start = next(at for at, row in enumerate(rows) if str(row[0]).startswith("Coefficients"))
    bare = [row[10] for row in rows[start + 1 :] if row[0] and (row[0] == row[10].replace("_", " ") or not row[8])]
    assert not bare


def test_the_house_measure_of_text_is_that_of_the_face_within_a_tenth() -> None:
    """Two measures that know nothing of each other: the table in econ/workbook/style.py and a font file."""
    from econ.workbook.style import pixels as house

    for text in ("Even yearly cost of the kiln less product income", "Removal less kiln emissions [t CO2e/year]",
                 "= (bones_1_fired_kg*bones_1_char_frac)", "12,345.6"):  # fmt: skip
        assert house(text) == pytest.approx(pixels(text, 10, bold=False), rel=0.1)


def test_every_named_coefficient_is_one_that_the_model_has() -> None:
    """Words for a coefficient that is gone would stay unseen."""
    import csv

    root = Path(__file__).parents[2] / "econ"
    code = "".join(path.read_text(encoding="utf-8") for path in (root / "model").rglob("*.py"))
    with (root / "workbook" / "coefficients.csv").open(encoding="utf-8") as handle:
        names = [row["name"] for row in csv.DictReader(handle)]
    assert len(names) == len(set(names)) > 60
    for name in names:
        last = re.sub(r"^.*\{n\}_|_\{n\}$", "", name)
        made_of_parts = last.startswith("persist_by_") or re.sub("(below|above)$", "", last) in code
        assert made_of_parts or last in code, name
