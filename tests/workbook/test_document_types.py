"""No part of a workbook that declares a document type reaches a reader, whatever its name and encoding.

XML 1.0 (fifth edition, W3C 2008): a document type stands before the root element (2.8), entities are declared in
it alone (4.2), and UTF-8 and UTF-16 need no declaration to be told apart (4.3.3, appendix F). The command reads
with expat alone, as `econ/cli` asks of openpyxl, so the guard in front of it has to be as sharp as the parser.
"""

from __future__ import annotations

import base64
import io
import os
import subprocess
import sys
from itertools import product
from pathlib import Path
from xml.etree import ElementTree

import openpyxl
import pytest
import xlsxwriter
from handmade import book, parts_in
from hostile import LAUGHS, OUTSIDE
from hypothesis import given
from hypothesis import strategies as st
from odd import external_link
from openpyxl.comments import Comment

from econ.workbook.package_parts import Unfit, check_parts

PLANT = Path(__file__).parents[2] / "scenarios" / "low-sedge.xlsx"

ENCODINGS = {  # as Python names them: as a declaration names them, none where the bytes themselves say it
    "utf-8": "UTF-8", "utf-8-sig": "UTF-8", "utf-16": "UTF-16", "utf-16-le": "", "utf-16-be": "",
    "ascii": "US-ASCII", "latin-1": "ISO-8859-1",
}  # fmt: skip
PICTURE = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg=="
)


def full(workbook: xlsxwriter.Workbook) -> None:
    """What brings parts of other kinds: a remark (VML), a picture, a chart, a table, a property of one's own."""
    sheet = workbook.worksheets()[0]
    sheet.write_comment("B2", "weighed")
    sheet.insert_image("D2", "dot.png", {"image_data": io.BytesIO(PICTURE)})
    sheet.add_table("F1:G3")
    sheet.write_url("A5", "https://example.org/")
    workbook.set_custom_property("batch", "1")
    chart = workbook.add_chart({"type": "line"})
    chart.add_series({"values": "=Bones!$B$2:$B$2"})
    sheet.insert_chart("D9", chart)


def saved_by_openpyxl() -> bytes:
    workbook, target = openpyxl.Workbook(), io.BytesIO()
    workbook.active["A1"] = "weighed"
    workbook.active["A1"].comment = Comment("twice", "plant")
    workbook.save(target)
    return target.getvalue()


BOOKS = {"XlsxWriter": parts_in(book(full)), "openpyxl": parts_in(saved_by_openpyxl()),
         "linked": parts_in(external_link())}  # fmt: skip
PARTS = [(made, name) for made, parts in BOOKS.items() for name in parts if not name.endswith(".png")]


def declaring(part: bytes, document_type: str, encoding: str) -> bytes:
    """A part in another encoding with a document type in front of its root element."""
    root = part.decode("utf-8-sig")
    root = root[root.index("?>") + 2 :] if root.startswith("<?xml") else root
    declared = ENCODINGS[encoding]
    head = f'<?xml version="1.0" encoding="{declared}"?>' if declared else ""
    return f"{head}{document_type}{root}".encode(encoding, "xmlcharrefreplace")


def test_the_books_hold_parts_of_every_kind() -> None:
    names = " ".join(name for _, name in PARTS)

    for kind in ("[Content_Types]", "_rels/.rels", "workbook.xml.rels", "sheet1.xml.rels", "styles", "theme",
                 "sharedStrings", "drawings/drawing1", "charts/", "tables/", "omments", "custom.xml", "core.xml",
                 "app.xml", "vml", "externalLinks/"):  # fmt: skip
        assert kind in names


@pytest.mark.parametrize("encoding", ENCODINGS)
@pytest.mark.parametrize(("made", "name"), PARTS)
def test_a_document_type_is_refused_in_every_part_and_encoding(made: str, name: str, encoding: str) -> None:
    parts = BOOKS[made]
    check_parts(parts)

    for document_type in ("<!DOCTYPE x>", OUTSIDE, LAUGHS, f"<!-- a remark -->\n<?a b?>{OUTSIDE}"):
        with pytest.raises(Unfit, match="declares a document type"):
            check_parts({**parts, name: declaring(parts[name], document_type, encoding)})


class Seen:
    """What a tree is built from: remembers whether a document type was met."""

    def __init__(self) -> None:
        self.document_type = False

    def doctype(self, *_: object) -> None:
        self.document_type = True


def meets_a_document_type(data: bytes) -> bool:
    """Whether the parser that openpyxl reads with meets one, before it ends or breaks off."""
    seen = Seen()
    parser = ElementTree.XMLParser(target=seen)
    try:
        parser.feed(data)
        parser.close()
    except (ElementTree.ParseError, ValueError, LookupError):
        pass
    return seen.document_type


PIECES = ["\ufeff", " ", "\n", "\0", '<?xml version="1.0"?>', '<?xml version="1.0" encoding="utf-16"?>',
          '<?xml version="1.1" encoding="latin-1" standalone="no"?>', '<?xml version="1.0" encoding="UTF-7"?>',
          '<?xml version="1.0" encoding="cp037"?>', "<!-- a -->", "<?a b?>", "<!DOCTYPE x>", OUTSIDE, LAUGHS,
          "<x>", "<x:y/>", "&a;", "</x>", "<![CDATA[a]]>", "<!", "é", "word"]  # fmt: skip


@given(pieces=st.lists(st.sampled_from(PIECES), max_size=6),
       encoding=st.sampled_from(["utf-8", "utf-16-le", "utf-16-be", "utf-32-le", "utf-32-be", "utf-7", "cp037"]),
       before=st.binary(max_size=4))  # fmt: skip
def test_what_the_reader_would_meet_the_guard_refuses(pieces: list[str], encoding: str, before: bytes) -> None:
    data = before + "".join(pieces).encode(encoding, "replace")

    if meets_a_document_type(data):
        with pytest.raises(Unfit):
            check_parts({**BOOKS["XlsxWriter"], "xl/theme/theme1.xml": data})


@pytest.mark.parametrize(("document_type", "encoding"), list(product(["<!DOCTYPE x>", OUTSIDE], ENCODINGS)))
def test_the_reader_of_this_test_does_meet_them(document_type: str, encoding: str) -> None:
    assert meets_a_document_type(declaring(b"<x/>", document_type, encoding))


@pytest.mark.parametrize(
    ("start", "switches"),
    [
        pytest.param("sys.argv = ['kilncase', '--help']; econ.cli.main()", "False False False", id="the command"),
        pytest.param("import econ.workbook.read", "True True True", id="a program that imports econ"),
    ],
)
def test_only_the_command_reads_without_a_second_parser_and_pictures(start: str, switches: str) -> None:
    code = f"""
import sys, econ.cli
try:
    {start}
except SystemExit:
    pass
from pathlib import Path
from econ.workbook.guards import opening
with opening(Path({str(PLANT)!r})):
    import openpyxl.drawing.image
import PIL.Image, lxml.etree  # both are there again
print(openpyxl.DEFUSEDXML, openpyxl.LXML, bool(openpyxl.drawing.image.PILImage))
"""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("OPENPYXL_")}
    said = subprocess.run(
        [sys.executable, "-c", code], env=kept, capture_output=True, text=True, check=True
    ).stdout

    assert said.splitlines()[-1] == switches
