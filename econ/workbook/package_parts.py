"""What the parts inside an .xlsx may hold, so that a reader meets neither a trap nor endless work.

An .xlsx is a zip of XML parts. The limits below are not those of the file format: they are what a plant's
workbook can need, set so that the slowest steps of the reader (measured: openpyxl builds some 50,000 objects
a second, and several of its patterns take time as the square of a text) stay within seconds.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Collection, Mapping
from functools import cached_property
from xml.parsers import expat

from econ.errors import FileRefused
from econ.fields import record

WORKBOOK_PART = "xl/workbook.xml"
TYPES_PART = "[Content_Types].xml"
STYLES_PART = "xl/styles.xml"
LINKS_PART = "xl/_rels/workbook.xml.rels"

MAX_RUN_BYTES = 500_000  # from one "<" to the next; a cell of 32,767 escaped characters needs 262,136
MAX_GRID_ELEMENTS = 400_000  # rows, cells, values and strings of all sheets
MAX_OTHER_ELEMENTS = 100_000  # formats, merged cells, validations, drawings and the like
MAX_RUN_WORK = 1_000_000_000  # sum of squares of long runs in a sheet, texts of cells aside
MAX_NAME_WORK = 200_000_000  # the same in the workbook part, where defined names are searched slowly
MAX_FORMAT_WORK = 2_000_000_000  # square of the longest number format x elements of the styles part
MAX_FORMULA_WORK = 20_000_000  # longest formula x formulas of a sheet: a shared one may be copied to each

RESAVE = "open it in a spreadsheet program and save it as a new .xlsx"

_ENCODINGS = {"utf-8", "utf-16", "utf-16le", "utf-16be", "us-ascii", "ascii", "iso-8859-1"}
_GRID_TAGS = (b"<row ", b"<row>", b"<c ", b"<v>", b"<f>", b"<f ", b"<is>", b"<si>", b"<t>", b"<t ")
_CELL_TEXTS = (b"<t>", b'<t xml:space="preserve">', b"<v>")
_LONG_RUN = re.compile(rb"<[^<]{1000,}")
_STARTS = (b":f", *(b"<f" + end for end in (b" ", b">", b"/", b"\t", b"\n", b"\r", b"\v", b"\f")))
_FORMULA = re.compile(rb"<(?:f|[^\s<>/:]+:f)(?=[\s/>])[^<]*")
_FORMAT = re.compile(rb"formatCode[^<]*")
_SHEET_OF_BOOK = ("sheet", "externalReference", "pivotCache")


class Unfit(FileRefused):
    """Why a file is refused, before its name is put in front."""


@record(frozen=True)
class XmlPart:
    """One XML part: its name in the zip, its bytes, and the same as UTF-8."""

    name: str
    raw: bytes

    @cached_property
    def text(self) -> bytes:
        """The part as UTF-8, told apart from UTF-16 by the parser's own rule: a mark or a zero byte."""
        head = self.raw[:2]
        if head not in (b"\xff\xfe", b"\xfe\xff") and b"\0" not in head:
            return self.raw
        big_endian = head == b"\xfe\xff" or head[:1] == b"\0"
        return self.raw.decode("utf-16-be" if big_endian else "utf-16-le", "replace").encode()

    @cached_property
    def elements(self) -> int:
        """How many elements the part can hold at most."""
        return self.text.count(b"<") - self.text.count(b"</")

    @cached_property
    def long_runs(self) -> list[bytes]:
        """The long stretches between one "<" and the next: a tag and the text behind it."""
        return _LONG_RUN.findall(self.text)

    @cached_property
    def formulas(self) -> list[bytes]:
        """The formula tags of a sheet, each with its text."""
        return _FORMULA.findall(self.text) if any(start in self.text for start in _STARTS) else []


def xml_parts(parts: Mapping[str, bytes]) -> dict[str, XmlPart]:
    """Pick the parts an XML parser could take for XML, whatever their names say."""
    lead = b"\xef\xbb\xbf\xff\xfe\0 \t\r\n"
    return {name: XmlPart(name, raw) for name, raw in parts.items() if raw.lstrip(lead)[:1] == b"<"}


def check_parts(parts: Mapping[str, bytes]) -> frozenset[str]:
    """Refuse a package that holds a trap: declarations, macros, too many or too long elements, repeats.

    parts: name and bytes of every entry. Returns those that no parser can read; raises Unfit with the reason.
    """
    found = xml_parts(parts)
    _check_amount(found.values())
    damaged = set()
    for part in found.values():
        # the parser itself looks for a document type, an odd encoding or an endless remark; drawings in VML are
        # often not well-formed, and no reader takes them for sheets: what cannot be parsed is refused when opened
        try:
            _parser(part.name).Parse(part.raw, True)
        except expat.ExpatError:
            damaged.add(part.name)
    _check_types(found)
    sheets = sheet_parts(parts)
    _check_work(found[WORKBOOK_PART], MAX_NAME_WORK)
    for name in sheets.values():
        if name in found:
            _check_work(found[name], MAX_RUN_WORK)
            _check_formulas(found[name])
    if styles := found.get(STYLES_PART):
        longest = max(map(len, _FORMAT.findall(styles.text)), default=0)
        if styles.elements * longest**2 > MAX_FORMAT_WORK:
            raise Unfit(f"its number formats are far too many or too long; {RESAVE}")
    return frozenset(damaged)


def sheet_parts(parts: Mapping[str, bytes]) -> dict[str, str]:
    """The part of each worksheet, in the order of the workbook; raises Unfit when one is named twice.

    A workbook that names one part under many sheets makes a reader parse it as many times.
    """
    links: list[tuple[str, str]] = []
    for _, link in _tags(parts, LINKS_PART, ("Relationship",)):
        if "chartsheet" in link.get("Type", ""):
            raise Unfit(f"it has a chart on a sheet of its own; move the chart into a worksheet, then {RESAVE}")
        if link.get("TargetMode") != "External":
            target = link.get("Target", "")
            inside = target[1:] if target.startswith("/") else posixpath.normpath(posixpath.join("xl", target))
            links.append((link.get("Id", ""), inside))
    used = [(tag, one.get("name", ""), next((one[key] for key in one if key.rpartition(":")[2] == "id"), ""))
            for tag, one in _tags(parts, WORKBOOK_PART, _SHEET_OF_BOOK)]  # fmt: skip
    named_once = ([name for name, _ in links], [target for _, target in links], [link for _, _, link in used],
                  [name for tag, name, _ in used if tag == "sheet"])  # fmt: skip
    if any(len(set(names)) < len(names) for names in named_once):
        raise Unfit(f"two of its sheets are the same part, which damaged files do; {RESAVE}")
    target_of = dict(links)
    return {name: target_of[link] for tag, name, link in used if tag == "sheet" and link in target_of}


def _check_amount(parts: Collection[XmlPart]) -> None:
    """Refuse more elements, or longer runs, than a plant's workbook can need."""
    # "</" alone never makes the count smaller than half of all "<" in a well-formed part
    most = sum(part.text.count(b"<") for part in parts)
    if most > 2 * (MAX_GRID_ELEMENTS + MAX_OTHER_ELEMENTS):
        raise Unfit("it has too many rows, cells and formats; copy only the values into a fresh workbook")
    elements = sum(part.elements for part in parts) if most > MAX_OTHER_ELEMENTS else 0
    if elements > MAX_OTHER_ELEMENTS:
        in_grid = sum(part.text.count(tag) for part in parts for tag in _GRID_TAGS)
        if in_grid > MAX_GRID_ELEMENTS:
            raise Unfit("it has too many rows and cells; copy only the filled rows into a fresh workbook")
        if elements - in_grid > MAX_OTHER_ELEMENTS:
            raise Unfit("it has too many formats, pictures or rules; copy only the values into a fresh workbook")
    for part in parts:
        if max(map(len, part.long_runs), default=0) > MAX_RUN_BYTES:
            raise Unfit(f"part {shown(part.name)} has a text longer than any cell may hold; shorten it")


def _parser(name: str) -> expat.XMLParserType:
    def refuse_document_type(*_: object) -> None:
        raise Unfit(f"part {shown(name)} declares a document type (DOCTYPE or ENTITY), which no workbook needs")

    def check_encoding(_version: str, encoding: str | None, _standalone: int) -> None:
        if encoding is not None and encoding.lower() not in _ENCODINGS:
            raise Unfit(f"part {shown(name)} is in an encoding no workbook uses; {RESAVE}")

    def check_remark(*remark: str) -> None:
        if max(map(len, remark)) > MAX_RUN_BYTES:
            raise Unfit(f"part {shown(name)} has a remark of more than {MAX_RUN_BYTES:,} characters; {RESAVE}")

    parser = expat.ParserCreate()
    parser.StartDoctypeDeclHandler = refuse_document_type
    parser.XmlDeclHandler = check_encoding
    parser.CommentHandler = check_remark
    parser.ProcessingInstructionHandler = check_remark
    return parser


def _tags(parts: Mapping[str, bytes], name: str, wanted: tuple[str, ...]) -> list[tuple[str, dict[str, str]]]:
    """Local name and attributes of the wanted elements of a part; none when the part is absent."""
    found: list[tuple[str, dict[str, str]]] = []

    def take(tag: str, attributes: dict[str, str]) -> None:
        local = tag.rpartition(":")[2]
        if local in wanted:
            found.append((local, attributes))

    if name not in parts:
        return found
    parser = _parser(name)
    parser.StartElementHandler = take
    try:
        parser.Parse(parts[name], True)
    except expat.ExpatError as broken:
        raise Unfit(f"part {shown(name)} is damaged; {RESAVE}") from broken
    return found


def _check_types(found: Mapping[str, XmlPart]) -> None:
    """Refuse macros, and a workbook part that stands anywhere but in its usual place."""
    raw = {name: part.raw for name, part in found.items()}
    for _, entry in _tags(raw, TYPES_PART, ("Override", "Default")):
        kind = entry.get("ContentType", "").lower()
        if "macro" in kind or "vbaproject" in kind:
            raise Unfit("it holds macros, which are never opened; save it as .xlsx, which leaves them out")
        main = "sheet.main+xml" in kind or "template.main+xml" in kind
        if main and entry.get("PartName", f"/{WORKBOOK_PART}") != f"/{WORKBOOK_PART}":
            raise Unfit(f"its workbook part is not where other programs look for it; {RESAVE}")
    if TYPES_PART not in found or WORKBOOK_PART not in found:
        raise Unfit(f"it is a zip file without a workbook in it; {RESAVE}")


def _check_work(part: XmlPart, limit: int) -> None:
    # squares of the long runs, texts of cells aside
    if sum(len(run) ** 2 for run in part.long_runs if not run.startswith(_CELL_TEXTS)) > limit:
        raise Unfit(f"part {shown(part.name)} has rules or names that are far too long; {RESAVE}")


def _check_formulas(sheet: XmlPart) -> None:
    formulas = sheet.formulas
    # a remark inside a formula would split its text and hide its length
    split = b"<!" in sheet.text or sheet.text.count(b"<?") > 1
    if formulas and (split or len(formulas) * max(map(len, formulas)) > MAX_FORMULA_WORK):
        raise Unfit(f"part {shown(sheet.name)} has formulas that are far too long; put values in their place")


def shown(name: object) -> str:
    """Make a name fit for a sentence: in quotes, no control characters, at most 80 characters."""
    clean = "".join(character if character.isprintable() else "?" for character in str(name))
    return f"'{clean if len(clean) <= 80 else clean[:77] + '...'}'"
