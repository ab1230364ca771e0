"""The parts of every workbook against the schema of ECMA-376, and rules of it that a schema cannot say.

The schema is that of a free checker (openxml-audit), which carries the published types of SpreadsheetML,
DrawingML and the charts: it validates the content model, the attributes and their values of every part that it
knows. The rules below it are checked here by hand; their clause numbers (Part 1 unless said otherwise) are from
memory.
"""

from __future__ import annotations

import io
import re
import sys
import zipfile
from collections import Counter
from functools import cache
from pathlib import Path, PurePosixPath
from typing import Any

import pytest
import xlsxwriter
from defusedxml import ElementTree
from openpyxl.utils import column_index_from_string, range_boundaries
from openxml_audit import FileFormat, OpenXmlValidator, context

sys.path.insert(0, str(Path(__file__).parent))

from written import ALL, RESULTS, content

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
LINKED = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
CHECKED = (*RESULTS, "templates/blank-us.xlsx", "scenarios/thistle-flat.xlsx")
ORDER = [
    "sheetPr", "dimension", "sheetViews", "sheetFormatPr", "cols", "sheetData", "sheetProtection", "autoFilter",
    "mergeCells", "conditionalFormatting", "dataValidations", "hyperlinks", "printOptions", "pageMargins",
    "pageSetup", "headerFooter", "rowBreaks", "colBreaks", "drawing", "legacyDrawing", "tableParts", "extLst",
]  # fmt: skip
"""Elements of a worksheet in the order of its type (clause 18.3.1.99), those in use here."""


@cache
def parts(name: str) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(content(name))) as package:
        return {part: package.read(part) for part in package.namelist()}


@cache
def tree(name: str, part: str) -> Any:
    return ElementTree.fromstring(parts(name)[part])


def sheets(name: str) -> list[str]:
    return [part for part in parts(name) if re.fullmatch(r"xl/worksheets/sheet\d+\.xml", part)]


def faults(path: Path) -> list[str]:
    with pytest.MonkeyPatch.context() as quick:
        # it counts the siblings before every element, for the path that it prints: half of its time
        quick.setattr(context, "_sibling_position", lambda _: 0)
        found = OpenXmlValidator(FileFormat.OFFICE_2019, max_errors=50).validate(str(path))
    return [f"{error.part_uri} {error.path}: {error.description}" for error in found.errors]


@pytest.mark.parametrize("name", CHECKED)
def test_every_part_fits_the_schema(name: str, tmp_path: Path) -> None:
    path = tmp_path / "book.xlsx"
    path.write_bytes(content(name))
    assert not faults(path)


@pytest.mark.parametrize(
    ("part", "old", "new"),
    [
        ("xl/worksheets/sheet1.xml", b"<sheetData>", b'<mergeCells count="0"></mergeCells><sheetData>'),
        ("xl/worksheets/sheet1.xml", b't="s"', b't="words"'),
        ("xl/styles.xml", b'<xf numFmtId="0"', b'<xf numFmt="0"'),
        ("xl/workbook.xml", b"<sheets>", b"<pages/><sheets>"),
    ],
)
def test_the_schema_finds_a_fault(part: str, old: bytes, new: bytes, tmp_path: Path) -> None:
    """In a workbook of one cell, which has none before."""
    path, bad = tmp_path / "book.xlsx", tmp_path / "bad.xlsx"
    with xlsxwriter.Workbook(path) as book:
        book.add_worksheet().write("A1", "a text")
    assert not faults(path)
    with zipfile.ZipFile(path) as package, zipfile.ZipFile(bad, "w") as copy:
        for name in package.namelist():
            data = package.read(name)
            assert name != part or old in data
            copy.writestr(name, data.replace(old, new, 1) if name == part else data)
    assert faults(bad)


@pytest.mark.parametrize("name", ALL)
def test_every_part_is_well_formed(name: str) -> None:
    for part in parts(name):
        if part.endswith((".xml", ".rels")):
            tree(name, part)


@pytest.mark.parametrize("name", ALL)
def test_every_part_has_a_content_type_and_every_override_a_part(name: str) -> None:
    """Part 2, 10.1.2."""
    types = tree(name, "[Content_Types].xml")
    endings = {one.get("Extension") for one in types if one.tag.endswith("Default")}
    named = {str(one.get("PartName")).lstrip("/") for one in types if one.tag.endswith("Override")}
    assert named <= parts(name).keys()
    for part in parts(name).keys() - named - {"[Content_Types].xml"}:
        assert part.rsplit(".", 1)[1] in endings, part


@pytest.mark.parametrize("name", ALL)
def test_every_relationship_has_its_own_id_and_a_target_that_exists(name: str) -> None:
    """Part 2, 9.3."""
    for part in parts(name):
        if not part.endswith(".rels"):
            continue
        here = PurePosixPath(part).parent.parent
        ids = [one.get("Id") for one in tree(name, part)]
        assert len(ids) == len(set(ids)), part
        for one in tree(name, part):
            assert one.get("TargetMode") != "External", f"{part}: {one.get('Target')}"
            target = str(one.get("Target"))
            whole = PurePosixPath(target.lstrip("/")) if target.startswith("/") else here / target
            pieces: list[str] = []
            for piece in whole.parts:
                pieces = pieces[:-1] if piece == ".." else [*pieces, piece]
            assert "/".join(pieces) in parts(name), f"{part}: {target}"


@pytest.mark.parametrize("name", ALL)
def test_sheets_and_names_follow_their_grammar(name: str) -> None:
    """Sheet names of at most 31 characters, each once, ids each once (18.2.19); defined names (18.2.5)."""
    book = tree(name, "xl/workbook.xml")
    listed = book.find(f"{MAIN}sheets")
    names = [str(sheet.get("name")) for sheet in listed]
    assert len({one.casefold() for one in names}) == len(names)
    for one in names:
        assert 1 <= len(one) <= 31
        assert not set(one) & set("[]:*?/\\")
        assert not one.startswith("'")
    for key in ("sheetId", LINKED):
        ids = [sheet.get(key) for sheet in listed]
        assert len(ids) == len(set(ids))
    defined = book.find(f"{MAIN}definedNames")
    own = [(str(one.get("name")), one.get("localSheetId")) for one in (defined if defined is not None else ())]
    assert len(own) == len(set(own))
    for one, _ in own:
        assert re.fullmatch(r"[A-Za-z_\\][A-Za-z0-9_.\\]{0,254}", one), one
        if cell := re.fullmatch(r"([A-Za-z]{1,3})([1-9]\d{0,6})", one):  # would read as a cell
            assert column_index_from_string(cell[1].upper()) > 16384 or int(cell[2]) > 1048576
        assert not re.fullmatch(r"[rRcC]", one)


@pytest.mark.parametrize("name", ALL)
def test_rows_and_cells_ascend_and_the_elements_of_a_sheet_stand_in_order(name: str) -> None:
    """18.3.1.73, 18.3.1.4 and 18.3.1.99."""
    for part in sheets(name):
        sheet = tree(name, part)
        kinds = [ORDER.index(one.tag.removeprefix(MAIN)) for one in sheet]
        assert kinds == sorted(kinds), part
        rows = [int(str(row.get("r"))) for row in sheet.iter(f"{MAIN}row")]
        assert rows == sorted(set(rows)), part
        for row in sheet.iter(f"{MAIN}row"):
            cells = [re.fullmatch(r"([A-Z]+)(\d+)", str(cell.get("r"))) for cell in row]
            assert all(cell and cell[2] == row.get("r") for cell in cells), part
            columns = [column_index_from_string(cell[1]) for cell in cells if cell]
            assert columns == sorted(set(columns)), part


@pytest.mark.parametrize("name", ALL)
def test_merged_ranges_do_not_meet_and_count_right(name: str) -> None:
    """18.3.1.55: a cell may be in one merged range at most."""
    for part in sheets(name):
        merged = tree(name, part).find(f"{MAIN}mergeCells")
        if merged is None:
            continue
        assert int(merged.get("count")) == len(merged)
        seen: Counter[tuple[int, int]] = Counter()
        for one in merged:
            left, top, right, bottom = range_boundaries(one.get("ref"))
            seen.update((x, y) for x in range(left, right + 1) for y in range(top, bottom + 1))
        assert max(seen.values()) == 1, part


@pytest.mark.parametrize("name", ALL)
def test_shared_strings_are_counted_and_every_index_exists(name: str) -> None:
    """18.4.9: `count` is the number of cells that hold a string of the table."""
    table = tree(name, "xl/sharedStrings.xml")
    cells = (cell for part in sheets(name) for cell in tree(name, part).iter(f"{MAIN}c"))
    used = [int(str(cell.findtext(f"{MAIN}v"))) for cell in cells if cell.get("t") == "s"]
    assert int(table.get("count")) == len(used)
    assert int(table.get("uniqueCount")) == len(table)
    assert max(used) < len(table)


@pytest.mark.parametrize("name", ALL)
def test_every_cell_has_a_format_that_exists(name: str) -> None:
    """18.8.10: the index of a cell's format points into cellXfs."""
    formats = tree(name, "xl/styles.xml").find(f"{MAIN}cellXfs")
    assert int(formats.get("count")) == len(formats)
    highest = max(int(cell.get("s", 0)) for part in sheets(name) for cell in tree(name, part).iter(f"{MAIN}c"))
    assert highest < len(formats)


@pytest.mark.parametrize("name", RESULTS)
def test_drawn_objects_of_a_sheet_have_ids_of_their_own(name: str) -> None:
    """20.1.2.2.8: cNvPr ids are unique within a drawing."""
    for part in parts(name):
        if re.fullmatch(r"xl/drawings/drawing\d+\.xml", part):
            ids = re.findall(rb'<xdr:cNvPr id="(\d+)"', parts(name)[part])
            assert ids
            assert len(ids) == len(set(ids)), part
