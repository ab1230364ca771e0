"""The pages to hand over: what the command does, and what stands on paper."""

from __future__ import annotations

import io
import math
import re
import sys
import zipfile
from collections.abc import Iterator
from functools import cache
from itertools import dropwhile
from pathlib import Path

import in_parts
import openpyxl
import pytest
import xlsxwriter

sys.path.insert(0, str(Path(__file__).parent))

from books import book
from conftest import plant
from office import convert
from openpyxl.utils.cell import coordinate_to_tuple, range_boundaries
from pictures import drawn
from printed import Page, pages_of
from remembered import appraise, results_bytes
from typer.testing import CliRunner

from econ.answer.results import Results
from econ.cli import app
from econ.inputs.build import build
from econ.inputs.examples import NAMES, example, in_units
from econ.inputs.records import Scenario
from econ.inputs.schema import sheets
from econ.workbook import results_book
from econ.workbook.desk import PRINT_SET
from econ.workbook.safe_write import sealed
from econ.workbook.style import COLOURS

pytestmark = pytest.mark.usefixtures("remembering")
WHOLE = "all pages of "
PDF = b"%PDF-1.7 in place of what LibreOffice makes\n"


def ask(*words: object) -> tuple[int, str]:
    found = CliRunner().invoke(app, ["print", *map(str, words)])
    return found.exit_code, " ".join(found.output.split())


def test_one_pdf_beside_the_workbook_and_never_over_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(results_book, "pdf_of", lambda workbook: PDF)
    scenario, target = book(tmp_path / "my-plant.xlsx", {}), tmp_path / "my-plant.print.pdf"
    assert ask(scenario)[0] == ask(scenario, "--set", "kiln.price=41000 USD")[0] == 0
    assert target.read_bytes() == sealed(PDF, "%{}")
    target.write_bytes(b"somebody's own")
    assert ask(scenario)[0] == ask(scenario, "--to", tmp_path / "x.doc")[0] == 2
    assert target.read_bytes() == b"somebody's own"
    assert ask(scenario, "--overwrite")[0] == 0


def test_without_libreoffice_it_says_how_to_print_by_hand(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def hangs(workbook: bytes) -> bytes:
        raise OSError("soffice did not finish (TimeoutExpired)")

    scenario = book(tmp_path / "my-plant.xlsx", {})
    for program, words in ((lambda workbook: None, "is not installed"), (hangs, "did not finish")):
        monkeypatch.setattr(results_book, "pdf_of", program)
        code, said = ask(scenario)
        assert code == 2
        for part in (words, "by hand", f"tab {PRINT_SET[0]},", f"tab {PRINT_SET[-1]},"):
            assert part in said
    assert not list(tmp_path.glob("*.pdf"))


def first_sheet_only() -> Scenario:
    """A US blank in which only the first sheet was filled."""
    start = in_units(example("low-sedge"), "us", "USD")
    asked = {row.key for section in sheets()[0].sections for row in section.rows}
    return build({key: typed for key, typed in start.rows.items() if key in asked}, "us")


MANY = {
    "kiln__number": "2 kilns", "money__grant": "9000 EUR", "grant__status": "awarded",
    "loan__principal": "20000 EUR", "loan__rate": "8 %", "loan__years": "6 years",
    "money__months_to_start": "4 month",
}  # fmt: skip
"""Over a plant on A4: long plans, and every column of cash by month."""


@pytest.fixture(scope="session")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("set")


@pytest.fixture(scope="session")
def printed(folder: Path) -> dict[str, list[Page]]:
    """The set of every plant by LibreOffice in one go, all pages of two, and a sheet too narrow for its text."""
    plants = {name: build(example(name).rows, example(name).system, tables=example(name).tables) for name in NAMES}
    long = {"plant__name": "Rich & Long Plant: as long as a line", "money__study_years": "20 years"}
    plants |= {"first sheet": first_sheet_only(), "rich": plant(**long), "two kilns": plant("low-sedge", **MANY)}
    for name, scenario in plants.items():
        (folder / f"{name}.xlsx").write_bytes(results_bytes(appraise(scenario), PRINT_SET))
    narrow = xlsxwriter.Workbook(str(folder / "narrow.xlsx"))
    sheet = narrow.add_worksheet(PRINT_SET[0])
    sheet.write_row(0, 0, ["a text that is far too long for its column", 1])
    sheet.print_area("A1:B2")
    narrow.close()
    for name in NAMES[:2]:
        (folder / f"{WHOLE}{name}.xlsx").write_bytes(results_bytes(base_and_more(name)))
    files = [folder / f"{name}.xlsx" for name in (*plants, "narrow", *(WHOLE + name for name in NAMES[:2]))]
    return {path.stem: pages_of(path) for path in convert(files, "pdf", folder)}


def of_the_plants(printed: dict[str, list[Page]]) -> Iterator[tuple[str, int, Page]]:
    for name, pages in printed.items():
        if name != "narrow" and not name.startswith(WHOLE):
            yield from ((name, at, page) for at, page in enumerate(pages, start=1))


def bare(text: str) -> str:
    """Letters and digits alone: the reader takes a hyphen at the end of a line for a broken word."""
    return re.sub(r"\W", "", text)


def bare_of_spaces(text: str) -> str:
    """Its signs alone; the reader writes a minus at the end of a piece as one of two hyphens."""
    return re.sub(r"\s", "", text).replace("\u2010", "-").replace("\ufffe", "-").replace("\x02", "-")


def cut_off(path: Path, pages: list[Page]) -> list[str]:
    """Texts in the print areas of a workbook that do not stand whole on paper: the rest of a line is left out."""
    said = bare("".join(page.text for page in pages))
    with zipfile.ZipFile(path) as package:
        areas = dict(AREA.findall(package.read("xl/workbook.xml").decode()))
    return [
        f"{cell.sheet}!{cell.address} {cell.value!r}"
        for cell in in_parts.read(path)
        if cell.sheet in PRINT_SET
        and isinstance(cell.value, str)
        and bare(cell.value) not in said
        and inside(cell.address, areas[cell.sheet].replace("$", ""))
    ]


AREA = re.compile(r"<definedName name=\"_xlnm.Print_Area\"[^>]*>'?([^'!<]+)'?!([^<]+)<")


def inside(address: str, area: str) -> bool:
    """Whether a cell stands in a range of cells."""
    (row, column), (left, top, right, bottom) = coordinate_to_tuple(address), range_boundaries(area)
    return top <= row <= bottom and left <= column <= right


@pytest.mark.office
def test_a_cost_prints_with_its_minus(printed: dict[str, list[Page]]) -> None:
    """LibreOffice drops the sign in the last section of a number format with conditions."""
    flows = next(page.text for page in printed["thistle-flat"] if "Cumulative present value" in page.text)
    assert bare_of_spaces(flows).count("-54,300") == 2  # net cash of year 0, and its present value


@pytest.mark.office
def test_at_most_twelve_pages_of_letter_or_a4(printed: dict[str, list[Page]]) -> None:
    """Sizes in points: Letter 612 × 792 (ANSI), A4 595 × 842 (ISO 216)."""
    for name, at, page in of_the_plants(printed):
        assert len(printed[name]) <= 12, name
        paper = [595, 842] if name in ("low-sedge", "two kilns") else [612, 792]
        assert sorted(map(round, (page.width, page.height))) == paper, (name, at)


@pytest.mark.office
def test_nothing_is_under_nine_points_clipped_or_laid_over(printed: dict[str, list[Page]]) -> None:
    found = [
        f"{name}, page {at}: {words}"
        for name, at, page in of_the_plants(printed)
        for words in (
            *{f"{piece.size:.1f} pt: {piece.text!r}" for piece in page.pieces if piece.size < 8.95},
            *page.clipped(), *page.overlapping(), *(["####"] if "###" in page.text else []),
        )
    ]  # fmt: skip
    assert not found, "\n".join(found[:30])


@pytest.mark.office
def test_every_text_stands_whole_on_paper(printed: dict[str, list[Page]], folder: Path) -> None:
    assert len(cut_off(folder / "narrow.xlsx", printed["narrow"])) == 1
    for name in {name for name, _, _ in of_the_plants(printed)}:
        assert not cut_off(folder / f"{name}.xlsx", printed[name]), name


@pytest.mark.office
def test_every_page_says_plant_version_inputs_date_and_page(printed: dict[str, list[Page]]) -> None:
    for name, at, page in of_the_plants(printed):
        assert re.search(rf"kilncase [\w. ]+, inputs [0-9a-f]{{12}}, [\d/.-]+ .*Page {at} of {len(printed[name])}",
                         page.text), (name, at)  # fmt: skip
    assert "Rich & Long Plant" in printed["rich"][0].text
    assert not any("Annex" in page.text for _, _, page in of_the_plants(printed))


@pytest.mark.office
def test_a_table_that_breaks_over_sheets_of_paper_repeats_its_heads(
    printed: dict[str, list[Page]], folder: Path
) -> None:
    """All pages of both plants, the tracing ones too: what is left of a table stands under its heads again."""
    broken = 0
    for name in NAMES[:2]:
        pages = [bare(page.text) for page in printed[WHOLE + name]]
        for sheet, head, labels in tables_of(folder / f"{WHOLE}{name}.xlsx"):
            mine = [text for text in pages if bare(f"{sheet}Page") in text]
            mine = list(dropwhile(lambda text, head=head: head not in text, mine))  # a chart may say rows before
            on = [text for text in mine if any(label in text for label in labels)]
            broken += len(on) > 1
            assert all(head in text for text in on), (name, sheet, head)
    assert broken >= 4  # inputs, months, figures: there is something to repeat


def tables_of(path: Path) -> Iterator[tuple[str, str, list[str]]]:
    """Sheet, first head and first cells of each table, which nothing else says; heads have their own fill."""
    book = openpyxl.load_workbook(path, data_only=True)
    for sheet in book.worksheets:
        tables: list[tuple[str, list[str]]] = []
        said: list[tuple[int, str]] = []
        number, merged = 0, {area.min_row for area in sheet.merged_cells.ranges if area.min_col == 1}
        for row in sheet.iter_rows():
            at, text = row[0].row, bare(str(row[0].value or ""))
            if row[0].fill.fgColor.rgb == f"FF{COLOURS['pale'][1:]}":
                tables.append((text, []))
                number = len(tables)
                continue
            if at in merged or row[0].fill.fill_type or not any(cell.value for cell in row):
                number = 0
            if number and not sheet.row_dimensions[at].hidden:
                tables[number - 1][1].append(text)
            said += [(number, bare(str(cell.value))) for cell in row if cell.value]
        for number, (head, labels) in enumerate(tables, start=1):
            others = " ".join(text for where, text in said if where != number)
            yield sheet.title, head, [label for label in labels if len(label) > 9 and label not in others]


@pytest.mark.parametrize("name", NAMES)
def test_rows_to_hand_over_add_up_to_the_net_cash_of_each_year(name: str) -> None:
    """What comes in less what goes out, line by line as printed, is the net cash below it."""
    book = openpyxl.load_workbook(io.BytesIO(results_bytes(base_and_more(name))), data_only=True, read_only=True)
    rows = {row[0]: row[1:] for row in book["Cash flow"].iter_rows(values_only=True) if isinstance(row[0], str)}
    labels = list(rows)
    start, end = labels.index("Char sales"), labels.index("Net cash flow")
    for column, net in enumerate(rows["Net cash flow"]):
        if column and isinstance(net, int | float):
            lines = {label: rows[label][column] or 0.0 for label in labels[start:end] if "Operating" not in label}
            total = math.fsum(-value if label.startswith("less ") else value for label, value in lines.items())
            assert total == pytest.approx(net, abs=1e-6), (name, column)


@cache
def base_and_more(name: str) -> Results:
    start = example(name)
    return appraise(build(start.rows, start.system, tables=start.tables))


def test_the_pictures_of_the_readme_are_those_of_today(root: Path) -> None:
    """Drawn anew by the ship command; here only what they show is compared."""
    kept = (root / "scenarios" / "pictures.txt").read_text(encoding="utf-8").strip()
    assert kept == drawn(base_and_more(NAMES[0])), "run: python -m econ.workbook.ship"
    readme = (root / "README.md").read_text(encoding="utf-8")
    for picture in ("answer.png", "material-flow.png", "page.png"):
        assert f"scenarios/{picture}" in readme
        assert (root / "scenarios" / picture).read_bytes().startswith(b"\x89PNG")
